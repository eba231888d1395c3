package reply

import "strings"

// A rule joins marks from i on into one, and returns how many it took; 0 if it
// does not apply.
type rule func(p *parser, i int) (m mark, n int)

// rules are tried in this order; the first that applies is taken.
var rules = []rule{
	(*parser).bars,
	(*parser).seconds,
	(*parser).money,
	(*parser).score,
	(*parser).date,
	(*parser).clockSpan,
	(*parser).duration,
	(*parser).clock,
	(*parser).tempo,
	(*parser).repeats,
	(*parser).titled,
	(*parser).lines,
	(*parser).studies,
	(*parser).otherSo,
	(*parser).stopped,
	(*parser).onward,
	(*parser).numbered,
	(*parser).counted,
	(*parser).keyed,
	(*parser).skilled,
	(*parser).numeral,
}

// join makes p.units of p.marks.
func (p *parser) join() {
	for i := 0; i < len(p.marks); {
		m, n := p.joinAt(i)
		if n > 0 {
			m.start, m.end = p.at(i).start, p.at(i+n-1).end
			m.glued = p.at(i).glued
		} else {
			m, n = *p.at(i), 1
		}
		p.units = append(p.units, m)
		i += n
	}
}

func (p *parser) joinAt(i int) (mark, int) {
	for _, r := range rules {
		if m, n := r(p, i); n > 0 {
			return m, n
		}
	}
	return mark{}, 0
}

// bars reads the number of a bar or a page and of others like it: "bars 9-12". It
// is no item's.
func (p *parser) bars(i int) (mark, int) {
	if !p.is(i, barSense) {
		return mark{}, 0
	}
	x, ok := p.digits(i + 1)
	named := i + 1
	if p.is(named, articleSense) {
		named++
	}
	if p.is(i-1, allSense) && (ok && p.isItem(x) || p.is(named, itemsSense, skillSense, singleSense)) { // everything bar 4, all bar the etude
		return mark{sense: exceptSense}, 1
	}
	colon := 0
	if p.is(i+1, colonSense) {
		colon = 1
	}
	n := p.list(i+1+colon, func(int, int) {})
	if n == 0 || p.is(i+1+colon+n, minuteSense, agoSense) {
		return mark{}, 0
	}
	return noItem(""), n + 1 + colon
}

// seconds reads how long a note was held: "52 s". It is neither tempo nor minutes.
func (p *parser) seconds(i int) (mark, int) {
	if _, ok := p.digits(i); !ok || !p.inSeconds(i+1) {
		return mark{}, 0
	}
	return noItem("seconds"), 2
}

// inSeconds reports whether mark i means seconds: after a number "s" does, whatever
// else it is in a language.
func (p *parser) inSeconds(i int) bool {
	m := p.at(i)
	return m.sense == secondsSense || m.sense != quoteSense && strings.EqualFold(p.text[m.start:m.end], "s")
}

// score reads 3:1 and 3-1: a pair of small numbers that goes down is no range of
// items, nor an item with its tempo.
func (p *parser) score(i int) (mark, int) {
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	joined := p.is(i+1, toSense) || (p.isSign(i+1, '-') || p.isSign(i+1, ':')) && p.at(i+1).glued && p.at(i+2).glued
	if !ok || !ok2 || !joined || y >= x || x > maxScore || p.is(i+3, minuteSense) || p.isSign(i+3, '-') {
		return mark{}, 0
	}
	return noItem("score"), 3
}

// price is the role of a sum of money.
const price = "price"

// money reads 12,50 € and £35: a sum of money is nothing of practice.
func (p *parser) money(i int) (mark, int) {
	n := 0
	if p.is(i, moneySense) {
		n = 1
	}
	_, ok := p.digits(i + n)
	if !ok {
		return mark{}, 0
	}
	k := n + 1
	if _, ok := p.digits(i + k + 1); ok && p.at(i+k).glued && p.at(i+k+1).glued && (p.isSign(i+k, '.') || p.isSign(i+k, ',')) {
		k += 2
	}
	switch {
	case k == n+3 && !p.isItem(p.at(i+n).x) && cents(int(p.at(i+n+2).x)) && p.clauseEnd(i+k): // 12,50
	case p.is(i+k, moneySense):
		k++
	case n == 0:
		return mark{}, 0
	}
	return noItem(price), k
}

// noItem returns the mark of what is neither an item nor anything else that is logged.
func noItem(role string) mark { return mark{sense: barSense, firm: true, role: role} }

// cents reports whether prices are seen to end in such a number.
func cents(x int) bool { return x == 50 || x == 90 || x == 95 || x == 99 }

// maxScore is the highest score of a game that is told from a tempo.
const maxScore = leastBPM - 1

// clauseStart reports whether nothing but articles and fillers stands between
// mark i and the beginning of its clause. It looks four marks back at most.
func (p *parser) clauseStart(i int) bool {
	for j := i - 1; j >= 0 && j >= i-4; j-- {
		switch p.at(j).sense {
		case breakSense, stopSense, colonSense, querySense, butSense, andSense:
			return true
		case articleSense, fillerSense, onSense, sorrySense, atSense, forSense, inSense, ofSense, oneSense, daySense, weekdaySense:
		default:
			return false
		}
	}
	return i <= 4
}

