package reply

// scan reads the units of one day into the sheet, from left to right.
func (p *parser) scan(part dayPart) {
	p.sheet.clear()
	if part.from < p.read { // another day has shared the part
		copy(p.units[part.from:part.to], p.unread[part.from:part.to])
	}
	p.read = part.to
	p.sheet.badDay, p.sheet.dated = part.unsure, part.said
	for i := part.from; i < part.to; i++ {
		p.take(i)
	}
}

// take reads one unit. What it does with it is kept as the unit's role. Senses
// without a handler are small words, signs and what is set aside.
func (p *parser) take(i int) {
	if h := handlers[p.units[i].sense]; h != nil {
		h(p, i)
	}
}

// handlers read the units of each sense.
var handlers = [senses]func(p *parser, i int){
	itemsSense: (*parser).refer, numSense: (*parser).bareNumber, rangeSense: (*parser).bareRange,
	tempoSense: (*parser).saidTempo, minutesSense: (*parser).minutes, countSense: (*parser).saidCount,
	outcomeSense: (*parser).outcome, fineSense: (*parser).outcome, doneSense: (*parser).wholeDone,
	allSense: (*parser).all, bothSense: (*parser).all, noneSense: (*parser).none, noSense: (*parser).none,
	partlySense: (*parser).partly, halfSense: (*parser).partly, partSense: (*parser).part,
	othersSense: (*parser).others, restSense: (*parser).rest,
	butSense: (*parser).limit, exceptSense: (*parser).limit, onlySense: (*parser).limit,
	excuseSense: (*parser).excuse, feelSense: (*parser).body, painSense: (*parser).body,
	doubtSense: (*parser).body, goneSense: (*parser).body, jokeSense: (*parser).body,
	sorrySense: (*parser).correct, undoSense: (*parser).correct, notSense: (*parser).correct, insteadSense: (*parser).correct,
	breakSense: (*parser).punctuate, stopSense: (*parser).punctuate, querySense: (*parser).punctuate,
	colonSense: (*parser).punctuate, signSense: (*parser).punctuate, quoteSense: (*parser).quote,
	numberSense: (*parser).numberWord, oneSense: (*parser).numberWord,
	aboutSense: (*parser).vaguely, fromSense: (*parser).vaguely,
	andSense:  (*parser).next,
	chatSense: (*parser).talk, youSense: (*parser).talk, orSense: (*parser).talk, weakKeySense: (*parser).shortKey,

	unknown: (*parser).word, plainSense: (*parser).word, bodySense: (*parser).word, tongueSense: (*parser).word,
	barSense: (*parser).word, keySense: (*parser).word, minorKeySense: (*parser).word, majorKeySense: (*parser).word,
	personSense: (*parser).word, afterSense: (*parser).talk, thingSense: (*parser).word,
	eachSense: (*parser).each,
	offSense:  (*parser).dayOff, tooSense: (*parser).likewise, fillerSense: (*parser).because, articleSense: (*parser).because,
	hedgeSense: (*parser).doubt, tagSense: (*parser).doubt,
	majorSense: (*parser).word, minorSense: (*parser).word, nthSense: (*parser).word, lastSense: (*parser).word,
	noteSense: (*parser).word, dottedSense: (*parser).word, bpmSense: (*parser).word, timesSense: (*parser).word,
	minuteSense: (*parser).word, hourSense: (*parser).word, secondsSense: (*parser).word, itemSense: (*parser).word, lineSense: (*parser).word,
	studySense: (*parser).word, monthSense: (*parser).word, ordinalSense: (*parser).word, agoSense: (*parser).word,
	thanSense: (*parser).word, ishSense: (*parser).word, upToSense: (*parser).word,
}

// saidTempo reads a number that was said to be a tempo.
func (p *parser) saidTempo(i int) {
	cur := p.sheet.current()
	if p.leadsToItem(i) || p.clauseBegins(i) && p.nextRef(i) && (cur == nil || !cur.bare()) { // minim = 63 on 1, at 88 the scales
		p.sheet.leading, p.sheet.cur = i+1, -1
		return
	}
	p.resume(i)
	if !p.pathOn(i) {
		p.setTempo(p.units[i])
	}
}

// resume takes up the item of the sentence before again, of which nothing was said, if the value
// at unit i is a sentence of its own: "Etude. Tempo 88. Clean."
func (p *parser) resume(i int) {
	s := &p.sheet
	if last := s.lastUnjudged(); s.current() == nil && last != nil && last.bare() && last.items.only() != 0 && p.endsSentence(i-1) && p.standsAlone(i) {
		s.cur = len(s.says) - 1
	}
}

