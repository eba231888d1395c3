package reply

import (
	"slices"
	"strings"
)

// bareNumber reads a number that nothing explains: an item, a tempo, minutes.
func (p *parser) bareNumber(i int) {
	s, u := &p.sheet, &p.units[i]
	if !p.isItem(u.x) {
		p.resume(i)
	}
	cur := s.current()
	switch {
	case p.saysTotal(i-1) && p.ends(i+1) && p.plausibleDay(u.x):
		p.dayMinutes(i)
	case p.has(i-1, articleSense, pluralArticle) && p.sumOf(i) && p.nextOutcome(i): // la 1 a 70 y la 4 a 80, las 2 limpias
		s.sumUp(maxItems)
		u.role = "how many were named"
	case p.fevered(i), p.countsEvents(i):
		u.role = "number of something else"
	case p.lettered(i), p.unit(i+1, thingSense), p.unit(i+1, articleSense) && p.units[i+1].val != withArticle && p.unit(i+2, thingSense): // 3C, 3 weeks, 8 more days
		u.role = "number of something else"
		p.word(i)
	case p.notOurs(i):
		p.word(i)
	case cur == nil && s.minutes > 0 && p.unit(i-1, andSense) && p.plausibleDay(u.x) && !p.isItem(u.x) && !p.remarked(i+1), // 30 min early and 25 late
		cur == nil && s.minutes > 0 && p.plausibleDay(u.x) && !p.isItem(u.x) && (p.unit(i-1, breakSense) && (p.unit(i+1, dateSense) || p.timedFiller(i+1) && p.timedFiller(i-2)) || p.unit(i-1, dateSense) && p.unit(i-2, breakSense)) && p.minutesBefore(i), // 35 min por la mañana, 20 por la tarde
		cur == nil && p.plausibleDay(u.x) && p.adds(i-1, i-1) && p.minutesBefore(i): // 20 min on Tuesday and today another 20
		p.dayMinutes(i)
	case cur == nil && p.unit(i+1, ofSense) && (p.unit(i+2, minutesSense) || p.unit(i+3, minutesSense)): // 30 of my 45 min
		p.units[min(i+3, len(p.units)-1)].sense, p.units[i+2].sense = asideSense, asideSense
		s.unsure, u.role = int(u.x), "minutes, if anything"
	case p.unit(i+1, ofSense) && p.unit(i+2, fillerSense) && p.isItem(u.x): // 2 of them
		s.noItem, s.cur, u.role = true, -1, "some items"
		p.skipRest(i + 2)
	case (cur == nil || p.clauseBegins(i) || p.unit(i-1, andSense)) && p.leadsToItem(i):
		s.leading, s.cur = i+1, -1
	case cur == nil && p.strayNumber(i), p.numberOfName(i):
	case p.isItem(u.x) && !u.approx && p.itemPlace(i):
		p.itemNumber(i)
	case cur != nil && p.noItemAt(i) && p.unit(i-1, andSense) && p.unit(i-2, numSense) && p.namesItem(i-2): // skipped 2 and 9
		s.noItem, u.role = true, "no such item"
	case p.pathOn(i):
		u.role = "tempo"
	case cur.named() && p.isItem(u.x) && !cur.items.has(int(u.x)) && p.ends(i+1) && p.battled(p.head(i)-1): // 1 clean and I battled 2
		s.lead = -1
		p.itemNumber(i)
		s.current().odd = true
	case p.isItem(u.x) && p.inWords(i):
		p.word(i)
	case cur.named() && cur.bare() && p.unit(i-1, breakSense) && p.unit(i+1, breakSense) && p.judged(i+2) && p.withinReach(cur.items, u.x, slowest, fastest): // Gulls, 76, clean
		p.setTempo(*u)
	case cur != nil && cur.vague && cur.clause == s.clause && cur.tempo.sense == unknown:
		p.setTempo(*u)
	case cur.named() && !cur.vague &&
		(cur.clause == s.clause || s.mending && p.lastTempo(i, cur) || (p.nextOutcome(i) || p.unit(i+1, andSense) && p.nextOutcome(i+1)) && p.withinReach(cur.items, u.x, slowest, fastest)):
		p.numberOfItem(i, cur)
	default:
		p.numberOfDay(i)
	}
}

