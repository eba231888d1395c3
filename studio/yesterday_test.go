package studio

import (
	"testing"
	"time"

	"ledgerline/routine"
)

// Moves between IANA zones (2025b), each at a moment in UTC, and what is yesterday
// at another: the date before on the calendar of whoever moved.
func TestYesterday(t *testing.T) {
	type move struct{ at, to string }
	for _, tt := range []struct {
		what  string
		zone  string
		moves []move
		at    string
		want  string // "" where nobody can say
	}{
		{"nobody moves", "Europe/London", nil, "2026-03-04 10:00", "2026-03-03"},
		{"the hour that comes twice, 24 hours after the same date", "Europe/London", nil, "2026-10-25 23:30", "2026-10-24"},
		{"the hour that is missing", "America/New_York", nil, "2026-03-08 16:00", "2026-03-07"},
		{"midnight is missing", "Africa/Cairo", nil, "2026-04-24 10:00", "2026-04-23"},
		{"an hour ahead, over midnight", "Europe/London", []move{{"2026-03-02 23:30", "Europe/Berlin"}}, "2026-03-02 23:40", "2026-03-02"},
		{"an hour back, over midnight", "Europe/Berlin", []move{{"2026-03-02 23:30", "Europe/London"}}, "2026-03-02 23:40", ""},
		{"an hour back, on the next day", "Europe/Berlin", []move{{"2026-03-02 23:30", "Europe/London"}}, "2026-03-03 10:00", "2026-03-02"},
		{"25 hours ahead: Tuesday never was", "Pacific/Pago_Pago", []move{{"2026-03-03 10:30", "Pacific/Kiritimati"}}, "2026-03-03 18:00", "2026-03-02"},
		{"25 hours ahead, a day later", "Pacific/Pago_Pago", []move{{"2026-03-03 10:30", "Pacific/Kiritimati"}}, "2026-03-04 18:00", "2026-03-04"},
		{"24 hours ahead: half an hour of Tuesday was", "Pacific/Honolulu", []move{{"2026-03-03 09:30", "Pacific/Kiritimati"}}, "2026-03-03 11:00", "2026-03-03"},
		{"23 hours ahead, early in the day", "Pacific/Honolulu", []move{{"2026-03-02 20:00", "Pacific/Apia"}}, "2026-03-02 22:00", "2026-03-02"},
		{"25 hours back, on the first day", "Pacific/Kiritimati", []move{{"2026-03-03 10:30", "Pacific/Pago_Pago"}}, "2026-03-03 10:40", ""},
		{"25 hours back, on the day that comes twice", "Pacific/Kiritimati", []move{{"2026-03-03 10:30", "Pacific/Pago_Pago"}}, "2026-03-04 07:00", ""},
		{"25 hours back, after that", "Pacific/Kiritimati", []move{{"2026-03-03 10:30", "Pacific/Pago_Pago"}}, "2026-03-05 07:00", "2026-03-03"},
		{"there and back within a day", "Europe/London", []move{{"2026-03-03 08:00", "Pacific/Auckland"}, {"2026-03-03 09:00", "Europe/London"}}, "2026-03-03 20:00", "2026-03-02"},
		{"what is said before a move is of the zone before", "Pacific/Pago_Pago", []move{{"2026-03-03 10:30", "Pacific/Kiritimati"}}, "2026-03-03 09:00", "2026-03-01"},
		{"Samoa has no 2011-12-30", "Pacific/Apia", nil, "2011-12-30 20:00", "2011-12-29"},
		{"Tokelau has none either", "Pacific/Fakaofo", nil, "2011-12-30 20:00", "2011-12-29"},
	} {
		m := Member{Zone: tt.zone}
		for _, mv := range tt.moves {
			m.Moved = append(m.Moved, Move{At: utc(t, mv.at), From: m.Zone})
			m.Zone = mv.to
		}
		at := utc(t, tt.at)
		want := m.dateAt(at)
		if tt.want != "" {
			var err error
			if want, err = routine.ParseDate(tt.want); err != nil {
				t.Fatal(err)
			}
		}
		if got := m.yesterday(at); got != want {
			t.Errorf("%s: yesterday is %v, want %v; today is %v", tt.what, got, want, m.dateAt(at))
		}
	}
}

func utc(t *testing.T, s string) time.Time {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04", s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}
