package reply

import "slices"

// What is doubtful is asked, not logged. A reading is in doubt where a word or a
// number has been left over that may change it:
//
//   - a word that says that what follows was not so, or not the player's doing:
//     "I have 20 min", "she did 3", markup (doubt, settleDoubt);
//   - a number that may be an item, a tempo or minutes among words that were not
//     understood (strayNumber), and a word for the whole day among such (ofOther);
//   - an item's bare number with nothing but such a word beside it: "2 tickets"
//     (see saying.odd);
//   - minutes beside talk, or on a day on which nothing was played (settleMinutes,
//     askStray);
//   - a remark with a word of denial or an outcome, or with a number that may be a
//     tempo (doubtful);
//   - something said of the body that was not understood (moods).
//
// Other words that were not understood are remarks of items, or talk.

// doubt notes a word that casts doubt on all that is said.
func (p *parser) doubt(i int) {
	s, u := &p.sheet, &p.units[i]
	switch cur := s.current(); {
	case u.sense == tagSense:
		s.tagged, u.role = true, "markup"
	case u.val == replaced && (cur != nil && cur.tempo.sense != unknown || s.minutes > 0) && p.ends(i+1): // 84 instead, not 80
		s.sorry, u.role = true, "correction"
	case cur != nil && cur.outcome >= 0:
		p.word(i)
	case u.val == 1 && cur == nil && p.minutesDone(i):
	case u.val == 0 || u.val == replaced || p.minutesNext(i):
		s.hedged, u.role = true, "doubt"
	case u.val == 2:
		u.sense = onlySense
		p.limit(i)
	}
}

// minutesDone asks about the minutes that "she" at unit i is said to have done and about
// nothing else, and reports whether there are such: "she did 12 min".
func (p *parser) minutesDone(i int) bool {
	from := i
	for i++; i < from+reach && (p.unit(i, fillerSense, dateSense, doneSense) || p.has(i, outcomeSense, done)); {
		i++
	}
	if i == from+1 || !p.unit(i, minutesSense) || !p.nextOutcome(from) && !p.nextOutcome(i) {
		return false
	}
	p.sheet.unsure = int(p.units[i].x)
	for from++; from < len(p.units) && !p.ends(from); from++ {
		if u := &p.units[from]; u.sense == minutesSense || u.sense == doneSense || u.sense == outcomeSense {
			u.aside("minutes, if the player's")
		}
	}
	return true
}

// settleMinutes decides what minutes are that may be those of something else: a bare
// number beside talk, and any on a day on which nothing was played, are asked about.
func (p *parser) settleMinutes() {
	s := &p.sheet
	switch {
	case s.whole == None:
		s.unsure, s.minutes = max(s.unsure, s.minutes), 0
	case s.unsure == 0 && s.bareMinutes && len(s.says) == 0 && s.whole == "" && s.feel == "" && (s.strange || p.besideTalk()):
		s.unsure, s.minutes = s.minutes, 0
	}
}

// besideTalk reports whether any clause was set aside as talk.
func (p *parser) besideTalk() bool {
	return slices.ContainsFunc(p.units, func(u mark) bool { return u.sense == asideSense && u.role == talked })
}

// minutesNext reports whether minutes follow unit i, with no more than small words
// between, and are not said to have been played.
func (p *parser) minutesNext(i int) bool {
	i = p.skipSmall(i)
	return (p.unit(i, minutesSense) || p.unit(i, numSense) && (p.ends(i+1) || p.unit(i+1, dateSense) && p.ends(i+2)) && p.plausibleDay(p.units[i].x)) && !p.nextOutcome(i)
}

// skipSmall returns the first unit after i that is no small word.
func (p *parser) skipSmall(i int) int {
	for end := i + reach; i < end; {
		i++
		switch p.senseAt(i) {
		case onlySense, articleSense, aboutSense, fillerSense, forSense, thanSense, dateSense:
		default:
			return i
		}
	}
	return i
}

