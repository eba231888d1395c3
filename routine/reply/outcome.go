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
	switch {
	case p.startsOver(i):
		return
	case p.ofRemark(i):
		p.word(i)
		return
	}
	if role := p.noOutcome(i); role != "" {
		u.role = role
		return
	}
	cur := s.current()
	if d := p.deniedBy(i); d >= 0 && cur != nil && p.lastWas(cur.items, d) && !cur.settled { // 3 was not skipped
		s.sorry, s.sorryAt = true, true
	} else if d >= 0 && cur != nil && cur.settled && cur.outcome != u.val && (s.sorry || p.lastWas(cur.items, d)) { // it was skipped, not clean
		s.sorry, s.sorryAt, u.role = true, true, wrongRole
		return
	}
	switch {
	case p.held(i):
		p.settleBefore(i)
		s.hold(u.val)
		s.leadWeak = u.val == done || u.sense == fineSense && !p.unit(i+1, colonSense)
	case cur != nil:
		p.giveOutcome(cur, i)
	default:
		p.outcomeOfNone(i)
	}
}

// startsOver reads an outcome at unit i that has nothing to do with the items spoken of, and what it is
// said of: "not everything", "2 took so long that I skipped 3", "couldn't start 3", "didn't get to 96",
// "skipped 9". It reports whether it did.
func (p *parser) startsOver(i int) bool {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	begins := cur == nil || p.clauseBegins(i)
	start := i + 2 // couldn't start 3
	if p.unit(start, articleSense) {
		start++
	}
	switch {
	case u.val == skipped && p.unit(i+1, allSense) && cur == nil && p.phrased(i):
		p.units[i+1].sense = partlySense
	case cur != nil && p.ofPlayer(i-1) && p.namesItem(i+1) && (u.val == done || p.ends(i+2) || p.unit(i+2, andSense)):
		s.cur = -1
		s.hold(u.val)
	case begins && u.val == missed && p.remarked(i+1) && p.lettersAt(i+1) && p.namesItem(start) && (p.ends(start+1) || p.unit(start+1, andSense, dateSense)):
		p.units[i+1].sense, s.cur = fillerSense, -1
		s.hold(missed)
	case u.val == skipped && p.phrased(i) && p.unit(i+1, numSense) && !p.isItem(p.units[i+1].x):
		p.fallShort(i, i+1)
	case begins && (u.val == skipped || u.val == missed) && p.noItemAt(i+1):
		p.noSuchItem(i + 1)
		p.units[i+1].sense = asideSense
	default:
		return false
	}
	return true
}

// ofRemark reports whether the outcome at unit i is one of the words of a remark, or of talk.
func (p *parser) ofRemark(i int) bool {
	u, cur := &p.units[i], p.sheet.current()
	if u.end-u.start == 1 && (p.determines(i-1) || p.unit(i-1, articleSense)) && p.lettersAt(i) { // the K syllable
		return true
	}
	if cur == nil {
		return p.unit(i+1, personSense) || p.unit(i-2, hedgeSense) && p.remarked(i+1) || // poor aunt, I have a wobbly tooth
			u.val == missed && (p.remarked(i+1) || p.remarked(i-1) && !p.unit(i+1, colonSense)) || // can't come
			u.val == skipped && p.forgets(i) // forgot my keys
	}
	told := cur.led || cur.settled || cur.only
	switch {
	case told && u.val == skipped && cur.outcome != skipped && (p.hasObject(i) || p.unit(i+1, personSense)) && p.ownClause(i), // I did 1 and I forgot my book
		cur.led && cur.outcome == missed && u.val == missed && !cur.settled && p.saysWhy(i),         // couldn't play 4, too fast for me
		cur.excluded && !cur.settled && cur.remark != (span{}),                                      // all but 2, traffic was awful
		!cur.settled && cur.remark != (span{}) && p.inWords(i) && p.remarked(i+1) && p.lettersAt(i), // je respire au mauvais endroit
		u.val != done && (p.ofPart(i) || p.confesses(i)),
		u.val == skipped && !p.phrased(i) && p.has(i-1, articleSense, indefinite) && p.remarked(i+1): // a forgotten repeat
		return true
	}
	return false
}

// noOutcome returns the role of an outcome that is no more than a small word, or a face beside others,
// and "" of any other.
func (p *parser) noOutcome(i int) string {
	s, u := &p.sheet, &p.units[i]
	cur, before := s.current(), i-1
	switch {
	case p.unit(before, articleSense) && p.unit(i+1, minutesSense), // a solid 45 minutes
		cur == nil && (u.val == shaky || u.val == clean && s.whole == "") && p.unit(i+1, minutesSense),
		cur == nil && p.unit(i+1, chatSense) && p.unit(before, articleSense),                                                  // a nice evening
		u.val == done && cur != nil && (!cur.bare() || cur.only) && p.clauseBegins(i) && p.unit(p.skipSmall(i), minutesSense): // 1 clean, practised 35 min
		return "small word"
	case u.sense == fineSense && cur == nil && !s.content() && !p.unit(i+1, colonSense) && p.refJudged(i): // okay number one fine
		return talked
	case p.lettersAt(i):
		return ""
	}
	for before >= max(0, i-reach) && !p.lettersAt(before) && p.units[before].role == talked {
		before--
	}
	ofWords := p.lettersAt(before) || p.unit(before, minutesSense) // a face belongs to the words before
	switch {
	case cur == nil && (s.strange || s.pain || s.doubt || s.allSaid && (s.lead == done || s.loose.outcome == done)), // the concert was 🔥, lips numb 😬, did it all 😀
		cur == nil && ofWords && s.whole != "",
		u.sense == fineSense && (len(s.says) > 1 || s.whole != "") && cur != nil && !cur.bare() && cur.outcome < 0, // 1 at 70, 2 at 90 😀
		p.judged(i+1) && p.units[i+1].glued,                                              // 👎wackelig
		cur.judged() && (cur.outcome != u.val && p.ends(i+1) || ofWords && p.nextRef(i)): // forgot 2 😬
		return talked
	}
	return ""
}

