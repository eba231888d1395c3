package reply

import "strings"

// talked is the role of what is about something else.
const talked = "talk"

// asideTalk sets aside the clauses of the sentence from-to that speak of something
// else. A report must earn its keep: a word for the whole day, minutes or a number
// says nothing among words that are not understood, unless an item is named or
// something is said to have been played.
func (p *parser) asideTalk(from, to int) {
	first := from
	for from < to {
		end := p.endOfClause(from, to)
		next := end + 1
		opined := p.opined(from, end)
		if (opined || from == first && (p.unit(from, jokeSense) || p.unit(from+1, jokeSense))) && p.onlyName(end+1, to) { // so boring, that Night Boat
			opined, end, next = true, to, to+1
		}
		switch {
		case opined && p.onlyName(first, from-1):
			p.putAside(first, end, talked)
		case opined, p.elsewhere(from, end):
			if report := p.reportWithin(from, end); report > 0 {
				end, next = report, report
			}
			if p.unit(from, dateSense) && end < to { // Saturday we had visitors and I did 1
				from++
			}
			p.putAside(from, end, talked)
		}
		from = next
	}
}

// reportWithin returns where the player tells of items after what the clause from-to begins with, "the
// neighbours were out so I did 1 and 2", or 0.
func (p *parser) reportWithin(from, to int) int {
	for k := from + 1; k < to; k++ {
		if p.unit(k, personSense) {
			return 0
		}
		verb := p.past(k, fillerSense)
		if p.mine(k) && (p.unit(verb, doneSense) || p.has(verb, outcomeSense, done)) && p.nextRef(verb) {
			return k
		}
	}
	return 0
}

// endOfClause returns where the clause at unit i ends, at to at the latest.
func (p *parser) endOfClause(i, to int) int {
	for i < to && !p.parts(i) {
		i++
	}
	return i
}

// parts reports whether unit i stands between clauses that may speak of different
// things.
func (p *parser) parts(i int) bool {
	u := &p.units[i]
	switch u.sense {
	case breakSense, butSense:
		return true
	case andSense:
		return p.mine(i+1) || p.unit(i+1, feelSense) && p.phrased(i+1) || u.val != 1 && !p.namesItem(i-1) && (p.tellsItemAt(i+1) || p.tellsDayAt(i+1)) // and no chops left, and the 1 went well
	case colonSense:
		return (p.lettersAt(i-1) || p.unit(i-1, dateSense)) && !p.unit(i-1, laterSense)
	case chatSense, fineSense:
		return !p.lettersAt(i)
	case fillerSense, articleSense:
		return p.givesReason(i) && !(u.sense == fillerSense && p.has(i-1, fillerSense, 1)) // 4 is so eerie
	case signSense:
		return !u.glued && (u.val == '-' || u.val == '–' || u.val == '—' || u.val >= '🌀')
	}
	return false
}

// tellsItemAt reports whether an item is named at unit i, with an article at most before it, and it is
// said how it went or at which tempo: "la 1 me ha salido perfecta".
func (p *parser) tellsItemAt(i int) bool {
	if p.unit(i, articleSense, onSense) {
		i++
	}
	return p.namesItem(i) && (p.nextOutcome(i) || p.valued(p.past(i+1, atSense, articleSense)) || p.listJudged(i) > 0)
}

// tellsDayAt reports whether unit i begins what is said of the whole day: "only 20 min", "everything
// but 3".
func (p *parser) tellsDayAt(i int) bool {
	return p.unit(i, onlySense) && (p.unit(i+1, minutesSense) || p.nextRef(i)) || p.unit(i, allSense) && p.unit(i+1, butSense, exceptSense) && p.nextRef(i+1)
}

