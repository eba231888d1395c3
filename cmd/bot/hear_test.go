package main

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ledgerline/routine/sound/soundtest"
)

// playedFile writes a minute of sixteenths at quarter=144 as a 16-bit WAV file.
func playedFile(t *testing.T) string {
	t.Helper()
	const rate = 22050
	hand := soundtest.Hand{PerSecond: 9.6, Start: 1, Seconds: 60, Jitter: 0.003}
	x := soundtest.Level(soundtest.Tone(233, 0.02, rate).Play(hand.Notes(rand.New(rand.NewPCG(1, 1)))), 0.5)
	path := filepath.Join(t.TempDir(), "minute.wav")
	if err := os.WriteFile(path, soundtest.WAV(x, rate), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestHear(t *testing.T) {
	var out bytes.Buffer
	if err := run(t.Context(), []string{"hear", playedFile(t), "--figure", "sixteenth"}, strings.NewReader(""), &out); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Onsets       int
		Seconds      float64
		PerSecond    float64 `json:"notes_per_second"`
		Tempo        float64
		Note         string
		Unbroken     float64 `json:"longest_unbroken_s"`
		Held         string
		Evenness     float64 `json:"evenness_ms"`
		Confidence   float64
		CouldNotTell *string `json:"could_not_tell"`
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatalf("%v in %s", err, out.String())
	}
	if got.Onsets != 576 || math.Abs(got.Tempo-144) > 0.5 || got.Note != "quarter" || got.Held != "yes" ||
		math.Abs(got.Seconds-60) > 0.2 || math.Abs(got.Unbroken-60) > 0.2 || math.Abs(got.PerSecond-9.6) > 0.05 ||
		got.Confidence < 0.8 || got.CouldNotTell == nil || *got.CouldNotTell != "" {
		t.Errorf("heard %s", out.String())
	}
}

func TestHearSaysWhatIsWrong(t *testing.T) {
	text := filepath.Join(t.TempDir(), "reply.txt")
	if err := os.WriteFile(text, []byte("1 96 clean"), 0o600); err != nil {
		t.Fatal(err)
	}
	err := run(t.Context(), []string{"hear", text}, strings.NewReader(""), &bytes.Buffer{})
	if err == nil || !strings.Contains(err.Error(), "no sound file") {
		t.Errorf("%v, want that it is no sound file", err)
	}
}