// headDay reports whether mark i is a day at the head of its clause: "yesterday two and three".
func (p *parser) headDay(i int) bool {
	return p.is(i, daySense, weekdaySense) && p.clauseStart(i)
}

// numeral reads what changes a bare number: "about 96", "96ish", "~96", a
// decimal fraction, a range of two.
func (p *parser) numeral(i int) (mark, int) {
	dot := 0 // "ca. 80"
	if p.is(i, aboutSense) {
		if p.shortened(i) {
			i, dot = i+1, 1
		}
		if p.is(i+1, aboutSense) { // nearly nearly
			return mark{}, 0
		}
		if m, n := p.numeral(i + 1); m.sense == numSense {
			m.approx = true
			return m, n + 1 + dot
		}
		if x, ok := p.digits(i + 1); ok && !p.hours(i+2) && !p.is(i+2, clockSense) {
			return mark{sense: numSense, x: x, approx: true}, 2 + dot
		}
		return mark{}, 0
	}
	x, n := p.decimal(i)
	if n == 0 {
		return mark{}, 0
	}
	if p.isSign(i+n, '%') {
		if x >= 100 {
			return mark{sense: doneSense, val: 1}, n + 1
		}
		return mark{sense: partlySense}, n + 1
	}
	if p.isSign(i+n, '-') && p.at(i+n).glued && p.is(i+n+1, ishSense) {
		return mark{sense: numSense, x: x, approx: true}, n + 2
	}
	if _, ok := p.digits(i + n + 1); p.is(i+n, ishSense) || p.is(i+n, aboutSense) && p.at(i+n).val == 0 && !ok && !p.isSign(i+n+1, '.') && !p.isItem(x) {
		return mark{sense: numSense, x: x, approx: true}, n + 1
	}
	if y, k := p.rangeEnd(i+n, x); k > 0 {
		return mark{sense: rangeSense, x: x, y: y}, n + k
	}
	if n > 1 {
		return mark{sense: numSense, x: x}, n
	}
	return mark{}, 0
}

// shortened reports whether mark i is one word with a dot, that may be short for
// another: "ca." but not "más o menos."
func (p *parser) shortened(i int) bool {
	m := p.at(i)
	return p.isSign(i+1, '.') && p.at(i+1).glued && !strings.Contains(p.text[m.start:m.end], " ")
}

// decimal reads a number that may have a decimal fraction. "1.96" is item 1 at
// 96, not one and a bit.
func (p *parser) decimal(i int) (x float64, n int) {
	x, ok := p.digits(i)
	if !ok {
		return 0, 0
	}
	y, ok := p.digits(i + 2)
	if !ok || !p.at(i+1).glued || !p.at(i+2).glued || !p.isSign(i+1, '.') && !p.isSign(i+1, ',') {
		return x, 1
	}
	width := p.at(i+2).end - p.at(i+2).start
	if p.isSign(i+1, ',') && !p.hours(i+3) && !p.ofFever(i+3) || width > 2 || p.item(int(x)) != nil && !p.hours(i+3) {
		return x, 1
	}
	for range width {
		y /= 10
	}
	return x + y, 3
}

// ofFever reports whether mark i says that the number before it is how high a fever
// is: "38,7 Fieber", "39,2 Grad".
func (p *parser) ofFever(i int) bool {
	return p.is(i, excuseSense, thingSense, barSense) || p.is(i, ofSense) && p.is(i+1, excuseSense)
}

// rangeEnd reads the "-3" of "1-3" and the "to 92" of "84 to 92": both ends
// must be items, or neither.
func (p *parser) rangeEnd(i int, x float64) (y float64, n int) {
	if !p.isSign(i, '-') && !p.is(i, toSense) && !p.isSign(i, ellipsis) && !(p.is(i, articleSense) && p.fromBefore(i-1)) {
		return 0, 0
	}
	k := 0
	if p.is(i+1, articleSense) {
		k = 1
	}
	y, ok := p.digits(i + 1 + k)
	low, high := p.item(int(x)) != nil, p.item(int(y)) != nil
	if !ok || low != high || y <= x || p.isSign(i+2, '/') && p.at(i+2).glued || k > 0 && !low {
		return 0, 0
	}
	return y, 2 + k
}

// fromBefore reports whether "from" stands before the number at mark i, with an article
// at most between: "de la 1 à la 3".
func (p *parser) fromBefore(i int) bool {
	if p.is(i-1, articleSense, onSense) {
		i--
	}
	return p.is(i-1, fromSense, ofSense)
}

// clauseEnd reports whether a clause ends before mark i.
func (p *parser) clauseEnd(i int) bool {
	return i >= len(p.marks) || p.is(i, breakSense, stopSense, querySense)
}
