package reply

import "slices"

// wrongRole is the role of a value that another puts right.
const wrongRole = "what was wrong"

// wrongAfter reports whether a value like one that was said follows unit i, with no
// more than "was" or "at" between.
func (p *parser) wrongAfter(i int) bool {
	i = p.past(i+1, fillerSense, atSense)
	return p.valued(i) && (p.sheet.content() && p.differs(&p.units[i]) || p.wasSaid(&p.units[i]))
}

// repairs reports whether the word at unit i stands between two values of one kind, of
// which the second is right: "40 min, no, 45", "2 at 92, er, 90", "clean... no, shaky".
func (p *parser) repairs(i int) bool {
	before := i - 1
	for p.unit(before, breakSense) || p.unit(before, stopSense) && rune(p.units[before].val) == ellipsis || before >= 0 && p.divides(before) {
		before--
	}
	if p.unit(i, noSense) && (before == i-1 || p.units[i].val == alsoNot && !p.unit(i+1, breakSense)) { // 2 a 92, no 90
		return false
	}
	after := p.past(i+1, breakSense, sorrySense, fillerSense, atSense)
	if p.with(after) { // mit 108, nein, mit 104
		after++
	}
	if !p.valued(before) || !p.valued(after) {
		return p.judged(before) && p.judged(after)
	}
	was, is := &p.units[before], &p.units[after]
	return is.sense == was.sense || is.sense == numSense && !p.isItem(is.x) || was.sense == numSense && !p.isItem(was.x)
}

// judged reports whether unit i is an outcome.
func (p *parser) judged(i int) bool { return p.unit(i, outcomeSense, fineSense) }

// valued reports whether unit i is a number, a tempo or minutes.
func (p *parser) valued(i int) bool {
	return p.unit(i, numSense, tempoSense, minutesSense)
}

// redate reads a message that says no more than that what was reported last is of another
// day, with a word of correction for it or because it denies today: "that was for Monday",
// "it was yesterday, not today". It leaves the day and a word of correction of it.
func (p *parser) redate() {
	if p.ctx.Last == nil || len(p.units) > 3*reach {
		return
	}
	day, denied, strange := -1, false, 0
	notToday := false
	for i := range p.units {
		notToday = notToday || p.units[i].sense == noneSense && p.units[i].today || p.has(i, dateSense, 0) && p.denies(p.back(i-1, articleSense, toSense, forSense, atSense))
	}
	for i := range p.units {
		switch u := &p.units[i]; {
		case u.sense == dateSense && u.val != 0 && day < 0:
			day = i
		case u.sense == dateSense && u.val == 0 && notToday, u.sense == noneSense && u.today, u.sense == sorrySense && u.val == ofAnotherDay && day < 0:
			denied = true
		case u.sense == dateSense && !denied:
			return
		case u.sense == aboutSense, u.sense == hedgeSense: // not today I have visitors, Monday maybe
			return
		case notToday && u.sense != dateSense && (!reports(u.sense) || u.sense == doneSense && u.val == 1):
		case u.sense == unknown, u.sense == plainSense:
			if strange++; strange > 1 || denied && day < 0 { // that was fun yesterday
				return
			}
		case matters(u.sense) && !p.denies(i):
			return
		}
	}
	if day < 0 || !denied {
		return
	}
	for i := range p.units {
		if u := &p.units[i]; i != day {
			u.sense, u.val, u.role, u.today = fillerSense, 0, "not of today", false
		}
	}
	other := &p.units[(day+1)%len(p.units)]
	other.sense, other.role = sorrySense, ""
}

// refused reports whether "no" alone follows the value at unit i, and another value that is
// right: "60 no, 50 min", or a word of correction and another value a value said in the
// message before: "92 should be 96".
func (p *parser) refused(i int) bool {
	if !p.valued(i) || p.namesItem(i) {
		return false
	}
	if p.unit(i+1, sorrySense) && p.valued(i+2) && !p.namesItem(i+2) && p.wasSaid(&p.units[i]) && !p.wasSaid(&p.units[i+2]) {
		return true
	}
	return (p.unit(i+1, noSense) || p.unit(i+1, noneSense) && !p.phrased(i+1)) && p.unit(i+2, breakSense) && p.valued(i+3)
}