// battled reports whether unit i is a word that is not understood and begins its clause, so that it
// tells what was done to the item after it. It is no remark on another then.
func (p *parser) battled(i int) bool {
	if !p.unit(i, unknown) || !p.ownClause(i) {
		return false
	}
	if cur := p.sheet.current(); cur != nil && cur.remark.end == p.units[i].end {
		cur.remark = span{}
	}
	return true
}

// timedFiller reports whether unit i is a phrase that says nothing, as "before work" is,
// and its clause ends with it.
func (p *parser) timedFiller(i int) bool {
	return p.unit(i, fillerSense) && p.phrased(i) && p.ends(i+1)
}

// minutesBefore reports whether minutes with their unit stand a little before unit i.
func (p *parser) minutesBefore(i int) bool {
	for end := max(0, i-reach); i > end && !p.has(i-1, breakSense, '('); { // not "40 min (25 early, 15 late)"
		if i--; p.unit(i, minutesSense) {
			return true
		}
	}
	return false
}

// lastTempo reports whether the value said last before unit i is the tempo of the items
// spoken of, and the number there may be another.
func (p *parser) lastTempo(i int, cur *saying) bool {
	for end := max(0, i-reach); i > end && !p.valued(i-1); {
		i--
	}
	return cur.tempo.sense != unknown && !p.unit(i-1, minutesSense)
}

// fevered reports whether the number at unit i is how high a fever is: "39 of fever".
func (p *parser) fevered(i int) bool {
	x := p.units[i].x
	return x >= 35 && x <= 42 && (p.unit(i-1, excuseSense) || p.unit(i+1, excuseSense) || p.unit(i+1, ofSense) && p.unit(i+2, excuseSense))
}

// countsEvents reports whether the number at unit i counts lessons or concerts: "2 gigs".
func (p *parser) countsEvents(i int) bool { return p.unit(i+1, excuseSense) && p.isEvent(i+1) }

// notOurs reports whether the words around the number at unit i say that it is no
// item, tempo or minutes: "with 1+2", "2 of my strings", "5th".
func (p *parser) notOurs(i int) bool {
	cur := p.sheet.current()
	told := cur != nil && !cur.bare() && !p.sheet.leadNew
	switch {
	case p.raised(i), told && p.unit(i-1, fromSense), told && p.unit(i-1, onSense) && p.remarked(i-2), told && !cur.listing() && cur.clause == p.sheet.clause && p.fingered(i), told && p.unit(i-1, atSense) && p.inWords(i-1),
		told && p.units[i].x < leastBPM && p.unit(i-1, atSense) && p.words(i-1) > 1, // with the metronome on 2 and 4
		told && p.unit(i-1, andSense) && p.unit(i-2, numSense) && p.units[max(0, i-2)].role == "remark":
		return true
	case p.unit(i+1, ofSense) && !p.itemFor(i) && (p.unit(i+2, unknown) || p.unit(i+2, articleSense) && p.unit(i+3, unknown, personSense) || p.unit(i+2, fillerSense) && p.unit(i+3, personSense)): // 2 of my strings
		return true
	case p.unit(i+1, unknown) && p.unit(i+2, ofSense) && p.remarked(i+3): // 2 helpings of lasagne
		return true
	case p.bar(i + 1), p.bar(i - 1), p.unit(i+1, hourSense), cur == nil && p.unit(i+1, personSense) && p.units[i+1].val != opinion:
		return true
	}
	return (p.unit(i+1, ordinalSense) || p.unit(i+1, fillerSense) && p.remarked(i+2)) && p.units[i+1].glued || p.unit(i+1, nthSense) && (p.bar(i+2) || p.remarked(i+2)) // au 2e palier
}

// itemFor reports whether what stands before the number at unit i says that it is one item's: "hice
// la 3 de pie".
func (p *parser) itemFor(i int) bool {
	return p.isItem(p.units[i].x) && p.determines(i-1) && p.has(i-2, outcomeSense, done)
}

