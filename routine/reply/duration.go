package reply

import "strings"

// duration reads minutes in all their usual forms: 40 min, 1h, 1h10, 1:10,
// half an hour, 2x20, 20 + 25 min.
func (p *parser) duration(i int) (mark, int) {
	skip := 0
	if p.is(i, aboutSense) {
		if skip = 1; p.shortened(i) {
			skip = 2
		}
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
	return mark{sense: minutesSense, x: total, role: "minutes"}, n
}

// eitherMinutes reads "40-45 min", "40 or 45 min" and "between 40 and 45 min".
func (p *parser) eitherMinutes(i int) (mark, int) {
	if p.is(i, orSense) && p.is(i+2, andSense) && p.is(i+4, minuteSense) {
		return mark{sense: minutesSense, x: p.at(i + 1).x, y: p.at(i + 3).x, several: true}, 5
	}
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	dash, slash := p.isSign(i+1, '-'), p.isSign(i+1, '/') && p.at(i+1).glued && p.at(i+2).glued
	joined := p.is(i+1, orSense, toSense) || slash || dash && (y >= x || p.at(i+1).glued) // not "4 78 - 45 min"
	if !ok || !ok2 || !joined || !p.is(i+3, minuteSense) || p.isItem(x) && y > 3*x {
		return mark{}, 0
	}
	return mark{sense: minutesSense, x: x, y: y, several: true}, 4
}

// stretch reads one stretch of time, in minutes.
func (p *parser) stretch(i int) (minutes float64, n int) {
	for _, form := range []func(*parser, int) (float64, int){
		(*parser).byWord, (*parser).byFraction, (*parser).byClock, (*parser).byHours, (*parser).byProduct, (*parser).bySum, (*parser).byMinutes,
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
	if p.is(i+n, andSense) { // an hour and ten
		n++
	}
	if x, ok := p.number(i + n); ok && x < 60 && p.is(i+n+1, minuteSense) {
		return minutes + x, n + 2
	} else if ok && x < 60 && (!p.isItem(x) || p.letterAt(p.at(i+n).start) && p.clauseEnd(i+n+1)) {
		return minutes + x, n + 1
	}
	if p.is(i+1, moreSense) {
		return minutes + p.at(i+1).x, 2
	}
	if p.is(i+1, halfSense) {
		return minutes + 30, 2
	}
	return minutes, 1
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
	if p.hours(i+3) && m < 60 && h <= maxHours && !p.is(i-1, atSense) { // 1:05 h
		return minutes, 4
	}
	if m > 59 || h > maxHours || p.at(i+2).end-p.at(i+2).start != 2 || p.pairs > 1 || !p.plausibleDay(minutes) || p.is(i-1, atSense) {
		return 0, 0
	}
	return minutes, 3
}

// clockSpan reads the time of day that practice began and ended: "from 5 to 6 pm",
// "5:30-6:15". Not all of it need have been practice.
func (p *parser) clockSpan(i int) (mark, int) {
	n := 0
	if p.is(i, fromSense, ofSense, orSense) {
		n++
	}
	from, k, sure := p.timeAt(i + n)
	n += k
	if k == 0 || !p.is(i+n, toSense, andSense) && !p.isSign(i+n, '-') {
		return mark{}, 0
	}
	to, k, certain := p.timeAt(i + n + 1)
	end := i + n + 1 + k
	certain = certain || p.is(i, fromSense) && !p.isItem(to/60) && p.clauseEnd(end) // from 5 to 6
	if to <= from || !certain || !sure && k == 3 {
		return mark{}, 0
	}
	return mark{sense: minutesSense, x: to - from, approx: true}, n + 1 + k
}

// timeAt reads a time of day in minutes, 5, 5:30, 17h30 or 6 pm. It is sure if it
// can't be another number.
func (p *parser) timeAt(i int) (minutes float64, n int, sure bool) {
	h, ok := p.digits(i)
	if !ok || h > 24 {
		return 0, 0, false
	}
	n = 1
	m, ok := p.digits(i + 2)
	if ok && m < 60 && p.at(i+1).glued && p.at(i+2).glued && (p.isSign(i+1, ':') || p.isSign(i+1, '.') || p.hours(i+1)) && p.at(i+2).end-p.at(i+2).start == 2 {
		n, sure = 3, true
	} else {
		m = 0
	}
	if p.is(i+n, clockSense) || n == 1 && p.hours(i+n) {
		n, sure = n+1, true
	}
	return 60*h + m, n, sure
}

// hourRole is the role of a time of day.
const hourRole = "time of day"

// clock reads a time of day, 17:30, so that it is taken for nothing else.
func (p *parser) clock(i int) (mark, int) {
	h, ok := p.digits(i)
	ok = ok && h <= 24
	at := p.is(i-1, atSense)
	if x, ok := p.number(i + 1); ok && x <= 12 && p.is(i, halfSense) && at { // um halb fünf
		return noItem(hourRole), 2
	}
	switch {
	case !ok:
		return mark{}, 0
	case p.is(i+1, clockSense):
		return noItem(hourRole), 2
	case p.hours(i+1) && (p.at(i+1).glued || at || p.is(i-1, toSense)): // à 17h, 17h30
		if p.is(i+2, numSense) && p.at(i+2).glued {
			return noItem(hourRole), 3
		}
		return noItem(hourRole), 2
	case h <= 12 && !p.isItem(h) && p.is(i-1, toSense) && p.at(i-1).end-p.at(i-1).start > 2 && !p.is(i-2, numSense) && p.clauseEnd(i+1): // until 6
		return noItem(hourRole), 1
	}
	m, ok := p.digits(i + 2)
	if !ok || !p.isSign(i+1, ':') || !p.at(i+1).glued || !p.at(i+2).glued || h > 23 || m > 59 || p.pairs > 2 || p.isItem(h) && !at || p.at(i+2).end-p.at(i+2).start != 2 {
		return mark{}, 0
	}
	return noItem(hourRole), 3
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

// maxHours is the longest day of practice in hours; more is a time of day.
const maxHours = 8

// byHours reads 1h, 1.5 h, 1h10, 1 hr 15, 1 hour and 10 minutes, 1½ h.
func (p *parser) byHours(i int) (float64, int) {
	h, n := p.decimal(i)
	if n == 0 {
		x, ok := p.number(i)
		switch {
		case ok:
			h, n = x, 1
		case p.hours(i) && p.is(i+1, andSense) && p.is(i+3, minuteSense): // an hour and ten minutes
			h = 1
		default:
			return 0, 0
		}
	}
	switch half := p.at(i + n); {
	case half.sense == timeSense && (half.x == 30 && half.glued || half.x > 60 && half.x < 120): // 1½ h, 1 hora y media
		return 60*h + float64(int(half.x)%60), n + 1
	case (half.sense == halfSense || half.sense == moreSense) && p.hours(i+n+1): // 1 and a half hours
		return h*60 + 30, n + 2
	}
	if m, k := p.byFraction(i + n); k > 0 && h == 1 && (i == 0 || p.headDay(i-1) || p.is(i-1, colonSense) && p.headDay(i-2)) && (p.clauseEnd(i+n+k) || p.is(i+n+k, daySense)) { // 1 1/2 hours, but 2 1/2 hour may be of item 2
		return 60*h + m, n + k
	}
	at := p.is(i-1, atSense, fromSense) || p.is(i-1, toSense) && !p.hours(i-2) // à 9h
	if !p.hours(i+n) || h > maxHours || at {
		return 0, 0
	}
	n++
	if p.is(i+n, moreSense) {
		return h*60 + p.at(i+n).x, n + 1
	}
	if p.isSign(i+n+1, '/') && p.at(i+n).x == 1 && p.at(i+n+2).x == 2 && p.clauseEnd(i+n+3) { // 1 h 1/2
		return h*60 + 30, n + 3
	}
	m, ok := p.digits(i + n)
	ends := p.is(i+n+1, minuteSense)
	if ok && m < 60 && (ends || !p.isItem(m) || p.at(i+n).glued || p.clauseEnd(i+n+1) || p.is(i+n+1, totalSense)) {
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

// byProduct reads 2x20, 2 x 25 min and, where a clause begins, twice 20 min.
func (p *parser) byProduct(i int) (float64, int) {
	if y, ok := p.digits(i + 1); ok && p.is(i, repsSense) && p.is(i+2, minuteSense) && p.clauseStart(i) {
		return p.at(i).x * y, 3
	}
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	if !ok || !ok2 || !p.is(i+1, timesSense) || x > 12 || y > 90 {
		return 0, 0
	}
	if p.is(i+3, minuteSense) {
		return x * y, 4
	}
	if y < 5 || !p.plausibleDay(x*y) || y >= leastBPM && p.is(i-1, numSense) && p.isItem(p.at(i-1).x) || p.at(i+1).glued != p.at(i+2).glued || p.at(i+1).end-p.at(i+1).start > 2 {
		return 0, 0
	}
	return x * y, 3
}

// bySum reads 20 + 25 min.
func (p *parser) bySum(i int) (sum float64, n int) {
	for n < 2*reach {
		x, ok := p.digits(i + n)
		if !ok {
			return 0, 0
		}
		sum, n = sum+x, n+1
		if m := p.at(i + n); p.text[m.start:m.end] != "+" {
			break
		}
		n++
	}
	if n == 1 || !p.is(i+n, minuteSense) {
		return 0, 0
	}
	return sum, n + 1
}

// byFraction reads 3/4 h.
func (p *parser) byFraction(i int) (float64, int) {
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	n := 3
	if p.is(i+n, ofSense, articleSense) { // 3/4 d'heure, 3/4 of an hour
		n++
	}
	if !ok || !ok2 || !p.isSign(i+1, '/') || x >= y || y > 4 || !p.hours(i+n) && !(p.is(i+n, timeSense) && p.at(i+n).x == 60) {
		return 0, 0
	}
	return 60 * x / y, n + 1
}

// byMinutes reads 40 min.
func (p *parser) byMinutes(i int) (float64, int) {
	x, ok := p.number(i)
	switch {
	case ok && p.is(i+1, minuteSense):
		return x, 2
	case ok && p.is(i+1, ishSense) && p.is(i+2, minuteSense):
		return x, 3
	case ok && p.isSign(i+1, '-') && p.is(i+2, ishSense) && p.is(i+3, minuteSense):
		return x, 4
	case ok && p.is(i+2, minuteSense) && p.is(i+1, outcomeSense, fineSense, fillerSense, articleSense): // 45 solid minutes, 10 more minutes
		return x, 3
	case ok && p.is(i+1, quartersSense):
		return 15 * x, 2
	}
	return 0, 0
}
