package forecast

import "math"

// A Series is what was found, Y, at times X, in order of time.
type Series struct{ X, Y []float64 }

// TheilSen returns the slope that series have in common: the median of the slopes
// of all pairs of one series with different x (Sen 1968; over several series,
// Hirsch, Slack and Smith, "Techniques of trend analysis for monthly water quality
// data", 1982, cited from memory). It is 0 if there is no such pair.
func TheilSen(series ...Series) float64 {
	var slopes []float64
	for _, s := range series {
		for i := range s.X {
			for j := range i {
				if s.X[i] != s.X[j] {
					slopes = append(slopes, (s.Y[i]-s.Y[j])/(s.X[i]-s.X[j]))
				}
			}
		}
	}
	if len(slopes) == 0 {
		return 0
	}
	return median(slopes)
}

// A Trend is the outcome of the Mann-Kendall test.
type Trend struct {
	S   int     // pairs that rise less pairs that fall
	Var float64 // variance of S if there is no trend, ties allowed for
	Z   float64 // S in standard deviations, brought one nearer 0
}

// MannKendall tests for a trend that series have in common (Mann 1945, Kendall
// 1975). Pairs are made within a series only, and the counts of all are added up
// (Hirsch, Slack and Smith 1982, as in [TheilSen]); the series are taken to be
// independent of each other. Z above 1.28 is a rise at the one-sided 10 % level.
func MannKendall(series ...Series) Trend {
	var t Trend
	for _, s := range series {
		t.add(s.Y)
	}
	switch {
	case t.S > 0:
		t.Z = float64(t.S-1) / math.Sqrt(t.Var)
	case t.S < 0:
		t.Z = float64(t.S+1) / math.Sqrt(t.Var)
	}
	return t
}

// add counts the pairs of one series.
func (t *Trend) add(y []float64) {
	ties := map[float64]int{}
	for i := range y {
		ties[y[i]]++
		for j := range i {
			switch {
			case y[i] > y[j]:
				t.S++
			case y[i] < y[j]:
				t.S--
			}
		}
	}
	pairs := func(n int) int { return n * (n - 1) * (2*n + 5) }
	eighteen := pairs(len(y))
	for _, n := range ties {
		eighteen -= pairs(n)
	}
	t.Var += float64(eighteen) / 18
}
