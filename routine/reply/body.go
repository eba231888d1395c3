package reply

// excuse reads why nothing was played, unless it is denied or only talked about.
func (p *parser) excuse(i int) {
	s, u := &p.sheet, &p.units[i]
	before := i - 1
	for before > i-3 && (p.unit(before, articleSense) || p.unit(before, fillerSense)) {
		before--
	}
	if p.unit(before, noSense) || p.unit(before, notSense) || u.chatty {
		u.role = "talk"
		return
	}
	s.excuse, s.content, u.role = excuses[u.val], true, "excused"
}

// deniesPain reports whether the word at unit i says that there is no pain.
func (p *parser) deniesPain(i int) bool {
	for j := i + 1; j < len(p.units) && j <= i+4; j++ {
		switch p.units[j].sense {
		case painSense, doubtSense, feelSense:
			return true
		case breakSense, stopSense, querySense, signSense, numSense, itemsSense:
			return false
		}
	}
	return false
}

// body reads how the player is: feel and pain.
func (p *parser) body(i int) {
	s, u := &p.sheet, &p.units[i]
	switch {
	case u.sense == goneSense:
		s.gone, s.content, u.role = true, true, "pain gone"
	case u.sense == jokeSense:
		p.word(i)
	case p.denied(i):
		u.role = "denied"
	case u.sense == feelSense:
		s.feel, s.content, u.role = feels[u.val], true, "feel"
	case u.sense == doubtSense || u.typo && p.farFetched(i):
		s.doubt, s.content, u.role = true, true, "pain?"
	default:
		s.pain, s.content, u.role = true, true, "pain"
	}
}

// farFetched reports whether a misspelled word of pain begins with another
// letter than what it is taken for, so that it had better be asked about.
func (p *parser) farFetched(i int) bool {
	first := p.text[p.units[i].start]
	return first != 'p' && first != 'P' && p.units[i].end-p.units[i].start < 6
}

// denied reports whether "no", "not", "nothing" or "without" stands before unit
// i in its clause, four units back at most.
func (p *parser) denied(i int) bool {
	for j := i - 1; j >= 0 && j >= i-4; j-- {
		switch p.units[j].sense {
		case noSense, notSense, noneSense, exceptSense:
			return true
		case painSense, doubtSense, onlySense:
			if p.units[i].sense == feelSense {
				return false
			}
		case breakSense, stopSense, querySense, signSense, itemsSense, numSense, outcomeSense, butSense:
			return false
		}
	}
	return false
}