// raised reports whether a plus sticks to the number at unit i alone: "+4 bpm".
func (p *parser) raised(i int) bool {
	return p.units[i].glued && p.plus(i-1) && !p.units[i-1].glued
}

// itemNumber starts a saying about the item that the bare number at unit i is.
func (p *parser) itemNumber(i int) {
	var set itemSet
	set.add(int(p.units[i].x))
	p.about(i, set, false)
	p.sheet.current().counted = p.unit(i-1, articleSense, onSense)
	p.sheet.current().odd = p.sheet.current().odd || p.unit(i+1, unknown) && !p.unit(i+2, thanSense) && !p.units[i+1].bodily
	p.units[i].role = "item"
}

// leadsToItem reports whether the tempo or the number at unit i stands before its
// item: "92 for 2", "108 bei der 3".
func (p *parser) leadsToItem(i int) bool {
	if cur := p.sheet.current(); (cur == nil || cur.valueFirst) && p.valueFirst(i) {
		return true
	}
	if p.unit(i, numSense) && p.judged(i+1) && p.unit(i+2, onSense) && p.namesItem(i+3) && p.ends(i+4) && p.clauseBegins(i) { // 92 clean on 2
		return true
	}
	switch p.senseAt(i + 1) {
	case ofSense, articleSense: // 3 fois sur les gammes; 5 min of slurs, 10 of scales
		return (p.unit(i, countSense) || p.sheet.minutesLead || p.sheet.sorry) && p.nextRef(i)
	case itemsSense: // 3x slurs, 2x scales
		return p.unit(i, countSense) && p.units[i+1].val != byNumber && p.clauseBegins(i)
	case forSense, onSense, inSense, atSense:
		if p.unit(i, numSense) && p.unit(i+1, inSense) && p.unit(i+2, itemsSense) && p.units[i+2].items.has(int(p.units[i].x)) { // la 4 en mi mayor
			return false
		}
		return p.nextRef(i) && (p.clauseBegins(i) || p.unit(i-1, andSense, forSense, doneSense) || p.has(i-1, outcomeSense, done))
	}
	return false
}

// valueFirst reports whether the value at unit i begins a clause that ends with its
// item and another such clause stands beside it: "76 beim ersten und 84 bei Little Tug",
// "60 bpm warmup, 88 slurs".
func (p *parser) valueFirst(i int) bool {
	if !p.clauseBegins(i) && !p.unit(i-1, andSense) {
		return false
	}
	ref := p.valueOf(i)
	if ref == 0 {
		return false
	}
	if p.sheet.current() != nil {
		return p.ends(ref+1) || p.unit(ref+1, andSense)
	}
	next := p.past(ref+1, andSense, breakSense)
	other := p.valueOf(next)
	return next > ref+1 && other > 0 && (p.ends(other+1) || p.unit(other+1, andSense)) && (ref > i+1) == (other > next+1)
}

// valueOf returns the unit that names the item of the value at unit i, which stands right
// before it or with a small word between, or 0.
func (p *parser) valueOf(i int) int {
	if !p.unit(i, tempoSense) && !(p.unit(i, numSense) && !p.isItem(p.units[i].x)) {
		return 0
	}
	ref := p.past(i+1, articleSense, onSense, forSense, atSense, toSense, ofSense)
	if p.unit(ref, itemsSense) || ref > i+1 && p.namesItem(ref) {
		return ref
	}
	return 0
}

// numberOfName reads a number right after a name, as in "etude 1", that is small
// enough to be an item's: it may count the etudes or the items. If it is the
// item's own number nothing is in doubt.
func (p *parser) numberOfName(i int) bool {
	u, cur := &p.units[i], p.sheet.current()
	if cur == nil || !p.isItem(u.x) || !p.unit(i-1, itemsSense) || p.units[i-1].val == byNumber || !cur.bare() {
		return false
	}
	if !cur.items.has(int(u.x)) {
		cur.items.add(int(u.x))
		cur.vague = true
	}
	u.role = "number of what was named"
	return true
}

