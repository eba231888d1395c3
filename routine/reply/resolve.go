package reply

import (
	"strings"

	"ledgerline/routine"
)

// readings reads each day spoken of.
func (p *parser) readings() []Reading {
	out := make([]Reading, 0, 1)
	var days [maxDays + 1]routine.Date
	n := len(p.spans)
	for k, part := range p.spans {
		days[k] = part.day
	}
	for k, day := range days[:n] {
		p.against(p.ctx.on(day))
		if k >= len(p.spans) || p.spans[k].day != day {
			continue
		}
		if day, ok := p.scanPart(k); ok {
			out = append(out, p.reading(day))
		}
	}
	return p.kinds(out)
}

// scanPart reads part k into the sheet, against the routine of the day that it
// turns out to be about, and returns that day. It reports whether there was
// anything to read.
func (p *parser) scanPart(k int) (day routine.Date, ok bool) {
	part, ok := p.shared(k)
	if !ok {
		return 0, false
	}
	p.scan(part)
	day = p.day(part)
	if r := p.ctx.on(day); r != p.routine {
		p.against(r)
		part, _ = p.shared(min(k, len(p.spans)-1))
		p.scan(part)
	}
	return day, true
}

// against reads the message anew if the day has another routine.
func (p *parser) against(r *routine.Routine) {
	if r != p.routine {
		p.routine = r
		p.interpret()
	}
}

// shared returns part k of the message. A day of which nothing was said shares
// what is said of the next, "Sunday and Monday nothing"; without a next, or if
// the day was not said either, there is nothing to read.
func (p *parser) shared(k int) (part dayPart, ok bool) {
	part = p.spans[k]
	if !p.nothingIn(part) || k+1 == len(p.spans) {
		return part, true
	}
	part.from, part.to = p.spans[k+1].from, p.spans[k+1].to
	return part, part.said && !p.nothingIn(part)
}

// day returns the date that the sheet is about: a correction that says none is
// about that of what it corrects.
func (p *parser) day(part dayPart) routine.Date {
	last := p.ctx.Last
	if p.kind() == Correction && last != nil && last.Day != 0 && !part.said {
		return last.Day
	}
	return part.day
}

// kind says what the sheet is: a correction if a word of correction came first,
// or stands anywhere when there is something to correct.
func (p *parser) kind() Kind {
	s := &p.sheet
	something := p.ctx.Last != nil || len(s.says) > 0 || s.loose.tempo.sense != unknown || s.wrong.sense != unknown
	switch {
	case !s.content:
		return Chat
	case s.sure, s.undo, s.sorry && p.ctx.Last != nil, s.sorry && s.sorryAt && s.whole != None && something:
		return Correction
	case s.softNo && (len(s.says) > 0 || s.minutes > 0):
		return Correction
	}
	return Report
}

// nothingIn reports whether a part has no word that matters.
func (p *parser) nothingIn(part dayPart) bool {
	for i := part.from; i < part.to; i++ {
		if matters(p.units[i].sense) {
			return false
		}
	}
	return true
}

// kinds drops the days of which nothing is said, and makes talk or a question of
// a message that reports nothing.
func (p *parser) kinds(all []Reading) []Reading {
	out := all[:0]
	for _, r := range all {
		if r.Kind != Chat {
			out = append(out, r)
		}
	}
	if len(out) > 0 {
		out[0].Question = p.text[p.question.start:p.question.end]
		return out
	}
	r := Reading{Text: p.text, Kind: Chat}
	if p.question != (span{}) {
		r.Kind, r.Question = Asked, p.text[p.question.start:p.question.end]
	}
	return append(out, r)
}

