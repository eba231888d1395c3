package reply

import (
	"slices"
	"strings"
)

// counted reads items by their place: first three, the last one, second one.
func (p *parser) counted(i int) (mark, int) {
	last := p.is(i, lastSense)
	if !last && !p.is(i, nthSense) {
		if m, n := p.spelled(i); n > 0 {
			return m, n
		}
		return p.countedFirst(i)
	}
	if p.timed() && (p.is(i-1, articleSense, onSense) || p.is(i+1, oneSense)) {
		return mark{}, 0
	}
	if p.firstTempo(i) {
		return mark{sense: fillerSense}, 1
	}
	nth := p.at(i).val
	m := mark{sense: itemsSense, role: "item", firm: true}
	x, numbered := p.number(i + 1)
	numbered = numbered && !p.is(i+2, minuteSense, timesSense, ofSense) && !p.isSign(i+2, '/') // el primero 6 minutos, la última 3x, 2/4
	if p.is(i+1, bothSense) {                                                                  // die ersten beiden
		x, numbered = 2, true
	}
	numbered = numbered && !p.is(i+1, oneSense) && (last || nth == 1)
	n := 1
	switch {
	case numbered && int(x) > p.count() && x < leastBPM: // the first 10 s
		return mark{}, 0
	case numbered && int(x) <= p.count():
		n++
		m.several = true
		p.addPlaces(&m, last, int(x))
		if p.is(i+n, itemSense) {
			return m, n + 1
		}
		if p.is(i+n, oneSense) {
			n++
		}
		return m, p.placed(i, n)
	case p.is(i+1, oneSense, itemSense):
		n++
	}
	if last {
		nth = p.count() - nth
	}
	m.items.add(nth)
	m.x = float64(nth)
	if y, k := p.placeAfter(i + n); !last && y > nth { // del tercero al quinto
		n += k
		m.several = true
		p.addRange(&m, nth, y)
		return m, p.placed(i, n)
	}
	if n == 1 && !p.clauseStart(i) && !p.chosen(i) && !p.stoppedBefore(i) {
		return mark{}, 0
	}
	if p.is(i+1, itemSense) {
		return m, n
	}
	return m, p.placed(i, n)
}

// firstTempo reports whether the place at mark i only says which of two tempi of an item came before
// the other: "gulls: first 80, then 84".
func (p *parser) firstTempo(i int) bool {
	last := p.back(len(p.units)-1, colonSense, breakSense, fillerSense, outcomeSense, fineSense)
	if !p.is(i, nthSense) || p.at(i).val != 1 || !p.namesItem(last) || p.is(i-1, articleSense, onSense) {
		return false
	}
	if i++; p.is(i, atSense, toSense) {
		i++
	}
	if x, ok := p.digits(i); !ok || x < leastBPM {
		return false
	}
	for end := i + reach; i < end; i++ {
		if p.is(i, andSense) && p.at(i).val == 1 {
			return true
		}
	}
	return false
}

// placeAfter returns the place named after "to" at mark i, and how many marks it takes.
func (p *parser) placeAfter(i int) (nth, n int) {
	for n = 1; p.is(i+n, articleSense, onSense); {
		n++
	}
	if !p.is(i, toSense) || !p.is(i+n, nthSense) {
		return 0, 0
	}
	return p.at(i + n).val, n + 1
}

