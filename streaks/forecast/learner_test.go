package forecast

import (
	"math"
	"math/rand/v2"

	"ledgerline/routine"
)

// sessions returns how many sessions leave the given part of the span, above 0 and
// at most 1, to be gained. It is the inverse of left.
func (l Law) sessions(left, rate float64) float64 {
	if l == Power {
		return math.Pow(left, -1/rate) - 1
	}
	return -math.Log(left) / rate
}

// reach returns after how many sessions the curve comes to the goal: 0 if it
// begins there, and false if the goal is at or above the limit.
func (c Curve) reach(goal float64) (n float64, ok bool) {
	left := (c.Limit - goal) / c.Span
	if left >= 1 {
		return 0, true
	}
	if !(left > 0) {
		return 0, false
	}
	return c.Law.sessions(left, c.Rate), true
}

// A learner is a made-up student whose curve is known.
type learner struct {
	curve Curve
	goal  float64
	noise float64 // standard deviation of what she can do on a day, in beats a minute
	gap   float64 // mean days from session to session
}

// aLearner draws a learner: half of them by each law, goals from half of the
// span up, and for one in five a goal she never reaches.
func aLearner(rnd *rand.Rand) learner {
	between := func(low, high float64) float64 { return low + (high-low)*rnd.Float64() }
	start := between(50, 90)
	limit := start + between(30, 100)
	l := learner{
		curve: Curve{Law: Exponential, Limit: limit, Span: limit - start, Rate: math.Exp(between(math.Log(.01), math.Log(.1)))},
		goal:  start + (limit-start)*between(.5, .9),
		noise: between(1, 4),
		gap:   between(1, 3),
	}
	if rnd.IntN(2) == 0 {
		l.curve.Law, l.curve.Rate = Power, between(.2, .7)
	}
	if rnd.IntN(5) == 0 {
		l.goal = limit * between(1, 1.05)
	}
	return l
}

var firstDay = routine.NewDate(2026, 1, 5)

// dates draws the dates of so many sessions.
func (l learner) dates(rnd *rand.Rand, sessions int) []routine.Date {
	dates := make([]routine.Date, sessions)
	for i, d := 0, firstDay; i < sessions; i++ {
		dates[i] = d
		d += 1 + routine.Date(rnd.ExpFloat64()*(l.gap-1)+.5)
	}
	return dates
}

// tell makes sessions in which the tempo is measured: one in ten is a bad day,
// one in fifty a slip of the pen.
func (l learner) tell(rnd *rand.Rand, dates []routine.Date) []Session {
	sessions := make([]Session, len(dates))
	for i, d := range dates {
		tempo := l.curve.At(float64(i)) + l.noise*rnd.NormFloat64()
		if rnd.IntN(10) == 0 {
			tempo -= 10 * rnd.Float64()
		}
		if rnd.IntN(50) == 0 {
			tempo = 40 + (l.goal-41)*rnd.Float64()
		}
		sessions[i] = Measured(d, math.Round(tempo))
	}
	return sessions
}

// climb makes sessions in which she plays what the metronome's ladder sets: up a
// mark after clean, the same after shaky, down after two misses, and never above
// the goal. What she can do on a day is her curve, give or take the noise; shaky
// is what is less than the given number of marks too fast. One answer in fifty is
// a slip.
func (l learner) climb(rnd *rand.Rand, dates []routine.Date, shaky int) []Session {
	sessions := make([]Session, len(dates))
	goal := routine.Tempo{BPM: l.goal, Note: routine.Quarter}
	set := routine.Tempo{BPM: l.curve.At(0), Note: routine.Quarter}.Floor()
	misses := 0
	for i, d := range dates {
		can := l.curve.At(float64(i)) + l.noise*rnd.NormFloat64()
		nearly := set
		for range shaky {
			nearly = nearly.Down()
		}
		o := routine.Missed
		switch {
		case rnd.IntN(50) == 0:
			o = []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed}[rnd.IntN(3)]
		case set.BPM <= can:
			o = routine.Clean
		case nearly.BPM <= can:
			o = routine.Shaky
		}
		sessions[i], _ = Played(d, set.BPM, o)
		switch o {
		case routine.Clean:
			set, misses = set.Up(), 0
			if set.Compare(goal) > 0 {
				set = goal
			}
		case routine.Shaky:
			misses = 0
		case routine.Missed:
			if misses++; misses == 2 {
				set, misses = set.Down(), 0
			}
		}
	}
	return sessions
}

// ladder is climb as the forecast supposes it: shaky is less than a mark away.
func (l learner) ladder(rnd *rand.Rand, dates []routine.Date) []Session {
	return l.climb(rnd, dates, 1)
}

// otherwise is climb by a player who still calls it shaky two marks away.
func (l learner) otherwise(rnd *rand.Rand, dates []routine.Date) []Session {
	return l.climb(rnd, dates, 2)
}
