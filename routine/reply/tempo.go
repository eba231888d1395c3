package reply

import (
	"ledgerline/routine"
)

// tempo reads a number that is said to be a tempo, by its note value, a sign, a
// word or a path: q=96, dotted q 60, @96, from 84 to 92, 84/88/92, up to 100.
func (p *parser) tempo(i int) (mark, int) {
	if p.is(i, sureSense) && !p.is(i+1, sureSense) {
		m, n := p.tempo(i + 1)
		m.sure = true
		return m, n + min(n, 1)
	}
	if p.is(i, inSense) { // in Vierteln mit 152
		if note, n := p.noteValue(i + 1); n > 0 && (p.is(i+1+n, atSense, numSense) || p.is(i+1+n, articleSense) && p.at(i+1+n).val == withArticle || p.isSign(i+1+n, ',') && p.is(i+2+n, numSense)) {
			k := n + 1
			if !p.is(i+k, numSense) {
				k++
			}
			if m, n := p.path(i + k); n > 0 && m.x >= 20 && !p.is(i+k+n, minuteSense) {
				m.sense, m.note, m.firm = tempoSense, note, true
				return m, k + n
			}
		}
	}
	note, n := p.noteValue(i)
	lead := n
	if n > 0 {
		if p.isSign(i+n, '=') || p.isSign(i+n, ':') || p.is(i+n, atSense, toSense, ofSense) || p.isSign(i-1, '(') && p.isSign(i+n, ',') { // (Halbe, 58)
			n++
		}
	} else if p.is(i, atSense, bpmSense, toSense) {
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
	if p.is(i+n, fillerSense) && p.at(i+n).glued { // 96er
		n++
	}
	if p.is(i+n, bpmSense) {
		n, lead = n+1, 1
	} else if after, k := p.noteAfter(i + n); note == 0 && k > 0 && m.x >= 20 {
		note, n, lead = after, n+k, 1
	}
	_, placed := p.digits(i + n + 1) // bar 3
	if lead == 0 && !m.firm || p.is(i+n, barSense) && !placed || p.is(i+n, minuteSense, clockSense, thingSense, moneySense) || p.hours(i+n) || p.inSeconds(i+n) || m.x < 20 && note == 0 {
		return mark{}, 0
	}
	m.sense, m.note, m.firm = tempoSense, note, true
	return m, n
}

// noteAfter reads a note value that stands after its number: "96 (quarter)" is
// not written, but "96 q" and "96 in quarters" are.
func (p *parser) noteAfter(i int) (routine.NoteValue, int) {
	if p.isSign(i, '(') { // 92 (dotted q)
		if note, n := p.noteAfter(i + 1); n > 0 && p.isSign(i+1+n, ')') {
			return note, n + 2
		}
		return 0, 0
	}
	n := 0
	if p.isSign(i, ',') { // à 80, noire pointée, propre
		n++
	}
	if p.is(i, toSense, atSense, onSense, ofSense) { // 60 auf die Viertel, 90 de negra
		n++
	}
	if p.is(i+n, inSense, articleSense, onSense) { // a 84 la negra con puntillo
		n++
	}
	dotted := p.is(i+n, dottedSense)
	if dotted {
		n++
	}
	if !p.is(i+n, noteSense) {
		return 0, 0
	}
	note := routine.NoteValue(p.at(i + n).val)
	if n++; p.is(i+n, dottedSense) { // la blanche pointée
		dotted, n = true, n+1
	}
	if dotted {
		note = withDot(note)
	}
	if p.clauseEnd(i+n) || p.is(i+n, outcomeSense, fineSense, andSense, butSense, forSense, fillerSense, wentSense, sorrySense) {
		return note, n
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
	case p.is(i, halfSense) && (p.isSign(i+1, '=') || p.ofHalves(i)):
		note, n = routine.Half, n+1
	default:
		of, k := p.fraction(i)
		if k == 0 {
			return 0, 0
		}
		note, n = of, n+k
	}
	if !dotted && (p.is(i+n, dottedSense) || p.isSign(i+n, '.') && p.at(i+n).glued) {
		if _, ok := p.digits(i + n + 1); ok || p.isSign(i+n+1, '=') {
			dotted, n = true, n+1
		}
	}
	if dotted {
		note = withDot(note)
	}
	return note, n
}

// withDot returns the note half as long again, or the note itself where there is none such.
func withDot(note routine.NoteValue) routine.NoteValue {
	if longer := note + note/2; note%2 == 0 && longer.String() != "" {
		return longer
	}
	return note
}

// ofHalves reports whether an item stands before the "half" at mark i and after it a
// number that can only be its tempo: "alla breve half 76".
func (p *parser) ofHalves(i int) bool {
	x, ok := p.digits(i + 1)
	last := len(p.units) - 1
	return ok && x >= leastBPM && p.unit(last, itemsSense) && p.units[last].end == p.at(i-1).end && !p.is(i+2, minuteSense)
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
		if n++; p.shortened(i) { // aprox. a 74
			n++
		}
	}
	from := p.is(i+n, fromSense, ofSense)
	upTo := p.is(i+n, upToSense) || p.is(i+n, afterSense) && p.at(i+n).val == lastPlayed // made it to 92
	if from || upTo {
		n++
	}
	at := (p.is(i+n, atSense) || about && p.is(i+n, toSense)) && (from || upTo || about)
	if at {
		n++
	}
	x, k := p.decimal(i + n)
	if k == 0 || p.isSign(i+n+k, '%') {
		return mark{}, 0
	}
	m, n = mark{x: x, firm: upTo || at && about, approx: about}, n+k
	for {
		y, k := p.pathStep(i+n, m.x)
		if k == 0 {
			break
		}
		if m.y == 0 {
			m.y = m.x
		}
		m.x, n, m.firm = y, n+k, true
	}
	if y, k := p.commaPath(i+n, x); k > 0 && m.y == 0 {
		m.x, m.y, m.firm, n = y, x, true, n+k
	}
	if y, ok := p.digits(i + n + 1); upTo && m.y == 0 && ok && p.is(i+n, fromSense) && y < m.x && y >= 20 { // up to 92 from 84
		m.y, n = y, n+2
	}
	if from && m.y == 0 {
		return mark{}, 0
	}
	if p.is(i+n, ishSense) || p.is(i+n, aboutSense) && p.at(i+n).val == 0 && p.clauseEnd(i+n+1) {
		m.approx, n = true, n+1
	}
	return m, n
}

