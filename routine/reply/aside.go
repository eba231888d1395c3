package reply

import (
	"slices"

	"ledgerline/routine"
)

// setAside takes out of the units what is no report: sentences that ask the
// teacher something, what is planned for later, and what is said of other people,
// days and things.
func (p *parser) setAside() {
	for from := 0; from < len(p.units); {
		to := from
		for to < len(p.units) && !p.endsSentence(to) {
			to++
		}
		if p.headed(from, to) {
			p.units[to].sense = colonSense
		} else {
			p.asideQuestion(from, to)
		}
		p.settleAsk(from, to)
		p.asideReasons(from, to)
		p.asidePlans(from, to)
		p.asideMeetings(from, to)
		p.asidePeople(from, to)
		p.asideTalk(from, to)
		p.asideMentions(from, to)
		p.asideClauseDays(from, to)
		from = to + 1
	}
}

// asideReasons sets aside what the clauses of the sentence from-to begin with before their report,
// "due to school I only did 1", and how somebody else is that is the reason for it, "nothing
// because my brother was ill".
func (p *parser) asideReasons(from, to int) {
	for from < to {
		end := from
		for end < to && !p.ends(end) {
			end++
		}
		if report := p.reportAfter(from, end); report > 0 {
			p.putAside(from, report, reasonRole)
		}
		for i := from; i < end; i++ {
			if p.givesReason(i) && p.ofOthersState(i, end) {
				p.putAside(i, end, reasonRole)
			}
		}
		from = end + 1
	}
}

// reasonRole is the role of words that tell why or when something was played.
const reasonRole = "reason"

// reportAfter returns where a report begins in the clause from-to, if that begins with a reason or
// what it was done after or with, in words that are not understood or are of others. Else it is 0.
func (p *parser) reportAfter(from, to int) int {
	if !p.givesReason(from) && !p.with(from) && !p.unit(from, afterSense) {
		return 0
	}
	words, others := false, false
	for k := from + 1; k < to; k++ {
		switch {
		case p.unit(k, personSense):
			words, others = true, true
		case p.remarked(k), p.unit(k, thingSense):
			words = true
		case words && p.beginsReport(k):
			return k
		case p.unit(k, feelSense, excuseSense) && others:
		case reports(p.units[k].sense):
			return 0
		}
	}
	return 0
}

// beginsReport reports whether the player tells of the day from unit k on: "I only did", "nothing".
func (p *parser) beginsReport(k int) bool {
	verb := p.past(k, fillerSense)
	switch {
	case p.unit(k, onlySense), p.unit(k, noneSense), p.has(k, outcomeSense, skipped) && p.phrased(k) && p.ends(k+1):
		return true
	case verb > k && p.ofPlayer(k):
		return p.unit(verb, onlySense, noneSense, doneSense, allSense) || p.has(verb, outcomeSense, done) || p.has(verb, outcomeSense, skipped)
	}
	list := p.past(k, itemsSense, numSense, rangeSense, andSense, articleSense, onSense)
	return p.has(k, outcomeSense, done) && (p.phrased(k) || p.unit(k+1, onlySense)) || (p.has(k, outcomeSense, done) || p.unit(k, doneSense)) && p.nextRef(k) || p.namesItem(k) && p.namesItem(list-1) && p.judged(list)
}

// ofOthersState reports whether somebody else is told of after the reason at unit i, up to unit to,
// and how that one is.
func (p *parser) ofOthersState(i, to int) bool {
	others := false
	for ; i < to; i++ {
		switch {
		case p.unit(i, personSense) && p.units[i].val != opinion:
			others = true
		case p.unit(i, excuseSense, feelSense):
			return others
		case reports(p.units[i].sense):
			return false
		}
	}
	return false
}

// headed reports whether the sentence from-to names an item with a question mark after it, and
// what is said of it follows: "Threes? Skipped."
func (p *parser) headed(from, to int) bool {
	from = p.past(from, articleSense, onSense)
	return from == to-1 && p.namesItem(from) && p.unit(to, querySense) && (p.judged(to+1) || p.unit(to+1, doneSense, noneSense) || p.valued(to+1) && p.judged(to+3))
}

