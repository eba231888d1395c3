package trial

import (
	"math"
	"math/rand/v2"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// item has the student play one item: what she can do decides the outcome, and
// what she plays is learned.
func (l *living) item(it *routine.Item, day int, s spell) {
	asked := l.tempo.of(l, it, day)
	worst := math.Inf(1)
	for _, line := range it.Lines {
		key := routine.StandingKey{Line: line, Pass: it.Pass}
		can := l.now(key, it.Hard, s, draw(l.who.seed, ofItem, key.Line.String(), day))
		worst = min(worst, can/asked.Sixteenths())
		l.learn(key, it, asked, can)
	}
	l.body.play(it.Minutes, it.Rest, it.Hard)
	l.reply(it, asked, l.who.says(worst, s.mood, draw(l.who.seed, ofItem, it.Lines[0].String(), -1-day)))
}

// now returns what she can play at this moment, in sixteenths a minute.
func (l *living) now(key routine.StandingKey, hard bool, s spell, r *rand.Rand) float64 {
	form := s.form * (1 + l.who.model.daily()*r.NormFloat64())
	return l.who.can(l.skills[key], l.in.Date) * max(0.5, l.body.factor(hard)) * form
}

// learn lets an item's playing teach one of its lines, and the lines beside it.
func (l *living) learn(key routine.StandingKey, it *routine.Item, asked routine.Tempo, can float64) {
	g, m := l.goals[key], l.who.model
	amount := m.doses(float64(it.Minutes)/float64(len(it.Lines)), asked, g)
	amount *= 1 - m.Edge*(1-atEdge(asked.Sixteenths()/can))
	amount *= l.body.teaches(it.Hard)
	s := l.skills[key]
	if s.played != 0 {
		gap := float64(l.in.Date - s.played)
		amount *= 1 + m.Spaced*(1-math.Exp2(-(gap-1)/3))
	}
	s.played = l.in.Date
	l.who.learn(s, l.in.Date, amount)
	l.transfer(key, m.Transfer*amount)
}

// transfer lets the lines of the study beside one that was played gain a part of
// what it gained, the less the further they are.
func (l *living) transfer(key routine.StandingKey, amount float64) {
	if amount == 0 {
		return
	}
	for _, other := range l.first {
		if other.Line.StudyRef() != key.Line.StudyRef() || other.Line == key.Line {
			continue
		}
		far := math.Abs(float64(other.Line.Line - key.Line.Line))
		other.Pass = key.Pass
		if to := l.skills[other]; to != nil {
			l.who.learn(to, l.in.Date, amount*math.Exp2(1-far))
		}
	}
}

// doses returns how much practice some minutes of a line are, in playings of the
// usual length: four times through, with half as long again for breath.
func (m *Model) doses(minutes float64, t routine.Tempo, g *goal) float64 {
	const usual, breath = 4, 1.5
	playings := minutes * t.BPM / (breath * float64(max(1, g.demands.Repeats)*g.line.Beats))
	if m.Even {
		return playings / usual
	}
	return (1 - math.Exp(-playings/usual)) / (1 - math.Exp(-1))
}

// atEdge returns how much a playing teaches at a tempo that is so many times what
// she can do: all of it at the edge, less where it is easy, and soon very little
// where it is too fast.
func atEdge(ratio float64) float64 {
	width := 0.3
	if ratio > 1 {
		width = 0.1
	}
	d := math.Log(ratio) / width
	return math.Exp(-d * d)
}

// reply puts an outcome into the log.
func (l *living) reply(it *routine.Item, asked routine.Tempo, o routine.Outcome) {
	l.seq++
	e := routine.Entry{
		Seq: l.seq, Date: l.in.Date, Item: it.N, Lines: it.Lines, Pass: it.Pass,
		Outcome: o, To: asked, Minutes: it.Minutes, Hard: it.Hard,
	}
	for _, line := range it.Lines {
		key := routine.StandingKey{Line: line, Pass: it.Pass}
		l.in.Standings[key] = streaks.Apply(l.in.Standings[key], e, l.goals[key].rule)
		if l.life.Log != nil {
			l.life.Log[key] = append(l.life.Log[key], e)
		}
	}
}

// says returns what she calls it when she could do so many times the tempo asked.
// Her mood moves the bounds, one answer in fifty is a slip, and some say no more
// than "done".
func (p *person) says(ratio, mood float64, r *rand.Rand) routine.Outcome {
	slip, silent := r.Float64() < 0.02, r.Float64() < p.silent
	slipped := []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed}[r.IntN(3)]
	marks := math.Log(ratio)/mark + mood
	switch {
	case silent:
		return routine.Done
	case slip:
		return slipped
	case marks >= 0:
		return routine.Clean
	case marks >= -p.nearly:
		return routine.Shaky
	}
	return routine.Missed
}

// mark is the step from one mark of the metronome to the next, as a logarithm:
// the mean of the traditional series.
var mark = math.Log(routine.FastestMark/float64(routine.SlowestMark)) / float64(len(routine.Marks())-1)
