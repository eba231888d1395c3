package studio

import (
	"fmt"
	"time"

	"github.com/robfig/cron/v3"

	"ledgerline/routine"
)

// never is the cron spec of what is switched off.
const never = "never"

// CheckSpec reports what is wrong with a time of posting: a five-field cron
// spec or "never".
func CheckSpec(spec string) error {
	if spec == never {
		return nil
	}
	if _, err := cron.ParseStandard(spec); err != nil {
		return fmt.Errorf(`time %q: write five fields, minute hour day month weekday, for example "0 7 * * *" for every day at seven, or "never"`, spec)
	}
	return nil
}

// nextAt returns the first instant after the given one at which spec falls due
// by the wall clock of loc, and the local date it is for. A wall time that the
// clocks skip falls due where they skip to; one they show twice, the first time
// only. ok is false if it never falls due.
func nextAt(spec string, after time.Time, loc *time.Location) (at time.Time, date routine.Date, ok bool) {
	if spec == never {
		return time.Time{}, 0, false
	}
	schedule, err := cron.ParseStandard(spec)
	if err != nil {
		return time.Time{}, 0, false
	}
	// The spec is followed on a calendar without gaps, and each wall time then
	// placed in the zone: the cron library would leave out a skipped hour.
	y, m, d := after.In(loc).Date()
	wall := time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Add(-time.Second)
	for {
		wall = schedule.Next(wall)
		if wall.IsZero() {
			return time.Time{}, 0, false
		}
		date = routine.NewDate(wall.Date())
		at, exists := date.At(wall.Hour(), wall.Minute(), loc)
		if exists && at.After(after) {
			return at, date, true
		}
	}
}

// quietUntil returns the end of the member's quiet hours if at is in them, and
// at itself otherwise.
func quietUntil(m *Member, at time.Time) time.Time {
	loc := m.Location()
	local := at.In(loc)
	if !m.Quiet.Contains(local.Hour()*60 + local.Minute()) {
		return at
	}
	date := routine.DateOf(at, loc)
	end, _ := date.At(m.Quiet.To/60, m.Quiet.To%60, loc)
	if !end.After(at) {
		end, _ = (date + 1).At(m.Quiet.To/60, m.Quiet.To%60, loc)
	}
	return end
}

// cutOff returns the instant after which a reply for the date no longer counts
// for the streak.
func cutOff(st *Studio, m *Member, d routine.Date) time.Time {
	return m.endOf(d).Add(time.Duration(st.CutOff) * time.Hour)
}
