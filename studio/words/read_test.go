package words

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ledgerline/routine"
)

func TestUnderstand(t *testing.T) {
	today := routine.NewDate(2026, 3, 4)
	for _, tt := range []struct{ lang, said, want string }{
		{"de", "keine", "none"},
		{"de", "2026-03-04 alle zwei Wochen", "2026-03-04 fortnightly"},
		{"de", "8.3. 15.3.2027 Reise", "2026-03-08 2027-03-15 travel"},
		{"de", "punktierte Viertel=72,5", "dotted-quarter=72.5"},
		{"de", "in einem Atem", "one-breath"},
		{"de", "heute morgen", "2026-03-04 2026-03-05"},
		{"fr", "1er août", "2026-08-01"},
		{"fr", "20 déc. fatigué", "2025-12-20 fatigué"},
		{"fr", "5/3 16h30 chaque semaine", "2026-03-05 16:30 weekly"},
		{"es", "4 de marzo de 2027 descanso", "2027-03-04 rest"},
		{"es", "semicorchea=96", "sixteenth=96"},
		{"en", "4 March", "2026-03-04"},
		{"en", "31 February", "31 February"},
		{"en", "2 slur-atlas/1/3 5% Europe/Berlin", "2 slur-atlas/1/3 5% Europe/Berlin"},
		{"de", "2.5 16:30 1-4,6", "2.5 16:30 1-4,6"},
	} {
		got := New().In(tt.lang).Understand(strings.Fields(tt.said), today)
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%s %q: %q, want %q", tt.lang, tt.said, got, tt.want)
		}
	}
}

// TestWhatIsSaidIsUnderstood reads back every date, demand and tempo as the bot
// writes them.
func TestWhatIsSaidIsUnderstood(t *testing.T) {
	x := New()
	rapid.Check(t, func(t *rapid.T) {
		v := x.In(rapid.SampledFrom(Languages()).Draw(t, "lang"))
		today := routine.Date(rapid.IntRange(10000, 30000).Draw(t, "today"))
		d := today + routine.Date(rapid.IntRange(-170, 170).Draw(t, "days"))
		demand := rapid.SampledFrom(routine.AllDemands()).Draw(t, "demand")
		tempo := routine.Tempo{BPM: float64(rapid.IntRange(40, 200).Draw(t, "bpm")), Note: rapid.SampledFrom(
			[]routine.NoteValue{routine.Sixteenth, routine.Eighth, routine.Quarter, routine.DottedQuarter, routine.Half}).Draw(t, "note")}
		for said, want := range map[string]string{
			v.Date(d): d.String(), v.Short(d): d.String(), v.ShortDate(d): d.String(),
			v.Value(demand): string(demand), v.Tempo(tempo): tempo.Note.String() + "=" + x.In(English).BPM(tempo),
		} {
			if got := v.Understand(strings.Fields(said), today); !slices.Equal(got, []string{want}) {
				t.Fatalf("%s: %q is read as %q, want %q", v.Lang(), said, got, want)
			}
		}
	})
}

func FuzzUnderstand(f *testing.F) {
	f.Add("de", "8.3. alle zwei Wochen punktierte Viertel=72,5")
	x := New()
	f.Fuzz(func(t *testing.T, lang, said string) {
		given := strings.Fields(said)
		if known := x.In(lang).Understand(given, 20000); len(known) > len(given) {
			t.Errorf("%q became %q", given, known)
		}
	})
}
