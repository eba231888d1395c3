package reply

import (
	"slices"
	"strings"
)

// Indices of outcomes.
const (
	clean = iota
	shaky
	missed
	skipped
	done
)

// settleSenses settles what words mean by those beside them, before anything is read: verbs
// like "lief" are outcomes or small words, "too" is a small word where more follows, a value
// that is taken back is set aside.
func (p *parser) settleSenses() {
	p.redate()
	named := false
	for i := range p.units {
		u := &p.units[i]
		named = named || p.namesItem(i)
		p.doubtPain(i)
		switch {
		case u.sense == othersSense && u.val == beforeCount && named && p.toldNext(i): // the other skipped
			u.val = otherOne
		case u.sense == othersSense && u.val == beforeCount, // the other day
			u.sense == othersSense && (p.with(i-1) || p.with(i-2)) && p.withinItem(i+1), // with the other mouthpiece
			u.sense == allSense && p.with(i-1) && p.withinItem(i+1),                     // with all fingers
			u.sense == othersSense && u.val == 1 && !(named && p.toldNext(i)),
			u.sense == othersSense && !p.phrased(i) && p.remarked(i-1) && p.lettersAt(i-1),  // l'attaque reste molle
			u.sense == othersSense && !p.phrased(i) && p.namesItem(i-1) && p.nextOutcome(i): // la 4 reste fragile
			u.sense, u.val = fillerSense, 0
		case u.sense == tooSense && (p.namesItem(i+1) || p.unit(i+1, articleSense, onSense) && p.namesItem(i+2) || p.namesItem(i-1) && (p.unit(i+1, tempoSense) || p.unit(i+1, numSense) && p.ends(i+2))): // la 3 pareil à 84
		case u.sense == tooSense && !p.ends(i+1) && u.val == 1:
			u.sense, u.val = articleSense, 0
		case u.sense == tooSense && !p.ends(i+1),
			u.sense == doneSense && u.val == 1 && p.unit(i-1, fillerSense) && p.units[i-1].val != reasonFiller && !p.unit(i+1, numSense) && !p.ends(i+1), // wir hatten ja Unterricht
			u.sense == doneSense && u.val == 1 && p.unit(i-1, dateSense) && p.unit(i+1, excuseSense),                                                     // war heute ja krank
			u.sense == outcomeSense && u.val == skipped && p.unit(i+1, tempoSense) && p.units[i+1].y > 0 && p.units[i+1].note == 0,                       // pasé de 63 a 69
			u.sense == sorrySense && u.val == hesitation && !p.repairs(i):
			u.sense, u.val = fillerSense, 0
		case u.sense == atSense && p.clauseBegins(i) && p.namesItem(i+1) && p.tempoAfter(i+1): // bei 2 hatte ich 120
			u.sense = articleSense
		case u.sense == fillerSense && u.val == endFiller && (p.ends(i+1) && (p.unit(i-1, outcomeSense) && p.units[i-1].val != clean || p.unit(i-1, breakSense) && p.judged(i-2)) || p.unit(i+1, outcomeSense) && p.units[i+1].val == shaky && p.itemIn(i) && !p.unit(i-1, breakSense)): // 3 shaky at the end, 3 war am Ende unsicher
			u.sense, u.val = plainSense, 0
		case p.unit(i, sorrySense, insteadSense) && p.ctx.Last == nil && p.itemIn(i) && (p.clauseBegins(i) || p.unit(i-1, colonSense)) && (p.unit(i+1, ofSense) || p.remarked(i+1)) && !p.valued(i+2): // 92, me equivoqué de tono; 92: wrong transposition
			u.sense, u.val = plainSense, 0
		case u.sense == sorrySense && u.val == ofAnotherDay: // that was fun
			u.sense, u.val = fillerSense, 0
		case p.refused(i):
			u.sense, u.role, p.units[i+1].sense, p.units[i+1].val = asideSense, wrongRole, sorrySense, 0
		case p.judged(i) && p.holds(i, notSense) && p.unit(i+1, butSense) && p.judged(i+2) && !p.nextRef(i+2): // pas propre mais raté
			u.sense, u.role, p.units[i+1].sense = asideSense, "denied", sorrySense
		case u.sense == ishSense && p.judged(i-1) && p.units[i-1].val == clean: // was ok-ish
			p.units[i-1].val, p.units[i-1].sense, u.sense = shaky, outcomeSense, fillerSense
		case (u.sense == numberSense || u.sense == numSense) && p.unit(i+1, itemsSense) && p.units[i+1].val != byNumber && u.x > 1 && u.x == float64(p.units[i+1].items.count()) && p.unit(i-1, exceptSense, articleSense): // all but the two etudes, the two slur studies
			u.sense, u.role = articleSense, "how many there are"
		case u.sense == fineSense && !p.phrased(i) && p.unit(i+1, feelSense) && p.lettersAt(i+1): // bien crevé
			u.sense, u.val = fillerSense, 0
		case p.retracted(i):
			u.aside(wrongRole)
		case u.sense == fillerSense && u.val == haveFiller && p.clauseBegins(i) && p.unit(i+1, minutesSense) && (p.ends(i+2) || p.unit(i+2, dateSense) && p.ends(i+3)): // j'ai 20 min
			u.sense, u.val = hedgeSense, 0
		case u.sense == fillerSense && u.val == already && p.namesItem(i-1) && (p.ends(i+1) || p.unit(i+1, andSense)): // little tug ya
			u.sense, u.val = outcomeSense, done
		case u.sense == laterSense && p.ctx.Last != nil && p.valued(i+1) && !p.namesItem(i+1) && !p.unit(i+1, minutesSense), // el 2 iba a 100
			u.sense == exceptSense && u.val != less && p.faultless(i):
			u.sense, u.val = fillerSense, 0
		case (u.sense == aboutSense && u.val == almost || u.sense == exceptSense) && p.goodAfter(i) > 0: // presque nickel, moins propre
			good := &p.units[p.goodAfter(i)]
			good.sense, good.val, u.sense, u.val = outcomeSense, shaky, fillerSense, 0
			if p.unit(i-1, allSense) { // tout sauf propre
				p.units[i-1].sense = fillerSense
			}
		case u.sense == excuseSense && p.isEvent(i) && p.toCome(i):
			p.asideEvent(i)
		case u.sense == insteadSense && p.deniesPain(i): // todo bien y no me duele nada
			u.sense, u.val = notSense, 0
		case u.sense == noSense && u.end == u.start+1 && i > 0 && (p.deniesPain(i) || p.unit(i-1, bodySense) || p.outcomeNext(i) || p.nextName(i) || p.namesItem(i-1) && p.namesItem(i+1) && p.nextOutcome(i+1) && p.units[i+2].end > p.units[i+2].start+1): // slurs n scales, 60 n messy, 7 n 8
			u.sense, u.val = andSense, 0
		case u.sense != wentSense:
		case u.val == missed && !p.afterItem(i), p.outcomeAhead(i), p.hasObject(i):
			u.sense, u.val = fillerSense, 0
		default:
			u.sense = outcomeSense
		}
	}
}

