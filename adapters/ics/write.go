package ics

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	ical "github.com/arran4/golang-ical"

	"ledgerline/studio"
)

const (
	lessonMinutes = 45 // a lesson's length is not known; this is a usual one
	yearsAhead    = 3  // for which the changes of a zone's clocks are written out
)

// Write writes lessons as a calendar of a name. The time of writing, now, is in
// every event, as the standard wants it.
func Write(w io.Writer, name string, events []Event, now time.Time) error {
	cal := ical.NewCalendarFor("Ledgerline")
	cal.SetXWRCalName(name)
	var zones []string
	for i, e := range events {
		start, err := time.Parse(studio.WallTime, e.Lesson.Start)
		if err != nil {
			return fmt.Errorf("lesson %q: %w", e.Summary, err)
		}
		if !slices.Contains(zones, e.Lesson.Zone) {
			zones = append(zones, e.Lesson.Zone)
			if err := addZone(cal, e.Lesson.Zone, start, now); err != nil {
				return err
			}
		}
		event := cal.AddEvent(fmt.Sprintf("%s-%d-%s@ledgerline", start.Format("20060102T1504"), i+1, slug(e.Summary)))
		event.SetDtStampTime(now.UTC())
		event.SetSummary(e.Summary)
		tzid := ical.WithTZID(e.Lesson.Zone)
		event.AddProperty(ical.ComponentPropertyDtStart, start.Format("20060102T150405"), tzid)
		event.AddProperty(ical.ComponentPropertyDuration, fmt.Sprintf("PT%dM", lessonMinutes))
		if e.Lesson.Rule != "" {
			event.AddRrule(e.Lesson.Rule)
		}
		for _, out := range e.Lesson.Except {
			t, err := time.Parse(studio.WallTime, out)
			if err != nil {
				return fmt.Errorf("lesson %q, left out: %w", e.Summary, err)
			}
			event.AddExdate(t.Format("20060102T150405"), tzid)
		}
	}
	return cal.SerializeTo(w, ical.WithNewLineWindows)
}

func slug(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(s))
}

// addZone writes out what a zone's clocks do from a time on: each change to them
// as an observance of its own.
func addZone(cal *ical.Calendar, zone string, from, now time.Time) error {
	loc, err := time.LoadLocation(zone)
	if err != nil {
		return fmt.Errorf("lesson in zone %q: %w", zone, err)
	}
	tz := cal.AddTimezone(zone)
	at := time.Date(from.Year()-1, 12, 31, 0, 0, 0, 0, time.UTC).In(loc)
	end := now.AddDate(yearsAhead, 0, 0)
	_, before := at.Zone()
	observe(tz, at, before)
	for at.Before(end) {
		_, change := at.ZoneBounds()
		if change.IsZero() {
			break
		}
		_, was := change.Add(-time.Second).Zone()
		observe(tz, change, was)
		at = change
	}
	return nil
}

// observe adds that a zone's clocks show something else from an instant on than
// the offset before, in seconds.
func observe(tz *ical.VTimezone, at time.Time, before int) {
	name, offset := at.Zone()
	shown := at.UTC().Add(time.Duration(before) * time.Second) // by the clocks of before
	base := ical.ComponentBase{}
	base.AddProperty(ical.ComponentPropertyDtStart, shown.Format("20060102T150405"))
	base.AddProperty(ical.ComponentProperty(ical.PropertyTzoffsetfrom), utcOffset(before))
	base.AddProperty(ical.ComponentProperty(ical.PropertyTzoffsetto), utcOffset(offset))
	base.AddProperty(ical.ComponentProperty(ical.PropertyTzname), name)
	if at.IsDST() {
		tz.Components = append(tz.Components, &ical.Daylight{ComponentBase: base})
		return
	}
	tz.Components = append(tz.Components, &ical.Standard{ComponentBase: base})
}

// utcOffset writes an offset as RFC 5545, 3.3.14, has it: "-0500".
func utcOffset(seconds int) string {
	sign := "+"
	if seconds < 0 {
		sign, seconds = "-", -seconds
	}
	return fmt.Sprintf("%s%02d%02d", sign, seconds/3600, seconds/60%60)
}
