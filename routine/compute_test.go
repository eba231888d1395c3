package routine_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden files anew")

func keys(t *testing.T, names ...string) []routine.Key {
	t.Helper()
	var list []routine.Key
	for _, name := range names {
		k, err := routine.ParseKey(name)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, k)
	}
	return list
}

func pitches(t *testing.T, names string) []routine.Pitch {
	t.Helper()
	var list []routine.Pitch
	for name := range strings.FieldsSeq(names) {
		list = append(list, mustPitch(t, name))
	}
	return list
}

// The music is written out by hand: what a player would expect to see.
func TestFigures(t *testing.T) {
	in := func(from, to string, r routine.Recipe) routine.Recipe {
		r.From, r.To = mustPitch(t, from), mustPitch(t, to)
		return r
	}
	for _, c := range []struct {
		name  string
		r     routine.Recipe
		key   string
		want  string
		beats int // at two notes to a beat
	}{
		{"five notes", in("C4", "A4", routine.Recipe{Figure: routine.FiveNotes, Keys: keys(t, "D")}), "D",
			"D4 E4 F#4 G4 A4 G4 F#4 E4 D4", 5},
		{"scale", in("F#3", "C6", routine.Recipe{Figure: routine.Scale, Keys: keys(t, "Bb"), Octaves: 1}), "Bb",
			"Bb3 C4 D4 Eb4 F4 G4 A4 Bb4 A4 G4 F4 Eb4 D4 C4 Bb3", 8},
		{"harmonic minor", in("A3", "A5", routine.Recipe{Figure: routine.Scale, Keys: keys(t, "A minor"), Octaves: 1}), "A minor",
			"A3 B3 C4 D4 E4 F4 G#4 A4 G#4 F4 E4 D4 C4 B3 A3", 8},
		{"melodic minor", in("C4", "C5", routine.Recipe{Figure: routine.Scale, Keys: keys(t, "C minor"), Octaves: 1, Form: routine.Melodic}), "C minor",
			"C4 D4 Eb4 F4 G4 A4 B4 C5 Bb4 Ab4 G4 F4 Eb4 D4 C4", 8},
		{"natural minor", in("D4", "D5", routine.Recipe{Figure: routine.Scale, Keys: keys(t, "D minor"), Octaves: 1, Form: routine.Natural}), "D minor",
			"D4 E4 F4 G4 A4 Bb4 C5 D5 C5 Bb4 A4 G4 F4 E4 D4", 8},
		{"thirds", in("C4", "C5", routine.Recipe{Figure: routine.Thirds, Keys: keys(t, "C"), Octaves: 1}), "C",
			"C4 E4 D4 F4 E4 G4 F4 A4 G4 B4 A4 C5 B4 G4 A4 F4 G4 E4 F4 D4 E4 C4", 11},
		{"arpeggio", in("F#3", "C6", routine.Recipe{Figure: routine.Arpeggio, Keys: keys(t, "G"), Octaves: 2}), "G",
			"G3 B3 D4 G4 B4 D5 G5 D5 B4 G4 D4 B3 G3", 7},
		{"minor arpeggio", in("C4", "C6", routine.Recipe{Figure: routine.Arpeggio, Keys: keys(t, "E minor"), Octaves: 1}), "E minor",
			"E4 G4 B4 E5 B4 G4 E4", 4},
		{"dominant seventh", in("F#3", "C6", routine.Recipe{Figure: routine.DominantSeventh, Keys: keys(t, "F"), Octaves: 1}), "F",
			"C4 E4 G4 Bb4 C5 Bb4 G4 E4 C4", 5},
		{"chromatic", in("C4", "C5", routine.Recipe{Figure: routine.Chromatic, Keys: keys(t, "C"), Octaves: 1}), "C",
			"C4 C#4 D4 D#4 E4 F4 F#4 G4 G#4 A4 A#4 B4 C5 B4 A#4 A4 G#4 G4 F#4 F4 E4 D#4 D4 C#4 C4", 13},
		{"each twice", in("C4", "G4", routine.Recipe{Figure: routine.FiveNotes, Keys: keys(t, "C"), Each: 2}), "C",
			"C4 C4 D4 D4 E4 E4 F4 F4 G4 G4 F4 F4 E4 E4 D4 D4 C4 C4", 9},
		{"slurs, open", routine.Recipe{Figure: routine.Slurs, Valves: []routine.Valves{routine.Open}, Partials: []int{3, 4, 5, 6, 5, 4, 3}}, "C",
			"G4 C5 E5 G5 E5 C5 G4", 4},
		{"slurs, first valve", routine.Recipe{Figure: routine.Slurs, Valves: []routine.Valves{routine.Valve1}, Partials: []int{2, 3, 2}}, "Bb",
			"Bb3 F4 Bb3", 2},
		{"long tones", routine.Recipe{Figure: routine.LongTones, Pitches: pitches(t, "G4"), Hold: 4}, "",
			"G4 F#4 G4", 12},
		{"repeated", routine.Recipe{Figure: routine.Repeated, Pitches: pitches(t, "C4"), Each: 5}, "",
			"C4 C4 C4 C4 C4", 3},
	} {
		c.r.NotesPerBeat, c.r.FirstLine = 2, 7
		lines, problems := c.r.Lines()
		if len(problems) > 0 || len(lines) != 1 {
			t.Errorf("%s: %d lines, problems %v", c.name, len(lines), problems)
			continue
		}
		l := lines[0]
		want := pitches(t, c.want)
		if !slices.Equal(l.Pitches, want) {
			t.Errorf("%s: %v\nwant %v", c.name, l.Pitches, want)
		}
		if l.Number != 7 || l.Key != c.key || l.Notes != len(want) || l.NotesPerBeat != 2 || l.Beats != c.beats {
			t.Errorf("%s: number %d, key %q, %d notes, %d a beat, %d beats; want 7, %q, %d, 2, %d",
				c.name, l.Number, l.Key, l.Notes, l.NotesPerBeat, l.Beats, c.key, len(want), c.beats)
		}
		if l.Low != slices.Min(want) || l.High != slices.Max(want) {
			t.Errorf("%s: from %v to %v", c.name, l.Low, l.High)
		}
	}
}

