package reply

import (
	"slices"
	"strings"
	"time"

	"ledgerline/routine"
)

// recent is how many days back a date without a year is looked for first.
const recent = 14

// evening is the val of a word for this evening, and the x of the mark of that day.
const evening = 2

// date reads a day: yesterday, Monday, on the 3rd, 3/3, 3 March, 2026-03-03, two
// days ago. The mark's val is the day in days from today; several says that it
// can be more than one, and then it is today's.
func (p *parser) date(i int) (mark, int) {
	switch {
	case p.is(i, daySense) && p.at(i).val == evening:
		m := p.namedDay(0)
		m.x = evening
		return m, 1
	case p.is(i, daySense):
		return p.namedDay(p.at(i).val), 1
	}
	lead := 0
	for lead < 2 && (p.is(i+lead, onSense) || p.is(i+lead, articleSense) && p.is(i+lead+1, onSense)) {
		lead++
	}
	for _, form := range []rule{
		(*parser).weekday, (*parser).isoDate, (*parser).ago, (*parser).monthName, (*parser).numericDate, (*parser).dayOfMonth,
	} {
		if m, n := form(p, i+lead); n > 0 && !p.ofItem(i+lead, n) && !p.is(i+lead+n, lineSense) { // but not "on the 2nd line"
			return m, n + lead
		}
	}
	return mark{}, 0
}

// namedDay returns the mark of today, yesterday and the like, so many days from
// today.
func (p *parser) namedDay(from int) mark {
	if from >= 0 {
		return p.dayMark(p.ctx.Today+routine.Date(from), from == 0)
	}
	yesterday := p.ctx.yesterday()
	return p.dayMark(yesterday+routine.Date(from+1), yesterday < p.ctx.Today)
}

// ofItem reports whether the number at mark i, which may be a day of the month with n marks,
// is an item's, with its repeats after a colon: "le 3 : 4 sur 4".
func (p *parser) ofItem(i, n int) bool {
	x, ok := p.digits(i)
	if !ok || n != 1 || !p.isItem(x) {
		return false
	}
	if p.clauseStart(i) && (p.numberAgo(int(x)-1) || p.isSign(i+1, ',') && p.is(i+2, outcomeSense, fineSense)) { // le 5, raté
		return true
	}
	if !p.is(i+1, colonSense) {
		return false
	}
	_, counts := p.repeats(i + 2)
	bpm, valued := p.digits(i + 2)
	return counts > 0 || valued && bpm >= leastBPM && !p.is(i+3, minuteSense)
}

// numberAgo reports whether item n was named by its number not far before, as in a list: "le
// 1 propre, le 2 bof, le 3 pas eu le temps".
func (p *parser) numberAgo(n int) bool {
	return slices.ContainsFunc(p.units[max(0, len(p.units)-2*reach):], func(u mark) bool { return u.sense == numSense && int(u.x) == n })
}

// dayMark returns the mark of a day; one that is not known, or to come, is a
// question.
func (p *parser) dayMark(d routine.Date, known bool) mark {
	m := mark{sense: dateSense, val: int(d - p.ctx.Today), role: "day"}
	if !known || d > p.ctx.Today {
		m.val, m.several = 0, true
	}
	return m
}

// weekday reads the latest such day up to today.
func (p *parser) weekday(i int) (mark, int) {
	if !p.is(i, weekdaySense) {
		return mark{}, 0
	}
	day := p.ctx.Today - routine.Date((int(p.ctx.Today.Weekday())-p.at(i).val+7)%7)
	_, _, nth := day.Calendar()
	if x, ok := p.digits(i + 1); ok && int(x) == nth && !p.is(i+2, minuteSense) && !p.isSign(i+2, '.') && !(p.is(i+2, colonSense) && p.at(i+3).glued) && (!p.isItem(x) || p.is(i+2, colonSense)) { // lundi 9
		return p.dayMark(day, true), 2
	}
	if p.possessive(i + 1) { // Monday's
		return p.dayMark(day, true), 2
	}
	return p.dayMark(day, true), 1
}

