package reply

import (
	"cmp"
	"slices"

	"ledgerline/routine"
)

// namedRole is the role of words that sum up the items named before.
const namedRole = "the items named"

// all reads "all", "both": the whole day, unless it sums up items just named.
func (p *parser) all(i int) {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	many := i + 1
	if p.unit(many, articleSense) { // tous les trois
		many++
	}
	sumsUp := cur.named() && (cur.outcome < 0 || cur.weak) && (cur.items.only() == 0 || s.cur > 0 || cur.tempo.y > 0 || cur.count.sense != unknown || (p.namesItem(i-1) || p.valued(i-1)) && (p.units[i-1].x != float64(p.count()) || p.determines(i-2))) // 3 all clean, 3 at 110 all clean
	switch {
	case p.unit(i-1, painSense), p.unit(i+1, painSense), p.unit(i+1, goneSense), p.unit(i+1, jokeSense), // all free of pain
		p.has(i-1, chatSense, greeting) && p.ends(i+1) && !p.phrased(i): // hi all,
		return
	case cur != nil && cur.who == theRest && cur.outcome < 0: // die anderen alle sauber
		return
	case p.unit(i-1, forSense) && cur.named() && u.sense == bothSense && cur.items.count() == 2: // 1 and 2, 76 for both
		return
	case u.sense == bothSense && cur == nil && p.nextOutcome(i) && (s.sumLast(2) || s.lastBoth()): // did 2 and 3. both good
		return
	case u.sense == allSense && cur == nil && p.unit(i-1, stopSense) && p.nextOutcome(i) && !p.nextDone(i) &&
		((!p.phrased(i) || !p.holds(i, doneSense)) && p.listedSo() || p.holds(i, ofSense) && s.sumLast(len(s.says))): // one a line, and "all clean" under them; all of them clean
		return
	case u.sense == allSense && cur == nil && p.unit(many, numberSense, numSense) && p.nextOutcome(many) && s.sumLast(int(p.units[many].x)): // 1 at 64, 2 at 90, 6 at 48. All three good
		p.units[many].aside("how many were named")
		return
	case u.sense == allSense && cur.named() && cur.count.sense != unknown && (cur.settled || s.leadNew) && p.judged(i-1): // 3 four times, missed every one
		if u.role = "how often"; s.leadNew {
			p.settle(cur, s.lead)
			s.lead, s.leadNew = -1, false
		}
		return
	case u.sense == allSense && cur.named() && cur.count.sense != unknown && !cur.settled && p.unit(many, numSense, numberSense) && p.units[many].x == cur.count.x && p.nextOutcome(many): // six times, all six clean
		p.units[many].sense, p.units[many].role, u.role = asideSense, "how often", "how often"
		return
	case cur != nil && cur.vague && u.sense == bothSense && cur.items.count() == 2:
		cur.vague = false
		return
	case u.sense == bothSense && cur != nil && cur.settled && s.cur > 0 && p.unit(i-1, outcomeSense, fineSense): // 1 80, 2 90, clean both
		s.sum = s.cur - 1
		p.settleAll(cur.outcome)
		return
	case sumsUp && (p.nextOutcome(i) || p.sumOf(many) && p.nextOutcome(many)):
		if u.role = namedRole; p.sumOf(many) { // all three good
			p.units[many].aside("how many were named")
		}
		switch {
		case u.sense != bothSense:
			s.sumUp(maxItems)
		case cur.items.only() != 0:
			s.sumUp(1)
		default:
			s.sumUp(0)
		}
		return
	case u.sense == bothSense && (p.count() != 2 || p.nextRef(i)), p.nextName(i):
		return
	case cur.named() && p.namesItem(i-1) && p.unit(i+1, butSense, exceptSense) && !p.nextRef(i+1): // 3 everything but the end
		p.units[i+1].sense = plainSense
		p.word(i)
		return
	case cur.named() && (cur.clause == s.clause || p.clauseBegins(i) && p.unit(i-1, breakSense)) && p.allWithin(i): // 2 in all the keys; 2 at 88, all the repeats
		p.word(i)
		return
	case p.ofOther(i), s.strange && s.whole == "" && p.unit(i-1, breakSense) && p.standsAlone(i): // the dark, the rain, all that
		p.word(i)
		return
	}
	if p.unit(i+1, numSense, numberSense) && p.units[i+1].x == float64(p.count()) {
		p.units[i+1].aside("how many there are")
	}
	u.role = "the whole day"
	s.wholeClause, s.allSaid = s.clause, true
	if s.whole == "" {
		s.whole = All
	}
	if s.lead >= 0 && s.leadNew && !s.leadWeak {
		s.begin(wholeDay, 0)
		return
	}
	s.cur = -1
}

