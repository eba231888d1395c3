package reply

import "ledgerline/routine"

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
	if u.val == lastOfDay {
		p.sheet.only, p.sheet.filled = true, routine.Skipped
	}
	if cur := p.sheet.current(); cur.named() && cur.bare() && u.val != byNumber && p.unit(i-1, numSense) && cur.items == u.items && cur.items.only() == int(p.units[i-1].x) { // 7 Chain Ferry
		p.units[i].role = "item"
		return
	}
	if u.items == 0 || u.val == nameOfBook && p.onlyNamed(i) { // spilled tea on the Slur Atlas
		p.missing(i)
		return
	}
	one := p.has(i-1, articleSense, oneOfThem)
	both := p.unit(i-1, notSense) || p.after(i, bothSense) && u.items.count() == 2 // neither etude, both etudes
	p.about(i, u.items, u.items.only() == 0 && (one || !u.several && u.val != byNumber && !both))
	p.units[i].role = "item"
	if u.val == lastOfDay && !p.unit(i+1, tempoSense) && !p.nextOutcome(i) { // stopped after 2 because dinner was ready
		p.sheet.cur = -1
	}
}

// repeated reports whether a name at unit i only speaks on about the items
// spoken of: "3 clean, attacks a little hard".
func (p *parser) repeated(i int) bool {
	cur, u := p.sheet.current(), &p.units[i]
	if !cur.named() {
		return false
	}
	own := (u.val == nameOfSkill || u.val == nameOfLine || u.val == nameOfKey) && cur.items&^u.items == 0 && !cur.bare() && !cur.listing()
	return (own || (cur.outcome >= 0 || cur.part) && u.items != 0 && cur.items&u.items == u.items) &&
		!p.nextOutcome(i) && (!p.ends(i+1) && !(p.valued(i+1) && cur.items != u.items) || p.lineOf(cur, i))
}

// inRemark reports whether a name at unit i is only part of a remark on the item
// spoken of: nothing is said of it that is said of items, and words that weren't
// understood or "but" stand right before it.
func (p *parser) inRemark(i int) bool {
	cur := p.sheet.current()
	next := p.past(i+1, articleSense, fillerSense)
	if cur == nil || p.nextOutcome(i) || p.unit(next, tempoSense, numSense, countSense) {
		return false
	}
	if p.units[i].val == nameOfKey && !cur.bare() && p.after(i, breakSense) && p.head(i) < i && !p.units[i].firm && (p.remarked(next) || next > i+1 && p.ends(next)) { // 3 shaky, the E flat is late
		return true
	}
	for j := i - 1; j >= 0 && j >= i-reach; j-- {
		if p.unit(j, articleSense) && p.parts(j) { // because of the slurs
			return true
		}
		switch p.units[j].sense {
		case articleSense, fillerSense, ofSense, inSense, onSense, aboutSense:
		case outcomeSense, fineSense: // 5 shaky in the slurs
			return p.units[i].val == nameOfSkill && cur.settled && (p.before(i, inSense, aboutSense) || p.unit(i-1, articleSense) && p.holds(i-1, inSense))
		case unknown, plainSense, bodySense, barSense, thanSense:
			return true
		case lastSense, nthSense: // 2 shaky on the last slur
			return cur.settled && p.before(i, onSense, inSense, atSense)
		case butSense:
			return cur.outcome >= 0 && !p.ends(i+1) && !(p.units[i].val == nameOfStudy && p.outcomeAhead(i))
		default:
			return false
		}
	}
	return false
}

// missing notes that an item was named that the routine does not have.
func (p *parser) missing(i int) {
	if p.units[i].bodily || p.onlyNamed(i) {
		return
	}
	if p.sheet.current() != nil && (!p.nextOutcome(i) && (!p.clauseBegins(i) || p.units[i].val == nameOfKey && (p.remarked(i+1) || p.unit(i+1, fillerSense) && p.remarked(i+2))) || p.after(i, butSense)) {
		p.word(i)
		return
	}
	p.sheet.noItem, p.sheet.cur = true, -1
	p.units[i].role = "no such item"
	p.skipRest(i)
}

