package routine

import (
	"maps"
	"slices"
)

// Preview returns the routines of the given number of days from in.Date on, as
// they would be if each were played as set and every item were clean. A day off
// has a routine without items.
//
// It is a look ahead, no promise: whether a line passes or a pass ends is not
// foreseen, and what is only so today (the minutes at hand, the quiet, the
// instrument) counts for the first day alone.
func Preview(in Input, days int) []Routine {
	in.Standings = maps.Clone(in.Standings)
	if in.Standings == nil {
		in.Standings = map[StandingKey]Standing{}
	}
	if in.Tested = maps.Clone(in.Tested); in.Tested == nil {
		in.Tested = map[StudyRef]Date{}
	}
	in.History.Days = slices.Clone(in.History.Days)
	routines := make([]Routine, 0, max(0, days))
	for range days {
		r := Routine{Date: in.Date, Number: max(1, in.Number), Note: Reason{Kind: DayOff}}
		if in.Player.plays(in.Date) && !slices.Contains(in.Free, in.Date) {
			r = Build(in)
			in.play(r)
		}
		routines = append(routines, r)
		in.Date++
		in.Number, in.Minutes, in.Quiet, in.Instrument = 1, 0, false, ""
	}
	return routines
}

// play adds to the standings and the history that r was played as set.
func (in *Input) play(r Routine) {
	d := DayLog{Date: r.Date, Kept: len(r.Items) > 0}
	for i := range r.Items {
		it := &r.Items[i]
		d.Minutes += it.Minutes
		if it.Hard {
			d.Hard = true
			d.Strenuous += it.Minutes
		}
		if it.Test {
			in.Tested[it.Study] = r.Date
		}
		for _, l := range it.Lines {
			key := StandingKey{l, it.Pass}
			in.Standings[key] = in.Standings[key].asSet(r.Date, it.To)
		}
	}
	in.History.Days = append(in.History.Days, d)
}

// asSet returns how a line stands after it was clean at a tempo. A passed line
// that was reviewed is not due again soon.
func (s Standing) asSet(date Date, to Tempo) Standing {
	switch s.State {
	case Passed:
		s.Due = date + max(1, 2*(date-s.Last))
	case "", New, Slipped:
		s.State = Working
	}
	s.Mark, s.Last, s.LastOutcome = to, date, Clean
	s.Plays++
	s.Misses, s.Dones = 0, 0
	return s
}
