package streaks

import (
	"cmp"
	"slices"

	"ledgerline/routine"
)

// A Rule is what one pass wants of a line, as far as the log can tell.
type Rule struct {
	Goal      routine.Tempo // tempo to be clean at; zero: any tempo will do
	CleanDays int           // distinct dates clean at the goal; below 1 counts as 1
	SignOff   bool          // the teacher hears the line before it passes
	Gaps      []int         // days before each review of a passed line; nil: [DefaultGaps]
}

// DefaultGaps returns the days from passing a line to its first review, and
// from each review to the next (common practice). The last gap repeats.
func DefaultGaps() []int { return []int{3, 7, 16, 35, 70} }

// RuleOf returns the rule of a pass, with the default gaps.
func RuleOf(p routine.Pass) Rule {
	return Rule{Goal: p.Demands.To, CleanDays: p.CleanDays, SignOff: p.SignOff}
}

// Apply returns how a line stands once the entry e is added to s. Entries of
// one line in one pass come in order of date, and of Seq within a date.
//
// The rules, each decided here and nowhere else:
//
//   - A skipped item says nothing about the line and changes nothing.
//   - The first playing of a new line, however it went, makes it working; so
//     does the next playing of a slipped one.
//   - A date is a clean day if on it the line was clean at the goal tempo or
//     faster, whatever note the tempo is counted in. "Done" is never clean. A
//     tempo said to be approximate counts as the tempo that was said. Clean days
//     need not follow one another.
//   - From its first clean day a line is at tempo. With as many as the rule
//     wants it is passed, or ready for sign-off if the teacher hears it first.
//   - A line at tempo, or ready, that is missed twice in a row at the goal or
//     slower is working again and its clean days start over: the ladder is about
//     to take it below the goal.
//   - A passed line is reviewed. Clean or done on the day the review falls due,
//     or later, keeps the review, and the next gap is longer; slower than the
//     goal, the same gap comes again. Clean or done before that day changes
//     nothing: it is the gap that is tested.
//   - A passed line that is shaky at the goal or slower comes back the next day.
//     Shaky twice in a row, or missed once, on whatever day, it has slipped.
//   - Nothing tried above the goal counts against a line.
//   - A minute test that was held is a clean playing. One that was not says only
//     that the line was played: a minute asks for more than the line does.
func Apply(s routine.Standing, e routine.Entry, r Rule) routine.Standing {
	if !e.Outcome.Played() {
		return s
	}
	if e.Test && e.Outcome != routine.Clean {
		s.Last = e.Date
		return s
	}
	before := s
	s = played(s, e)
	if before.State == routine.Passed {
		return review(s, before, e, r)
	}
	return advance(s, e, r)
}

// played counts a playing, whatever state the line is in.
func played(s routine.Standing, e routine.Entry) routine.Standing {
	s.Dones = run(s.Dones, e.Outcome == routine.Done, e.To.IsZero() || s.Mark.Compare(e.To) == 0)
	s.Misses = run(s.Misses, e.Outcome == routine.Missed, true)
	s.Plays++
	s.Last = e.Date
	s.LastOutcome = e.Outcome
	if !e.To.IsZero() {
		s.Mark = e.To
	}
	if e.Outcome == routine.Clean && e.To.Compare(s.Best) > 0 {
		s.Best = e.To
	}
	return s
}

// run returns the length of a run of like outcomes after one more outcome: 0 if
// it is not alike, and 1 if it is but starts the run over.
func run(length int, alike, goesOn bool) int {
	switch {
	case !alike:
		return 0
	case !goesOn:
		return 1
	}
	return length + 1
}

// advance moves a line that has not passed.
func advance(s routine.Standing, e routine.Entry, r Rule) routine.Standing {
	if s.State == "" || s.State == routine.New || s.State == routine.Slipped {
		s.State = routine.Working
	}
	if e.Outcome == routine.Clean && r.reached(e.To) {
		if s.LastClean != e.Date {
			s.CleanDays++
			s.LastClean = e.Date
		}
		return promote(s, e.Date, r)
	}
	if s.Misses >= 2 && !r.above(e.To) && s.State != routine.Working {
		return fallBack(s, routine.Working)
	}
	return s
}

// promote gives a line that was clean at the goal on date the state its clean
// days have earned.
func promote(s routine.Standing, date routine.Date, r Rule) routine.Standing {
	switch enough := s.CleanDays >= max(1, r.CleanDays); {
	case enough && r.SignOff:
		s.State = routine.Ready
	case enough:
		return pass(s, date, r)
	default:
		s.State = routine.AtTempo
	}
	return s
}

// pass makes a line passed on date and sets its first review.
func pass(s routine.Standing, date routine.Date, r Rule) routine.Standing {
	s.State = routine.Passed
	s.PassedOn = date
	s.Review = 0
	s.Due = date + r.gap(0)
	return s
}