// allWithin reports whether "all" at unit i is all of something that an item has: "all the
// keys", "toutes les reprises".
func (p *parser) allWithin(i int) bool { return p.withinItem(p.past(i+1, articleSense, onSense)) }

// withinItem reports whether unit i may be something that an item has many of: "keys", "bars",
// "rests".
func (p *parser) withinItem(i int) bool {
	return p.remarked(i) || p.unit(i, thingSense, noteSense, partSense, bodySense, skillSense) || p.unit(i, itemsSense) && p.units[i].items == 0 || p.breaks(i) || p.unit(i, timesSense) && p.lettersAt(i)
}

// sumUp takes note that the outcome which follows is that of as many sayings before in the
// sentence too.
func (s *sheet) sumUp(before int) {
	for s.sum = s.cur; s.sum > max(0, s.cur-before) && s.says[s.sum-1].sentence == s.sentence; {
		s.sum--
	}
}

// listedSo goes on with the sayings before, if there are two or more, each of a sentence of its
// own, or three and more with their tempi in one, and with something said but how it went. It
// reports whether they are so.
func (p *parser) listedSo() bool {
	s := &p.sheet
	n := len(s.says)
	for i := range s.says {
		if y := &s.says[i]; !y.unjudged() || y.empty() || i > 0 && y.sentence == s.says[i-1].sentence && (y.tempo.sense == unknown || n < 3) {
			return false
		}
	}
	if n < 2 || s.whole != "" {
		return false
	}
	s.cur, s.sum = n-1, 0
	return true
}

// lastBoth goes on with the saying before if it names two items and says not how they went.
// It reports whether it does.
func (s *sheet) lastBoth() bool {
	last := len(s.says) - 1
	if last < 0 || !s.says[last].unjudged() || s.says[last].items.count() != 2 {
		return false
	}
	s.cur = last
	return true
}

// sumLast is sumUp for the last n sayings, if they name one item each and say not how it
// went, and they are all of their sentence or all there are: "1 at 66 and 2 at 69. Both
// clean." It reports whether they do.
func (s *sheet) sumLast(n int) bool {
	first := len(s.says) - n
	if n < 2 || first < 0 {
		return false
	}
	here := s.says[first].sentence
	together := s.says[len(s.says)-1].sentence == here
	if first > 0 && (s.says[first-1].sentence == here || !together && s.says[first-1].unjudged()) {
		return false
	}
	if slices.ContainsFunc(s.says[first:], func(y saying) bool { return !y.unjudged() || y.items.only() == 0 }) {
		return false
	}
	s.cur, s.sum = len(s.says)-1, first
	return true
}

// sumOf reports whether the number at unit i is how many items the sentence has named.
func (p *parser) sumOf(i int) bool {
	if !p.unit(i, numSense, numberSense) {
		return false
	}
	var items itemSet
	says := p.sheet.says
	for _, y := range says[max(0, len(says)-maxItems):] {
		if y.sentence == p.sheet.sentence {
			items |= y.items
		}
	}
	return p.units[i].x == float64(items.count())
}