// held reports whether the outcome at unit i is that of items that follow.
func (p *parser) held(i int) bool {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	switch {
	case !p.nextRef(i):
		return false
	case p.unit(i+1, colonSense) && cur != nil && cur.led:
		s.cur = -1
		return true
	case p.inOwnLine(i):
		return false
	case cur == nil, cur.judged():
		return true
	case p.clauseBegins(i) && !(p.divides(i-1) && p.namesItem(i-2) && !cur.led):
		return true
	}
	joined := p.unit(i-1, andSense) || p.unit(i-2, andSense) && p.player(i-1)
	return cur.led && (joined || u.val == skipped && cur.weak)
}

// giveOutcome gives the outcome at unit i to the items spoken of.
func (p *parser) giveOutcome(cur *saying, i int) {
	s, u := &p.sheet, &p.units[i]
	again := cur.settled && cur.outcome == u.val
	switch {
	case cur.excluded && !cur.settled && u.val == done: // all but 4 played
	case cur.excluded && !cur.settled && u.val == clean && !s.wholeSettled():
		s.except = false
		s.begin(wholeDay, 0).outcome = clean
	case again && !p.lettersAt(i):
		u.role = talked
	case again && (cur.clause != s.clause && (u.sense == fineSense || u.val != done && !p.ends(i+1)) || p.inWords(i) || u.sense == fineSense && p.phrased(i) || p.saysWhy(i)): // 3 missed, too fast for me
		p.word(i)
	case cur.weak && cur.settled && u.val == skipped && cur.clause != s.clause && p.unit(i-1, unknown): // 1 and 2 done, al galope no llegué
		s.noItem = true
	default:
		s.sorry = s.sorry || again && p.ctx.Last != nil && p.phrased(i) // shaky, not clean
		if s.sum < 0 && s.cur > 0 && cur.items.only() != 0 && cur.outcome < 0 && p.unit(i-1, breakSense) && p.inPlural(i) {
			s.sumUp(maxItems)
		}
		p.settle(cur, u.val)
		p.settleAll(u.val)
	}
}

// outcomeOfNone reads an outcome at unit i where no items are spoken of: it is of those of the sentence
// before, of the whole routine, or of what is yet to be found.
func (p *parser) outcomeOfNone(i int) {
	s, u := &p.sheet, &p.units[i]
	notPlayed := u.val == skipped || u.val == missed
	switch {
	case p.opens(i) && p.senseOf(p.toks[p.tokenAt(u.start)].plain) == allSense && p.listedSo(): // one a line, and "alles gut gelaufen" under them
		p.settle(s.current(), u.val)
		p.settleAll(u.val)
	case p.opens(i) && s.lastUnjudged() != nil && p.tellsOfLast(i): // 3 at 88! clean!
		p.settle(s.lastUnjudged(), u.val)
		s.cur = len(s.says) - 1
	case (s.whole == All || s.noItem) && !s.allSaid && u.val == skipped: // ✅✅❌
		s.whole, s.noItem = "", true
	case notPlayed && p.notPlayed(i): // wanted to do 4 but ran out of time
	case notPlayed && p.unit(i+1, dateSense) && s.whole == "":
		s.whole = None
	case (u.val == skipped || u.val == missed && p.clauseBegins(i) && p.standsAlone(i)) && s.whole == "" && (!s.wordy || p.unit(i-1, andSense) || p.has(i-1, fillerSense, reasonFiller) || s.pain || s.doubt) && p.phrased(i) && !p.hasObject(i) && !p.unit(i+1, dateSense): // visitors all day, didn't practise
		s.whole, u.role = None, "the whole day"
	case s.whole == All && u.sense == outcomeSense && u.val != done, s.whole != "" && s.wholeClause == s.clause && u.val != done && s.allSaid:
		s.begin(wholeDay, 0).outcome = u.val
	default:
		p.looseOutcome(i, u.val, u.sense == outcomeSense && u.val != done)
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
	first := p.clauseFrom(i)
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

// anyWord reports whether a word of unit i is in the set of folded ones.
func (p *parser) anyWord(i int, set map[string]bool) bool {
	words := strings.Fields(p.text[p.units[i].start:p.units[i].end])
	return slices.ContainsFunc(words, func(word string) bool { return set[foldAll(word)] })
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