func TestScalesInAllKeys(t *testing.T) {
	r := routine.Recipe{
		Figure: routine.Scale, Keys: slices.Concat(routine.MajorKeys(), routine.MinorKeys()), Octaves: 1,
		From: mustPitch(t, "F#3"), To: mustPitch(t, "C6"), NotesPerBeat: 4, FirstLine: 1,
	}
	lines, problems := r.Lines()
	if len(problems) > 0 || len(lines) != 24 {
		t.Fatalf("%d lines, problems %v", len(lines), problems)
	}
	for i, l := range lines {
		if l.Number != i+1 || l.Notes != 15 || l.High-l.Low != 12 || l.Low < r.From || l.Low > r.From+11 {
			t.Errorf("line %d in %s: %d notes from %v to %v", l.Number, l.Key, l.Notes, l.Low, l.High)
		}
		for _, p := range l.Pitches {
			if _, ok := routine.RegularFingering(p); !ok {
				t.Errorf("line %d: %v has no fingering", l.Number, p)
			}
		}
	}
}

func TestClimbGoesUpBySemitones(t *testing.T) {
	lines, problems := routine.Recipe{
		Figure: routine.Arpeggio, Climb: true, Octaves: 1,
		From: mustPitch(t, "C4"), To: mustPitch(t, "G5"), NotesPerBeat: 2, FirstLine: 1,
	}.Lines()
	if len(problems) > 0 || len(lines) != 8 {
		t.Fatalf("%d lines, want 8 (C4 to G4); problems %v", len(lines), problems)
	}
	for i, l := range lines {
		if low := mustPitch(t, "C4") + routine.Pitch(i); l.Low != low || l.High != low+12 {
			t.Errorf("line %d in %s: from %v to %v", l.Number, l.Key, l.Low, l.High)
		}
	}
	seventh, problems := routine.Recipe{
		Figure: routine.DominantSeventh, Climb: true, Octaves: 1,
		From: mustPitch(t, "C4"), To: mustPitch(t, "C5"), NotesPerBeat: 2, FirstLine: 1,
	}.Lines()
	if len(problems) > 0 || len(seventh) != 1 || seventh[0].Key != "F" || seventh[0].Low != mustPitch(t, "C4") {
		t.Errorf("dominant seventh on C4: %+v, problems %v; want one line in F", seventh, problems)
	}
}

