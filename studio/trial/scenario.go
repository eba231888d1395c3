package trial

import (
	"cmp"
	"slices"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A Scenario is a plan to be practised: who, out of which books, what.
type Scenario struct {
	Name      string
	Catalogue *routine.Catalogue
	Player    routine.Player
	Plan      routine.Plan
}

// Bare returns the scenario without what a teacher wished for besides the plan
// (pins, locked tempi, studies held, lines left out, minute tests, target dates)
// and without performances: a
// player who goes through the book would know nothing of them, and the trial is
// to compare orders, not wishes.
func (s Scenario) Bare() Scenario {
	s.Player.Performances = nil
	s.Plan.Entries = slices.Clone(s.Plan.Entries)
	for i := range s.Plan.Entries {
		e := &s.Plan.Entries[i]
		e.Pinned, e.Skips, e.Lock, e.Hold, e.Target, e.TestEvery = nil, nil, routine.Tempo{}, false, 0, 0
	}
	return s
}

// A goal is one line of the plan in the pass that its study is at.
type goal struct {
	key     routine.StandingKey
	skill   routine.Skill
	demands routine.Demands
	line    *routine.Line
	rule    streaks.Rule
}

// goals returns the lines in work of one entry of a plan that are within the
// player's range, in the order of the study.
func (s *Scenario) goals(e *routine.PlanEntry) []goal {
	study := s.Catalogue.Study(e.Study)
	pass := study.Pass(e.Pass)
	var goals []goal
	for i := range study.Lines {
		l := &study.Lines[i]
		if len(e.Lines) > 0 && !slices.Contains(e.Lines, l.Number) || l.High > s.top() {
			continue
		}
		key := routine.StandingKey{Line: e.Study.Line(l.Number), Pass: e.Pass}
		goals = append(goals, goal{key, study.Skill, pass.Demands, l, streaks.RuleOf(*pass)})
	}
	return goals
}

// top returns the highest pitch the player may be given.
func (s *Scenario) top() routine.Pitch {
	inst, _ := routine.InstrumentNamed(s.Player.Instrument)
	return min(cmp.Or(s.Player.Highest, inst.Highest), inst.Highest)
}