// itemPlace reports whether a bare number that could be an item's stands where
// an item is named.
func (p *parser) itemPlace(i int) bool {
	x, s := int(p.units[i].x), &p.sheet
	cur := s.current()
	switch {
	case s.leading > 0, s.inPart, p.has(i-1, atSense, 1) && (cur == nil || cur.vague):
		return true
	case p.unit(i-1, toSense) && p.unit(i-2, andSense, breakSense) && p.namesItem(i-3): // le di al 1, al 2 y al 4
		return true
	case p.unit(i-1, atSense) || p.unit(i-1, forSense) && cur != nil && !p.noneAfter(i):
		return false
	case cur == nil:
		return !p.loneFive(i)
	case s.leadNew: // did 1 but skipped 2
		return true
	case p.unit(i-1, notSense, insteadSense, butSense) || p.after(i, orSense):
		return true
	case cur.who != named || cur.bare() || cur.clause != s.clause:
		return true
	case cur.listing() && !cur.items.has(x) && (p.plus(i-1) || p.has(i-1, signSense, '/') || p.unit(i-1, numSense) && (!cur.weak || p.units[i-1].x == float64(x-1) || cur.items.count() > 1 && p.units[i-1].x < float64(x) && p.ends(i+1))): // skipped: 3 4, did 1 2 3, did 1+3
		return true
	case p.inWords(i):
		return p.nextOutcome(i) || p.unit(i+1, tempoSense)
	}
	return p.articleBefore(i) || !p.ends(i+1) || p.unit(i+1, breakSense) && p.unit(i+2, numSense) && p.namesItem(i+2)
}

// noneAfter reports whether words that leave out what is named follow unit i and the
// numbers after it: "für 4 und 5 keine Zeit".
func (p *parser) noneAfter(i int) bool {
	return p.unit(p.past(i, numSense, andSense, breakSense), noneSense)
}

// loneFive reports whether the number is all that is said and may well be
// minutes.
func (p *parser) loneFive(i int) bool {
	return len(p.units) == 1 && p.plausibleDay(p.units[i].x)
}

// numberOfItem reads a bare number that follows an item: its tempo, its minutes
// or, when both are within reach, a question.
func (p *parser) numberOfItem(i int, cur *saying) {
	u := &p.units[i]
	tempo := (cur.tempo.sense == unknown || p.sheet.mending) && p.withinReach(cur.items, u.x, slowest, fastest)
	minutes := cur.minutes == 0 && !u.approx && cur.items.only() != 0 && p.plausibleItem(cur.items, u.x)
	switch {
	case u.sense == tempoSense, tempo && !minutes:
		u.role = "tempo"
		p.setTempo(*u)
	case minutes && !tempo:
		cur.minutes, u.role = int(u.x), "minutes of the item"
	case !tempo && cur.outcome >= 0 && p.plausibleDay(u.x) && int(u.x)%5 == 0:
		p.dayMinutes(i)
	case cur.tempo.sense != unknown && p.withinReach(cur.items, u.x, slowest, fastest):
		cur.tempo2, u.role = *u, "another tempo"
		cur.tempo2.sense = tempoSense
	default:
		cur.other, u.role = int(u.x), "tempo or minutes"
	}
}

