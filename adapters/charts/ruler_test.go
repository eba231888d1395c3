package charts

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The wanted marks follow from the traditional series of the metronome, 40 to
// 208 (common practice), and its doubles and halves.
func TestMarksAroundATempo(t *testing.T) {
	tests := []struct{ bpm, below, above float64 }{
		{60, 58, 63}, {72, 69, 76}, {120, 116, 126}, {144, 138, 152}, {100.5, 100, 104},
		{40, 38, 42}, {208, 200, 216}, {30, 29, 31.5}, {240, 232, 252}, {39, 38, 40}, {210, 208, 216},
		{416, 400, 432}, {20, 19, 21},
	}
	for _, tt := range tests {
		if got := markBelow(tt.bpm); got != tt.below {
			t.Errorf("mark below %v is %v, want %v", tt.bpm, got, tt.below)
		}
		if got := markAbove(tt.bpm); got != tt.above {
			t.Errorf("mark above %v is %v, want %v", tt.bpm, got, tt.above)
		}
	}
}

func TestRulerHoldsEveryTempo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(0.5, 4000).Draw(t, "lo")
		hi := lo * rapid.Float64Range(1, 30).Draw(t, "factor")
		r := &ruler{marksAround(lo, hi), 100, 410}
		if len(r.marks) < fewestMarks || !slices.IsSorted(r.marks) {
			t.Fatalf("marks %v: want %d or more, rising", r.marks, fewestMarks)
		}
		for _, bpm := range []float64{lo, hi} {
			if y := r.y(bpm); !(y > r.top && y < r.bottom) {
				t.Fatalf("%v is at %v, want inside %v to %v", bpm, y, r.top, r.bottom)
			}
		}
		named := r.named(hi, nearestMarks)
		for i := 1; i < len(named); i++ {
			if gap := r.y(named[i-1]) - r.y(named[i]); gap < nearestMarks/2 {
				t.Fatalf("%v and %v are %v apart, letters would touch", named[i-1], named[i], gap)
			}
		}
	})
}

func TestGoalIsNamed(t *testing.T) {
	for _, goal := range []float64{60, 96, 120, 144, 208, 240} {
		r := &ruler{marksAround(44, goal), 0, plotHeight}
		if !slices.Contains(r.named(goal, nearestMarks), goal) {
			t.Errorf("goal %v is not among %v", goal, r.named(goal, nearestMarks))
		}
	}
}

// Equal ratios are equal heights: that is what a logarithm is for.
func TestRulerIsProportional(t *testing.T) {
	r := &ruler{marksAround(50, 200), 0, plotHeight}
	first, second := r.y(50)-r.y(100), r.y(100)-r.y(200)
	if math.Abs(first-second) > 1e-9 {
		t.Errorf("50 to 100 is %v high and 100 to 200 is %v, want the same", first, second)
	}
}
