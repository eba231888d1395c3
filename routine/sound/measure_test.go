package sound_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/sound"
	"ledgerline/routine/sound/soundtest"
	"pgregory.net/rapid"
)

const rate = 44100

func source(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 7)) }

// TestCountAndTempo plays computed tones, whose notes are known.
func TestCountAndTempo(t *testing.T) {
	for _, perSecond := range []float64{2, 3, 4.8, 6.4, 8, 9.6, 12} {
		for _, hertz := range []float64{117, 466} {
			for _, snr := range []float64{60, 20} {
				t.Run(fmt.Sprintf("%g a second, %g Hz, %g dB", perSecond, hertz, snr), func(t *testing.T) {
					rng := source(uint64(perSecond * hertz))
					hand := soundtest.Hand{PerSecond: perSecond, Start: 1, Seconds: 16, Jitter: 0.004, Group: 4, Accent: 2, Uneven: 1}
					notes := hand.Notes(rng)
					x := soundtest.Noise(soundtest.Tone(hertz, 0.03, rate).Play(notes), snr, rng)
					m := sound.Measure(x, rate, sound.Ask{Seconds: 16})
					if m.CouldNotTell != "" {
						t.Fatalf("could not tell: %s", m.CouldNotTell)
					}
					if m.Onsets != len(notes) {
						t.Errorf("%d notes heard, %d played", m.Onsets, len(notes))
					}
					if want := perSecond * 15; math.Abs(m.BPM/want-1) > 0.01 {
						t.Errorf("tempo %.2f, want %.2f", m.BPM, want)
					}
					if m.Held != sound.Yes || len(m.Breaks) != 0 {
						t.Errorf("held %q with breaks %v, want held without", m.Held, m.Breaks)
					}
				})
			}
		}
	}
}

// TestWhereItBroke leaves notes out and looks for the holes.
func TestWhereItBroke(t *testing.T) {
	hand := soundtest.Hand{PerSecond: 8, Start: 2, Seconds: 60, Jitter: 0.005, Missing: []int{100, 101, 102, 360}}
	notes := hand.Notes(source(1))
	m := sound.Measure(soundtest.Tone(233, 0.02, rate).Play(notes), rate, sound.Ask{})
	if m.CouldNotTell != "" || len(m.Breaks) != 2 {
		t.Fatalf("breaks %v (%s), want two", m.Breaks, m.CouldNotTell)
	}
	for i, want := range []sound.Break{{At: 12.5, Length: 0.5}, {At: 45, Length: 0.25}} {
		if got := m.Breaks[i]; math.Abs(got.At-want.At) > 0.05 || math.Abs(got.Length-want.Length) > 0.03 {
			t.Errorf("break %d is %+v, want %+v", i, got, want)
		}
	}
	if math.Abs(m.LongestUnbroken-32.1) > 0.3 || m.Held != sound.No {
		t.Errorf("longest stretch %.1f s, held %s; want 32.1 s, not held", m.LongestUnbroken, m.Held)
	}
	if math.Abs(m.NotesPerSecond-8) > 0.02 {
		t.Errorf("%.2f notes a second, want 8: breaks don't slow what was played", m.NotesPerSecond)
	}
}

func TestEvennessAndDrift(t *testing.T) {
	for _, c := range []struct{ jitter, drift float64 }{{0.002, 0}, {0.008, 0.06}, {0.012, -0.05}} {
		hand := soundtest.Hand{PerSecond: 6, Start: 1, Seconds: 60, Jitter: c.jitter, Drift: c.drift}
		notes := hand.Notes(source(3))
		m := sound.Measure(soundtest.Tone(233, 0.02, rate).Play(notes), rate, sound.Ask{})
		if m.CouldNotTell != "" {
			t.Fatal(m.CouldNotTell)
		}
		// Two independent placings make a step: its spread is that of one times the root of two.
		if want := 1000 * c.jitter * math.Sqrt2; math.Abs(m.Evenness-want) > 1.5+want/4 {
			t.Errorf("evenness %.1f ms, want about %.1f", m.Evenness, want)
		}
		// First and last window are centred 45 s apart.
		if want := 100 * c.drift * 0.75; math.Abs(m.Drift-want) > 1 {
			t.Errorf("drift %.1f %%, want about %.1f", m.Drift, want)
		}
	}
}

