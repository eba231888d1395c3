package routine

import (
	"encoding/json"
	"testing"
	"time"
	_ "time/tzdata" // the zones of this Go release, wherever the test runs

	"pgregory.net/rapid"
)

func mustDate(t *testing.T, s string) Date {
	t.Helper()
	d, err := ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// Dates and the weeks they are in by ISO 8601, at the turns of years.
func TestISOWeek(t *testing.T) {
	for _, tt := range []struct {
		date             string
		year, week, iday int // iday from Monday 1 to Sunday 7
		monday           string
	}{
		{"2005-01-01", 2004, 53, 6, "2004-12-27"},
		{"2008-12-29", 2009, 1, 1, "2008-12-29"},
		{"2010-01-03", 2009, 53, 7, "2009-12-28"},
		{"2021-01-03", 2020, 53, 7, "2020-12-28"},
		{"2027-01-03", 2026, 53, 7, "2026-12-28"},
		{"2027-01-04", 2027, 1, 1, "2027-01-04"},
	} {
		d := mustDate(t, tt.date)
		year, week := d.ISOWeek()
		iday := int(d-d.Monday()) + 1
		if year != tt.year || week != tt.week || iday != tt.iday {
			t.Errorf("%v is %d-W%02d-%d, want %d-W%02d-%d", d, year, week, iday, tt.year, tt.week, tt.iday)
		}
		if got := d.Monday().String(); got != tt.monday {
			t.Errorf("the Monday of %v is %s, want %s", d, got, tt.monday)
		}
	}
}

// The Monday of a date is a Monday, at most six days back, in the same ISO week,
// also before 1970.
func TestMonday(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Date(rapid.Int32Range(-200_000, 200_000).Draw(t, "date"))
		m := d.Monday()
		if m.Weekday() != time.Monday || m > d || d-m > 6 {
			t.Fatalf("the Monday of %v (%v) is %v (%v)", d, d.Weekday(), m, m.Weekday())
		}
		y, w := d.ISOWeek()
		if y2, w2 := m.ISOWeek(); y2 != y || w2 != w {
			t.Fatalf("%v is in week %d-%d, its Monday %v in %d-%d", d, y, w, m, y2, w2)
		}
	})
}