// elsewhere reports whether the clause from-to is about something else.
func (p *parser) elsewhere(from, to int) bool {
	c := claims{from: from}
	for i := from; i < to; i++ {
		if !p.weigh(&c, i) {
			return false
		}
	}
	switch {
	case c.price, c.undo:
		return true
	case c.strange == 0, c.told, p.itemIn(from):
		return false
	case c.number == 0 && c.whole != 0:
		return true
	case c.number == 0:
		return c.strange > 1 && (c.excuse != 0 || c.quality) && !c.player && !p.restsAfter(to)
	case p.playedThere(from, c.number-1):
		return false
	}
	against, amid := c.strange, c.early < c.strange && c.number > from+1 // twelve of us in the band
	if p.unit(c.number-1, minutesSense) || p.isItem(p.units[c.number-1].x) {
		against, amid = c.early, false // what follows may be a remark
	}
	return against > 1 || against == 1 && (c.subject || amid)
}

// opined reports whether the clause from-to says what the player thinks of an item and
// not how it went: "Fog Signal is my favourite", but not "4 scares me, nailed it".
func (p *parser) opined(from, to int) bool {
	if p.tellsIn(from, to) || p.ratedIn(from, to) || !p.judges(from, to) {
		return false
	}
	for end := min(len(p.units), to+4*reach); to < end && !p.namesItem(to) && !p.endsSentence(to); to++ {
		if tells(p.units[to].sense) && !p.unit(to, minutesSense) || p.unit(to, fineSense, numSense) {
			return false
		}
	}
	return true
}

// ratedIn reports whether a tempo and how it went stand in the clause from-to: "Low Tide 56
// perfect love it".
func (p *parser) ratedIn(from, to int) bool {
	number := false
	for ; from < to; from++ {
		number = number || p.unit(from, numSense)
		if number && p.unit(from, fineSense) {
			return true
		}
	}
	return false
}

// judges reports whether a word of opinion stands in the clause from-to, or it says what
// sort of thing an item is: "K before T is a tongue twister", "4 is so eerie".
func (p *parser) judges(from, to int) bool {
	for i := from; i < to; i++ {
		switch u := &p.units[i]; {
		case u.sense == personSense && u.val == opinion:
			return true
		case u.sense == fillerSense && (u.val == 1 || u.val == copula) && p.namesItem(i-1):
			j := i + 1
			for p.unit(j, articleSense) && !p.determines(j) {
				j++
			}
			if (p.determines(j) || p.has(j, fillerSense, reasonFiller)) && p.remarked(j+1) {
				return true
			}
		}
	}
	return false
}

// onlyName reports whether the units from-to are a name and no more: "Night Boat, love
// it".
func (p *parser) onlyName(from, to int) bool {
	from = p.past(from, articleSense, onSense, fillerSense)
	return from == to-1 && p.unit(from, itemsSense) && p.units[from].val != byNumber
}

// restsAfter reports whether nothing was played, or the player rests, by what stands
// after the clause that ends before unit i: "gig with the quintet, so nothing".
func (p *parser) restsAfter(i int) bool {
	for ; i < len(p.units) && !p.endsSentence(i); i++ {
		if p.unit(i, noneSense, excuseSense) || p.has(i, outcomeSense, skipped) {
			return true
		}
	}
	return false
}

// claims are what in a clause may be a report, and what speaks against it.
type claims struct {
	strange int  // words that are not understood
	early   int  // those before the number
	undo    bool // something is to be taken back
	price   bool // a sum of money
	player  bool // "I" is in it
	excuse  int  // 1 more than the unit of the first reason not to play
	from    int  // where the clause begins
	subject bool // one of them stands after "the" or "my"
	quality bool // something that is not understood was clean or shaky
	told    bool // something is said to have been played
	whole   int  // 1 more than the unit of the first word for the whole day
	number  int  // 1 more than the unit of the first number
}