// TestFigures reads one sound as several figures.
func TestFigures(t *testing.T) {
	notes := soundtest.Hand{PerSecond: 6, Start: 0.5, Seconds: 20}.Notes(source(4))
	x := soundtest.Tone(233, 0.02, rate).Play(notes)
	for _, c := range []struct {
		ask  sound.Ask
		want routine.Tempo
	}{
		{sound.Ask{}, routine.Tempo{BPM: 90, Note: routine.Quarter}},
		{sound.Ask{PerBeat: 3, Beat: routine.Quarter}, routine.Tempo{BPM: 120, Note: routine.Quarter}},
		{sound.Ask{PerBeat: 2, Beat: routine.Quarter}, routine.Tempo{BPM: 180, Note: routine.Quarter}},
		{sound.Ask{PerBeat: 3, Beat: routine.DottedQuarter}, routine.Tempo{BPM: 120, Note: routine.DottedQuarter}},
	} {
		m := sound.Measure(x, rate, c.ask)
		if got := m.Tempo(); math.Abs(got.BPM/c.want.BPM-1) > 0.005 || got.Note != c.want.Note {
			t.Errorf("%+v: %v, want %v (%s)", c.ask, got, c.want, m.CouldNotTell)
		}
	}
}

func sine(seconds, hertz float64) []float32 {
	x := make([]float32, int(seconds*rate))
	for i := range x {
		x[i] = float32(math.Sin(2 * math.Pi * hertz * float64(i) / rate))
	}
	return x
}

// vibrato is a long tone with a swing of the pitch and of the loudness.
func vibrato(seconds, hertz, swings, decibels float64) []float32 {
	x := make([]float32, int(seconds*rate))
	phase := 0.0
	for i := range x {
		swing := math.Sin(2 * math.Pi * swings * float64(i) / rate)
		phase += 2 * math.Pi * hertz * math.Pow(2, 0.3*swing/12) / rate
		for k := 1; k <= 10; k++ {
			// The upper partials swing further, as on a brass instrument.
			x[i] += float32(0.2 / float64(k) * math.Pow(10, decibels*(1+float64(k)/10)*swing/20) * math.Sin(float64(k)*phase))
		}
	}
	return x
}

// TestCouldNotTell gives what no count can be had of.
func TestCouldNotTell(t *testing.T) {
	rng := source(5)
	tone := soundtest.Tone(233, 0.03, rate)
	at := func(perSecond, seconds float64) []soundtest.Note {
		return soundtest.Hand{PerSecond: perSecond, Start: 0.5, Seconds: seconds, Jitter: 0.004}.Notes(rng)
	}
	noise := soundtest.Noise(make([]float32, 15*rate), 0, rng)
	for i := range noise {
		noise[i] = float32(rng.NormFloat64()) * 0.1
	}
	for name, c := range map[string]struct {
		x    []float32
		ask  sound.Ask
		want []sound.Doubt
	}{
		"nothing":         {nil, sound.Ask{}, []sound.Doubt{sound.TooShort}},
		"silence":         {make([]float32, 8*rate), sound.Ask{}, []sound.Doubt{sound.TooQuiet}},
		"three seconds":   {tone.Play(at(8, 3)), sound.Ask{}, []sound.Doubt{sound.TooShort}},
		"noise":           {noise, sound.Ask{}, []sound.Doubt{sound.Noisy, sound.Unclear}},
		"slurs of 1 dB":   {tone.Slur(at(8, 16), 1), sound.Ask{}, []sound.Doubt{sound.Legato, sound.Unclear, sound.Vibrato}},
		"a shallow swing": {vibrato(15, 233, 5.5, 1), sound.Ask{}, []sound.Doubt{sound.Legato, sound.Unclear, sound.Vibrato}},
		"a deep swing":    {vibrato(15, 349, 5.2, 3), sound.Ask{}, []sound.Doubt{sound.Legato, sound.Unclear, sound.Vibrato}},
		"a fast swing":    {vibrato(15, 466, 6.8, 3), sound.Ask{}, []sound.Doubt{sound.Legato, sound.Unclear, sound.Vibrato}},
		"a steady sine":   {sine(12, 300), sound.Ask{}, []sound.Doubt{sound.Legato, sound.Unclear}},
		"cut off":         {soundtest.Level(tone.Play(at(8, 16)), 2000), sound.Ask{}, []sound.Doubt{sound.Clipped}},
		"two players": {soundtest.Mix(tone.Play(at(8, 16)), soundtest.Tone(311, 0.03, rate).Play(at(7, 16))), sound.Ask{},
			[]sound.Doubt{sound.SeveralPlayers, sound.Unclear}},
		"half of what was set": {tone.Play(at(4, 16)), sound.Ask{Assigned: routine.Tempo{BPM: 120, Note: routine.Quarter}}, []sound.Doubt{sound.WrongFigure}},
	} {
		t.Run(name, func(t *testing.T) {
			m := sound.Measure(c.x, rate, c.ask)
			for _, w := range c.want {
				if m.CouldNotTell == w {
					return
				}
			}
			t.Errorf("%q with %d notes at %.2f a second, sure %.2f; want one of %q", m.CouldNotTell, m.Onsets, m.NotesPerSecond, m.Confidence, c.want)
		})
	}
}

