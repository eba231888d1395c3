package click_test

import (
	"bytes"
	"math"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ledgerline/adapters/audio"
	"ledgerline/routine"
	"ledgerline/routine/click"
)

func quarter(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }

// TestTempoBytes: microseconds a quarter in three bytes, with values from the
// standard (120 is 07 A1 20) and by hand (96 is 625000, 09 89 68).
func TestTempoBytes(t *testing.T) {
	for _, c := range []struct {
		tempo routine.Tempo
		want  []byte
	}{
		{quarter(120), []byte{0xFF, 0x51, 3, 0x07, 0xA1, 0x20}},
		{quarter(96), []byte{0xFF, 0x51, 3, 0x09, 0x89, 0x68}},
		{quarter(60), []byte{0xFF, 0x51, 3, 0x0F, 0x42, 0x40}},
		{routine.Tempo{BPM: 240, Note: routine.Eighth}, []byte{0xFF, 0x51, 3, 0x07, 0xA1, 0x20}},
		{routine.Tempo{BPM: 80, Note: routine.DottedQuarter}, []byte{0xFF, 0x51, 3, 0x07, 0xA1, 0x20}},
	} {
		k := click.Click{From: c.tempo, Meter: 4, CountIn: 1, Seconds: 10}
		if file := k.MIDI(); bytes.Count(file, c.want) != 1 {
			t.Errorf("%v: no % X in % X", c.tempo, c.want, file[:40])
		}
	}
}

func TestTimeSignature(t *testing.T) {
	for _, c := range []struct {
		note  routine.NoteValue
		meter int
		want  []byte
	}{
		{routine.Quarter, 4, []byte{0xFF, 0x58, 4, 4, 2, 24, 8}},
		{routine.Half, 2, []byte{0xFF, 0x58, 4, 2, 1, 48, 8}},
		{routine.Eighth, 3, []byte{0xFF, 0x58, 4, 3, 3, 12, 8}},
		{routine.DottedQuarter, 2, []byte{0xFF, 0x58, 4, 6, 3, 36, 8}},
	} {
		k := click.Click{From: routine.Tempo{BPM: 90, Note: c.note}, Meter: c.meter, Seconds: 4}
		if file := k.MIDI(); !bytes.Contains(file, c.want) {
			t.Errorf("%v, %d: no % X in % X", c.note, c.meter, c.want, file[:40])
		}
	}
}

func TestMarks(t *testing.T) {
	up := click.Click{From: quarter(92), To: quarter(104), Meter: 4, Seconds: 60}
	var got []float64
	for _, m := range up.Marks() {
		got = append(got, m.BPM)
	}
	// The metronome's traditional series has 92, 96, 100, 104.
	if len(got) != 4 || got[0] != 92 || got[1] != 96 || got[2] != 100 || got[3] != 104 {
		t.Errorf("marks %v", got)
	}
	beats := up.Beats()
	if d := up.Length(); math.Abs(d-60) > 8 {
		t.Errorf("%.1f s, want about 60", d)
	}
	if beats[0].Stress != click.First || beats[1].Stress != click.Plain || beats[4].Stress != click.First {
		t.Error("the accent is not on the first of four")
	}
}

// TestSoundFallsOnTheBeats reads the sound file with the reader of recordings and
// looks for where silence ends.
func TestSoundFallsOnTheBeats(t *testing.T) {
	k := click.Click{From: quarter(96), To: quarter(104), Meter: 3, CountIn: 2, Seconds: 20}
	s, err := audio.Decode(t.Context(), k.WAV(), audio.Usual)
	if err != nil {
		t.Fatal(err)
	}
	if d := s.Length().Seconds(); math.Abs(d-k.Length()) > 0.001 {
		t.Errorf("%.3f s long, want %.3f", d, k.Length())
	}
	var heard []float64
	quiet := s.Rate
	for i, v := range s.Samples {
		if v == 0 {
			quiet++
			continue
		}
		if quiet > s.Rate/20 {
			heard = append(heard, float64(i)/float64(s.Rate))
		}
		quiet = 0
	}
	beats := k.Beats()
	if len(heard) != len(beats) {
		t.Fatalf("%d beats are heard of %d", len(heard), len(beats))
	}
	for i, b := range beats {
		if math.Abs(heard[i]-b.At) > 0.001 {
			t.Errorf("beat %d at %.4f s, want %.4f", i, heard[i], b.At)
		}
	}
}