// pathOn reads the second of two tempi as the one arrived at, if "then" stands between or it
// is said to be, and reports whether the tempo at unit i is such: "2 first 84, then 92",
// "started at 84, ended at 92", "erst 84, am Schluss 92".
func (p *parser) pathOn(i int) bool {
	cur, u := p.sheet.current(), &p.units[i]
	if cur == nil || cur.tempo.sense == unknown || cur.tempo.y != 0 || u.y != 0 || cur.settled || !p.withinReach(cur.items, u.x, slowest, fastest) {
		return false
	}
	last := p.back(i-1, articleSense, atSense, onSense)
	atEnd := p.has(last, fillerSense, endFiller)
	if !p.then(i) && (p.sheet.mending || u.x <= cur.tempo.x || !atEnd && !p.reached(i)) {
		return false
	}
	cur.tempo.y, cur.tempo.x = cur.tempo.x, u.x
	return true
}

// reached reports whether the tempo at unit i begins with a word for how far one got: "ended at
// 92".
func (p *parser) reached(i int) bool {
	said, _ := p.phraseAt(p.tokenAt(p.units[i].start))
	return said.sense == upToSense
}

// saidCount reads repeats.
func (p *parser) saidCount(i int) {
	cur := p.sheet.current()
	if cur != nil && p.units[max(0, i-1)].role == "remark" && p.ownRemark(i) { // 208, cracked the top E twice
		p.remark(i)
		return
	}
	if p.leadsToItem(i) || cur != nil && cur.count.sense != unknown && p.nextRef(i) { // 2 of 4 on threes; 2x the 3 and once the 4
		p.sheet.cur = -1
	}
	p.setCount(i)
}

// talk reads a word of talk: what is named beside it may only be mentioned.
func (p *parser) talk(i int) {
	if p.has(i, chatSense, greeting) {
		return
	}
	if cur := p.sheet.current(); cur.named() && p.units[i-1].role == "remark" && !(p.has(i, chatSense, 0) && p.ends(i+1)) { // not "haha" at its end
		p.word(i)
	}
	p.sheet.wordy = true
}

// shortKey reads a word that may be a key but is not said to be one. A capital
// letter is a note, as in "the high C".
func (p *parser) shortKey(i int) {
	u := &p.units[i]
	if p.clauseBegins(i) && p.unit(i+1, fillerSense) && p.valued(i+2) { // es waren 69
		return
	}
	p.sheet.wordy = true
	if u.end-u.start == 1 && (p.text[u.start] < 'a' || p.inWords(i)) || p.unit(i-1, onSense, articleSense) {
		p.word(i)
	}
}

// because reads a small word. One that begins a reason ends the list of what was left out or
// played: "skipped 3 because 2 took so long".
func (p *parser) because(i int) {
	if s := &p.sheet; !s.leadNew && p.givesReason(i) {
		s.lead = -1
	}
}

// quote reads ⟦…⟧ as the remark of the item spoken of.
func (p *parser) quote(i int) {
	if p.unit(i-1, unclearSense) {
		p.sheet.unclear = append(p.sheet.unclear, p.text[p.units[i].start:p.units[i].end])
		p.units[i].role = "to be asked"
		return
	}
	if cur := p.sheet.current(); cur != nil {
		cur.remark, cur.quoted = span{p.units[i].start, p.units[i].end}, true
		p.units[i].role = "remark"
	}
}

// bracket reads the first of two brackets: values in them are those of the last of several
// items alone, "did 1 and 4 (94, clean)".
func (p *parser) bracket(i int) {
	cur, s := p.sheet.current(), &p.sheet
	if cur == nil || cur.items.count() < 2 || !cur.empty() || !p.valued(i+1) && !p.judged(i+1) || !p.namesItem(i-1) {
		return
	}
	last := p.units[i-1].items
	if p.unit(i-1, numSense) {
		last.add(int(p.units[i-1].x))
	}
	if last.only() == 0 || last == cur.items {
		return
	}
	cur.items &^= last
	outcome, weak, led := cur.outcome, cur.weak, cur.led
	now := s.begin(named, last)
	now.only = s.only
	now.outcome, now.weak, now.led = outcome, weak, led
}

// punctuate reads signs: they end clauses, sentences and what was held open in
// them.
func (p *parser) punctuate(i int) {
	s, u := &p.sheet, &p.units[i]
	switch u.sense {
	case breakSense:
		if rune(u.val) == '(' || rune(u.val) == ')' {
			p.bracket(i)
			return
		}
		if rune(u.val) == ';' {
			s.lead = -1
		}
	case colonSense, signSense:
		cur := s.current()
		if u.sense == colonSense && cur == nil {
			s.wordy = false
		}
		if !p.divides(i) || cur != nil && cur.bare() {
			return
		}
	case stopSense, querySense:
		s.sentence++
		s.except, s.only = false, s.only && len(s.says) == 0
		s.lead, s.sum = -1, -1
		if cur := s.current(); cur != nil && rune(u.val) != ellipsis {
			s.cur = -1
		}
	}
	s.clause++
	s.wordy = false
}
