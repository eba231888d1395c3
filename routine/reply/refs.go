package reply

import (
	"strings"

	"ledgerline/routine"
)

// numbered reads an item's number that is said to be one: item 2, #2, no. 2,
// items 2, 3 and 4.
func (p *parser) numbered(i int) (mark, int) {
	n := 1
	switch {
	case p.is(i, itemSense):
		if p.isSign(i+1, '.') || p.isSign(i+1, '°') || p.isSign(i+1, 'º') {
			n++
		}
	case p.is(i, noSense) && p.isSign(i+1, '.') && p.at(i+1).glued:
		n++
	case p.is(i, numSense):
		return p.listed(i)
	default:
		return mark{}, 0
	}
	m := mark{sense: itemsSense, firm: true, role: "item"}
	k := p.list(i+n, func(from, to int) { p.addRange(&m, from, to) })
	if k == 0 {
		return mark{}, 0
	}
	m.several = m.items.only() == 0
	return m, n + k
}

// listed reads the number of an item at the head of a line of a list: "1.", "2)".
func (p *parser) listed(i int) (mark, int) {
	n := p.at(i).x
	head := i == 0 || p.is(i-1, stopSense) || p.is(i-1, breakSense) && !p.isSign(i-1, '(') || p.isSign(i+1, ')') && p.afterValue(i)
	if !head || !p.isItem(n) || !p.at(i+1).glued || !p.isSign(i+1, '.') && !p.isSign(i+1, ')') || p.clauseEnd(i+2) {
		return mark{}, 0
	}
	if p.is(i+2, numSense) && p.at(i+2).glued && p.isSign(i+1, '.') && i+3 >= len(p.marks) {
		return mark{}, 0
	}
	m := mark{sense: itemsSense, firm: true, role: "item", x: n}
	m.items.add(int(n))
	return m, 2
}

// afterValue reports whether what is said of one item may end before mark i.
func (p *parser) afterValue(i int) bool {
	switch p.at(i - 1).sense {
	case outcomeSense, fineSense, doneSense, noneSense, noSense, numSense, minuteSense, bpmSense:
		return true
	}
	return false
}

// addRange adds the items from and to and those between to the mark.
func (p *parser) addRange(m *mark, from, to int) {
	for n := from; n <= to && n <= p.count(); n++ {
		if p.item(n) != nil {
			m.items.add(n)
		}
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
			break
		}
		n++
		to := x
		if y, ok := p.digits(i + n + 1); ok && (p.isSign(i+n, '-') || p.is(i+n, toSense)) && y > x && y <= x+20 {
			to, n = y, n+2
		}
		add(int(x), int(to))
		if !p.is(i+n, andSense) && !p.isSign(i+n, ',') {
			return n
		}
		if next, ok := p.digits(i + n + 1); !ok || next <= to || next > to+20 {
			return n
		}
		n++
	}
	return n
}

// lines reads the lines of an item: l14, line 14-16, lines 14 and 15.
func (p *parser) lines(i int) (mark, int) {
	if !p.is(i, lineSense) {
		return mark{}, 0
	}
	m := mark{sense: itemsSense, val: nameOfLine, role: "line"}
	found := false
	n := p.list(i+1, func(from, to int) {
		set := p.itemsBy(func(item *routine.Item) bool { return hasLine(item, from, from) && hasLine(item, to, to) })
		if set == 0 {
			set = p.itemsBy(func(item *routine.Item) bool { return hasLine(item, from, to) })
		}
		m.items |= set
		found = true
	})
	if !found || p.at(i).end-p.at(i).start == 1 && !p.at(i+1).glued {
		return mark{}, 0
	}
	return m, n + 1
}