// possessive reports whether mark i is an "s" after an apostrophe.
func (p *parser) possessive(i int) bool {
	before := p.text[:p.at(i).start]
	return p.inSeconds(i) && (strings.HasSuffix(before, "'") || strings.HasSuffix(before, "’"))
}

// isoDate reads 2026-03-03.
func (p *parser) isoDate(i int) (mark, int) {
	y, ok1 := p.digits(i)
	m, ok2 := p.digits(i + 2)
	d, ok3 := p.digits(i + 4)
	if !ok1 || !ok2 || !ok3 || y < 1900 || y > 2999 || !p.isSign(i+1, '-') || !p.isSign(i+3, '-') {
		return mark{}, 0
	}
	date, ok := calendar(int(y), int(m), int(d))
	return p.dayMark(date, ok), 5
}

// calendar returns a date, and whether there is such a day.
func calendar(y, m, d int) (routine.Date, bool) {
	date := routine.NewDate(y, time.Month(m), d)
	_, month, day := date.Calendar()
	return date, int(month) == m && day == d
}

// toCome is the role of a day that is not the report's, as it is yet to come.
const toCome = "a day to come"

// ago reads "3 days ago", "hace 3 días", but not the "in 3 days" of what is to come.
func (p *parser) ago(i int) (mark, int) {
	if p.is(i, barSense) && !p.is(i+1, barSense) {
		m, n := p.ago(i + 1)
		return m, n + min(n, 1)
	}
	x, ok := p.number(i)
	if !ok || !p.is(i+1, agoSense) || x > 60 {
		return mark{}, 0
	}
	switch {
	case p.is(i-1, fromSense, afterSense): // depuis 3 jours
		return noItem("how long"), 2
	case p.is(i-1, inSense): // in 3 Tagen
		return noItem(toCome), 2
	}
	m := p.dayMark(p.ctx.Today-routine.Date(x), true)
	m.firm = true
	return m, 2
}

// monthName reads 3 March, 3rd of March, March 3.
func (p *parser) monthName(i int) (mark, int) {
	if p.is(i, monthSense) {
		x, ok := p.digits(i + 1)
		if !ok || x > 31 {
			return mark{}, 0
		}
		n := 2
		if p.is(i+2, ordinalSense) && p.at(i+2).glued {
			n++
		}
		return p.dayMark(p.latest(p.at(i).val, int(x))), n
	}
	x, ok := p.digits(i)
	if !ok || x < 1 || x > 31 {
		return mark{}, 0
	}
	n := 1
	for n < 4 && (p.is(i+n, ordinalSense, ofSense, articleSense) || p.isSign(i+n, '.')) {
		n++
	}
	if !p.is(i+n, monthSense) {
		return mark{}, 0
	}
	return p.dayMark(p.latest(p.at(i+n).val, int(x))), n + 1
}

// latest returns the latest date with this month and day that is not to come.
func (p *parser) latest(month, day int) (routine.Date, bool) {
	year, _, _ := p.ctx.Today.Calendar()
	for back := range 5 { // a leap day may be that far
		if d, ok := calendar(year-back, month, day); ok && d <= p.ctx.Today {
			return d, true
		}
	}
	return 0, false
}

