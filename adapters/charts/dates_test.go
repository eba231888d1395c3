package charts

import (
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/studio/words"
)

// english returns the voice whose words the tests have.
func english() *words.Voice { return words.Program().In(words.English) }

func TestDateTicks(t *testing.T) {
	tests := []struct {
		from, to string
		most     int
		want     string
	}{
		{"2026-03-02", "2026-03-02", 5, "2 Mar 2026"},
		{"2026-03-02", "2026-03-05", 5, "2 Mar 2026, 3 Mar, 4 Mar, 5 Mar"},
		{"2026-03-02", "2026-03-08", 5, "2 Mar 2026, 4 Mar, 6 Mar, 8 Mar"},
		{"2026-03-03", "2026-03-31", 5, "9 Mar 2026, 16 Mar, 23 Mar, 30 Mar"},
		{"2026-12-14", "2027-01-11", 5, "14 Dec 2026, 21 Dec, 28 Dec, 4 Jan 2027, 11 Jan"},
		{"2026-11-20", "2027-03-20", 5, "1 Dec 2026, 1 Jan 2027, 1 Feb, 1 Mar"},
		{"2026-02-10", "2028-02-20", 5, "1 Jul 2026, 1 Jan 2027, 1 Jul, 1 Jan 2028"},
		{"2000-01-01", "2030-01-01", 5, "1 Jan 2000, 1 Jan 2007, 1 Jan 2014, 1 Jan 2021, 1 Jan 2028"},
	}
	for _, tt := range tests {
		from, to := date(t, tt.from), date(t, tt.to)
		var got []string
		for _, tick := range dateTicks(from, to, tt.most) {
			if tick.year {
				got = append(got, english().ShortDate(tick.date))
			} else {
				got = append(got, english().Short(tick.date))
			}
		}
		if strings.Join(got, ", ") != tt.want {
			t.Errorf("ticks from %s to %s: %s; want %s", tt.from, tt.to, strings.Join(got, ", "), tt.want)
		}
	}
}

// However long the span, there are dates, and no more than fit.
func TestDateTicksFit(t *testing.T) {
	from := date(t, "2026-02-25")
	for days := range routine.Date(5000) {
		for _, most := range []int{3, 5} {
			if n := len(dateTicks(from, from+days, most)); n < 1 || n > most {
				t.Fatalf("%d days have %d ticks, want 1 to %d", days, n, most)
			}
		}
	}
}

func date(t *testing.T, s string) routine.Date {
	t.Helper()
	d, err := routine.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}
