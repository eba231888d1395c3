package audio

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/sound"
	"ledgerline/routine/sound/soundtest"
	"ledgerline/studio"
)

// TestMain is also the process that an Ear starts, and others that go astray.
func TestMain(m *testing.M) {
	if len(os.Args) == 2 {
		switch os.Args[1] {
		case "listen":
			if err := Serve(context.Background(), os.Stdin, os.Stdout); err != nil {
				os.Exit(1)
			}
			os.Exit(0)
		case "devour":
			if err := shutIn(); err != nil {
				os.Exit(3)
			}
			var all [][]byte
			for range 64 { // 4 GB in all
				b := make([]byte, 64<<20)
				for i := range b {
					b[i] = 1
				}
				all = append(all, b)
			}
			os.Stdout.WriteString(`{"Times":[` + string('0'+all[0][0]) + `]}`)
			os.Exit(0)
		case "loop":
			for {
				time.Sleep(time.Millisecond)
			}
		}
	}
	os.Exit(m.Run())
}

func earThat(t testing.TB, does string) *Ear {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return NewEar(Usual, self, does)
}

func minuteFile(perSecond, seconds float64) []byte {
	const rate = 22050
	hand := soundtest.Hand{PerSecond: perSecond, Start: 1, Seconds: seconds, Jitter: 0.003}
	x := soundtest.Tone(233, 0.02, rate).Play(hand.Notes(rand.New(rand.NewPCG(1, 1))))
	return soundtest.WAV(soundtest.Level(x, 0.5), rate)
}

func TestEar(t *testing.T) {
	m, err := earThat(t, "listen").Hear(t.Context(), minuteFile(8, 20), sound.Ask{PerBeat: 4, Beat: routine.Quarter, Seconds: 20})
	if err != nil {
		t.Fatal(err)
	}
	if m.Onsets != 160 || len(m.Times) != 160 || math.Abs(m.BPM-120) > 0.5 || m.Held != sound.Yes {
		t.Errorf("heard %d notes at %.1f, held %q, %d times; want 160 at 120, held", m.Onsets, m.BPM, m.Held, len(m.Times))
	}
}

// TestEarOutlivesItsFiles: whatever becomes of the other process, this one gets
// an answer.
func TestEarOutlivesItsFiles(t *testing.T) {
	want := func(err error, why studio.Unfit) {
		t.Helper()
		var u *studio.UnfitError
		if !errors.As(err, &u) || u.Why != why {
			t.Errorf("%v, want that it is %s", err, why)
		}
	}
	_, err := earThat(t, "listen").Hear(t.Context(), []byte("1 96 clean"), sound.Ask{})
	want(err, studio.NotSound)
	_, err = earThat(t, "listen").Hear(t.Context(), make([]byte, Usual.Bytes+5), sound.Ask{})
	want(err, studio.TooLarge)
	_, err = earThat(t, "listen").Hear(t.Context(), wavFile(1, 1, 8000, 16, make([]byte, 301*16000)), sound.Ask{})
	want(err, studio.TooLong)
	_, err = earThat(t, "devour").Hear(t.Context(), nil, sound.Ask{})
	want(err, studio.Damaged)
	ctx, done := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer done()
	_, err = earThat(t, "loop").Hear(ctx, nil, sound.Ask{})
	want(err, studio.Damaged)
	if _, err := NewEar(Usual, "/no/such/program").Hear(t.Context(), nil, sound.Ask{}); err == nil || errors.As(err, new(*studio.UnfitError)) {
		t.Errorf("%v: a program that is missing is no fault of the file", err)
	}
}

// BenchmarkHear is a minute as a voice message has it, with the process.
func BenchmarkHear(b *testing.B) {
	file, ear := minuteFile(9.6, 60), earThat(b, "listen")
	for b.Loop() {
		if _, err := ear.Hear(b.Context(), file, sound.Ask{}); err != nil {
			b.Fatal(err)
		}
	}
}
