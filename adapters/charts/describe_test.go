package charts

import (
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

func TestDescribeTempo(t *testing.T) {
	mixed, one, none := mixedNotes(), onePoint(), fiveWeeks()
	mixed.Title = "Twelve Harbour Pieces 7"
	none.Goal, none.Points = routine.Tempo{}, none.Points[:2]
	tests := []struct {
		picture studio.TempoPicture
		want    string
	}{
		{fiveWeeks(), "Daily Ground 2, line 14, pass 1: 20 playings from 2 Mar to 5 Apr 2026. In quarter notes a minute: first 72, last 104 (shaky), best clean 100, goal 120."},
		{one, "The Articulate Hour 4, line 3, pass 2: 1 playing on 2 Mar 2026. In quarter notes a minute: last 108 (clean), best clean 108, goal 132."},
		// quarter=84 is dotted-quarter=56, the same figure.
		{mixed, "Twelve Harbour Pieces 7: 4 playings from 2 Mar to 12 Mar 2026. In dotted quarter notes a minute: first 56, last 76 (clean), best clean 76, goal 88."},
		{reached(), "Upward, Gently 3, lines 5-6, pass 2: 8 playings from 14 Dec 2026 to 11 Jan 2027. In quarter notes a minute: first 84, last 100 (clean), best clean 100, goal 100."},
		{none, "Daily Ground 2, line 14, pass 1: 2 playings from 2 Mar to 3 Mar 2026. In quarter notes a minute: first 72, last 72 (shaky), none clean yet."},
		{studio.TempoPicture{Title: "Nothing"}, "Nothing"},
	}
	for _, tt := range tests {
		if got := new(Drawer).Describe(studio.Picture{Tempo: &tt.picture}); got != tt.want {
			t.Errorf("got  %s\nwant %s", got, tt.want)
		}
	}
}

func TestDescribeCalendar(t *testing.T) {
	k, x, m, e, o, n := streaks.Kept, streaks.Extra, streaks.Missed, streaks.Excused, streaks.Off, streaks.Open
	p := studio.CalendarPicture{Title: "Days kept", From: march, Weeks: 2, Rows: []studio.CalendarRow{
		{Name: "Wren", Days: []streaks.Kind{k, k, m, k, k, k, x, k, k, k, e, k, k, o}, Weeks: []bool{false, true}},
		{Name: "山田花子", Days: []streaks.Kind{k, m, n, n}},
		{Name: "", Days: nil},
	}}
	want := "Days kept: 2 weeks from 2 Mar to 15 Mar 2026. Days kept of days due: " +
		"Wren 10 of 11, 1 extra, 1 week kept; no. 2, 山田花子 1 of 2; no. 3 0 of 0."
	if got := new(Drawer).Describe(studio.Picture{Calendar: &p}); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	p.Rows = nil
	if got, want := new(Drawer).Describe(studio.Picture{Calendar: &p}), "Days kept: 2 weeks from 2 Mar to 15 Mar 2026. Nobody yet."; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	p.Weeks = 0
	if got := new(Drawer).Describe(studio.Picture{Calendar: &p}); got != "Days kept" {
		t.Errorf("a calendar of no weeks is described as %q, want its title", got)
	}
	if got := new(Drawer).Describe(studio.Picture{}); got != "" {
		t.Errorf("an empty picture is described as %q", got)
	}
}