// numberOfDay reads a bare number that follows no item.
func (p *parser) numberOfDay(i int) {
	s, u := &p.sheet, &p.units[i]
	minutes := (s.minutes == 0 || s.mending) && p.plausibleDay(u.x) && !p.nextStrong(i) && !p.unit(i+1, tempoSense) && !(p.denies(i+1) && !p.unit(i+2, numSense, minutesSense)) &&
		!(u.x < fewest && p.unit(i+1, doneSense, fineSense))
	tempo := s.loose.tempo.sense == unknown && p.nearest(*u) != 0
	whole := s.whole != "" || len(s.says) > 0
	switch {
	case u.x == 0 && p.ends(i+1) || u.x == 0 && p.unit(i+1, dateSense):
		p.dayMinutes(i)
	case !p.isItem(u.x) && p.pointsAt(i) && p.nextOutcome(i), p.leftOutAt(i): // la 9 bien, 9 no time
		p.noSuchItem(i)
	case minutes && p.dayByDay(i):
		p.dayMinutes(i)
	case p.lateTempo(i, minutes):
	case minutes && !s.mending && p.lateEither(i):
	case p.isItem(u.x) && minutes:
		s.unsure, u.role = int(u.x), "item or minutes"
	case minutes && (!tempo || whole && p.count() > 1 || s.mending || p.has(i-1, sorrySense, 3)):
		p.dayMinutes(i)
		s.bareMinutes = true
	case tempo && !minutes:
		said := *u
		said.sense = tempoSense
		p.setTempo(said)
		u.role = "tempo"
	case tempo:
		s.unsure, u.role = int(u.x), "tempo or minutes"
	case len(p.units) == 1 && u.x >= 1 && u.x <= mostAsked:
		s.unsure, u.role = mistyped(u.x), "minutes, if anything"
	case p.nextOutcome(i):
		p.noSuchItem(i)
	case p.moreMinutes(i):
	default:
		p.word(i)
	}
}

// ofDayRole is the role of the minutes of a day.
const ofDayRole = "minutes of the day"

// dayByDay reports whether the number at unit i alone is said of a day, and minutes alone
// of the day before it: "Sunday 50 min, Monday 40".
func (p *parser) dayByDay(i int) bool {
	return p.ends(i+1) && p.unit(i-1, dateSense) && p.unit(i-2, breakSense) && i > 3 && p.units[i-3].role == ofDayRole && p.unit(i-4, dateSense)
}

// pointsAt reports whether "the" stands before unit i.
func (p *parser) pointsAt(i int) bool {
	return p.unit(i-1, onSense) || p.has(i-1, articleSense, definite)
}

// noItemAt reports whether unit i is a number that could be an item's and is none.
func (p *parser) noItemAt(i int) bool {
	return p.unit(i, numSense) && p.units[i].x >= 1 && p.units[i].x < leastBPM && !p.isItem(p.units[i].x) && !p.unit(i+1, minutesSense)
}

// leftOutAt reports whether the number at unit i, which is no item's, is said to have been left
// out, and sets that aside: "9 no time".
func (p *parser) leftOutAt(i int) bool {
	if !p.noItemAt(i) {
		return false
	}
	next := p.past(i+1, fillerSense, breakSense, colonSense, numSense, andSense)
	none := p.unit(next, noneSense) || p.unit(next, noSense) && p.ends(next+1)
	if !none || p.deniesPain(next) {
		return false
	}
	p.units[next].aside("no such item")
	return true
}

// noSuchItem notes that the number at unit i names an item that there is not.
func (p *parser) noSuchItem(i int) {
	s := &p.sheet
	s.noItem, s.cur, p.units[i].role = true, -1, "no such item"
	s.lead = -1
	p.skipRest(i)
}

// mistyped returns what minutes may have been meant by a number: one that no day has
// is taken for one with digits too many.
func mistyped(x float64) int {
	for x > 60*maxHours {
		x /= 10
	}
	return int(x)
}

// moreMinutes asks whether a second bare number that can be the day's minutes is
// to be added to the first.
func (p *parser) moreMinutes(i int) bool {
	s, u := &p.sheet, &p.units[i]
	if !s.bareMinutes || !p.plausibleDay(u.x) {
		return false
	}
	s.unsure, s.unsure2, s.minutes, u.role = s.minutes+int(u.x), s.minutes, 0, "more minutes?"
	return true
}

// lateEither reads a number in a clause of its own that may be the day's minutes
// as well as the tempo of the item spoken of: "3 slow, 70".
func (p *parser) lateEither(i int) bool {
	u, cur := &p.units[i], p.sheet.current()
	if cur == nil || cur.items.only() == 0 || cur.tempo.sense != unknown || !p.withinReach(cur.items, u.x, 0.75, 1.25) {
		return false
	}
	cur.other, u.role = int(u.x), "tempo or minutes"
	return true
}

