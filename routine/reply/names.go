package reply

import (
	"bytes"
	"slices"
	"strings"
	"unicode/utf8"

	"ledgerline/routine"
)

// A name is what an item may be called by: the title of its book or its study,
// as tokens first to last-1 of parser.names.
type name struct {
	first, last int
	item        int
	book        bool
}

// lexNames cuts the titles of the routine's items into words.
func (p *parser) lexNames() {
	p.names.toks, p.names.buf, p.titles = p.names.toks[:0], p.names.buf[:0], p.titles[:0]
	for i := range p.items() {
		item := &p.items()[i]
		p.lexName(item.Title, item.N, false)
		p.lexName(item.Book, item.N, true)
	}
	p.identify(&p.names)
	p.initials = 0
	for i := range p.names.toks {
		word := p.names.toks[i].folded
		for _, c := range p.names.buf[word.start:min(word.end, word.start+2)] {
			p.initials |= 1 << (c & 63)
		}
	}
}

func (p *parser) lexName(title string, item int, book bool) {
	first := len(p.names.toks)
	p.names.lex(title)
	p.titles = append(p.titles, name{first, len(p.names.toks), item, book})
}

// nameAt returns the mark of the longest title, or part of one, that begins at
// token i, and how many tokens it has. The items of all titles that match as
// long are in it.
func (p *parser) nameAt(i int) (m mark, n int) {
	if t := &p.toks[i]; t.kind != wordToken || t.folded.start == t.folded.end || p.initials>>(p.buf[t.folded.start]&63)&1 == 0 {
		return mark{}, 0
	}
	for _, t := range p.titles {
		k := p.titleAt(t, i)
		if k == 0 || k < n {
			continue
		}
		if k > n {
			m, n = mark{sense: itemsSense, role: "name", val: nameOfStudy}, k
		}
		m.items.add(t.item)
		if t.book {
			m.val = nameOfBook
		}
	}
	return m, n
}

// anyOf reports whether "a" stands right before, so that one word of a title that
// follows is no name: "on a ferry".
func (p *parser) anyOf() bool {
	last := len(p.marks) - 1
	return p.is(last, articleSense) && p.at(last).val == indefinite
}

// What a mark of items was named by, in mark.val.
const (
	byNumber = iota
	nameOfStudy
	nameOfBook
	nameOfSkill
	nameOfKey
	nameOfLine
	lastOfDay // the last item that was played, with those before it
)

// titleAt returns how many tokens from i on are words of the title in order.
// It must be the whole title, or have a word in it that the language does not
// know, so that everyday words are not taken for titles.
func (p *parser) titleAt(t name, i int) int {
	best := 0
	for first := t.first; first < t.last; first++ {
		n, telling, guessed := 0, false, false
		for first+n < t.last && i+n < len(p.toks) && (p.sameWord(first+n, i+n) || p.besideSame(t, first+n, i+n)) {
			telling = telling || p.rare(&p.names.toks[first+n]) || first == t.first && n == 1 && !p.means(i+n, articleSense)
			guessed = guessed || p.misspelled(first+n, i+n)
			n++
		}
		if n == 1 && t.last-t.first > 1 && (guessed && !p.saidAt(i+1) || p.anyOf()) {
			continue // one misspelled word of several, or "a mile"
		}
		if n > best && (telling || n == t.last-t.first || p.everyday(i+n-1) && (p.oneAt(i+n) && !p.means(i+n-1, tongueSense) || p.standsFor(i+n))) {
			best = n
		}
	}
	return best
}

// misspelled reports whether a word of the message is not spelled as in the title.
func (p *parser) misspelled(title, i int) bool {
	a, b := p.names.toks[title].folded, p.toks[i].folded
	want, got := p.names.buf[a.start:a.end], p.buf[b.start:b.end]
	return !bytes.Equal(want, got) && !plural(want, got) // the chromatics
}

// plural reports whether got is want with an "s" at its end, and no short word.
func plural(want, got []byte) bool {
	return len(want) > minTypo && len(got) == len(want)+1 && got[len(want)] == 's' && bytes.HasPrefix(got, want)
}

// means reports whether token i by itself has one of the senses.
func (p *parser) means(i int, senses ...sense) bool {
	return i < len(p.toks) && slices.Contains(senses, p.senseOf(p.toks[i].plain))
}

// figures reports whether token i is a number in figures.
func (p *parser) figures(i int) bool { return i < len(p.toks) && p.toks[i].kind == numberToken }

// saidAt reports whether token i is a number or a word that is said of items.
func (p *parser) saidAt(i int) bool {
	switch {
	case i >= len(p.toks):
		return false
	case p.figures(i), p.figures(i+1) && (strings.ContainsRune("=:@", p.toks[i].sign) || p.means(i, toSense, timesSense)): // Breath = 72, Mile a 176, Thirds x2
		return true
	}
	switch said, n := p.phraseAt(i); said.sense {
	case outcomeSense, fineSense, doneSense, wentSense, atSense, repsSense, eachSense:
		return true
	case noSense: // octaves: no; but not "octaves no longer"
		return i+1 >= len(p.toks) || p.toks[i+1].kind == signToken
	case toSense: // le galop à cent trente-deux
		return p.means(i+1, numberSense)
	case forSense:
		return p.figures(i + 1)
	case fillerSense: // the chromatics were shaky
		next, _ := p.phraseAt(i + n)
		return (said.val == 1 || said.val == copula) && (next.sense == outcomeSense || next.sense == fineSense || p.figures(i+n))
	}
	return false
}

