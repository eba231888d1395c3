package reply

// reach is how many units away a word may be and still have to do with another.
// It keeps the time of reading in line with the length of the message.
const reach = 8

// Indices of outcomes.
const (
	clean = iota
	shaky
	missed
	skipped
	done
)

// scan reads the units of one day into the sheet, from left to right.
func (p *parser) scan(part dayPart) {
	p.sheet.clear()
	p.sheet.badDay = part.unsure
	for i := part.from; i < part.to; i++ {
		p.take(i)
	}
}

// take reads one unit. What it does with it is kept as the unit's role.
func (p *parser) take(i int) {
	u := &p.units[i]
	switch u.sense {
	case unknown, plainSense:
		p.word(i)
	case itemsSense:
		p.refer(i)
	case numSense:
		p.bareNumber(i)
	case rangeSense:
		p.bareRange(i)
	case outcomeSense, fineSense:
		p.outcome(i)
	case doneSense:
		p.wholeDone(i)
	case allSense, bothSense:
		p.all(i)
	case noneSense, noSense:
		p.none(i)
	case partlySense, halfSense:
		p.partly(i)
	case othersSense:
		p.others(i)
	case restSense:
		p.rest(i)
	case tempoSense:
		p.setTempo(*u)
	case minutesSense:
		p.minutes(i)
	case countSense:
		p.setCount(*u)
	case partSense:
		p.part(i)
	case quoteSense:
		p.quote(i)
	case breakSense, stopSense, querySense, colonSense, signSense:
		p.punctuate(i)
	case orSense:
		p.sheet.wordy = true
	case aboutSense, fromSense:
		p.vaguely(i)
	case butSense, exceptSense, onlySense:
		p.limit(i)
	case excuseSense:
		p.excuse(i)
	case chatSense, youSense:
		p.sheet.wordy = true
	case numberSense, oneSense:
		p.numberWord(i)
	case weakKeySense:
		p.sheet.wordy = true
		if c := p.text[u.start]; u.end-u.start == 1 && c < 'a' {
			p.word(i)
		}
	case bodySense, tongueSense, barSense, keySense, minorKeySense, majorKeySense, majorSense, minorSense, nthSense, lastSense, noteSense,
		dottedSense, bpmSense, timesSense, minuteSense, hourSense, itemSense, lineSense, studySense, monthSense,
		ordinalSense, agoSense, ishSense, upToSense:
		p.word(i)
	case feelSense, painSense, doubtSense, goneSense, jokeSense:
		p.body(i)
	case sorrySense, undoSense, notSense, insteadSense:
		p.correct(i)
	}
}

// excuse reads why nothing was played, unless it is denied or only talked about.
func (p *parser) excuse(i int) {
	s, u := &p.sheet, &p.units[i]
	before := i - 1
	for before > i-3 && (p.unit(before, articleSense) || p.unit(before, fillerSense)) {
		before--
	}
	if p.unit(before, noSense) || p.unit(before, notSense) || u.chatty {
		u.role = "talk"
		return
	}
	s.excuse, s.content, u.role = excuses[u.val], true, "excused"
}

// vaguely reads "more or less" said of how an item went, and a word like "about"
// in the middle of others.
func (p *parser) vaguely(i int) {
	cur := p.sheet.current()
	switch {
	case cur != nil && p.inWords(i):
		p.word(i)
	case cur != nil && cur.bare() && p.ends(i+1):
		p.settle(cur, shaky, false)
		p.units[i].role = "outcome"
	}
}

// nextRef reports whether the next thing after unit i that matters names items.
func (p *parser) nextRef(i int) bool {
	for end := min(i+reach, len(p.units)-1); i < end; {
		i++
		switch u := &p.units[i]; u.sense {
		case articleSense, fillerSense, colonSense, bothSense, forSense, onSense, atSense, inSense, ofSense:
		case itemsSense, othersSense, restSense, allSense, rangeSense:
			return true
		case numSense:
			return p.isItem(u.x) && !p.bar(i+1)
		default:
			return false
		}
	}
	return false
}

// nextOutcome reports whether the next thing after unit i that matters is an
// outcome.
func (p *parser) nextOutcome(i int) bool {
	for end := min(i+reach, len(p.units)-1); i < end; {
		i++
		switch p.units[i].sense {
		case articleSense, fillerSense, colonSense, ofSense, onSense:
		case outcomeSense, fineSense, doneSense:
			return true
		default:
			return false
		}
	}
	return false
}