// asideMentions sets aside the days, and the words of correction where there is
// nothing to correct, of a sentence from-to that says nothing else: "the concert is
// on the 12th. 1-3 clean", "great lesson yesterday. 2 done", "sorry for last night. 3".
func (p *parser) asideMentions(from, to int) {
	if !p.speaksElse(from, to, 1) || p.ctx.Last != nil && p.saidIn(from, to, sorrySense) {
		return
	}
	apart := p.eventApart(from, to)
	for i := from; i < to; i++ {
		if u := &p.units[i]; u.sense == excuseSense && apart || u.sense == dateSense && !p.unit(i+1, colonSense) || u.sense == sorrySense && u.val == 0 && p.ctx.Last == nil {
			u.aside(talked)
		}
	}
}

// asideClauseDays sets aside the days within the clauses of the sentence from-to that
// speak of something else: "visitors on Sunday but 1 was good".
func (p *parser) asideClauseDays(from, to int) {
	for from < to {
		end, least := p.endOfClause(from, to), 2
		if p.unit(end, butSense) || p.unit(end, breakSense) && p.unit(end+1, butSense) {
			least = 1
		}
		if end < to && p.speaksElse(from, end, least) {
			for i := from; i < end; i++ {
				if u := &p.units[i]; u.sense == dateSense && !p.clauseBegins(i) {
					u.aside(talked)
				}
			}
		}
		from = end + 1
	}
}

// speaksElse reports whether the units from-to say nothing for the log and speak of
// something else: of a lesson or a concert and how it was, or with so many strange
// words at least.
func (p *parser) speaksElse(from, to, least int) bool {
	strange, events, judged, forLog := p.mentions(from, to)
	talk := slices.ContainsFunc(p.units[from:to], func(u mark) bool { return u.sense == chatSense && u.val != greeting && p.letterAt(u.start) })
	switch {
	case forLog:
		return false
	case events > 0: // can't wait for the concert on Saturday
		return strange > 1 || (judged || talk) && p.reportsBeside(from, to) || p.eventApart(from, to)
	case talk && strange > 1: // qué concierto tan brutal el de anoche
		return true
	}
	return strange >= least && (!judged || strange > 1 && p.reportsBeside(from, to))
}

// eventApart reports whether the units from-to are a sentence of a lesson or a concert on another day,
// and what was played stands in the one beside it, which names no day: "concert friday! 1 clean".
func (p *parser) eventApart(from, to int) bool {
	if !p.otherDay(from, to) || !p.saidIn(from, to, excuseSense) {
		return false
	}
	return p.unit(to, stopSense) && p.playedIn(to, min(len(p.units), to+2*reach)) ||
		p.unit(from-1, stopSense) && !p.unit(p.past(from, onSense, articleSense), dateSense) && p.playedIn(max(0, from-2*reach), from)
}

// playedIn reports whether the units from-to tell what was played, or how long, and name no day.
func (p *parser) playedIn(from, to int) bool {
	named := p.saidIn(from, to, itemsSense, rangeSense, allSense, doneSense)
	for i := from; i < to && !named; i++ {
		named = p.unit(i, numSense) && p.namesItem(i) && !p.unit(i-1, atSense) // not "see you at 4"
	}
	return !p.saidIn(from, to, dateSense) &&
		(p.saidIn(from, to, minutesSense) || named && p.saidIn(from, to, outcomeSense, fineSense, doneSense, tempoSense))
}

// otherDay reports whether the units from-to name a day other than today.
func (p *parser) otherDay(from, to int) bool {
	return slices.ContainsFunc(p.units[from:to], func(u mark) bool { return u.sense == dateSense && u.val != 0 })
}

// mentions counts what the units from-to speak of beside what is for the log: words
// that are not understood or are of others, lessons and concerts, and whether any was
// judged. It tells whether anything is for the log.
func (p *parser) mentions(from, to int) (strange, events int, judged, forLog bool) {
	hour := p.hourIn(from, to)
	if hour {
		strange++
	}
	for i := from; i < to; i++ {
		u := &p.units[i]
		switch s := u.sense; {
		case s == excuseSense && p.isEvent(i):
			events++
			if p.talkedOf(i) {
				strange += 2
			}
		case s == fineSense, s == outcomeSense && u.val == clean:
			judged = true
		case s == asideSense, s == youSense, s == personSense, s == thingSense, p.remarked(i), s == chatSense && p.lettersAt(i), s == outcomeSense && u.val == done && hour:
			strange++
		case s == bodySense:
			forLog = true
		case s == numSense && (p.unit(i-1, atSense) || p.has(i-1, fillerSense, 2)): // an hour, an age
			strange++
		case reports(s):
			forLog = true
		}
	}
	return strange, events, judged, forLog
}

