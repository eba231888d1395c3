package soundtest

import (
	"math"
	"slices"
)

// A Score says how well onsets that were heard fit those that were played.
type Score struct {
	Matched, Played, Heard int
}

// F returns the F-measure of the score, 0 to 1.
func (s Score) F() float64 {
	if s.Played+s.Heard == 0 {
		return 1
	}
	return 2 * float64(s.Matched) / float64(s.Played+s.Heard)
}

// Match pairs what was heard with what was played, each with at most one, no
// further apart than the window on either side (seconds). Both are in order of
// time. This is the evaluation usual in the field (Böck, Krebs & Schedl, ISMIR
// 2012, use 25 ms; MIREX uses 50 ms).
func Match(played, heard []float64, window float64) Score {
	s := Score{Played: len(played), Heard: len(heard)}
	for i, j := 0, 0; i < len(played) && j < len(heard); {
		switch d := heard[j] - played[i]; {
		case d < -window:
			j++
		case d > window:
			i++
		default:
			s.Matched++
			i, j = i+1, j+1
		}
	}
	return s
}

// Bias returns the median distance from each note played to what was heard
// nearest to it, in seconds.
func Bias(played, heard []float64) float64 {
	if len(heard) == 0 || len(played) == 0 {
		return 0
	}
	var off []float64
	for _, p := range played {
		i, _ := slices.BinarySearch(heard, p)
		best := math.Inf(1)
		for _, k := range []int{i - 1, i} {
			if k >= 0 && k < len(heard) && math.Abs(heard[k]-p) < math.Abs(best) {
				best = heard[k] - p
			}
		}
		off = append(off, best)
	}
	slices.Sort(off)
	return off[len(off)/2]
}

// Times returns when notes begin.
func Times(notes []Note) []float64 {
	at := make([]float64, len(notes))
	for i, n := range notes {
		at[i] = n.At
	}
	return at
}
