package routine_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

// Signatures and scale spellings as every rudiments book has them (common
// practice).
func TestKeySpellsItsScale(t *testing.T) {
	for _, c := range []struct {
		key    string
		fifths int
		scale  string
	}{
		{"C", 0, "C4 D4 E4 F4 G4 A4 B4"},
		{"F", -1, "F4 G4 A4 Bb4 C5 D5 E5"},
		{"Eb", -3, "Eb4 F4 G4 Ab4 Bb4 C5 D5"},
		{"Db", -5, "Db4 Eb4 F4 Gb4 Ab4 Bb4 C5"},
		{"Gb", -6, "Gb4 Ab4 Bb4 Cb5 Db5 Eb5 F5"},
		{"B", 5, "B4 C#5 D#5 E5 F#5 G#5 A#5"},
		{"F#", 6, "F#4 G#4 A#4 B4 C#5 D#5 E#5"},
		{"C#", 7, "C#4 D#4 E#4 F#4 G#4 A#4 B#4"},
		{"A minor", 0, "A4 B4 C5 D5 E5 F5 G#5"},
		{"C minor", -3, "C4 D4 Eb4 F4 G4 Ab4 B4"},
		{"F minor", -4, "F4 G4 Ab4 Bb4 C5 Db5 E5"},
		{"Eb minor", -6, "Eb4 F4 Gb4 Ab4 Bb4 Cb5 D5"},
		{"C# minor", 4, "C#4 D#4 E4 F#4 G#4 A4 B#4"},
		{"G# minor", 5, "G#4 A#4 B4 C#5 D#5 E5 F##5"},
	} {
		k, err := routine.ParseKey(c.key)
		if err != nil {
			t.Error(err)
			continue
		}
		if k.Fifths != c.fifths || k.String() != c.key {
			t.Errorf("%q is %v with %d fifths, want %d", c.key, k, k.Fifths, c.fifths)
		}
		lines, problems := routine.Recipe{
			Figure: routine.Scale, Keys: []routine.Key{k}, Octaves: 1,
			From: mustPitch(t, "C4"), To: mustPitch(t, "C6"), NotesPerBeat: 2, FirstLine: 1,
		}.Lines()
		if len(problems) > 0 {
			t.Errorf("%v: %v", k, problems)
			continue
		}
		var names []string
		for _, p := range lines[0].Pitches[:7] {
			names = append(names, k.Spell(p))
		}
		if got := strings.Join(names, " "); got != c.scale {
			t.Errorf("%v: %s\nwant %s", k, got, c.scale)
		}
	}
}

func TestParseKeyRefuses(t *testing.T) {
	for _, s := range []string{"", "H", "c", "C major", "Cb minor", "G## minor", "D# ", "Fb", "G#", "C  minor"} {
		if k, err := routine.ParseKey(s); err == nil {
			t.Errorf("ParseKey(%q) = %v, want an error", s, k)
		}
	}
}

func TestTwelveKeys(t *testing.T) {
	for _, keys := range [][]routine.Key{routine.MajorKeys(), routine.MinorKeys()} {
		seen := map[int]bool{}
		for _, k := range keys {
			seen[k.Class()] = true
			text, err := json.Marshal(k)
			if err != nil {
				t.Fatal(err)
			}
			var back routine.Key
			if err := json.Unmarshal(text, &back); err != nil || back != k {
				t.Errorf("%v reads back as %v, %v", k, back, err)
			}
			if name := k.Spell(0); name != "" {
				t.Errorf("%v spells no pitch as %q", k, name)
			}
		}
		if len(seen) != 12 {
			t.Errorf("%v have %d tonics", keys, len(seen))
		}
	}
}

// A spelled name, worked out from its letter and signs, is the pitch it names.
func TestSpellNamesThePitch(t *testing.T) {
	keys := slices.Concat(routine.MajorKeys(), routine.MinorKeys())
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(keys).Draw(t, "key")
		p := routine.Pitch(rapid.IntRange(24, 108).Draw(t, "pitch"))
		name := k.Spell(p)
		letter, signs, octave := name[:1], name[1:len(name)-1], name[len(name)-1:]
		natural, err := routine.ParsePitch(letter + octave)
		if err != nil {
			t.Fatal(err)
		}
		if got := natural + routine.Pitch(strings.Count(signs, "#")-strings.Count(signs, "b")); got != p {
			t.Fatalf("%v: %q names %d, want %d", k, name, got, p)
		}
	})
}

func ExampleKey_Spell() {
	p, _ := routine.ParsePitch("F#4")
	for _, name := range []string{"G", "Db"} {
		k, _ := routine.ParseKey(name)
		fmt.Println(k, k.Spell(p))
	}
	// Output:
	// G F#4
	// Db Gb4
}
