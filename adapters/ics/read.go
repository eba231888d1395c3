package ics

import (
	"fmt"
	"io"
	"strings"
	"time"

	ical "github.com/arran4/golang-ical"

	"ledgerline/studio"
)

// An Event is a lesson with what the file calls it.
type Event struct {
	Summary string
	Lesson  studio.Lesson
}

// Read returns the events of a file. Times without a zone are in the given one.
func Read(r io.Reader, zone string) ([]Event, error) {
	cal, err := ical.ParseCalendar(r)
	if err != nil {
		return nil, fmt.Errorf("this is no iCalendar file: %w", err)
	}
	var events []Event
	masters := map[string]int{} // place of the event with a rule, by UID
	var moved []*ical.VEvent
	for _, e := range cal.Events() {
		switch {
		case e.GetProperty(ical.ComponentPropertyRecurrenceId) != nil:
			moved = append(moved, e)
			continue
		case passedOver(e):
			continue
		}
		some, err := eventsOf(e, zone)
		if err != nil {
			return nil, fmt.Errorf("event “%s”: %w", textOf(e, ical.ComponentPropertySummary), err)
		}
		masters[e.Id()] = len(events)
		events = append(events, some...)
	}
	for _, e := range moved {
		if events, err = move(events, masters, e, zone); err != nil {
			return nil, fmt.Errorf("event “%s”: %w", textOf(e, ical.ComponentPropertySummary), err)
		}
	}
	return events, nil
}

// passedOver reports whether an event is cancelled or of whole days.
func passedOver(e *ical.VEvent) bool {
	start := e.GetProperty(ical.ComponentPropertyDtStart)
	return strings.EqualFold(textOf(e, ical.ComponentPropertyStatus), "CANCELLED") || start != nil && len(start.Value) == len("20060102")
}

func textOf(e *ical.VEvent, name ical.ComponentProperty) string {
	if p := e.GetProperty(name); p != nil {
		return p.Value
	}
	return ""
}

// eventsOf returns the lesson of an event, and one for each further date.
func eventsOf(e *ical.VEvent, zone string) ([]Event, error) {
	start := e.GetProperty(ical.ComponentPropertyDtStart)
	if start == nil {
		return nil, fmt.Errorf("it has no DTSTART")
	}
	first := Event{Summary: textOf(e, ical.ComponentPropertySummary)}
	var err error
	if first.Lesson.Start, first.Lesson.Zone, err = wallTime(start, start.Value, zone); err != nil {
		return nil, err
	}
	first.Lesson.Rule = textOf(e, ical.ComponentPropertyRrule)
	for _, p := range e.GetProperties(ical.ComponentPropertyExdate) {
		for value := range strings.SplitSeq(p.Value, ",") {
			out, err := wallIn(p, value, first.Lesson.Zone)
			if err != nil {
				return nil, err
			}
			first.Lesson.Except = append(first.Lesson.Except, out)
		}
	}
	if err := first.Lesson.Check(); err != nil {
		return nil, err
	}
	events := []Event{first}
	for _, p := range e.GetProperties(ical.ComponentPropertyRdate) {
		for value := range strings.SplitSeq(p.Value, ",") {
			single := Event{Summary: first.Summary}
			if single.Lesson.Start, single.Lesson.Zone, err = wallTime(p, value, zone); err != nil {
				return nil, err
			}
			events = append(events, single)
		}
	}
	return events, nil
}

// move takes a lesson out of its rule and puts it where it was moved to.
func move(events []Event, masters map[string]int, e *ical.VEvent, zone string) ([]Event, error) {
	at, known := masters[e.Id()]
	if !known {
		return events, nil
	}
	id := e.GetProperty(ical.ComponentPropertyRecurrenceId)
	out, err := wallIn(id, id.Value, events[at].Lesson.Zone)
	if err != nil {
		return nil, err
	}
	events[at].Lesson.Except = append(events[at].Lesson.Except, out)
	if passedOver(e) {
		return events, nil
	}
	start := e.GetProperty(ical.ComponentPropertyDtStart)
	if start == nil {
		return nil, fmt.Errorf("it has no DTSTART")
	}
	single := Event{Summary: events[at].Summary}
	single.Lesson.Start, single.Lesson.Zone, err = wallTime(start, start.Value, zone)
	return append(events, single), err
}

// wallTime reads a date with time and says in which zone it is.
func wallTime(p *ical.IANAProperty, value, zone string) (wall, in string, err error) {
	in = zone
	if ids := p.ICalParameters["TZID"]; len(ids) > 0 {
		in = strings.Trim(ids[0], `"`)
	}
	digits, utc := strings.CutSuffix(value, "Z")
	if utc {
		in = "UTC"
	}
	if _, err := time.LoadLocation(in); err != nil || in == "Local" {
		return "", "", fmt.Errorf("%q is no zone this machine knows: write an IANA name, for example Europe/Berlin", in)
	}
	t, err := time.Parse("20060102T150405", digits)
	if err != nil {
		return "", "", fmt.Errorf("%q is no date with a time: write, for example, 20260305T163000", value)
	}
	return t.Format(studio.WallTime), in, nil
}

// wallIn reads a date with time and returns it as the clocks of a zone show it.
func wallIn(p *ical.IANAProperty, value, zone string) (string, error) {
	wall, in, err := wallTime(p, value, zone)
	if err != nil || in == zone {
		return wall, err
	}
	from, err := time.LoadLocation(in)
	if err != nil {
		return "", err
	}
	to, err := time.LoadLocation(zone)
	if err != nil {
		return "", fmt.Errorf("%q is no zone this machine knows", zone)
	}
	t, err := time.ParseInLocation(studio.WallTime, wall, from)
	return t.In(to).Format(studio.WallTime), err
}
