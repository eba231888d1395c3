package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Lessons taken from a calendar are written into one again.
func TestLessonsFromACalendarAndBack(t *testing.T) {
	folder, database := invented(t)
	in, back := filepath.Join(t.TempDir(), "in.ics"), filepath.Join(t.TempDir(), "out.ics")
	file := "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//test//EN\r\n" +
		"BEGIN:VEVENT\r\nUID:1\r\nSUMMARY:Ilka, at the harbour\r\nDTSTART;TZID=Europe/London:20260305T163000\r\nRRULE:FREQ=WEEKLY;INTERVAL=2\r\nEND:VEVENT\r\n" +
		"BEGIN:VEVENT\r\nUID:2\r\nSUMMARY:Ilkamina's dentist\r\nDTSTART:20260306T163000\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
	if err := os.WriteFile(in, []byte(file), 0o600); err != nil {
		t.Fatal(err)
	}
	lessons := func(more ...string) string {
		out, err := bot(t, "", append([]string{"lessons", "--studio", folder, "--database", database}, more...)...)
		if err != nil {
			t.Fatalf("%v: %v", more, err)
		}
		return out
	}
	if out := lessons("--import", in, "--dry-run"); !strings.Contains(out, "Ilka: 2026-03-05T16:30 FREQ=WEEKLY;INTERVAL=2 (Europe/London)") || !strings.Contains(out, "names no student: Ilkamina's dentist") {
		t.Errorf("a dry run says %q", out)
	}
	lessons("--export", back)
	if text, err := os.ReadFile(back); err != nil || strings.Contains(string(text), "Ilka") {
		t.Errorf("after a dry run: %v: %s", err, text)
	}
	if out := lessons("--import", in); !strings.Contains(out, "the lessons of 1 students") {
		t.Errorf("%q", out)
	}
	lessons("--export", back)
	text, err := os.ReadFile(back)
	if err != nil || !strings.Contains(string(text), "DTSTART;TZID=Europe/London:20260305T163000\r\n") || !strings.Contains(string(text), "RRULE:FREQ=WEEKLY;INTERVAL=2\r\n") {
		t.Errorf("%v: %s", err, text)
	}
	if _, err := bot(t, "", "lessons", "--studio", folder, "--database", database); err == nil {
		t.Error("nothing to do is done")
	}
}
