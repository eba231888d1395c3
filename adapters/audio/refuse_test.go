package audio

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/click"
	"ledgerline/routine/sound"
	"ledgerline/routine/sound/soundtest"
)

// A trap is a sound of which no count, or no count of one player, can be had. Its
// notes are those of the player who is meant, if there is one.
type trap struct {
	name string
	make func(t *testing.T, p player, perSecond float64, rng *rand.Rand) (x []float32, rate int, notes []soundtest.Note)
}

const trapSeconds = 20.0

func playedBy(t *testing.T, p player, perSecond, start float64, rng *rand.Rand) (x []float32, rate int, notes []soundtest.Note) {
	hand := soundtest.Hand{PerSecond: perSecond, Start: start, Seconds: trapSeconds, Jitter: min(0.010, 0.05/perSecond), Wander: 0.01, Group: 4, Accent: 2.5, Uneven: 1}
	notes = hand.Notes(rng)
	x, rate = p.play(t, notes)
	return x, rate, notes
}

// louder returns a sound at a level in dB against another's.
func louder(x, than []float32, db float64) []float32 {
	peak := func(x []float32) (top float32) {
		for _, v := range x {
			top = max(top, v, -v)
		}
		return top
	}
	return soundtest.Level(x, float64(peak(than))*math.Pow(10, db/20))
}

func traps(dir string) []trap {
	second := func(level, faster float64, note string) trap {
		name := fmt.Sprintf("second player %s, %+.0f dB, %g times as fast", note, level, faster)
		return trap{name, func(t *testing.T, p player, perSecond float64, rng *rand.Rand) ([]float32, int, []soundtest.Note) {
			x, rate, notes := playedBy(t, p, perSecond, 1, rng)
			y, _, _ := playedBy(t, recorded(dir, note), perSecond*faster, 1.3, rng)
			return soundtest.Mix(x, louder(y, x, level)), rate, notes
		}}
	}
	behind := func(level, faster float64) trap {
		name := fmt.Sprintf("metronome behind, %+.0f dB, a click to %g notes", level, faster)
		return trap{name, func(t *testing.T, p player, perSecond float64, rng *rand.Rand) ([]float32, int, []soundtest.Note) {
			x, rate, notes := playedBy(t, p, perSecond, 1, rng)
			k := click.Click{From: routine.Tempo{BPM: perSecond / faster * 60, Note: routine.Quarter}, Meter: 4, Seconds: trapSeconds}
			s, err := Decode(t.Context(), k.WAV(), Usual)
			if err != nil {
				t.Fatal(err)
			}
			y := make([]float32, len(x))
			for i := range y {
				if j := (i - rate) * s.Rate / rate; i >= rate && j < len(s.Samples) {
					y[i] = s.Samples[j]
				}
			}
			return soundtest.Mix(x, louder(y, x, level)), rate, notes
		}}
	}
	slur := func(dip float64) trap {
		return trap{fmt.Sprintf("slurred, dips of %g dB", dip), func(t *testing.T, p player, perSecond float64, rng *rand.Rand) ([]float32, int, []soundtest.Note) {
			_, rate, notes := playedBy(t, p, perSecond, 1, rng)
			one, _ := p.play(t, []soundtest.Note{{At: 0.1, Length: 2.5}})
			v := soundtest.Voice{Samples: one[rate/10:], Rate: rate}
			return v.Slur(notes, dip), rate, notes
		}}
	}
	return []trap{
		slur(1), slur(2), slur(3),
		{"talk alone", func(t *testing.T, _ player, perSecond float64, rng *rand.Rand) ([]float32, int, []soundtest.Note) {
			talk := decodeFile(t, filepath.Join("testdata", "talk.opus"))
			var x []float32
			for len(x) < int(trapSeconds)*talk.Rate {
				from := rng.IntN(len(talk.Samples) / 2)
				x = append(x, talk.Samples[from:]...)
			}
			return x, talk.Rate, nil
		}},
		{"noise alone", func(_ *testing.T, _ player, _ float64, rng *rand.Rand) ([]float32, int, []soundtest.Note) {
			x := make([]float32, 20*44100)
			for i := range x {
				x[i] = float32(0.1 * rng.NormFloat64())
			}
			return x, 44100, nil
		}},
		{"under noise, -3 dB", func(t *testing.T, p player, perSecond float64, rng *rand.Rand) ([]float32, int, []soundtest.Note) {
			x, rate, notes := playedBy(t, p, perSecond, 1, rng)
			return soundtest.Noise(x, -3, rng), rate, notes
		}},
		{"cut off, 20 dB", func(t *testing.T, p player, perSecond float64, rng *rand.Rand) ([]float32, int, []soundtest.Note) {
			x, rate, notes := playedBy(t, p, perSecond, 1, rng)
			return soundtest.Level(x, 10), rate, notes
		}},
		{"four seconds", func(t *testing.T, p player, perSecond float64, rng *rand.Rand) ([]float32, int, []soundtest.Note) {
			x, rate, notes := playedBy(t, p, perSecond, 0.3, rng)
			return x[:4*rate], rate, notes
		}},
		behind(-20, 4), behind(-10, 4), behind(0, 4), behind(-10, 4.4), behind(0, 4.4),
		second(0, 1.13, "G4"), second(-6, 1.13, "G4"), second(-12, 1.13, "G4"), second(-6, 0.5, "G4"), second(-6, 0.75, "G4"), second(-6, 1, "G4"),
		second(0, 1.13, "As3"), second(-6, 1.13, "As3"),
	}
}