// toldNext reports whether what follows unit i says how it went, or that it was left out.
func (p *parser) toldNext(i int) bool {
	return p.nextOutcome(i) || p.unit(i+1, noneSense) || p.unit(i+1, noSense) && p.noEnds(i+1)
}

// goodAfter returns the unit after unit i that judges something to be good, with no more
// than small words between, or 0.
func (p *parser) goodAfter(i int) int {
	i = p.past(i+1, fillerSense, articleSense, ofSense)
	if p.judged(i) && p.units[i].val == clean {
		return i
	}
	return 0
}

// faultless reports whether "without" at unit i takes away what went badly, "sans une seule
// faute", and makes it clean.
func (p *parser) faultless(i int) bool {
	for end := i + reach/2; i < end; {
		i++
		switch u := &p.units[min(i, len(p.units)-1)]; {
		case p.unit(i, articleSense), p.unit(i, fillerSense), p.unit(i, oneSense), p.unit(i, onlySense):
		case p.unit(i, outcomeSense) && (u.val == shaky || u.val == missed) && !p.phrased(i):
			u.val = clean
			return true
		default:
			return false
		}
	}
	return false
}

// tempoAfter reports whether a number that is no item's stands after unit i, with no more
// than small words between.
func (p *parser) tempoAfter(i int) bool {
	next := p.past(i+1, fillerSense)
	return next > i+1 && (p.unit(next, tempoSense) || p.unit(next, numSense) && !p.isItem(p.units[next].x))
}

// outcomeAhead reports whether an outcome stands after unit i in its clause.
func (p *parser) outcomeAhead(i int) bool {
	for end := min(i+reach, len(p.units)); i+1 < end && !p.ends(i+1); {
		i++
		switch p.units[i].sense {
		case outcomeSense, fineSense, wentSense:
			return !p.nextRef(i)
		case itemsSense, numSense, rangeSense, othersSense, restSense, butSense:
			return false
		}
		if p.divides(i) {
			return false
		}
	}
	return false
}

