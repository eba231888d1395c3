package routine

import (
	"slices"
	"testing"
)

func TestStrenuous(t *testing.T) {
	const top = 81 // A5
	line := func(high Pitch, perBeat int) *Line { return &Line{High: high, NotesPerBeat: perBeat} }
	tongued := func(d Demand, bpm float64) Demands { return Demands{Articulation: d, To: quarter(bpm)} }
	tests := []struct {
		name  string
		skill Skill
		d     Demands
		l     *Line
		want  bool
	}{
		{"an easy scale", Technique, Demands{Dynamic: MezzoForte, To: quarter(120)}, line(76, 4), false},
		{"range work, however low", Range, Demands{}, line(60, 1), true},
		{"forte", Technique, Demands{Dynamic: Forte}, line(72, 4), true},
		{"fortissimo", WarmUp, Demands{Dynamic: Fortissimo}, line(72, 4), true},
		{"a whole tone below the top", Etude, Demands{}, line(79, 2), true},
		{"a minor third below the top", Etude, Demands{}, line(78, 2), false},
		// Sixteenths at 120 are 8 notes a second, at 144 9.6, at 180 12 (arithmetic).
		{"single tongue, sixteenths at 116", Articulation, tongued(SingleTongue, 116), line(67, 4), false},
		{"single tongue, sixteenths at 120", Articulation, tongued(SingleTongue, 120), line(67, 4), true},
		{"single tongue, triplets at 120", Articulation, tongued(SingleTongue, 120), line(67, 3), false},
		{"K, sixteenths at 92", Articulation, tongued(KTongue, 92), line(67, 4), true},
		{"double tongue, sixteenths at 144", Articulation, tongued(DoubleTongue, 144), line(67, 4), false},
		{"double tongue, sixteenths at 152", Articulation, tongued(DoubleTongue, 152), line(67, 4), true},
		{"slurred, as fast as you like", Technique, tongued(Slurred, 208), line(67, 4), false},
	}
	for _, tt := range tests {
		if got := strenuous(tt.skill, tt.d, tt.l, top); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

func TestRestAfter(t *testing.T) {
	tests := []struct {
		name    string
		skill   Skill
		dynamic Demand
		hard    bool
		minutes int
		want    int
	}{
		{"a scale", Technique, MezzoForte, false, 5, 5},
		{"a warm-up", WarmUp, "", false, 4, 2},
		{"a warm-up of odd length", WarmUp, "", false, 5, 3},
		{"a warm-down", WarmDown, "", false, 4, 2},
		{"piano", Etude, Piano, false, 6, 3},
		{"piano but high", Etude, Piano, true, 6, 6},
		{"mezzo piano", Etude, MezzoPiano, false, 6, 6},
	}
	for _, tt := range tests {
		if got := restAfter(tt.skill, Demands{Dynamic: tt.dynamic}, tt.hard, tt.minutes); got != tt.want {
			t.Errorf("%s of %d minutes: %d of rest, want %d", tt.name, tt.minutes, got, tt.want)
		}
	}
}

// TestFullLength works out by hand what lines deserve: 32 beats twice through
// at quarter=64 are a minute; four times that is 4, with half as much again 6,
// and a fifth more for the first study of the plan 7.2.
func TestFullLength(t *testing.T) {
	line := readied{facts: &facts{line: &Line{Beats: 32}}, demands: &Demands{Repeats: 2}, to: quarter(64)}
	if got := fullLength([]readied{line}, 1000); got != 8 {
		t.Errorf("%d minutes, want 7.2 rounded up", got)
	}
	line.kind = review
	if got := fullLength([]readied{line}, 1000); got != 4 {
		t.Errorf("a review of %d minutes, want 3.6 rounded up", got)
	}
	if got := fullLength([]readied{line}, 500); got != 3 {
		t.Errorf("%d minutes last in the plan, want 2.4 rounded up", got)
	}
}

func TestLengths(t *testing.T) {
	tests := []struct {
		full, least int
		want        []int
	}{
		{6, 2, []int{4, 6}},
		{7, 2, []int{5, 7}},   // two thirds of 7, rounded up
		{2, 2, []int{2}},      // a third off 2 is still 2
		{3, 3, []int{3}},      // the day is long enough for items of 3
		{12, 2, []int{8, 10}}, // no item is longer than 10
		{1, 1, []int{1}},      // a review may be as short as a minute
	}
	for _, tt := range tests {
		var got []int
		for _, l := range lengthsOf(nil, tt.full, tt.least) {
			got = append(got, l.minutes)
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("full length %d, at least %d: %v, want %v", tt.full, tt.least, got, tt.want)
		}
	}
}

func TestImportance(t *testing.T) {
	const today = Date(20000)
	tests := []struct {
		place  int
		target Date
		want   int
	}{
		{0, 0, 1000},
		{1, 0, 920},
		{9, 0, 500},
		{0, today + 60, 1000},
		{0, today + 14, 1150}, // half of the last four weeks are gone: half of three tenths
		{0, today, 1300},
		{0, today - 5, 1300},
	}
	for _, tt := range tests {
		if got := importanceOf(&PlanEntry{Target: tt.target}, tt.place, today); got != tt.want {
			t.Errorf("place %d, target in %d days: %d, want %d", tt.place, tt.target-today, got, tt.want)
		}
	}
}
