package reply

// repeats reads 3x, x3, three times, twice in a row, 2 of 4 times.
func (p *parser) repeats(i int) (mark, int) {
	m, n := p.tally(i)
	for n > 0 && m.sense == countSense && p.is(i+n, timesSense) && p.at(i+n).end-p.at(i+n).start > 2 {
		n++
	}
	return m, n
}

// cleanTries joins how many of the repeats went well to how many there were: "five times, 3 of
// them clean", "tres pasadas, una limpia". By itself the number may be an item's, where items are
// called by their numbers.
func (p *parser) cleanTries() {
	byName := false // the item named last is not called by its number
	for i := range p.units {
		u := &p.units[i]
		switch {
		case u.sense == itemsSense || u.sense == numSense && p.namesItem(i):
			byName = u.sense == itemsSense && u.val != byNumber
		case u.sense == countSense && u.y == 0 && u.x > 1:
			if p.unit(p.back(i-1, articleSense), ofSense) && p.joinTries(i, i+1, true) { // of 5 tries 2 were clean
				continue
			}
			for j, end := i+1, i+reach; j < end && !p.endsSentence(j) && !p.unit(j, countSense); j++ {
				if p.unit(j, breakSense, andSense, butSense) {
					p.joinTries(i, j+1, byName)
					break
				}
				byName = byName || p.unit(j, itemsSense) && p.units[j].val != byNumber // five times through the gulls
			}
		}
	}
}

// joinTries joins how many tries went well from unit j on to the repeats at unit i, and reports whether
// any are told of there.
func (p *parser) joinTries(i, j int, byName bool) bool {
	u := &p.units[i]
	k, to := p.wentWell(p.past(j, fillerSense, onlySense, wentSense), byName)
	if to == 0 || k > u.x {
		return false
	}
	u.x, u.y = k, u.x
	for ; j <= to; j++ {
		p.units[j].aside(u.role)
	}
	return true
}

// wentWell reads how many tries went well from unit i on, and returns where that ends, or 0.
func (p *parser) wentWell(i int, byName bool) (k float64, to int) {
	switch u := p.senseAt(i); {
	case u == oneSense, u == articleSense && p.units[i].val == indefinite:
		k = 1
	case u == numSense, u == numberSense:
		k = p.units[i].x
	default:
		return 0, 0
	}
	of := p.unit(i+1, ofSense)
	to = p.past(i+1, ofSense, fillerSense, articleSense, onlySense)
	if !p.judged(to) || p.units[to].val != clean || !of && !byName && p.isItem(k) {
		return 0, 0
	}
	return k, to
}

// tally reads repeats without the words that may follow.
func (p *parser) tally(i int) (mark, int) {
	if y, ok := p.number(i + 2); ok && p.is(i, repsSense) && p.is(i+1, ofSense) && y >= p.at(i).x {
		return mark{sense: countSense, x: p.at(i).x, y: y}, 3
	}
	if x, ok := p.number(i); ok && p.is(i+1, ofSense) && p.is(i+2, repsSense) && p.at(i+2).x >= x {
		return mark{sense: countSense, x: x, y: p.at(i + 2).x}, 3
	}
	if _, ok := p.number(i + 1); ok && p.is(i, ofSense) && p.is(i+2, itemSense) && p.is(i+3, numSense, numberSense) {
		return mark{sense: partlySense}, 4 // von 6 Übungen 4
	}
	if p.is(i, repsSense) {
		return mark{sense: countSense, x: p.at(i).x}, 1
	}
	if p.is(i, timesSense) && p.at(i).end-p.at(i).start <= 2 {
		if x, ok := p.digits(i + 1); ok && x <= 50 && (!p.is(i-1, numSense) || p.at(i+1).glued && !p.at(i).glued || p.at(i-1).x >= leastBPM && !p.at(i).glued && p.clauseEnd(i+2)) { // 63 x 4
			return mark{sense: countSense, x: x}, 2
		}
	}
	x, ok := p.number(i)
	if !ok || x < 1 || x > 100 {
		return mark{}, 0
	}
	if y, ok := p.number(i + 3); ok && p.is(i+1, timesSense) && p.is(i+2, ofSense) && y >= x && y <= mostTries {
		return mark{sense: countSense, x: x, y: y}, 4
	}
	if y, ok := p.number(i + 3); ok && p.is(i+1, outcomeSense) && p.at(i+1).val == clean && p.is(i+2, ofSense) && y >= x && y <= mostTries {
		return mark{sense: countSense, x: x, y: y}, 4 // 2 clean out of 5
	}
	if p.is(i+1, outcomeSense) && p.at(i+1).val == clean && p.is(i+2, timesSense) && p.at(i+2).end-p.at(i+2).start > 2 { // three clean reps
		return mark{sense: countSense, x: x}, 1
	}
	if p.is(i+1, timesSense) && !(p.is(i+2, numSense) && p.at(i+2).glued && !p.at(i+1).glued) {
		return mark{sense: countSense, x: x}, 2
	}
	of := i + 2
	if p.is(of, articleSense) { // 6 of the 8 exercises
		of++
	}
	if _, ok := p.number(of); ok && (p.is(i+1, ofSense) || p.isSign(i+1, '/')) && p.is(of+1, itemSense) {
		return mark{sense: partlySense}, of + 2 - i
	}
	if y, ok := p.number(i + 2); ok && p.is(i+1, ofSense) && y >= x && y <= mostTries && (!p.is(i+3, toSense, upToSense) || p.at(i+4).x >= leastBPM) {
		return mark{sense: countSense, x: x, y: y}, 3
	}
	return p.slashedRepeats(i)
}

// slashedRepeats reads the 2/4 of "3: 2/4 clean", but that of "in the 2/4 bars" as a
// metre.
func (p *parser) slashedRepeats(i int) (mark, int) {
	x, ok := p.digits(i)
	y, ok2 := p.digits(i + 2)
	switch {
	case !ok || !ok2 || !p.isSign(i+1, '/') || !p.at(i+2).glued:
		return mark{}, 0
	case p.at(i+1).glued && (p.is(i-1, articleSense, onSense, inSense) || p.is(i+3, barSense)):
		return noItem("metre"), 3
	case x > y || y > mostTries:
		return mark{}, 0
	case y == mostTries && !p.anyItem() && p.is(i+3, inSense, toSense, atSense):
		return noItem("mark of an exam"), 3 // 17/20 à l'examen
	case p.isSign(i+3, '/') && p.at(i+3).glued || i == 0 || p.isSign(i-1, '/') && p.at(i).glued || p.slashedItems():
		return mark{}, 0
	}
	return mark{sense: countSense, x: x, y: y}, 3
}