// standsFor reports whether one everyday word of a title, which ends before token end
// and follows the last mark, means its item: at the head of a clause with something
// said of it, "the boat was fine", at its end after an outcome, a number or a name,
// "didn't get to boat", "3 of 3 for the round", or with its key, "thirds in B".
func (p *parser) standsFor(end int) bool {
	last := len(p.marks) - 1
	for p.is(last, articleSense, forSense, onSense, bothSense) {
		last--
	}
	said := p.afterValue(last+1) || p.is(last, timesSense, keySense, weakKeySense, majorSense, minorSense) ||
		p.is(last, andSense) && p.is(last-1, itemsSense, skillSense, singleSense)
	head := last < 0 || p.is(last, andSense) || !p.letterAt(p.at(last).start) || p.headDay(last)
	if end >= len(p.toks) || p.toks[end].kind == signToken && !p.saidAt(end) {
		if end+1 < len(p.toks) && (p.toks[end].sign == ':' || p.toks[end].sign == '(' && p.figures(end+1)) { // Wheel: first 88; Wave (10 min)
			return said || head
		}
		return said || head && end+2 < len(p.toks) && p.toks[end].sign == ',' && p.titleWord(end+1) && (p.toks[end+2].sign == ',' || p.means(end+2, andSense) || p.saidAt(end+2)) // Breath, Tongue and Mile done
	}
	for range reach / 2 { // Boat heute ganz gut
		next, n := p.phraseAt(end)
		if next.sense == daySense && said {
			return true
		}
		if next.sense != fillerSense && next.sense != articleSense && (next.sense != daySense || !head) || end+n >= len(p.toks) {
			break
		}
		end += n
	}
	if verb := end; head { // thirds fell asunder at 90
		for verb < end+2 && p.means(verb, unknown, plainSense) && p.toks[verb].kind == wordToken {
			verb++
		}
		if verb > end && p.means(verb, atSense) && p.figures(verb+1) && p.toks[verb+1].num >= leastBPM {
			return true
		}
	}
	switch next, n := p.phraseAt(end); next.sense {
	case andSense: // breath and steps were good
		return said || head && end+n < len(p.toks) && p.titleWord(end+n)
	case orSense:
		return said
	case keySense, minorKeySense, majorKeySense:
		return said || head
	case inSense:
		return p.means(end+1, keySense, weakKeySense) || p.means(end+1, noteSense) && (said || head) // Round in Halben 70
	}
	return p.saidAt(end) && (said || head)
}

// everyday reports whether token i is an ordinary word that a title may be called by: "wheel",
// "octaves", but not "minute" after a number.
func (p *parser) everyday(i int) bool {
	switch p.senseOf(p.toks[i].plain) {
	case plainSense, barSense, thingSense, tongueSense, unknown:
		return true
	case minuteSense:
		last := p.at(len(p.marks) - 1).sense
		return last != numSense && last != numberSense && last != oneSense
	}
	return false
}

// titleWord reports whether token i is a word of a title, and no small word.
func (p *parser) titleWord(i int) bool {
	for t := range p.names.toks {
		if w := &p.names.toks[t]; w.kind == wordToken && w.folded.end-w.folded.start > minTypo-1 && p.sameWord(t, i) {
			return !p.means(i, articleSense)
		}
	}
	return false
}

// oneAt reports whether token i is "one", so that what stands before it is a name.
func (p *parser) oneAt(i int) bool {
	if i >= len(p.toks) {
		return false
	}
	end := p.meaningOf(p.toks[i].plain)
	return end.sense == oneSense || end.sense == thingSense && end.val == anything
}

// senseOf returns the sense of a word by itself.
func (p *parser) senseOf(word wordID) sense {
	return p.meaningOf(word).sense
}

// meaningOf returns the meaning of a word by itself.
func (p *parser) meaningOf(word wordID) meaning {
	return p.table.ends[p.table.next[branch{0, word}]]
}

// rare reports whether a word of a title says nothing by itself, so that it can
// only mean the title.
func (p *parser) rare(t *token) bool {
	known := !t.typo && p.senseOf(t.word) != unknown
	return !known && utf8.RuneCount(p.names.buf[t.folded.start:t.folded.end]) >= minTypo-1
}

// sameWord compares a word of a title with one of the message. A long word may
// have a typing error, unless the language knows what was written.
func (p *parser) sameWord(title, i int) bool {
	a, b := &p.names.toks[title], &p.toks[i]
	if a.kind != b.kind {
		return false
	}
	want, got := p.names.buf[a.folded.start:a.folded.end], p.buf[b.folded.start:b.folded.end]
	if bytes.Equal(want, got) {
		return true
	}
	unknown := b.word == 0 || b.typo || hasRun(got)
	return unknown && len(want) > minTypo && editBetween(got, string(want)) != noEdit
}

// besideSame reports whether a word of the message is nearly that of the title, whatever
// else it may mean, and stands beside another of it: "fist breath".
func (p *parser) besideSame(t name, title, i int) bool {
	a, b := p.names.toks[title].folded, p.toks[i].folded
	want, got := p.names.buf[a.start:a.end], p.buf[b.start:b.end]
	if len(want) < minTypo || editBetween(got, string(want)) == noEdit || got[0] != want[0] {
		return false
	}
	return title > t.first && i > 0 && p.sameWord(title-1, i-1) && !p.means(i-1, articleSense) || title+1 < t.last && i+1 < len(p.toks) && p.sameWord(title+1, i+1)
}

// itemsBy returns the items for which is holds.
func (p *parser) itemsBy(is func(*routine.Item) bool) (set itemSet) {
	for i := range p.items() {
		if is(&p.items()[i]) {
			set.add(p.items()[i].N)
		}
	}
	return set
}