// mostCaught is one in how many traps may be walked into.
const mostCaught = 20

// TestTraps prints how many of the traps were refused, and how many of the rest
// were heard right all the same. Where nobody plays there must be no answer, and
// where somebody does, next to no wrong one. LEDGERLINE_TABLE=full plays each with
// three notes at four tempi.
func TestTraps(t *testing.T) {
	dir := samples(t)
	players, tempi := []player{recorded(dir, "As3")}, []float64{8}
	if os.Getenv("LEDGERLINE_TABLE") != "" {
		players, tempi = append(players, recorded(dir, "F5"), recorded(dir, "G4")), []float64{4, 6, 8, 9.6}
	}
	rng := rand.New(rand.NewPCG(2026, 12))
	var lines []string
	all, caught := 0, 0
	for _, tr := range traps(dir) {
		refused, right, wrong := 0, 0, 0
		why := map[sound.Doubt]int{}
		for _, p := range players {
			for _, perSecond := range tempi {
				x, rate, notes := tr.make(t, p, perSecond, rng)
				m := sound.Measure(x, rate, sound.Ask{PerBeat: 4, Beat: routine.Quarter, Seconds: trapSeconds})
				switch off := float64(m.Onsets - len(notes)); {
				case m.CouldNotTell != "":
					refused++
					why[m.CouldNotTell]++
				case notes == nil:
					t.Errorf("%s: %d notes were heard where nobody played", tr.name, m.Onsets)
				case math.Abs(off) <= max(2, 0.01*float64(len(notes))): // the other may begin or end it
					right++
				default:
					wrong++
					t.Logf("%s, %s, %g a second: %d of %d notes, held %s, sure %.2f", tr.name, p.name, perSecond, m.Onsets, len(notes), m.Held, m.Confidence)
				}
			}
		}
		lines = append(lines, fmt.Sprintf("%-50s %3d %3d %3d %v", tr.name, refused, right, wrong, why))
		all, caught = all+refused+right+wrong, caught+wrong
	}
	t.Logf("\n%-50s %3s %3s %3s\n%s", "", "no", "ok", "bad", strings.Join(lines, "\n"))
	if caught*mostCaught > all {
		t.Errorf("%d of %d were answered wrongly", caught, all)
	}
}
