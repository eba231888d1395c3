package reply

import "ledgerline/routine"

// word reads a word that says nothing the log has a place for: part of a remark
// on the item spoken of.
func (p *parser) word(i int) {
	cur := p.sheet.current()
	if p.unit(i+1, minutesSense) && p.adds(i, i) { // 4 too, another 10 min
		p.units[i].role = "small word"
		return
	}
	if p.unit(i, timesSense) && (p.phrased(i) || p.judged(i-1) && p.unit(i-2, countSense)) && cur != nil && cur.count.sense != unknown { // three times clean in a row, three clean reps
		return
	}
	p.sheet.wordy = true
	if cur == nil || cur.who == wholeDay {
		if u := &p.units[i]; u.sense == numSense && u.role == "" {
			p.sheet.stray = u.x
		} else if u.sense == barSense && u.firm && u.role == "" && p.nextRef(i) {
			p.sheet.place, u.role = span{u.start, u.end}, "remark"
		}
		p.sheet.strange = p.sheet.strange || !p.units[i].bodily
		return
	}
	if cur.quoted || p.units[i].bodily {
		return
	}
	if (cur.items.count() > 1 || cur.only && cur.bare()) && cur.remark == (span{}) && (cur.clause != p.sheet.clause || p.beforeAfter(i)) { // only 1 and 2, parents' evening; 1 to 4 before the school run
		p.sheet.strange = true
		return
	}
	p.remark(i)
}

// beforeAfter reports whether "before" or "after" stands between the last item and unit i, in
// one clause: "1 to 4 before the school run".
func (p *parser) beforeAfter(i int) bool {
	for end := max(0, i-reach); i > end && !p.ends(i-1) && !p.namesItem(i-1); {
		if i--; p.unit(i, afterSense) {
			return true
		}
	}
	return false
}

// next reads "then" after several items: words that follow are no remark on them, as in
// "did 1 to 4, then the phone rang".
func (p *parser) next(i int) {
	if cur := p.sheet.current(); cur != nil && cur.only && cur.bare() && p.units[i].val == 1 && !p.nextRef(i) { // just the warm-up, then the phone rang
		p.sheet.cur = -1
		return
	}
	if cur := p.sheet.current(); cur != nil && cur.items.only() == 0 && p.units[i].val == 1 && p.clauseBegins(i) && (p.hasObject(i) || p.unit(i+1, personSense)) {
		p.sheet.cur = -1
	}
}

// tint marks the units of each clause that says how the player is, or that is
// talk, so that its other words are taken for what they are.
func (p *parser) tint() {
	from := 0
	var hue mark
	p.moods()
	for i := 0; i <= len(p.units); i++ {
		if !p.ends(i) && !p.unit(i, signSense) {
			switch p.units[i].sense {
			case painSense, doubtSense:
				hue.bodily, hue.painful = true, true
			case goneSense:
				hue.bodily = true
			case feelSense:
				hue.bodily = hue.bodily || p.phrased(i) || feels[p.units[i].val] != routine.Fresh || p.before(i, bodySense) || !p.itemIn(i)
			case fineSense, youSense:
				hue.chatty = hue.chatty || p.lettersAt(i) && !p.with(i-1) // lesson with you
			case chatSense:
				hue.chatty = hue.chatty || p.units[i].val != greeting && p.lettersAt(i)
			}
			continue
		}
		for ; from < i; from++ {
			u := &p.units[from]
			u.bodily, u.painful, u.chatty = hue.bodily, hue.painful, hue.chatty
		}
		hue = mark{}
	}
}

// remark stretches the remark of the item spoken of to unit i, with the articles
// right before it and the small words right after.
func (p *parser) remark(i int) {
	cur, u := p.sheet.current(), &p.units[i]
	cur.clause = p.sheet.clause
	u.role = "remark"
	if cur.remark == (span{}) || p.valuedSince(cur.remark.end, i) {
		cur.remark.start = p.units[p.remarkClause(p.remarkStart(i))].start
	}
	cur.remark.end = p.units[p.remarkEnd(i)].end
	if last := p.clauseRest(i); cur.remark.start == p.units[p.remarkClause(i)].start || p.ownRemark(i) {
		cur.remark.end = max(cur.remark.end, p.units[last].end)
	}
}

