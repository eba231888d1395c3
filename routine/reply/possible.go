package reply

// How far a number may lie from an item's tempi and still be one, and how many
// minutes a day may have. These are common sense, no rule of the trade: a player
// works at half the tempo, and seldom goes more than a fifth beyond today's when
// the number alone must tell which item is meant.
const (
	slowest  = 0.5 // times the tempo begun at, when the item is named
	fastest  = 1.5 // times the tempo to reach, when the item is named
	nearLow  = 0.8 // the same, when no item is named
	nearHigh = 1.2
	leastBPM = 30 // no tempo is slower, in the item's own note value

	leastDay = 5  // minutes of the shortest day that a bare number may tell
	longDay  = 60 // minutes that any day may have

	fewest    = 12   // minutes; "9 done" speaks of an item
	mostTries = 20   // of which some were clean: "2 of 20"
	mostAsked = 9999 // a longer number alone is no answer to be asked about
)

// withinReach reports whether the number can be a tempo of all the items.
func (p *parser) withinReach(items itemSet, x, low, high float64) bool {
	for n := 1; n <= p.count(); n++ {
		if items.has(n) && !p.canPlay(n, mark{x: x}, low, high) {
			return false
		}
	}
	return items != 0
}

// canPlay reports whether a tempo lies between low times the slower and high
// times the faster tempo of item n. An item without a tempo may be played at
// any that a metronome has.
func (p *parser) canPlay(n int, tempo mark, low, high float64) bool {
	item := p.item(n)
	from, to := item.From, item.To
	if from.IsZero() {
		from = to
	}
	if to.IsZero() {
		to = from
	}
	if to.IsZero() {
		return tempo.x >= leastBPM && tempo.x <= 300
	}
	x := tempo.x
	if tempo.note != 0 {
		x *= float64(tempo.note) / float64(to.Note)
	}
	return x >= max(low*from.BPM, leastBPM) && x <= high*to.BPM
}

// reaches reports whether item n can have been played at what was said to be its
// tempo, and at the one it was begun at.
func (p *parser) reaches(n int, tempo mark) bool {
	if tempo.sure {
		return true
	}
	began := tempo
	began.x = began.y
	return p.canPlay(n, tempo, slowest, fastest) && (tempo.y == 0 || p.canPlay(n, began, slowest, fastest))
}

// plausibleItem reports whether the number can be the minutes of the items.
func (p *parser) plausibleItem(items itemSet, x float64) bool {
	return x >= 1 && x <= float64(2*p.planned(items))
}

// planned returns how many minutes the items are to take.
func (p *parser) planned(items itemSet) (minutes int) {
	for n := 1; n <= p.count(); n++ {
		if items.has(n) {
			minutes += p.item(n).Minutes
		}
	}
	return minutes
}

// plausibleDay reports whether a bare number can be the minutes of the day.
func (p *parser) plausibleDay(x float64) bool {
	return x == float64(int(x)) && x >= leastDay && x <= float64(max(2*p.planned(p.every()), longDay))
}

// nearest returns the items whose tempo the number is near to.
func (p *parser) nearest(u mark) (set itemSet) {
	for n := 1; n <= p.count(); n++ {
		if p.canPlay(n, u, nearLow, nearHigh) {
			set.add(n)
		}
	}
	return set
}
