package streaks

import (
	"slices"
	"time"

	"ledgerline/routine"
)

// A Calendar says on which dates a member is scheduled to play. All dates are
// local to the member. The zero Calendar is of someone who has not joined yet:
// it schedules nothing.
type Calendar struct {
	Joined routine.Date `json:"joined,omitzero"` // first date that counts; for a minor, not before the recorded consent
	Left   routine.Date `json:"left,omitzero"`   // last date that counts; none: still a member

	// Off are the days of the week without a routine, by the date from which
	// they hold, oldest first. Before the first, no day is off.
	Off []OffDays `json:"off,omitempty"`

	// Pauses are dates excused beforehand or by the teacher: holidays of the
	// studio, a student's travels, the months between leaving and coming back.
	Pauses []Pause `json:"pauses,omitempty"`

	// Missing are dates that the member's wall calendar never showed, because
	// the zone skipped them ([MissingDates]) or because she crossed the date
	// line. Nobody can play on them.
	Missing []routine.Date `json:"missing,omitempty"`
}

// OffDays are the days of the week without a routine, from a date on.
type OffDays struct {
	From routine.Date    `json:"from"`
	Off  routine.Weekday `json:"off"`
}

// A Pause is a range of dates, both ends included, on which nothing is expected.
type Pause struct {
	From   routine.Date   `json:"from"`
	To     routine.Date   `json:"to"`
	Excuse routine.Excuse `json:"excuse"`
}

// Scheduled reports whether the member would have a routine on d, pauses and
// excuses aside.
func (c *Calendar) Scheduled(d routine.Date) bool {
	return c.belongs(d) && c.OffOn(d)&(1<<d.Weekday()) == 0
}

// belongs reports whether d is a date of someone who has joined, consented and
// not left.
func (c *Calendar) belongs(d routine.Date) bool {
	return c.Joined != 0 && d >= c.Joined && (c.Left == 0 || d <= c.Left) && !slices.Contains(c.Missing, d)
}

// OffOn returns the days of the week that are off on d.
func (c *Calendar) OffOn(d routine.Date) routine.Weekday {
	for _, o := range slices.Backward(c.Off) {
		if o.From <= d {
			return o.Off
		}
	}
	return 0
}

// Paused returns the excuse of the pause that d falls in, if it does.
func (c *Calendar) Paused(d routine.Date) (routine.Excuse, bool) {
	for _, p := range c.Pauses {
		if p.From <= d && d <= p.To {
			return p.Excuse, true
		}
	}
	return "", false
}

// MissingDates returns the dates from from to to, both included, that the zone
// loc never had. There are few such dates in history: a zone that changes sides
// of the date line leaves one out.
func MissingDates(from, to routine.Date, loc *time.Location) []routine.Date {
	var missing []routine.Date
	t, _ := (from - 1).At(0, 0, loc)
	for {
		_, change := t.ZoneBounds()
		if change.IsZero() || routine.DateOf(change, loc) > to+1 {
			return missing
		}
		last := routine.DateOf(change.Add(-1), loc)
		for d := max(from, last+1); d <= to && d < routine.DateOf(change, loc); d++ {
			missing = append(missing, d)
		}
		t = change
	}
}
