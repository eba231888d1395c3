package reply

import (
	"slices"
	"strings"

	"ledgerline/routine"
)

// excuse reads why nothing was played, unless it is denied or only talked about.
func (p *parser) excuse(i int) {
	s, u := &p.sheet, &p.units[i]
	if cur := s.current(); cur.named() && cur.clause == s.clause && (p.unit(i-1, articleSense, ofSense) || p.inWords(i)) {
		p.word(i) // 3 with breaks
		return
	}
	if p.breaks(i) && s.current().named() && !p.clauseBegins(i) && !p.namesItem(i-1) && !p.judged(i-1) && !p.valued(i-1) {
		p.word(i) // 3 at 88, fewer breaks
		return
	}
	if p.talkedOf(i) || p.isEvent(i) && !p.phrased(i) && p.unit(i+1, itemsSense) { // concert piece
		u.role = "talk"
		p.sheet.wordy, p.sheet.strange = true, true
		return
	}
	before := i - 1
	for before > i-3 && p.unit(before, articleSense, fillerSense) {
		before--
	}
	if p.unit(before, chatSense) && p.units[before].val != greeting && p.lettersAt(before) && !p.divides(before) || p.unit(before, personSense) && p.units[before].val != opinion && p.unit(i-1, fillerSense) || p.unit(before, noSense, notSense, afterSense, forSense) || u.chatty && !p.phrased(i) {
		u.role = "talk"
		return
	}
	if !p.lettersAt(i) && (s.excuse != "" || p.before(i, chatSense)) { // día libre 🏖️, schönen Urlaub 🏖️
		u.role = "talk"
		return
	}
	if s.excuse == "" || excuses[u.val] != routine.RestDay { // gig tonight, saving my lip
		s.excuse, s.aside = excuses[u.val], p.inStory(i)
	}
	u.role = "excused"
}

// inStory reports whether the clause of unit i tells more, in words that are not understood.
func (p *parser) inStory(i int) bool {
	i = p.clauseFrom(i)
	strange := 0
	for end := i + 2*reach; i < end && !p.ends(i); i++ {
		if p.unit(i, unknown, plainSense, personSense) && p.lettersAt(i) {
			strange++
		}
	}
	return strange > 1
}

// breaks reports whether unit i is a word for rests that may be those in the music: "pauses".
func (p *parser) breaks(i int) bool {
	return p.unit(i, excuseSense) && excuses[p.units[i].val] == routine.RestDay && !p.phrased(i)
}

// dayOff reads "off" after a day.
func (p *parser) dayOff(i int) {
	if p.unit(i-1, dateSense) && p.ends(i+1) {
		p.sheet.excuse, p.units[i].role = routine.RestDay, "excused"
	}
}

// talkedOf reports whether the lesson or the concert at unit i is only talked about:
// "the concert is on Friday", "all set for the concert".
func (p *parser) talkedOf(i int) bool {
	if !p.isEvent(i) && (p.ends(i+1) || p.phrased(i)) || !p.unit(i-1, articleSense, onSense) || p.unit(i-1, articleSense) && p.units[i-1].val != 2 {
		return false
	}
	switch p.senseAt(i - 2) {
	case breakSense, stopSense, forSense, toSense, ofSense, fromSense, afterSense, chatSense:
		return true
	}
	return false
}

// isEvent reports whether the reason not to play at unit i is a lesson or a concert.
func (p *parser) isEvent(i int) bool {
	e := excuses[p.units[i].val]
	return e == routine.Lesson || e == routine.Performance
}

// asideEvent sets the lesson or the concert at unit i, which is to come, aside with its date.
func (p *parser) asideEvent(i int) {
	p.units[i].aside(talked)
	for end := i + reach; i < end && !p.ends(i+1); {
		if i++; p.unit(i, dateSense, numSense) {
			p.units[i].aside(talked)
		}
	}
}

// toCome reports whether the lesson or the concert at unit i is some days ahead: "the
// recital is in 9 days", "concert on Saturday at 7".
func (p *parser) toCome(i int) bool {
	if slices.ContainsFunc(p.units[p.clauseFrom(i):i], func(u mark) bool { return u.role == toCome }) { // en 3 días concierto
		return true
	}
	dated := false
	for end := i + reach; i < end && !p.ends(i+1); {
		i++
		switch {
		case p.units[i].role == toCome:
			return true
		case p.unit(i, inSense) && p.unit(i+1, numSense, numberSense) && p.unit(i+2, thingSense):
			return true
		case p.unit(i, dateSense) && p.units[i].val < -recent, p.unit(i, dateSense) && p.units[i].several && p.unit(i-1, onSense), p.unit(i, dateSense) && p.units[i].several && strings.ContainsAny(p.text[p.units[i].start:p.units[i].end], "0123456789"):
			return true // the concert on the 20th
		case p.unit(i, dateSense), p.unit(i, asideSense):
			dated = dated || p.unit(i, asideSense) || p.units[i].val != 0
		case dated && (p.unit(i, atSense) && p.unit(i+1, numSense) || p.units[i].role == hourRole):
			return true
		}
	}
	return false
}

