package reply

import (
	"strings"

	"ledgerline/routine"
)

// keyed reads an item by its key: Eb at the beginning of a clause, the G minor
// one, in Eb. A key as short as a letter must be said to be one.
func (p *parser) keyed(i int) (mark, int) {
	if _, n := p.mode(i); n == 0 {
		return mark{}, 0
	}
	if m := p.at(i); m.sense == weakKeySense && m.end-m.start > 1 && p.is(i+1, singleSense, skillSense) { // mi estudio
		return mark{sense: articleSense, val: definite}, 1
	}
	if before := len(p.units) - 2; p.is(i-1, inSense) && p.unit(before, numSense) && p.isItem(p.units[before].x) { // 2 in Ab
		x := int(p.units[before].x)
		if m, n := p.keyAt(i, true); m.items.has(x) {
			m.items = 0
			m.items.add(x)
			return m, n
		}
	}
	if n := p.bracketed(i); n > 0 {
		return mark{sense: articleSense}, n
	}
	m, n := p.keyAt(i, p.pointed(i) || !p.is(i, weakKeySense) && (p.clauseStart(i) || p.picked(i) || (p.afterValue(i) || p.isSign(i-1, '/') && p.anyItem()) && p.valueAt(i+1)))
	if n > 0 || !p.is(i, weakKeySense) || !p.clauseStart(i) {
		return m, n
	}
	m, n = p.keyAt(i, true) // "si 80": a short word that names one item, with a tempo it can have
	x, ok := p.digits(i + n)
	judged := p.is(i-1, articleSense) && p.is(i+n, outcomeSense) // la si propre
	if m.items.only() != 0 && (judged || ok && p.item(int(x)) == nil && p.withinReach(m.items, x, nearLow, nearHigh)) {
		return m, n
	}
	return mark{}, 0
}

// bracketed returns how many marks the key at mark i has if it stands in brackets after the
// number of an item that has it: "2 (Eb) 92".
func (p *parser) bracketed(i int) int {
	m, n := p.keyAt(i, true)
	before := len(p.units) - 2
	if n == 0 || !p.isSign(i-1, '(') || !p.isSign(i+n, ')') || !p.unit(before, numSense) || !p.isItem(p.units[before].x) || !m.items.has(int(p.units[before].x)) {
		return 0
	}
	return n
}

// picked reports whether the word before mark i tells which items were played or left
// out: "skipped Eb", "all but Eb", "no time for Eb".
func (p *parser) picked(i int) bool {
	key := i
	for end := i - reach; i > end && (p.is(i-1, articleSense) && p.at(i-1).val != indefinite || p.is(i-1, onSense, ofSense, inSense, fillerSense, forSense)); {
		i--
	}
	switch p.at(i - 1).sense {
	case onlySense, exceptSense, butSense, notSense:
		return true
	case minuteSense, halfSense, partSense, partlySense: // 20 min on Eb, half of Eb
		return p.linked(i)
	case outcomeSense, doneSense, noneSense:
		return p.clauseStart(i - 1)
	}
	return p.clauseStart(i) && p.is(key+1, outcomeSense, doneSense) // ich hab Es-Dur gespielt
}

// keyAt reads the key at mark i, if it is sure to be one or says so itself.
func (p *parser) keyAt(i int, sure bool) (mark, int) {
	mode, n := p.mode(i)
	if n == 0 {
		return mark{}, 0
	}
	m := mark{sense: itemsSense, val: nameOfKey, role: "key"}
	sure = sure || mode != 0
	if p.is(i+n, oneSense, singleSense, skillSense) || p.is(i+n, itemSense) && !p.is(i+n+1, numSense) {
		m.several = p.text[p.at(i+n).end-1] == 's'
		n, sure, m.firm = n+1, true, true
	}
	if p.at(i).sense == mode { // the minor one
		m.items = p.itemsBy(func(item *routine.Item) bool { return strings.Contains(item.Key, "minor") == (mode == minorSense) })
		return m, n
	}
	want := "A"
	if !p.is(i, articleSense) {
		want = keyNames[p.at(i).val]
	}
	m.items = p.itemsBy(func(item *routine.Item) bool { return keyIs(item.Key, want, mode) })
	if named := p.at(i + n); named.sense == itemsSense && named.items&m.items != 0 { // B thirds
		m.items &= named.items
		return m, n + 1
	}
	if !sure {
		return mark{}, 0
	}
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
	case minorSense, majorSense:
		if p.is(i+1, oneSense) {
			return p.at(i).sense, 1
		}
	case articleSense: // the one in A
		if p.text[p.at(i).start:p.at(i).end] == "A" && p.pointed(i) {
			return 0, 1
		}
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
	if p.is(i-1, articleSense) && p.at(i-1).val == oneOfThem { // el de sol
		return true
	}
	if p.is(i-1, inSense) && p.is(i-2, andSense, breakSense) && p.valueAt(i+1) && p.anyItem() { // Thirds in Es auf 92 und in H auf 80
		return true
	}
	return p.is(i-1, inSense, ofSense) && p.is(i-2, articleSense, oneSense, onSense, onlySense)
}

// keyIs compares a key as a routine writes it ("Eb", "C minor") with one that
// was said. Without major or minor said, both will do.
func keyIs(key, want string, said sense) bool {
	tonic, mode, _ := strings.Cut(key, " ")
	if strings.HasSuffix(tonic, "m") && mode == "" {
		tonic, mode = strings.TrimSuffix(tonic, "m"), "minor"
	}
	if same := enharmonic[tonic]; same != "" {
		tonic = same
	}
	return tonic == want && (said == 0 || (said == minorSense) == (mode == "minor"))
}

// enharmonic has the names that keyNames has for tonics with another.
var enharmonic = map[string]string{"C#": "Db", "D#": "Eb", "Gb": "F#", "G#": "Ab", "A#": "Bb", "Cb": "B"}
