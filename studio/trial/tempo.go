package trial

import (
	"math"

	"ledgerline/routine"
)

// A Tempo is how the tempo of an item is found.
type Tempo string

// The ways to find a tempo.
const (
	Ladder Tempo = "ladder"  // as the builder sets it
	Feel   Tempo = "by feel" // what she thinks she can do, give or take two marks
	AtGoal Tempo = "at goal" // as it stands in the book, from the first day
)

// of returns the tempo at which an item is played.
func (t Tempo) of(l *living, it *routine.Item, day int) routine.Tempo {
	goal := it.Demands.To
	switch t {
	case AtGoal:
		return goal
	case Feel:
		key := routine.StandingKey{Line: it.Lines[0], Pass: it.Pass}
		r := draw(l.who.seed, ofFeel, key.Line.String(), day)
		can := l.who.can(l.skills[key], l.in.Date) * math.Exp(2*mark*r.NormFloat64())
		thought := routine.Tempo{BPM: can / float64(goal.Note), Note: goal.Note}.Floor()
		if thought.Compare(goal) > 0 {
			return goal
		}
		return thought
	}
	return it.To
}