// lateTempo reads a number in a clause of its own that may be a tempo of the item
// spoken of in the clause before: "4 for 10 min, 88". A second tempo is a clash.
func (p *parser) lateTempo(i int, minutes bool) bool {
	u, cur := &p.units[i], p.sheet.current()
	if cur == nil || cur.vague || !p.withinReach(cur.items, u.x, nearLow, nearHigh) || minutes && cur.minutes == 0 && int(u.x)%5 == 0 && !p.has(i-1, breakSense, '-') {
		return false
	}
	p.setTempo(*u)
	u.role = "tempo"
	return true
}

// bareRange reads a bare pair of numbers: items, or the way from one tempo to
// another.
func (p *parser) bareRange(i int) {
	u := &p.units[i]
	if !p.isItem(u.x) || !p.isItem(u.y) {
		if u.x < 20 {
			p.word(i)
			return
		}
		m := *u
		m.x, m.y = u.y, u.x
		p.setTempo(m)
		return
	}
	var set itemSet
	for n := int(u.x); n <= int(u.y); n++ {
		set.add(n)
	}
	p.about(i, set, false)
	u.role = "items"
}

// setTempo gives the items spoken of a tempo.
func (p *parser) setTempo(u mark) {
	s := &p.sheet
	u.sense = tempoSense
	cur := s.current()
	if cur == nil && p.count() == 1 && !s.content() && !s.sorry && !s.strange && !s.wordy && s.loose.outcome < 0 && p.withinReach(1<<1, u.x, slowest, fastest) { // 66 wobbly up high
		cur = s.begin(named, 1<<1)
	}
	if !cur.named() {
		if s.loose.tempo.sense == unknown || s.mend() {
			s.loose.tempo = u
		}
		return
	}
	cur.clause = s.clause
	if cur.tempo.sense == unknown && p.respectively(cur.items, u) {
		return
	}
	if cur.tempo.sense == unknown || s.mend() {
		cur.tempo = u
		return
	}
	if u.x == cur.tempo.x && u.y == 0 && u.note == 0 { // from 80 to 92, clean until 92
		return
	}
	cur.tempo2 = u
}

// respectively gives three or more items, which are spoken of, one tempo each of a list of as
// many: "1, 2, 3 at 80, 96, 110". It reports whether it did.
func (p *parser) respectively(items itemSet, u mark) bool {
	s, n := &p.sheet, items.count()
	if n < 3 {
		return false
	}
	var list []float64
	for _, t := range p.tokens(u.start, u.end) {
		switch {
		case t.kind == numberToken:
			list = append(list, t.num)
		case len(list) > 0 && t.kind == wordToken && p.senseOf(t.plain) != andSense, t.kind == signToken && (t.sign == '-' || t.sign == '>' || t.sign == arrow):
			return false // the way from one to another
		}
	}
	if len(list) != n {
		return false
	}
	s.sum = s.cur
	said, u := *s.current(), u
	u.y = 0
	for item, k := 1, 0; k < n; item++ {
		if !items.has(item) {
			continue
		}
		if u.x = list[k]; k > 0 {
			s.begin(named, 0)
			*s.current() = said
		}
		var only itemSet
		only.add(item)
		s.current().items, s.current().tempo = only, u
		k++
	}
	return true
}

// setCount gives the items spoken of the repeats at unit i.
func (p *parser) setCount(i int) {
	cur, u := p.sheet.current(), p.units[i]
	if cur == nil {
		cur = &p.sheet.loose
		p.sheet.counted = p.sheet.clause
	}
	tries := cur.count
	switch {
	case tries.sense == unknown || tries.x == u.x:
	case tries.y == 0 && u.y == tries.x: // 10 times, clean 7 of 10
	case tries.y == 0 && u.y == 0 && u.x < tries.x && cur.settled && cur.outcome == clean && p.judged(i-1): // 5 times and right 3 times
		u.y, cur.outcome, cur.settled = tries.x, -1, false
	default:
		cur.count2, u = u, tries
	}
	cur.count = u
	cur.clause = p.sheet.clause
}