// unit reports whether the i-th unit has the given sense.
func (p *parser) unit(i int, s sense) bool {
	return i >= 0 && i < len(p.units) && p.units[i].sense == s
}

func (p *parser) isItem(x float64) bool { return x == float64(int(x)) && p.item(int(x)) != nil }

// refer starts a saying about the items that unit i names, or adds them to the
// one just begun.
func (p *parser) refer(i int) {
	u := p.units[i]
	if u.val != byNumber {
		if p.inRemark(i) || p.repeated(i) {
			p.word(i)
			return
		}
	}
	if u.items == 0 {
		p.missing(i)
		return
	}
	p.freeLead(i)
	p.about(i, u.items, !u.several && u.val != byNumber && u.items.only() == 0)
	p.units[i].role = "item"
}

// freeLead lets go of the outcome held for items that follow, once items have
// followed and those at unit i have one of their own: "skipped 2, 3 clean".
func (p *parser) freeLead(i int) {
	s := &p.sheet
	for end := min(i+reach, len(p.units)-1); i < end; {
		i++
		switch p.units[i].sense {
		case articleSense, fillerSense, colonSense, ofSense, onSense:
		case outcomeSense, fineSense, doneSense:
			if !s.leadNew && !p.nextRef(i) {
				s.lead = -1
			}
			return
		default:
			return
		}
	}
}

// repeated reports whether a name at unit i only speaks on about the items
// spoken of: "3 clean, attacks a little hard".
func (p *parser) repeated(i int) bool {
	cur, u := p.sheet.current(), &p.units[i]
	return cur != nil && cur.who == named && cur.outcome >= 0 && u.items != 0 && cur.items&u.items == u.items &&
		!p.nextOutcome(i) && !p.ends(i+1)
}

// inRemark reports whether a name at unit i is only part of a remark on the item
// spoken of: nothing is said of it that is said of items, and words that weren't
// understood or "but" stand right before it.
func (p *parser) inRemark(i int) bool {
	cur := p.sheet.current()
	if cur == nil || p.nextOutcome(i) || p.unit(i+1, tempoSense) || p.unit(i+1, numSense) || p.unit(i+1, countSense) {
		return false
	}
	for j := i - 1; j >= 0 && j >= i-reach; j-- {
		switch p.units[j].sense {
		case articleSense, fillerSense, ofSense, inSense, onSense:
		case unknown, plainSense, bodySense, barSense, thanSense:
			return true
		case butSense:
			return cur.outcome >= 0 && !p.ends(i+1)
		default:
			return false
		}
	}
	return false
}

// missing notes that an item was named that the routine does not have.
func (p *parser) missing(i int) {
	if p.sheet.current() != nil && (!p.nextOutcome(i) && !p.clauseBegins(i) || p.afterBut(i)) {
		p.word(i)
		return
	}
	p.sheet.noItem, p.sheet.content, p.sheet.cur = true, true, -1
	p.units[i].role = "no such item"
	p.skipRest(i)
}

// afterBut reports whether "but" stands before unit i, with an article at most
// between.
func (p *parser) afterBut(i int) bool {
	return p.unit(i-1, butSense) || p.unit(i-2, butSense) && (p.unit(i-1, articleSense) || p.unit(i-1, onSense))
}

// about makes items the ones that words are added to.
func (p *parser) about(i int, items itemSet, vague bool) {
	s := &p.sheet
	cur := s.current()
	joins := cur != nil && cur.who == named && !vague && !cur.vague && cur.excluded == s.except &&
		(cur.bare() || cur.led && !cur.settled && cur.empty() && s.lead >= 0 && !s.leadNew)
	if joins && cur.sentence == s.sentence {
		cur.items |= items
		cur.clause = s.clause
		return
	}
	now := s.begin(named, items)
	now.vague, now.only = vague, s.only
	now.wordy, now.painful = s.wordy, p.units[i].painful
}

// clauseBegins reports whether unit i is the first of its clause that matters.
func (p *parser) clauseBegins(i int) bool {
	for end := max(0, i-reach); i > end; {
		i--
		switch p.units[i].sense {
		case articleSense, fillerSense, sorrySense, dateSense, andSense, onSense, noSense, laterSense:
		case breakSense, stopSense, querySense, butSense:
			return true
		case colonSense:
			return !p.unit(i-1, numSense) && !p.unit(i-1, itemsSense) && !p.unit(i-1, rangeSense)
		default:
			return false
		}
	}
	return true
}