// onlyNamed reports whether nothing is said of the item at unit i, so that it may be
// anything: "what a piece!", "the bus (line 12)".
func (p *parser) onlyNamed(i int) bool {
	return p.sheet.lead < 0 && !p.unit(i-1, onlySense) && p.sheet.wordy && p.standsAlone(i)
}

// about makes items the ones that words are added to.
func (p *parser) about(i int, items itemSet, vague bool) {
	p.freeLead(i)
	s := &p.sheet
	cur := s.current()
	then := p.then(i)
	joins := cur.named() && !s.mendItem && p.units[i].val != lastOfDay && (cur.items&items == 0 || p.unit(i, numSense) && !p.unit(p.head(i)-1, breakSense)) && !then && !p.after(i, butSense) && !s.inPart && !cur.odd && !p.afterDay(i) && !p.afterList(i) && !(s.lead == skipped && s.leadNew) && !vague && !cur.vague && cur.excluded == s.except &&
		(cur.bare() && !(s.leadsOut() && p.beginsAnew(i)) || cur.listing() && !p.beginsAnew(i) && (cur.weak && p.goesOn(i) || s.lead >= 0 && !s.leadNew))
	if joins && cur.sentence == s.sentence {
		cur.items |= items
		s.minutes, cur.minutes = s.minutes+cur.minutes, 0                                  // half an hour slurs and scales
		cur.vague = p.after(i, orSense) && cur.outcome != skipped && cur.outcome != missed // "didn't do 2 or 3" is neither
		cur.clause = s.clause
		return
	}
	if s.mendItem && cur.named() {
		s.says, s.cur = s.says[:s.cur], -1
	}
	s.mending, s.mendItem = false, false
	if p.beginsAnew(i) {
		s.lead = -1
	}
	if then && s.lead == clean { // 4x clean on the slurs, then the etude
		s.lead = -1
	}
	now := s.begin(named, items)
	s.sum = -1
	now.vague, now.only = vague, s.only
	now.ofBook = p.units[i].val == nameOfBook
	now.wordy, now.bodily = s.wordy, p.units[i].bodily
	now.odd = p.units[i].val == byNumber && p.upTo(p.head(i)-1) || p.has(i-1, fillerSense, 5) && p.units[i].val != byNumber // that piece
	if !p.plausibleItem(items, float64(now.minutes)) {
		s.minutes, now.minutes = s.minutes+now.minutes, 0
	}
	if items.only() != 0 {
		now.remark, now.part, s.place, s.inPart = s.place, s.inPart, span{}, false
	}
	if s.leading > 0 {
		p.numberOfItem(s.leading-1, now)
		now.valueFirst, s.leading = true, 0
	}
}

// then reports whether "then" stands before unit i, with an article at most between.
func (p *parser) then(i int) bool {
	i = p.back(i-1, articleSense, bothSense)
	return p.has(i, andSense, 1)
}

// afterDay reports whether the item at unit i comes after a day that ended its list: "1
// and 2 today, 3 skipped".
func (p *parser) afterDay(i int) bool {
	i = p.head(i)
	return p.unit(i-1, breakSense) && p.unit(i-2, dateSense)
}

// afterList reports whether the item at unit i, of which something is said, comes after a list
// that "and" has closed: "1, 2 and 3, 4 skipped", "3 and 4 after school, 5 skipped".
func (p *parser) afterList(i int) bool {
	if !p.nextOutcome(i) && !p.unit(i+1, tempoSense) {
		return false
	}
	first := p.head(i)
	if p.unit(first-1, andSense) {
		first--
	}
	last := p.back(first-2, fillerSense)
	return p.unit(first-1, breakSense) && (p.units[first-1].val == ';' || p.namesItem(last) && p.unit(p.head(last)-1, andSense) && p.namesItem(p.head(last)-2))
}

