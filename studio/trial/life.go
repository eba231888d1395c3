package trial

import (
	"cmp"
	"maps"
	"slices"

	"ledgerline/routine"
)

// Begin is the first day of every life: a Monday.
var Begin = routine.NewDate(2026, 3, 2)

// A Life is what became of one student under one policy.
type Life struct {
	Lines   int   // of the plan she began with, within her range
	Passed  []int // by day: lines that stood passed in the evening, in whatever pass
	Range   []int // by day, like Passed: of them, the lines of range studies
	Able    []int // by day: lines she could play at their goal that evening, rested
	Held    []int // by day: lines that are both, passed and within her reach
	Minutes int   // playing and rest
	Playing int
	Items   int
	Hard    int // strenuous items
	Beside  int // of them, played next after another
	Third   int // strenuous days after two others

	Uses  [uses]int // minutes, by what they went to
	Begun int       // lines that were ever played

	// PassedOn is, by line of the first plan, how many days it took to pass it for
	// the first time; a line that never did counts with all days of the life.
	PassedOn []int

	// Log and Could are kept if the trial asks for them: the entries of each line,
	// and what she could play each evening.
	Log   map[routine.StandingKey][]routine.Entry
	Could map[routine.StandingKey][]float64

	spent []int // minutes by day
}

// A living is a life that goes on.
type living struct {
	trial    *Trial
	scenario *Scenario
	who      *person
	policy   policy
	in       routine.Input
	goals    map[routine.StandingKey]*goal
	first    []routine.StandingKey // lines of the first plan
	skills   map[routine.StandingKey]*skill
	body     body
	tempo    Tempo
	life     Life
	seq      int64
}

// live lets a student live under a policy. Before is her life under another,
// whose minutes she is to have day by day; nil lets her have her whole budget.
func (t *Trial) live(s *Scenario, seed uint64, p Policy, before *Life) Life {
	l := &living{
		trial: t, scenario: s, who: newPerson(seed, &t.Model), policy: p.start(s, seed), tempo: p.Tempo,
		goals: map[routine.StandingKey]*goal{}, skills: map[routine.StandingKey]*skill{},
		body: body{scale: t.Model.Fatigue, capacity: 0.2 * float64(s.Player.Minutes)},
	}
	l.plan(seed)
	l.life = Life{Lines: len(l.first), PassedOn: slices.Repeat([]int{t.Days}, len(l.first))}
	if t.Keep {
		l.life.Log, l.life.Could = map[routine.StandingKey][]routine.Entry{}, map[routine.StandingKey][]float64{}
	}
	l.days(before)
	return l.life
}

// plan begins the plan.
func (l *living) plan(seed uint64) {
	s := l.scenario
	l.in = routine.Input{
		Number: 1, Seed: seed, Catalogue: s.Catalogue, Player: s.Player,
		Plan:      routine.Plan{Entries: slices.Clone(s.Plan.Entries)},
		Standings: map[routine.StandingKey]routine.Standing{},
	}
	for i := range l.in.Plan.Entries {
		l.in.Plan.Entries[i].Since = Begin
	}
	l.readGoals()
	l.first = slices.SortedFunc(maps.Keys(l.goals), compareKeys)
}

func compareKeys(a, b routine.StandingKey) int {
	return cmp.Or(
		cmp.Compare(a.Line.Book, b.Line.Book), cmp.Compare(a.Line.Study, b.Line.Study),
		cmp.Compare(a.Line.Line, b.Line.Line), cmp.Compare(a.Pass, b.Pass),
	)
}

// readGoals takes in the lines of the plan as it is now.
func (l *living) readGoals() {
	for i := range l.in.Plan.Entries {
		e := &l.in.Plan.Entries[i]
		for _, g := range l.scenario.goals(e) {
			if l.goals[g.key] == nil {
				l.goals[g.key], l.skills[g.key] = &g, l.who.learns(g.key, g.demands)
			}
		}
	}
}