// none reads "nothing" and "no": of the item spoken of, or of the whole day.
func (p *parser) none(i int) {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	switch {
	case p.deniesPain(i) && (u.sense == noSense || !p.phrased(i)) || u.sense == noneSense && p.afterDenied(i):
		u.role = "not"
	case u.sense == noSense && p.repairs(i) && (!s.sorry || p.unit(i+1, breakSense)):
		s.mending, u.role = true, "correction"
	case u.sense == noSense && (p.wrongAfter(i) || cur != nil && (cur.outcome < 0 || s.sorry || cur.settled && p.ctx.Last != nil) && p.outcomeNext(i) && p.lettersAt(i+1)):
		p.deny(i)
	case u.sense == noSense && p.ctx.Last != nil && p.clauseBegins(i) && (i+2 < len(p.units) || p.valued(i+1) && !p.namesItem(i+1)):
		s.sorry, s.sorryAt, u.role = true, true, "correction"
	case u.sense == noSense && p.restDenied(i, p.past(i+1, fillerSense)):
	case u.sense == noSense && p.unit(i-1, butSense, breakSense, andSense) && p.restLeftOut(i): // la 1 pero no el resto
		s.hold(skipped)
		u.role = "outcome"
	case u.sense == noneSense && p.unit(i+1, forSense) && p.noItemAt(i+2): // no time for 9
		p.noSuchItem(i + 2)
	case u.sense == noneSense && p.nextRef(i) && (cur == nil || p.unit(i+1, ofSense, forSense) || p.unit(i+1, othersSense) && !p.nextOutcome(i+1)): // 2 took 30 min so no time for 3
		s.hold(skipped)
		u.role = "outcome"
	case cur != nil && (cur.outcome < 0 || cur.who == theRest && cur.led && cur.weak) && cur.clause == s.clause && (u.sense != noSense || p.noEnds(i)):
		said := skipped
		if u.sense == noSense && cur.tempo.sense != unknown { // la 3 a 96 no
			said = missed
		}
		p.settle(cur, said)
		u.role = "outcome"
	case u.sense == noSense && p.unit(i+1, restSense) && cur == nil:
		u.role = "talk"
	case p.nextRef(i) && u.sense == noSense:
		s.hold(skipped)
		u.role = "outcome"
	case (u.sense == noSense || u.sense == noneSense && p.phrased(i)) && cur != nil && cur.bare() && p.unit(i-1, breakSense) && (p.endsSentence(i+1) || i+1 == len(p.units)): // la 3 et la 4, non; slurs, no time
		p.settle(cur, skipped)
		u.role = "outcome"
		return
	case u.sense == noSense && cur != nil && p.unit(i-1, breakSense) && p.unit(i+1, breakSense): // 3, nope, fell apart
		u.role = talked
	case u.sense == noSense && (cur != nil || s.wordy || !p.standsAlone(i)):
		p.word(i)
	case u.sense == noneSense && cur == nil && !s.content() && p.goodAfter(i) > 0 && !p.unit(p.goodAfter(i)+1, exceptSense): // nothing clean
		p.noSuchItem(i)
	case u.sense == noneSense && cur == nil && p.has(i+1, outcomeSense, skipped) && !p.phrased(i+1): // nichts ausgelassen
		p.units[i+1].aside("denied")
		s.whole, u.role = All, "the whole day"
	case u.sense == noneSense && s.whole == All && p.unit(i+1, outcomeSense) && p.units[i+1].val != clean:
		p.units[i+1].sense, u.role = asideSense, "denied"
	case u.sense == noneSense && (s.filled != "" || s.whole == All && p.phrased(i) && !s.sorry || s.whole == Partly && !p.endsSentence(i-1)): // all but 4, no time; all done, no time for more
		u.role = talked
	case p.notPlayed(i):
	case p.later != 0 && !s.content(): // will do 4 later, nothing now
		s.noItem, u.role = true, "some items"
	case u.sense == noSense && !s.content() && p.playedBefore(): // no, to what was logged
		s.noItem, u.role = true, "some items"
	default:
		s.softNo = u.sense == noSense && !s.content()
		s.noItem = s.noItem && u.sense == noSense // mowed the lawn instead, nothing today
		s.whole, u.role = None, "the whole day"
	}
}

// playedBefore reports whether something was played according to what was read before of the day.
func (p *parser) playedBefore() bool {
	last := p.ctx.Last
	return last != nil && (last.All == All || last.All == Partly || p.playedOn(last.Day) != 0)
}