// ordinal reads "3rd exercise", "1. und 2. Übung", with so many more at most, and
// "3. Ventil", which is no item.
func (p *parser) ordinal(i, more int) (mark, int) {
	x, ok := p.digits(i)
	if !ok || !p.at(i+1).glued {
		return mark{}, 0
	}
	if p.ordinalEnding(i+1) && p.is(i+2, barSense, lineSense) { // 2. Stock, 2e ligne
		return mark{sense: barSense}, 3
	}
	dot := p.table.dayMonth && p.isSign(i+1, '.')
	if next, follows := p.number(i + 3); follows && p.isItem(next) && p.is(i+2, itemSense) || !dot && !p.is(i+1, ordinalSense) {
		return mark{}, 0
	}
	if !p.isItem(x) || p.timed() {
		return mark{}, 0
	}
	m := itemMark(x)
	if more > 0 && p.is(i+2, andSense) {
		if next, n := p.ordinal(i+3, more-1); next.items != 0 {
			m.items |= next.items
			m.several = true
			return m, 3 + n
		}
	}
	if !p.is(i+2, itemSense) {
		return mark{}, 0
	}
	return m, 3
}

// ordinalEnding reports whether mark i, right after a number, makes a place of it as far as its looks go:
// 2., 2ª, 2nd.
func (p *parser) ordinalEnding(i int) bool {
	switch u := p.at(i); {
	case p.isSign(i, '.'):
		return p.table.dayMonth
	case p.isSign(i, 'ª'), p.isSign(i, 'º'):
		return true
	default:
		return u.end-u.start <= 4 && p.letterAt(u.start) && p.is(i, ordinalSense, unknown, plainSense, fillerSense, articleSense, toSense)
	}
}

// chosen reports whether mark i is what was played or left out: "only the first", "all
// but the last".
func (p *parser) chosen(i int) bool {
	for end := i - reach; i > end && p.is(i-1, articleSense, onSense, ofSense, inSense, fillerSense); {
		i--
	}
	switch p.at(i - 1).sense {
	case outcomeSense, fineSense: // but "4 rough on the sixth"
		return !p.linked(i) || p.clauseStart(i-1)
	case onlySense, exceptSense, doneSense, forSense, notSense, noSense:
		return true
	case minuteSense, halfSense, partSense, partlySense: // 20 min on the third, half of the third
		return p.linked(i)
	case daySense, toSense: // hoy primera a 60, al tercero no llegué
		return p.clauseStart(i - 1)
	case atSense: // 138 bei der ersten
		return p.is(i-2, numSense)
	}
	return false
}

// linked reports whether a preposition stands at mark i: "on", "an der".
func (p *parser) linked(i int) bool {
	return p.is(i, onSense, ofSense, inSense) || p.is(i, articleSense) && strings.Contains(p.text[p.at(i).start:p.at(i).end], " ")
}

// timed reports whether repeats were said right before and no item since, so that "the
// second one" is one of them: "2 twice, the second one clean".
func (p *parser) timed() bool {
	i := len(p.units) - 1
	for i > len(p.units)-reach/2 && !p.namesItem(i) && !p.unit(i, countSense, stopSense) {
		i--
	}
	return p.unit(i, countSense)
}

// spelled reads a number in words, or with an ordinal ending, that stands where
// only an item can: "one clean two shaky", "la dos regular", "1st clean". "Two
// items" are some.
func (p *parser) spelled(i int) (mark, int) {
	x, ok := p.number(i)
	if !ok || !p.isItem(x) {
		return mark{}, 0
	}
	n := 1
	if m, n := p.spelledRange(i, x); n > 0 {
		return m, n
	}
	switch {
	case p.is(i, numSense) && p.plural(i) && int(x) == p.count() && (p.placed(i, 1) > 0 || p.is(i+1, articleSense)): // les 2
		return mark{sense: allSense}, 1
	case p.is(i, numSense) && (x < 2 || !p.is(i+1, itemSense) || p.is(i+2, numSense)):
		if !p.is(i+1, ordinalSense) || !p.at(i+1).glued || p.is(i-1, onSense) && !p.is(i+2, outcomeSense, fineSense) { // le 1er propre
			return mark{}, 0
		}
		if n++; p.is(i+2, oneSense) { // 2nd one
			n++
		}
		if !p.valueAt(i+n) && !(n == 3 && (p.clauseStart(i) || p.chosen(i))) {
			return mark{}, 0
		}
	case x == 1 && p.valueAt(i+1) && (p.is(i+3, minuteSense) || p.is(i+2, timeSense)): // un bon 20 min
		return mark{}, 0
	case p.is(i+1, itemSense) && int(x) == p.count():
		return mark{sense: allSense}, 2
	case p.is(i+1, itemSense):
		return mark{sense: partlySense}, 2
	case p.plural(i):
		if int(x) == p.count() {
			return mark{sense: allSense}, 1 // les trois
		}
		return mark{}, 0
	case !p.itemBefore(i) || !p.valueAt(i+1) && !p.joinsSpelled(i) && !((p.is(i+1, colonSense) || p.isSign(i+1, ',') && p.clauseStart(i) && p.is(i, numberSense)) && p.valueAt(i+2)) && !p.listedAt(i+1) && !(p.pointedAt(i) && (p.clauseEnd(i+1) || p.is(i+1, daySense, butSense, onlySense) || p.is(i+1, andSense) && p.is(i-1, andSense))):
		return mark{}, 0
	}
	return itemMark(x), n
}