// TestNothingButTheSoundMatters: not its loudness, nor when it begins, nor the
// rate it was taken at.
func TestNothingButTheSoundMatters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		hand := soundtest.Hand{PerSecond: rapid.Float64Range(3, 12).Draw(t, "notes a second"), Start: rapid.Float64Range(0.1, 3).Draw(t, "start"), Seconds: 8, Jitter: 0.003}
		notes := hand.Notes(source(seed))
		gain := rapid.Float64Range(0.02, 0.95).Draw(t, "gain")
		taken := rapid.SampledFrom([]int{16000, 24000, 44100, 48000}).Draw(t, "rate")
		x := soundtest.Level(soundtest.Tone(233, 0.02, taken).Play(notes), gain)
		m := sound.Measure(x, taken, sound.Ask{Seconds: 8})
		if m.CouldNotTell != "" {
			t.Fatal(m.CouldNotTell)
		}
		if m.Onsets != len(notes) || m.Held != sound.Yes {
			t.Fatalf("%d notes, held %q; %d were played unbroken", m.Onsets, m.Held, len(notes))
		}
	})
}

func FuzzMeasure(f *testing.F) {
	f.Add([]byte("some sound"), 8000, 4)
	f.Fuzz(func(t *testing.T, raw []byte, rate, perBeat int) {
		if rate < 1 || rate > 48000 || perBeat < 1 || perBeat > 16 || len(raw) == 0 {
			return
		}
		x := make([]float32, 6*rate)
		for i := range x {
			x[i] = float32(int8(raw[i%len(raw)]^byte(i/len(raw)))) / 128
		}
		m := sound.Measure(x, rate, sound.Ask{PerBeat: perBeat})
		for _, v := range []float64{m.BPM, m.Seconds, m.NotesPerSecond, m.Evenness, m.Drift, m.LongestUnbroken} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", m)
			}
		}
		if m.CouldNotTell != "" && (m.Onsets != 0 || m.BPM != 0) {
			t.Fatalf("could not tell (%s), yet %d notes", m.CouldNotTell, m.Onsets)
		}
	})
}

func BenchmarkMinute(b *testing.B) {
	notes := soundtest.Hand{PerSecond: 9.6, Start: 1, Seconds: 60, Jitter: 0.004}.Notes(source(9))
	x := soundtest.Noise(soundtest.Tone(233, 0.02, 48000).Play(notes), 30, source(9))
	b.ReportAllocs()
	for b.Loop() {
		sound.Measure(x, 48000, sound.Ask{})
	}
}
