package routine

import (
	"fmt"
	"maps"
	"slices"
)

// A Figure is a kind of line that can be computed.
type Figure string

// The figures.
const (
	Scale           Figure = "scale"            // up and down through each key
	FiveNotes       Figure = "five-notes"       // the first five degrees of each key, up and down
	Thirds          Figure = "thirds"           // each key in broken thirds, up and down
	Arpeggio        Figure = "arpeggio"         // the tonic chord of each key, up and down
	DominantSeventh Figure = "dominant-seventh" // the dominant seventh chord of each key, up and down
	Chromatic       Figure = "chromatic"        // semitones from each tonic, up and down
	LongTones       Figure = "long-tones"       // each note, its lower neighbour and the note again, all held
	Slurs           Figure = "slurs"            // a pattern of partials on each combination of valves
	Repeated        Figure = "repeated"         // each note struck many times
	Melody          Figure = "melody"           // an original melody in each key
)

// needs and allows say which fields of a [Recipe] each figure must have and may
// have, besides those that all of them have.
var (
	needs = map[Figure][]string{
		Scale:           {"keys", "octaves", "from", "to"},
		FiveNotes:       {"keys", "from", "to"},
		Thirds:          {"keys", "octaves", "from", "to"},
		Arpeggio:        {"keys", "octaves", "from", "to"},
		DominantSeventh: {"keys", "octaves", "from", "to"},
		Chromatic:       {"keys", "octaves", "from", "to"},
		LongTones:       {"pitches", "hold"},
		Slurs:           {"valves", "partials"},
		Repeated:        {"pitches", "each"},
		Melody:          {"keys", "bars", "from", "to"},
	}
	allows = map[Figure][]string{
		Scale:           {"climb", "form", "each"},
		FiveNotes:       {"climb", "form", "each"},
		Thirds:          {"climb", "form", "each"},
		Arpeggio:        {"climb", "each"},
		DominantSeventh: {"climb", "each"},
		Chromatic:       {"climb", "each"},
		Melody:          {"seed"},
	}
)

// Figures returns the figures that can be computed.
func Figures() []Figure {
	return []Figure{Scale, FiveNotes, Thirds, Arpeggio, DominantSeventh, Chromatic, LongTones, Slurs, Repeated, Melody}
}

// A Form is a form of the minor scale.
type Form string

// The forms. Where none is given a minor scale is harmonic.
const (
	Harmonic Form = "harmonic"
	Melodic  Form = "melodic" // sixth and seventh raised going up, natural going down
	Natural  Form = "natural"
)

// A Recipe says how to compute the lines of a study. Which fields a figure
// reads, its constant says; the others must stay zero.
type Recipe struct {
	Figure Figure

	Keys    []Key // one line for each
	Climb   bool  // instead of Keys: a line for each semitone from From up, in major, as far as To allows
	Form    Form  // of minor scales
	Octaves int   // from 1 to 3

	Pitches  []Pitch  // one line for each
	Valves   []Valves // one line for each
	Partials []int    // the pattern, partials from 2 to 16

	Each int    // how often each note is struck, from 1 to 1000
	Hold int    // beats each note is held, from 1 to 64
	Bars int    // of four beats, a multiple of 4 from 4 to 32
	Seed uint64 // another seed, another melody

	// From and To bound the written pitches: a line in a key begins on the
	// lowest tonic not below From, and must not go above To.
	From, To Pitch

	NotesPerBeat int // from 1 to 8
	FirstLine    int // number of the first line, from 1
}

// Lines computes the lines, numbered from FirstLine. Where something is wrong
// it returns every problem found and no lines; the problems have no source,
// and their fields are named as a book file names them.
func (r Recipe) Lines() ([]Line, []Problem) {
	var found []Problem
	f := finding{found: &found}
	if !slices.Contains(Figures(), r.Figure) {
		f.add("figure", "one of "+listOf(Figures()), "figure %q is unknown", r.Figure)
		return nil, found
	}
	r.checkUse(f)
	r.checkLimits(f)
	if len(found) > 0 {
		return nil, found
	}
	lines := r.compute(f)
	if len(found) > 0 {
		return nil, found
	}
	for i := range lines {
		lines[i].Number = r.FirstLine + i
		lines[i].count(r.NotesPerBeat)
	}
	return lines, nil
}