// retracted reports whether the clause of the value at unit i says that it was wrong, and
// another value is said beside it: "66 on 3, the 72 was a typo".
func (p *parser) retracted(i int) bool {
	if !p.valued(i) {
		return false
	}
	wrong := p.past(i+1, fillerSense, articleSense)
	if wrong == i+1 || !p.unit(wrong, sorrySense) || p.units[wrong].val != 0 || !p.ends(wrong+1) || !p.clauseBegins(p.head(i)) {
		return false
	}
	return slices.ContainsFunc(p.units[max(0, i-2*reach):i], p.rivals(i)) || slices.ContainsFunc(p.units[wrong:min(len(p.units), wrong+2*reach)], p.rivals(i))
}

// retractedBy returns the value that the word of correction at unit i calls wrong, or -1.
func (p *parser) retractedBy(i int) int {
	i = p.back(i-1, fillerSense, articleSense)
	if i < 0 || p.units[i].sense != asideSense || p.units[i].role != wrongRole {
		return -1
	}
	return i
}

// rivals returns what tells whether a unit may be said in place of the value at unit i.
func (p *parser) rivals(i int) func(mark) bool {
	was := &p.units[i]
	return func(u mark) bool {
		switch u.sense {
		case numSense:
			return u.x != was.x && !p.isItem(u.x)
		case tempoSense, minutesSense:
			return u.x != was.x && (was.sense == u.sense || was.sense == numSense)
		}
		return false
	}
}

// mend reports whether a value is to replace the one of its kind that was said
// before, and takes note that it has.
func (s *sheet) mend() bool {
	mending := s.mending
	s.mending, s.mendItem = false, false
	return mending
}

// correct reads the words of correction.
func (p *parser) correct(i int) {
	s, u := &p.sheet, &p.units[i]
	switch u.sense {
	case undoSense:
		s.undo, u.role = true, "undo"
		return
	case sorrySense:
		if cur := s.current(); cur != nil && u.val == inTheEnd && (cur.clause == s.clause || p.unit(i-1, breakSense) && p.judged(i-2)) && (p.ends(i+1) || p.unit(i+1, ofSense)) && !s.sorry || cur != nil && (p.remarked(i+1) || p.unit(i+1, thingSense)) && !p.ends(i+2) { // wrong valve combo
			p.word(i)
			return
		}
		if p.ctx.Last == nil && (u.val == 0 && (p.apology(i) || p.unit(p.past(i+1, breakSense, fillerSense), onlySense)) || u.val == inTheEnd && !s.content()) { // al final la 4 a 80
			u.role = talked
			return
		}
		if u.val == retold {
			p.retells(i)
			return
		}
		if v := p.retractedBy(i); v >= 0 && p.wasSaid(&p.units[v]) {
			s.wrong, s.sorryAt = p.units[v], true
			s.wrong.sense = numSense
		}
		s.sorryAt = s.sorryAt || !s.content()
		s.sure = s.sure || u.val == 1
		s.mending, s.mendItem = s.content(), s.content() && u.val == 2
		s.sorry, u.role = true, "correction"
		return
	}
	p.deny(i)
}

// retells reads "I said" at unit i and the value after it that was wrong, if the right
// one follows, "I said 50 but it was 35", or came before.
func (p *parser) retells(i int) {
	s, v := &p.sheet, 0
	for j := i + 1; j < min(len(p.units), i+reach); j++ {
		switch {
		case p.valued(j) && !(v > 0 && p.namesItem(j)), p.judged(j): // dije regular el 2
			v = j
		case v > 0 && !p.namesItem(v) && p.unit(j, fillerSense) && p.valued(j+1) && p.units[j+1].x != p.units[v].x: // donde puse 25 eran 20
			p.wasWrong(i, v)
			return
		case p.unit(j, butSense), p.unit(j, breakSense):
			if v > 0 && p.unit(j+1, fillerSense, sorrySense, weakKeySense) { // "es" is a key too
				p.wasWrong(i, v)
			}
			return
		}
	}
	if v > 0 && p.standsAlone(v) && s.content() { // 3 was shaky, I put clean
		p.wasWrong(i, v)
	}
}

// wasWrong notes that the word of correction at unit i says that the value at unit v was
// wrong.
func (p *parser) wasWrong(i, v int) {
	s := &p.sheet
	if s.sorry, s.sorryAt = true, true; p.valued(v) {
		s.wrong = p.units[v]
	}
	p.units[v].sense, p.units[v].role, p.units[i].role = asideSense, wrongRole, "correction"
}