func hasLine(item *routine.Item, from, to int) bool {
	for _, l := range item.Lines {
		if l.Line >= from && l.Line <= to {
			return true
		}
	}
	return false
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

// counted reads items by their place: first three, the last one, second one.
func (p *parser) counted(i int) (mark, int) {
	last := p.is(i, lastSense)
	switch {
	case last || p.is(i, nthSense):
	case p.is(i, numSense) || p.is(i, numberSense) || p.is(i, oneSense):
		if m, n := p.spelled(i); n > 0 {
			return m, n
		}
		return p.countedFirst(i)
	default:
		return p.countedFirst(i)
	}
	nth := p.at(i).val
	m := mark{sense: itemsSense, role: "item", firm: true}
	x, numbered := p.number(i + 1)
	if p.is(i+1, bothSense) {
		x, numbered = 2, true
	}
	n := 1
	switch {
	case numbered && p.is(i+1, numberSense) && x == 1:
		n++
	case numbered && (last || nth == 1):
		n++
		m.several = true
		p.addPlaces(&m, last, int(x))
		if p.is(i+n, oneSense) || p.is(i+n, itemSense) {
			n++
		}
		return m, p.placed(i, n)
	case p.is(i+1, oneSense) || p.is(i+1, itemSense):
		n++
	}
	if last {
		nth = p.count()
	}
	m.items.add(nth)
	m.x = float64(nth)
	if n == 1 && p.clauseStart(i) == false {
		return mark{}, 0
	}
	return m, p.placed(i, n)
}

// spelled reads a number in words, or with an ordinal ending, that stands where
// only an item can: "one clean two shaky", "1st clean". "Two items" are some.
func (p *parser) spelled(i int) (mark, int) {
	x, ok := p.number(i)
	if !ok || !p.isItem(x) {
		return mark{}, 0
	}
	n := 1
	switch {
	case p.is(i, numSense):
		if !p.is(i+1, ordinalSense) || !p.at(i+1).glued || p.is(i-1, onSense) {
			return mark{}, 0
		}
		n++
	case p.is(i+1, itemSense):
		return mark{sense: partlySense}, 2
	case i > 0 && !p.clauseEnd(i-1) && !p.is(i-1, andSense) && !p.is(i-1, outcomeSense) && !p.is(i-1, fineSense) && !p.is(i-1, onlySense):
		return mark{}, 0
	}
	listed := p.is(i+n, andSense) && (p.is(i+n+1, numberSense) || p.is(i+n+1, oneSense))
	switch p.at(i + n).sense {
	case outcomeSense, fineSense:
	default:
		if !listed {
			return mark{}, 0
		}
	}
	m := mark{sense: itemsSense, role: "item", firm: true, x: x}
	m.items.add(int(x))
	return m, n
}

// countedFirst reads "both last ones" in the order of French and Spanish: "les
// deux dernières", "las dos últimas".
func (p *parser) countedFirst(i int) (mark, int) {
	x, ok := p.number(i)
	if p.is(i, bothSense) {
		x, ok = 2, true
	}
	last := p.is(i+1, lastSense)
	if !ok || p.is(i, numSense) || !last && !(p.is(i+1, nthSense) && p.at(i+1).val == 1) {
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

// placed returns n if what follows the n marks from i on lets them be items: a
// place in the order is one only if it isn't that of a bar or of anything else.
func (p *parser) placed(i, n int) int {
	switch p.at(i + n).sense {
	case outcomeSense, fineSense, doneSense, noSense, noneSense, notSense, breakSense, stopSense, colonSense, numSense,
		noteSense, atSense, andSense, butSense, signSense, timesSense:
		return n
	case fillerSense:
		if p.is(i+n+1, outcomeSense) && p.at(i+n+1).val != done || p.is(i+n+1, fineSense) {
			return n
		}
	}
	if i+n >= len(p.marks) {
		return n
	}
	return 0
}

// keyed reads an item by its key: Eb at the beginning of a clause, the G minor
// one, in Eb. A key as short as a letter must be said to be one.
func (p *parser) keyed(i int) (mark, int) {
	return p.keyAt(i, p.pointed(i) || !p.is(i, weakKeySense) && p.clauseStart(i))
}

// keyAt reads the key at mark i, if it is sure to be one or says so itself.
func (p *parser) keyAt(i int, sure bool) (mark, int) {
	mode, n := p.mode(i)
	if n == 0 {
		return mark{}, 0
	}
	m := mark{sense: itemsSense, val: nameOfKey, role: "key"}
	sure = sure || mode != 0
	if p.is(i+n, oneSense) || p.is(i+n, singleSense) || p.is(i+n, skillSense) {
		m.several = p.text[p.at(i+n).end-1] == 's'
		n, sure = n+1, true
	}
	if !sure {
		return mark{}, 0
	}
	want := keyNames[p.at(i).val]
	m.items = p.itemsBy(func(item *routine.Item) bool { return keyIs(item.Key, want, mode) })
	return m, n
}

// mode returns how many marks name a key at i, and the sense of its mode if
// that is said.
func (p *parser) mode(i int) (mode sense, n int) {
	switch p.at(i).sense {
	case minorKeySense:
		return minorSense, 1
	case majorKeySense:
		return majorSense, 1
	case keySense, weakKeySense:
		if s := p.at(i + 1).sense; s == minorSense || s == majorSense {
			return s, 2
		}
		return 0, 1
	}
	return 0, 0
}

// pointed reports whether the words before a key say that it is one: "die in B",
// "the one in G".
func (p *parser) pointed(i int) bool {
	return (p.is(i-1, inSense) || p.is(i-1, ofSense)) && (p.is(i-2, articleSense) || p.is(i-2, oneSense) || p.is(i-2, onSense))
}

// keyIs compares a key as a routine writes it ("Eb", "C minor") with one that
// was said. Without major or minor said, both will do.
func keyIs(key, want string, said sense) bool {
	tonic, mode, _ := strings.Cut(key, " ")
	if strings.HasSuffix(tonic, "m") && mode == "" {
		tonic, mode = strings.TrimSuffix(tonic, "m"), "minor"
	}
	return sameTonic(tonic, want) && (said == 0 || (said == minorSense) == (mode == "minor"))
}

// sameTonic compares two tonics, however they are spelled.
func sameTonic(key, want string) bool {
	switch key {
	case "C#":
		key = "Db"
	case "D#":
		key = "Eb"
	case "Gb":
		key = "F#"
	case "G#":
		key = "Ab"
	case "A#":
		key = "Bb"
	case "Cb":
		key = "B"
	}
	return key == want
}

// skilled reads items by their skill: slurs, the etude.
func (p *parser) skilled(i int) (mark, int) {
	switch {
	case p.is(i, skillSense), p.is(i, singleSense):
	case p.is(i, tongueSense) && p.tongueIsItem(i):
		set := p.itemsBy(func(item *routine.Item) bool { return item.Skill == routine.Articulation })
		return mark{sense: itemsSense, val: nameOfSkill, items: set, role: "skill", several: true}, 1
	default:
		return mark{}, 0
	}
	skill := routine.Skills()[p.at(i).val]
	set := p.itemsBy(func(item *routine.Item) bool { return item.Skill == skill })
	m := mark{
		sense: itemsSense, val: nameOfSkill, items: set, role: "skill",
		several: p.is(i, skillSense), typo: p.at(i).typo,
	}
	return m, 1 + p.narrow(&m, i+1)
}

// tongueIsItem reports whether "tongue" is said of items: it begins a clause and
// an outcome or a number follows.
func (p *parser) tongueIsItem(i int) bool {
	switch p.at(i + 1).sense {
	case outcomeSense, fineSense, doneSense, numSense, noteSense, atSense:
		return p.clauseStart(i)
	}
	return false
}

// titled reads items by the title of their book or study, with what follows to
// say which of them is meant: daily ground 2.
func (p *parser) titled(i int) (mark, int) {
	if !p.is(i, itemsSense) {
		return mark{}, 0
	}
	m := *p.at(i)
	return m, 1 + p.narrow(&m, i+1)
}

// narrow narrows a mark that names a book or a study by the number of a study
// or of a line that follows, and returns how many marks it took.
func (p *parser) narrow(m *mark, i int) int {
	if m.val == nameOfBook {
		n := 0
		if p.is(i, studySense) || p.is(i, itemSense) {
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
	return 0
}

// narrower reads what may follow a name to say which of its items is meant.
func (p *parser) narrower(i int) (mark, int) {
	if m, n := p.lines(i); n > 0 {
		return m, n
	}
	k := 0
	if p.is(i, inSense) {
		k = 1
	}
	if m, n := p.keyAt(i+k, k > 0); n > 0 {
		return m, n + k
	}
	return mark{}, 0
}