// minutes reads minutes with their unit: of the item spoken of if they stand in
// its clause and can be its, else of the day.
func (p *parser) minutes(i int) {
	s, u := &p.sheet, &p.units[i]
	cur := s.current()
	ofItem := cur != nil && cur.items.only() != 0 && cur.minutes == 0 && !p.unit(i-1, totalSense) && !p.unit(i+1, totalSense)
	ofItem = ofItem && (cur.clause == s.clause || !p.lastMinutes(i)) && (p.unit(i-1, forSense) || p.plausibleItem(cur.items, u.x))
	ofItem = ofItem && !(p.judged(i-1) && p.units[max(0, i-2)].role == namedRole) // 1 70, 2 90, all clean 28 min
	if u.x >= 2*longDay && cur == nil && p.remarked(i-1) && p.clauseBegins(i-1) { // slept 4 hours
		s.unsure, u.role = int(u.x), "minutes, if anything"
		return
	}
	if p.ofOtherDoing(i) || p.untilThen(i) {
		u.role = "time of something else"
		p.sheet.strange = true
		return
	}
	if s.mending && cur.named() && cur.minutes > 0 { // warmup 5 min, no, 7 min
		s.mend()
		cur.minutes, u.role = int(u.x), "minutes of the item"
		return
	}
	if p.minutesLead(i) {
		s.held, u.role, s.minutesLead = int(u.x), "minutes of the item", true
		return
	}
	if ofItem {
		cur.minutes, cur.clause, u.role = int(u.x), s.clause, "minutes of the item"
		return
	}
	p.dayMinutes(i)
}

// ofOtherDoing reports whether the hours at unit i are those of something that is not
// understood, "2 hours of homework, then 20 min", or those until it: "lesson in 2 hours".
func (p *parser) ofOtherDoing(i int) bool {
	u, next := &p.units[i], i+1
	if p.unit(next, ofSense) {
		next++
	}
	what := i - 2
	switch {
	case p.unit(i-1, inSense, articleSense) && p.unit(what, excuseSense), // cours dans 2 heures
		p.unit(i-1, inSense) && p.unit(what, unknown) && p.clauseBegins(what) && p.sheet.current() == nil:
		return true
	}
	return u.x >= 120 && p.sheet.current() == nil && (p.unit(next, unknown) || (next > i+1 || u.x >= 180) && p.unit(next, plainSense, personSense))
}

// untilThen reports whether the time at unit i is that until something, of which its clause says
// nothing that was played: "in an hour I start", but not "all of it in an hour".
func (p *parser) untilThen(i int) bool {
	if !p.unit(i-1, inSense) {
		return false
	}
	from, to, words := p.clauseFrom(i), i+1, false
	for end := i + reach; to < end && !p.ends(to); {
		to++
	}
	for k := from; k < to; k++ {
		words = words || p.remarked(k) || p.unit(k, fillerSense)
	}
	past := slices.ContainsFunc(p.units[from:to], func(u mark) bool { return u.sense == dateSense && u.val < 0 })
	return words && !past && p.sheet.current() == nil && !p.saidIn(from, i, doneSense, allSense, outcomeSense, fineSense, halfSense, partlySense, onlySense) &&
		!p.saidIn(i+1, to, doneSense, allSense, outcomeSense, fineSense, halfSense, itemsSense, numSense)
}

// each reads "each" beside minutes or repeats: they are those of every item named.
func (p *parser) each(i int) {
	s := &p.sheet
	if cur := s.current(); cur.named() && p.unit(i+1, minutesSense) { // 2 und 3 je 10 min
		cur.minutes, p.units[i].role = int(p.units[i+1].x), "minutes of each item"
		p.units[i+1].sense = asideSense
		return
	}
	if cur := s.current(); cur.named() && cur.outcome < 0 && p.nextOutcome(i) { // 2 auf 88 und 3 auf 76 jeweils sauber
		p.units[i].role = namedRole
		s.sumUp(maxItems)
		return
	}
	for _, at := range [...]int{i - 1, i + 1} { // 1 at 40, 2 at 44, twice each
		if cur := s.current(); cur.named() && p.unit(at, countSense) {
			for k := range s.says {
				if y := &s.says[k]; y.who == named && y.sentence == s.sentence && y.count.sense == unknown && (k == s.cur || cur.items.only() != 0 && y.unjudged()) {
					y.count = p.units[at]
				}
			}
			p.units[at].sense, p.units[i].role = asideSense, "repeats of each item"
			return
		}
	}
	if len(p.spans) == 1 && p.unit(i-1, minutesSense) && s.minutes >= int(p.units[i-1].x) {
		s.minutes, s.each, p.units[i].role = s.minutes-int(p.units[i-1].x), int(p.units[i-1].x), "minutes of each item"
	}
}

