package trial

import (
	"math"
	"math/rand/v2"

	"ledgerline/routine"
	"ledgerline/streaks/forecast"
)

// A person is what a student brings, whatever she practises.
type person struct {
	seed     uint64
	model    *Model
	talent   float64 // times the rate of every line
	halfLife float64 // days, of what fades
	keeps    float64 // chance to play on a scheduled day
	breaks   float64 // chance to break off a day's practice
	silent   float64 // chance to say "done" and no more
	nearly   float64 // marks short of the tempo that she calls shaky
	mood     float64 // marks by which her ear's kindness goes up and down
}

func newPerson(seed uint64, m *Model) *person {
	r := draw(seed, ofPerson, "", 0)
	p := &person{
		seed: seed, model: m,
		talent: around(r, 1, 0.3), halfLife: around(r, m.HalfLife, 0.4),
		keeps: between(r, 0.65, 0.98), breaks: between(r, 0, 0.2),
		silent: between(r, 0, 0.3), nearly: between(r, 1, 2), mood: 0.4,
	}
	if !m.Habits {
		p.keeps, p.breaks = 1, 0
	}
	return p
}

// A skill is one line in one pass as she can play it.
type skill struct {
	curve   forecast.Curve // by the amount of practice that is still there, in sixteenths a minute
	lasting float64        // practice that lasts, in playings of the usual length
	fresh   float64        // practice that fades, as it was when last touched
	touched routine.Date   // when that was
	played  routine.Date   // when the line itself was last played
}

// learns returns how she begins on a line and learns it: from a little below or
// above where the pass begins, to a limit that is mostly above its goal and for
// one line in twenty below it.
func (p *person) learns(key routine.StandingKey, d routine.Demands) *skill {
	r := draw(p.seed, ofLine, key.Line.String(), key.Pass)
	start := d.From.Sixteenths() * between(r, 0.85, 1.05)
	limit := max(d.To.Sixteenths()*(1.13+0.08*r.NormFloat64()), start)
	if stuck, at := r.Float64(), between(r, 0.2, 0.8); stuck < p.model.Stuck {
		limit = start + at*max(0, d.To.Sixteenths()-start)
	}
	law := p.model.Laws[r.IntN(len(p.model.Laws))]
	rate := around(r, 0.09, 0.4)
	if law == forecast.Power {
		rate = min(1, around(r, 0.5, 0.25))
	}
	return &skill{curve: forecast.Curve{Law: law, Limit: limit, Span: limit - start, Rate: rate * p.talent}}
}

// lastingHalfLife is how many times longer than what fades half of the rest
// lasts.
const lastingHalfLife = 20

// fade lets the days until date do their work.
func (p *person) fade(s *skill, date routine.Date) {
	if s.touched != 0 && p.model.Fresh > 0 {
		days := float64(date - s.touched)
		s.fresh *= math.Exp2(-days / p.halfLife)
		s.lasting *= math.Exp2(-days / (lastingHalfLife * p.halfLife))
	}
	s.touched = date
}

// can returns what she could play on date, rested and on an ordinary day, in
// sixteenths a minute.
func (p *person) can(s *skill, date routine.Date) float64 {
	p.fade(s, date)
	return s.curve.At(s.lasting + s.fresh)
}

// learn adds an amount of practice. What was learned before and is not forgotten
// becomes lasting, in part, by being called up again.
func (p *person) learn(s *skill, date routine.Date, amount float64) {
	const kept = 0.25
	p.fade(s, date)
	s.lasting += kept*s.fresh + (1-p.model.Fresh)*amount
	s.fresh = (1-kept)*s.fresh + p.model.Fresh*amount
}

// A spell is what chance has in store for one date.
type spell struct {
	plays bool
	ill   bool
	part  float64 // of the routine that is played before she breaks off
	form  float64 // factor on every tempo of the day
	mood  float64 // marks
}

// spells returns the dates of a life, the first of them begin.
func (p *person) spells(begin routine.Date, days int, off routine.Weekday) []spell {
	spells := make([]spell, days)
	r := draw(p.seed, ofDates, "", 0)
	ill := p.nextIllness(r)
	for i := range spells {
		date := begin + routine.Date(i)
		s := spell{part: 1, form: 1 + p.model.daily()*r.NormFloat64(), mood: p.mood * r.NormFloat64()}
		keeps, breaks, part := r.Float64() < p.keeps, r.Float64() < p.breaks, between(r, 0.3, 0.9)
		if breaks {
			s.part = part
		}
		if i > ill[1] {
			ill = p.nextIllness(r)
			ill[0], ill[1] = ill[0]+i, ill[1]+i
		}
		s.ill = p.model.Habits && i >= ill[0] && i <= ill[1]
		s.plays = keeps && !s.ill && off&(1<<date.Weekday()) == 0
		spells[i] = s
	}
	return spells
}

// nextIllness returns the first and the last day of the next illness, in days
// from now.
func (p *person) nextIllness(r *rand.Rand) [2]int {
	first := 5 + int(60*r.ExpFloat64())
	return [2]int{first, first + 1 + int(4*r.ExpFloat64())}
}