// reportsBeside reports whether anything is said for the log a little before or after
// the sentence from-to.
func (p *parser) reportsBeside(from, to int) bool {
	return p.reportsIn(max(0, from-2*reach), from) || p.reportsIn(to, min(len(p.units), to+2*reach))
}

// reports tells whether a sense says something for the log, of an item or at all.
func reports(s sense) bool {
	switch s {
	case itemsSense, numSense, rangeSense, countSense, fineSense, wentSense, allSense, bothSense, halfSense, othersSense, restSense,
		excuseSense, feelSense, painSense, doubtSense, goneSense, undoSense, quoteSense:
		return true
	}
	return tells(s)
}

// hourIn reports whether a time of day is told in the sentence from-to.
func (p *parser) hourIn(from, to int) bool {
	for i := from; i < to; i++ {
		if p.units[i].role == hourRole || p.unit(i, numSense) && p.timeOfDay(i) && p.ends(i+1) {
			return true
		}
	}
	return false
}

// settleAsk makes small words of those that begin questions, where there is none.
func (p *parser) settleAsk(from, to int) {
	for i := from; i < to; i++ {
		if u := &p.units[i]; u.sense == askSense {
			if u.sense = articleSense; u.val == askOrWhen {
				u.val = conditional
			}
		}
	}
}

// endsSentence reports whether unit i ends a sentence.
func (p *parser) endsSentence(i int) bool {
	return p.unit(i, stopSense) && rune(p.units[i].val) != ellipsis && p.units[i].val != '¿' || p.unit(i, querySense)
}

// asideQuestion sets the question in the sentence from-to aside: all of it, or
// from the clause on that begins like one. Words of pain in it stay.
func (p *parser) asideQuestion(from, to int) {
	start := -1
	asks := p.unit(to, querySense)
	first := p.firstWord(from, to)
	for i := from; i < to && start < 0; i++ {
		if p.opensQuestion(i, i == first, asks) || p.unit(first, fillerSense) && i == first && (i == from || p.ends(i-1)) && p.units[i].val == 1 && (asks || !p.tellsIn(i, to) && !p.awayIn(i, to)) {
			start = i
		}
	}
	if start < 0 && asks && p.question == (span{}) && from < to {
		start = p.afterReports(p.lastClause(from, to), to)
	}
	if start < 0 {
		return
	}
	if but := p.butAfter(start, to); !asks && p.reportsIn(but, to) { // what an odd key, but 2 at 68
		to = but
	}
	if (p.opened(start) || asks || p.standsAlone(start)) && p.namesAlone(from, start) || p.opened(start) && p.unit(start-2, breakSense) && p.supposes(from) { // la 2, ¿se respira?
		start = from
	}
	if p.question == (span{}) {
		p.question = span{p.units[start].start, p.units[max(start, to-1)].end}
		if p.opened(start) {
			p.question.start = p.units[start-1].start
		}
		if asks {
			p.question.end = p.units[to].end
		}
	}
	p.putAside(start, to, "question to the teacher")
}

// awayIn reports whether any of the units from-to says why nothing was played, and it is no lesson
// or concert, which questions are about: "sind den ganzen Tag im Zug".
func (p *parser) awayIn(from, to int) bool {
	for ; from < to; from++ {
		if p.unit(from, excuseSense) && !p.isEvent(from) {
			return true
		}
	}
	return false
}

// afterReports returns where, after two items or more that are said to have gone somehow, the
// units from-to name another: "1 clean 2 clean 3?" asks of item 3 alone. Or else it returns from.
func (p *parser) afterReports(from, to int) int {
	told, last := 0, from
	for i := from; i < to; i++ {
		if p.judged(i) && (p.namesItem(i-1) || p.valued(i-1)) {
			told, last = told+1, i+1
		}
	}
	if told < 2 || !p.namesItem(last) {
		return from
	}
	return last
}

// supposes reports whether "for" or, as "si" is, a word for yes that goes on stands at
// unit i: "si me canso, ¿paro?"
func (p *parser) supposes(i int) bool {
	return p.unit(i, forSense) || p.has(i, doneSense, 1) && !p.ends(i+1)
}

// butAfter returns the first "but" among the units from-to, or to.
func (p *parser) butAfter(from, to int) int {
	for from < to && !p.unit(from, butSense) {
		from++
	}
	return from
}