// outcome gives the items spoken of an outcome, or holds it for those that
// follow.
func (p *parser) outcome(i int) {
	s, u := &p.sheet, &p.units[i]
	u.role = "outcome"
	weak := u.val == done
	cur := s.current()
	settled := cur != nil && (cur.outcome >= 0 && !cur.weak || cur.settled)
	switch {
	case p.nextRef(i) && (cur == nil || settled || p.clauseBegins(i)):
		s.hold(u.val)
	case cur != nil && cur.settled && cur.outcome == u.val && (cur.clause != s.clause || p.inWords(i)) && u.sense == fineSense:
		p.word(i)
	case cur != nil:
		p.settle(cur, u.val, weak)
		p.settleAll(u.val, weak)
	case s.whole != "" && u.sense == outcomeSense && !weak, s.whole != "" && s.wholeClause == s.clause && !weak && s.allSaid:
		s.begin(wholeDay, 0).outcome = u.val
	default:
		p.looseOutcome(u.val, u.sense == outcomeSense && !weak)
	}
}

// settle gives a saying an outcome. Two that differ are a clash; "done" gives
// way to any other.
func (p *parser) settle(cur *saying, outcome int, weak bool) {
	cur.clause, cur.settled = p.sheet.clause, true
	switch {
	case cur.outcome < 0 || cur.weak:
		cur.outcome, cur.weak = outcome, weak
	case !weak && cur.outcome != outcome:
		cur.clash, cur.other2 = true, outcome+1
	}
}

// settleAll gives the outcome to the sayings that "both" or "all" sums up.
func (p *parser) settleAll(outcome int, weak bool) {
	s := &p.sheet
	for i := s.sum; i < len(s.says)-1 && s.sum >= 0; i++ {
		if y := &s.says[i]; y.who == named && y.outcome < 0 {
			p.settle(y, outcome, weak)
		}
	}
	s.sum = -1
}

// looseOutcome notes an outcome said of nothing.
func (p *parser) looseOutcome(outcome int, strong bool) {
	s := &p.sheet
	if s.loose.outcome < 0 {
		s.loose.outcome, s.loose.wordy = outcome, s.wordy
	}
	s.strong = s.strong || strong
}

// wholeDone reads "done", said of the items spoken of or else of all.
func (p *parser) wholeDone(i int) {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	switch {
	case cur != nil && cur.outcome < 0 && cur.clause == s.clause:
		p.settle(cur, done, true)
		u.role = "outcome"
	case p.nextRef(i) && !p.nextRest(i):
		s.hold(done)
		u.role = "outcome"
	case cur != nil && cur.who != wholeDay && s.whole == "":
		p.settle(cur, done, true)
		u.role = "outcome"
	default:
		if s.whole == "" {
			s.whole = All
		}
		s.content, u.role = true, "the whole day"
	}
}

func (p *parser) nextRest(i int) bool { return p.unit(i+1, restSense) && p.unit(i+2, doneSense) }