// weigh adds unit i to the claims. It reports false if the unit names an item or
// the like, so that nothing else counts.
func (p *parser) weigh(c *claims, i int) bool {
	switch u := &p.units[i]; u.sense {
	case countSense:
		if u.y < 10 || !p.remarked(i+1) && !p.unit(i+1, personSense, thingSense, inSense) || p.itemIn(i) {
			return false
		}
		if c.strange++; c.number == 0 { // 14/20 in physics
			c.number, c.early = i+1, c.strange
		}
	case itemsSense, rangeSense, tempoSense, painSense, doubtSense, bodySense:
		return false
	case numSense, minutesSense:
		if p.namesItem(i) && p.after(i, ofSense) && p.outcomeNext(i) { // the end of 5 was shaky
			return false
		}
		if p.lettered(i) { // ran 5k
			c.strange++
		} else if c.number == 0 && !p.fevered(i) && !p.countsEvents(i) {
			c.number, c.early = i+1, c.strange
		}
	case allSense, bothSense, noneSense, partlySense, halfSense, doneSense:
		c.told = c.told || u.sense == allSense && p.judged(i+1) && p.clauseBegins(i) // everything clean standing up
		c.told = c.told || p.playedAll(i) && (p.clauseBegins(i) || p.ends(i+1) && p.tellsHow(c.from, i))
		c.told = c.told || c.strange == 0 && p.tellsWhole(c, i) || u.sense == noneSense && (p.playedNone(c, i) || p.words(i) > 3 || p.didNone(c, i)) || p.playedBy(i)
		if c.whole == 0 {
			c.whole = i + 1
		}
	case othersSense, restSense:
		c.told = c.told || p.unit(i+1, doneSense)
		if !p.restOfOther(i) {
			return u.sense == restSense
		}
		c.whole = i + 1
	case forSense:
		c.told = c.told || p.unit(i+1, minutesSense)
	case feelSense, excuseSense:
		p.weighState(c, i)
	case undoSense:
		c.undo = c.strange > 0
	case chatSense:
		if p.unit(i+1, forSense) { // thanks for everything
			c.strange++
		}
	case fillerSense:
		c.player = c.player || p.player(i)
	case outcomeSense, fineSense, onlySense, totalSense:
		c.told = c.told || u.sense == outcomeSense && u.val == done && (p.tellsMinutes(i) || p.didItems(i))
		quality := u.sense == outcomeSense && (u.val == clean || u.val == shaky) && (c.strange > 0 || p.remarked(i+1)) // clean socks, the food is terrible
		c.quality = c.quality || quality
		c.told = c.told || c.strange == 0 && !quality && (c.number == 0 || !p.timeOfDay(c.number-1))
	case unknown, plainSense, thingSense, personSense, youSense, barSense:
		p.weighStrange(c, i)
	}
	return true
}

// playedNone reports whether the player, or a day before it, is the subject of the
// word for nothing at unit i that ends its clause: "to be frank i haven't played",
// "i fell asleep and did none of it".
func (p *parser) playedNone(c *claims, i int) bool {
	if p.ends(i+1) && c.from >= 2 && p.unit(c.from-2, dateSense) && !p.ends(c.from-1) { // gestern wegen Überstunden nichts
		return true
	}
	mine := p.has(i-1, fillerSense, 3)
	return p.ends(i+1) && (mine || p.unit(i-1, andSense) && (c.player || p.phrased(i) || p.unit(c.from, dateSense)))
}

// didNone reports whether the word for nothing at unit i, with which the clause ends, says that
// nothing was done, and nobody else was named who did: "had visitors did nothing", "hatte Besuch
// nichts gemacht", but not "der Hund hat nichts gemacht".
func (p *parser) didNone(c *claims, i int) bool {
	if !p.ends(i + 1) {
		return false
	}
	for k := c.from; k < i && !p.holds(i, fillerSense); k++ {
		if p.determines(k) && p.remarked(k+1) || p.unit(k, personSense) {
			return false
		}
	}
	return p.holds(i, doneSense) || p.holds(i, outcomeSense) || p.words(i) == 3 && (p.holds(i, noSense) || p.holds(i, notSense))
}

