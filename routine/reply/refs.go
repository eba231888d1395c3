package reply

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"ledgerline/routine"
)

// numbered reads an item's number that is said to be one: item 2, #2, no. 2,
// items 2, 3 and 4.
func (p *parser) numbered(i int) (mark, int) {
	n := 1
	switch {
	case p.is(i, dottedSense) && p.clauseStart(i) && p.isItem(p.at(i+1).x) && p.is(i+1, numSense, numberSense, oneSense): // Punkt 1
	case p.is(i, itemSense):
		if p.isSign(i+1, '.') || p.isSign(i+1, '°') || p.isSign(i+1, 'º') {
			n++
		}
	case p.is(i, noSense) && p.at(i).end-p.at(i).start <= 2 && p.isSign(i+1, '.') && p.at(i+1).glued && !p.is(i+3, minuteSense) && !p.hours(i+3) && !p.is(i-1, numSense) && !(p.is(i-1, colonSense) && p.is(i-2, numSense)): // but not "1 no. 2 yes"
		if n++; p.isSign(i+2, 'º') || p.isSign(i+2, '°') {
			n++
		}
	case p.is(i, noSense) && p.at(i).end-p.at(i).start <= 2 && p.is(i+1, numSense) && p.isItem(p.at(i+1).x) && (p.is(i-1, onSense) || (p.valueAt(i+2) || p.is(i+2, repsSense) || p.is(i+3, timesSense)) && !p.is(i+2, notSense) && p.clauseStart(i)):
	case p.enumerates(i) && (p.enumeratesNear(i, -1) || p.enumeratesNear(i, 1)):
		return itemMark(p.at(i).x), 2
	case p.is(i, numSense):
		return p.listed(i)
	default:
		return mark{}, 0
	}
	m := mark{sense: itemsSense, firm: true, role: "item"}
	k := p.list(i+n, func(from, to int) { p.addRange(&m, from, to) })
	if k == 0 || p.is(i+n+k, thingSense) || p.is(i-1, barSense) && p.is(i, itemSense) { // the number 84 bus, Bus Nr. 4
		return mark{}, 0
	}
	m.several = m.items.only() == 0
	return m, n + k
}

// enumerates reports whether mark i is an item's number with a bracket after it: "1) clean",
// "(2) 90".
func (p *parser) enumerates(i int) bool {
	x, ok := p.digits(i)
	return ok && p.isItem(x) && p.isSign(i+1, ')') && p.at(i+1).glued && !p.isSign(i-1, '-') && !p.isSign(i-1, ',') && !p.is(i-1, andSense)
}

// enumeratesNear reports whether the item before or after that at mark i, as step says, is
// named in that way, too.
func (p *parser) enumeratesNear(i, step int) bool {
	for j := i + step; j >= 0 && j < len(p.marks) && j > i-2*reach && j < i+2*reach; j += step {
		if p.enumerates(j) && p.at(j).x == p.at(i).x+float64(step) {
			return true
		}
	}
	return false
}

// stopped reads the item after which no more was played, with those before it: "stopped
// after 2".
func (p *parser) stopped(i int) (mark, int) {
	if !p.is(i, afterSense, upToSense) && !(p.is(i, toSense) && (p.is(i-1, onlySense, allSense) || p.clauseStart(i))) {
		return mark{}, 0
	}
	k := 1
	for k < reach && p.is(i+k, articleSense, onSense, fillerSense) {
		k++
	}
	m, n := *p.at(i + k), 1
	if x, ok := p.number(i + k); ok && p.isItem(x) && !p.is(i+k+1, minuteSense) {
		m.items.add(int(x))
	} else {
		for _, r := range [...]rule{(*parser).titled, (*parser).numbered, (*parser).counted, (*parser).skilled} {
			if named, taken := r(p, i+k); taken > 0 {
				m, n = named, taken
				break
			}
		}
	}
	if p.is(i, afterSense) && p.at(i).val != lastPlayed && !p.leftThere(i+k+n) {
		return mark{}, 0
	}
	last, before := m.items.only(), len(p.units)-1
	if p.unit(before, breakSense, andSense) {
		before--
	}
	if p.is(i, toSense) && p.namesItem(before) { // le di al 1, al 2 y al 4
		return mark{}, 0
	}
	whole := p.clauseStart(i) && (p.clauseEnd(i+k+n) || p.is(i+k+n, fillerSense) && p.clauseEnd(i+k+n+1))          // got to 5 and stopped
	if last == 0 || !p.is(i, afterSense) && !whole && !p.is(i-1, onlySense, allSense) && !p.is(i+k+n, onlySense) { // jusqu'au 4 seulement
		return mark{}, 0
	}
	m = mark{sense: itemsSense, val: lastOfDay, several: true, firm: true, role: "items up to the last"}
	p.addRange(&m, 1, last)
	return m, k + n
}