// vaguely reads "more or less" said of how an item went, and a word like "about"
// in the middle of others.
func (p *parser) vaguely(i int) {
	cur := p.sheet.current()
	if cur == nil && p.opens(i) && p.ends(i+1) { // la 3 a 78. más o menos
		cur = p.sheet.lastUnjudged()
	}
	switch {
	case cur != nil && p.inWords(i):
		p.word(i)
	case cur != nil && cur.outcome < 0 && (p.ends(i+1) || p.unit(i+1, dateSense, inSense, atSense) || cur.who == named && p.partAfter(cur, i)): // 3 nearly, fast im Tempo, casi en la segunda página
		p.settle(cur, shaky)
		p.units[i].role = "outcome"
	}
}

// inPlural reports whether the outcome at unit i is a word in the plural, which also stands in
// the singular in the language, and so is of more than one item after a comma: "la 1 à 66 et la
// 2 à 69, propres". In English such words are alike.
func (p *parser) inPlural(i int) bool {
	word := p.text[p.units[i].start:p.units[i].end]
	one, plural := strings.CutSuffix(word[strings.LastIndexByte(word, ' ')+1:], "s")
	if !plural || p.table.own == 1 {
		return false
	}
	m := p.meaningOf(p.table.ids[one])
	return (m.sense == outcomeSense || m.sense == fineSense) && int(m.val) == p.units[i].val
}

// fallShort reads words at unit i that the tempo at unit v was not reached: the item spoken of, if
// nothing else was said of it, or the one that follows did not come off at it.
func (p *parser) fallShort(i, v int) {
	s, next := &p.sheet, p.past(v+1, articleSense, onSense, inSense, forSense, ofSense)
	switch cur := s.current(); {
	case p.reachedElse(v):
	case cur.named() && cur.bare() && p.withinReach(cur.items, p.units[v].x, slowest, fastest):
		p.settle(cur, missed)
		return
	case cur == nil && next > v+1 && p.namesItem(next):
		s.hold(missed)
		s.leading = v + 1
		p.units[v].aside("tempo")
		return
	}
	p.units[v].aside("not reached")
	p.units[i].role = "small word"
}

// reachedElse reports whether another tempo than the one at unit v is told of in its sentence.
func (p *parser) reachedElse(v int) bool {
	for end := v + reach; v+1 < end && !p.endsSentence(v+1); {
		if v++; p.unit(v, tempoSense) || p.unit(v, numSense) && p.units[v].x >= leastBPM {
			return true
		}
	}
	return false
}

// ownClause reports whether unit i begins a clause, with a joint or a reason at most before it.
func (p *parser) ownClause(i int) bool {
	for i--; p.unit(i, fillerSense, articleSense); i-- {
		if p.givesReason(i) {
			return true
		}
	}
	return p.unit(i, andSense, butSense, breakSense, stopSense)
}

// saysWhy reports whether the outcome at unit i, a clause of its own, tells in so many words what
// went wrong.
func (p *parser) saysWhy(i int) bool {
	u := &p.units[i]
	return u.val != clean && p.unit(i-1, breakSense) && p.ends(i+1) && len(p.tokens(u.start, u.end)) > 2
}

// freeLead lets go of the outcome held for items that follow, once items have
// followed and those at unit i have one of their own: "skipped 2, 3 clean".
func (p *parser) freeLead(i int) {
	s := &p.sheet
	if s.leadNew || s.leadNot && !p.unit(i, othersSense, restSense) { // neither 1 nor 2 done
		return
	}
	for end := min(i+reach, len(p.units)-1); i < end; {
		i++
		switch p.units[i].sense {
		case articleSense, fillerSense, colonSense, ofSense, onSense, tempoSense:
		case numSense:
			if p.isItem(p.units[i].x) {
				return
			}
		case outcomeSense, fineSense, doneSense, aboutSense:
			if !p.nextRef(i) && (!p.unit(i, aboutSense) || p.ends(i+1)) {
				s.lead = -1
			}
			return
		default:
			return
		}
	}
}

