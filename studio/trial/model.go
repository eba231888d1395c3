package trial

import (
	"math"

	"ledgerline/streaks/forecast"
)

// A Model is what is supposed of learning and of bodies. None of its numbers is
// measured on people: they were chosen so that a line takes some weeks, as
// teachers say, and every one of them can be changed to see what hangs on it.
type Model struct {
	// Laws are the laws of practice that lines are learned by, in equal parts.
	Laws []forecast.Law

	// Fresh is the part of what a playing teaches that fades, 0 to 1; the rest
	// lasts. HalfLife is the days in which half of it is gone, in the median.
	Fresh, HalfLife float64

	// Spaced is how much more an old line gains from being played than one played
	// the day before, as a share; 0: the days between playings don't matter to
	// what is learned.
	Spaced float64

	// Even lets twice the minutes on a day be twice the practice; otherwise the
	// minutes after the first few teach ever less.
	Even bool

	// Transfer is the part of what a line gains that its neighbours in the study
	// gain too, less with every line between, 0 to 1.
	Transfer float64

	// Edge is how much of a playing is lost if the tempo is far from what she can
	// do just now, 0 to 1.
	Edge float64

	// Fatigue scales what strain takes from the lip within a day and from day to
	// day; 0: nothing tires.
	Fatigue float64

	// Noise is the standard deviation of what a day makes possible, as a share of
	// the tempo; half of its variance is the day's, half the line's.
	Noise float64

	// Stuck is the part of the lines whose limit is below their goal on purpose, to
	// see whether they are found.
	Stuck float64

	// Habits says that she is ill at times, leaves days out and breaks off.
	Habits bool
}

// Base returns the model that the figures lead with.
func Base() Model {
	return Model{
		Laws:  []forecast.Law{forecast.Exponential, forecast.Power},
		Fresh: 0.5, HalfLife: 12, Transfer: 0.15, Edge: 0.6, Fatigue: 1, Noise: 0.035, Habits: true,
	}
}

// daily returns the standard deviation of the day's form, and of the line's on it.
func (m *Model) daily() float64 { return m.Noise * math.Sqrt2 / 2 }

// A Variant is the base model with one assumption changed.
type Variant struct {
	Name  string
	Model Model
}

// Variants returns the models the result is tried on, the base first.
func Variants() []Variant {
	with := func(name string, change func(*Model)) Variant {
		m := Base()
		change(&m)
		return Variant{name, m}
	}
	return []Variant{
		with("base", func(*Model) {}),
		with("nothing forgotten", func(m *Model) { m.Fresh = 0 }),
		with("forgotten fast", func(m *Model) { m.Fresh, m.HalfLife = 0.8, 5 }),
		with("spacing pays", func(m *Model) { m.Spaced = 0.5 }),
		with("no fatigue", func(m *Model) { m.Fatigue = 0 }),
		with("twice the fatigue", func(m *Model) { m.Fatigue = 2 }),
		with("exponential law", func(m *Model) { m.Laws = []forecast.Law{forecast.Exponential} }),
		with("power law", func(m *Model) { m.Laws = []forecast.Law{forecast.Power} }),
		with("no transfer", func(m *Model) { m.Transfer = 0 }),
		with("much transfer", func(m *Model) { m.Transfer = 0.4 }),
		with("any tempo teaches alike", func(m *Model) { m.Edge = 0 }),
		with("twice the noise", func(m *Model) { m.Noise *= 2 }),
		with("minutes teach evenly", func(m *Model) { m.Even = true }),
		with("every day played in full", func(m *Model) { m.Habits = false }),
	}
}