// settleEach gives the items named the minutes said of each, or asks what they are.
func (p *parser) settleEach() {
	s := &p.sheet
	given := s.each == 0
	for i := range s.says {
		if y := &s.says[i]; y.who == named && y.minutes == 0 && s.each > 0 {
			y.minutes, given = s.each, true
		}
	}
	if !given {
		s.unsure = s.each
	}
}

// minutesLead reports whether minutes stand before their item: "15 min on 4",
// "10 min slurs, 20 min etude".
func (p *parser) minutesLead(i int) bool {
	if p.sheet.current() != nil && !p.sheet.minutesLead && !p.clauseBegins(i) || p.units[i].several {
		return false
	}
	named := p.unit(i+1, itemsSense) && p.units[i+1].val != byNumber || p.unit(i+1, articleSense) && (p.unit(i+2, itemsSense) || p.phrased(i+1) && p.nextRef(i)) // 20 min an der 3
	return named || p.unit(i+1, onSense, inSense, ofSense, forSense) && p.nextRef(i) || p.unit(i+1, toSense) && p.nextRef(i+1)
}

// dayMinutes notes the minutes of the day. Two figures that differ add up, as
// in "20 min this morning, 25 min tonight".
func (p *parser) dayMinutes(i int) {
	s, u := &p.sheet, &p.units[i]
	switch {
	case u.sense == minutesSense && u.approx && (s.whole == None || s.excuse != "" || p.unit(i-1, thingSense)): // réunions de 8h à 19h
		u.role = "time of something else"
		return
	case u.sense == minutesSense && u.approx:
		s.unsure, u.role = int(u.x), "minutes, if all of it"
		return
	case u.x > 60*maxHours && !p.saysTotal(i-1):
		s.unsure, u.role = int(min(u.x, 24*60)), "minutes, if anything"
		return
	case u.several:
		s.unsure, s.unsure2, u.role = int(u.x), int(u.y), "minutes"
		return
	case u.x == 0 && s.minutes == 0 && s.whole == "" && len(s.says) == 0:
		s.whole, u.role = None, "no minutes"
		return
	}
	u.role = ofDayRole
	if s.mend() {
		s.minutes = 0
	}
	s.further = s.further || s.minutes == 0 && p.addsTo(i)
	s.minutes = min(s.minutes+int(u.x+0.5), 24*60)
}

// addsTo reports whether the minutes at unit i add to those told before: "another 15 min".
func (p *parser) addsTo(i int) bool {
	if p.anyWord(i, p.table.adds) { // 10 more minutes
		return true
	}
	if p.unit(i-1, outcomeSense) && p.adds(i-2, i-2) || p.plus(i-1) && p.clauseBegins(i-1) { // j'ai encore joué 15 min, +15 min
		return true
	}
	return p.adds(i-1, i-1) || p.adds(i-2, i-1) || p.adds(i+1, i+1) || p.adds(i+1, i+2)
}

// adds reports whether the units first to last, if there are such, say that minutes beside
// them add to others.
func (p *parser) adds(first, last int) bool {
	return first >= 0 && last < len(p.units) && p.table.adds[foldAll(p.text[p.units[first].start:p.units[last].end])]
}

// saysTotal reports whether unit i says that minutes are the day's, in the language of
// the message or as a canonical text does.
func (p *parser) saysTotal(i int) bool {
	return p.unit(i, totalSense) || i >= 0 && strings.EqualFold(p.text[p.units[i].start:p.units[i].end], "total")
}