// outcome gives the items spoken of an outcome, or holds it for those that
// follow.
func (p *parser) outcome(i int) {
	s, u := &p.sheet, &p.units[i]
	u.role = "outcome"
	if u.val == skipped && p.unit(i+1, allSense) && p.sheet.current() == nil && p.phrased(i) { // not everything
		p.units[i+1].sense = partlySense
		return
	}
	weak := u.val == done
	cur := s.current()
	if cur != nil && p.ofPlayer(i-1) && p.namesItem(i+1) && (weak || p.ends(i+2) || p.unit(i+2, andSense)) { // after 2 I did 3, 2 took so long that I skipped 3
		s.cur = -1
		s.hold(u.val)
		return
	}
	if u.end-u.start == 1 && (p.determines(i-1) || p.unit(i-1, articleSense)) && p.lettersAt(i) { // the K syllable
		p.word(i)
		return
	}
	if p.unit(i-1, articleSense) && p.unit(i+1, minutesSense) || cur == nil && (u.val == shaky || u.val == clean && s.whole == "") && p.unit(i+1, minutesSense) || cur == nil && p.unit(i+1, chatSense) && p.unit(i-1, articleSense) { // a solid 45 minutes, a nice evening
		u.role = "small word"
		return
	}
	if cur == nil && !p.lettersAt(i) && (s.strange || s.pain || s.doubt || s.allSaid && (s.lead == done || s.loose.outcome == done)) { // the concert was 🔥, lips numb 😬, did it all 😀
		u.role = "talk"
		return
	}
	if at := i + 2; (cur == nil || p.clauseBegins(i)) && u.val == missed && p.remarked(i+1) && p.lettersAt(i+1) { // couldn't start 3
		if p.unit(at, articleSense) {
			at++
		}
		if p.namesItem(at) && (p.ends(at+1) || p.unit(at+1, andSense, dateSense)) {
			p.units[i+1].sense, s.cur = fillerSense, -1
			s.hold(missed)
			return
		}
	}
	if cur == nil && (p.unit(i+1, personSense) || p.unit(i-2, hedgeSense) && p.remarked(i+1) || u.val == missed && (p.remarked(i+1) || p.remarked(i-1) && !p.unit(i+1, colonSense)) || u.val == skipped && p.forgets(i)) { // poor aunt, I have a wobbly tooth, can't come, forgot my keys
		p.word(i)
		return
	}
	if u.val == skipped && p.phrased(i) && p.unit(i+1, numSense) && !p.isItem(p.units[i+1].x) { // didn't get to 96
		p.fallShort(i, i+1)
		return
	}
	if (u.val == skipped || u.val == missed) && (cur == nil || p.clauseBegins(i)) && p.noItemAt(i+1) { // skipped 9
		p.noSuchItem(i + 1)
		p.units[i+1].sense = asideSense
		return
	}
	if !p.lettersAt(i) && u.sense == fineSense && (len(s.says) > 1 || s.whole != "") && cur != nil && !cur.bare() && cur.outcome < 0 { // 1 at 70, 2 at 90 😀
		u.role = "talk"
		return
	}
	if cur != nil && (cur.led || cur.settled || cur.only) && u.val == skipped && cur.outcome != skipped && (p.hasObject(i) || p.unit(i+1, personSense)) && p.ownClause(i) { // I did 1 and I forgot my book
		p.word(i)
		return
	}
	if cur != nil && cur.led && cur.outcome == missed && u.val == missed && !cur.settled && p.saysWhy(i) { // couldn't play 4, too fast for me
		p.word(i)
		return
	}
	if cur != nil && cur.excluded && !cur.settled && cur.remark != (span{}) { // all but 2, traffic was awful
		p.word(i)
		return
	}
	if cur != nil && !cur.settled && cur.remark != (span{}) && p.inWords(i) && p.remarked(i+1) && p.lettersAt(i) { // je respire au mauvais endroit
		p.word(i)
		return
	}
	if cur != nil && (u.val != done && (p.ofPart(i) || p.confesses(i)) || u.val == skipped && !p.phrased(i) && p.has(i-1, articleSense, indefinite) && p.remarked(i+1)) { // a forgotten repeat
		p.word(i)
		return
	}
	if d := p.deniedBy(i); d >= 0 && cur != nil && cur.settled && cur.outcome != u.val && (s.sorry || p.lastWas(cur.items, d)) { // it was skipped, not clean
		s.sorry, s.sorryAt, u.role = true, true, wrongRole
		return
	}
	if d := p.deniedBy(i); d >= 0 && cur != nil && !cur.settled && p.lastWas(cur.items, d) { // 3 was not skipped
		s.sorry, s.sorryAt = true, true
	}
	settled := cur != nil && (cur.outcome >= 0 && !cur.weak || cur.settled)
	if weak && cur != nil && (!cur.bare() || cur.only) && p.clauseBegins(i) && p.unit(p.skipSmall(i), minutesSense) { // 1 clean, practised 35 min
		u.role = "small word"
		return
	}
	// A face belongs to the words before.
	before := i - 1
	for before >= max(0, i-reach) && !p.lettersAt(before) && p.units[before].role == talked {
		before--
	}
	face := !p.lettersAt(i) && (p.lettersAt(before) || p.unit(before, minutesSense))
	if face && cur == nil && s.whole != "" || !p.lettersAt(i) && p.judged(i+1) && p.units[i+1].glued || // 👎wackelig
		settled && !p.lettersAt(i) && (cur.outcome != u.val && p.ends(i+1) || face && p.nextRef(i)) { // forgot 2 😬
		u.role = "talk"
		return
	}
	switch {
	case p.unit(i+1, colonSense) && p.nextRef(i) && cur != nil && cur.led:
		s.cur = -1
		s.hold(u.val)
	case u.sense == fineSense && cur == nil && !s.content() && !p.unit(i+1, colonSense) && p.refJudged(i): // okay number one fine
		u.role = "talk"
	case p.nextRef(i) && !p.inOwnLine(i) && (cur == nil || settled || p.clauseBegins(i) && !(p.divides(i-1) && p.namesItem(i-2) && !cur.led) || cur.led && (p.unit(i-1, andSense) || p.unit(i-2, andSense) && p.player(i-1) || u.val == skipped && cur.weak)):
		p.settleBefore(i)
		s.hold(u.val)
		s.leadWeak = weak || u.sense == fineSense && !p.unit(i+1, colonSense)
	case cur != nil && cur.excluded && !cur.settled && weak: // all but 4 played
	case cur != nil && cur.excluded && !cur.settled && u.val == clean && !s.wholeSettled():
		s.except = false
		s.begin(wholeDay, 0).outcome = clean
	case cur != nil && cur.settled && cur.outcome == u.val && !p.lettersAt(i):
		u.role = "talk"
	case cur != nil && cur.settled && cur.outcome == u.val && (cur.clause != s.clause && (u.sense == fineSense || u.val != done && !p.ends(i+1)) || p.inWords(i) || u.sense == fineSense && p.phrased(i) || p.saysWhy(i)): // 3 missed, too fast for me
		p.word(i)
	case cur != nil && cur.weak && cur.settled && u.val == skipped && cur.clause != s.clause && p.unit(i-1, unknown): // 1 and 2 done, al galope no llegué
		s.noItem = true
	case cur != nil:
		s.sorry = s.sorry || cur.settled && cur.outcome == u.val && p.ctx.Last != nil && p.phrased(i) // shaky, not clean
		if s.sum < 0 && s.cur > 0 && cur.items.only() != 0 && cur.outcome < 0 && p.unit(i-1, breakSense) && p.inPlural(i) {
			s.sumUp(maxItems)
		}
		p.settle(cur, u.val)
		p.settleAll(u.val)
	case p.opens(i) && p.senseOf(p.toks[p.tokenAt(u.start)].plain) == allSense && p.listedSo(): // one a line, and "alles gut gelaufen" under them
		p.settle(s.current(), u.val)
		p.settleAll(u.val)
	case p.opens(i) && s.lastUnjudged() != nil && p.tellsOfLast(i): // 3 at 88! clean!
		p.settle(s.lastUnjudged(), u.val)
		s.cur = len(s.says) - 1
	case (s.whole == All || s.noItem) && !s.allSaid && u.val == skipped: // ✅✅❌
		s.whole, s.noItem = "", true
	case (u.val == skipped || u.val == missed) && p.notPlayed(i): // wanted to do 4 but ran out of time
	case (u.val == skipped || u.val == missed) && p.unit(i+1, dateSense) && s.whole == "":
		s.whole = None
	case (u.val == skipped || u.val == missed && p.clauseBegins(i) && p.standsAlone(i)) && s.whole == "" && (!s.wordy || p.unit(i-1, andSense) || p.has(i-1, fillerSense, reasonFiller) || s.pain || s.doubt) && p.phrased(i) && !p.hasObject(i) && !p.unit(i+1, dateSense): // visitors all day, didn't practise
		s.whole, u.role = None, "the whole day"
	case s.whole == All && u.sense == outcomeSense && !weak, s.whole != "" && s.wholeClause == s.clause && !weak && s.allSaid:
		s.begin(wholeDay, 0).outcome = u.val
	default:
		p.looseOutcome(i, u.val, u.sense == outcomeSense && !weak)
	}
}

