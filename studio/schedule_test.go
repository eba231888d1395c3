package studio

import (
	"testing"
	"time"

	"ledgerline/routine"
)

// The transitions are those of the IANA time zone database, release 2025b.
func TestNextAtOnOddNights(t *testing.T) {
	tests := []struct {
		zone, spec, after string
		want, date        string
	}{
		{"America/New_York", "30 2 * * *", "2026-03-08T00:00:00-05:00", "2026-03-08T03:00:00-04:00", "2026-03-08"}, // 02:30 is skipped
		{"America/New_York", "30 1 * * *", "2026-11-01T00:00:00-04:00", "2026-11-01T01:30:00-04:00", "2026-11-01"}, // 01:30 comes twice
		{"America/New_York", "30 1 * * *", "2026-11-01T01:30:00-04:00", "2026-11-02T01:30:00-05:00", "2026-11-02"}, // and counts once
		{"America/New_York", "30 1 * * *", "2026-11-01T01:10:00-05:00", "2026-11-02T01:30:00-05:00", "2026-11-02"}, // between the two
		{"Europe/London", "30 1 * * *", "2026-03-28T12:00:00Z", "2026-03-29T02:00:00+01:00", "2026-03-29"},
		{"Australia/Lord_Howe", "15 2 * * *", "2026-10-03T20:00:00+10:30", "2026-10-04T02:30:00+11:00", "2026-10-04"},
		{"Africa/Cairo", "0 0 * * *", "2026-04-23T12:00:00+02:00", "2026-04-24T01:00:00+03:00", "2026-04-24"}, // no midnight
		{"Africa/Cairo", "30 23 * * *", "2026-10-29T23:30:00+03:00", "2026-10-30T23:30:00+02:00", "2026-10-30"},
		{"Asia/Beirut", "0 0 * * *", "2026-03-28T12:00:00+02:00", "2026-03-29T01:00:00+03:00", "2026-03-29"},
		{"America/Sao_Paulo", "0 0 * * *", "2018-11-03T12:00:00-03:00", "2018-11-04T01:00:00-02:00", "2018-11-04"},
		{"Pacific/Apia", "0 7 * * *", "2011-12-29T07:00:00-10:00", "2011-12-31T07:00:00+14:00", "2011-12-31"}, // no 30 December
		{"Africa/Casablanca", "30 2 * * *", "2026-03-21T12:00:00Z", "2026-03-22T03:00:00+01:00", "2026-03-22"},
	}
	for _, tt := range tests {
		loc, err := time.LoadLocation(tt.zone)
		if err != nil {
			t.Fatal(err)
		}
		after, err := time.Parse(time.RFC3339, tt.after)
		if err != nil {
			t.Fatal(err)
		}
		at, date, ok := nextAt(tt.spec, after, loc)
		if got := at.In(loc).Format(time.RFC3339); !ok || got != tt.want || date.String() != tt.date {
			t.Errorf("nextAt(%q, %s, %s) = %s for %s, want %s for %s", tt.spec, tt.after, tt.zone, got, date, tt.want, tt.date)
		}
	}
}

func TestNextAtNever(t *testing.T) {
	for _, spec := range []string{never, "0 0 30 2 *", "nonsense"} {
		if at, _, ok := nextAt(spec, time.Unix(0, 0), time.UTC); ok {
			t.Errorf("nextAt(%q) = %s, want never", spec, at)
		}
	}
}

func TestQuietUntil(t *testing.T) {
	m := &Member{Zone: "Europe/London", Quiet: Hours{From: 22 * 60, To: 7*60 + 30}}
	for _, tt := range []struct{ at, want string }{
		{"2026-01-10T21:59:00Z", "2026-01-10T21:59:00Z"},
		{"2026-01-10T22:00:00Z", "2026-01-11T07:30:00Z"},
		{"2026-01-11T03:00:00Z", "2026-01-11T07:30:00Z"},
		{"2026-01-11T07:30:00Z", "2026-01-11T07:30:00Z"},
		{"2026-03-28T23:00:00Z", "2026-03-29T06:30:00Z"}, // the clocks go forward in the night
	} {
		at, _ := time.Parse(time.RFC3339, tt.at)
		if got := quietUntil(m, at).UTC().Format(time.RFC3339); got != tt.want {
			t.Errorf("quietUntil(%s) = %s, want %s", tt.at, got, tt.want)
		}
	}
	at := time.Unix(0, 0)
	if got := quietUntil(&Member{Zone: "UTC"}, at); !got.Equal(at) {
		t.Errorf("without quiet hours quietUntil = %s, want %s", got, at)
	}
}

func TestCutOff(t *testing.T) {
	st := &Studio{CutOff: 12}
	m := &Member{Zone: "America/New_York"}
	got := cutOff(st, m, routine.NewDate(2026, 3, 7)).In(m.Location()).Format(time.RFC3339)
	if want := "2026-03-08T13:00:00-04:00"; got != want { // twelve hours on the clock that lost one
		t.Errorf("cutOff = %s, want %s", got, want)
	}
}
