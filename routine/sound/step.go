package sound

import "slices"

// gaps returns the times between neighbours.
func gaps(onsets []float64) []float64 {
	if len(onsets) < 2 {
		return nil
	}
	out := make([]float64, len(onsets)-1)
	for i := range out {
		out[i] = onsets[i+1] - onsets[i]
	}
	return out
}

// middle returns the median; 0 of nothing.
func middle(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(x))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// reach is how many steps on either side say what is usual at a step: enough
// for two groups of four.
const reach = 4

// around returns the median of the steps around each step.
func around(steps []float64) []float64 {
	out := make([]float64, len(steps))
	for i := range steps {
		from := max(0, min(i-reach, len(steps)-2*reach-1))
		out[i] = middle(steps[from:min(len(steps), from+2*reach+1)])
	}
	return out
}