// reportsIn reports whether any of the units from-to says something for the log, of an
// item or at all.
func (p *parser) reportsIn(from, to int) bool { return p.anyIn(from, to, reports) }

// anyIn reports whether what is asked holds for the sense of any of the units from-to.
func (p *parser) anyIn(from, to int, is func(sense) bool) bool {
	for i := from; i < to; i++ {
		if is(p.units[i].sense) {
			return true
		}
	}
	return false
}

// opensQuestion reports whether a question to the teacher begins at unit i, which
// may be the first of its sentence; asks says that a question mark ends it.
func (p *parser) opensQuestion(i int, first, asks bool) bool {
	u := &p.units[i]
	if p.opened(i) {
		return true
	}
	if !asks && p.unit(i+1, minutesSense) { // como media hora
		return false
	}
	return u.sense == askSense && (first && (asks || u.val != 2) || (asks || u.val == 1) && (p.clauseBegins(i) || p.namesItem(i-1) && p.standsAlone(i)))
}

// namesAlone reports whether the units from-to name items and say nothing of them.
func (p *parser) namesAlone(from, to int) bool {
	named := false
	for ; from < to && (p.namesItem(from) || p.remarked(from) || !matters(p.units[from].sense)); from++ {
		named = named || p.namesItem(from)
	}
	return named && from == to
}

// opened reports whether ¿ stands before unit i.
func (p *parser) opened(i int) bool { return p.has(i-1, stopSense, '¿') }

// saidIn reports whether any of the units from-to has one of the senses.
func (p *parser) saidIn(from, to int, senses ...sense) bool {
	return p.anyIn(from, to, func(s sense) bool { return slices.Contains(senses, s) })
}

// tellsIn reports whether any of the units from-to says something for the log.
func (p *parser) tellsIn(from, to int) bool { return p.anyIn(from, to, tells) }

// newsIn reports whether the clause after unit from, up to unit to, speaks of today and
// no longer of a plan: it says how the player is or why nothing was played, but not as a
// reason, or more of an item than its name.
func (p *parser) newsIn(from, to int) bool {
	if p.unit(from, fillerSense, articleSense) { // because
		return false
	}
	for i := from + 1; i < to; i++ {
		switch u := &p.units[i]; u.sense {
		case feelSense, painSense, excuseSense, noSense, onlySense, exceptSense, countSense:
			return true
		case dateSense:
			if u.val == 0 && !u.several {
				return true
			}
		case numSense:
			if p.namesItem(i-1) && i-1 > from {
				return true
			}
		}
	}
	return false
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
		case (u.sense == noSense || u.sense == notSense || u.sense == noneSense) && p.deniesPain(i):
		default:
			if role == talked && u.sense == minutesSense {
				p.passed = int(u.x)
			}
			u.aside(role)
		}
	}
}

// asidePlans sets aside what is planned for later: of each clause that says so,
// all that follows the last thing said to have been done.
func (p *parser) asidePlans(from, to int) {
	start := from
	told := false // something was, since start
	own := -1     // where a clause begins whose items alone are put off
	for i := from; i < to; i++ {
		switch u := &p.units[i]; {
		case p.parts(i):
			start, told = i+1, false
		case tells(u.sense) || u.sense == fineSense:
			told = true
		case u.sense == laterSense && u.val == 1 && p.tellsIn(from, i):
			// A resolution is a remark.
			u.sense = unknown
			if verb := i + 1; p.has(verb, outcomeSense, done) && p.namesItem(verb+1) && p.notAfter(i, to) { // 1 clean, wanted to do 2 but no time
				u.sense, u.val, p.units[verb].sense = outcomeSense, skipped, fillerSense
			}
		case u.sense == laterSense || p.forEvening(i, from) || p.restLater(i, from, to):
			end := p.planEnd(i, to)
			if told || p.unit(i-1, andSense) && p.tellsIn(from, i) && p.saidIn(i, end, restSense, othersSense) {
				start = i // did 1 and 2 and will do the rest tonight
			}
			if start != own {
				start = p.listStart(start, from)
			}
			put := p.itemsIn(start, end)
			if p.later |= put; u.val == 1 {
				p.meant |= put
			}
			p.putAside(start, end, laterRole)
			i = end - 1
		case told && p.namesItem(i) && p.has(p.head(i)-1, outcomeSense, done) && p.putOff(i, to) > 0: // did 1 and 2, 3 and 4 tomorrow
			own = p.putOff(i, to)
			start, told, i = own, false, own-1
		case told && (p.namesItem(i) && !p.unit(i-1, barSense) || u.sense == othersSense || u.sense == restSense):
			start, told = i, false
		}
	}
}

