package streaks

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"ledgerline/routine"
)

// A Score is what some players have together: all, or those of a team, or one.
type Score struct {
	Kept   int // scheduled days kept
	Missed int // scheduled days missed
	Open   int // scheduled days that may still be kept

	Value  float64  // in the measure's unit; of [TestGain] the mean of those it can be told of
	Of     int      // players it is told of: for [TestGain] those who held two tests to compare, else all
	Goal   float64  // what Value is to reach, all excuses taken off; 0: nothing
	Seen   []string // lines or keys, in order
	Reward float64  // Value made comparable between players, or teams of unlike size
}

// Score returns what the parts come to. It is counted from the log each time, so
// a correction changes it. The order of the parts does not matter.
func (c Challenge) Score(parts []Part) Score { return c.through(parts, c.To) }

// Course returns the value at the end of each date from From to last.
func (c Challenge) Course(parts []Part, last routine.Date) (values []float64) {
	for d := c.From; d <= min(last, c.To); d++ {
		values = append(values, c.through(parts, d).Value)
	}
	return values
}

// through scores what was played up to a date.
func (c Challenge) through(parts []Part, last routine.Date) Score {
	s := Score{Of: len(parts)}
	seen, gains := map[string]bool{}, []float64{}
	for _, p := range parts {
		for i, d := range p.days {
			switch {
			case c.From+routine.Date(i) > last:
				continue
			case d.kind == Kept:
				s.Kept++
			case d.kind == Missed:
				s.Missed++
			case d.kind == Open:
				s.Open++
			}
			s.Value += d.count
			for _, x := range d.seen {
				seen[x] = true
			}
		}
		if gain, known := p.gain(int(last - c.From)); known {
			gains = append(gains, gain)
		}
	}
	s.Seen = slices.Sorted(maps.Keys(seen))
	switch c.Measure {
	case DaysKept:
		s.Value = float64(s.Kept)
	case LinesCovered, KeysVisited:
		s.Value = float64(len(s.Seen))
	case TestGain:
		s.Value, s.Of = mean(gains), len(gains)
	}
	s.Goal = c.Goal
	if c.EachDay || c.Measure == DaysKept {
		s.Goal *= s.planned()
	}
	s.Reward = c.reward(&s)
	return s
}

// reward is by what scores are compared: of days the share of those that are over,
// of what adds up the value for each of them, so that neither a team of one more
// nor one with nobody ill is better off; of keys and gains the value.
func (c Challenge) reward(s *Score) float64 {
	switch over := float64(s.Kept + s.Missed); {
	case c.Measure == KeysVisited || c.Measure == TestGain:
		return s.Value
	case over == 0:
		return 0
	default:
		return s.Value / over
	}
}

// gain returns by how much a player's fastest test, up to a day, is faster than
// her best before.
func (p *Part) gain(last int) (gain float64, known bool) {
	before := maps.Clone(p.test)
	for _, d := range p.days[:min(last+1, len(p.days))] {
		for _, b := range d.tests {
			from, tested := before[b.Key]
			if !tested {
				before[b.Key] = b.Tempo
				continue
			}
			known = true
			gain = max(gain, b.Tempo.Sixteenths()/from.Sixteenths()-1)
		}
	}
	return gain, known
}

// mean returns the mean, summed in an order of its own, so that who comes first
// does not matter to the last digit; 0 of none.
func mean(values []float64) (m float64) {
	slices.Sort(values)
	for _, v := range values {
		m += v / float64(len(values))
	}
	return m
}

// Reached reports whether the goal is reached, for days even if no open day is
// kept. What ties with the goal has reached it.
func (s Score) Reached() bool { return s.Goal > 0 && atLeast(s.Value, s.Goal) }

// Needed returns how many of the open days must be kept to reach a goal of days;
// more than are open if it can't be reached.
func (s Score) Needed() int { return max(0, int(math.Ceil(s.Goal-float64(s.Kept)-rounding))) }

func (s Score) planned() float64 { return float64(s.Kept + s.Missed + s.Open) }

// rounding is the error that is forgiven, such as of a share of 0.8 of 365 days.
const rounding = 1e-9

func atLeast(have, want float64) bool { return have >= want-rounding }

// A Place is shared by those whose rewards are the same. Above says how many
// are before them.
type Place struct {
	Above int
	Who   []int // by their numbers in what was compared
}

// Places returns the places of those who have anything, best first. What looks
// the same when it is told, to a thousandth, shares a place; who has nothing has
// none.
func Places(rewards []float64) (places []Place) {
	told := make([]int, len(rewards))
	var order []int
	for i, r := range rewards {
		if told[i] = int(math.Round(r * 1000)); told[i] > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(told[b], told[a]) })
	for n, i := range order {
		if n > 0 && told[i] == told[order[n-1]] {
			last := &places[len(places)-1]
			last.Who = append(last.Who, i)
			continue
		}
		places = append(places, Place{n, []int{i}})
	}
	return places
}