// First instants on the wall clocks of zones about the nights they change, from
// tzdata 2025b.
func TestAt(t *testing.T) {
	for _, tt := range []struct {
		zone, date   string
		hour, minute int
		want         string // with the offset in force
		ok           bool
	}{
		// Gaps: the first time the clocks show after it.
		{"America/New_York", "2026-03-08", 2, 0, "2026-03-08T03:00:00-04:00", true},
		{"America/New_York", "2026-03-08", 2, 30, "2026-03-08T03:00:00-04:00", true},
		{"America/New_York", "2026-03-08", 1, 59, "2026-03-08T01:59:00-05:00", true},
		{"America/New_York", "2026-03-08", 3, 0, "2026-03-08T03:00:00-04:00", true},
		{"Europe/London", "2026-03-29", 1, 30, "2026-03-29T02:00:00+01:00", true},
		{"Australia/Lord_Howe", "2026-10-04", 2, 15, "2026-10-04T02:30:00+11:00", true},
		{"Africa/Casablanca", "2026-03-22", 2, 30, "2026-03-22T03:00:00+01:00", true},

		// Folds: the first of the two.
		{"America/New_York", "2026-11-01", 1, 30, "2026-11-01T01:30:00-04:00", true},
		{"America/New_York", "2026-11-01", 2, 0, "2026-11-01T02:00:00-05:00", true},
		{"Europe/London", "2026-10-25", 1, 30, "2026-10-25T01:30:00+01:00", true},
		{"Australia/Lord_Howe", "2026-04-05", 1, 45, "2026-04-05T01:45:00+11:00", true},
		{"Africa/Casablanca", "2026-02-15", 2, 30, "2026-02-15T02:30:00+01:00", true},
		{"Africa/Cairo", "2026-10-29", 23, 30, "2026-10-29T23:30:00+03:00", true},

		// Midnights that are not there.
		{"Asia/Beirut", "2026-03-29", 0, 0, "2026-03-29T01:00:00+03:00", true},
		{"Africa/Cairo", "2026-04-24", 0, 0, "2026-04-24T01:00:00+03:00", true},
		{"America/Sao_Paulo", "2018-11-04", 0, 0, "2018-11-04T01:00:00-02:00", true},
		{"America/Sao_Paulo", "2018-11-04", 0, 59, "2018-11-04T01:00:00-02:00", true},
		{"Africa/Cairo", "2026-10-30", 0, 0, "2026-10-30T00:00:00+02:00", true},

		// A date that is not there, and its neighbours.
		{"Pacific/Apia", "2011-12-29", 23, 59, "2011-12-29T23:59:00-10:00", true},
		{"Pacific/Apia", "2011-12-30", 0, 0, "2011-12-31T00:00:00+14:00", false},
		{"Pacific/Apia", "2011-12-30", 12, 0, "2011-12-31T00:00:00+14:00", false},
		{"Pacific/Apia", "2011-12-30", 23, 59, "2011-12-31T00:00:00+14:00", false},
		{"Pacific/Apia", "2011-12-31", 0, 0, "2011-12-31T00:00:00+14:00", true},

		{"Pacific/Kiritimati", "2026-06-01", 7, 0, "2026-06-01T07:00:00+14:00", true},
		{"Etc/GMT+12", "2026-06-01", 7, 0, "2026-06-01T07:00:00-12:00", true},
		{"UTC", "2026-06-01", 23, 59, "2026-06-01T23:59:00Z", true},
	} {
		got, ok := mustDate(t, tt.date).At(tt.hour, tt.minute, zone(t, tt.zone))
		if s := got.Format(time.RFC3339); s != tt.want || ok != tt.ok {
			t.Errorf("%s %s %02d:%02d: %s, %v; want %s, %v", tt.zone, tt.date, tt.hour, tt.minute, s, ok, tt.want, tt.ok)
		}
	}
}

// TestAtAgainstSearch compares At with a search through every minute about the
// date, on dates near a change and far from any.
func TestAtAgainstSearch(t *testing.T) {
	near := []struct{ zone, date string }{
		{"America/New_York", "2026-03-08"}, {"America/New_York", "2026-11-01"},
		{"Europe/London", "2026-03-29"}, {"Europe/London", "2026-10-25"},
		{"Australia/Lord_Howe", "2026-04-05"}, {"Australia/Lord_Howe", "2026-10-04"},
		{"Pacific/Apia", "2011-12-30"}, {"Africa/Casablanca", "2026-02-15"},
		{"Africa/Casablanca", "2026-03-22"}, {"Asia/Beirut", "2026-03-29"},
		{"Africa/Cairo", "2026-04-24"}, {"Africa/Cairo", "2026-10-29"},
		{"America/Sao_Paulo", "2018-11-04"}, {"Asia/Kolkata", "2026-01-01"},
	}
	rapid.Check(t, func(rt *rapid.T) {
		c := rapid.SampledFrom(near).Draw(rt, "change")
		d := mustDate(t, c.date) + Date(rapid.IntRange(-2, 2).Draw(rt, "days"))
		hour, minute := rapid.IntRange(0, 23).Draw(rt, "hour"), rapid.IntRange(0, 59).Draw(rt, "minute")
		loc := zone(t, c.zone)
		got, ok := d.At(hour, minute, loc)
		want, found := search(d, hour, minute, loc)
		if !got.Equal(want) || ok != found {
			rt.Fatalf("%s %v %02d:%02d: %v, %v; searched %v, %v", c.zone, d, hour, minute, got, ok, want, found)
		}
	})
}