// words returns how many words unit i has.
func (p *parser) words(i int) int {
	return strings.Count(p.text[p.units[i].start:p.units[i].end], " ") + 1
}

// didItems reports whether items by their numbers, and nothing else, follow what was done at unit
// i: "it's Tom i did 1 and 2".
func (p *parser) didItems(i int) bool {
	named := false
	for end := i + 2*reach; i+1 < end; {
		switch i++; {
		case p.unit(i, numSense) && p.namesItem(i):
			named = true
		case p.ends(i), p.judged(i), p.unit(i, tempoSense, atSense):
			return named
		case p.unit(i, articleSense, onSense, andSense, itemSense):
		default:
			return false
		}
	}
	return false
}

// playedBy reports whether the player did what the word for the whole at unit i says, and
// no more is said: "this is Mia I did both".
func (p *parser) playedBy(i int) bool {
	if p.unit(i, doneSense) && p.holds(i, allSense) && p.unit(i+1, minutesSense) && p.ends(i+2) { // not bad today did everything 50 minutes
		return true
	}
	return p.has(i-1, outcomeSense, done) && p.player(i-2) && (p.ends(i+1) || p.unit(i+1, dateSense))
}

// restOfOther reports whether the rest at unit i is that of something that is not
// understood: "the rest of the band".
func (p *parser) restOfOther(i int) bool {
	next := p.past(i+1, ofSense, articleSense, onSense)
	return next > i+1 && (p.unit(next, personSense) || p.withinItem(next))
}

// weighState adds how someone is, or why there was no practice: of somebody else, if
// words that are not understood are its subject.
func (p *parser) weighState(c *claims, i int) {
	u := &p.units[i]
	c.player = c.player || p.with(i-1) || p.with(i-2) && p.unit(i-1, articleSense, numSense) // home with a cold
	switch {
	case c.strange > 0 && c.subject && !c.player && c.whole == 0: // my bike is kaput
		c.whole = i + 1
	case u.sense == excuseSense && c.excuse > 0 && p.units[c.excuse-1].val != u.val && !c.player && p.isEvent(c.excuse-1) && !p.saidIn(c.excuse, i, dateSense): // the class has flu
		c.whole, c.strange = i+1, c.strange+1
	case c.strange == 0 && (u.sense == feelSense || i == p.firstWord(c.from, i) && p.phrased(i)): // travelling all day to see my aunt
		c.told = true
	}
	if u.sense == excuseSense && c.excuse == 0 {
		c.excuse = i + 1
	}
}

// weighStrange adds a word that is not understood, or one that counts or names
// something else.
func (p *parser) weighStrange(c *claims, i int) {
	u := &p.units[i]
	switch {
	case u.sense == barSense:
		c.price = c.price || u.role == price
		if !u.firm && u.end-u.start > 2 {
			c.strange++
			c.subject = c.subject || i <= c.from+2
		}
	case p.lettersAt(i) && !u.typo:
		c.strange++
		c.subject = c.subject || p.determined(c, i)
	}
}

// player reports whether unit i is the player's "I" or "I am".
func (p *parser) player(i int) bool {
	return p.unit(i, fillerSense) && (p.units[i].val == 2 || p.units[i].val == 3 || p.units[i].val == haveFiller)
}

// determined reports whether "the" or "my" stands before unit i.
func (p *parser) determined(c *claims, i int) bool {
	switch p.senseAt(i - 1) {
	case onSense, articleSense:
		return p.determines(i - 1)
	case fillerSense: // "our", "mein" at the head of the clause
		return i == c.from+1 && p.units[i-1].val == 0
	}
	return false
}

// determines reports whether unit i is "the", "my", "a" or the like.
func (p *parser) determines(i int) bool {
	return p.unit(i, onSense) || p.unit(i, articleSense) && p.units[i].val != 0
}