// joinsSpelled reports whether "and" joins the number at mark i to an item named in words: "die
// drei und vier habe ich weggelassen".
func (p *parser) joinsSpelled(i int) bool {
	last := len(p.units) - 1
	return p.is(i-1, andSense) && p.unit(last, andSense) && p.unit(last-1, itemsSense) && p.units[last-1].firm && p.units[last-1].items.only() > 0 && float64(p.units[last-1].items.only()) < p.at(i).x && !p.is(i+1, timesSense, minuteSense, thingSense, barSense, unknown)
}

// plural reports whether "les" stands before mark i.
func (p *parser) plural(i int) bool {
	return p.is(i-1, articleSense) && p.at(i-1).val == pluralArticle
}

// spelledRange reads a range of items in words: "one through four".
func (p *parser) spelledRange(i int, x float64) (mark, int) {
	n := 2
	for p.is(i+n, articleSense) {
		n++
	}
	y, ok := p.number(i + n)
	if !ok || !p.is(i+1, toSense) || !p.isItem(y) || y <= x || p.is(i, numSense) || !p.itemBefore(i) || p.is(i-1, fromSense) && !p.valueAt(i+n+1) {
		return mark{}, 0
	}
	m := mark{sense: itemsSense, role: "items", several: true, firm: true}
	p.addRange(&m, int(x), int(y))
	return m, n + 1
}

// itemBefore reports whether an item may be named in words at mark i, after what
// stands before it.
func (p *parser) itemBefore(i int) bool {
	if i == 0 || p.clauseEnd(i-1) || p.headDay(i-1) {
		return true
	}
	if p.is(i, oneSense) && p.is(i-1, fillerSense) && (p.at(i-1).val == 5 || p.is(i-2, articleSense)) { // that one, the long one
		return false
	}
	if p.onBeat(i) || (p.is(i, oneSense) || p.at(i).x == 1) && (p.is(i-1, onlySense, exceptSense) || p.is(i-1, butSense) && p.is(i-2, allSense)) { // only one clean
		return false
	}
	switch p.at(i - 1).sense {
	case andSense, orSense, outcomeSense, fineSense, doneSense, wentSense, onlySense, notSense, butSense, exceptSense, colonSense,
		articleSense, onSense, fillerSense, numberSense, oneSense, noneSense, numSense, weakKeySense:
		return true
	}
	return false
}

// onBeat reports whether "on" and a word that is not understood stand before mark i:
// "a click on two".
func (p *parser) onBeat(i int) bool {
	return p.is(i-1, onSense) && p.is(i-2, unknown, plainSense)
}

