package reply

import (
	"slices"
	"strings"

	"ledgerline/routine"
)

// fill writes the sayings into the book, item by item: first those that name
// items, then those about the rest or the whole, which say less of each.
func (p *parser) fill(book *ledger, r *Reading) {
	s := &p.sheet
	for i := range s.says {
		if y := &s.says[i]; !y.vague && !y.mentioned() {
			s.told |= y.items
			y.against = p.conflicts(book, y)
			p.enterAll(book, y.items, y)
		}
	}
	for i := range s.says {
		switch y := &s.says[i]; y.who {
		case theRest:
			if p.oddWord(y) { // the rest lekker
				s.noItem = true
				continue
			}
			rest := p.every() &^ s.told &^ p.later
			if s.told == 0 && rest&^p.earlier != 0 { // 1 and 2 yesterday, the rest today
				rest &^= p.earlier
			}
			if played := p.playedOn(r.Day); rest&^played != 0 {
				rest &^= played
			}
			if y.one && rest.only() == 0 {
				s.noItem = true
				continue
			}
			p.enterAll(book, rest, y)
		case wholeDay:
			r.All = All
			p.enterAll(book, p.every(), y)
		}
	}
	p.earlier |= s.told
	p.complete(book, r)
}

// playedOn returns the items that were said before to have been played on that day:
// "1 clean" and, two hours later, "rest done".
func (p *parser) playedOn(day routine.Date) itemSet {
	if last := p.ctx.Last; last == nil || last.Day != day {
		return 0
	}
	return p.lastItems(func(item Item) bool { return item.Outcome != routine.Skipped })
}

// conflicts returns the items of which a saying says another outcome or another
// tempo than the book does already.
func (p *parser) conflicts(book *ledger, y *saying) (set itemSet) {
	o := p.outcomeOf(y)
	for n := 1; n <= p.count(); n++ {
		e := &book[n]
		outcome := e.Outcome != "" && o != "" && o != e.Outcome && o != routine.Done && e.Outcome != routine.Done
		if y.items.has(n) && (outcome || e.Tempo != nil && y.tempo.sense != unknown && *e.Tempo != p.tempoOf(n, y.tempo)) {
			set.add(n)
		}
	}
	return set
}

// enterAll writes what a saying says of each of the items.
func (p *parser) enterAll(book *ledger, items itemSet, y *saying) {
	for n := 1; n <= p.count(); n++ {
		if items.has(n) {
			p.enter(book, n, y)
		}
	}
}

// complete fills in the items that nothing was said of, now or before, where the whole
// tells: all but those left out, or only those named.
func (p *parser) complete(book *ledger, r *Reading) {
	s := &p.sheet
	if r.All == All && (book.anySkipped() || s.leavesOutOne()) && r.Kind == Report {
		r.All, s.filled = Partly, routine.Done
	}
	if r.All != Partly || s.filled == "" || len(s.says) == 0 {
		return
	}
	var played itemSet
	if r.Kind == Report {
		played = p.playedOn(r.Day)
	}
	vague := func(y saying) bool { return y.vague }
	if s.only && !book.anySkipped() && (s.told == 0 || s.told|played == p.every()) && !slices.ContainsFunc(s.says, vague) { // 1, 2 and 3 only, of three
		r.All = ""
		return
	}
	for n := 1; n <= p.count(); n++ {
		if book[n].N == 0 && !played.has(n) {
			book[n] = Item{N: n, Outcome: s.filled}
		}
	}
}

// leavesOutOne reports whether one of several items was left out, and which is not known yet:
// "all but the etude".
func (s *sheet) leavesOutOne() bool {
	return slices.ContainsFunc(s.says, func(y saying) bool { return y.vague && y.excluded })
}

// assume gives the items of which nothing was said but that they were played the
// outcome "done". A correction leaves the outcome as it was, unless that was that it was not
// played, and an item of which it says nothing else.
func (p *parser) assume(b *ledger, kind Kind) {
	for i := range b {
		switch e := &b[i]; {
		case kind == Correction && *e == Item{N: e.N}:
			*e = Item{}
		case kind == Correction && e.Outcome == routine.Done && *e != Item{N: e.N, Outcome: e.Outcome} && !p.lastWas(1<<e.N, skipped): // 3 played for 6 minutes
			e.Outcome = ""
		case e.N != 0 && e.Outcome == "" && (kind != Correction || (e.Tempo != nil || e.Reps > 0 || e.Minutes > 0) && p.lastWas(1<<e.N, skipped)):
			e.Outcome = routine.Done
		}
	}
}

// enter writes what a saying says of item n. What was said first stands.
func (p *parser) enter(book *ledger, n int, y *saying) {
	e := &book[n]
	e.N = n
	if o := p.outcomeOf(y); e.Outcome == "" || e.Outcome == routine.Done && o != "" {
		e.Outcome = o
	}
	if y.tempo.sense != unknown && e.Tempo == nil {
		t := p.tempoOf(n, y.tempo)
		e.Tempo = &t
	}
	if y.count.sense != unknown && e.Reps == 0 {
		e.Reps, e.Of = int(y.count.x), int(y.count.y)
	}
	if e.Minutes == 0 {
		e.Minutes = y.minutes
	}
	if e.Remark == "" {
		e.Remark = trimRemark(p.text[y.remark.start:y.remark.end])
	}
}

// trimRemark takes separators off the ends of a remark.
func trimRemark(s string) string {
	if i := strings.IndexAny(s, string(quoteIn)+string(quoteOut)); i >= 0 {
		s = s[:i]
	}
	return strings.Trim(s, " \t\r\n,;:.!?()[]\"-–—")
}

// outcomeOf returns the outcome a saying comes to.
func (p *parser) outcomeOf(y *saying) routine.Outcome {
	switch {
	case y.count.y > 0 && (y.outcome < 0 || y.outcome == clean || y.outcome == done):
		if y.count.x < y.count.y {
			return routine.Shaky
		}
		return routine.Clean
	case y.outcome >= 0:
		if y.weak && y.part {
			return routine.Shaky
		}
		return outcomes[y.outcome]
	case y.part:
		return routine.Shaky
	case y.excluded && y.tempo.sense == unknown && y.count.sense == unknown && y.minutes == 0:
		return routine.Skipped
	case y.excluded:
		return routine.Done
	case y.only:
		return routine.Done
	}
	return ""
}

// tempoOf returns a tempo in the note value said, or else in the item's own.
func (p *parser) tempoOf(n int, u mark) Tempo {
	t := Tempo{From: u.y, To: u.x, Note: u.note, Approx: u.approx, Sure: u.sure}
	if t.Note == 0 {
		t.Note = p.item(n).To.Note
	}
	if t.Note == 0 {
		t.Note = routine.Quarter
	}
	return t
}

// A ledger holds what is said of each item, by number; N is 0 where nothing is.
type ledger [maxItems + 1]Item

// list returns the items that something is said of, in order.
func (b *ledger) list() (out []Item) {
	for i := range b {
		if b[i].N != 0 {
			out = append(out, b[i])
		}
	}
	return out
}

func (b *ledger) anyPlayed() bool {
	return slices.ContainsFunc(b[:], func(e Item) bool { return e.N > 0 && e.Outcome != routine.Skipped })
}

func (b *ledger) anySkipped() bool {
	return slices.ContainsFunc(b[:], func(e Item) bool { return e.Outcome == routine.Skipped })
}