// restLeftOut reports whether the rest stands after unit i with nothing said of it.
func (p *parser) restLeftOut(i int) bool {
	rest := p.past(i+1, articleSense, onSense)
	return p.unit(rest, othersSense, restSense) && !p.nextOutcome(rest) && p.sheet.content()
}

// notPlayed reports whether what is left out at unit i are the items that were meant to be
// played, "wanted to do 4 but no time", and takes note of it.
func (p *parser) notPlayed(i int) bool {
	if p.meant == 0 {
		return false
	}
	before := p.back(i-1, breakSense, butSense, fillerSense)
	if p.sheet.content() && (before < 0 || p.units[before].role != laterRole) {
		return false
	}
	p.settle(p.sheet.begin(named, p.meant), skipped)
	p.units[i].role = "outcome"
	return true
}

// afterDenied reports whether pain that is denied stands right before unit i: "no me
// duele nada".
func (p *parser) afterDenied(i int) bool {
	i = p.back(i-1, fillerSense, articleSense, bodySense)
	return p.unit(i, jokeSense) || p.unit(i, painSense) && p.denied(i)
}

// outcomeNext reports whether an outcome follows unit i with no more than an
// intensifier between.
func (p *parser) outcomeNext(i int) bool {
	return p.judged(p.past(i+1, articleSense, fillerSense))
}

// partly reads "half", "some of it".
func (p *parser) partly(i int) {
	s, u := &p.sheet, &p.units[i]
	switch cur := s.current(); {
	case p.partOfNext(i):
		s.place, s.inPart, u.role = span{u.start, u.end}, true, "remark"
		return
	case p.unit(i+1, itemsSense) && u.val != unfinished, s.allSaid && s.wholeClause == s.clause && p.nextStrong(i): // some slurs, all a bit shaky
		return
	case cur == nil && p.nextOutcome(i) && u.sense == partlySense && !p.nextDone(i): // some shaky
		s.noItem, u.role = true, "some items"
		p.skipRest(i)
		return
	case cur.named() && u.sense == partlySense && p.nextOutcome(i): // a bit shaky
		return
	case cur.named() && (cur.bare() || u.val == unfinished && (cur.weak || cur.outcome < 0) || cur.outcome < 0 && cur.remark == (span{}) && p.ends(i+1)): // gulls at 76 half
		p.part(i)
		return
	case cur != nil || p.nextRef(i) || !p.partEnds(i):
		p.word(i)
		return
	case p.placeInLast(i) > 0:
		s.cur = len(s.says) - 1
		p.remark(i)
		s.current().remark.start = p.units[p.placeInLast(i)].start
		return
	}
	s.whole, u.role = Partly, "part of the day"
	s.cur = -1
}

// placeInLast returns where the sentence of unit i begins, if it says no more than a place in the item
// of the sentence before, of which it was told how it went: "3 clean. In the first half." Else it is 0.
func (p *parser) placeInLast(i int) int {
	says := p.sheet.says
	if len(says) == 0 || !says[len(says)-1].judgedSo() || says[len(says)-1].items.only() == 0 || !p.standsAlone(i) {
		return 0
	}
	first := p.back(i-1, articleSense, onSense, inSense, nthSense, lastSense)
	if !p.endsSentence(first) || first == i-1 && !p.holds(i, nthSense) && !p.holds(i, lastSense) {
		return 0
	}
	return first + 1
}

// partOfNext reports whether unit i is a part of the item that follows: "half of 3",
// "nur die Hälfte der 3", "didn't finish 3".
func (p *parser) partOfNext(i int) bool {
	linked := p.has(i, partlySense, unfinished) || p.unit(i+1, ofSense) || p.unit(i+1, articleSense) && (p.units[i].sense != partlySense || p.holds(i, halfSense))
	return linked && p.nextRef(i)
}

// nextDone reports whether the outcome that follows unit i is no more than "done".
func (p *parser) nextDone(i int) bool {
	i = p.past(i+1, fillerSense, articleSense)
	return p.unit(i, doneSense) || p.has(i, outcomeSense, done)
}