// review judges a playing of a passed line; before is how it stood.
func review(s, before routine.Standing, e routine.Entry, r Rule) routine.Standing {
	switch e.Outcome {
	case routine.Clean, routine.Done:
		if e.Date < s.Due {
			return s
		}
		if r.reached(e.To) {
			s.Review++
		}
		s.Due = e.Date + r.gap(s.Review)
	case routine.Shaky:
		if r.above(e.To) {
			return s
		}
		if before.LastOutcome == routine.Shaky {
			return fallBack(s, routine.Slipped)
		}
		s.Due = e.Date + 1
	case routine.Missed:
		if !r.above(e.To) {
			return fallBack(s, routine.Slipped)
		}
	}
	return s
}

// fallBack puts a line in an earlier state and takes its clean days away.
func fallBack(s routine.Standing, to routine.State) routine.Standing {
	s.State = to
	s.CleanDays, s.LastClean = 0, 0
	s.PassedOn, s.Review, s.Due = 0, 0, 0
	return s
}

// reached reports whether t is at the goal or faster. With a goal, no tempo is
// not at it.
func (r Rule) reached(t routine.Tempo) bool { return t.Compare(r.Goal) >= 0 }

// above reports whether t is faster than the goal, if there is one.
func (r Rule) above(t routine.Tempo) bool { return !r.Goal.IsZero() && t.Compare(r.Goal) > 0 }

// gap returns the days to the next review after the given number kept.
func (r Rule) gap(kept int) routine.Date {
	gaps := r.Gaps
	if len(gaps) == 0 {
		gaps = DefaultGaps()
	}
	return routine.Date(gaps[min(kept, len(gaps)-1)])
}

// An Act is something the teacher did to one line of one student in one pass.
type Act struct {
	Seq  int64           `json:"seq"` // from the same count as [routine.Entry]'s
	Date routine.Date    `json:"date"`
	Line routine.LineRef `json:"line"`
	Pass int             `json:"pass"`
	Kind ActKind         `json:"kind"`
	Mark routine.Tempo   `json:"mark,omitzero"` // for MoveBack: tempo to go on from; zero: where it was
}

// An ActKind is what the teacher did.
type ActKind string

// The acts.
const (
	SignOff  ActKind = "sign-off"  // heard it: it has passed
	MoveBack ActKind = "move back" // it works again
)

// MaySignOff reports whether a line stands so that the teacher may sign it off:
// at tempo, or ready.
func MaySignOff(s routine.Standing) bool {
	return s.State == routine.AtTempo || s.State == routine.Ready
}

// Decide returns how a line stands once the teacher's act a is added to s.
//
// A sign-off passes the line, whatever its state: [MaySignOff] is asked when the
// teacher signs, and a correction of the log that comes later does not undo
// what she heard. A line that passed before stays as it is. Moving back makes
// any line that was played working; its clean days start over and its last
// outcome is forgotten, so that the ladder begins at the mark it was moved to.
func Decide(s routine.Standing, a Act, r Rule) routine.Standing {
	switch a.Kind {
	case SignOff:
		if s.State != routine.Passed {
			return pass(s, a.Date, r)
		}
	case MoveBack:
		if s.Plays == 0 && s.State != routine.Passed {
			return s
		}
		s = fallBack(s, routine.Working)
		s.Misses, s.Dones, s.LastOutcome = 0, 0, ""
		if !a.Mark.IsZero() {
			s.Mark = a.Mark
		}
	}
	return s
}

// Stand returns how one line stands in one pass from all its entries and acts,
// which may come in any order. Entries that were superseded or withdrawn are
// not among them.
func Stand(entries []routine.Entry, acts []Act, r Rule) routine.Standing {
	var s routine.Standing
	for _, ev := range inOrder(entries, acts) {
		s = ev.fold(s, r)
	}
	return s
}

// An event is an entry or an act: one of the two is set.
type event struct {
	date  routine.Date
	seq   int64
	entry *routine.Entry
	act   *Act
}

// inOrder returns entries and acts by date, and by Seq within a date.
func inOrder(entries []routine.Entry, acts []Act) []event {
	events := make([]event, 0, len(entries)+len(acts))
	for i := range entries {
		events = append(events, event{entries[i].Date, entries[i].Seq, &entries[i], nil})
	}
	for i := range acts {
		events = append(events, event{acts[i].Date, acts[i].Seq, nil, &acts[i]})
	}
	slices.SortStableFunc(events, func(a, b event) int {
		return cmp.Or(cmp.Compare(a.date, b.date), cmp.Compare(a.seq, b.seq))
	})
	return events
}

func (ev event) fold(s routine.Standing, r Rule) routine.Standing {
	if ev.act != nil {
		return Decide(s, *ev.act, r)
	}
	return Apply(s, *ev.entry, r)
}