// putOff returns where, in the list of items from unit i on, the clause begins that puts its
// items off: "1 and 2, gulls is for tomorrow". It is 0 if there is none.
func (p *parser) putOff(i, to int) int {
	start := 0
	for end := min(to, i+2*reach); i < end && !tells(p.units[i].sense); i++ {
		switch {
		case p.unit(i, laterSense):
			return start
		case p.unit(i, breakSense) && (p.namesItem(i+1) || p.head(i+2) == i+1 && p.namesItem(i+2)):
			start = i + 1
		}
	}
	return 0
}

// notAfter reports whether the next clause after unit i, before unit to, says that nothing was
// played or something left out, and nothing else; that is set aside then.
func (p *parser) notAfter(i, to int) bool {
	at := p.endOfClause(i, to) + 1
	at = p.past(at, butSense, fillerSense)
	if !p.unit(at, noneSense) && !p.has(at, outcomeSense, skipped) || !p.ends(at+1) {
		return false
	}
	p.units[at].aside("reason")
	return true
}

// laterRole is the role of what is put off.
const laterRole = "still to come"

// forEvening reports whether unit i leaves the rest to the evening: "1 clean, rest tonight"
// but not "1 this morning, rest tonight".
func (p *parser) forEvening(i, from int) bool {
	end := i + 2
	for end < i+reach && (p.remarked(end) || p.unit(end, fillerSense, articleSense, chatSense)) { // hopefully, I hope
		end++
	}
	if !p.unit(i+1, dateSense) || p.units[i+1].x != evening || !p.ends(end) {
		return false
	}
	if !p.unit(i, othersSense, restSense) && !(p.namesItem(i) && p.unit(i-1, breakSense) && p.tellsIn(from, i)) {
		return false
	}
	return !p.saidIn(from, i, dateSense) && (p.clauseBegins(i) || p.unit(i-1, andSense))
}

// restLater reports whether the rest, at unit i, is told to be for the evening or for after something,
// once something was said of other items: "1 clean, the rest after dinner".
func (p *parser) restLater(i, from, to int) bool {
	end := p.endOfClause(i, to)
	if !p.unit(i, othersSense, restSense) || !p.tellsIn(max(0, i-2*reach), i) || p.unit(p.head(i)-1, doneSense, outcomeSense) || p.saidIn(from, i, dateSense) || p.anyIn(i+1, end, tells) || p.saidIn(i+1, end, fineSense, noneSense, noSense, numSense, allSense, excuseSense) {
		return false
	}
	evening := slices.ContainsFunc(p.units[i:end], func(u mark) bool { return u.sense == dateSense && u.x == evening })
	return evening || p.unit(p.past(i+1, fillerSense), afterSense, forSense) || p.unit(i+1, fillerSense) && p.holds(i+1, afterSense)
}

// listStart returns where the list of items that ends with unit i begins.
func (p *parser) listStart(i, from int) int {
	for i-2 >= from && !tells(p.senseAt(i-3)) && p.namesItem(i) && p.namesItem(i-2) && p.unit(i-1, andSense, breakSense) {
		i -= 2
	}
	return i
}

// namesItem reports whether unit i names an item.
func (p *parser) namesItem(i int) bool {
	return p.unit(i, itemsSense) || p.unit(i, numSense) && p.isItem(p.units[i].x)
}

// itemsIn returns the items named from unit i to end.
func (p *parser) itemsIn(i, end int) (items itemSet) {
	for ; i < end; i++ {
		switch u := &p.units[i]; {
		case u.sense == itemsSense && (u.several || u.items.only() != 0):
			items |= u.items
		case p.namesItem(i):
			items.add(int(u.x))
		}
	}
	return items
}

