package routine

import (
	"fmt"
	"time"
)

// A Date is a civil date of the proleptic Gregorian calendar, counted in days
// from 1970-01-01. Dates compare and subtract as numbers: d+1 is the day after
// d. The zero Date means "no date"; nobody logs practice for 1970-01-01.
type Date int32

// NewDate returns the date of the given year, month and day. Days outside the
// month overflow as in [time.Date].
func NewDate(year int, month time.Month, day int) Date {
	return Date(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / secondsPerDay)
}

const secondsPerDay = 24 * 60 * 60

// DateOf returns the date on the wall calendar of loc at the instant t.
func DateOf(t time.Time, loc *time.Location) Date {
	y, m, d := t.In(loc).Date()
	return NewDate(y, m, d)
}

// ParseDate reads a calendar date in the extended format of ISO 8601
// (2026-03-04).
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, fmt.Errorf("date %q: write it as year-month-day, for example 2026-03-04", s)
	}
	return NewDate(t.Date()), nil
}

// utc returns midnight UTC of the date, for calendar arithmetic only.
func (d Date) utc() time.Time { return time.Unix(int64(d)*secondsPerDay, 0).UTC() }

// Calendar returns the year, month and day of d.
func (d Date) Calendar() (year int, month time.Month, day int) { return d.utc().Date() }

// Weekday returns the day of the week of d.
func (d Date) Weekday() time.Weekday { return d.utc().Weekday() }

// ISOWeek returns the ISO 8601 year and week number in which d occurs.
func (d Date) ISOWeek() (year, week int) { return d.utc().ISOWeek() }

// Monday returns the first day of the ISO week that d is in.
func (d Date) Monday() Date { return d - Date((int(d.Weekday())+6)%7) }

// At returns the first instant at which the clocks of loc show the date d and
// a time of day not before hour:minute. Where the clocks skip that time, it is
// the instant they skip to; where they show it twice, it is the first of the
// two. On a date the zone never had it is the first instant after the gap, and
// ok is false.
func (d Date) At(hour, minute int, loc *time.Location) (t time.Time, ok bool) {
	wall := int64(d)*secondsPerDay + int64(hour)*3600 + int64(minute)*60
	shown := func(unix int64) int64 {
		_, offset := time.Unix(unix, 0).In(loc).Zone()
		return unix + int64(offset)
	}
	// No zone is more than 26 hours from UTC, and offsets change on whole
	// minutes at the finest in living memory; step to each transition in the
	// window and take the first stretch that reaches the wanted wall time.
	at := wall - 26*3600
	for end := wall + 26*3600; at < end; {
		if shown(at) >= wall {
			break
		}
		_, next := time.Unix(at, 0).In(loc).ZoneBounds()
		need := at + (wall - shown(at))
		if !next.IsZero() && next.Unix() <= need {
			at = next.Unix()
			continue
		}
		at = need
	}
	t = time.Unix(at, 0).In(loc)
	return t, DateOf(t, loc) == d
}

// String returns d in the extended format of ISO 8601, or "" for no date.
func (d Date) String() string {
	if d == 0 {
		return ""
	}
	return d.utc().Format(time.DateOnly)
}

// MarshalText implements [encoding.TextMarshaler].
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler]; empty text is no date.
func (d *Date) UnmarshalText(text []byte) (err error) {
	if len(text) == 0 {
		*d = 0
		return nil
	}
	*d, err = ParseDate(string(text))
	return err
}
