package audio

import (
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"ledgerline/routine/sound/soundtest"
)

// need skips a test for which programs of Debian are missing.
func need(t testing.TB, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			t.Skipf("There is no %s here, so this is not compared with it.", p)
		}
	}
}

func do(t testing.TB, program string, args ...string) {
	t.Helper()
	if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s %s: %v\n%s", program, strings.Join(args, " "), err, out)
	}
}

// referenceSound is six seconds of notes, a rest and some noise, in 16 bits.
func referenceSound(rate int) []float32 {
	rng := rand.New(rand.NewPCG(3, 4))
	x := soundtest.Tone(277, 0.02, rate).Play(soundtest.Hand{PerSecond: 7, Start: 0.4, Seconds: 5, Uneven: 3}.Notes(rng))
	return soundtest.Level(soundtest.Noise(x, 40, rng), 0.7)
}

// TestAgainstReference encodes with Debian's encoders and compares what we decode
// with what Debian's decoder makes of the same file.
func TestAgainstReference(t *testing.T) {
	ffmpeg := func(args ...string) []string { return append([]string{"ffmpeg", "-v", "error", "-y"}, args...) }
	for name, c := range map[string]struct {
		rate   int
		encode []string
		decode []string // to out.wav, 32-bit floats or 16 bits
		snr    float64  // at least so alike, dB
	}{
		"wav.wav":         {44100, []string{"sox", "in.wav", "-b", "24", "FILE"}, []string{"sox", "FILE", "-e", "float", "-b", "32", "out.wav"}, 120},
		"float.wav":       {8000, []string{"sox", "in.wav", "-e", "float", "-b", "32", "FILE"}, []string{"sox", "FILE", "-e", "float", "-b", "32", "out.wav"}, 120},
		"stereo.wav":      {48000, []string{"sox", "in.wav", "-c", "2", "FILE"}, []string{"sox", "FILE", "-c", "1", "-e", "float", "-b", "32", "out.wav"}, 85},
		"flac16.flac":     {44100, []string{"flac", "-s", "-8", "-o", "FILE", "in.wav"}, ffmpeg("-i", "FILE", "-c:a", "pcm_f32le", "out.wav"), 120},
		"flac24.flac":     {48000, []string{"sox", "in.wav", "-b", "24", "FILE"}, ffmpeg("-i", "FILE", "-c:a", "pcm_f32le", "out.wav"), 120},
		"vorbis.ogg":      {44100, []string{"oggenc", "-Q", "-q", "2", "-o", "FILE", "in.wav"}, ffmpeg("-i", "FILE", "-c:a", "pcm_f32le", "out.wav"), 80},
		"vorbis8k.ogg":    {16000, []string{"oggenc", "-Q", "-q", "0", "-o", "FILE", "in.wav"}, ffmpeg("-i", "FILE", "-c:a", "pcm_f32le", "out.wav"), 80},
		"opus64.opus":     {48000, []string{"opusenc", "--quiet", "--bitrate", "64", "in.wav", "FILE"}, []string{"opusdec", "--quiet", "--float", "FILE", "out.wav"}, 60},
		"opus24.ogg":      {48000, []string{"opusenc", "--quiet", "--bitrate", "24", "in.wav", "FILE"}, []string{"opusdec", "--quiet", "--float", "FILE", "out.wav"}, 40},
		"opus16.ogg":      {48000, []string{"opusenc", "--quiet", "--bitrate", "16", "in.wav", "FILE"}, []string{"opusdec", "--quiet", "--float", "FILE", "out.wav"}, 40},
		"opus12v.ogg":     {48000, []string{"opusenc", "--quiet", "--speech", "--bitrate", "12", "in.wav", "FILE"}, []string{"opusdec", "--quiet", "--float", "FILE", "out.wav"}, 40},
		"opus60ms.ogg":    {48000, []string{"opusenc", "--quiet", "--framesize", "60", "--bitrate", "20", "in.wav", "FILE"}, []string{"opusdec", "--quiet", "--float", "FILE", "out.wav"}, 40},
		"opusstereo.opus": {48000, []string{"sh", "-c", "sox in.wav -c 2 two.wav && opusenc --quiet --bitrate 64 two.wav FILE"}, []string{"sh", "-c", "opusdec --quiet --float FILE two.wav && sox two.wav -c 1 -e float -b 32 out.wav"}, 40},
		"cbr.mp3":         {44100, []string{"lame", "--quiet", "-b", "64", "in.wav", "FILE"}, ffmpeg("-flags2", "-skip_manual", "-i", "FILE", "-ac", "1", "-c:a", "pcm_f32le", "out.wav"), 60},
		"vbr.mp3":         {48000, []string{"lame", "--quiet", "-V", "5", "in.wav", "FILE"}, ffmpeg("-i", "FILE", "-ac", "1", "-c:a", "pcm_f32le", "out.wav"), 60},
		"low.mp3":         {22050, []string{"lame", "--quiet", "-b", "32", "in.wav", "FILE"}, ffmpeg("-i", "FILE", "-ar", "48000", "-ac", "1", "-c:a", "pcm_f32le", "out.wav"), 60},
		"aac.m4a":         {48000, ffmpeg("-i", "in.wav", "-c:a", "aac", "-b:a", "64k", "FILE"), ffmpeg("-i", "FILE", "-c:a", "pcm_f32le", "out.wav"), 100},
		"browser.webm":    {48000, ffmpeg("-i", "in.wav", "-c:a", "libopus", "-b:a", "32k", "FILE"), ffmpeg("-i", "FILE", "-c:a", "pcm_f32le", "out.wav"), 100},
	} {
		t.Run(name, func(t *testing.T) {
			need(t, c.encode[0], c.decode[0], "sox")
			dir := t.TempDir()
			t.Chdir(dir)
			if err := os.WriteFile("in.wav", soundtest.WAV(referenceSound(c.rate), c.rate), 0o600); err != nil {
				t.Fatal(err)
			}
			with := func(args []string) []string {
				out := make([]string, len(args))
				for i, a := range args {
					out[i] = strings.ReplaceAll(a, "FILE", name)
				}
				return out
			}
			encode, decode := with(c.encode), with(c.decode)
			do(t, encode[0], encode[1:]...)
			do(t, decode[0], decode[1:]...)
			ours, theirs := decodeFile(t, name), decodeFile(t, "out.wav")
			if ours.Rate != theirs.Rate {
				t.Fatalf("%d samples a second, the reference has %d", ours.Rate, theirs.Rate)
			}
			delay := lagOf(ours.Samples, theirs.Samples)
			got := snr(ours.Samples[max(0, delay):], theirs.Samples[max(0, -delay):])
			t.Logf("%.0f dB alike, %d samples later, %d samples long against %d", got, delay, len(ours.Samples), len(theirs.Samples))
			if got < c.snr {
				t.Errorf("only %.1f dB alike, want %g", got, c.snr)
			}
			if !strings.HasSuffix(name, ".mp3") && (delay != 0 || len(ours.Samples) != len(theirs.Samples)) {
				t.Errorf("%d samples later and %d long, the reference has %d", delay, len(ours.Samples), len(theirs.Samples))
			}
		})
	}
}

func decodeFile(t testing.TB, path string) *Sound {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Decode(t.Context(), data, Usual)
	if err != nil {
		t.Fatalf("%s: %v", filepath.Base(path), err)
	}
	return s
}

// lagOf returns by how many samples a lies behind b, at most 4000 (MP3 decoders
// differ in the delay they cut).
func lagOf(a, b []float32) int {
	best, at := math.Inf(1), 0
	for lag := -4000; lag <= 4000; lag++ {
		sum := 0.0
		for i := 12000; i < 28000 && i+lag < len(a) && i < len(b); i += 3 {
			d := float64(a[i+lag]) - float64(b[i])
			sum += d * d
		}
		if sum < best {
			best, at = sum, lag
		}
	}
	return at
}

// snr returns how much louder the signal is than its difference from another.
func snr(a, b []float32) float64 {
	var signal, noise float64
	for i := range min(len(a), len(b)) {
		d := float64(a[i]) - float64(b[i])
		signal += float64(b[i]) * float64(b[i])
		noise += d * d
	}
	if noise == 0 {
		return 200
	}
	return 10 * math.Log10(signal/noise)
}