// inOwnLine reports whether what follows the outcome at unit i is a line of the item spoken of,
// and so where it went like that: "3 at 88, shaky in line 16".
func (p *parser) inOwnLine(i int) bool {
	cur := p.sheet.current()
	if !cur.named() || cur.bare() {
		return false
	}
	i = p.past(i+1, articleSense, inSense, onSense, atSense)
	return p.lineOf(cur, i)
}

// ofPart reports whether the outcome at unit i is that of a part of the item alone, as it
// stands in a clause after a comma that begins with something else: "3 at 88, the top notes
// crack", "3 clean, bars 9-12 fall apart".
func (p *parser) ofPart(i int) bool {
	cur := p.sheet.current()
	if cur.items.only() == 0 || cur.bare() {
		return false
	}
	first := i
	for end := i - reach; first > 0 && first > end && !p.ends(first-1); {
		first--
	}
	if !p.unit(first-1, breakSense) || p.unit(first, barSense) {
		return p.unit(first-1, breakSense) && first < i
	}
	if p.remarked(first) && (p.holds(first, onSense) || p.holds(first, articleSense)) && first == i-1 { // el final atropellado
		return true
	}
	if a := &p.units[first]; !p.unit(first, onSense) && !(p.unit(first, articleSense) && (a.val == definite || a.val == pluralArticle)) {
		return false
	}
	for k := first + 1; k < i; k++ {
		ofPart := p.unit(k, nthSense, lastSense, lineSense, keySense, numberSense, noteSense) || p.lineOf(cur, k)
		if !p.remarked(k) && !(ofPart && p.units[i].val != clean) && (k == first+1 || !p.unit(k, fillerSense, articleSense, inSense, onSense, ofSense)) {
			return false
		}
	}
	return i > first+1
}