// tempoRemarks makes remarks of the clauses that speak of another tempo than the one that was
// played, in words or as not reached yet: "3 at 88, 96 is too fast for me", "3 at 88, not at 96
// yet".
func (p *parser) tempoRemarks() {
	told, judged := false, false // the items named last have a tempo, and it is said how they went
	for from := 0; from < len(p.units); {
		to := from
		for to < len(p.units) && !p.ends(to) && (to == from || !p.unit(to, butSense) && !p.givesReason(to)) {
			to++
		}
		first := from
		for first < to && p.unit(first, butSense) {
			first++
		}
		tempi, items := p.tempiIn(first, to)
		if told && !items && p.besideTempo(first, to, judged) {
			for i := first; i < to; i++ {
				p.units[i].sense, p.units[i].firm = plainSense, true
			}
		}
		told = (told || items && tempi == 1) && !(items && tempi != 1) && !p.endsSentence(to)
		judged = judged && !items || p.saidIn(first, to, outcomeSense, fineSense)
		if from = to; p.ends(to) {
			from++
		}
	}
}

// ownRemarks makes remarks of the clauses after a comma that tell, once it was said how an item went,
// what went wrong in it, and of those that tell when: "3 clean, forgot the repeat", "2 shaky when I
// get tired".
func (p *parser) ownRemarks() {
	judged := false // it was said in this sentence how the items named last went
	for from := 0; from < len(p.units); {
		to := from + 1
		for to < len(p.units) && !p.ends(to) && !(p.when(to) && (judged || p.judgedIn(from, to))) {
			to++
		}
		_, items := p.tempiIn(from, to)
		switch {
		case judged && !items && (p.condition(from, to) || p.unit(from-1, breakSense) && p.faultWithin(from, to)):
			for i := from; i < to; i++ {
				p.units[i].sense, p.units[i].firm = plainSense, true
			}
		case items || judged:
			judged = (judged && !items || p.judgedIn(from, to)) && !p.endsSentence(to)
		}
		if from = to; p.ends(to) {
			from++
		}
	}
}

// judgedIn reports whether the units from-to say how something went, and deny nothing.
func (p *parser) judgedIn(from, to int) bool {
	judged := false
	for i := from; i < to; i++ {
		judged = judged || p.judged(i) && p.units[i].val != done
		if p.denies(i) {
			return false
		}
	}
	return judged
}

// faultWithin reports whether the clause from-to says of something within an item that it went
// badly, or was forgotten if that is a word for a part of music.
func (p *parser) faultWithin(from, to int) bool {
	words, strange, fault, forgotten := false, false, false, false
	for i := from; i < to; i++ {
		switch u := &p.units[i]; u.sense {
		case unknown:
			words, strange = words || p.lettersAt(i), true
		case plainSense, barSense:
			words = true
		case keySense, itemsSense:
			words = words || fault // missed the F sharp
		case outcomeSense:
			if u.val == clean || u.val == done {
				return false
			}
			fault, forgotten = true, forgotten || u.val == skipped
		case insteadSense, sorrySense:
			fault = p.ctx.Last == nil
		default:
			if !p.passes(i) && !p.unit(i, aboutSense, nthSense, lastSense, partSense, noteSense, weakKeySense, majorSense, minorSense) {
				return false
			}
		}
	}
	return words && fault && !(forgotten && strange)
}

// condition reports whether the clause from-to says when or if something is so: "wenn ich müde werde".
func (p *parser) condition(from, to int) bool {
	if to == from+1 || p.unit(to, querySense) || !p.when(from) && !(p.has(from, hedgeSense, 0) && p.unit(from-1, breakSense)) {
		return false
	}
	return !p.saidIn(from, to, dateSense, minutesSense, tempoSense, numSense, excuseSense, painSense, doubtSense, allSense, othersSense, restSense)
}

// when reports whether unit i begins a condition.
func (p *parser) when(i int) bool {
	return p.has(i, articleSense, conditional) || p.has(i, askSense, askOrWhen)
}

// givesReason reports whether unit i is a "because".
func (p *parser) givesReason(i int) bool {
	return p.has(i, fillerSense, reasonFiller) || p.has(i, articleSense, reasonArticle)
}

// tempiIn counts the numbers that may be tempi played among the units from-to, and reports
// whether items are named there. Where it can't be told which was, it counts more than one.
func (p *parser) tempiIn(from, to int) (n int, items bool) {
	for i := from; i < to; i++ {
		switch u := &p.units[i]; {
		case u.sense == itemsSense && u.items == 0: // the F sharp, which is no item's key
		case p.namesItem(i) || p.unit(i, rangeSense) && u.x < leastBPM || p.unit(i, othersSense, restSense):
			items = true
		case u.sense == tempoSense && u.y == 0, u.sense == numSense && u.x >= leastBPM:
			n++
		case u.sense == tempoSense, u.sense == numSense, u.sense == rangeSense,
			p.denies(i), u.sense == outcomeSense && (u.val == skipped || u.val == missed): // didn't get to 96
			n += 2
		}
	}
	return n, items
}