// all reads "all", "both": the whole day, unless it sums up items just named.
func (p *parser) all(i int) {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	sumsUp := cur != nil && cur.who == named && (cur.outcome < 0 || cur.weak) && (cur.items.only() == 0 || s.cur > 0)
	switch {
	case sumsUp && p.nextOutcome(i):
		u.role = "the items named"
		s.sum = 0
		if u.sense == bothSense {
			s.sum = max(0, s.cur-1)
		}
		return
	case u.sense == bothSense && (p.count() != 2 || p.nextRef(i)), p.nextName(i):
		return
	}
	u.role, s.content = "the whole day", true
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

// nextName reports whether a name follows unit i: "all the slurs".
func (p *parser) nextName(i int) bool {
	i++
	of := false
	for p.unit(i, articleSense) || p.unit(i, ofSense) {
		of = of || p.unit(i, ofSense)
		i++
	}
	return p.unit(i, itemsSense) || of && p.unit(i, numSense) && p.isItem(p.units[i].x)
}

// none reads "nothing" and "no": of the item spoken of, or of the whole day.
func (p *parser) none(i int) {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	switch {
	case p.deniesPain(i) || u.sense == noneSense && p.unit(i-1, jokeSense):
		u.role = "not"
	case u.sense == noSense && p.wrongAfter(i):
		p.deny(i)
	case u.sense == noSense && p.ctx.Last != nil && p.clauseBegins(i) && i+2 < len(p.units):
		s.sorry, s.sorryAt, u.role = true, true, "correction"
	case cur != nil && cur.outcome < 0 && cur.clause == s.clause && (u.sense != noSense || p.noEnds(i)):
		p.settle(cur, skipped, false)
		u.role = "outcome"
	case u.sense == noSense && p.unit(i+1, restSense) && cur == nil:
		u.role = "talk"
	case p.nextRef(i) && u.sense == noSense:
		s.hold(skipped)
		u.role = "outcome"
	case u.sense == noSense && (cur != nil || !p.standsAlone(i)):
		p.word(i)
	default:
		s.whole, s.content, u.role = None, true, "the whole day"
		s.softNo = u.sense == noSense
	}
}

// noEnds reports whether "no" at unit i is all that is said of an item.
func (p *parser) noEnds(i int) bool {
	return p.ends(i+1) || p.unit(i+1, numSense) || p.unit(i+1, itemsSense) || p.unit(i+1, othersSense) || p.unit(i+1, restSense)
}

// wrongAfter reports whether a value like one that was said follows unit i.
func (p *parser) wrongAfter(i int) bool {
	switch p.units[min(i+1, len(p.units)-1)].sense {
	case numSense, tempoSense, minutesSense:
		return p.sheet.content && p.differs(&p.units[i+1])
	}
	return false
}

// standsAlone reports whether no word that matters follows unit i in its clause.
func (p *parser) standsAlone(i int) bool {
	for end := min(i+reach, len(p.units)-1); i < end; {
		i++
		switch p.units[i].sense {
		case fillerSense, articleSense, dateSense, sorrySense, chatSense:
		case breakSense, stopSense, querySense, colonSense:
			return true
		default:
			return false
		}
	}
	return true
}

// deniesPain reports whether the word at unit i says that there is no pain.
func (p *parser) deniesPain(i int) bool {
	for j := i + 1; j < len(p.units) && j <= i+4; j++ {
		switch p.units[j].sense {
		case painSense, doubtSense, feelSense:
			return true
		case breakSense, stopSense, querySense, signSense, numSense, itemsSense:
			return false
		}
	}
	return false
}

// partly reads "half", "some of it".
func (p *parser) partly(i int) {
	s, u := &p.sheet, &p.units[i]
	switch cur := s.current(); {
	case cur != nil && cur.who == named && cur.bare():
		p.part(i)
		return
	case cur != nil || p.nextRef(i) || !p.partEnds(i):
		p.word(i)
		return
	}
	s.whole, s.content, u.role = Partly, true, "part of the day"
	s.cur = -1
}

// partEnds reports whether nothing follows unit i that "some" or "a little" may
// be said of.
func (p *parser) partEnds(i int) bool {
	switch {
	case p.bodily(i):
		return false
	case p.unit(i+1, unknown), p.unit(i+1, plainSense), p.unit(i+1, painSense), p.unit(i+1, doubtSense), p.unit(i+1, bodySense):
		return false
	}
	return true
}

// others reads "the rest", "everything else".
func (p *parser) others(i int) {
	if cur := p.sheet.current(); cur != nil && (p.unit(i+1, unknown) || p.unit(i+1, plainSense)) {
		p.word(i)
		return
	}
	p.freeLead(i)
	p.sheet.begin(theRest, 0)
	p.units[i].role = "the other items"
}

// rest reads "rest": the others if items are named or an outcome follows, else a
// day of rest.
func (p *parser) rest(i int) {
	if p.sheet.lead >= 0 || len(p.sheet.says) > 0 || p.nextOutcome(i) || p.unit(i+1, numSense) {
		p.others(i)
		return
	}
	p.sheet.rest = true
	p.units[i].role = "excused"
}

// part reads "first half only" and keeps it as a remark.
func (p *parser) part(i int) {
	cur := p.sheet.current()
	if cur == nil || cur.who != named {
		p.partly(i)
		return
	}
	cur.part = true
	p.remark(i)
}

// quote reads ⟦…⟧ as the remark of the item spoken of.
func (p *parser) quote(i int) {
	if p.unit(i-1, unclearSense) {
		p.sheet.unclear = append(p.sheet.unclear, p.text[p.units[i].start:p.units[i].end])
		p.sheet.content, p.units[i].role = true, "to be asked"
		return
	}
	if cur := p.sheet.current(); cur != nil {
		cur.remark, cur.quoted = span{p.units[i].start, p.units[i].end}, true
		p.units[i].role = "remark"
	}
}

// punctuate reads signs: they end clauses, sentences and what was held open in
// them.
func (p *parser) punctuate(i int) {
	s, u := &p.sheet, &p.units[i]
	switch u.sense {
	case breakSense:
		if rune(u.val) == '(' || rune(u.val) == ')' {
			return
		}
	case colonSense, signSense:
		cur := s.current()
		if u.sense == colonSense || rune(u.val) != '/' && rune(u.val) != '-' || u.glued || cur != nil && cur.bare() {
			return
		}
	case stopSense, querySense:
		s.sentence++
		s.except, s.only = false, s.only && len(s.says) == 0
		s.lead = -1
		if cur := s.current(); cur != nil && rune(u.val) != ellipsis {
			s.cur = -1
		}
	}
	s.clause++
	s.wordy = false
}

// numberWord reads a number written as a word that isn't part of anything. "Only
// two" is two items, but which?
func (p *parser) numberWord(i int) {
	s := &p.sheet
	alone := s.current() == nil && p.ends(i+1) && (p.unit(i-1, onlySense) || p.unit(i-1, outcomeSense) || p.unit(i-1, doneSense))
	if alone && !s.wordy {
		s.noItem, s.content, p.units[i].role = true, true, "some items"
		return
	}
	if p.units[i].sense == numberSense {
		p.word(i)
	}
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
	case s.whole != "" && p.nextRef(i):
		s.except, s.filled, u.role = true, true, "except"
		s.cur, s.lead = -1, -1
	case s.whole != "" && p.exceptsUnknown(i):
		s.whole, s.noItem, u.role = Partly, true, "except"
	case u.sense == exceptSense && p.nextRef(i):
		s.hold(skipped)
		u.role = "outcome"
	case u.sense == exceptSense && !p.deniesPain(i):
		p.word(i)
	}
}

