package routine

import "slices"

// A kind is why a line comes today. The order is the order in which Explain
// lists candidates.
type kind uint8

const (
	pinned   kind = iota // the teacher wants it every day
	minute               // the study's minute test is due
	again                // shaky or missed a day or two ago
	rotation             // its turn in the study's cycle
	review               // passed, and due
	relapse              // slipped in a pass left behind
	upkeep               // a warm-up or warm-down that has passed
	prelude              // passed, and a warm-up for what is performed
	kinds                // how many there are
)

// A readied is a line that may come today, with its tempo.
type readied struct {
	*facts
	kind     kind
	stand    *Standing // in the pass of the item
	pass     int
	demands  *Demands
	from, to Tempo
	hard     bool
	age      int // days since it came in this pass; for a new line, since it could have
	idle     int // days for which it counts as laid off; 0: none
	fresh    bool
	piece    *piece // that it warms up for; nil: none
}

// againDays is for how many days after a shaky or missed playing a line comes
// back ahead of its turn.
const againDays = 2

// ready sorts out which lines may come today, and as what.
func (b *builder) ready() {
	b.lines = make([]readied, 0, len(b.facts))
	for i := range b.facts {
		f := &b.facts[i]
		r, why := b.readiedOf(f)
		if why.IsZero() {
			why = b.forbids(&r)
			b.rest(&r, why)
		}
		if why.IsZero() {
			b.lines = append(b.lines, r)
		} else if f.work || f.pinned || f.earlierPass != nil {
			e := &b.entries[f.entry]
			b.keepOut(refusal{e.plan.Study, f.line.Number, max(r.pass, 1), why})
		}
	}
	b.setTests()
	b.keepUp()
}

// keepUp leaves of the warm-ups that have passed no more than one study's, and
// none if one is in work: whoever learns a warm-up is warm by it. Likewise for
// warm-downs.
func (b *builder) keepUp() {
	for _, s := range [...]Skill{WarmUp, WarmDown} {
		chosen := b.kept(s)
		b.lines = slices.DeleteFunc(b.lines, func(r readied) bool {
			e := &b.entries[r.entry]
			if r.kind != upkeep || e.study.Skill != s || r.entry == chosen {
				return false
			}
			b.keepOut(refusal{e.plan.Study, r.line.Number, r.pass, Reason{Kind: AnotherComes}})
			return true
		})
	}
}

// kept returns the active study whose passed lines may come today as a warm-up,
// or a warm-down: the one that has waited longest; -1 if a line in work may.
func (b *builder) kept(s Skill) int {
	chosen, age := -1, -1
	for i := range b.lines {
		r := &b.lines[i]
		switch {
		case b.entries[r.entry].study.Skill != s:
		case r.kind != upkeep:
			return -1
		case r.age > age:
			chosen, age = r.entry, r.age
		}
	}
	return chosen
}

// readiedOf returns the line as what it would come today, or why it has no
// reason to come.
func (b *builder) readiedOf(f *facts) (r readied, why Reason) {
	e := &b.entries[f.entry]
	r = readied{facts: f, stand: &f.now, pass: e.plan.Pass, demands: &e.demands}
	switch {
	case f.pinned:
		r.kind = pinned
	case f.earlierPass != nil && b.looksBack(f):
		r.kind = review
		if f.earlier.State != Passed {
			r.kind = relapse
		}
		r.stand, r.pass, r.demands = &f.earlier, f.earlierPass.Number, &f.earlierPass.Demands
	case !f.work:
		return r, Reason{Kind: NotInWork}
	case f.now.State == Passed && f.now.returns(e.pass, b.in.Date):
		r.kind = review
	case f.now.State == Passed && !e.daily() && b.suited(f) != nil:
		r.kind = prelude
	case f.now.State == Passed && !e.daily():
		return r, Reason{Kind: ReviewNotDue}
	case f.now.State == Passed:
		r.kind = upkeep
	case !f.begins && f.cost > 0:
		return r, Reason{Kind: WaitsForOthers}
	case f.last == f.now.Last && failed(f.outcome) && int(b.in.Date-f.last) <= againDays:
		r.kind = again
	default:
		r.kind = rotation
	}
	if r.pass == e.plan.Pass {
		r.piece = b.suited(f)
	}
	b.pace(&r, e)
	return r, Reason{}
}