// search looks through the minutes about d for the first on which the clocks
// show d at the given time of day or later, or a later date.
func search(d Date, hour, minute int, loc *time.Location) (time.Time, bool) {
	y, m, day := d.Calendar()
	t := time.Date(y, m, day, 0, 0, 0, 0, time.UTC).Add(-27 * time.Hour)
	for ; ; t = t.Add(time.Minute) {
		local := t.In(loc)
		ly, lm, ld := local.Date()
		later := ly > y || ly == y && (lm > m || lm == m && ld > day)
		same := ly == y && lm == m && ld == day
		if later || same && local.Hour()*60+local.Minute() >= hour*60+minute {
			return local, same
		}
	}
}

// Midnight of a date that skips it must not fall on the day before, as
// time.Date would have it: it gives 23:00 on 2018-11-03.
func TestDateOf(t *testing.T) {
	loc := zone(t, "America/Sao_Paulo")
	d := mustDate(t, "2018-11-04")
	at, ok := d.At(0, 0, loc)
	if got := DateOf(at, loc); got != d || !ok {
		t.Errorf("the first instant of %v is on %v", d, got)
	}
	if got := DateOf(at.Add(-time.Second), loc); got != d-1 {
		t.Errorf("the second before the first instant of %v is on %v", d, got)
	}
	for _, tt := range []struct{ zone, instant, want string }{
		{"Pacific/Kiritimati", "2026-06-01T10:00:00Z", "2026-06-02"},
		{"Etc/GMT+12", "2026-06-01T10:00:00Z", "2026-05-31"},
		{"Pacific/Apia", "2011-12-30T09:59:59Z", "2011-12-29"},
		{"Pacific/Apia", "2011-12-30T10:00:00Z", "2011-12-31"},
		{"America/New_York", "2026-11-01T05:30:00Z", "2026-11-01"},
		{"America/New_York", "2026-11-01T06:30:00Z", "2026-11-01"},
		{"UTC", "1969-12-31T23:59:59Z", "1969-12-31"},
	} {
		instant, err := time.Parse(time.RFC3339, tt.instant)
		if err != nil {
			t.Fatal(err)
		}
		if got := DateOf(instant, zone(t, tt.zone)).String(); got != tt.want {
			t.Errorf("%s in %s is %s, want %s", tt.instant, tt.zone, got, tt.want)
		}
	}
}

// Civil dates agree with the calendar of package time, before 1970 too.
func TestNewDate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := rapid.IntRange(-700_000, 700_000).Draw(t, "days")
		want := time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, days)
		d := NewDate(want.Date())
		if int(d) != days {
			t.Fatalf("%v is day %d, want %d", want.Format(time.DateOnly), d, days)
		}
		if y, m, day := d.Calendar(); y != want.Year() || m != want.Month() || day != want.Day() || d.Weekday() != want.Weekday() {
			t.Fatalf("day %d is %d-%d-%d, want %v", days, y, m, day, want.Format(time.DateOnly))
		}
	})
	if a, b := NewDate(2026, 2, 29), NewDate(2026, 3, 1); a != b {
		t.Errorf("2026-02-29 overflows to %v, want %v", a, b)
	}
}

func TestDateText(t *testing.T) {
	var v struct {
		D Date `json:"d"`
	}
	for in, want := range map[string]string{
		`{"d":"2026-03-04"}`: "2026-03-04",
		`{"d":"2024-02-29"}`: "2024-02-29",
		`{"d":""}`:           "",
	} {
		if err := json.Unmarshal([]byte(in), &v); err != nil || v.D.String() != want {
			t.Errorf("%s is read as %v (%v), want %q", in, v.D, err, want)
		}
		if out, err := json.Marshal(v); err != nil || string(out) != in {
			t.Errorf("%s is written back as %s (%v)", in, out, err)
		}
	}
	for _, in := range []string{"2026-02-29", "4.3.2026", "2026-3-4", "tomorrow", "2026-03-04T00:00:00Z"} {
		if d, err := ParseDate(in); err == nil {
			t.Errorf("ParseDate(%q) = %v, want an error", in, d)
		}
	}
}