// others reads "the rest", "everything else".
func (p *parser) others(i int) {
	cur := p.sheet.current()
	if cur.named() && p.restOfOther(i) || // 2 clean, the rest of the bars shaky
		cur != nil && !p.goesOn(i) && (cur.bare() && p.unit(i-1, itemsSense) || p.withinItem(i+1)) {
		p.word(i)
		return
	}
	if !p.nextOutcome(i) && p.battled(p.head(i)-1) { // 1 clean, battled the rest
		p.sheet.noItem, p.sheet.cur, p.units[i].role = true, -1, "the other items?"
		return
	}
	if p.unit(i+1, numSense, numberSense) && p.nextOutcome(i+1) { // the others, all 3
		p.units[i+1].aside("how many there are")
	}
	p.freeLead(i)
	p.sheet.begin(theRest, 0).one = p.has(i, othersSense, otherOne)
	p.units[i].role = "the other items"
}

// rest reads "rest": the others if items are named or an outcome follows, else a
// day of rest.
func (p *parser) rest(i int) {
	if p.unit(i-1, noSense) || p.has(i-1, articleSense, indefinite) { // there's no rest in bar 9, after a rest
		p.word(i)
		return
	}
	if p.sheet.lead >= 0 || len(p.sheet.says) > 0 || p.nextOutcome(i) || p.unit(i+1, numSense) || p.ctx.Last != nil && p.tellsIn(i, p.endOfClause(i, min(len(p.units), i+2*reach))) {
		p.others(i)
		return
	}
	p.sheet.rest = true
	p.units[i].role = "excused"
}

// part reads "first half only" and keeps it as a remark.
func (p *parser) part(i int) {
	cur := p.sheet.current()
	if !cur.named() || p.partOfNext(i) {
		p.partly(i)
		return
	}
	cur.part = true
	p.remark(i)
}

// limit reads "but", "except" and "only".
func (p *parser) limit(i int) {
	s, u := &p.sheet, &p.units[i]
	if !s.leadNew {
		s.lead = -1
	}
	switch {
	case u.sense == onlySense:
		p.onlyThese(i)
	case s.whole != "" && p.nextRef(i) && p.noneSaid():
		s.only, s.filled, u.role = true, routine.Skipped, "only"
		s.cur, s.lead = -1, -1
	case s.whole != "" && p.nextRef(i), p.exceptAlone(i):
		s.whole = cmp.Or(s.whole, All)
		s.except, s.filled, u.role = true, routine.Done, "except"
		s.cur, s.lead = -1, -1
	case s.whole != "" && p.exceptsUnknown(i):
		s.whole, s.noItem, u.role = Partly, true, "except"
	case u.sense == exceptSense && p.nextRef(i):
		s.hold(skipped)
		u.role = "outcome"
	case u.sense == exceptSense && p.unit(i+1, numSense) && p.sheet.current() != nil: // bis auf 92
	case u.sense == exceptSense && !p.deniesPain(i):
		p.word(i)
	}
}

// exceptAlone reports whether what is excepted at unit i is all that the message says of items, so
// that the others were played: "sauf la 3", "except 2 and 3, 40 min".
func (p *parser) exceptAlone(i int) bool {
	if !p.unit(i, exceptSense) || p.sheet.content() || p.ctx.Last != nil || !p.nextRef(i) {
		return false
	}
	after := p.past(i+1, articleSense, onSense, itemsSense, numSense, rangeSense, andSense)
	if !p.ends(after) {
		return false
	}
	return !p.anyIn(after, min(after+2*reach, len(p.units)), func(s sense) bool { return s != minutesSense && reports(s) })
}

// noneSaid reports whether the whole routine was said to be left out, so that what
// is excepted was played, and forgets it then.
func (p *parser) noneSaid() bool {
	s := &p.sheet
	if n := len(s.says); n > 0 && s.says[n-1].who == wholeDay && s.says[n-1].outcome == skipped {
		s.says = s.says[:n-1]
		return true
	}
	return s.whole == None
}

