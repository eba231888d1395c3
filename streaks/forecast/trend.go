package forecast

import "math"

// TheilSen returns the slope of the points (x, y), as the median of the slopes
// of all pairs with different x (Sen 1968); 0 if there is no such pair.
func TheilSen(x, y []float64) float64 {
	slopes := make([]float64, 0, len(x)*(len(x)-1)/2)
	for i := range x {
		for j := range i {
			if x[i] != x[j] {
				slopes = append(slopes, (y[i]-y[j])/(x[i]-x[j]))
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

// MannKendall tests for a trend in y, in order of time (Mann 1945, Kendall
// 1975). Z above 1.28 is a rise at the one-sided 10 % level.
func MannKendall(y []float64) Trend {
	var t Trend
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
	pairs := func(n int) float64 { return float64(n) * float64(n-1) * float64(2*n+5) / 18 }
	t.Var = pairs(len(y))
	for _, n := range ties {
		t.Var -= pairs(n)
	}
	switch {
	case t.S > 0:
		t.Z = float64(t.S-1) / math.Sqrt(t.Var)
	case t.S < 0:
		t.Z = float64(t.S+1) / math.Sqrt(t.Var)
	}
	return t
}

// Wilson returns the score interval of a share of k in n, where z is 1.96 for
// 95 % and 1.2816 for 80 % (Wilson 1927, as method 3 in Newcombe 1998). With n
// 0 nothing is known: 0 to 1.
func Wilson(k, n int, z float64) (low, high float64) {
	if n == 0 {
		return 0, 1
	}
	p, m := float64(k)/float64(n), float64(n)
	mid := p + z*z/(2*m)
	half := z * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	whole := 1 + z*z/m
	return max(0, (mid-half)/whole), min(1, (mid+half)/whole)
}