// onlyThese reads "only": of the items that follow or were named, or of a part of
// the item spoken of.
func (p *parser) onlyThese(i int) {
	s := &p.sheet
	cur := s.current()
	switch {
	case cur != nil && cur.who == named && (p.inWords(i) || p.place(i+1) || p.unit(i+1, articleSense) && p.place(i+2)):
		p.part(i)
	case s.whole == All && len(s.says) == 0:
	case p.nextRef(i) || p.outcomeThenRef(i) || len(s.says) > 0 && p.standsAlone(i):
		s.only, s.filled, p.units[i].role = true, true, "only"
		s.lead = -1
	}
}

// place reports whether unit i begins the name of a part of an item.
func (p *parser) place(i int) bool {
	return p.unit(i, nthSense) || p.unit(i, lastSense) || p.unit(i, barSense)
}

// exceptsUnknown reports whether what unit i leaves out is there but can't be
// told: "all but one".
func (p *parser) exceptsUnknown(i int) bool {
	if p.units[i].sense == exceptSense {
		return !p.ends(i+1) && !p.deniesPain(i) && !p.outcomeFollows(i)
	}
	return p.unit(i+1, oneSense) || p.unit(i+1, numberSense)
}

// outcomeFollows reports whether an outcome or an item follows unit i at once.
func (p *parser) outcomeFollows(i int) bool { return p.nextOutcome(i) || p.nextRef(i) }

// outcomeThenRef reports whether "did 1" follows unit i.
func (p *parser) outcomeThenRef(i int) bool {
	for end := min(i+reach, len(p.units)-1); i < end; {
		i++
		switch u := &p.units[i]; u.sense {
		case fillerSense, articleSense:
		case outcomeSense, doneSense:
			return (u.val == done || u.sense == doneSense) && p.nextRef(i)
		default:
			return false
		}
	}
	return false
}

// body reads how the player is: feel and pain.
func (p *parser) body(i int) {
	s, u := &p.sheet, &p.units[i]
	switch {
	case u.sense == goneSense:
		s.gone, s.content, u.role = true, true, "pain gone"
	case u.sense == jokeSense:
		p.word(i)
	case p.denied(i):
		u.role = "denied"
	case u.sense == feelSense:
		s.feel, s.content, u.role = feels[u.val], true, "feel"
	case u.sense == doubtSense || u.typo && p.farFetched(i):
		s.doubt, s.content, u.role = true, true, "pain?"
	default:
		s.pain, s.content, u.role = true, true, "pain"
	}
}