// confesses reports whether the outcome at unit i is the verb of a clause of its own after a
// comma, which tells what the player does or what happens and where, and is a remark: "4 a 80,
// me trabo en el compás 12".
func (p *parser) confesses(i int) bool {
	cur, u := p.sheet.current(), &p.units[i]
	if cur.who != named || cur.bare() || u.val != shaky && u.val != missed || !p.unit(i-1, breakSense) || !p.phrased(i) {
		return false
	}
	m := p.meaningOf(p.toks[p.tokenAt(u.start)].plain)
	if m.sense != fillerSense || m.val != 3 && m.val != pronoun {
		return false
	}
	for k := i + 1; k < i+reach && !p.ends(k); k++ {
		if p.remarked(k) {
			return true
		}
	}
	return false
}

// settleBefore settles that the item named alone before a comma was done where "did", at
// unit i, begins another clause: "warmed up, did 2 at 88".
func (p *parser) settleBefore(i int) {
	if cur := p.sheet.current(); cur != nil && cur.bare() && p.unit(i-1, breakSense) && (p.unit(i, doneSense) || p.units[i].val == done) {
		p.settle(cur, done)
	}
}

// headsList reports whether a day and a colon follow unit i, and then an item, with minutes
// at most before it: "done today: 2 and 3".
func (p *parser) headsList(i int) bool {
	if !p.unit(i+1, dateSense) || !p.unit(i+2, colonSense) {
		return false
	}
	return p.nextRef(i+2) || p.unit(i+3, minutesSense) && p.nextRef(i+3)
}

// opens reports whether nothing but small words stands before unit i in its sentence, which
// is not the first: "3 at 88. It was clean."
func (p *parser) opens(i int) bool {
	for end := max(0, i-reach/2); i > end && (p.unit(i-1, fillerSense, andSense, weakKeySense) || p.unit(i-1, articleSense) && !p.determines(i-1)); {
		i-- // es war gut
	}
	return p.endsSentence(i - 1)
}

// tellsOfLast reports whether the outcome at unit i, with which a sentence begins, is that of
// the items named last: it stands alone in it, or goes on with where it was so. A word that is
// small talk too must be all of the sentence, and something else be said of the items:
// "3 at 88. Good."
func (p *parser) tellsOfLast(i int) bool {
	last := p.sheet.lastUnjudged()
	switch {
	case p.units[i].sense != outcomeSense && !p.unit(i-1, fillerSense) && !p.phrased(i):
		return p.lettersAt(i) && !last.empty() && (p.endsSentence(i+1) || i+1 == len(p.units))
	case p.standsAlone(i):
		return true
	}
	next := i + 1
	return p.unit(next, inSense, atSense, upToSense, fromSense, barSense, bothSense) || p.unit(next, articleSense) && p.phrased(next)
}

// refJudged reports whether the item named next after unit i has an outcome of its own.
func (p *parser) refJudged(i int) bool {
	for end := min(i+reach, len(p.units)-1); i < end; {
		if i++; p.namesItem(i) {
			return p.judged(i + 1)
		}
	}
	return false
}

// forgets reports whether what is left out by the outcome at unit i, or forgotten, is
// something of the player's own and no item: "forgot my keys", "hab mein Pult vergessen".
func (p *parser) forgets(i int) bool {
	own := p.unit(i+1, fillerSense, barSense) || p.ownAt(i+1)
	return (own || !p.phrased(i)) && p.hasObject(i) || p.remarked(i-1) && p.unit(i-2, fillerSense)
}

// ownAt reports whether unit i is a "my" that is a key too: "mi".
func (p *parser) ownAt(i int) bool {
	return p.unit(i, weakKeySense) && p.units[i].end-p.units[i].start > 1
}