// planEnd returns where the plan that begins at unit i ends: with its clause, or
// after the clauses in which nothing is said to have been done.
func (p *parser) planEnd(i, to int) int {
	for end := i; ; end++ {
		end = p.endOfClause(end, to)
		next := p.endOfClause(end+1, to)
		judged, _ := p.saidNext(end)
		if end >= to || judged || p.has(end, breakSense, ';') || p.denies(end+1) && p.ends(end+2) || p.unit(end, butSense) || p.unit(end+1, butSense) || p.tellsIn(end, next) || p.newsIn(end, next) || p.unit(p.head(end+1), othersSense) && p.nextOutcome(end+1) || p.unit(end, fillerSense) && p.unit(end+1, onlySense) { // so just 1
			return end
		}
	}
}

// asideMeetings sets aside what is said of seeing each other: "yes see you at 5".
func (p *parser) asideMeetings(from, to int) {
	start, said := from, false
	for i := from; i < to; i++ {
		u := &p.units[i]
		switch {
		case u.sense == breakSense:
			start, said = i+1, false
		case u.sense == chatSense && u.val == 1 && !(p.itemIn(i) && (p.remarked(i-1) || p.namesItem(i-1))):
			end := i
			for end < to && !p.parts(end) && !(p.unit(end, andSense) && p.unit(end+1, feelSense)) {
				end++
			}
			if said {
				start = i
			}
			p.putAside(start, end, "talk")
			i = end - 1
		case u.sense == doneSense && u.val == 1:
		default:
			said = said || matters(u.sense)
		}
	}
}

// remarked reports whether unit i is a word that a remark may be made of.
func (p *parser) remarked(i int) bool {
	return p.unit(i, unknown, plainSense, barSense)
}

// asidePeople sets aside the clauses that begin with somebody else, or with what is
// the teacher's: "my brother did 40 min", "your note on 3". What a "she" did, who may
// be the player, is doubtful.
func (p *parser) asidePeople(from, to int) {
	told := false // something was, before
	for i := from; i < to; i++ {
		u := &p.units[i]
		if !p.ofOthers(i) || u.val == opinion {
			told = told || tells(u.sense)
			continue
		}
		if u.val == 1 {
			u.sense = hedgeSense
			continue
		}
		end := i
		for end < to && !p.parts(end) && !p.ofPlayer(end) && !p.mine(end) {
			end++
		}
		if p.tellsIn(i, end) && p.unit(end+1, outcomeSense) && p.ends(end+2) { // my brother played for hours, dreadful
			end += 2
		}
		if !told || p.ownClause(i) && p.tellsIn(i, end) { // 2 done, my brother did 3
			if p.unit(end, breakSense) && p.unit(end+1, minutesSense) && p.ends(end+2) { // my sister played her whole book, 3 hours!
				end += 2
			}
			p.putAside(i, end, "somebody else")
		}
	}
}

// ofOthers reports whether a clause begins with somebody else at unit i, with a word
// between "my" and whom at most: "my old teacher".
func (p *parser) ofOthers(i int) bool {
	if !p.unit(i, personSense) && !(p.unit(i, youSense) && p.remarked(i+1)) {
		return false
	}
	before := i - 1
	for end := max(0, i-reach); before > end && !p.with(before) && (p.determines(before) || p.unit(before, weakKeySense, fillerSense) || p.remarked(before)); {
		before--
	}
	if p.with(before) || p.unit(before, forSense) || p.has(before, articleSense, reasonArticle) { // with my brother 1 and 2 clean
		return false
	}
	return p.clauseBegins(i) || p.unit(i-1, chatSense) || p.ownClause(i) || p.clauseBegins(i-1) && (p.unit(i-1, weakKeySense) || p.remarked(i-1))
}

// ofPlayer reports whether unit i is the player's "I", or a "so" that leads back to
// the player.
func (p *parser) ofPlayer(i int) bool {
	return p.player(i) || p.has(i, fillerSense, reasonFiller)
}

