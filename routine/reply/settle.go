package reply

import (
	"slices"

	"ledgerline/routine"
)

// settleWrong decides what a bare number is that corrects another, by what the
// other one was.
func (p *parser) settleWrong() {
	s := &p.sheet
	if p.isItem(s.wrong.x) {
		s.says, s.noItem = s.says[:0], true
	}
	for i := range s.says {
		if y := &s.says[i]; y.other > 0 && p.ctx.Last != nil && p.lastWith(s.wrong.x) != 0 { // it was 80 not 84
			y.tempo, y.other = mark{sense: tempoSense, x: float64(y.other)}, 0
		}
	}
	if s.wrong.sense != numSense && s.wrong.sense != minutesSense || p.ctx.Last == nil || s.unsure == 0 && s.minutes == 0 {
		return
	}
	right := max(s.unsure, s.minutes)
	switch {
	case p.lastWith(s.wrong.x) != 0:
		s.loose.tempo, s.minutes = mark{sense: tempoSense, x: float64(right)}, 0
	case p.ctx.Last.Minutes == int(s.wrong.x):
		s.minutes = right
	default:
		return
	}
	s.unsure = 0
}

// settleRight decides what a bare number is that corrects one which it does not name: only what was
// said before can have been wrong.
func (p *parser) settleRight() {
	s, last := &p.sheet, p.ctx.Last
	right := max(s.unsure, s.minutes)
	if last == nil || right == 0 || s.unsure == 0 && !s.bareMinutes || s.unsure2 > 0 || len(s.says) > 0 || s.wrong.sense != unknown || p.kind() != Correction {
		return
	}
	near := p.lastItems(func(item Item) bool {
		return item.Tempo != nil && p.withinReach(1<<item.N, float64(right), nearLow, nearHigh)
	})
	switch {
	case last.Minutes == 0 && near.only() != 0:
		s.begin(named, near).tempo = mark{sense: tempoSense, x: float64(right)}
		s.minutes, s.unsure = 0, 0
	case last.Minutes > 0 && near == 0:
		s.minutes, s.unsure = right, 0
	}
}

// settleWhole decides what was said of the whole routine.
func (p *parser) settleWhole(r *Reading) {
	s := &p.sheet
	if s.softNo && (r.Kind == Correction || s.filled != "") {
		s.whole = ""
	}
	if s.rest && len(s.says) == 0 && s.excuse == "" {
		s.excuse = routine.RestDay
	}
	if s.yes && s.whole == All && (!s.noOutcome() || r.Kind == Correction || s.excuse != "") { // yes!! 2 clean at 100; 65 natürlich, nicht 95; rest day 👍
		s.whole = ""
	}
	if len(s.says) == 1 && s.says[0].who == wholeDay && s.says[0].outcome == skipped {
		s.whole, s.says = None, s.says[:0]
	}
	if s.whole == None && (len(s.says) > 0 || s.excuse != "") {
		s.whole = "" // what was played, or why nothing was, says more
	}
	if s.filled == routine.Skipped && len(s.says) > 0 {
		s.whole = Partly
		if !slices.ContainsFunc(s.says, func(y saying) bool { return y.outcome != skipped && y.outcome != missed }) { // only 5 not done
			s.filled = routine.Done
		}
	}
	r.All = s.whole
}

// settleLoose finds the items of what was said of none: a tempo that only one
// item has, an outcome of a whole day, anything where there is only one item.
func (p *parser) settleLoose() {
	s := &p.sheet
	l := &s.loose
	if len(s.says) == 1 && s.says[0].who == theRest && s.strange && p.later == 0 { // skipped that thing, everything else fine
		s.says, s.noItem = s.says[:0], true
	}
	hasTempo, hasCount := l.tempo.sense != unknown, l.count.sense != unknown
	switch {
	case hasTempo:
		p.looseTempo()
	case hasCount && p.count() == 1:
		l.who, l.items = named, 1<<1
		s.says = append(s.says, *l)
	case hasCount && len(s.says) == 1 && s.says[0].who == named && s.says[0].count.sense == unknown: // 3 at 92! twice!
		s.says[0].count = l.count
	case s.whole == All && l.count.x == 1 && l.count.y == 0: // all of it once
	case s.strange && s.whole == "" && s.minutes == 0 && len(s.says) == 0 && l.outcome < 0: // i scored twice
	case hasCount:
		s.noItem = true
		if s.whole == All && l.count.y > 0 {
			s.whole = ""
		}
	case l.outcome != skipped && s.strong && !l.wordy && !s.strange && len(s.says) == 1 && s.says[0].unjudged() && s.says[0].items.only() != 0: // finally clean, the mile at 66
		s.says[0].outcome = l.outcome
	case s.strong && len(s.says) > 1 && s.noOutcome(), l.outcome >= 0 && s.strange && len(s.says) == 1 && s.says[0].who == theRest: // the bolero shaky, the rest clean
		s.noItem = true
	case s.strong && len(s.says) == 0 && s.whole == "" && s.excuse == "":
		p.looseWord()
	}
}

// noOutcome reports whether items were named and no outcome was said of any: "1 at 70. 3
// at 88."
func (s *sheet) noOutcome() bool {
	return !slices.ContainsFunc(s.says, func(y saying) bool { return y.who != named || y.outcome >= 0 })
}

// looseTempo gives a tempo to the only item it can belong to.
func (p *parser) looseTempo() {
	s := &p.sheet
	l := &s.loose
	if len(s.says) == 1 && s.says[0].items.only() != 0 && s.says[0].tempo.sense == unknown {
		s.says[0].tempo = l.tempo
		if s.strong && s.says[0].outcome < 0 {
			s.says[0].outcome = l.outcome
		}
		return
	}
	switch {
	case s.wrong.sense != unknown && p.ctx.Last != nil:
		l.items = p.lastWith(s.wrong.x)
	case s.sorry && p.ctx.Last != nil:
		l.items = p.lastNear(l.tempo)
	default:
		l.items = p.nearest(l.tempo)
	}
	if l.items.only() == 0 {
		l.vague = true
	}
	if l.items == 0 {
		s.noItem = true
		return
	}
	s.says = append(s.says, *l)
}

// lastNear returns the items near to the tempo, and of several those that had one
// when last read.
func (p *parser) lastNear(tempo mark) itemSet {
	set := p.lastItems(func(item Item) bool { return item.Tempo != nil })
	near := p.nearest(tempo)
	if near&set != 0 {
		return near & set
	}
	return near
}

// lastWith returns the items that were last said to have been at the tempo.
func (p *parser) lastWith(bpm float64) itemSet {
	return p.lastItems(func(item Item) bool {
		return item.Tempo != nil && (item.Tempo.To == bpm || item.Tempo.From == bpm)
	})
}

// lastItems returns the items of the last reading, which there must be, that are to be kept.
func (p *parser) lastItems(keep func(Item) bool) (set itemSet) {
	for _, item := range p.ctx.Last.Items {
		if keep(item) {
			set.add(item.N)
		}
	}
	return set
}

// looseWord reads an outcome said of nothing: of the one item there is, of the
// day if nothing was played, else it is asked what is meant.
func (p *parser) looseWord() {
	s := &p.sheet
	switch {
	case s.noItem || s.strange || s.loose.wordy && p.count() > 1:
		s.noItem = true
	case s.loose.outcome == skipped || s.loose.outcome == missed:
		s.whole = None
	case p.count() == 1 || s.loose.outcome == clean:
		s.whole = All
		s.says = append(s.says, saying{who: wholeDay, outcome: s.loose.outcome})
	default:
		s.noItem = true
	}
}