// moods finds how the player feels where it takes two words to say so: "lips are
// toast", "dead chops", "I feel amazing". What is said of the body and is not
// understood may be pain.
func (p *parser) moods() {
	bodily := false // the sentence is about how the player is
	for i := range p.units {
		u := &p.units[i]
		feels := u.sense == articleSense && u.val == 1
		switch {
		case p.endsSentence(i):
			bodily = false
		case bodily && u.mood != 0 && u.sense == plainSense && p.unit(i-1, breakSense): // lips fresh at first, dead by the end
			u.feel()
		}
		if u.sense != bodySense && !feels {
			continue
		}
		bodily = true
		if mood := p.moodBefore(i); mood != nil && u.sense == bodySense {
			mood.feel()
			continue
		}
		if mood := p.painBefore(i); mood != nil && u.sense == bodySense {
			mood.feel()
			continue
		}
		j, linked := p.predicate(i)
		switch {
		case j >= len(p.units) || feels && p.afterItem(i):
		case moods[max(0, p.units[j].mood-1)] == "pain?" && p.itemIn(i) && !(linked && !feels && p.clauseBegins(i)):
		case !feels && (p.clauseBegins(i) || linked && p.after(i, andSense)) && p.units[j].sense == fineSense: // lips fine
			u.sense, p.units[j].sense = asideSense, asideSense
		case p.units[j].mood != 0:
			p.units[j].feel()
		case !feels && p.clauseBegins(i) && p.units[j].sense == outcomeSense && p.units[j].val == shaky:
			p.units[j].sense = doubtSense
		case !feels && (linked || j == i+1 && (p.ends(j+1) || p.unit(j+1, dateSense))) && (!p.itemIn(i) || p.unit(p.back(i-1, articleSense, fillerSense), breakSense)) && (p.units[j].sense == unknown || p.units[j].sense == plainSense) && p.clauseBegins(i):
			p.units[j].sense = doubtSense
		}
	}
}

// moodBefore returns the word right before the body at unit i, or before its article,
// that says how it is: "dead chops", "cansados los labios". It is nil if there is none.
func (p *parser) moodBefore(i int) *mark {
	first := p.head(i)
	if first == 0 || p.units[first-1].mood == 0 || first < i && moods[p.units[first-1].mood-1] == "fresh" { // rested my chops
		return nil
	}
	return &p.units[first-1]
}

// painBefore returns the word of pain before the body at unit i in its clause, with other
// words between: "mir klingeln seit der Probe die Ohren". It is nil if there is none.
func (p *parser) painBefore(i int) *mark {
	for end := max(0, i-reach); i > end && !p.ends(i-1); {
		if i--; p.units[i].mood != 0 && moods[p.units[i].mood-1] == "pain" && p.units[i].sense == plainSense {
			return &p.units[i]
		}
	}
	return nil
}

// feel makes a feeling of what a word says.
func (m *mark) feel() {
	switch m.val = int(m.mood - 1); moods[m.val] {
	case "pain":
		m.sense = painSense
	case "pain?":
		m.sense = doubtSense
	default:
		m.sense = feelSense
	}
}

// predicate returns the unit that says how the body at unit i is, and whether a
// word like "are" links the two.
func (p *parser) predicate(i int) (j int, linked bool) {
	for j = i + 1; j < len(p.units) && j < i+reach; j++ {
		switch u := &p.units[j]; {
		case u.mood != 0 && !(j+1 < len(p.units) && p.units[j+1].mood != 0): // not "am Ende" in "war am Ende taub"
			return j, linked
		case u.mood != 0:
		case u.sense == fillerSense, u.sense == articleSense && u.val == 1:
			linked = true
		case u.sense == articleSense, u.sense == bodySense, u.sense == andSense, u.sense == dateSense:
		default:
			return j, linked
		}
	}
	return len(p.units), false
}

// itemIn reports whether an item is named before unit i in its sentence.
func (p *parser) itemIn(i int) bool {
	for end := max(0, i-reach); i > end && !p.endsSentence(i-1); {
		i--
		if p.unit(i, itemsSense, numSense, rangeSense) {
			return true
		}
	}
	return false
}

// afterItem reports whether an item is named right before unit i.
func (p *parser) afterItem(i int) bool {
	return p.unit(i-1, itemsSense, numSense) || p.unit(i-1, fillerSense) && p.unit(i-2, itemsSense, numSense)
}