// numericDate reads 3/3 and 3.3. at the beginning of a clause or after "on". In
// English either number may be the month: the one that gives a recent date, or
// else it is a question.
func (p *parser) numericDate(i int) (mark, int) {
	x, ok1 := p.digits(i)
	y, ok2 := p.digits(i + 2)
	dotted := p.isSign(i+1, '.')
	if !ok1 || !ok2 || !dotted && !p.isSign(i+1, '/') || !p.at(i+1).glued || !p.at(i+2).glued {
		return mark{}, 0
	}
	on := p.table.dayMonth && p.is(i-1, onSense) && p.clauseStart(i) // le 2/3 une heure
	if _, n := p.byFraction(i); (n > 0 || p.hours(i+4)) && !on || p.is(i+3, itemSense) || p.slashedItems() {
		return mark{}, 0
	}
	announced := (p.is(i-1, forSense) || p.is(i-2, forSense)) && (p.is(i+3, colonSense) || p.is(i+4, colonSense)) // report for 28/2: all done
	if p.isSign(i-1, '(') && p.isSign(i+3, ')') {                                                                 // clean 96 (4/5)
		return mark{}, 0
	}
	if x < 1 || y < 1 || x > 31 || y > 31 || x > 12 && y > 12 || !announced && !p.clauseStart(i) && !p.datesEnd(i) && !(dotted && p.is(i-1, onSense) && p.isSign(i+3, '.') && p.at(i+3).glued) || p.is(i-1, colonSense) && p.is(i-2, numSense) || p.isSign(i+3, '=') {
		return mark{}, 0
	}
	n := 3
	if dotted {
		if p.isSign(i+3, '.') && p.at(i+3).glued {
			n++
		} else if !p.is(i-1, onSense) || y > 12 { // le 2.3
			return mark{}, 0
		}
	}
	if year, ok := p.digits(i + n); ok && p.at(i+n).glued && year >= 2000 && year < 3000 {
		n++
	} else if year, ok := p.digits(i + n + 1); ok && p.isSign(i+n, '/') && (year >= 2000 || year > 20 && year < 100) && p.at(i+n+1).glued {
		n += 2
	} else if p.isSign(i+n, '/') {
		return mark{}, 0
	}
	day, ok := p.eitherOrder(int(x), int(y), dotted)
	if last := p.back(len(p.units)-1, breakSense, colonSense, tempoSense); n == 3 && !dotted && x <= y && y <= mostTries && (!ok || p.ctx.Today-day > recent) && p.namesItem(last) && last < len(p.units)-1 { // la deuxième, 2/4
		return mark{}, 0
	}
	return p.dayMark(day, ok), n
}

// slashedItems reports whether a list of items with slashes between stands before: "1/2/4 clean,
// 3/5 rough".
func (p *parser) slashedItems() bool {
	for i := len(p.units) - 1; i >= max(4, len(p.units)-2*reach); i-- {
		if p.namesItem(i) && p.namesItem(i-2) && p.namesItem(i-4) && p.units[i-1].val == '/' && p.units[i-3].val == '/' {
			return true
		}
	}
	return false
}

// datesEnd reports whether a day in figures at mark i ends a clause, after what is said of
// that day: "all done 28/2", "40 min am 2.3.", but not "2 clean 2/3", which are repeats.
func (p *parser) datesEnd(i int) bool {
	x, y := p.at(i).x, p.at(i+2).x
	if !p.clauseEnd(i+3) && !(p.isSign(i+3, '.') && p.at(i+3).glued) {
		return false
	}
	on := p.is(i-1, onSense)
	if on {
		i--
	}
	switch p.at(i - 1).sense {
	case doneSense, allSense, noneSense, minuteSense, hourSense, timeSense, halfSense, partlySense, moreSense, totalSense:
		return true
	case numSense, weakKeySense: // 2x20 le 2/3
		return on
	case outcomeSense, fineSense, wentSense:
		return on || x > y || y > mostTries || p.isSign(i+3, '.') && p.isSign(i+1, '.')
	}
	return false
}