// Every note that a slur pattern asks for can be played with the valves of the
// line alone: that is what makes it a slur exercise.
func TestSlursStayOnOneCombination(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := routine.Valves(rapid.IntRange(0, 7).Draw(t, "valves"))
		partials := rapid.SliceOfN(rapid.IntRange(2, 8), 1, 20).Draw(t, "partials")
		lines, problems := routine.Recipe{
			Figure: routine.Slurs, Valves: []routine.Valves{v}, Partials: partials, NotesPerBeat: 1, FirstLine: 1,
		}.Lines()
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		for _, p := range lines[0].Pitches {
			if !slices.ContainsFunc(routine.Fingerings(p), func(f routine.Fingering) bool { return f.Valves == v }) {
				t.Fatalf("%v cannot be played on %v", p, v)
			}
		}
	})
}

func TestMelodies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := slices.Concat(routine.MajorKeys(), routine.MinorKeys())
		k := rapid.SampledFrom(all).Draw(t, "key")
		from := routine.Pitch(rapid.IntRange(54, 60).Draw(t, "from"))
		r := routine.Recipe{
			Figure: routine.Melody, Keys: []routine.Key{k}, Bars: 4 * rapid.IntRange(1, 8).Draw(t, "rows"),
			Seed: rapid.Uint64().Draw(t, "seed"),
			From: from, To: from + routine.Pitch(rapid.IntRange(18, 24).Draw(t, "span")),
			NotesPerBeat: rapid.IntRange(1, 4).Draw(t, "notes a beat"), FirstLine: 1,
		}
		lines, problems := r.Lines()
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		l := lines[0]
		again, _ := r.Lines()
		if !slices.Equal(l.Pitches, again[0].Pitches) {
			t.Fatal("the same recipe gave two melodies")
		}
		if l.Beats != 4*r.Bars || l.Notes > l.Beats*l.NotesPerBeat {
			t.Fatalf("%d notes in %d beats of %d", l.Notes, l.Beats, l.NotesPerBeat)
		}
		if l.Low < r.From || l.High > r.To {
			t.Fatalf("from %v to %v, outside %v to %v", l.Low, l.High, r.From, r.To)
		}
		last := l.Pitches[len(l.Pitches)-1]
		if int(last)%12 != k.Class() {
			t.Fatalf("%v ends on %v", k, last)
		}
	})
}

func TestMelodyForFiveNotes(t *testing.T) {
	lines, problems := routine.Recipe{
		Figure: routine.Melody, Keys: keys(t, "C"), Bars: 8, Seed: 1,
		From: mustPitch(t, "C4"), To: mustPitch(t, "G4"), NotesPerBeat: 1, FirstLine: 1,
	}.Lines()
	if len(problems) > 0 || lines[0].Low != mustPitch(t, "C4") || lines[0].High != mustPitch(t, "G4") {
		t.Errorf("lines %+v, problems %v", lines, problems)
	}
}

// Melodies must not change from one version of the program to the next: logs
// speak of them by number.
func TestMelodiesAreForGood(t *testing.T) {
	var b strings.Builder
	lines, problems := routine.Recipe{
		Figure: routine.Melody, Keys: keys(t, "C", "Eb", "G minor"), Bars: 8, Seed: 12,
		From: mustPitch(t, "G3"), To: mustPitch(t, "A5"), NotesPerBeat: 2, FirstLine: 1,
	}.Lines()
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, l := range lines {
		k, _ := routine.ParseKey(l.Key)
		fmt.Fprintf(&b, "%s:", l.Key)
		for _, p := range l.Pitches {
			fmt.Fprintf(&b, " %s", k.Spell(p))
		}
		b.WriteString("\n")
	}
	const golden = "testdata/melodies.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("got\n%swant\n%s", b.String(), want)
	}
}