// apology reports whether the clause at unit i has words that are not understood and
// no value: "sorry, busy at work" corrects nothing.
func (p *parser) apology(i int) bool {
	strange, dated := false, false
	for i++; !p.ends(i); i++ {
		switch s := p.units[i].sense; {
		case s == sorrySense && p.remarked(i+1): // sorry wrong chat
		case p.remarked(i), s == thingSense, s == chatSense && p.lettersAt(i): // sorry I'm late with my emails
			strange = true
		case tells(s), s == itemsSense, s == numSense, s == fineSense, s == sorrySense:
			return false
		case s == dateSense, s == asideSense:
			dated = true
		}
	}
	return strange && !dated || dated && p.endsSentence(i)
}

// deny reads "not" before a value: what is said there was wrong.
func (p *parser) deny(i int) {
	j := p.past(i+1, fillerSense, articleSense, onSense, atSense, dateSense)
	if p.remarked(j) && p.goodAfter(j) == j+1 { // doesn't sound clean
		p.units[j].sense, j = fillerSense, j+1
	}
	switch {
	case p.restDenied(i, j):
	case p.units[i].sense == insteadSense && p.instead(i, j):
	case p.ends(j), p.unit(j, andSense, butSense) && p.namesItem(i-1): // 1 nicht, 1 nicht aber 2
		p.denyItem(i)
	case p.denyFurther(i, j):
	default:
		p.denyValue(i, j)
	}
}

// restDenied asks about the rest, of which the denial at unit i says what is not understood at unit j,
// "didn't attempt the rest", and reports whether that is so.
func (p *parser) restDenied(i, j int) bool {
	rest := p.past(j+1, articleSense, onSense, fillerSense)
	if !p.unit(j, unknown, plainSense) || !p.unit(rest, othersSense, restSense) || p.nextOutcome(rest) {
		return false
	}
	p.sheet.noItem, p.sheet.cur = true, -1
	p.units[rest].aside("the other items?")
	p.units[i].role = "not"
	return true
}

// instead reads "instead of" with unit j after it, where that isn't a value which
// was wrong: within a remark, or of the whole routine.
func (p *parser) instead(i, j int) bool {
	s := &p.sheet
	switch {
	case i > 0 && p.units[i-1].role == "remark" && j < len(p.units):
		p.word(i)
		p.units[j].sense = plainSense
	case s.current() == nil && !s.content() && p.namesItem(j): // instead of 2 I did 3
		s.hold(skipped)
	case s.current() == nil && !s.content():
		s.noItem = true
	default:
		return false
	}
	return true
}

// denyFurther reads "not" before unit j where something was denied or said of an
// item before: "neither 1 nor 2", "skipped 2, not 3", "84 but not 92".
func (p *parser) denyFurther(i, j int) bool {
	s, v := &p.sheet, &p.units[j]
	cur := s.current()
	switch {
	case cur == nil:
		return false
	case (v.sense == numSense || v.sense == countSense) && cur.count.sense != unknown && v.x != cur.count.x && p.ctx.Last != nil: // 5 times, not 3
		v.sense, v.role, s.sorry, s.sorryAt = asideSense, wrongRole, true, true
	case p.units[i].val == 1 && cur.led && s.lead >= 0: // "nor" goes on with what was left out
	case cur.led && !s.leadNot && !s.sorry && cur.outcome == skipped && p.namesItem(j):
		v.aside("not left out")
	case p.unit(i-1, butSense) && cur.tempo.sense != unknown && (v.sense == tempoSense || v.sense == numSense):
		cur.tempo2, cur.other2 = *v, missed+1
		v.aside("another tempo")
		cur.tempo2.sense = tempoSense
	default:
		return false
	}
	return true
}