// commaPath reads ", 88, 92" after 84: at least two more tempi, each a little
// faster than the one before, or one for each of the items right before.
func (p *parser) commaPath(i int, x float64) (last float64, n int) {
	steps, risen, items := 0, 0, p.justNamed()
	for p.isSign(i+n, ',') || steps > 0 && p.is(i+n, andSense) {
		y, ok := p.digits(i + n + 1)
		rises := risen == steps && y > x && y <= 1.2*x
		if !ok || x < leastBPM || y < leastBPM || !rises && items < 3 || p.is(i+n+2, minuteSense) {
			break
		}
		if rises {
			risen++
		}
		x, n, steps = y, n+2, steps+1
	}
	if steps < 2 || risen < steps && steps+1 != items {
		return 0, 0
	}
	return x, n
}

// justNamed counts the items of the list that stands at the end of the units joined so far.
func (p *parser) justNamed() (n int) {
	for i := len(p.units) - 1; i >= 0 && n < maxItems; i-- {
		switch {
		case p.unit(i, rangeSense):
			n += int(p.units[i].y-p.units[i].x) + 1
		case p.unit(i, itemsSense):
			n += p.units[i].items.count()
		case p.namesItem(i):
			n++
		case p.unit(i, breakSense), p.unit(i, andSense), p.has(i, signSense, '/'), p.unit(i, articleSense):
		default:
			return n
		}
	}
	return n
}

// pathStep reads the next tempo of a path: "->92", "/92", "to 92", "-92", where it
// can't be a range of items or a fraction.
func (p *parser) pathStep(i int, x float64) (y float64, n int) {
	arrowed := p.isSign(i, arrow) || p.isSign(i, '>')
	slashed := p.isSign(i, '/') && p.at(i).glued
	k := i
	for p.is(k, andSense) || k > i && p.is(k, fillerSense) { // from 80 and up to 90
		k++
	}
	if k > i && p.is(k, upToSense) {
		y, n = p.pathStep(k, x)
		return y, n + min(n, 1)*(k-i)
	}
	if p.is(i, andSense) && p.at(i).val == 1 {
		y, ok := p.digits(i + 1)
		if !ok || x < 20 || y <= x || y > 1.3*x || p.is(i+2, minuteSense) {
			return 0, 0
		}
		return y, 2
	}
	if !arrowed && !slashed && !p.isSign(i, '-') && !p.is(i, upToSense, toSense, exceptSense) { // von 80 bis auf 92
		return 0, 0
	}
	k = 1
	if _, n := p.noteValue(i + 1); n > 0 && p.isSign(i+1+n, '=') {
		k = n + 2
	}
	y, n = p.decimal(i + k)
	if n == 0 || x < 20 || y < 20 || slashed && (x <= 31 || y <= 31) {
		return 0, 0
	}
	return y, n + k
}
