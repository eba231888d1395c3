package streaks

import "ledgerline/routine"

// A Challenge is a goal for the whole studio: of all the days on which its
// members are scheduled to play from From to To, both included, the share Goal
// is kept. Nobody is ranked, and nobody can do more than her own days.
type Challenge struct {
	From, To routine.Date
	Goal     float64 // above 0 and at most 1
}

// An Entrant is one member of the studio as a challenge counts her. Who joins or
// leaves on the way counts from or to that date, and excused days not at all.
type Entrant struct {
	Calendar Calendar
	Days     []Day        // by date; see [Kinds]
	Settled  routine.Date // last date whose cut-off has passed, where she is
}

// A Score is how far a challenge has come, in days of all entrants together.
type Score struct {
	Kept   int // days kept
	Missed int // days missed
	Open   int // days that may still be kept
	Goal   float64
}

// ScoreOf returns the score of a challenge. It is counted from the log each
// time, so a correction changes it, and what ties with the goal has reached it.
func ScoreOf(ch Challenge, entrants []Entrant) Score {
	s := Score{Goal: ch.Goal}
	for _, e := range entrants {
		for _, k := range Kinds(e.Calendar, e.Days, ch.From, ch.To, e.Settled) {
			switch k {
			case Kept:
				s.Kept++
			case Missed:
				s.Missed++
			case Open:
				s.Open++
			}
		}
	}
	return s
}

// Share returns the part of the days so far that was kept, and 0 before the
// first.
func (s Score) Share() float64 {
	if s.Kept == 0 {
		return 0
	}
	return float64(s.Kept) / float64(s.Kept+s.Missed)
}

// Reached reports whether the goal is reached even if no open day is kept.
func (s Score) Reached() bool {
	return s.planned() > 0 && atLeast(float64(s.Kept), s.Goal*s.planned())
}

// Reachable reports whether the goal is reached if every open day is kept.
func (s Score) Reachable() bool {
	return s.planned() > 0 && atLeast(float64(s.Kept+s.Open), s.Goal*s.planned())
}

// Needed returns how many of the open days must be kept to reach the goal; more
// than are open if it can't be reached.
func (s Score) Needed() int {
	needed := 0
	for !atLeast(float64(s.Kept+needed), s.Goal*s.planned()) {
		needed++
	}
	return needed
}

func (s Score) planned() float64 { return float64(s.Kept + s.Missed + s.Open) }

// atLeast compares counts of days, forgiving the rounding of a share such as
// 0.8 of 365 days.
func atLeast(have, want float64) bool { return have >= want-1e-9 }