// count fills what follows from the pitches. The last note lasts to the end of
// its beat; beats that are set already stay.
func (l *Line) count(perBeat int) {
	l.Low, l.High = slices.Min(l.Pitches), slices.Max(l.Pitches)
	l.Notes = len(l.Pitches)
	l.NotesPerBeat = perBeat
	if l.Beats == 0 {
		l.Beats = ceilDiv(l.Notes, perBeat)
	}
}

// A bound is a number that a recipe holds, and what it may be.
type bound struct {
	field    string
	n        int
	min, max int
}

func (r Recipe) bounds() []bound {
	return []bound{
		{"octaves", r.Octaves, 1, 3},
		{"each", r.Each, 1, 1000},
		{"hold", r.Hold, 1, 64},
		{"bars", r.Bars, 4, 32},
	}
}

// isSet reports which fields, of those that only some figures read, are set.
func (r Recipe) isSet() map[string]bool {
	set := map[string]bool{
		"keys": len(r.Keys) > 0, "climb": r.Climb, "form": r.Form != "",
		"pitches": len(r.Pitches) > 0, "valves": len(r.Valves) > 0, "partials": len(r.Partials) > 0,
		"seed": r.Seed != 0, "from": r.From != 0, "to": r.To != 0,
	}
	for _, b := range r.bounds() {
		set[b.field] = b.n != 0
	}
	return set
}

func (r Recipe) checkUse(f finding) {
	set := r.isSet()
	used := slices.Concat(needs[r.Figure], allows[r.Figure])
	for _, field := range needs[r.Figure] {
		if !set[field] && !(field == "keys" && r.Climb) {
			f.add(field, field+": with a value", "figure %s needs %s", r.Figure, field)
		}
	}
	for _, field := range slices.Sorted(maps.Keys(set)) {
		if set[field] && !slices.Contains(used, field) {
			f.add(field, "only "+listOf(used), "%s has no meaning for figure %s", field, r.Figure)
		}
	}
	if r.Climb && set["keys"] {
		f.add("climb", "either keys: or climb: true", "climb and keys are both given")
	}
}

func (r Recipe) checkLimits(f finding) {
	for _, b := range append(r.bounds(), bound{"notes-per-beat", r.NotesPerBeat, 1, 8}, bound{"first-line", r.FirstLine, 1, 1000}) {
		unset := b.n == 0 && b.field != "notes-per-beat" && b.field != "first-line"
		if !unset && (b.n < b.min || b.n > b.max) {
			f.add(b.field, fmt.Sprintf("a number from %d to %d", b.min, b.max), "%s %d is out of bounds", b.field, b.n)
		}
	}
	if r.Bars%4 != 0 {
		f.add("bars", "a multiple of 4", "bars %d is not a multiple of 4", r.Bars)
	}
	if r.Form != "" && !slices.Contains([]Form{Harmonic, Melodic, Natural}, r.Form) {
		f.add("form", "harmonic, melodic or natural", "form %q is unknown", r.Form)
	}
	if len(r.Partials) > 64 || slices.ContainsFunc(r.Partials, func(n int) bool { return n < 2 || n > 16 }) {
		f.add("partials", "at most 64 partials, each from 2 to 16", "partials %v are out of bounds", r.Partials)
	}
	if n := max(len(r.Keys), len(r.Pitches), len(r.Valves)); n > 100 {
		f.add("figure", "at most 100 lines to compute", "%d lines are too many", n)
	}
}

func (r Recipe) compute(f finding) []Line {
	switch r.Figure {
	case LongTones:
		return r.longTones()
	case Slurs:
		return r.slurs()
	case Repeated:
		return r.repeated()
	case Melody:
		return r.melodies(f)
	}
	return r.inKeys(f)
}