// leftThere reports whether mark i begins what says that the item before it was the last: "numb
// after 4 so I stopped there".
func (p *parser) leftThere(i int) bool {
	for end := i + reach; i < end && p.is(i, breakSense, andSense, fillerSense); {
		i++
	}
	return p.is(i, onlySense) && p.clauseEnd(i+1)
}

// otherSo reads how many the others are beside the word for them: "les 6 autres", "the
// other 6".
func (p *parser) otherSo(i int) (mark, int) {
	x, ok := p.number(i)
	ok = ok && p.is(i+1, othersSense) && p.at(i+1).val != 1 && p.is(i-1, articleSense, onSense)
	if p.is(i, othersSense) {
		x, ok = p.number(i + 1)
	}
	if !ok || x < 2 {
		return mark{}, 0
	}
	var named itemSet
	for j := max(0, len(p.units)-2*reach); j < len(p.units); j++ {
		if named |= p.units[j].items; p.namesItem(j) && p.unit(j, numSense) {
			named.add(int(p.units[j].x))
		}
	}
	switch {
	case named != 0 && int(x)+named.count() == p.count():
		return mark{sense: othersSense}, 2
	case p.is(i, othersSense) && p.at(i).val == 1 || !p.valueAt(i+2):
		return mark{}, 0
	}
	return mark{sense: othersSense, val: otherOne}, 2 // which of them can't be told
}

// onward reads an item and all after it: "from 5 onwards", "from 3 on nothing", "ab der 3
// nichts".
func (p *parser) onward(i int) (mark, int) {
	n := 0
	if p.is(i, fromSense) {
		n++
	}
	for n > 0 && n < reach && p.is(i+n, articleSense, itemSense) {
		n++
	}
	x, ok := p.number(i + n)
	if !ok || !p.isItem(x) {
		return mark{}, 0
	}
	from := n > 0
	switch n++; {
	case p.is(i+n, onwardSense), from && p.is(i+n, onSense) && p.valueAt(i+n+1):
		n++
	case from && (p.is(i+n, noneSense) || p.is(i+n, noSense, notSense) && p.clauseEnd(i+n+1)):
	default:
		return mark{}, 0
	}
	m := mark{sense: itemsSense, several: true, firm: true, role: "items from there on"}
	p.addRange(&m, int(x), p.count())
	return m, n
}

// listed reads the number of an item at the head of a line of a list: "1.", "2)".
func (p *parser) listed(i int) (mark, int) {
	if m, n := p.ordinal(i, reach); n > 0 {
		return m, n
	}
	n := p.at(i).x
	if p.isSign(i+1, '.') && p.is(i+2, halfSense) { // 1. Hälfte
		return mark{sense: partSense}, 3
	}
	if x, ok := p.digits(i + 2); ok && p.isItem(n) && x >= 20 && (i > 0 || i+3 < len(p.marks)) && p.isSign(i+1, '.') && p.at(i+1).glued && p.at(i+2).glued && !p.hours(i+3) {
		return itemMark(n), 2
	}
	dot, told := p.isSign(i+1, '.'), p.valueAt(i+2) && !p.capital(i+2)
	switch {
	case !p.isItem(n) || !p.at(i+1).glued || !dot && !p.isSign(i+1, ')') || p.clauseEnd(i+2) || p.is(i+2, barSense) || p.is(i+2, askSense) && p.capital(i+2),
		dot && p.is(i+2, numSense) && p.at(i+2).glued && i+3 >= len(p.marks): // 2.5
		return mark{}, 0
	case i == 0, p.is(i-1, stopSense), p.is(i-1, breakSense) && !p.isSign(i-1, '(') && !(p.is(i-2, numSense) && p.isItem(p.at(i-2).x)),
		p.is(i-1, articleSense, onSense) && told && !p.is(i+2, numSense) && !p.afterValue(i-1) && !p.chosen(i),
		(!dot || told) && p.afterValue(i) && p.inList():
		return itemMark(n), 2
	}
	return mark{}, 0
}

// itemMark returns the mark of an item named by its number.
func itemMark(x float64) mark {
	return mark{sense: itemsSense, role: "item", firm: true, x: x, items: 1 << int(x)}
}

// inList reports whether an item has been numbered as in a list, "1." or "2)".
func (p *parser) inList() bool {
	return slices.ContainsFunc(p.units[max(0, len(p.units)-reach):], func(u mark) bool {
		return u.sense == itemsSense && strings.ContainsAny(p.text[u.end-1:u.end], ".)")
	})
}

