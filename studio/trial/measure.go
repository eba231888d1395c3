package trial

import (
	"math"
	"math/rand/v2"
	"slices"
)

// A Measure is a figure of one life.
type Measure struct {
	Name string
	Less bool // less of it is better
	Of   func(*Life) float64
}

// Measures returns what lives of so many days are compared by, the figure that
// leads first.
func Measures(days int) []Measure {
	return []Measure{
		{"lines passed at the end", false, at(passed, days)},
		{"lines passed at two thirds", false, at(passed, 2*days/3)},
		{"lines passed at a third", false, at(passed, days/3)},
		{"lines passed, range aside", false, func(l *Life) float64 { return float64(l.Passed[days-1] - l.Range[days-1]) }},
		{"lines passed that she can still play", false, at(held, days)},
		{"lines she can play at the end", false, at(able, days)},
		{"days to half of the first plan", true, daysTo(0.5)},
		{"mean days to pass a line of it", true, func(l *Life) float64 { return mean(l.PassedOn) }},
	}
}

func passed(l *Life) []int { return l.Passed }
func held(l *Life) []int   { return l.Held }
func able(l *Life) []int   { return l.Able }

func at(what func(*Life) []int, day int) func(*Life) float64 {
	return func(l *Life) float64 { return float64(what(l)[day-1]) }
}

// daysTo returns the days until a share of the first plan's lines had passed, or
// all days of the life if it never came to that.
func daysTo(share float64) func(*Life) float64 {
	return func(l *Life) float64 {
		days := slices.Sorted(slices.Values(l.PassedOn))
		return float64(days[max(0, int(math.Ceil(share*float64(len(days))))-1)])
	}
}

func mean(x []int) float64 {
	sum := 0
	for _, v := range x {
		sum += v
	}
	return float64(sum) / float64(len(x))
}

// A Ratio compares one policy with another by a measure: the mean of the one over
// the mean of the other, with the interval that holds it in 95 of 100 samples of
// as many students.
type Ratio struct {
	A, B      float64 // means
	Value     float64 // A/B
	Low, High float64
	N         int
}

// Ratio compares policies a and b. Students are paired with themselves: the
// bootstrap draws students, not lives (Efron's percentile interval; 2,000 draws
// from a fixed seed).
func (r Result) Ratio(m Measure, a, b string) Ratio {
	const draws = 2000
	n := len(r.Lives[a])
	va, vb := make([]float64, n), make([]float64, n)
	for i := range n {
		va[i], vb[i] = m.Of(&r.Lives[a][i]), m.Of(&r.Lives[b][i])
	}
	q := Ratio{N: n}
	q.A, q.B = meansOf(va, vb, func(i int) int { return i })
	q.Value = q.A / q.B
	rnd := rand.New(rand.NewPCG(1, 1))
	ratios := make([]float64, draws)
	for d := range ratios {
		sa, sb := meansOf(va, vb, func(int) int { return rnd.IntN(n) })
		ratios[d] = sa / sb
	}
	slices.Sort(ratios)
	q.Low, q.High = ratios[draws*25/1000], ratios[draws*975/1000-1]
	return q
}

// meansOf returns the means of a and b over the students that pick names.
func meansOf(a, b []float64, pick func(int) int) (sa, sb float64) {
	n := float64(len(a))
	for i := range a {
		j := pick(i)
		sa, sb = sa+a[j]/n, sb+b[j]/n
	}
	return sa, sb
}
