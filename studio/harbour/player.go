package harbour

import (
	"math"
	"math/rand/v2"

	"ledgerline/routine"
	"ledgerline/studio"
)

// A player is how one invented student plays, keeps at it and writes.
type player struct {
	id     studio.MemberID
	talent float64 // share of what is left to learn that one playing teaches
	keeps  float64 // chance to play on a scheduled day
	hour   float64 // hour of the day, local, at which she usually answers
	spread float64 // hours either way
	voice  voice
	late   float64 // chance to answer for yesterday instead of today

	ill     span // days of the story on which she is ill
	pain    int  // day of the story on which something hurts; 0: never
	painEnd int  // day on which she says that it is over
	silent  span // days on which nothing is heard of her
	plateau bool // one of her studies stops moving, below its goal
}

// A span is a range of days of the story, from 0, the last included. The zero
// span has none.
type span struct{ first, last int }

func (s span) has(day int) bool { return s.last > 0 && s.first <= day && day <= s.last }

// players returns the students of Harbour Row Brass as they are played here.
func players() []player {
	return []player{
		{id: "mina", talent: 0.10, keeps: 0.80, hour: 17, spread: 1, voice: cheerful},
		{id: "tobias", talent: 0.07, keeps: 0.92, hour: 9.5, spread: 1, voice: exact, pain: 24, painEnd: 29},
		{id: "ilka", talent: 0.16, keeps: 0.97, hour: 20, spread: 1.5, voice: exact, plateau: true},
		{id: "dario", talent: 0.09, keeps: 0.70, hour: 15, spread: 6, voice: ranges, late: 0.35},
		{id: "juna", talent: 0.12, keeps: 0.85, hour: 18, spread: 0.5, voice: exact, ill: span{15, 20}},
		{id: "levi", talent: 0.11, keeps: 0.75, hour: 18.3, spread: 0.5, voice: careless, ill: span{17, 21}},
		{id: "auguste", talent: 0.08, keeps: 0.88, hour: 21, spread: 1, voice: wordy},
		{id: "kofi", talent: 0.09, keeps: 0.90, hour: 22, spread: 0.7, voice: terse},
		{id: "sanne", talent: 0.10, keeps: 0.85, hour: 19, spread: 2, voice: ranges, silent: span{38, 70}},
	}
}

// A result is what became of one item when it was played.
type result struct {
	item    routine.Item
	outcome routine.Outcome
	tempo   routine.Tempo
}

// play plays a routine: each item at today's tempo, with an outcome that depends
// on how often its lines were played before.
func (p *player) play(r *rand.Rand, set *routine.Routine, plays func(routine.StandingKey) int) []result {
	var results []result
	for _, it := range set.Items {
		res := result{item: it, tempo: it.To}
		if r.Float64() < 0.05 {
			res.outcome = routine.Skipped
		} else {
			n := plays(routine.StandingKey{Line: it.Lines[0], Pass: it.Pass})
			res.outcome = p.outcome(r, &it, n)
		}
		results = append(results, res)
	}
	return results
}

// outcome compares today's tempo with what the player can do after n playings:
// an exponential approach to a limit a little above the goal, or below it on a
// plateau.
func (p *player) outcome(r *rand.Rand, it *routine.Item, n int) routine.Outcome {
	goal := it.Demands.To.Sixteenths()
	start := it.Demands.From.Sixteenths()
	if goal == 0 {
		return routine.Clean
	}
	limit := goal * 1.08
	if p.plateau && it.Skill == routine.Articulation {
		limit = start + (goal-start)*0.5
	}
	able := limit - (limit-start*1.02)*math.Exp(-p.talent*float64(n))
	today := able * (1 + 0.03*r.NormFloat64())
	switch asked := it.To.Sixteenths(); {
	case today >= asked:
		return routine.Clean
	case today >= asked*0.95:
		return routine.Shaky
	}
	return routine.Missed
}