// reading makes a reading of the sheet.
func (p *parser) reading(day routine.Date) Reading {
	s := &p.sheet
	if s.undo && len(s.says) == 0 && s.whole == "" && s.minutes == 0 && s.loose.tempo.sense == unknown {
		return Reading{Text: p.text, Kind: Correction, Undo: true}
	}
	r := Reading{Text: p.text, Kind: p.kind(), Day: day}
	if s.badDay {
		r.Day = 0
	}
	p.settleWrong()
	p.settleLoose()
	p.settleWhole(&r)
	r.Excused, r.Minutes, r.Feel = s.excuse, s.minutes, s.feel
	r.Pain, r.PainGone = s.pain, s.gone && !s.pain
	for i := range s.says {
		s.says[i].wordy = s.says[i].wordy || r.Kind == Correction
	}
	var book ledger
	p.fill(&book, &r)
	book.assume(r.Kind)
	r.Items = book.list()
	p.ask(&r, &book)
	switch {
	case r.empty():
		r.Kind = Chat
	case r.Kind == Chat:
		r.Kind = Report
	}
	return r
}

// empty reports whether there is nothing in the reading to log or to ask.
func (r *Reading) empty() bool {
	return r.All == "" && r.Excused == "" && r.Minutes == 0 && len(r.Items) == 0 && r.Feel == "" &&
		!r.Pain && !r.PainGone && len(r.Ask) == 0
}

// settleWrong decides what a bare number is that corrects another, by what the
// other one was.
func (p *parser) settleWrong() {
	s := &p.sheet
	if s.wrong.sense != unknown && p.isItem(s.wrong.x) {
		s.says, s.noItem = s.says[:0], true
	}
	if s.wrong.sense != numSense || p.ctx.Last == nil || s.unsure == 0 && s.minutes == 0 {
		return
	}
	right := max(s.unsure, s.minutes)
	switch {
	case p.lastWith(s.wrong.x) != 0:
		s.loose.tempo, s.minutes = mark{sense: tempoSense, x: float64(right)}, 0
	case p.ctx.Last.Minutes == int(s.wrong.x):
		s.minutes = right
	default:
		return
	}
	s.unsure = 0
}

// settleWhole decides what was said of the whole routine.
func (p *parser) settleWhole(r *Reading) {
	s := &p.sheet
	if s.softNo && r.Kind == Correction {
		s.whole = ""
	}
	if s.rest && len(s.says) == 0 && s.excuse == "" {
		s.excuse, s.content = routine.RestDay, true
	}
	if s.whole == None && len(s.says) > 0 {
		s.whole = ""
	}
	if s.only && len(s.says) > 0 {
		s.whole = Partly
	}
	r.All = s.whole
}

// settleLoose finds the items of what was said of none: a tempo that only one
// item has, an outcome of a whole day, anything where there is only one item.
func (p *parser) settleLoose() {
	s := &p.sheet
	l := &s.loose
	hasTempo, hasCount := l.tempo.sense != unknown, l.count.sense != unknown
	switch {
	case hasTempo:
		p.looseTempo()
	case hasCount && p.count() == 1:
		l.who, l.items = named, 1<<1
		s.says = append(s.says, *l)
	case hasCount:
		s.noItem = true
		if s.whole == All && l.count.y > 0 {
			s.whole = ""
		}
	case l.outcome >= 0 && s.strong && len(s.says) == 0 && s.whole == "" && s.excuse == "":
		p.looseWord()
	}
}

// looseTempo gives a tempo to the only item it can belong to.
func (p *parser) looseTempo() {
	s := &p.sheet
	l := &s.loose
	if s.wrong.sense != unknown && p.ctx.Last != nil {
		l.items = p.lastWith(s.wrong.x)
	} else {
		l.items = p.nearest(l.tempo)
	}
	if l.items.only() == 0 {
		l.vague = true
	}
	if l.items == 0 {
		s.noItem = true
		return
	}
	s.says = append(s.says, *l)
}

// lastWith returns the items that were last said to have been at the tempo.
func (p *parser) lastWith(bpm float64) (set itemSet) {
	for _, item := range p.ctx.Last.Items {
		if item.Tempo != nil && (item.Tempo.To == bpm || item.Tempo.From == bpm) {
			set.add(item.N)
		}
	}
	return set
}

