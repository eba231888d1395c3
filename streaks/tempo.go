package streaks

import (
	"cmp"
	"slices"

	"ledgerline/routine"
	"ledgerline/streaks/forecast"
)

// Sessions returns what entries of one line in one pass say of the player's
// tempo, one session a date and by date, in beats a minute of the given note.
// Entries may come in any order. Of several on one date the fastest clean one
// stands, or if none was clean, the one that vouches for most. Entries that say
// nothing of how it went are left out, and so are minute tests not held.
func Sessions(entries []routine.Entry, note routine.NoteValue) []forecast.Session {
	var sessions []forecast.Session
	for _, e := range entries {
		if e.Test && e.Outcome != routine.Clean {
			continue
		}
		if s, ok := forecast.Played(e.Date, e.To.In(note).BPM, e.Outcome); ok {
			sessions = append(sessions, s)
		}
	}
	slices.SortStableFunc(sessions, func(a, b forecast.Session) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date),
			cmp.Compare(b.Clean(), a.Clean()), cmp.Compare(b.Low, a.Low))
	})
	return slices.CompactFunc(sessions, func(a, b forecast.Session) bool { return a.Date == b.Date })
}

// ForecastOf says when a line is likely to be clean at the goal, from its entries
// in one pass. A line whose tempo the teacher has locked can't be forecast: its
// entries say nothing of how fast it could go.
func ForecastOf(entries []routine.Entry, goal routine.Tempo, today routine.Date) forecast.Forecast {
	return forecast.Reach(Sessions(entries, goal.Note), goal.BPM, today)
}

// A Stuck is a line that has stopped moving.
type Stuck struct {
	Key   routine.StandingKey
	Best  routine.Tempo // fastest that was clean
	Since routine.Date  // date of it, or of the first entry known
	Try   Remedy
}

// A Remedy is what the trade does about a line that has stopped moving. It is
// for the teacher to weigh.
type Remedy string

// The remedies (common practice).
const (
	DropAndShorten     Remedy = "drop two marks and shorten"
	ChangeArticulation Remedy = "change the articulation"
	AlternateFingering Remedy = "alternate fingering"
	LeaveAWeek         Remedy = "leave it a week"
)

// StuckOf judges a working line by its entries in one pass, as
// [forecast.Judge] does; false if it is moving or too little is known. It is not
// for lines whose tempo is locked.
//
// The remedy is picked by a rule of thumb: six weeks and more without gain, leave
// it a week; missed in half of the playings of the last three weeks or more, drop
// two marks and shorten; four weeks and more, alternate fingering; otherwise
// change the articulation.
func StuckOf(key routine.StandingKey, s routine.Standing, entries []routine.Entry, today routine.Date) (Stuck, bool) {
	p := forecast.Judge(Sessions(entries, cmp.Or(s.Mark.Note, routine.Quarter)), today)
	if !p.Flat {
		return Stuck{}, false
	}
	stuck := Stuck{Key: key, Best: s.Best, Since: p.Since, Try: ChangeArticulation}
	if stuck.Since == 0 {
		stuck.Since = slices.MinFunc(entries, func(a, b routine.Entry) int { return cmp.Compare(a.Date, b.Date) }).Date
	}
	missed, played := 0, 0
	for _, e := range entries {
		if e.Date > today-forecast.Window && e.Outcome.Played() {
			played++
			if e.Outcome == routine.Missed {
				missed++
			}
		}
	}
	switch days := today - stuck.Since; {
	case days >= 42:
		stuck.Try = LeaveAWeek
	case 2*missed >= played:
		stuck.Try = DropAndShorten
	case days >= 28:
		stuck.Try = AlternateFingering
	}
	return stuck, true
}
