package reply

import "ledgerline/routine"

// setAside takes out of the units what is no report: sentences that ask the
// teacher something, and what is planned for later.
func (p *parser) setAside() {
	for from := 0; from < len(p.units); {
		to := from
		for to < len(p.units) && !p.endsSentence(to) {
			to++
		}
		p.asideQuestion(from, to)
		p.settleAsk(from, to)
		p.asidePlans(from, to)
		from = to + 1
	}
}

// settleAsk makes small words of those that begin questions, where there is none.
func (p *parser) settleAsk(from, to int) {
	for i := from; i < to; i++ {
		if p.units[i].sense == askSense {
			p.units[i].sense = articleSense
		}
	}
}

// endsSentence reports whether unit i ends a sentence.
func (p *parser) endsSentence(i int) bool {
	return p.unit(i, stopSense) && rune(p.units[i].val) != ellipsis || p.unit(i, querySense)
}

// asideQuestion sets the question in the sentence from-to aside: all of it, or
// from the clause on that begins like one. Words of pain in it stay.
func (p *parser) asideQuestion(from, to int) {
	start := -1
	asks := p.unit(to, querySense)
	for i := from; i < to && start < 0; i++ {
		if p.unit(i, askSense) && (i == p.firstWord(from, to) || asks && p.clauseBegins(i)) {
			start = i
		}
	}
	if start < 0 && asks && p.question == (span{}) && from < to {
		start = p.lastClause(from, to)
	}
	if start < 0 {
		return
	}
	if p.question == (span{}) {
		p.question = span{p.units[start].start, p.units[max(start, to-1)].end}
		if asks {
			p.question.end = p.units[to].end
		}
	}
	p.putAside(start, to, "question to the teacher")
}

// lastClause returns where the last clause between from and to begins, if what
// stands before it says something, or else from.
func (p *parser) lastClause(from, to int) int {
	start, next, said := from, from, false
	for i := from; i < to; i++ {
		switch sense := p.units[i].sense; {
		case sense == breakSense && said:
			next = i + 1
		case matters(sense):
			start = next
			said = said || tells(sense)
		}
	}
	return start
}

// tells reports whether a sense says something for the log on its own.
func tells(s sense) bool {
	switch s {
	case outcomeSense, doneSense, minutesSense, tempoSense, noneSense, partlySense:
		return true
	}
	return false
}

// firstWord returns the first unit from from on that isn't a greeting.
func (p *parser) firstWord(from, to int) int {
	for from < to {
		switch p.units[from].sense {
		case chatSense, breakSense, andSense, butSense, signSense, querySense:
			from++
		default:
			return from
		}
	}
	return from
}

// putAside takes units out of the report, all but words of pain and what denies
// them.
func (p *parser) putAside(from, to int, role string) {
	for i := from; i < to; i++ {
		switch u := &p.units[i]; {
		case u.sense == painSense, u.sense == doubtSense, u.sense == jokeSense:
		case (u.sense == noSense || u.sense == notSense) && p.deniesPain(i):
		default:
			u.sense, u.role = asideSense, role
		}
	}
}

// asidePlans sets aside what is planned for later: of each clause that says so,
// all from the last item named before it on.
func (p *parser) asidePlans(from, to int) {
	start := from
	for i := from; i < to; i++ {
		switch u := &p.units[i]; {
		case u.sense == breakSense:
			start = i + 1
		case u.sense == itemsSense || u.sense == othersSense || u.sense == restSense ||
			u.sense == numSense && p.isItem(u.x) && !p.unit(i-1, barSense):
			start = i
		case u.sense == laterSense:
			end := i
			for end < to && !p.unit(end, breakSense) {
				end++
			}
			p.putAside(start, end, "still to come")
			i = end - 1
		}
	}
}

// A dayPart is a stretch of units that speaks of one day.
type dayPart struct {
	from, to int
	day      routine.Date
	said     bool // the day was said
	unsure   bool // the day can't be known
}

// maxDays is how many days a message can speak of.
const maxDays = 8

// splitDays finds the days spoken of. A day at the head of a clause holds for
// what follows; one at its end holds for what came before.
func (p *parser) splitDays() {
	part := dayPart{day: p.ctx.Today}
	content := false // since the part began
	clause := 0      // where the current clause began
	dated := -1      // where a day was last named
	for i := range p.units {
		u := &p.units[i]
		switch {
		case u.sense == breakSense || u.sense == stopSense:
			clause = i + 1
		case u.sense == dateSense && !u.firm && (p.unit(i-1, thanSense) || p.unit(i-1, toSense) || p.unit(i-1, upToSense)):
			u.sense = unknown
			content = true
		case u.sense == dateSense && p.inTalk(i):
			u.sense, u.role = asideSense, "talk"
		case u.sense == dateSense && part.said && content && dated >= 0 && p.joinsDay(dated, i):
			p.spans = append(p.spans, dayPart{from: part.from, to: i, day: part.day, said: true, unsure: part.unsure})
			part.day, part.unsure, dated = p.ctx.Today+routine.Date(u.val), u.several, i
		case u.sense == dateSense:
			at := i
			if !p.clauseBegins(i) && clause > dated {
				at = clause
			}
			dated = i
			day := p.ctx.Today + routine.Date(u.val)
			switch {
			case !part.said && (!content || at <= part.from || !p.saysMore(i)):
				part.day, part.said, part.unsure = day, true, u.several
			case day == part.day || len(p.spans) >= maxDays:
				part.said = true
			default:
				part = p.nextPart(part, at, day, u.several, content)
				content = false
			}
		case matters(u.sense):
			content = true
		}
	}
	part.to = len(p.units)
	p.spans = append(p.spans, part)
}

// inTalk reports whether the day at unit i is only talked about: "see you Friday".
func (p *parser) inTalk(i int) bool {
	i--
	for end := i - reach; i > end && (p.unit(i, fillerSense) || p.unit(i, articleSense) || p.unit(i, onSense)); {
		i--
	}
	return p.unit(i, chatSense) || p.unit(i, youSense)
}

// joinsDay reports whether nothing but "and" stands between the day at unit i and
// the one before: "ill yesterday and today".
func (p *parser) joinsDay(before, i int) bool {
	return len(p.spans) < maxDays && before == i-2 && p.unit(i-1, andSense)
}

// nextPart ends a part at unit at and begins the next. A part of which nothing
// was said shares what is said of the next: "Sunday and Monday nothing".
func (p *parser) nextPart(part dayPart, at int, day routine.Date, unsure, content bool) dayPart {
	if at < part.from {
		at = part.from
	}
	part.to = at
	p.spans = append(p.spans, part)
	return dayPart{from: at, day: day, said: true, unsure: unsure}
}

// saysMore reports whether anything that matters follows unit i in its sentence.
func (p *parser) saysMore(i int) bool {
	for end := min(i+reach, len(p.units)-1); i < end && !p.endsSentence(i+1); {
		i++
		if matters(p.units[i].sense) {
			return true
		}
	}
	return p.unit(i, colonSense)
}

// matters reports whether a sense is more than small words and signs.
func matters(s sense) bool {
	switch s {
	case fillerSense, articleSense, andSense, butSense, breakSense, stopSense, colonSense, signSense,
		querySense, onSense, dateSense, asideSense, chatSense, inSense, atSense, forSense, ofSense, sorrySense:
		return false
	}
	return true
}