// denyValue reads "not" at unit i before the value or word at unit j.
func (p *parser) denyValue(i, j int) {
	s, v := &p.sheet, &p.units[j]
	if p.notReached(j) {
		p.settle(s.current(), missed)
		return
	}
	if cur := s.current(); cur != nil && cur.tempo.sense != unknown && (v.sense == tempoSense || v.sense == numSense) && v.x > cur.tempo.x && p.ctx.Last == nil && p.unit(j+1, fillerSense) && p.ends(j+2) { // 88 clean, not at 96 yet
		v.sense = plainSense
		p.word(i)
		return
	}
	switch v.sense {
	case numSense, tempoSense, minutesSense, itemsSense:
		if s.content() && p.differs(v) || p.wasSaid(v) || v.sense != itemsSense && !p.isItem(v.x) && (p.unit(j+1, butSense) || p.putRight(j)) {
			s.wrong, s.sorry, s.sorryAt = *v, true, true
			v.aside(wrongRole)
		} else if !s.wordy && p.namesItem(j) {
			s.hold(skipped)
			s.leadNot = true
		}
	case outcomeSense, fineSense:
		if u := &p.units[i]; u.end-u.start > 1 || !p.phrased(j) { // n'était pas propre
			p.denyOutcome(j)
		}
	case partlySense, halfSense:
		if s.whole != All || s.current() != nil {
			p.word(i)
			return
		}
		s.sorry, s.sorryAt = true, true // it was all of it, not half
		v.aside(wrongRole)
	case doneSense, allSense:
		p.denyDone(j)
	case othersSense, restSense: // did 1 but not the rest
		if !s.content() || p.nextOutcome(j) {
			p.word(i)
			return
		}
		s.hold(skipped)
		s.leadNot = true
	default:
		p.word(i)
	}
}

// putRight reports whether another value follows the one at unit j after a comma: "not 20,
// 30 min".
func (p *parser) putRight(j int) bool {
	k := p.past(j+1, breakSense, butSense, insteadSense, fillerSense)
	return k > j+1 && p.valued(k) && !p.isItem(p.units[k].x)
}

// wasSaid reports whether the last reading has the value.
func (p *parser) wasSaid(v *mark) bool {
	last := p.ctx.Last
	return last != nil && v.sense != itemsSense && (p.lastWith(v.x) != 0 || last.Minutes > 0 && last.Minutes == int(v.x))
}

// notReached reports whether the value at unit j, which is denied, is the tempo at which the
// item before it did not come off: "3 not at 96 yet".
func (p *parser) notReached(j int) bool {
	cur, v := p.sheet.current(), &p.units[j]
	if cur == nil || !cur.bare() || v.sense != tempoSense && v.sense != numSense || v.x < leastBPM || p.isItem(v.x) || p.wasSaid(v) {
		return false
	}
	return p.withinReach(cur.items, v.x, slowest, fastest) && !p.unit(j+1, butSense) && !p.putRight(j)
}

// denyItem reads "not" with nothing after it: the item spoken of was left out, or
// what was said of it did not come off.
func (p *parser) denyItem(i int) {
	s := &p.sheet
	cur := s.current()
	switch {
	case cur != nil && p.strangeBefore(i):
		s.noItem, cur.remark = true, span{}
	case cur == nil && p.notPlayed(i): // supposed to do 3 but didn't
		return
	case cur == nil && !s.content() && !s.wordy: // not today
		s.whole, p.units[i].role = None, "the whole day"
		return
	case cur == nil || cur.clause != s.clause && !(cur.bare() && p.unit(i-1, breakSense)): // but "die 3, nicht"
		p.word(i)
		return
	case cur.bare() && p.units[i].val == wasNot && s.cur > 0 && s.says[s.cur-1].judgedSo(): // 2 was clean but 3 wasn't
		outcome := clean
		if s.says[s.cur-1].outcome == clean {
			outcome = shaky
		}
		p.settle(cur, outcome)
	case cur.bare(), cur.who == theRest && cur.weak: // did 1 and 4, the others not
		p.settle(cur, skipped)
	case cur.outcome < 0 && cur.tempo.sense != unknown && !p.inWords(i): // die 3 bei 96 nicht
		p.settle(cur, missed)
	case cur.settled && cur.outcome == clean && !cur.clash() && !p.inWords(i):
		cur.outcome = missed // "ging heute nicht"
	default:
		p.word(i)
		return
	}
	p.units[i].role = "outcome"
}

// strangeBefore reports whether all that stands before unit i in its clause, after a
// comma, is a word that was not understood, and may be the name of an item.
func (p *parser) strangeBefore(i int) bool {
	i--
	n := 0
	for p.unit(i, unknown, articleSense) {
		if p.unit(i, unknown) {
			n++
		}
		i--
	}
	return n > 0 && p.unit(i, breakSense)
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
		v.aside(wrongRole)
		s.sorry = s.sorry || p.ctx.Last != nil
		return
	}
	if v.val == skipped && cur != nil && cur.bare() { // el 2 no lo salté
		s.sorry = s.sorry || p.lastWas(cur.items, skipped)
		p.settle(cur, done)
		v.aside("denied")
		return
	}
	if v.val == clean {
		v.val, v.sense = shaky, outcomeSense
	} else if v.val == done {
		v.val = skipped
	} else {
		v.aside("denied")
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