// capital reports whether mark i begins with a capital letter, as a sentence does, and is not
// all capitals.
func (p *parser) capital(i int) bool {
	word := p.text[p.at(i).start:p.at(i).end]
	first, size := utf8.DecodeRuneInString(word)
	return unicode.IsUpper(first) && (size == len(word) || strings.ToUpper(word) != word)
}

// afterValue reports whether what is said of one item may end before mark i.
func (p *parser) afterValue(i int) bool {
	return p.is(i-1, outcomeSense, fineSense, doneSense, noneSense, noSense, numSense, minuteSense, bpmSense)
}

// addRange adds the items from and to and those between to the mark.
func (p *parser) addRange(m *mark, from, to int) {
	for n := max(from, 1); n <= min(to, p.count()); n++ {
		m.items.add(n)
	}
	m.x = float64(from)
}

// list reads numbers and ranges of them with commas or "and" between, calls add
// for each, and returns how many marks it took. A comma must be followed by
// nothing but the next number of the list.
func (p *parser) list(i int, add func(from, to int)) (n int) {
	for {
		x, ok := p.number(i + n)
		if !ok {
			return n
		}
		n++
		to := x
		last := i + n + 1
		if p.is(last, itemSense) { // number 1 to number 4
			last++
			if p.isSign(last, '.') {
				last++
			}
		}
		if y, ok := p.number(last); ok && (p.isSign(i+n, '-') || p.is(i+n, toSense)) && y > x && y <= x+20 && !p.is(last+1, minuteSense) { // but "item 5 - 25 minutes"
			to, n = y, last+1-i
		}
		add(int(x), int(to))
		if !p.is(i+n, andSense) && !p.isSign(i+n, ',') {
			return n
		}
		if next, ok := p.digits(i + n + 1); !ok || next <= to || next > to+20 || p.is(i+n+2, minuteSense, timesSense) {
			return n
		}
		if _, k := p.repeats(i + n + 1); k > 0 { // n° 2, 4 sur 4
			return n
		}
		n++
	}
}

// lines reads the lines of an item: l14, line 14-16, lines 14 and 15.
func (p *parser) lines(i int) (mark, int) {
	if !p.is(i, lineSense) {
		return mark{}, 0
	}
	m := mark{sense: itemsSense, val: nameOfLine, role: "line"}
	last := 0
	add := func(from, to int) {
		set := p.itemsBy(func(item *routine.Item) bool { return hasLine(item, from, from) && hasLine(item, to, to) })
		if set == 0 {
			set = p.itemsBy(func(item *routine.Item) bool { return hasLine(item, from, to) })
		}
		m.several = m.several || m.items != 0 && set&^m.items != 0
		m.items |= set
		last = to
	}
	n := 1
	dotted := p.at(i).end-p.at(i).start == 1 && p.isSign(i+1, '.') && p.at(i+1).glued // l. 30-31
	if dotted {
		n++
	}
	for {
		k := p.list(i+n, add)
		if n += k; k == 0 || last == 0 {
			break
		}
		if next := i + n; p.isLine(next) && int(p.at(next).x) == last+1 { // lines 40 41
			continue
		} else if p.isLine(next+1) && int(p.at(next+1).x) > last && (p.isSign(next, '/') && p.at(next).glued || p.is(next, andSense)) { // lines 40/41
			n++
			continue
		}
		break
	}
	if last == 0 || p.at(i).end-p.at(i).start == 1 && !p.at(i+1).glued && !dotted {
		return mark{}, 0
	}
	return m, n
}

// isLine reports whether mark i is the number of a line of the routine.
func (p *parser) isLine(i int) bool {
	x, ok := p.digits(i)
	return ok && p.itemsBy(func(item *routine.Item) bool { return hasLine(item, int(x), int(x)) }) != 0
}

func hasLine(item *routine.Item, from, to int) bool {
	return slices.ContainsFunc(item.Lines, func(l routine.LineRef) bool { return l.Line >= from && l.Line <= to })
}

// studies reads the numbers of studies: study 5, studies 2 and 3.
func (p *parser) studies(i int) (mark, int) {
	if !p.is(i, studySense) {
		return mark{}, 0
	}
	m := mark{sense: itemsSense, val: nameOfStudy, role: "study"}
	n := p.list(i+1, func(from, to int) {
		set := p.itemsBy(func(item *routine.Item) bool { return item.Study.Study >= from && item.Study.Study <= to })
		m.several = m.several || m.items != 0 && set != 0
		m.items |= set
	})
	if n == 0 {
		return mark{}, 0
	}
	return m, n + 1
}