// settleDoubt asks about all that would be logged, if there is doubt about it.
func (p *parser) settleDoubt() {
	s := &p.sheet
	if s.tagged && s.whole == "" && s.minutes == 0 && !p.anySaid() {
		s.says, s.unsure = s.says[:0], 0
		return
	}
	if !s.tagged && !s.hedged {
		return
	}
	if s.hedged && s.loose.outcome >= 0 { // practised with my quartet instead
		s.noItem = true
	}
	if s.unsure == 0 {
		s.unsure, s.minutes = s.minutes, 0
	}
	if len(s.says) > 0 || s.whole == All || s.whole == Partly {
		s.says, s.whole, s.filled, s.noItem = s.says[:0], "", "", true
	}
}

// askStray asks about a number that nothing was made of, if anything else was
// reported and nothing is asked yet.
func (p *parser) askStray(r *Reading) {
	x := p.sheet.stray
	switch {
	case p.passed > 0 && len(r.Items) > 0 && r.Minutes == 0 && len(r.Ask) == 0:
		p.put(r, "minutes", p.numberChoices(r, p.passed))
	case r.empty() || len(r.Ask) > 0 || r.Kind == Correction:
	case p.isItem(x) && r.item(int(x)) == nil:
		p.put(r, "item "+number(x), p.choices(r, int(x), []saying{{outcome: done}, {outcome: skipped}}))
	case p.plausibleDay(x):
		p.put(r, "minutes", p.numberChoices(r, int(x)))
	}
}

// item returns what the reading says of item n, or nil.
func (r *Reading) item(n int) *Item {
	for i := range r.Items {
		if r.Items[i].N == n {
			return &r.Items[i]
		}
	}
	return nil
}

// anySaid reports whether anything was said of an item but its number.
func (p *parser) anySaid() bool {
	return slices.ContainsFunc(p.sheet.says, func(y saying) bool { return !y.bare() })
}

// strayNumber reports whether the number at unit i, which no item is spoken of
// before, counts something that is not ours, or stands among words that were not
// understood: "bus 40", "2 weeks". If it may be minutes it is asked.
func (p *parser) strayNumber(i int) bool {
	u := &p.units[i]
	before, after := p.senseAt(i-1), p.senseAt(i+1)
	word := i - 1
	if before == inSense { // everything done in 40
		word--
		before = p.senseAt(word)
	}
	switch {
	case p.until(i), before == articleSense && p.units[i-1].val == indefinite, after == thingSense, before == atSense && p.units[i-1].val != 1, before == ofSense && p.sheet.place == (span{}) && !p.workedOn(i), p.lettered(i), p.ofAge(i):
	case before == thingSense && !p.nextOutcome(i), p.possessed(i): // in year 3, I have 2 apples
	case before == chatSense && p.units[i-1].val != greeting && (after == articleSense || after == onSense): // thx 4 the lesson
	case after == unknown && !licenses(before) && !p.isItem(u.x):
	case before == unknown && p.isItem(u.x) && p.isObject(word, i):
		p.itemNumber(i)
		p.sheet.current().odd = true
		return true
	case before == unknown, before == plainSense, before == personSense, p.sheet.wordy && !licenses(before):
		if p.ends(i+1) && p.plausibleDay(u.x) && p.sheet.minutes == 0 && !p.isItem(u.x) {
			p.sheet.unsure, u.role = int(u.x), "minutes, if anything"
			return true
		}
		if p.isItem(u.x) && (p.listJudged(i) > 0 || p.unit(i+1, tempoSense, countSense, numSense) || before != unknown && before != plainSense) {
			return false
		}
	default:
		return false
	}
	if !p.moreMinutes(i) {
		u.role = "number of something else"
		p.word(i)
	}
	return true
}

// listJudged returns how many items are in the list of their numbers that begins at unit i, if an
// outcome follows it: "by heart 1 and 2 clean".
func (p *parser) listJudged(i int) int {
	n := 1
	for ; p.unit(i+1, andSense, breakSense); n++ {
		next := p.past(i+2, articleSense, onSense)
		if !p.unit(next, numSense) || !p.isItem(p.units[next].x) {
			break
		}
		i = next
	}
	if !p.nextOutcome(i) {
		return 0
	}
	return n
}

// workedOn reports whether "of" stands between the item's number at unit i and minutes or an
// outcome: "20 min sur 3", "je bloque sur 3".
func (p *parser) workedOn(i int) bool {
	return p.isItem(p.units[i].x) && p.unit(i-2, minutesSense, outcomeSense)
}