// deniesPain reports whether the word at unit i says that there is no pain.
func (p *parser) deniesPain(i int) bool {
	for j := i + 1; j < len(p.units) && j <= i+4; j++ {
		switch p.units[j].sense {
		case painSense, doubtSense, feelSense:
			return p.lettersAt(j) || !p.unit(j, feelSense)
		case breakSense, stopSense, querySense, signSense, numSense, itemsSense:
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
		s.gone, u.role = true, "pain gone"
	case u.sense == jokeSense:
		p.word(i)
	case p.denied(i):
		u.role = "denied"
	case u.sense == feelSense && !p.lettersAt(i) && (s.excuse != "" || s.whole == None || s.content() && feels[u.val] == routine.Fresh || p.unit(i-1, outcomeSense) && p.units[i-1].val != clean || p.remarked(i-1)): // rest day 😴, 3 shaky 😩, so much homework 😩
	case u.sense == feelSense && (p.ofSound(i) || p.remarked(i-1) && p.lettersAt(i-1) && p.afterItem(i-1) && s.current() != nil): // 3 sounded tired
		p.remark(i)
	case u.sense == feelSense && feels[u.val] == routine.Fresh && p.feltSo(i): // 3 felt good
		p.settle(s.current(), clean)
		u.role = "outcome"
	case u.sense == feelSense:
		s.feel, u.role = feels[u.val], "feel"
	case u.sense == doubtSense || u.typo || p.itemHurts(i):
		s.doubt, u.role = true, "pain?"
	default:
		s.pain, u.role = true, "pain"
	}
}

// feltSo reports whether the freshness at unit i is said of the item spoken of: "3 felt good",
// "3 at 84 felt good".
func (p *parser) feltSo(i int) bool {
	cur := p.sheet.current()
	if !cur.named() {
		return false
	}
	return p.afterItem(i) && cur.bare() || p.valued(i-1) && cur.outcome < 0 && p.phrased(i)
}

// itemHurts reports whether it is an item that the word at unit i calls a pain: "3 is a pain".
func (p *parser) itemHurts(i int) bool {
	return p.has(i-1, articleSense, indefinite) && p.afterItem(i-1)
}

// ofSound reports whether the one word of freshness at unit i is said of how an item
// sounded: "3 limpio pero muy fuerte".
func (p *parser) ofSound(i int) bool {
	cur := p.sheet.current()
	return feels[p.units[i].val] == routine.Fresh && cur.named() && cur.clause == p.sheet.clause && !p.phrased(i)
}

// doubtPain makes a question of pain that the word at unit i denies by halves: "hardly hurts",
// "far from painless", "not without pain", "no pain except in 3".
func (p *parser) doubtPain(i int) {
	u, no := &p.units[i], p.denies(i)
	if u.sense == outcomeSense && (u.val == missed || u.val == skipped) {
		p.painfulOnly(i)
		return
	}
	next := p.past(i+1, fillerSense, articleSense, bodySense)
	switch {
	case p.unit(next, jokeSense) && (no && (!p.phrased(next) || p.holds(next, exceptSense)) || u.sense == exceptSense || u.sense == aboutSense && u.val == almost && p.phrased(i)),
		u.sense == notSense && u.val == scarcely && p.unit(next, painSense):
	case no && p.unit(next, exceptSense) && p.unit(next+1, painSense):
		p.units[next].sense, p.units[next].val = fillerSense, 0
		next++
	case u.sense == exceptSense && (p.unit(i-1, jokeSense) || p.unit(i-1, painSense) && p.denies(i-2)):
		next = i - 1
		if p.denies(i - 2) {
			p.units[i-2].sense, p.units[i-2].val = fillerSense, 0
		}
	default:
		return
	}
	u.sense, u.val = fillerSense, 0
	p.units[next].sense = doubtSense
}

// painfulOnly makes a question of the pain without which the outcome at unit i says that it
// did not go: "couldn't play 3 without pain".
func (p *parser) painfulOnly(i int) {
	for end := i + reach; i < end && !p.ends(i+1); {
		switch i++; p.units[i].sense {
		case exceptSense:
			if p.unit(i+1, painSense) {
				p.units[i].sense, p.units[i].val, p.units[i+1].sense = fillerSense, 0, doubtSense
			}
			return
		case jokeSense:
			if p.holds(i, exceptSense) {
				p.units[i].sense = doubtSense
			}
			return
		case fillerSense, articleSense, onSense, itemSense, itemsSense, numSense, rangeSense, andSense, doneSense:
		default:
			return
		}
	}
}

// denied reports whether "no", "not", "nothing" or "without" stands before unit
// i in its clause, four units back at most.
func (p *parser) denied(i int) bool {
	for j := i - 1; j >= 0 && j >= i-4; j-- {
		switch p.units[j].sense {
		case noSense, notSense, exceptSense:
			return true
		case noneSense: // but "pas aujourd'hui j'ai mal"
			return !p.phrased(j)
		case hedgeSense, fillerSense:
			if p.unit(j, hedgeSense) || p.player(j) { // not today I have a sore lip
				return false
			}
		case painSense, doubtSense, onlySense:
			if p.units[i].sense == feelSense {
				return false
			}
		case breakSense, stopSense, querySense, signSense, itemsSense, numSense, outcomeSense, butSense:
			return false
		}
	}
	return false
}
