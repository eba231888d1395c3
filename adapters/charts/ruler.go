package charts

import (
	"math"
	"slices"

	"ledgerline/routine"
)

// markAbove returns the next metronome mark faster than bpm. Beyond the ends of
// the metronome the marks of the neighbouring note value go on: above 208 each is
// twice a mark, below 40 half of one.
func markAbove(bpm float64) float64 {
	switch {
	case bpm < routine.SlowestMark-onMark:
		return markAbove(2*bpm) / 2
	case bpm > routine.FastestMark-onMark:
		return 2 * markAbove(bpm/2)
	}
	m, _ := routine.NextMark(bpm)
	return m
}

// markBelow returns the next metronome mark slower than bpm; see [markAbove].
func markBelow(bpm float64) float64 {
	switch {
	case bpm < routine.SlowestMark+onMark:
		return markBelow(2*bpm) / 2
	case bpm > routine.FastestMark+onMark:
		return 2 * markBelow(bpm/2)
	}
	m, _ := routine.PrevMark(bpm)
	return m
}

// onMark is how near a number counts as the mark itself.
const onMark = 1e-6

// fewestMarks are on a ruler even if every tempo is the same.
const fewestMarks = 7

// marksAround returns the metronome marks from the one below lo to the one above
// hi, and more on both sides if that is few.
func marksAround(lo, hi float64) []float64 {
	marks := []float64{markBelow(lo)}
	for last := marks[0]; last < hi+onMark; {
		last = markAbove(last)
		marks = append(marks, last)
	}
	for len(marks) < fewestMarks {
		marks = slices.Insert(marks, 0, markBelow(marks[0]))
		marks = append(marks, markAbove(marks[len(marks)-1]))
	}
	return marks
}

// A ruler places tempi between two heights of a page, by their logarithms: the
// same step in proportion is the same height, as on the metronome's own scale.
type ruler struct {
	marks       []float64
	top, bottom float64
}

// y returns the height of a tempo on the page.
func (r *ruler) y(bpm float64) float64 {
	lo, hi := r.marks[0], r.marks[len(r.marks)-1]
	return r.bottom - (r.bottom-r.top)*math.Log(bpm/lo)/math.Log(hi/lo)
}

// named returns the marks to be written out, no nearer than gap to one another.
// The goal is among them if it is a mark.
func (r *ruler) named(goal, gap float64) []float64 {
	n := len(r.marks)
	every := max(1, int(math.Ceil(gap*float64(n-1)/(r.bottom-r.top))))
	start := 0
	if i := slices.IndexFunc(r.marks, func(m float64) bool { return math.Abs(m-goal) < onMark }); i > 0 {
		start = i % every
	}
	var named []float64
	for i := start; i < n; i += every {
		named = append(named, r.marks[i])
	}
	return named
}
