package reply

import (
	"strings"

	"ledgerline/routine"
)

// A rule joins marks from i on into one, and returns how many it took; 0 if it
// does not apply.
type rule func(p *parser, i int) (m mark, n int)

// rules are tried in this order; the first that applies is taken.
var rules = []rule{
	(*parser).bars,
	(*parser).date,
	(*parser).duration,
	(*parser).tempo,
	(*parser).repeats,
	(*parser).titled,
	(*parser).lines,
	(*parser).studies,
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
	n := p.list(i+1, func(int, int) {})
	if n == 0 {
		return mark{}, 0
	}
	return mark{sense: barSense, firm: true}, n + 1
}

// clauseStart reports whether nothing but articles and fillers stands between
// mark i and the beginning of its clause. It looks four marks back at most.
func (p *parser) clauseStart(i int) bool {
	for j := i - 1; j >= 0 && j >= i-4; j-- {
		switch p.at(j).sense {
		case breakSense, stopSense, colonSense, querySense, butSense, andSense:
			return true
		case articleSense, fillerSense, onSense, sorrySense, atSense, forSense, inSense, ofSense, oneSense:
		default:
			return false
		}
	}
	return i <= 4
}

// numeral reads what changes a bare number: "about 96", "96ish", "~96", a
// decimal fraction, a range of two.
func (p *parser) numeral(i int) (mark, int) {
	dot := 0 // "ca. 80"
	if p.is(i, aboutSense) {
		if p.isSign(i+1, '.') && p.at(i+1).glued {
			i, dot = i+1, 1
		}
		if m, n := p.numeral(i + 1); n > 0 && m.sense == numSense {
			m.approx = true
			return m, n + 1 + dot
		}
		if x, ok := p.digits(i + 1); ok {
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
			return mark{sense: doneSense}, n + 1
		}
		return mark{sense: partlySense}, n + 1
	}
	if p.isSign(i+n, '-') && p.at(i+n).glued && p.is(i+n+1, ishSense) {
		return mark{sense: numSense, x: x, approx: true}, n + 2
	}
	if _, ok := p.digits(i + n + 1); p.is(i+n, ishSense) || p.is(i+n, aboutSense) && !ok && !p.isSign(i+n+1, '.') {
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
	if p.isSign(i+1, ',') && !p.hours(i+3) || width > 2 || p.item(int(x)) != nil && !p.hours(i+3) {
		return x, 1
	}
	for range width {
		y /= 10
	}
	return x + y, 3
}

// rangeEnd reads the "-3" of "1-3" and the "to 92" of "84 to 92": both ends
// must be items, or neither.
func (p *parser) rangeEnd(i int, x float64) (y float64, n int) {
	if !p.isSign(i, '-') && !p.is(i, toSense) && !p.isSign(i, ellipsis) {
		return 0, 0
	}
	k := 0
	if p.is(i+1, articleSense) {
		k = 1
	}
	y, ok := p.digits(i + 1 + k)
	low, high := p.item(int(x)) != nil, p.item(int(y)) != nil
	if !ok || low != high || y <= x || p.isSign(i+2, '/') || k > 0 && !low {
		return 0, 0
	}
	return y, 2 + k
}

// duration reads minutes in all their usual forms: 40 min, 1h, 1h10, 1:10,
// half an hour, 2x20, 20 + 25 min.
func (p *parser) duration(i int) (mark, int) {
	skip := 0
	if p.is(i, aboutSense) {
		skip = 1
	}
	if m, n := p.eitherMinutes(i + skip); n > 0 {
		return m, n + skip
	}
	total, n := p.stretch(i + skip)
	if n == 0 {
		return mark{}, 0
	}
	n += skip
	for p.isSign(i+n, '+') || p.is(i+n, andSense) {
		more, k := p.stretch(i + n + 1)
		if k == 0 {
			break
		}
		total, n = total+more, n+1+k
	}
	m := mark{sense: minutesSense, x: total, role: "minutes"}
	return m, n
}

// eitherMinutes reads "40-45 min" and "40 or 45 min".
func (p *parser) eitherMinutes(i int) (mark, int) {
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	if !ok || !ok2 || !p.is(i+3, minuteSense) || !p.isSign(i+1, '-') && !p.is(i+1, orSense) && !p.is(i+1, toSense) || p.isItem(x) && y > 3*x {
		return mark{}, 0
	}
	return mark{sense: minutesSense, x: x, y: y, several: true}, 4
}

// stretch reads one stretch of time, in minutes.
func (p *parser) stretch(i int) (minutes float64, n int) {
	for _, form := range []func(*parser, int) (float64, int){
		(*parser).byWord, (*parser).byClock, (*parser).byHours, (*parser).byProduct, (*parser).bySum, (*parser).byMinutes,
	} {
		if minutes, n := form(p, i); n > 0 {
			return minutes, n
		}
	}
	return 0, 0
}

// byWord reads "half an hour", "an hour and 10 minutes".
func (p *parser) byWord(i int) (float64, int) {
	if !p.is(i, timeSense) {
		return 0, 0
	}
	minutes, n := p.at(i).x, 1
	if x, ok := p.number(i + 1); ok && x < 60 && p.is(i+1, numberSense) && p.clauseEnd(i+2) {
		return minutes + x, 2
	}
	if p.is(i+1, moreSense) || p.is(i+1, halfSense) {
		return minutes + 30, 2
	}
	return minutes, n
}

// byClock reads 1:10. With more than one such pair in the message they are
// items with tempi, and after "at" it is the time of day.
func (p *parser) byClock(i int) (float64, int) {
	h, ok := p.digits(i)
	m, ok2 := p.digits(i + 2)
	if !ok || !ok2 || !p.isSign(i+1, ':') || !p.at(i+1).glued || !p.at(i+2).glued {
		return 0, 0
	}
	minutes := h*60 + m
	if m > 59 || h > 8 || p.at(i+2).end-p.at(i+2).start != 2 || p.pairs > 1 || !p.plausibleDay(minutes) || p.is(i-1, atSense) {
		return 0, 0
	}
	return minutes, 3
}

// countPairs counts the glued pairs like 1:70 among the marks.
func (p *parser) countPairs() (n int) {
	for i := range p.marks {
		if p.is(i, colonSense) && p.at(i).glued && p.is(i-1, numSense) && p.is(i+1, numSense) {
			n++
		}
	}
	return n
}

// byHours reads 1h, 1.5 h, 1h10, 1 hr 15, 1 hour and 10 minutes, 1½ h.
func (p *parser) byHours(i int) (float64, int) {
	h, n := p.decimal(i)
	if n == 0 {
		var ok bool
		if h, ok = p.number(i); !ok {
			return 0, 0
		}
		n = 1
	}
	if p.is(i+n, halfSense) && p.hours(i+n+1) {
		return h*60 + 30, n + 2
	}
	if !p.hours(i+n) || h > 12 {
		return 0, 0
	}
	n++
	if p.is(i+n, moreSense) {
		return h*60 + 30, n + 1
	}
	m, ok := p.digits(i + n)
	ends := p.is(i+n+1, minuteSense)
	if ok && m < 60 && (ends || p.at(i+n).glued || p.clauseEnd(i+n+1)) {
		if ends {
			n++
		}
		return h*60 + m, n + 1
	}
	return h * 60, n
}

// hours reports whether mark i means hours: "h" does, even where it is a key.
func (p *parser) hours(i int) bool {
	m := p.at(i)
	return m.sense == hourSense || m.sense == weakKeySense && strings.EqualFold(p.text[m.start:m.end], "h")
}

// clauseEnd reports whether a clause ends before mark i.
func (p *parser) clauseEnd(i int) bool {
	switch p.at(i).sense {
	case breakSense, stopSense, querySense:
		return true
	}
	return i >= len(p.marks)
}

// byProduct reads 2x20 and 2 x 25 min.
func (p *parser) byProduct(i int) (float64, int) {
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	if !ok || !ok2 || !p.is(i+1, timesSense) || x > 12 || y > 90 {
		return 0, 0
	}
	if p.is(i+3, minuteSense) {
		return x * y, 4
	}
	if y < 5 || p.at(i+1).glued != p.at(i+2).glued || p.at(i+1).end-p.at(i+1).start > 2 {
		return 0, 0
	}
	return x * y, 3
}

// bySum reads 20 + 25 min.
func (p *parser) bySum(i int) (float64, int) {
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	if ok && ok2 && p.isSign(i+1, '+') && p.is(i+3, minuteSense) {
		return x + y, 4
	}
	return 0, 0
}

// byMinutes reads 40 min.
func (p *parser) byMinutes(i int) (float64, int) {
	x, ok := p.number(i)
	switch {
	case ok && p.is(i+1, minuteSense):
		return x, 2
	case ok && p.is(i+1, ishSense) && p.is(i+2, minuteSense):
		return x, 3
	case ok && p.is(i+1, quartersSense):
		return 15 * x, 2
	}
	return 0, 0
}

// tempo reads a number that is said to be a tempo, by its note value, a sign, a
// word or a path: q=96, dotted q 60, @96, from 84 to 92, 84/88/92, up to 100.
func (p *parser) tempo(i int) (mark, int) {
	note, n := p.noteValue(i)
	lead := n
	if n > 0 {
		if p.isSign(i+n, '=') || p.isSign(i+n, ':') || p.is(i+n, atSense) || p.is(i+n, toSense) || p.is(i+n, ofSense) {
			n++
		}
	} else if p.is(i, atSense) || p.is(i, bpmSense) || p.is(i, toSense) {
		n, lead = 1, 1
		if p.isSign(i+1, '=') || p.isSign(i+1, ':') {
			n++
		}
	}
	m, k := p.path(i + n)
	if k == 0 {
		return mark{}, 0
	}
	n += k
	if p.is(i+n, bpmSense) {
		n, lead = n+1, 1
	} else if after, k := p.noteAfter(i + n); note == 0 && k > 0 {
		note, n, lead = after, n+k, 1
	}
	if lead == 0 && !m.firm || p.is(i+n, barSense) || p.is(i+n, minuteSense) || m.x < 20 && note == 0 {
		return mark{}, 0
	}
	m.sense, m.note, m.firm = tempoSense, note, true
	return m, n
}

// noteAfter reads a note value that stands after its number: "96 (quarter)" is
// not written, but "96 q" is.
func (p *parser) noteAfter(i int) (routine.NoteValue, int) {
	if p.is(i, noteSense) && p.at(i-1).x >= 20 && (p.clauseEnd(i+1) || p.is(i+1, outcomeSense)) {
		return routine.NoteValue(p.at(i).val), 1
	}
	return 0, 0
}

// noteValue reads a note value: a word, a sign, 8th, 1/8, with its dot.
func (p *parser) noteValue(i int) (note routine.NoteValue, n int) {
	dotted := p.is(i, dottedSense)
	if dotted {
		i, n = i+1, 1
	}
	switch {
	case p.is(i, noteSense):
		note, n = routine.NoteValue(p.at(i).val), n+1
	case p.is(i, halfSense) && p.isSign(i+1, '='):
		note, n = routine.Half, n+1
	default:
		k := 0
		if note, k = p.fraction(i); k == 0 {
			return 0, 0
		}
		n += k
	}
	if dotted {
		i--
	}
	if !dotted && (p.is(i+n, dottedSense) || p.isSign(i+n, '.') && p.at(i+n).glued) {
		if _, ok := p.digits(i + n + 1); ok || p.isSign(i+n+1, '=') {
			dotted, n = true, n+1
		}
	}
	if dotted && note%2 == 0 {
		note += note / 2
	}
	return note, n
}

// fraction reads 8th and 1/8, if a number or an equals sign follows.
func (p *parser) fraction(i int) (note routine.NoteValue, n int) {
	x, ok := p.digits(i)
	switch {
	case ok && p.is(i+1, ordinalSense) && p.at(i+1).glued:
		n = 2
	case ok && x == 1 && p.isSign(i+1, '/'):
		if x, ok = p.digits(i + 2); !ok {
			return 0, 0
		}
		n = 3
	default:
		return 0, 0
	}
	if p.is(i+n, barSense) { // 8th notes
		n++
	}
	if !p.isSign(i+n, '=') && !p.is(i+n, atSense) {
		if y, ok := p.digits(i + n); !ok || y < 20 {
			return 0, 0
		}
	}
	switch x {
	case 2:
		return routine.Half, n
	case 4:
		return routine.Quarter, n
	case 8:
		return routine.Eighth, n
	case 16:
		return routine.Sixteenth, n
	}
	return 0, 0
}

// path reads one tempo or the way from one to another. It is firm if its form
// alone says that it is a tempo.
func (p *parser) path(i int) (m mark, n int) {
	about := p.is(i, aboutSense)
	if about {
		n++
	}
	from := p.is(i+n, fromSense) || p.is(i+n, ofSense)
	upTo := p.is(i+n, upToSense)
	if from || upTo {
		n++
	}
	if p.is(i+n, atSense) && (from || upTo) {
		n++
	}
	x, k := p.decimal(i + n)
	if k == 0 {
		return mark{}, 0
	}
	m, n = mark{x: x, firm: upTo, approx: about}, n+k
	for {
		y, k, sure := p.pathStep(i+n, m.x)
		if k == 0 {
			break
		}
		if m.y == 0 {
			m.y = m.x
		}
		m.x, n, m.firm = y, n+k, m.firm || sure || from
	}
	if y, k := p.commaPath(i+n, x); k > 0 && m.y == 0 {
		m.x, m.y, m.firm, n = y, x, true, n+k
	}
	if from && m.y == 0 {
		return mark{}, 0
	}
	if p.is(i+n, ishSense) {
		m.approx, n = true, n+1
	}
	return m, n
}

// commaPath reads ", 88, 92" after 84: at least two more tempi, each a little
// faster than the one before.
func (p *parser) commaPath(i int, x float64) (last float64, n int) {
	steps := 0
	for p.isSign(i+n, ',') || steps > 0 && p.is(i+n, andSense) {
		y, ok := p.digits(i + n + 1)
		if !ok || x < 30 || y <= x || y > 1.2*x || p.is(i+n+2, minuteSense) {
			break
		}
		x, n, steps = y, n+2, steps+1
	}
	if steps < 2 {
		return 0, 0
	}
	return x, n
}

// pathStep reads the next tempo of a path: "->92", "/92", "to 92", "-92". It is
// sure to be one if it can't be a range of items or a fraction.
func (p *parser) pathStep(i int, x float64) (y float64, n int, sure bool) {
	arrowed := p.isSign(i, arrow) || p.isSign(i, '>')
	slashed := p.isSign(i, '/') && p.at(i).glued
	upTo := p.is(i, upToSense)
	if !arrowed && !slashed && !upTo && !p.isSign(i, '-') && !p.is(i, toSense) {
		return 0, 0, false
	}
	note := 0
	if _, n := p.noteValue(i + 1); n > 0 && p.isSign(i+1+n, '=') {
		note = n + 1
		i += note
	}
	y, k := p.decimal(i + 1)
	k += note
	if k == note || x < 20 || y < 20 || slashed && (x <= 31 || y <= 31) {
		return 0, 0, false
	}
	return y, k + 1, true
}

// repeats reads 3x, x3, three times, twice, 2 of 4.
func (p *parser) repeats(i int) (mark, int) {
	if y, ok := p.number(i + 2); ok && p.is(i, repsSense) && p.is(i+1, ofSense) && y >= p.at(i).x {
		return mark{sense: countSense, x: p.at(i).x, y: y}, 3
	}
	if p.is(i, repsSense) {
		return mark{sense: countSense, x: p.at(i).x}, 1
	}
	if p.is(i, timesSense) && p.at(i).end-p.at(i).start <= 2 {
		if x, ok := p.digits(i + 1); ok && x <= 50 && (!p.is(i-1, numSense) || p.at(i+1).glued && !p.at(i).glued) {
			return mark{sense: countSense, x: x}, 2
		}
	}
	x, ok := p.number(i)
	if !ok || x < 1 || x > 100 {
		return mark{}, 0
	}
	if y, ok := p.number(i + 3); ok && p.is(i+1, timesSense) && p.is(i+2, ofSense) && y >= x && y <= 20 {
		return mark{sense: countSense, x: x, y: y}, 4
	}
	if p.is(i+1, timesSense) && !(p.is(i+2, numSense) && p.at(i+2).glued && !p.at(i+1).glued) {
		return mark{sense: countSense, x: x}, 2
	}
	if _, ok := p.number(i + 2); ok && p.is(i+1, ofSense) && p.is(i+3, itemSense) {
		return mark{sense: partlySense}, 4
	}
	if y, ok := p.number(i + 2); ok && p.is(i+1, ofSense) && y >= x && y <= 20 && !p.is(i+3, toSense) && !p.is(i+3, upToSense) {
		return mark{sense: countSense, x: x, y: y}, 3
	}
	return p.slashedRepeats(i)
}

// slashedRepeats reads the 2/4 of "3: 2/4 clean".
func (p *parser) slashedRepeats(i int) (mark, int) {
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	if ok && ok2 && p.isSign(i+1, '/') && p.at(i+2).glued && x <= y && y <= 20 && !p.isSign(i+3, '/') && i > 0 && !p.isSign(i-1, '/') {
		return mark{sense: countSense, x: x, y: y}, 3
	}
	return mark{}, 0
}