// pointedAt reports whether an article or a word of leaving out points at the
// number at mark i: "la dos", "not four".
func (p *parser) pointedAt(i int) bool {
	skips := func(i int) bool { return p.is(i, outcomeSense) && p.at(i).val == skipped && p.anyItem() }
	return p.is(i, numberSense) && (p.is(i-1, articleSense, notSense, andSense, numberSense) ||
		p.is(i-1, onSense) && (p.is(i-2, exceptSense) || p.is(i-2, andSense) && p.anyItem() || skips(i-2)) || // todo salvo el cinco
		skips(i-1)) // one clean, skipped two
}

// anyItem reports whether an item has been named not far before.
func (p *parser) anyItem() bool {
	return slices.ContainsFunc(p.units[max(0, len(p.units)-reach):], func(u mark) bool { return u.sense == itemsSense })
}

// numberedBefore reports whether an item has been named by its number or its place not far
// before.
func (p *parser) numberedBefore() bool {
	return slices.ContainsFunc(p.units[max(0, len(p.units)-reach):], func(u mark) bool { return u.sense == itemsSense && u.val == byNumber })
}

// valueAt reports whether what is said of an item begins at mark i.
func (p *parser) valueAt(i int) bool {
	switch p.at(i).sense {
	case outcomeSense, fineSense, wentSense, doneSense, noteSense, atSense, notSense, noneSense, noSense:
		return true
	case numSense:
		return p.at(i).x >= leastBPM || p.is(i+1, minuteSense)
	case numberSense: // le un et le deux quinze minutes
		return p.is(i+1, minuteSense)
	case eachSense: // zwei und drei jeweils mit 76
		return p.valueAt(i+1) || p.tempoWith(i+1)
	case tooSense: // drei wackelig vier auch wackelig
		return p.clauseEnd(i+1) || p.is(i+1, outcomeSense, fineSense)
	case toSense: // zwei auf 90
		return p.tempoWith(i)
	case articleSense, fillerSense, andSense:
		for end := i + reach/2; i < end && p.is(i, fillerSense, tooSense) && p.is(i+1, fillerSense, tooSense, articleSense); {
			i++ // die Zwei habe ich bei 60
		}
		return p.is(i+1, outcomeSense, fineSense, wentSense, doneSense) || p.is(i, fillerSense) && p.tempoWith(i+1) || p.tempoWith(i) // drei mit vierundachtzig
	}
	return false
}

// tempoWith reports whether a word that a tempo follows stands at mark i, and a tempo.
func (p *parser) tempoWith(i int) bool {
	if !p.is(i, atSense, toSense) && !(p.is(i, articleSense) && p.at(i).val == withArticle) {
		return false
	}
	return p.is(i+1, numSense) && p.at(i+1).x >= leastBPM
}

// listedAt reports whether another number in words follows, with no more than
// "and" and an article between.
func (p *parser) listedAt(i int) bool {
	for range 3 {
		switch {
		case p.is(i, numberSense), p.is(i, oneSense) && p.is(i-1, andSense):
			return true
		case p.is(i, andSense), p.is(i, orSense), p.is(i, articleSense), p.is(i, onSense), p.isSign(i, ','):
			i++
		default:
			return false
		}
	}
	return false
}

// countedFirst reads "both last ones" in the order of French and Spanish: "les
// deux dernières", "las dos últimas".
func (p *parser) countedFirst(i int) (mark, int) {
	x, ok := p.number(i)
	if p.is(i, bothSense) {
		x, ok = 2, true
	}
	last := p.is(i+1, lastSense)
	if !ok || p.is(i, numSense) && !p.plural(i) || !last && !(p.is(i+1, nthSense) && p.at(i+1).val == 1) {
		return mark{}, 0
	}
	m := mark{sense: itemsSense, role: "item", several: true, firm: true}
	p.addPlaces(&m, last, int(x))
	return m, p.placed(i, 2)
}

func (p *parser) addPlaces(m *mark, last bool, k int) {
	from, to := 1, k
	if last {
		from, to = p.count()-k+1, p.count()
	}
	p.addRange(m, from, to)
}