// farFetched reports whether a misspelled word of pain begins with another
// letter than what it is taken for, so that it had better be asked about.
func (p *parser) farFetched(i int) bool {
	first := p.text[p.units[i].start]
	return first != 'p' && first != 'P' && p.units[i].end-p.units[i].start < 6
}

// denied reports whether "no", "not", "nothing" or "without" stands before unit
// i in its clause, four units back at most.
func (p *parser) denied(i int) bool {
	for j := i - 1; j >= 0 && j >= i-4; j-- {
		switch p.units[j].sense {
		case noSense, notSense, noneSense, exceptSense:
			return true
		case breakSense, stopSense, querySense, signSense, itemsSense, numSense, outcomeSense, butSense:
			return false
		}
	}
	return false
}

// correct reads the words of correction.
func (p *parser) correct(i int) {
	s, u := &p.sheet, &p.units[i]
	switch u.sense {
	case undoSense:
		s.undo, s.content, u.role = true, true, "undo"
		return
	case sorrySense:
		s.sorryAt = s.sorryAt || !s.content
		s.sure = s.sure || u.val > 0
		s.sorry, u.role = true, "correction"
		return
	}
	p.deny(i)
}

// deny reads "not" before a value: what is said there was wrong.
func (p *parser) deny(i int) {
	s := &p.sheet
	j := i + 1
	for j < i+reach && (p.unit(j, fillerSense) || p.unit(j, articleSense) || p.unit(j, atSense)) {
		j++
	}
	if p.deniesPain(i) {
		return
	}
	if p.ends(j) {
		p.denyItem(i)
		return
	}
	v := &p.units[j]
	if cur := s.current(); cur != nil && cur.led && !s.sorry && cur.outcome == skipped && (v.sense == itemsSense || v.sense == numSense && p.isItem(v.x)) {
		v.sense, v.role = asideSense, "not left out"
		return
	}
	said := s.content || s.loose.tempo.sense != unknown
	switch v.sense {
	case numSense, tempoSense, minutesSense, itemsSense:
		if said && p.differs(v) || p.unit(j+1, butSense) && v.sense != itemsSense && !p.isItem(v.x) {
			s.wrong, s.sorry, s.sorryAt = *v, true, true
			v.sense, v.role = asideSense, "what was wrong"
		} else if v.sense == itemsSense || v.sense == numSense && p.isItem(v.x) {
			s.hold(skipped)
		}
	case outcomeSense, fineSense:
		p.denyOutcome(j)
	case doneSense, allSense:
		p.denyDone(j)
	default:
		p.word(i)
	}
}

// denyItem reads "not" with nothing after it: the item spoken of was left out.
func (p *parser) denyItem(i int) {
	cur := p.sheet.current()
	if cur == nil || !cur.bare() || cur.clause != p.sheet.clause {
		p.word(i)
		return
	}
	p.settle(cur, skipped, false)
	p.units[i].role = "outcome"
}

// differs reports whether the value is of a kind that was said before "not".
func (p *parser) differs(v *mark) bool {
	s := &p.sheet
	cur := s.current()
	switch {
	case v.sense == itemsSense || v.sense == numSense && p.isItem(v.x):
		return s.sorry && cur != nil
	case cur != nil:
		return cur.tempo.sense != unknown || cur.minutes > 0
	}
	return s.minutes > 0 || s.loose.tempo.sense != unknown || s.unsure > 0
}

// denyOutcome reads "not" before an outcome: the other one if none was said, or
// what was wrong.
func (p *parser) denyOutcome(j int) {
	s, v := &p.sheet, &p.units[j]
	cur := s.current()
	if cur != nil && cur.outcome >= 0 && !cur.weak {
		v.sense, v.role = asideSense, "what was wrong"
		return
	}
	if v.val == clean {
		v.val, v.sense = shaky, outcomeSense
	} else if v.val == done {
		v.val = skipped
	} else {
		v.sense, v.role = asideSense, "denied"
	}
}

// denyDone reads "not done", "not all".
func (p *parser) denyDone(j int) {
	v := &p.units[j]
	switch {
	case v.sense == allSense:
		v.sense = partlySense
	case p.sheet.current() != nil:
		v.sense, v.val = outcomeSense, skipped
	default:
		v.sense = noneSense
	}
}