func (l *living) days(before *Life) {
	carried := 0
	for day, s := range l.who.spells(Begin, l.trial.Days, l.scenario.Player.Off) {
		l.in.Date = Begin + routine.Date(day)
		minutes := l.scenario.Player.Minutes
		if before != nil {
			minutes = before.spent[day] + carried
		}
		spent := 0
		if s.plays {
			spent = l.day(day, s, minutes)
		} else if s.ill {
			l.remember(routine.DayLog{Date: l.in.Date, Excuse: routine.Ill})
		}
		if carried = minutes - spent; before == nil && s.plays {
			l.life.Uses[Unused] += carried
		}
		l.life.spent = append(l.life.spent, spent)
		l.body.sleep()
		if l.in.Date.Weekday() == lessonDay {
			l.lesson()
		}
		l.note(day)
	}
}

// day has the policy set a routine and the student play it. It returns the
// minutes set.
func (l *living) day(day int, s spell, minutes int) int {
	set := l.policy.set(l.in, minutes)
	log := routine.DayLog{Date: l.in.Date}
	used, played := 0, 0
	for i := range set.Items {
		it := &set.Items[i]
		if used += it.Minutes + it.Rest; i > 0 && float64(used) > s.part*float64(set.Minutes)+0.5 {
			break
		}
		l.spend(it)
		l.item(it, day, s)
		l.strain(it, i > 0 && set.Items[i-1].Hard)
		log.Kept, log.Hard = true, log.Hard || it.Hard
		log.Minutes += it.Minutes
		if it.Hard {
			log.Strenuous += it.Minutes
		}
		l.life.Minutes += it.Minutes + it.Rest
		played++
	}
	l.life.Playing += log.Minutes
	l.life.Items += played
	l.policy.stopped(played)
	l.remember(log)
	return set.Minutes
}

// spend counts what an item's minutes go to.
func (l *living) spend(it *routine.Item) {
	first := l.in.Standings[routine.StandingKey{Line: it.Lines[0], Pass: it.Pass}]
	l.life.Uses[useOf(it, first)] += it.Minutes
	l.life.Uses[Rest] += it.Rest
	if first.Plays == 0 {
		l.life.Begun += len(it.Lines)
	}
}

// remember puts a day into the history.
func (l *living) remember(log routine.DayLog) {
	const most = 60
	days := l.in.History.Days
	if n := len(days); log.Hard && n >= 2 && hardOn(days[n-1], log.Date-1) && hardOn(days[n-2], log.Date-2) {
		l.life.Third++
	}
	days = append(days, log)
	l.in.History.Days = days[max(0, len(days)-most):]
}

// strain counts a strenuous item.
func (l *living) strain(it *routine.Item, afterHard bool) {
	if !it.Hard {
		return
	}
	l.life.Hard++
	if afterHard {
		l.life.Beside++
	}
}

func hardOn(d routine.DayLog, date routine.Date) bool { return d.Hard && d.Date == date }

// note writes down how far she is at the end of a day.
func (l *living) note(day int) {
	passed, ranged, able, held := 0, 0, 0, 0
	for key, g := range l.goals {
		stands := l.in.Standings[key].State == routine.Passed
		if stands {
			passed++
			if g.skill == routine.Range {
				ranged++
			}
		}
		can := l.who.can(l.skills[key], l.in.Date)
		if can >= g.demands.To.Sixteenths() {
			able++
			if stands {
				held++
			}
		}
		if l.life.Could != nil {
			l.life.Could[key] = append(l.life.Could[key], can)
		}
	}
	l.life.Passed = append(l.life.Passed, passed)
	l.life.Range = append(l.life.Range, ranged)
	l.life.Able = append(l.life.Able, able)
	l.life.Held = append(l.life.Held, held)
	for i, key := range l.first {
		if l.life.PassedOn[i] == l.trial.Days && l.in.Standings[key].State == routine.Passed {
			l.life.PassedOn[i] = day + 1
		}
	}
}
