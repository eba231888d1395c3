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

// MinuteTests returns what the minute tests among entries of one line in one pass
// say, like [Sessions]: held, and the tempo was found; not held, and it was too
// fast. Of several on one date the fastest held stands, or the slowest not held.
func MinuteTests(entries []routine.Entry, note routine.NoteValue) []forecast.Session {
	var tests []forecast.Session
	for _, e := range entries {
		switch bpm := e.To.In(note).BPM; {
		case !e.Test || e.To.IsZero() || !e.Outcome.Played() || e.Outcome == routine.Done:
		case e.Outcome == routine.Clean:
			tests = append(tests, forecast.Measured(e.Date, bpm))
		default:
			tests = append(tests, forecast.Session{Date: e.Date, High: bpm})
		}
	}
	slices.SortStableFunc(tests, func(a, b forecast.Session) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(b.Clean(), a.Clean()), cmp.Compare(a.High, b.High))
	})
	return slices.CompactFunc(tests, func(a, b forecast.Session) bool { return a.Date == b.Date })
}

// MinuteForecastOf says when a minute test of a line is likely to be held at the
// goal, from its entries in one pass.
func MinuteForecastOf(entries []routine.Entry, goal routine.Tempo, today routine.Date) forecast.Forecast {
	return forecast.Reach(MinuteTests(entries, goal.Note), goal.BPM, today)
}

// ForecastOf says when a line is likely to be clean at the goal, from its entries
// in one pass. A line whose tempo the teacher has locked can't be forecast: its
// entries say nothing of how fast it could go.
func ForecastOf(entries []routine.Entry, goal routine.Tempo, today routine.Date) forecast.Forecast {
	return forecast.Reach(Sessions(entries, goal.Note), goal.BPM, today)
}

// A Stuck is a line that has stopped moving, or lines of one study in one pass that
// have stopped together.
type Stuck struct {
	Lines []routine.StandingKey // in order
	Best  routine.Tempo         // of a single line: fastest that was clean, if any
	Since routine.Date          // date of it; of several lines, half or more were no faster since
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

// StuckLines finds the working lines of a record that have stopped moving by the
// day called today, as [forecast.Judge] says it: all the lines of a study in one
// pass together if they have, and else each that has. A line whose tempo is locked
// is never stuck. They come in order of the book.
func StuckLines(r Record, today routine.Date) []Stuck {
	entries := map[routine.StandingKey][]routine.Entry{}
	for _, e := range r.Entries {
		for _, line := range e.Lines {
			key := routine.StandingKey{Line: line, Pass: e.Pass}
			entries[key] = append(entries[key], e)
		}
	}
	var all []Stuck
	var study []routine.StandingKey // working lines of the study that is being gathered
	judge := func() {
		all = append(all, stuckIn(study, entries, r, today)...)
		study = nil
	}
	for _, key := range sortedKeys(r.After) {
		if r.After[key].State != routine.Working || r.Locked[key] || len(entries[key]) == 0 {
			continue
		}
		if len(study) > 0 && (study[0].Line.StudyRef() != key.Line.StudyRef() || study[0].Pass != key.Pass) {
			judge()
		}
		study = append(study, key)
	}
	judge()
	return all
}

// stuckIn judges the lines of one study in one pass.
func stuckIn(lines []routine.StandingKey, entries map[routine.StandingKey][]routine.Entry, r Record, today routine.Date) []Stuck {
	if len(lines) > 1 {
		if stuck, ok := stuckOf(lines, entries, r, today); ok {
			return []Stuck{stuck}
		}
	}
	var all []Stuck
	for i := range lines {
		if stuck, ok := stuckOf(lines[i:i+1], entries, r, today); ok {
			all = append(all, stuck)
		}
	}
	return all
}

// stuckOf judges lines together.
func stuckOf(lines []routine.StandingKey, entries map[routine.StandingKey][]routine.Entry, r Record, today routine.Date) (Stuck, bool) {
	sessions := make([][]forecast.Session, len(lines))
	for i, key := range lines {
		sessions[i] = Sessions(entries[key], cmp.Or(r.After[key].Mark.Note, routine.Quarter))
	}
	p := forecast.Judge(sessions, today)
	if !p.Flat {
		return Stuck{}, false
	}
	stuck := Stuck{Lines: slices.Clone(lines), Since: p.Since}
	if len(lines) == 1 {
		stuck.Best = r.After[lines[0]].Best
	}
	stuck.Try = remedy(today-p.Since, missedHalf(lines, entries, today), r.Skills[lines[0].Line.StudyRef()])
	return stuck, true
}

// missedHalf reports whether half or more of the playings of the last three weeks
// were missed.
func missedHalf(lines []routine.StandingKey, entries map[routine.StandingKey][]routine.Entry, today routine.Date) bool {
	missed, played := 0, 0
	for _, key := range lines {
		for _, e := range entries[key] {
			if e.Date > today-forecast.Window && e.Outcome.Played() {
				played++
				if e.Outcome == routine.Missed {
					missed++
				}
			}
		}
	}
	return 2*missed >= played
}

// remedy is picked by a rule of thumb: six weeks and more without gain, leave it a
// week; half of the playings of the last three weeks missed, drop two marks and
// shorten; four weeks and more, alternate fingering; otherwise change the
// articulation. Slurs over the partials stay slurred, so there it is the fingering
// at once.
func remedy(days routine.Date, missedHalf bool, skill routine.Skill) Remedy {
	switch {
	case days >= 42:
		return LeaveAWeek
	case missedHalf:
		return DropAndShorten
	case days >= 28 || skill == routine.Flexibility:
		return AlternateFingering
	}
	return ChangeArticulation
}