// isObject reports whether the message begins with the unit word, which is not understood,
// with no more than small words before it, and nothing follows that the item's number at unit
// i counts: "battled 3", "I finally battled 3 for 10 minutes".
func (p *parser) isObject(word, i int) bool {
	if i > reach || slices.ContainsFunc(p.units[:word], func(u mark) bool { return u.sense != fillerSense }) {
		return false
	}
	return p.ends(i+1) || p.unit(i+1, andSense) && p.namesItem(i+2) || p.unit(i+1, dateSense, minutesSense) || p.unit(i+1, forSense) && p.unit(i+2, minutesSense)
}

// possessed reports whether the clause says no more than that somebody has so many of
// something: "I have 2 apples".
func (p *parser) possessed(i int) bool {
	if !p.remarked(i+1) || !p.ends(i+2) {
		return false
	}
	before := p.back(i-1, fillerSense, hedgeSense)
	return before < i-1 && (before < 0 || p.ends(before))
}

// ofAge reports whether "I am" stands before unit i; a word for now may stand between:
// "ich bin jetzt 9".
func (p *parser) ofAge(i int) bool {
	if p.unit(i-1, dateSense) && !p.isItem(p.units[i].x) {
		i--
	}
	return p.has(i-1, fillerSense, 2)
}

// until reports whether unit i stands after words that are not understood and
// "until", with an article at most between: "slept till 3".
func (p *parser) until(i int) bool {
	i = p.head(i)
	return p.upTo(i-1) && p.inWords(i-1)
}

// lettered reports whether a letter sticks to the number at unit i, as in the name
// of a mouthpiece or of a pitch: "3C", "F5".
func (p *parser) lettered(i int) bool {
	if p.units[i].glued && p.unit(i-1, weakKeySense) {
		return true
	}
	if i+1 >= len(p.units) || !p.units[i+1].glued || p.units[i+1].end-p.units[i+1].start > 2 {
		return false
	}
	switch p.units[i+1].sense {
	case unknown, plainSense, keySense, weakKeySense, majorKeySense, minorKeySense:
		return true
	}
	return p.unit(i+1, fineSense) && p.units[i+1].end-p.units[i+1].start == 1 // 5k
}

// fingered reports whether a plus sticks to the number at unit i: "1+2".
func (p *parser) fingered(i int) bool {
	return p.plus(i-1) && p.units[i].glued && !p.nextOutcome(i) || p.plus(i+1) && p.units[i+1].glued && !p.nextOutcome(i+2)
}

// plus reports whether unit i is a plus sign.
func (p *parser) plus(i int) bool {
	return i >= 0 && i < len(p.units) && p.text[p.units[i].start:p.units[i].end] == "+"
}

// licenses reports whether a number after the sense is one of practice: "did 40".
func licenses(s sense) bool {
	switch s {
	case outcomeSense, doneSense, allSense, aboutSense, forSense, onlySense, minutesSense, totalSense, colonSense:
		return true
	}
	return false
}

// senseAt returns the sense of unit i; past the ends of the message that of a
// sign.
func (p *parser) senseAt(i int) sense {
	if i < 0 || i >= len(p.units) {
		return stopSense
	}
	return p.units[i].sense
}

// ofOther reports whether the word for the whole day at unit i is said of
// something else: "finished my homework", "all the best".
func (p *parser) ofOther(i int) bool {
	if p.units[i].val == 1 && p.units[i].sense == doneSense {
		return p.sheet.wordy || p.unit(i+1, unknown, youSense) || p.unit(i+1, fillerSense) && p.unit(i+2, unknown, asideSense)
	}
	if p.playedAll(i) {
		return false
	}
	j := i + 1
	if p.unit(j, forSense) || p.with(j) {
		j++
		if p.unit(j, excuseSense, unknown) || p.unit(j, articleSense, onSense) && p.unit(j+1, excuseSense) {
			return true
		}
	}
	if !p.unit(j, articleSense) || p.units[j].val < 2 || p.units[j].val == reasonArticle || p.with(j) {
		return false
	}
	return p.unit(j+1, unknown) || j == i+1 && p.unit(j+1, plainSense, thingSense)
}

// with reports whether unit i is "with".
func (p *parser) with(i int) bool { return p.has(i, articleSense, withArticle) }