// saidOf reports whether the filler at mark i says something of what stands before it: "the
// third one is getting better", "took 15 minutes", but not "the first I played".
func (p *parser) saidOf(i int) bool {
	if v := p.at(i).val; v != 0 && v != 1 && v != copula {
		return false
	}
	return p.is(i+1, unknown, plainSense, articleSense, tooSense) || p.is(i+1, numSense) && p.is(i+2, minuteSense)
}

// stoppedBefore reports whether mark i follows "stopped after".
func (p *parser) stoppedBefore(i int) bool {
	if i--; p.is(i, articleSense, onSense) {
		i--
	}
	return p.is(i, afterSense) && p.at(i).val == lastPlayed
}

// placed returns n if what follows the n marks from i on lets them be items: a
// place in the order is one only if it isn't that of a bar or of anything else.
func (p *parser) placed(i, n int) int {
	if p.is(i+n, itemSense) {
		n++ // les deux derniers exercices
	}
	if p.stoppedBefore(i) && !p.is(i+n, unknown, plainSense, barSense) || p.placeEnds(i, i+n) { // stopped after the second because of dinner
		return n
	}
	return 0
}

// placeEnds reports whether what stands at mark k lets the place that begins at mark i be
// an item's.
func (p *parser) placeEnds(i, k int) bool {
	switch p.at(k).sense {
	case noteSense: // la deuxième noire = 92, but not "la deuxième croche disparaît"
		return p.isSign(k+1, '=') || p.is(k+1, numSense)
	case outcomeSense, fineSense, wentSense, doneSense, noSense, noneSense, notSense, breakSense, stopSense, colonSense, numSense, atSense, andSense, butSense, signSense, onlySense, tooSense, daySense, weekdaySense,
		timeSense, repsSense, upToSense: // la tercera quince minutos, the third one twice
		return true
	case toSense: // la tercera a 80
		return p.is(k+1, numSense) && (p.is(i-1, articleSense, onSense, daySense) || i == 0 || p.clauseStart(i) && p.numberedBefore())
	case fillerSense, articleSense, sorrySense: // le premier, c'était bien
		with := k
		for with < k+reach && p.is(with, fillerSense) {
			with++
		}
		said := max(k+1, with)
		played := p.is(said, doneSense) || p.is(said, outcomeSense) && p.at(said).val == done // la primera la hice
		return played && (p.clauseEnd(said+1) || p.is(said+1, andSense, butSense)) || !played && p.is(said, outcomeSense, fineSense) || p.is(k, fillerSense) && p.saidOf(k) ||
			p.is(k, articleSense) && p.at(k).val == 0 && p.clauseStart(i) && !p.clauseEnd(k+1) && p.clauseEnd(k+2) || // la tercera demasiado rápido
			p.tempoWith(with) || p.is(with, numSense) && with > k && p.at(with).x >= leastBPM // die zweite hab ich mit 85 gespielt, la première c'était 142
	case unknown, plainSense: // la tercera lenta pero limpia
		return k >= len(p.marks) || p.is(k+1, butSense) && p.is(k+2, outcomeSense, fineSense)
	case forSense, fromSense, ofSense: // the third one for 20 min, la tercera de 80 a 88
		return p.is(k+1, numSense)
	case halfSense, partlySense: // the third one half, but the second half
		return p.clauseEnd(k+1) && p.clauseStart(i) && (k > i+1 || !p.is(k, halfSense))
	case numberSense: // la primera siete minutos, the fourth five times
		return p.is(k+1, minuteSense, timesSense)
	case timesSense: // the fourth x3
		return p.is(k+1, numSense)
	case aboutSense: // la segunda más o menos, die dritte etwa 91
		return p.clauseEnd(k+1) || p.is(k+1, daySense, numSense)
	case allSense, bothSense: // the last two all clean
		return p.is(k+1, outcomeSense, fineSense, wentSense, doneSense)
	case bpmSense: // the third one tempo 91
		return p.is(k+1, numSense)
	}
	return false
}