// skilled reads items by their skill: slurs, the etude.
func (p *parser) skilled(i int) (mark, int) {
	switch {
	case p.is(i, skillSense), p.is(i, singleSense):
	case p.is(i, tongueSense) && p.tongueIsItem(i):
		set := p.itemsBy(func(item *routine.Item) bool { return item.Skill == routine.Articulation })
		m := mark{sense: itemsSense, val: nameOfSkill, items: set, role: "skill", several: true}
		return m, 1 + p.ones(&m, i+1)
	default:
		return mark{}, 0
	}
	skill := routine.Skills()[p.at(i).val]
	set := p.itemsBy(func(item *routine.Item) bool { return item.Skill == skill })
	m := mark{
		sense: itemsSense, val: nameOfSkill, items: set, role: "skill",
		several: p.is(i, skillSense) && !(p.is(i-1, ofSense) && p.oneItem(i-2)), typo: p.at(i).typo,
	}
	n := 1 + p.narrow(&m, i+1)
	return m, n + p.ones(&m, i+n)
}

// oneItem reports whether mark i stands for one item: "exercise" but not "exercises" or
// "Übungen".
func (p *parser) oneItem(i int) bool {
	return p.is(i, itemSense, studySense) && !strings.ContainsAny(p.text[p.at(i).end-1:p.at(i).end], "sn")
}

// ones returns 1 if a word that only stands for items follows their name at mark i:
// "the articulation one", "tonguing exercises", "the scale thing".
func (p *parser) ones(m *mark, i int) int {
	switch {
	case p.is(i, oneSense):
		m.several = m.several && p.at(i).val == severalOnes
	case p.is(i, thingSense) && p.at(i).val == anything:
	case p.is(i, itemSense, studySense) && (!p.is(i+1, numSense, numberSense) || p.is(i+2, minuteSense, timesSense)):
		m.several = m.several && !p.oneItem(i)
	default:
		return 0
	}
	return 1
}

// tongueIsItem reports whether "tongue" is said of items: it begins a clause and
// an outcome or a number follows.
func (p *parser) tongueIsItem(i int) bool {
	return p.is(i+1, oneSense) || p.is(i+1, outcomeSense, fineSense, doneSense, numSense, noteSense, atSense) && p.clauseStart(i)
}

// titled reads items by the title of their book or study, with what follows to
// say which of them is meant: daily ground 2.
func (p *parser) titled(i int) (mark, int) {
	if !p.is(i, itemsSense) {
		return mark{}, 0
	}
	m := *p.at(i)
	n := 1 + p.narrow(&m, i+1)
	if k := i + n; p.is(k, singleSense, skillSense) { // the fog signal piece
		if set, _ := p.skilled(k); set.items&m.items != 0 {
			m.items &= set.items
			return m, n + 1
		}
	}
	return m, n + p.ones(&m, i+n)
}

// narrow narrows a mark that names a book or a study by the number of a study
// or of a line that follows, and returns how many marks it took.
func (p *parser) narrow(m *mark, i int) int {
	if m.val == nameOfBook {
		n := 0
		if p.is(i, studySense, itemSense) {
			n = 1
		}
		if x, ok := p.digits(i + n); ok {
			set := m.items & p.itemsBy(func(item *routine.Item) bool { return item.Study.Study == int(x) })
			if set != 0 && !(n == 0 && m.items.only() != 0 && p.item(int(x)) != nil && set.only() == 0) {
				m.items = set
				return n + 1
			}
		}
	}
	if x, ok := p.digits(i); ok && m.val == nameOfSkill && !m.several && m.items.only() == 0 {
		set := m.items & p.itemsBy(func(item *routine.Item) bool { return item.Study.Study == int(x) })
		if set.only() != 0 {
			m.items = set
			return 1
		}
	}
	if more, n := p.narrower(i); n > 0 && m.items&more.items != 0 {
		m.items &= more.items
		return n
	}
	if key, n := p.keyAt(i+1, true); n > 0 && p.isSign(i, '(') && p.isSign(i+1+n, ')') && (m.items&key.items).only() != 0 { // Thirds (Eb)
		m.items &= key.items
		return n + 2
	}
	if key, n := p.keyAt(i, true); n > 0 && (m.items&key.items).only() != 0 && (p.valueAt(i+n) || p.tempoWith(i+n) || p.clauseEnd(i+n)) { // Terzen Es 96
		m.items &= key.items
		return n
	}
	return 0
}

// narrower reads what may follow a name to say which of its items is meant.
func (p *parser) narrower(i int) (mark, int) {
	if m, n := p.lines(i); n > 0 {
		return m, n
	}
	k := 0
	for p.is(i+k, ofSense, articleSense) {
		k++
	}
	if p.is(i+k, itemsSense) && k > 0 { // étude du ferry
		return *p.at(i + k), k + 1
	}
	if k = 0; p.is(i, inSense, ofSense) {
		k = 1
	}
	if m, n := p.keyAt(i+k, k > 0); n > 0 {
		return m, n + k
	}
	return mark{}, 0
}
