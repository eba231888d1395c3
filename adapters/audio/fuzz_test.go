package audio

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

func FuzzWAV(f *testing.F) {
	fuzzDecode(f, "none", wavFile(1, 2, 44100, 16, []byte{1, 2, 3, 4, 5, 6}), wavFile(3, 1, 48000, 64, make([]byte, 24)))
}

func FuzzFLAC(f *testing.F)   { fuzzDecode(f, "*.flac") }
func FuzzVorbis(f *testing.F) { fuzzDecode(f, "*.ogg") }
func FuzzOpus(f *testing.F)   { fuzzDecode(f, "*.opus") }
func FuzzMP3(f *testing.F)    { fuzzDecode(f, "*.mp3") }

// fuzzDecode decodes what comes of seeds, files and others: whatever it is, it is
// a sound within its limits or has a sentence for its sender.
func fuzzDecode(f *testing.F, pattern string, seeds ...[]byte) {
	f.Setenv("PATH", "") // our decoders, not the external program
	names, err := filepath.Glob(filepath.Join("testdata", "seeds", pattern))
	if err != nil || len(names) == 0 && len(seeds) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	for _, name := range names {
		file, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		seeds = append(seeds, file)
	}
	for _, seed := range seeds {
		if _, err := Decode(f.Context(), seed, Usual); err != nil {
			f.Fatalf("a seed of %d bytes: %v", len(seed), err)
		}
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		lim := Limits{Bytes: 1 << 16, Length: 3 * time.Second}
		s, err := Decode(t.Context(), file, lim)
		if err != nil {
			if !IsUnfit(err) {
				t.Fatalf("%v: not a sentence for the sender", err)
			}
			return
		}
		if s.Length() > lim.Length+time.Second/100 {
			t.Fatalf("%v long", s.Length())
		}
	})
}