// looseWord reads an outcome said of nothing: of the one item there is, of the
// day if nothing was played, else it is asked what is meant.
func (p *parser) looseWord() {
	s := &p.sheet
	s.content = true
	switch {
	case s.loose.wordy && p.count() > 1:
		s.noItem = true
	case s.loose.outcome == skipped || s.loose.outcome == missed:
		s.whole = None
	case p.count() == 1 || s.loose.outcome == clean:
		s.whole = All
		s.says = append(s.says, saying{who: wholeDay, outcome: s.loose.outcome})
	default:
		s.noItem = true
	}
}

// fill writes the sayings into the book, item by item: first those that name
// items, then those about the rest or the whole, which say less of each.
func (p *parser) fill(book *ledger, r *Reading) {
	s := &p.sheet
	var said itemSet
	for i := range s.says {
		if y := &s.says[i]; y.who == named && !y.vague && !y.mentioned() {
			said |= y.items
			p.enterAll(book, y.items, y)
		}
	}
	for i := range s.says {
		switch y := &s.says[i]; y.who {
		case theRest:
			p.enterAll(book, p.every()&^said, y)
		case wholeDay:
			r.All = All
			p.enterAll(book, p.every(), y)
		}
	}
	p.complete(book, r, said)
}

// enterAll writes what a saying says of each of the items.
func (p *parser) enterAll(book *ledger, items itemSet, y *saying) {
	for n := 1; n <= p.count(); n++ {
		if items.has(n) {
			p.enter(book, n, y)
		}
	}
}

// complete fills in the items that nothing was said of where the whole tells:
// all but those left out, or only those named.
func (p *parser) complete(book *ledger, r *Reading, said itemSet) {
	s := &p.sheet
	if r.All == All && book.anySkipped() && r.Kind == Report {
		r.All, s.filled = Partly, true
	}
	if r.All != Partly || !s.filled || len(s.says) == 0 {
		return
	}
	rest := routine.Done
	if s.only {
		rest = routine.Skipped
	}
	for n := 1; n <= p.count(); n++ {
		if book[n].N == 0 {
			book[n] = Item{N: n, Outcome: rest}
		}
	}
}

// assume gives the items of which nothing was said but that they were played the
// outcome "done". A correction leaves the outcome as it was, and an item of which
// it says nothing else.
func (b *ledger) assume(kind Kind) {
	for i := range b {
		switch e := &b[i]; {
		case kind == Correction && *e == Item{N: e.N}:
			*e = Item{}
		case kind != Correction && e.N != 0 && e.Outcome == "":
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
		e.Tempo = p.tempoOf(n, y.tempo)
	}
	if y.count.sense != unknown && e.Reps == 0 {
		e.Reps, e.Of = int(y.count.x), int(y.count.y)
	}
	if e.Minutes == 0 {
		e.Minutes = y.minutes
	}
	if y.remark != (span{}) && e.Remark == "" {
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
	case y.count.y > 0 && (y.outcome < 0 || y.outcome == clean || y.weak):
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
	case y.excluded:
		return routine.Skipped
	}
	return ""
}

// tempoOf returns a tempo in the note value said, or else in the item's own.
func (p *parser) tempoOf(n int, u mark) *Tempo {
	t := &Tempo{From: u.y, To: u.x, Note: u.note, Approx: u.approx}
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
func (b *ledger) list() []Item {
	n := 0
	for i := range b {
		if b[i].N != 0 {
			n++
		}
	}
	if n == 0 {
		return nil
	}
	out := make([]Item, 0, n)
	for i := range b {
		if b[i].N != 0 {
			out = append(out, b[i])
		}
	}
	return out
}

func (b *ledger) anySkipped() bool {
	for i := range b {
		if b[i].Outcome == routine.Skipped {
			return true
		}
	}
	return false
}
