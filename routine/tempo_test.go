package routine

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The same speed in other note values, by arithmetic: beats a minute times the
// old value over the new.
func TestTempoIn(t *testing.T) {
	for _, tt := range []struct {
		tempo Tempo
		note  NoteValue
		want  float64
	}{
		{Tempo{60, DottedQuarter}, Quarter, 90},
		{Tempo{60, DottedQuarter}, Eighth, 180},
		{Tempo{132, Quarter}, Half, 66},
		{Tempo{132, Quarter}, Eighth, 264},
		{Tempo{132, Quarter}, DottedQuarter, 88},
		{Tempo{72, Quarter}, Eighth, 144},
		{Tempo{72, Quarter}, Sixteenth, 288},
		{Tempo{40, Whole}, DottedHalf, 40 * 16.0 / 12},
		{Tempo{120, DottedEighth}, Eighth, 180},
	} {
		got := tt.tempo.In(tt.note)
		if math.Abs(got.BPM-tt.want) > 1e-9 || got.Note != tt.note {
			t.Errorf("%v in %vs = %v, want %v", tt.tempo, tt.note, got, tt.want)
		}
		if got.Compare(tt.tempo) != 0 || tt.tempo.Compare(got) != 0 {
			t.Errorf("%v and %v do not compare as equal", got, tt.tempo)
		}
	}
}

func TestTempoCompare(t *testing.T) {
	for _, tt := range []struct {
		a, b Tempo
		want int
	}{
		{Tempo{72, Quarter}, Tempo{144, Eighth}, 0},
		{Tempo{60, DottedQuarter}, Tempo{90, Quarter}, 0},
		{Tempo{100, Quarter}, Tempo{190, Eighth}, +1},
		{Tempo{63, Quarter}, Tempo{66, Quarter}, -1},
		{Tempo{}, Tempo{40, Sixteenth}, -1},
		{Tempo{}, Tempo{}, 0},
	} {
		if got := tt.a.Compare(tt.b); got != tt.want {
			t.Errorf("%v against %v: %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}

// Changing the note value and back loses nothing that is heard, and never
// changes the order of two tempi.
func TestTempoConversionKeepsSpeed(t *testing.T) {
	notes := []NoteValue{Sixteenth, Eighth, DottedEighth, Quarter, DottedQuarter, Half, DottedHalf, Whole}
	tempo := func(t *rapid.T) Tempo {
		return Tempo{float64(rapid.IntRange(20, 400).Draw(t, "bpm")), rapid.SampledFrom(notes).Draw(t, "note")}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := tempo(t), tempo(t)
		note := rapid.SampledFrom(notes).Draw(t, "in")
		if back := a.In(note).In(a.Note); math.Abs(back.BPM-a.BPM) > 1e-9 {
			t.Fatalf("%v in %vs and back is %v", a, note, back)
		}
		if a.In(note).Compare(b) != a.Compare(b) || a.Compare(b) != -b.Compare(a) {
			t.Fatalf("%v and %v change order", a, b)
		}
	})
}

// Notes a second are beats a minute times notes a beat over 60; a solid minute
// at that speed has sixty times as many.
func TestNotesPerSecond(t *testing.T) {
	for _, tt := range []struct {
		bpm     float64
		perBeat int
		want    float64
		minute  int
	}{
		{120, 4, 8, 480},
		{144, 4, 9.6, 576},
		{180, 4, 12, 720},
		{60, 3, 3, 180},
		{72, 2, 2.4, 144},
	} {
		got := Tempo{tt.bpm, Quarter}.NotesPerSecond(tt.perBeat)
		if math.Abs(got-tt.want) > 1e-12 || int(math.Round(got*60)) != tt.minute {
			t.Errorf("%d a beat at %v: %v a second, want %v, and %d in a minute", tt.perBeat, tt.bpm, got, tt.want, tt.minute)
		}
	}
}

// A Standard MIDI File keeps a tempo as microseconds a quarter in three bytes.
// The three bytes for 120, 60, 100 and 96 are arithmetic: 60,000,000 over the
// quarters a minute.
func TestSixteenthsAgainstMIDITempo(t *testing.T) {
	for _, tt := range []struct {
		tempo Tempo
		want  string
	}{
		{Tempo{120, Quarter}, "07 A1 20"},
		{Tempo{60, Quarter}, "0F 42 40"},
		{Tempo{100, Quarter}, "09 27 C0"},
		{Tempo{96, Quarter}, "09 89 68"},
		{Tempo{192, Eighth}, "09 89 68"},
		{Tempo{64, DottedQuarter}, "09 89 68"},
	} {
		us := int(math.Round(60e6 * 4 / tt.tempo.Sixteenths()))
		if got := fmt.Sprintf("%02X %02X %02X", us>>16, us>>8&0xff, us&0xff); got != tt.want {
			t.Errorf("%v: %s, want %s", tt.tempo, got, tt.want)
		}
	}
}

func TestParseTempo(t *testing.T) {
	for in, want := range map[string]Tempo{
		"quarter=96":         {96, Quarter},
		"dotted-quarter=60":  {60, DottedQuarter},
		" eighth = 144 ":     {144, Eighth},
		"sixteenth=1000":     {1000, Sixteenth},
		"half=66.5":          {66.5, Half},
		"dotted-eighth=80.1": {80.1, DottedEighth},
	} {
		got, err := ParseTempo(in)
		if err != nil || got != want {
			t.Errorf("ParseTempo(%q) = %v, %v; want %v", in, got, err, want)
		}
	}
	for in, say := range map[string]string{
		"96":           "no note value",
		"crotchet=96":  "write whole, half, quarter",
		"quarter=0":    "above 0",
		"quarter=-4":   "above 0",
		"quarter=1001": "at most 1000",
		"quarter=NaN":  "above 0",
		"quarter=":     "the number",
		"=96":          "note value",
	} {
		if got, err := ParseTempo(in); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("ParseTempo(%q) = %v, error %q; want one that says %q", in, got, err, say)
		}
	}
}

func TestTempoText(t *testing.T) {
	for want, tempo := range map[string]Tempo{
		`{"t":"quarter=96"}`:              {96, Quarter},
		`{"t":"half=53.333333333333336"}`: {160.0 / 3, Half},
		`{"t":"half=66.5"}`:               {66.5, Half},
		`{"t":"dotted-half=100"}`:         {100, DottedHalf},
		`{"t":""}`:                        {},
	} {
		b, err := json.Marshal(map[string]Tempo{"t": tempo})
		if err != nil || string(b) != want {
			t.Errorf("%v is written %s (%v), want %s", tempo, b, err, want)
		}
		var back struct{ T Tempo }
		if err := json.Unmarshal(b, &back); err != nil || back.T != tempo {
			t.Errorf("%s is read back as %v (%v), want %v", b, back.T, err, tempo)
		}
	}
}

func TestTempoForPeople(t *testing.T) {
	for want, tempo := range map[string]Tempo{
		"half=53.33": {160.0 / 3, Half}, "quarter=96": {96, Quarter}, "half=66.5": {66.5, Half}, "": {},
	} {
		if got := tempo.String(); got != want {
			t.Errorf("%g of %s reads %q, want %q", tempo.BPM, tempo.Note, got, want)
		}
	}
}
