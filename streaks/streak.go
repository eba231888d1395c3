package streaks

import (
	"time"

	"ledgerline/routine"
)

// A State is a streak up to the last settled date: everything needed to settle
// the next one. The zero State is of someone who has not begun.
//
// The streak is the number of scheduled days kept one after another. A day off,
// an excused day, a pause and an extra day neither break nor lengthen it. The
// weeks kept are counted beside it, and lead: they forgive a single miss.
type State struct {
	Through routine.Date `json:"through,omitzero"` // last settled date
	Current int          `json:"current"`          // days kept in a row
	Longest int          `json:"longest"`          // most days ever kept in a row

	Weeks        int `json:"weeks"`         // weeks kept in a row
	LongestWeeks int `json:"longest_weeks"` // most weeks ever kept in a row
	TotalWeeks   int `json:"total_weeks"`   // weeks kept in all

	Week    Week `json:"week"`              // the ISO week that Through is in, so far
	Hurting bool `json:"hurting,omitempty"` // pain was reported and is not said to be gone
}

// A Week is the count of one ISO week's scheduled days, or of part of one.
type Week struct {
	Planned int `json:"planned"` // scheduled and not excused
	Kept    int `json:"kept"`    // of those, played
}

// Met reports whether the week is kept: all planned days but one, and at least
// one. A week with nothing planned is not kept, and not broken either.
func (w Week) Met() bool { return w.Kept >= max(1, w.Planned-1) }

// add counts a day of the given kind.
func (w *Week) add(k Kind) {
	switch k {
	case Kept:
		w.Planned++
		w.Kept++
	case Missed, Open:
		w.Planned++
	}
}

// Advance settles the dates after st.Through up to and including through, the
// last date whose cut-off has passed, and returns the new state. Days are by
// date, one a date; a date without one had nothing logged. Days already settled
// are passed over, and through before st.Through changes nothing.
//
// After a reply about a settled date, or a change of the calendar's past, advance
// the zero State over all days again.
func Advance(st State, c Calendar, days []Day, through routine.Date) State {
	if c.Joined == 0 {
		return st
	}
	st.Through = max(st.Through, c.Joined-1)
	for day := range datesOf(days, st.Through+1, through) {
		st.settle(c.kind(day, st.Hurting), day.Date)
		st.Hurting = day.HurtsAfter(st.Hurting)
	}
	return st
}

// settle counts one date of the given kind, and judges the week if it is a Sunday.
func (st *State) settle(k Kind, date routine.Date) {
	st.Through = date
	st.count(k, date)
	if date.Weekday() == time.Sunday {
		if st.Week.Planned > 0 && !st.Week.Met() {
			st.Weeks = 0
		}
		st.countWeek()
	}
}

// count lengthens or breaks the streak, and adds the date to its week.
func (st *State) count(k Kind, date routine.Date) {
	if date.Weekday() == time.Monday {
		st.Week = Week{}
	}
	st.Week.add(k)
	switch k {
	case Kept:
		st.Current++
		st.Longest = max(st.Longest, st.Current)
	case Missed:
		st.Current = 0
	}
}

// countWeek lengthens the weeks kept, if the week is met.
func (st *State) countWeek() {
	if st.Week.Met() {
		st.Weeks++
		st.TotalWeeks++
		st.LongestWeeks = max(st.LongestWeeks, st.Weeks)
	}
}

// A Tally is what a student is shown: the settled state with the days still
// open on top. Weeks lead; the streak comes second.
type Tally struct {
	Weeks, LongestWeeks, TotalWeeks int  // with this week, once it is met
	ThisWeek                        Week // the ISO week today is in, to its end
	Streak, Longest                 int  // with today, once it is played
}

// Tally returns the figures as they stand today. Tail holds the days after
// st.Through, by date, and today is not before it. An open day that was played counts; one that was not
// breaks nothing yet.
func (st State) Tally(c Calendar, tail []Day, today routine.Date) Tally {
	var t Tally
	if c.Joined == 0 {
		return t
	}
	for day := range datesOf(tail, max(st.Through+1, c.Joined), today.Monday()+6) {
		k := c.kind(day, st.Hurting)
		st.Hurting = day.HurtsAfter(st.Hurting)
		if k == Missed {
			k = Open
		}
		st.count(k, day.Date)
		if day.Date.Weekday() == time.Sunday {
			st.countWeek()
		}
	}
	t.ThisWeek = st.Week
	t.Weeks, t.LongestWeeks, t.TotalWeeks = st.Weeks, st.LongestWeeks, st.TotalWeeks
	t.Streak, t.Longest = st.Current, st.Longest
	return t
}

// Weeks returns the count of each ISO week in kinds, which begin on a Monday.
func Weeks(kinds []Kind) []Week {
	weeks := make([]Week, (len(kinds)+6)/7)
	for i, k := range kinds {
		weeks[i/7].add(k)
	}
	return weeks
}
