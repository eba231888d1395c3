package reply

import (
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
// what is said of the next of which something is, "Friday, Saturday and Sunday nothing"; without
// a next, or if the day was not said either, there is nothing to read.
func (p *parser) shared(k int) (part dayPart, ok bool) {
	part = p.spans[k]
	last := p.back(part.to-1, stopSense, chatSense)
	if k > 0 && p.unit(last, tooSense) && p.nothingIn(part) { // all done yesterday, today too
		part.from, part.to = p.spans[k-1].from, p.spans[k-1].to
		return part, true
	}
	if !p.nothingIn(part) || k+1 == len(p.spans) {
		return part, true
	}
	for k++; k+1 < len(p.spans) && p.nothingIn(p.spans[k]); {
		k++
	}
	part.from, part.to = p.spans[k].from, p.spans[k].to
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
// or stands anywhere when there is something to correct; else a report, which
// turns out to be talk if it is empty.
func (p *parser) kind() Kind {
	s := &p.sheet
	something := p.ctx.Last != nil || len(s.says) > 0 || s.loose.tempo.sense != unknown || s.wrong.sense != unknown
	switch {
	case !s.content(), s.tagged:
		return Report
	case s.sure, s.undo, s.sorry && p.ctx.Last != nil, s.sorryAt && s.whole != None && something && !s.excuses():
		return Correction
	case s.softNo && s.filled == "" && (len(s.says) > 0 || s.minutes > 0):
		return Correction
	}
	return Report
}

// excuses reports whether a word of correction in the first sentence only begs pardon, with
// the items named later: "Sorry, slept badly. Did the warm up only."
func (s *sheet) excuses() bool { return len(s.says) > 0 && s.says[0].sentence > 0 }

// nothingIn reports whether a part has no word that matters.
func (p *parser) nothingIn(part dayPart) bool {
	return !p.anyIn(part.from, part.to, matters)
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
	p.settleRight()
	p.settleEach()
	p.settleDoubt()
	p.settleLoose()
	p.settleWhole(&r)
	p.settleMinutes()
	r.Excused, r.Minutes, r.Feel = s.excuse, s.minutes, s.feel
	if last := p.ctx.Last; s.further && s.minutes > 0 && last != nil && last.Day == day && r.Kind == Report {
		r.Minutes = min(r.Minutes+last.Minutes, 24*60)
	}
	r.Pain, r.PainGone = s.pain, s.gone && !s.pain
	for i := range s.says {
		s.says[i].wordy = s.says[i].wordy || r.Kind == Correction
	}
	var book ledger
	p.fill(&book, &r)
	if r.All == All || s.aside && book.anyPlayed() {
		r.Excused = "" // who played needs no excuse
	}
	p.assume(&book, r.Kind)
	r.Items = book.list()
	p.ask(&r, &book)
	switch {
	case !r.empty():
	case p.onlyDay(day):
		r.Kind = Correction
	default:
		r.Kind = Chat
	}
	return r
}

// onlyDay reports whether the sheet says no more than that it was another day.
func (p *parser) onlyDay(day routine.Date) bool {
	s, last := &p.sheet, p.ctx.Last
	return s.dated && !s.strange && !s.badDay && (s.sure || s.sorry && last != nil && last.Day != day)
}

// empty reports whether there is nothing in the reading to log or to ask.
func (r *Reading) empty() bool {
	return r.All == "" && r.Excused == "" && r.Minutes == 0 && len(r.Items) == 0 && r.Feel == "" &&
		!r.Pain && !r.PainGone && len(r.Ask) == 0
}