// mine reports whether the player tells of unit i, what was done or not, by its first word or by the
// form of its verb: "j'ai fait", "hice".
func (p *parser) mine(i int) bool {
	if p.player(i) {
		return true
	}
	if !p.unit(i, outcomeSense, doneSense, onlySense, noneSense) {
		return false
	}
	first := p.meaningOf(p.toks[p.tokenAt(p.units[i].start)].plain)
	if p.phrased(i) && first.sense == fillerSense && (first.val == 3 || first.val == haveFiller) {
		return true
	}
	return p.anyWord(i, p.table.mine)
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
	next := 0        // where the clause after it began, if it ended one itself
	for i := range p.units {
		u := &p.units[i]
		switch {
		case u.sense == breakSense || u.sense == stopSense:
			clause = i + 1
			if i == dated+1 && u.val != '(' || u.sense == stopSense || u.val == ';' {
				next = clause
			}
		case u.sense == butSense && dated >= 0 && content && !p.unit(i-1, allSense, noneSense), u.sense == andSense && dated >= clause && content:
			clause = i + 1
			if i == dated+1 {
				next = clause
			}
		case u.sense == bothSense && p.unit(i+1, dateSense) && p.unit(i+2, andSense):
			u.aside("both days")
		case u.sense == dateSense && !u.firm && (p.unit(i-1, thanSense, toSense, upToSense, fromSense, afterSense) || p.unit(i-1, excuseSense) && (p.unit(i-2, afterSense) || p.unit(i-3, afterSense))):
			u.sense = unknown
			content = true
		case u.sense == dateSense && u.painful && p.since(i): // my ears ring since the rehearsal last night
			u.aside("since when")
		case u.sense == dateSense && p.inTalk(i):
			u.aside("talk")
		case u.sense == dateSense && part.said && content && dated >= 0 && p.joinsDay(dated, i):
			p.spans = append(p.spans, dayPart{from: part.from, to: i, day: part.day, said: true, unsure: part.unsure})
			part.day, part.unsure, dated = p.ctx.Today+routine.Date(u.val), u.several, i
		case u.sense == dateSense, u.today && u.sense != asideSense:
			at := i
			if !p.clauseBegins(i) && clause > dated && !p.unit(i+1, colonSense) && !p.unit(i-1, andSense) {
				if at = clause; next > dated && dated >= 0 { // all done on Monday, 1-3 done, 4 skipped today
					at = next
				}
			}
			dated = i
			day, unsure := p.ctx.Today, false
			if u.sense == dateSense {
				day, unsure = day+routine.Date(u.val), u.several
			}
			switch {
			case !part.said && (!content || at <= part.from || !p.saysMore(i)):
				part.day, part.said, part.unsure = day, true, unsure
			case day == part.day || len(p.spans) >= maxDays:
				part.said = true
			default:
				part.to = at
				p.spans = append(p.spans, part)
				part, content = dayPart{from: at, day: day, said: true, unsure: unsure}, at < i && !p.clauseBegins(i)
			}
			content = content || u.sense != dateSense
		case matters(u.sense):
			content = true
		}
	}
	part.to = len(p.units)
	p.spans = append(p.spans, part)
	p.joinFirst()
}

// joinFirst gives what stands before the first day to that day, where today is told of by its name
// elsewhere: "1-3 done, 4 skipped last night. Rest day today".
func (p *parser) joinFirst() {
	today := func(d dayPart) bool { return d.said && d.day == p.ctx.Today }
	if first := p.spans[0]; len(p.spans) > 2 && !first.said && p.anyIn(p.spans[1].from, p.spans[1].to, matters) && slices.ContainsFunc(p.spans[1:], today) {
		p.spans[1].from = first.from
		p.spans = slices.Delete(p.spans, 0, 1)
	}
}

// since reports whether a word like "since" stands before unit i in its clause.
func (p *parser) since(i int) bool {
	for end := max(0, i-reach); i > end && !p.ends(i-1); {
		if i--; p.unit(i, fromSense, afterSense) || p.unit(i, articleSense) && p.holds(i, fromSense) {
			return true
		}
	}
	return false
}

// inTalk reports whether the day at unit i is only talked about: "see you Friday", "sorry
// for yesterday."
func (p *parser) inTalk(i int) bool {
	closed := p.endsSentence(i + 1)
	i--
	for end := i - reach; i > end && p.unit(i, forSense, aboutSense, fillerSense, articleSense, onSense); {
		i--
	}
	sorry := closed && p.unit(i, sorrySense) && p.unit(i+1, forSense, aboutSense, articleSense)
	return sorry || p.unit(i, chatSense) && p.units[i].val != greeting && p.lettersAt(i) || p.unit(i, youSense)
}

// joinsDay reports whether nothing but "and" stands between the day at unit i and
// the one before: "ill yesterday and today".
func (p *parser) joinsDay(before, i int) bool {
	return len(p.spans) < maxDays && before == i-2 && (p.unit(i-1, andSense, orSense) || p.has(i-1, notSense, 1))
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
		querySense, onSense, dateSense, asideSense, chatSense, inSense, atSense, forSense, ofSense, sorrySense, tooSense:
		return false
	}
	return true
}
