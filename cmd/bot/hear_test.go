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

// TestHearSaysWhatIsWrong gives it what is no recording.
func TestHearSaysWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	file := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	silence := soundtest.WAV(make([]float32, 10*8000), 8000)
	for _, c := range []struct {
		args []string
		in   string
		want string
	}{
		{[]string{file("reply.txt", []byte("1 96 clean"))}, "", "no sound file that I can read"},
		{[]string{file("renamed.ogg", []byte("1 96 clean"))}, "", "no sound file that I can read"},
		{[]string{file("empty.wav", nil)}, "", "the file is empty"},
		{[]string{file("large.wav", make([]byte, 40<<20))}, "", "more than 25 MB"},
		{[]string{file("long.wav", soundtest.WAV(make([]float32, 301*8000), 8000))}, "", "longer than 5 minutes"},
		{[]string{file("broken.ogg", append([]byte("OggS"), make([]byte, 60)...))}, "", "no sound file that I can read"},
		{[]string{filepath.Join(dir, "missing.wav")}, "", "give the path of a sound file, or - for standard input"},
		{[]string{dir}, "", "is a folder"},
		{[]string{"-"}, "", "the file is empty"},
		{[]string{"-"}, "RIFF", "no sound file that I can read"},
		{[]string{"-", "--figure", "quintuplet"}, string(silence), "--figure must be one of"},
		{[]string{"-", "--seconds", "nan"}, string(silence), "--seconds"},
		{[]string{"-", "--assigned", "fast"}, string(silence), "write note=number"},
	} {
		var out bytes.Buffer
		err := run(t.Context(), append([]string{"hear"}, c.args...), strings.NewReader(c.in), &out)
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") || out.Len() > 0 {
			t.Errorf("%v: %v and %q, want that %s", c.args, err, out.String(), c.want)
		}
	}
	var out bytes.Buffer
	if err := run(t.Context(), []string{"hear", "-"}, strings.NewReader(string(silence)), &out); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(out.String(), `{"onsets":0,"seconds":0,`) || !strings.Contains(out.String(), `"could_not_tell":"too quiet"`) {
		t.Errorf("of silence %s", out.String())
	}
}
