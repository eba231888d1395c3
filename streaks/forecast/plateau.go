package forecast

import (
	"math"
	"slices"

	"ledgerline/routine"
)

// A Plateau says whether a line has stopped moving.
type Plateau struct {
	Flat  bool
	Since routine.Date // date of the fastest clean session so far: no faster since
	Gain  float64      // marks gained in three weeks, by the last three
}

// What it takes to call a line flat. The numbers were chosen by simulation, and
// TestJudgeOnLearners measures what they do.
const (
	Window     = 21  // days looked at, today the last
	windowSpan = 17  // days from the first to the last session in it, at least
	windowSize = 7   // sessions in it, at least
	smallGain  = 1.5 // marks in a window; more must be ruled out
	sureBy     = 2   // standard errors to rule it out by
	noRise     = 1   // Mann-Kendall's Z, at most
)

// Judge says whether a line played in the given sessions, one a date and by
// date, has stopped moving in the three weeks up to today. It has if they rule
// out, by two standard errors of the Theil-Sen slope, that it gained a mark and a
// half, and the Mann-Kendall test sees no rise to speak of (Z not above 1). With
// fewer than seven sessions, or sessions of only a part of the three weeks,
// nothing is called flat.
func Judge(sessions []Session, today routine.Date) Plateau {
	var p Plateau
	var days, level []float64
	best := 0.0
	for _, s := range sessions {
		if s.Clean() > best {
			best, p.Since = s.Clean(), s.Date
		}
		if s.Date > today-Window && s.Date <= today {
			days = append(days, float64(s.Date-today))
			level = append(level, math.Log(s.level())/mark)
		}
	}
	if len(days) < windowSize || days[len(days)-1]-days[0] < windowSpan {
		return p
	}
	slope := TheilSen(days, level)
	p.Gain = slope * Window
	p.Flat = p.Gain+sureBy*Window*slopeError(days, level, slope) <= smallGain && MannKendall(level).Z <= noRise
	return p
}

// slopeError returns the standard error of the slope of y over x.
func slopeError(x, y []float64, slope float64) float64 {
	n := float64(len(x))
	offsets := make([]float64, len(x))
	middle := 0.0
	for i := range x {
		offsets[i] = y[i] - slope*x[i]
		middle += x[i] / n
	}
	height := median(offsets)
	var rss, sxx float64
	for i := range x {
		rss += (offsets[i] - height) * (offsets[i] - height)
		sxx += (x[i] - middle) * (x[i] - middle)
	}
	return math.Sqrt(rss / (n - 2) / sxx)
}

func median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	mid := len(s) / 2
	if len(s)%2 == 1 {
		return s[mid]
	}
	return (s[mid-1] + s[mid]) / 2
}