func TestRecipeProblems(t *testing.T) {
	base := func(change func(*routine.Recipe)) routine.Recipe {
		r := routine.Recipe{
			Figure: routine.Scale, Keys: keys(t, "C"), Octaves: 1,
			From: mustPitch(t, "C4"), To: mustPitch(t, "C6"), NotesPerBeat: 2, FirstLine: 1,
		}
		change(&r)
		return r
	}
	for _, c := range []struct {
		r    routine.Recipe
		want []string
	}{
		{base(func(r *routine.Recipe) { r.Figure = "scales" }),
			[]string{`figure "scales" is unknown; write one of scale, five-notes, thirds, arpeggio, dominant-seventh, chromatic, long-tones, slurs, repeated, melody`}},
		{base(func(r *routine.Recipe) { r.Octaves = 3 }),
			[]string{"C scale does not fit between C4 and C6; write a higher to, a lower from or fewer octaves"}},
		{base(func(r *routine.Recipe) { r.Keys = nil; r.From = 0 }),
			[]string{"figure scale needs keys; write keys: with a value", "figure scale needs from; write from: with a value"}},
		{base(func(r *routine.Recipe) { r.Partials = []int{2}; r.NotesPerBeat = 0 }),
			[]string{"partials has no meaning for figure scale; write only keys, octaves, from, to, climb, form, each", "notes-per-beat 0 is out of bounds; write a number from 1 to 8"}},
		{base(func(r *routine.Recipe) { r.Climb = true }),
			[]string{"climb and keys are both given; write either keys: or climb: true"}},
		{base(func(r *routine.Recipe) { r.Keys = nil; r.Climb = true; r.To = mustPitch(t, "B4") }),
			[]string{"no scale fits between C4 and B4; write a higher to or a lower from"}},
		{base(func(r *routine.Recipe) { r.Form = "dorian" }),
			[]string{`form "dorian" is unknown; write harmonic, melodic or natural`}},
		{routine.Recipe{Figure: routine.Slurs, Valves: []routine.Valves{0}, Partials: []int{1, 40}, NotesPerBeat: 1, FirstLine: 1},
			[]string{"partials [1 40] are out of bounds; write at most 64 partials, each from 2 to 16"}},
		{routine.Recipe{Figure: routine.Melody, Keys: keys(t, "C"), Bars: 6, From: 60, To: 63, NotesPerBeat: 1, FirstLine: 1},
			[]string{"bars 6 is not a multiple of 4; write a multiple of 4"}},
		{routine.Recipe{Figure: routine.Melody, Keys: keys(t, "C"), Bars: 8, From: 60, To: 63, NotesPerBeat: 1, FirstLine: 1},
			[]string{"a melody in C does not fit between C4 and D#4; write at least a fifth above each tonic"}},
	} {
		lines, problems := c.r.Lines()
		var got []string
		for _, p := range problems {
			got = append(got, p.Error())
		}
		if lines != nil || !slices.Equal(got, c.want) {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

func ExampleRecipe_Lines() {
	f, _ := routine.ParseKey("F")
	low, _ := routine.ParsePitch("C4")
	high, _ := routine.ParsePitch("C5")
	lines, _ := routine.Recipe{
		Figure: routine.FiveNotes, Keys: []routine.Key{f},
		From: low, To: high, NotesPerBeat: 1, FirstLine: 1,
	}.Lines()
	for _, l := range lines {
		fmt.Println("line", l.Number, "in", l.Key, "has", l.Notes, "notes:")
		for _, p := range l.Pitches {
			fingering, _ := routine.RegularFingering(p)
			fmt.Printf("%s on %v, ", f.Spell(p), fingering.Valves)
		}
	}
	// Output:
	// line 1 in F has 9 notes:
	// F4 on 1, G4 on 0, A4 on 12, Bb4 on 1, C5 on 0, Bb4 on 1, A4 on 12, G4 on 0, F4 on 1,
}