// beginsAnew reports whether the item at unit i has an outcome of its own though a
// comma stands before it: "did 1-3, 4 was rough", "did 1, and 4 was rough", but not
// "did 1, 2 clean".
func (p *parser) beginsAnew(i int) bool {
	first := p.head(i)
	comma, left := p.unit(first-1, breakSense), p.sheet.leadsOut()
	if before := p.back(first-1, fillerSense); left && before < first-1 && p.unit(before, breakSense) && p.unit(i+1, tempoSense) { // forgot 3, otherwise 1 at 64
		return true
	}
	if p.unit(i+1, fillerSense) && p.goesOn(i) {
		return left && p.tempoAfter(i) || // skipped 1, 2 went at 92
			p.nextOutcome(i) && (p.unit(i-1, breakSense) || p.unit(i-2, breakSense))
	}
	closed := p.afterDay(i) || p.unit(first-2, rangeSense) || p.unit(first-2, itemsSense) && p.units[first-2].several || p.after(first-2, andSense) || p.unit(first-1, andSense)
	next := p.past(i+2, articleSense, onSense)
	switch {
	case comma && left && p.unit(i+1, andSense) && p.namesItem(next) && p.nextOutcome(next), // skipped 1, 2 and 3 clean
		comma && left && (p.unit(i+1, tempoSense) || p.unit(i+1, atSense) && p.unit(i+2, tempoSense) || p.unit(i+1, numSense) && !p.namesItem(i+1)), // skipped 1, 2 at 92
		comma && closed && p.unit(i+1, tempoSense) && p.nextOutcome(i+1):                                                                            // did the first three, the last at 96 missed
		return true
	}
	return (comma || p.unit(first-1, andSense) && p.unit(first-2, breakSense)) && (p.nextOutcome(i) || p.leftOut(i)) && (closed || left || p.leftOut(i))
}

// leftOut reports whether the item at unit i is said not to have been played, after
// others that were: "did 1, 2 skipped".
func (p *parser) leftOut(i int) bool {
	if cur := p.sheet.current(); cur == nil || !cur.led || !cur.weak {
		return false
	}
	i = p.past(i+1, articleSense, fillerSense)
	return p.unit(i, outcomeSense) && (p.units[i].val == skipped || p.units[i].val == missed) || p.unit(i, noSense) && p.noEnds(i)
}

// upTo reports whether unit i says that what was played ends with what follows:
// "bis 4", of which it isn't said where it began.
func (p *parser) upTo(i int) bool { return p.unit(i, toSense, upToSense) }

// head returns the article before unit i, or else i.
func (p *parser) head(i int) int {
	if p.unit(i-1, articleSense, onSense) {
		i--
	}
	return i
}

// goesOn reports whether unit i goes on with a list: "and" or a comma stands before
// it, with an article at most between.
func (p *parser) goesOn(i int) bool {
	i = p.head(i)
	return p.unit(i-1, andSense) || p.unit(i-1, breakSense) && p.units[i-1].val != ';'
}

// numberWord reads a number written as a word that isn't part of anything. "Only
// two" is two items, but which?
func (p *parser) numberWord(i int) {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	switch {
	case cur == nil && !s.wordy && p.ends(i+1) && p.unit(i-1, onlySense, outcomeSense, doneSense):
		s.noItem, u.role = true, "some items"
	case p.unit(i-1, onlySense) && (p.outcomeNext(i) || p.unit(i+1, doneSense)): // only one clean
		p.noSuchItem(i)
	case cur != nil && cur.settled && p.sumOf(i) && p.unit(i-1, articleSense) && p.judged(i-2): // nickel les trois
		s.sumUp(maxItems)
		p.settleAll(cur.outcome)
		u.role = "how many were named"
	case p.nextOutcome(i) && (cur == nil && s.sumLast(int(u.x)) || p.sumOf(i) && p.unit(i-1, articleSense)): // 1 a 42; 2 a 124. Los dos hechos; los cuatro limpios
		u.role = "how many were named"
	case u.sense == oneSense && cur == nil && p.nextOutcome(i) && (p.unit(i-1, articleSense) || p.unit(i-2, articleSense)): // the long one skipped
		p.noSuchItem(i)
	case u.sense == numberSense:
		p.word(i)
	}
}

// skipRest sets what is said of an item that there is not aside, up to the end
// of its clause or the next item.
func (p *parser) skipRest(i int) {
	for end := min(i+reach, len(p.units)-1); i < end; {
		i++
		u := &p.units[i]
		switch u.sense {
		case outcomeSense, fineSense, doneSense, tempoSense, countSense, rangeSense:
		case numSense:
			if p.isItem(u.x) {
				return
			}
		case articleSense, fillerSense, colonSense:
			continue
		default:
			return
		}
		u.aside("of no such item")
	}
}