// phrased reports whether unit i has several words: "didn't do", not "skipped".
func (p *parser) phrased(i int) bool {
	return strings.ContainsRune(p.text[p.units[i].start:p.units[i].end], ' ')
}

// holds reports whether a word of the given sense stands within the phrase at unit i.
func (p *parser) holds(i int, s sense) bool {
	return p.within(p.units[i].start, p.units[i].end, s)
}

// within reports whether a word of the given sense stands between two places of the text.
func (p *parser) within(start, end int, s sense) bool {
	return slices.ContainsFunc(p.tokens(start, end), func(t token) bool { return p.senseOf(t.plain) == s })
}

// tokens returns the tokens between two places of the text.
func (p *parser) tokens(start, end int) []token {
	from := p.tokenAt(start)
	to := from
	for to < len(p.toks) && p.toks[to].start < end {
		to++
	}
	return p.toks[from:to]
}

// tokenAt returns the index of the first token that begins at a place of the text or after it.
func (p *parser) tokenAt(start int) int {
	i, _ := slices.BinarySearchFunc(p.toks, start, func(t token, start int) int { return t.start - start })
	return i
}

// deniedBy returns the outcome that the phrase at unit i denies, as "not clean" does, or
// -1 if it denies none.
func (p *parser) deniedBy(i int) int {
	u := &p.units[i]
	if !p.phrased(i) {
		return -1
	}
	k, ok := slices.BinarySearchFunc(p.toks, u.end, func(t token, end int) int { return t.end - end })
	if !ok {
		return -1
	}
	m := p.meaningOf(p.toks[k].plain)
	if m.sense != outcomeSense && m.sense != fineSense || int(m.val) == u.val {
		return -1
	}
	return int(m.val)
}

// lastWas reports whether the items were all last read to have had the outcome.
func (p *parser) lastWas(items itemSet, outcome int) bool {
	if p.ctx.Last == nil {
		return false
	}
	for _, item := range p.ctx.Last.Items {
		if item.Outcome == outcomes[outcome] {
			items &^= 1 << item.N
		}
	}
	return items == 0
}

// settle gives a saying an outcome. Two that differ are a clash; "done" gives
// way to any other.
func (p *parser) settle(cur *saying, outcome int) {
	weak := outcome == done
	cur.clause, cur.settled = p.sheet.clause, true
	switch {
	case cur.outcome < 0 || cur.weak || !weak && p.sheet.mend():
		cur.outcome, cur.weak = outcome, weak
	case !weak && cur.outcome != outcome:
		cur.other2 = outcome + 1
	}
}

// likewise gives the items spoken of, or those that follow, the outcome of those before: "1
// clean, 2 too", "2 clean, same for 3".
func (p *parser) likewise(i int) {
	s := &p.sheet
	if cur := s.current(); cur != nil && s.cur > 0 && cur.outcome < 0 && s.says[s.cur-1].outcome >= 0 {
		p.settle(cur, s.says[s.cur-1].outcome)
		p.units[i].role = "outcome"
	} else if judged, _ := p.saidNext(i); cur != nil && cur.settled && p.nextRef(i) && !judged { // 2 clean, same for 3
		s.hold(cur.outcome)
		p.units[i].role = "outcome"
	}
}

// thanked reports whether the face at unit i has nothing but words of thanks or "ok" beside it.
func (p *parser) thanked(i int) bool {
	words := false
	for j := max(0, i-reach); j < min(len(p.units), i+reach); j++ {
		switch {
		case p.unit(j, fineSense) && p.lettersAt(j) && !p.phrased(j), p.unit(j, chatSense) && p.lettersAt(j):
			words = true
		case j != i && matters(p.units[j].sense):
			return false
		}
	}
	return words
}

// settleAll gives the outcome to the sayings that "both" or "all" sums up.
func (p *parser) settleAll(outcome int) {
	s := &p.sheet
	for i := s.sum; i < len(s.says)-1 && s.sum >= 0; i++ {
		if y := &s.says[i]; y.unjudged() {
			p.settle(y, outcome)
		}
	}
	s.sum = -1
}

// lastUnjudged returns the last saying if it is the only one that names items and says
// not how they went, or nil.
func (s *sheet) lastUnjudged() *saying {
	n := len(s.says)
	if n > 1 && s.says[n-2].unjudged() || n == 0 || !s.says[n-1].unjudged() {
		return nil
	}
	return &s.says[n-1]
}

// unjudged reports whether the saying names items and says not how they went.
func (s *saying) unjudged() bool {
	return s.who == named && !s.vague && (s.outcome < 0 || s.weak)
}

