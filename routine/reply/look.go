package reply

import "slices"

// reach is how many units away a word may be and still have to do with another.
// It keeps the time of reading in line with the length of the message.
const reach = 8

// past returns the first unit from i on that has none of the senses, or the last within
// reach.
func (p *parser) past(i int, senses ...sense) int {
	for end := i + reach - 1; i < end && p.unit(i, senses...); {
		i++
	}
	return i
}

// back returns the last unit up to i that has none of the senses, or the first within reach.
func (p *parser) back(i int, senses ...sense) int {
	for end := i - reach + 1; i > end && p.unit(i, senses...); {
		i--
	}
	return i
}

// nextRef reports whether the next thing after unit i that matters names items.
func (p *parser) nextRef(i int) bool {
	i = p.past(i+1, articleSense, fillerSense, colonSense, bothSense, forSense, onSense, atSense, inSense, ofSense, oneSense)
	return p.unit(i, itemsSense, othersSense, restSense, allSense, rangeSense) || p.namesItem(i) && !p.bar(i+1)
}

// nextOutcome reports whether the next thing after unit i that matters is an
// outcome.
func (p *parser) nextOutcome(i int) bool {
	i = p.past(i+1, articleSense, fillerSense, colonSense, ofSense, onSense, dateSense)
	return p.unit(i, outcomeSense, fineSense, doneSense)
}

// unit reports whether the i-th unit has one of the senses.
func (p *parser) unit(i int, senses ...sense) bool {
	return i >= 0 && i < len(p.units) && slices.Contains(senses, p.units[i].sense)
}

// has reports whether the i-th unit has the sense with the value.
func (p *parser) has(i int, s sense, val int) bool {
	return p.unit(i, s) && p.units[i].val == val
}

func (p *parser) isItem(x float64) bool { return x == float64(int(x)) && p.item(int(x)) != nil }

// before reports whether a unit with one of the senses stands before unit i in its
// clause, as "nur" does in "nur bis zur Hälfte".
func (p *parser) before(i int, senses ...sense) bool {
	for end := max(0, i-reach); i > end && !p.ends(i-1); {
		if i--; slices.Contains(senses, p.units[i].sense) {
			return true
		}
	}
	return false
}

// after reports whether the sense stands before unit i, with an article at most between.
func (p *parser) after(i int, s sense) bool { return p.unit(p.head(i)-1, s) }

// clauseBegins reports whether unit i is the first of its clause that matters.
func (p *parser) clauseBegins(i int) bool {
	for end := max(0, i-reach); i > end; {
		i--
		switch p.units[i].sense {
		case articleSense, fillerSense, sorrySense, dateSense, andSense, onSense, noSense, laterSense:
		case breakSense, stopSense, querySense, butSense:
			return true
		case signSense:
			return p.divides(i)
		case colonSense:
			return !p.unit(i-1, numSense, itemsSense, rangeSense)
		default:
			return false
		}
	}
	return true
}

// nextName reports whether a name follows unit i: "all the slurs".
func (p *parser) nextName(i int) bool {
	next := p.past(i+1, articleSense, ofSense)
	return p.unit(next, itemsSense) || p.namesItem(next) && p.saidIn(i+1, next, ofSense)
}

// noEnds reports whether "no" at unit i is all that is said of an item.
func (p *parser) noEnds(i int) bool {
	return p.ends(i+1) || p.unit(i+1, asideSense, dateSense, numSense, itemsSense, othersSense, restSense, andSense, butSense) || !p.lettersAt(i+1) && p.unit(i+1, outcomeSense, fineSense, feelSense, chatSense)
}

// standsAlone reports whether no word that matters follows unit i in its clause.
func (p *parser) standsAlone(i int) bool {
	for end := min(i+reach, len(p.units)-1); i < end; {
		i++
		switch p.units[i].sense {
		case fillerSense, articleSense, dateSense, sorrySense, chatSense:
		case stopSense, querySense, colonSense:
			return true
		default:
			return p.parts(i)
		}
	}
	return true
}

// partEnds reports whether nothing follows unit i that "some" or "a little" may
// be said of.
func (p *parser) partEnds(i int) bool {
	return (!p.units[i].bodily || p.unit(i+1, butSense)) && // did most of it but too tired to finish
		!p.unit(i+1, unknown, plainSense, painSense, doubtSense, bodySense)
}

// place reports whether unit i begins the name of a part of an item.
func (p *parser) place(i int) bool {
	if p.unit(i, numberSense, bothSense) { // las dos primeras líneas
		i++
	}
	return p.unit(i, nthSense, lastSense, barSense)
}

// outcomeThenRef reports whether "did 1" follows unit i.
func (p *parser) outcomeThenRef(i int) bool {
	i = p.past(i+1, fillerSense, articleSense)
	return (p.unit(i, doneSense) || p.has(i, outcomeSense, done)) && p.nextRef(i)
}

// bar reports whether unit i is a word for bars or the like without its number.
func (p *parser) bar(i int) bool { return p.unit(i, barSense) && !p.units[i].firm }

// divides reports whether unit i is a dash or a slash with space around it.
func (p *parser) divides(i int) bool {
	u := &p.units[i]
	return u.sense == signSense && !u.glued && (u.val == '/' || u.val == '-')
}

// ends reports whether a clause ends before unit i.
func (p *parser) ends(i int) bool {
	return i >= len(p.units) || p.unit(i, breakSense, stopSense, querySense)
}

// clauseFrom returns where the clause of unit i begins, not far back.
func (p *parser) clauseFrom(i int) int {
	for end := max(0, i-reach); i > end && !p.ends(i-1); {
		i--
	}
	return i
}

// articleBefore reports whether "the" or "and" stands before unit i, or both.
func (p *parser) articleBefore(i int) bool {
	return p.unit(i-1, articleSense, andSense) || p.unit(i-1, onSense) && (p.goesOn(i-1) || p.unit(i-2, notSense))
}

// inWords reports whether words that were not understood stand right before
// unit i.
func (p *parser) inWords(i int) bool {
	for j := i - 1; j >= 0 && j >= i-reach; j-- {
		if p.units[j].role == "remark" {
			return true
		}
		switch p.units[j].sense {
		case articleSense, fillerSense, ofSense:
		case afterSense, unknown, plainSense, bodySense, barSense, thingSense, halfSense, partlySense:
			return true
		default:
			return false
		}
	}
	return false
}

// denies reports whether unit i is "not" or "no".
func (p *parser) denies(i int) bool { return p.unit(i, notSense, noSense) }

// nextStrong reports whether an outcome that is said of items follows: "6 was clean".
func (p *parser) nextStrong(i int) bool {
	i = p.past(i+1, fillerSense)
	return p.unit(i, outcomeSense) && p.units[i].val != done
}

// lastMinutes reports whether no item is named after unit i.
func (p *parser) lastMinutes(i int) bool {
	return !p.saidIn(i+1, len(p.units), itemsSense, numSense, minutesSense)
}
