package charts

import (
	"bytes"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/words"
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
		if got := New(nil).Describe(studio.Picture{Tempo: &tt.picture}); got != tt.want {
			t.Errorf("got  %s\nwant %s", got, tt.want)
		}
	}
}

// TestDescribeInEveryLanguage checks that the words that stand for a picture are
// those of its language.
func TestDescribeInEveryLanguage(t *testing.T) {
	tempo, calendar := fiveWeeks(), oneStudent()
	tempo.Title, calendar.Title = "Daily Ground 2", "Ada"
	for lang, want := range map[string][2]string{
		"de": {"Daily Ground 2: 20-mal gespielt vom 2. März bis 5. Apr. 2026. Viertel pro Minute: zuerst 72, zuletzt 104 (wacklig), sauber bis 100, Ziel 120.", "Geübte von geplanten Tagen: "},
		"fr": {"Daily Ground 2 : joué 20 fois du 2 mars au 5 avr. 2026. Battements à la noire par minute : d'abord 72, dernier 104 (hésitant), propre jusqu'à 100, objectif 120.", "Jours tenus sur jours prévus : "},
		"es": {"Daily Ground 2: tocado 20 veces del 2 mar al 5 abr 2026. Pulsos de negra por minuto: primero 72, último 104 (inseguro), limpio hasta 100, objetivo 120.", "Días cumplidos de los previstos: "},
	} {
		if got := New(nil).Describe(studio.Picture{Lang: lang, Tempo: &tempo}); got != want[0] {
			t.Errorf("%s: %s\nwant %s", lang, got, want[0])
		}
		if got := New(nil).Describe(studio.Picture{Lang: lang, Calendar: &calendar}); !strings.Contains(got, want[1]) {
			t.Errorf("%s: %s\nwant it to say %s", lang, got, want[1])
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
	if got := New(nil).Describe(studio.Picture{Calendar: &p}); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	p.Rows = nil
	if got, want := New(nil).Describe(studio.Picture{Calendar: &p}), "Days kept: 2 weeks from 2 Mar to 15 Mar 2026. Nobody yet."; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	p.Weeks = 0
	if got := New(nil).Describe(studio.Picture{Calendar: &p}); got != "Days kept" {
		t.Errorf("a calendar of no weeks is described as %q, want its title", got)
	}
	if got := New(nil).Describe(studio.Picture{}); got != "" {
		t.Errorf("an empty picture is described as %q", got)
	}
}

// TestStudiosOwnWords checks that a picture is described and drawn in the words
// of the studio that it is of, and numbers with the signs of its language.
func TestStudiosOwnWords(t *testing.T) {
	own := words.Program().Override([]words.Change{{Lang: "de", ID: "chart.goal", Text: "Wunsch {bpm}"}})
	d := New(func(id studio.StudioID) *words.Lexicon {
		if id == "harbour-row" {
			return own
		}
		return words.Program()
	})
	p := studio.Picture{Lang: "de", Tempo: &studio.TempoPicture{
		Title: "Daily Ground 2", Goal: routine.Tempo{BPM: 92.5, Note: routine.Quarter},
		Points: []studio.TempoPoint{{Date: routine.NewDate(2026, 3, 4), Tempo: routine.Tempo{BPM: 80, Note: routine.Quarter}, Outcome: routine.Clean}},
	}}
	plain, err := d.Draw(p)
	if err != nil || !strings.Contains(d.Describe(p), "Ziel 92,5") {
		t.Errorf("without words of its own: %q, %v", d.Describe(p), err)
	}
	p.Studio = "harbour-row"
	drawn, err := d.Draw(p)
	if err != nil || !strings.Contains(d.Describe(p), "Wunsch 92,5") || bytes.Equal(drawn, plain) {
		t.Errorf("with words of its own: %q, %v", d.Describe(p), err)
	}
}