// TestEveryClick: beats come in order, whole bars, and files hold them all.
func TestEveryClick(t *testing.T) {
	notes := []routine.NoteValue{routine.Eighth, routine.Quarter, routine.DottedQuarter, routine.Half}
	rapid.Check(t, func(t *rapid.T) {
		tempo := func(name string) routine.Tempo {
			return routine.Tempo{BPM: rapid.Float64Range(10, 400).Draw(t, name), Note: rapid.SampledFrom(notes).Draw(t, name+" note")}
		}
		k := click.Click{From: tempo("from"), Meter: rapid.IntRange(1, 12).Draw(t, "meter"), CountIn: rapid.IntRange(0, 4).Draw(t, "count-in"), Seconds: rapid.Float64Range(1, 30).Draw(t, "seconds")}
		if rapid.Bool().Draw(t, "ramp") {
			k.To = routine.Tempo{BPM: rapid.Float64Range(10, 400).Draw(t, "to"), Note: k.From.Note}
		}
		if err := k.Check(); err != nil {
			t.Fatal(err)
		}
		k.Divide = rapid.IntRange(0, 4).Draw(t, "divide")
		beats := k.Beats()
		if len(beats)%(k.Meter*max(1, k.Divide)) != 0 || len(beats) == 0 {
			t.Fatalf("%d strokes in bars of %d", len(beats), k.Meter)
		}
		for i := 1; i < len(beats); i++ {
			if beats[i].At <= beats[i-1].At {
				t.Fatalf("beat %d at %g after one at %g", i, beats[i].At, beats[i-1].At)
			}
		}
		if n := bytes.Count(k.MIDI(), []byte{0x99}); n < len(beats) {
			t.Fatalf("%d notes of %d beats", n, len(beats))
		}
	})
}

// TestDivided: a beat of a compound measure or of triplets has two soft strokes
// after it, and a new mark begins with a stroke of its own.
func TestDivided(t *testing.T) {
	k := click.Click{From: routine.Tempo{BPM: 60, Note: routine.DottedQuarter}, To: routine.Tempo{BPM: 63, Note: routine.DottedQuarter}, Meter: 2, Divide: 3, CountIn: 1, Seconds: 8}
	var got string
	for _, b := range k.Beats() {
		got += string("-.|>"[b.Stress])
	}
	if want := "|--.--" + strings.Repeat("|--.--", 2) + ">--.--" + "|--.--"; got != want {
		t.Errorf("strokes %s, want %s", got, want)
	}
}

// TestReadByAnother has Debian's midicsv read files: what time signature and
// tempi they have, and when each stroke falls.
func TestReadByAnother(t *testing.T) {
	if _, err := exec.LookPath("midicsv"); err != nil {
		t.Skip("There is no midicsv here, so no other program reads the MIDI files.")
	}
	for _, k := range []click.Click{
		{From: quarter(92), To: quarter(104), Meter: 4, CountIn: 1, Seconds: 40},
		{From: quarter(96), Meter: 3, CountIn: 2, Divide: 3, Seconds: 20},
		{From: routine.Tempo{BPM: 63, Note: routine.DottedQuarter}, To: routine.Tempo{BPM: 52, Note: routine.DottedQuarter}, Meter: 2, Divide: 3, CountIn: 1, Seconds: 30},
		{From: routine.Tempo{BPM: 168, Note: routine.Eighth}, Meter: 7, Seconds: 10},
	} {
		read := exec.Command("midicsv")
		read.Stdin = bytes.NewReader(k.MIDI())
		out, err := read.Output()
		if err != nil {
			t.Fatalf("%+v: %v", k, err)
		}
		var strokes []float64
		var tempi []string
		at, ticks, micros := 0.0, 0, 0
		for row := range strings.Lines(string(out)) {
			f := strings.Split(strings.TrimSpace(row), ", ")
			tick, _ := strconv.Atoi(f[1])
			at, ticks = at+float64((tick-ticks)*micros)/480e6, tick
			switch f[2] {
			case "Header":
				if f[5] != "480" {
					t.Errorf("%s ticks a quarter", f[5])
				}
			case "Tempo":
				micros, _ = strconv.Atoi(f[3])
			case "Marker_t":
				tempi = append(tempi, strings.Trim(f[3], `"`))
			case "Note_on_c":
				strokes = append(strokes, at)
			}
		}
		var want []string
		for _, m := range k.Marks() {
			want = append(want, m.String())
		}
		beats := k.Beats()
		if len(strokes) != len(beats) || !slices.Equal(tempi, want) {
			t.Fatalf("%+v: %d strokes at %v are read, want %d at %v", k, len(strokes), tempi, len(beats), want)
		}
		for i, b := range beats {
			if math.Abs(strokes[i]-b.At) > 0.001 {
				t.Fatalf("%+v: stroke %d is at %.4f s, want %.4f", k, i, strokes[i], b.At)
			}
		}
	}
}