// daily reports whether the study is never over: every day wants a warm-up and
// a warm-down, so their passed lines go on coming round.
func (e *active) daily() bool { return e.study.Skill == WarmUp || e.study.Skill == WarmDown }

// failed reports whether a line should come back soon after the outcome.
func failed(o Outcome) bool { return o == Shaky || o == Missed }

// looksBack reports whether a line that is wanted in an earlier pass comes in
// that one today: its turn in the present pass is at least three days away, or
// it has waited for more than a week.
func (b *builder) looksBack(f *facts) bool {
	const week = 7
	e := &b.entries[f.entry]
	waited := b.in.Date - f.earlier.Due
	if f.earlier.State != Passed {
		waited = b.in.Date - f.earlier.Last - Date(e.study.Cycle)
	}
	if waited > week || !f.work || f.now.State == Passed {
		return true
	}
	return f.now.Plays > 0 && int(b.in.Date-f.now.Last) <= e.study.Cycle-3
}

// pace fills in the line's tempo, strain and age.
func (b *builder) pace(r *readied, e *active) {
	s := r.stand
	r.fresh = s.Plays == 0
	r.age = b.waiting(r, e)
	switch away := b.day.away; {
	case r.fresh:
	case away.days > 0 && s.Last <= away.since:
		r.idle = away.days
	}
	l := ladder{demands: *r.demands, lock: e.plan.Lock, idle: r.idle, step: e.plan.Ladder}
	if r.pass != e.plan.Pass {
		l.lock = Tempo{}
	}
	r.from, r.to = l.today(*s)
	r.hard = strenuous(e.study.Skill, *r.demands, r.line, b.day.top)
}

// waiting returns the days since the line came last. A new line has waited
// since the study came on the plan, and never less than one cycle; two cycles
// if nobody knows since when.
func (b *builder) waiting(r *readied, e *active) int {
	if !r.fresh {
		return int(b.in.Date - r.stand.Last)
	}
	if e.plan.Since == 0 {
		return 2 * e.study.Cycle
	}
	return max(e.study.Cycle, int(b.in.Date-e.plan.Since))
}

// forbids returns the rule that keeps a line away today, or none.
func (b *builder) forbids(r *readied) Reason {
	e := &b.entries[r.entry]
	ago := b.in.Date - r.last
	until := e.plan.skipped(r.line.Number, b.in.Date)
	switch {
	case until != 0:
		return Reason{Kind: LeftOutUntil, Until: until}
	case r.line.High > b.day.top:
		return Reason{Kind: AboveRange}
	case r.line.High > b.day.limit:
		return Reason{Kind: TooHighYet}
	case r.hard && b.day.soft:
		return Reason{Kind: StrenuousToday}
	case b.in.Quiet && loud(e.study.Skill, *r.demands, r.line, b.day.top):
		return Reason{Kind: NotQuiet}
	case r.last != 0 && ago <= 0:
		return Reason{Kind: PlayedToday}
	case r.last != 0 && ago == 1 && r.kind != pinned && !failed(r.outcome) && e.study.Cycle > 1:
		return Reason{Kind: PlayedYesterday}
	}
	return Reason{}
}

// rest counts the line among those in rotation that don't come by it today.
func (b *builder) rest(r *readied, why Reason) {
	if r.kind == again || (r.kind == rotation && (why.Kind == PlayedToday || why.Kind == PlayedYesterday)) {
		b.entries[r.entry].resting[strain(r.hard)]++
	}
}

// strain returns 1 for strenuous and 0 for soft.
func strain(hard bool) int {
	if hard {
		return 1
	}
	return 0
}
