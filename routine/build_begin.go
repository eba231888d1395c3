package routine

import "slices"

// begin says which new lines may begin: those for which there is room beside
// the lines in work. Where all are begun at once, each waits long for its turn,
// is half forgotten by then, and none gets to its goal; so a teacher has few
// lines in work at a time and takes the next when one is through (common
// practice).
//
// Room is what the cycles leave. Each study has a share of an ordinary day's
// minutes by its importance, and what it does not need of that is shared out
// among the others. As many of its lines may be in work as come round within its
// cycle in that share; of strenuous ones as many as come round with one item a
// day on two days of three. One item may be in work whatever the share.
func (b *builder) begin() {
	b.loads = make([]load, len(b.entries))
	for i := range b.facts {
		f := &b.facts[i]
		if f.cost = b.costOf(f); f.cost > 0 {
			b.addLoad(f)
		}
	}
	b.shareOut()
	for i := range b.facts {
		f := &b.facts[i]
		f.begins = f.now.Plays > 0 || f.cost > 0 && b.takesUp(f)
	}
}

// A load is what the lines of one active study ask for each time round, in
// thousandths of a minute.
type load struct {
	work  int    // by lines in work
	all   int    // by those and the new ones
	share int    // what there is room for
	lines [2]int // how many are in work, of the soft ones and of the strenuous
}

// costOf returns the minutes, in thousandths, that a line takes each time round,
// with its rest; 0 for a line that has passed or can't come.
func (b *builder) costOf(f *facts) int {
	e := &b.entries[f.entry]
	if !f.work || f.now.State == Passed || f.line.High > b.day.top || e.plan.skipped(f.line.Number, b.in.Date) != 0 {
		return 0
	}
	const times = 4
	t := slower(faster(f.now.Mark, e.demands.From), e.demands.To)
	minutes := int(1000 * playingMinutes(f.line, e.demands, t, times, e.importance))
	set := e.together()
	return 2 * max(1000*shortest/set, min(minutes, 1000*longest/set))
}

func (b *builder) strains(f *facts) int {
	e := &b.entries[f.entry]
	return strain(strenuous(e.study.Skill, e.demands, f.line, b.day.top))
}

func (b *builder) addLoad(f *facts) {
	l := &b.loads[f.entry]
	l.all += f.cost
	if f.now.Plays > 0 {
		l.work += f.cost
		l.lines[b.strains(f)]++
	}
}

// takesUp reports whether there is room for a new line, and gives it the room.
func (b *builder) takesUp(f *facts) bool {
	l, s := &b.loads[f.entry], b.strains(f)
	e := &b.entries[f.entry]
	set := e.together()
	hard := s == 1 && l.lines[1] >= set*hardDays(b.in.Player.playingDays(e.study.Cycle))
	some := l.lines[0]+l.lines[1] >= set
	if hard || some && l.work+f.cost > l.share {
		return false
	}
	l.work += f.cost
	l.lines[s]++
	return true
}

// hardDays returns how many of some days can be hard: two of three.
func hardDays(days int) int { return max(1, days-ceilDiv(days, 3)) }

// shareOut gives each study its share of the minutes, for as many days as its
// cycle has. Of a day's minutes about half an item is left over, because items
// are whole.
func (b *builder) shareOut() {
	minutes, weight := 1000*max(shortest, ordinary(b.in)-shortest), 0
	open := make([]int, len(b.entries))
	for i := range open {
		open[i] = i
		weight += b.entries[i].importance
	}
	share := func(i int) int {
		e := &b.entries[i]
		return b.in.Player.playingDays(e.study.Cycle) * minutes * e.importance / weight
	}
	needsLess := func(i int) bool { return b.loads[i].all <= share(i) }
	for n := slices.IndexFunc(open, needsLess); n >= 0; n = slices.IndexFunc(open, needsLess) {
		e, l := &b.entries[open[n]], &b.loads[open[n]]
		l.share = l.all
		minutes -= l.all / b.in.Player.playingDays(e.study.Cycle)
		weight -= e.importance
		open = slices.Delete(open, n, n+1)
	}
	for _, i := range open {
		b.loads[i].share = share(i)
	}
}