// onlyThese reads "only": of the items that follow or were named, or of a part of
// the item spoken of.
func (p *parser) onlyThese(i int) {
	s := &p.sheet
	cur := s.current()
	switch {
	case cur.named() && (p.before(i, nthSense, lastSense, barSense, halfSense, partSense, partlySense, lineSense) || p.partAfter(cur, i)):
		p.part(i)
	case s.whole == All && len(s.says) == 0, s.except && cur != nil && !cur.bare():
	case cur == nil && p.unit(i+1, articleSense) && p.judged(i+2) && p.ends(i+3): // nur eine sauber
		p.noSuchItem(i + 1)
	case cur.named() && p.standsAlone(i) && (p.unit(i-1, countSense) || p.unit(i-1, tempoSense) && len(s.says) == 1 && cur.items.only() > 0): // 3 of 5 only
	case p.onlyAfter(i):
		s.lead, s.cur = -1, -1
	case cur.named() && !cur.bare() && p.unit(i+1, articleSense, onSense) && p.allWithin(i): // 3 at 88, only the high notes
		p.word(i)
	case p.ctx.Last != nil && p.nextRef(i) && p.tooIn(i): // just played 4 as well
	case p.nextRef(i) || p.outcomeThenRef(i) || len(s.says) > 0 && p.standsAlone(i) && !p.inWords(i):
		s.only, s.filled, p.units[i].role = true, routine.Skipped, "only"
		s.lead = -1
	case cur.named() && (p.valued(i+1) || p.unit(i+1, atSense, countSense)):
	case cur.named() && (!p.ends(i+1) || p.inWords(i)):
		p.word(i)
	case cur == nil && p.phrased(i) && p.unit(i+1, unknown, plainSense): // only did long tones
		s.noItem = true
	}
}

// saidNext reports what is said of the items that are named right after unit i: how they went,
// or at what tempo.
func (p *parser) saidNext(i int) (judged, valued bool) {
	named := false
	for end := i + reach; i+1 < end; {
		i++
		switch {
		case p.namesItem(i):
			named = true
		case p.judged(i):
			return named, valued
		case p.valued(i):
			valued = named
		case p.unit(i, articleSense), p.unit(i, onSense), p.unit(i, atSense), p.unit(i, fillerSense), p.unit(i, andSense):
		default:
			return false, valued
		}
	}
	return false, valued
}

// onlyAfter reports whether "only" at unit i is of how the items after it went, where others
// went otherwise: "1 clean, only 2 shaky", "1 sauté alors que 2 fragile".
func (p *parser) onlyAfter(i int) bool {
	says := p.sheet.says
	if len(says) == 0 || p.sheet.only {
		return false
	}
	if last := &says[len(says)-1]; !last.judgedSo() && !(last.outcome == skipped && p.unit(i-1, fillerSense)) {
		return false
	}
	judged, valued := p.saidNext(i)
	return judged || valued
}

// partAfter reports whether a part of the items spoken of follows unit i: "5 only up to
// the second page".
func (p *parser) partAfter(cur *saying, i int) bool {
	i = p.past(i+1, articleSense, onSense, toSense, upToSense)
	return p.place(i) || p.unit(i, halfSense, partlySense) || p.lineOf(cur, i)
}

// lineOf reports whether unit i names lines of the items spoken of.
func (p *parser) lineOf(cur *saying, i int) bool {
	return p.has(i, itemsSense, nameOfLine) && cur.items&^p.units[i].items == 0
}

// tooIn reports whether "too" stands after unit i in its clause.
func (p *parser) tooIn(i int) bool {
	for end := i + reach; i < end && !p.ends(i+1); {
		if i++; p.unit(i, tooSense) {
			return true
		}
	}
	return false
}

// exceptsUnknown reports whether what unit i leaves out is there but can't be
// told: "all but one".
func (p *parser) exceptsUnknown(i int) bool {
	if p.units[i].sense == exceptSense {
		return !p.ends(i+1) && !p.deniesPain(i) && !p.nextOutcome(i) && !p.nextRef(i)
	}
	return p.unit(i+1, oneSense, numberSense)
}