// tellsWhole reports whether the word for the whole day at unit i plainly says
// what was played: "everything" with "done", "did it all", "done and …", "done 25
// with …", but not "done 3 loads".
func (p *parser) tellsWhole(c *claims, i int) bool {
	u := &p.units[i]
	switch {
	case p.unit(i+1, minutesSense), p.unit(i+1, numSense) && i+2 < len(p.units) && !p.unit(i+2, unknown, plainSense, thingSense):
		return true
	case c.whole != 0 && p.units[c.whole-1].sense != u.sense, u.sense == noneSense && (p.phrased(i) || p.unit(i-1, dateSense) || p.unit(i+1, dateSense)):
		return true
	case u.sense == partlySense && p.phrased(i) && p.unit(i+1, andSense, afterSense): // did half then dad called
		return true
	case u.sense == noneSense && i == p.firstWord(c.from, i) && p.player(i+1): // nichts wir waren bei oma
		return true
	case u.sense == doneSense && u.val != 1 && p.phrased(i):
		return !p.hasObject(i) || p.holds(i, allSense) && p.remarked(i+1) && p.ends(i+2) // j'ai tout fait maîtresse
	}
	return u.sense == doneSense && p.unit(i+1, andSense, afterSense)
}

// playedAll reports whether the word for the whole day at unit i says that everything
// was played: "did everything", "played the whole routine", but not "all" or "done".
func (p *parser) playedAll(i int) bool {
	return p.has(i, doneSense, allPlayed)
}

// playedThere reports whether the number at unit i is that of an item of which it is said how it
// went, after how, where or with whom it was played, which the clause begins with: "with Tom 3
// clean", "mit Dämpfer habe ich 3 gespielt".
func (p *parser) playedThere(from, i int) bool {
	if !p.isItem(p.units[i].x) {
		return false
	}
	head := p.head(i)
	switch n := p.listJudged(i); {
	case n > 1, n == 1 && p.player(head-1):
		return true
	case n == 1, p.unit(i+1, tempoSense), p.with(i+1) && p.unit(i+2, tempoSense, numSense):
		return p.tellsHow(from, head)
	}
	return false
}

// tellsHow reports whether the units from-to say how, where or for whom something was
// played, and not who played it: "mit Dämpfer alles gespielt".
func (p *parser) tellsHow(from, to int) bool {
	if p.unit(from, plainSense) && from+1 == to { // ohne Pause alles gespielt
		return true
	}
	begins := p.has(from, articleSense, 0) || p.with(from) || p.unit(from, onSense, inSense, atSense, fromSense, toSense, upToSense, forSense, afterSense)
	return begins && !p.saidIn(from, to, fillerSense)
}

// hasObject reports whether what is done or left out at unit i is something that is not
// understood: "j'ai fini mes devoirs", "forgot my keys".
func (p *parser) hasObject(i int) bool {
	for i++; p.unit(i, fillerSense) && p.units[i].val != reasonFiller || p.determines(i) && !p.with(i) || p.ownAt(i); {
		i++
	}
	return p.remarked(i)
}

// tellsMinutes reports whether the player is said to have done minutes at unit i: "the
// roast was in so I played 30 min", "hab ich 30 min gespielt".
func (p *parser) tellsMinutes(i int) bool {
	j := i - 1
	if p.unit(j, minutesSense) {
		j--
	} else if !p.unit(i+1, minutesSense) {
		return false
	}
	for !p.player(j) && p.unit(j, fillerSense, articleSense) {
		j--
	}
	return p.player(j) || p.phrased(i)
}

// timeOfDay reports whether the number at unit i may be an hour: "at 7".
func (p *parser) timeOfDay(i int) bool {
	return p.unit(i-1, atSense) && p.units[i].x <= 24
}

// lettersAt reports whether unit i is a word.
func (p *parser) lettersAt(i int) bool { return i >= 0 && p.letterAt(p.units[i].start) }