// eitherOrder returns the date of two numbers, and whether it is sure. English
// has both orders, the other languages only day and month.
func (p *parser) eitherOrder(x, y int, dotted bool) (routine.Date, bool) {
	dayFirst, ok := p.latest(y, x)
	if dotted || p.table.dayMonth {
		return dayFirst, ok
	}
	monthFirst, ok2 := p.latest(x, y)
	near := ok && p.ctx.Today-dayFirst <= recent
	near2 := ok2 && p.ctx.Today-monthFirst <= recent
	switch {
	case dayFirst == monthFirst && ok:
		return dayFirst, true
	case near && !near2:
		return dayFirst, true
	case near2 && !near:
		return monthFirst, true
	}
	return 0, false
}

// dayOfMonth reads "the 3rd", and "am 3." or "le 3" where the language says so
// with "on".
func (p *parser) dayOfMonth(i int) (mark, int) {
	x, ok := p.digits(i)
	if _, n := p.fraction(i); n > 0 || !ok || x < 1 || x > 31 {
		return mark{}, 0
	}
	n := 1
	switch {
	case p.is(i+1, ordinalSense) && p.at(i+1).glued && !p.isSign(i+2, '=') && !p.is(i+2, barSense):
		on := p.is(i-1, onSense) || p.is(i-1, articleSense) && p.is(i-2, onSense)
		if judged := p.is(i+2, outcomeSense, fineSense) && !(p.at(i+2).val == done && p.is(i-1, onSense) && p.at(i-1).val == 0); judged && p.isItem(x) && p.clauseStart(i) { // le 1er propre
			return mark{}, 0
		}
		if !on && !(p.clauseStart(i) && (p.ofDay(i+2) || p.is(i+2, doneSense))) && !(!p.isItem(x) && p.tellsDay(i+2)) {
			return mark{}, 0
		}
		n++
	case p.is(i-1, onSense) && p.at(i-1).val == 1 && p.isSign(i+1, '.') && p.at(i+1).glued:
		n++
	case p.is(i-1, onSense) && p.at(i-1).val > 1 && !p.is(i-2, exceptSense) && !(p.is(i-2, forSense) && p.isItem(x)) && (p.ofDay(i+1) || !p.isItem(x) && p.tellsDay(i+1)):
	case p.is(i-1, andSense) && len(p.units) > 1 && p.units[len(p.units)-2].sense == dateSense && (p.isSign(i+1, '.') || p.ofDay(i+1)):
		if p.isSign(i+1, '.') {
			n++
		}
	default:
		return mark{}, 0
	}
	return p.dayMark(p.latestDay(int(x))), n
}

// ofDay reports whether mark i ends a clause or speaks of a whole day, so that
// "le 3" before it is a date and no item.
func (p *parser) ofDay(i int) bool {
	switch p.at(i).sense {
	case breakSense:
		x, ok := p.digits(i - 1)
		_, listed := p.digits(i + 2)
		return !ok || !p.isItem(x) || (i == 2 || p.is(i-3, stopSense)) && !(listed && p.is(i+1, onSense, articleSense)) // el 1, el 5 y el 6
	case colonSense:
		x, ok := p.digits(i - 1)
		return !ok || !p.isItem(x) || !p.is(i+1, outcomeSense, fineSense, noteSense)
	case allSense, noneSense, excuseSense:
		return true
	case doneSense:
		x, ok := p.digits(i - 1)
		said := p.at(i)
		return (said.val == 0 || said.val == allPlayed) && (!ok || !p.isItem(x) || p.within(said.start, said.end, allSense)) && strings.Contains(p.text[said.start:said.end], " ")
	}
	return false
}

// tellsDay reports whether mark i says what became of a day, so that a number before
// it that is no item's is a date: "27th done", "le 29 rien".
func (p *parser) tellsDay(i int) bool {
	return p.is(i, doneSense, outcomeSense, noneSense, allSense, excuseSense, tooSense)
}

// latestDay returns the latest date with this day of the month.
func (p *parser) latestDay(day int) (routine.Date, bool) {
	d := p.ctx.Today
	for range 62 {
		if _, _, n := d.Calendar(); n == day {
			return d, true
		}
		d--
	}
	return 0, false
}
