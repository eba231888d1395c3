package routine_test

import (
	"fmt"
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

// The series is common practice; the steps are written out here a second time,
// as a rule instead of a table.
func TestMarksFollowTheRule(t *testing.T) {
	var want []float64
	bpm := 40.0
	for _, leg := range []struct{ to, by float64 }{{60, 2}, {72, 3}, {120, 4}, {144, 6}, {208, 8}} {
		for ; bpm < leg.to; bpm += leg.by {
			want = append(want, bpm)
		}
	}
	want = append(want, bpm)
	got := routine.Marks()
	if len(want) != 39 || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("Marks() = %v\nwant %v", got, want)
	}
}

func TestNextAndPrevMark(t *testing.T) {
	for _, c := range []struct {
		bpm, next, prev float64 // 0: none
	}{
		{60, 63, 58}, {72, 76, 69}, {120, 126, 116}, {144, 152, 138}, {208, 0, 200},
		{40, 42, 0}, {10, 40, 0}, {39.9, 40, 0}, {41, 42, 40}, {207, 208, 200}, {300, 0, 208},
		{95.9999999, 100, 92}, // 96 after a change of note value
	} {
		next, ok := routine.NextMark(c.bpm)
		if next != c.next || ok != (c.next != 0) {
			t.Errorf("NextMark(%v) = %v, %v; want %v", c.bpm, next, ok, c.next)
		}
		prev, ok := routine.PrevMark(c.bpm)
		if prev != c.prev || ok != (c.prev != 0) {
			t.Errorf("PrevMark(%v) = %v, %v; want %v", c.bpm, prev, ok, c.prev)
		}
	}
}

func TestTempoOnTheLadder(t *testing.T) {
	q := func(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.DottedQuarter} }
	for _, c := range []struct{ at, up, down, floor, ceil float64 }{
		{60, 63, 58, 60, 60},
		{61, 63, 60, 60, 63},
		{40, 42, 40, 40, 40},
		{30, 40, 30, 40, 40},
		{208, 208, 200, 208, 208},
		{240, 240, 208, 208, 208},
		{0, 0, 0, 0, 0},
	} {
		got := [4]routine.Tempo{q(c.at).Up(), q(c.at).Down(), q(c.at).Floor(), q(c.at).Ceil()}
		if want := [4]routine.Tempo{q(c.up), q(c.down), q(c.floor), q(c.ceil)}; got != want {
			t.Errorf("from %v: up, down, floor, ceil = %v, want %v", c.at, got, want)
		}
	}
}

func TestUpAndDownUndoEachOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := routine.Tempo{BPM: rapid.Float64Range(1, 400).Draw(t, "bpm"), Note: routine.Eighth}
		low, high := at.Floor(), at.Ceil()
		if low.Compare(high) > 0 {
			t.Fatalf("floor %v is above ceil %v of %v", low, high, at)
		}
		if up := low.Up(); up != low && up.Down() != low {
			t.Fatalf("%v up and down is %v", low, up.Down())
		}
		if at.OnMetronome() && (low.Compare(at) > 0 || high.Compare(at) < 0) {
			t.Fatalf("%v is not between %v and %v", at, low, high)
		}
	})
}

func ExampleTempo_Up() {
	t := routine.Tempo{BPM: 116, Note: routine.Quarter}
	for range 4 {
		fmt.Println(t)
		t = t.Up()
	}
	// Output:
	// quarter=116
	// quarter=120
	// quarter=126
	// quarter=132
}
