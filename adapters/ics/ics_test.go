package ics

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

func calendar(events ...string) string {
	var b strings.Builder
	b.WriteString("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//test//EN\r\n")
	for _, e := range events {
		b.WriteString("BEGIN:VEVENT\r\n" + strings.ReplaceAll(e, "\n", "\r\n") + "\r\nEND:VEVENT\r\n")
	}
	b.WriteString("END:VCALENDAR\r\n")
	return b.String()
}

// starts returns when lessons begin in a year, as New York's clocks show it.
func starts(t *testing.T, events []Event, year int) (all []string) {
	t.Helper()
	loc, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range events {
		some, err := e.Lesson.Between(time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(year, 12, 31, 0, 0, 0, 0, time.UTC))
		if err != nil {
			t.Fatal(err)
		}
		for _, at := range some {
			all = append(all, at.In(loc).Format("01-02 15:04"))
		}
	}
	slices.Sort(all)
	return all
}

// The rules, EXDATE and RDATE are examples of RFC 5545 (3.8.5.1 to 3.8.5.3) or put
// together from them.
func TestReadRFC5545(t *testing.T) {
	for _, tt := range []struct {
		name   string
		events []string
		want   []string
	}{
		{"weekly for 10 occurrences", []string{"UID:1\nSUMMARY:Lesson: Ada\nDTSTART;TZID=America/New_York:19970902T090000\nRRULE:FREQ=WEEKLY;COUNT=10"},
			[]string{"09-02 09:00", "09-09 09:00", "09-16 09:00", "09-23 09:00", "09-30 09:00", "10-07 09:00", "10-14 09:00", "10-21 09:00", "10-28 09:00", "11-04 09:00"}},
		{"with dates left out", []string{"UID:1\nSUMMARY:Ada\nDTSTART;TZID=America/New_York:19970902T090000\nRRULE:FREQ=WEEKLY;COUNT=4\nEXDATE;TZID=America/New_York:19970909T090000\nEXDATE:19970916T130000Z"},
			[]string{"09-02 09:00", "09-23 09:00"}},
		{"single dates", []string{"UID:1\nSUMMARY:Ada\nDTSTART:19970714T123000Z\nRDATE;TZID=America/New_York:19970715T083000,19970720T100000"},
			[]string{"07-14 08:30", "07-15 08:30", "07-20 10:00"}},
		{"one moved, one cancelled", []string{
			"UID:7\nSUMMARY:Ada\nDTSTART;TZID=America/New_York:19970902T090000\nRRULE:FREQ=WEEKLY;COUNT=4",
			"UID:7\nSUMMARY:Ada\nRECURRENCE-ID;TZID=America/New_York:19970909T090000\nDTSTART;TZID=America/New_York:19970910T150000",
			"UID:7\nSUMMARY:Ada\nSTATUS:CANCELLED\nRECURRENCE-ID;TZID=America/New_York:19970916T090000\nDTSTART;TZID=America/New_York:19970916T090000"},
			[]string{"09-02 09:00", "09-10 15:00", "09-23 09:00"}},
		{"a whole day, and a cancelled event", []string{"UID:1\nSUMMARY:Fair\nDTSTART;VALUE=DATE:19970714", "UID:2\nSUMMARY:Ada\nSTATUS:CANCELLED\nDTSTART:19970714T123000Z"}, nil},
		{"no zone: the studio's", []string{"UID:1\nSUMMARY:Ada\nDTSTART:19971118T140000"}, []string{"11-18 09:00"}},
	} {
		events, err := Read(strings.NewReader(calendar(tt.events...)), "Europe/London")
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if got := starts(t, events, 1997); !slices.Equal(got, tt.want) {
			t.Errorf("%s:\n got %v\nwant %v", tt.name, got, tt.want)
		}
	}
}

func TestReadSaysWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		"nothing": "no iCalendar file",
		calendar("UID:1\nSUMMARY:Ada\nDTSTART;TZID=Mars/Base:19970902T090000"):         "“Ada”: \"Mars/Base\" is no zone",
		calendar("UID:1\nSUMMARY:Ada\nDTSTART:soon-enough"):                            "no date with a time",
		calendar("UID:1\nSUMMARY:Ada\nDTSTART:19970902T090000Z\nRRULE:FREQ=SOMETIMES"): "no rule of RFC 5545",
		calendar("UID:1\nSUMMARY:Ada"):                                                 "no DTSTART",
	} {
		if _, err := Read(strings.NewReader(text), "Europe/London"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.60q: %v, want %q", text, err, want)
		}
	}
}

// What is written is read back the same, has lines of at most 75 octets (RFC
// 5545, 3.1), and writes out the clocks' changes: New York's of 2026 are on 8
// March and 1 November (IANA 2025b).
func TestRoundTrip(t *testing.T) {
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	want := []Event{
		{"Lesson: Ada; “early, please”\nand more", studio.Lesson{Start: "2026-03-05T16:30", Rule: "FREQ=WEEKLY;INTERVAL=2", Except: []string{"2026-03-19T16:30"}, Zone: "America/New_York"}},
		{"Lesson: " + strings.Repeat("Zoë ", 30), studio.Lesson{Start: "2026-04-01T09:00", Zone: "Europe/London"}},
	}
	var b bytes.Buffer
	if err := Write(&b, "Harbour Row Brass", want, now); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for line := range strings.SplitSeq(text, "\r\n") {
		if len(line) > 75 {
			t.Errorf("a line of %d octets: %s", len(line), line)
		}
	}
	for _, part := range []string{"TZID:America/New_York", "DTSTART:20260308T020000", "TZOFFSETFROM:-0500\r\nTZOFFSETTO:-0400", "DTSTART:20261101T020000"} {
		if !strings.Contains(text, part) {
			t.Errorf("the file lacks %q", part)
		}
	}
	got, err := Read(&b, "Asia/Tokyo")
	if err != nil {
		t.Fatal(err)
	}
	for i := range want {
		want[i].Summary = strings.TrimSpace(want[i].Summary)
		if i < len(got) {
			got[i].Summary = strings.TrimSpace(got[i].Summary)
		}
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("read back\n%+v, want\n%+v", got, want)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(calendar("UID:1\nSUMMARY:Ada\nDTSTART;TZID=America/New_York:19970902T090000\nRRULE:FREQ=WEEKLY;COUNT=10"))
	f.Fuzz(func(t *testing.T, text string) {
		events, err := Read(strings.NewReader(text), "Europe/London")
		if err != nil {
			return
		}
		for _, e := range events {
			if err := e.Lesson.Check(); err != nil {
				t.Errorf("read, and can't be followed: %v", err)
			}
		}
	})
}