// looseOutcome notes an outcome said of nothing, at unit i.
func (p *parser) looseOutcome(i, outcome int, strong bool) {
	s := &p.sheet
	if p.ofStranger(i) {
		s.noItem = true
		return
	}
	if was := s.loose.outcome; was >= 0 && was != done && outcome != done && was != outcome {
		s.noItem = true
	}
	if s.loose.outcome < 0 || s.loose.outcome == done {
		s.loose.outcome, s.loose.wordy = outcome, s.wordy
	}
	s.strong = s.strong || strong
}

// ofStranger reports whether the outcome at unit i ends a clause of a word that is not
// understood and a tempo some item can have: "the bolero 98 clean".
func (p *parser) ofStranger(i int) bool {
	n := p.back(i-1, fillerSense)
	return p.unit(n, numSense) && p.units[n].x >= leastBPM && p.nearest(p.units[n]) != 0 && p.unit(n-1, unknown) && p.clauseBegins(p.head(n-1))
}

// wholeDone reads "done", said of the items spoken of or else of all.
func (p *parser) wholeDone(i int) {
	s, u := &p.sheet, &p.units[i]
	cur, said := s.current(), done
	if u.val == allWell {
		said = clean
	}
	switch {
	case u.val == 1 && p.unit(i-1, dateSense) && p.unit(i+1, breakSense) && p.unit(i+2, minutesSense), // hoy sí, 20 minutos
		!p.lettersAt(i) && (p.judged(i+1) && p.units[i+1].glued || p.thanked(i)): // 👍sauber, ok 👍
		u.role = talked
	case cur != nil && !cur.settled && (cur.excluded || cur.led && s.leadNot && cur.clause == s.clause): // all but 3 done, neither 1 nor 2 done
		u.role = "the whole day"
	case u.val == allWell && cur != nil && cur.unjudged() && s.cur > 0 && s.says[s.cur-1].unjudged() && s.says[s.cur-1].sentence == s.sentence: // 1 a 80, 2 a 96, todo limpio
		s.sumUp(maxItems)
		p.settle(cur, clean)
		p.settleAll(clean)
		u.role = namedRole
	case cur != nil && cur.outcome < 0 && cur.clause == s.clause:
		p.settle(cur, said)
		p.settleAll(said)
		u.role = "outcome"
	case cur == nil && p.unit(i+1, countSense) && len(s.says) > 0 && s.says[len(s.says)-1].who == named && s.says[len(s.says)-1].count.sense == unknown: // 3 clean. did it twice
		s.cur, u.role = len(s.says)-1, "small word"
	case p.nextRef(i) && !(p.unit(i+1, restSense) && p.unit(i+2, doneSense)) && !(p.holds(i, allSense) && p.unit(i+1, articleSense, fillerSense, butSense) && p.nextJudged(i)), p.headsList(i):
		p.settleBefore(i)
		s.hold(done)
		u.role = "outcome"
	case cur != nil && cur.who != wholeDay && s.whole == "" && cur.outcome != skipped && !(p.phrased(i) && p.unit(i-1, breakSense)): // 3 at 104, tout fait
		p.settle(cur, said)
		u.role = "outcome"
	case p.ofOther(i):
		p.word(i)
	case s.further && p.unit(i-1, minutesSense), // another 10 min done
		u.val == managed && p.minutesNext(i), // j'ai fait 40 min
		(p.unit(i-1, minutesSense) || p.unit(i-1, fillerSense) && p.unit(i-2, minutesSense)) && !p.phrased(i) && u.val == managed: // 25 min (brav) geschafft
	case u.val == 1 && (p.agrees || len(s.says) > 0 && p.opens(i)): // 1 at 70. 👍
		u.role = talked
	default:
		if s.whole == "" {
			s.whole, s.yes = All, u.val == 1
		}
		s.cur, s.lead, u.role = -1, -1, "the whole day"
	}
}

// nextJudged reports whether it is said how the item that comes next after unit i went: "did it
// all though 4 was shaky".
func (p *parser) nextJudged(i int) bool {
	for end := i + reach; i < end && !p.namesItem(i); {
		i++
	}
	return p.nextOutcome(i)
}

// onlyAgrees reports whether the message says nothing for the log beside a "yes", but something
// else: "yes, see you then", "ja, machen wir so", but not "yes, miss".
func (p *parser) onlyAgrees() bool {
	talk, strange := false, 0
	for i := range p.units {
		switch u := &p.units[i]; {
		case u.sense == doneSense && u.val == 1, u.sense == fineSense:
		case reports(u.sense), u.sense == quoteSense:
			return false
		case u.sense == asideSense, u.sense == chatSense && p.lettersAt(i) && u.val != greeting, u.sense == youSense, u.sense == laterSense:
			talk = true
		case p.remarked(i):
			strange++
		}
	}
	return talk || strange > 1
}