// besideTempo reports whether the clause from-to says of its one tempo no more than words that
// are not understood, or that it is not reached yet. That it went badly is said, too, unless
// it was said how the items went.
func (p *parser) besideTempo(from, to int, judged bool) bool {
	words, tempi, reason := false, 0, p.givesReason(from)
	for i := from; i < to; i++ {
		switch u := &p.units[i]; u.sense {
		case unknown, plainSense:
			words = words || p.lettersAt(i)
		case outcomeSense:
			if !p.notYet(i) && (u.val != skipped && u.val != missed || judged || !p.phrased(i)) {
				return false
			}
			words = true
		case tempoSense, numSense:
			tempi++
		case fillerSense, articleSense, atSense, toSense, onSense, forSense, inSense, ofSense, hedgeSense, thanSense, tooSense, upToSense:
		case chatSense, youSense, personSense:
			if !reason {
				return false
			}
			words = true
		default:
			return false
		}
	}
	return words && tempi == 1
}

// notYet reports whether the outcome at unit i is a "not" and small words: "not yet".
func (p *parser) notYet(i int) bool {
	denied := false
	for _, t := range p.tokens(p.units[i].start, p.units[i].end) {
		switch p.senseOf(t.plain) {
		case notSense, noSense:
			denied = true
		case fillerSense, articleSense, tooSense:
		default:
			return false
		}
	}
	return denied
}

// valuedSince reports whether a value that was read stands between a place of the text and
// unit i, which begins a clause of its own: the remark before it is another.
func (p *parser) valuedSince(end, i int) bool {
	if !p.clauseBegins(p.remarkClause(p.remarkStart(i))) {
		return false
	}
	for i--; i >= 0 && p.units[i].start >= end; i-- {
		if p.valued(i) && p.units[i].role == "tempo" {
			return true
		}
	}
	return false
}

// remarkStart returns the unit that a remark whose first word is unit i begins
// with: articles and prepositions right before it belong to it.
func (p *parser) remarkStart(i int) int {
	for i > 0 {
		switch p.units[i-1].sense {
		case articleSense, afterSense, offSense, inSense, ofSense, atSense, forSense, aboutSense, onSense, toSense, fromSense, thanSense, oneSense, numberSense, orSense:
			i--
		case fillerSense: // with the practice mute
			if !p.unit(i-2, articleSense) {
				return i
			}
			i--
		default:
			return i
		}
	}
	return i
}

// remarkClause returns where the clause of unit i begins, if it follows a comma and has
// nothing but small words before that unit: "2 shaky, I rush the runs". Else it is i.
func (p *parser) remarkClause(i int) int {
	first := i
	for end := max(0, i-reach); first > end && p.passes(first-1); {
		first--
		if p.givesReason(first) {
			return first
		}
	}
	if p.unit(first-1, breakSense, colonSense) {
		return first
	}
	return i
}

// ownRemark reports whether the clause of unit i has been a remark and nothing else from its
// comma on.
func (p *parser) ownRemark(i int) bool {
	i = p.clauseFrom(i)
	return p.unit(i-1, breakSense) && p.units[i].start == p.sheet.current().remark.start
}

// clauseRest returns the last unit of the clause of unit i, if nothing but small words
// follow that unit in it: a remark that is a clause of its own is all of it. Else it is i.
func (p *parser) clauseRest(i int) int {
	last := i
	for end := min(i+reach, len(p.units)); last+1 < end && !p.ends(last+1); {
		if last++; !p.passes(last) && !p.unit(last, unknown, plainSense) {
			return i
		}
	}
	return last
}

// passes reports whether the word at unit i may be part of a remark that is a clause of its
// own: it says nothing for the log.
func (p *parser) passes(i int) bool {
	switch p.senseAt(i) {
	case fillerSense, articleSense, inSense, onSense, ofSense, toSense, forSense, fromSense, hedgeSense, thanSense, offSense:
		return true
	case keySense:
		return p.remarked(i+1) || p.unit(i+1, onSense, atSense, inSense)
	}
	return false
}

// remarkEnd returns the last unit of a remark whose last word is unit i.
func (p *parser) remarkEnd(i int) int {
	if p.unit(i+1, onSense, inSense, articleSense) && p.ends(i+2) {
		return i + 1
	}
	for !p.nextOutcome(i) && p.unit(i+1, fillerSense) || p.unit(i+1, oneSense, onwardSense) || p.has(i+1, atSense, 0) && !p.unit(i+2, numSense) {
		i++
	}
	return i
}
