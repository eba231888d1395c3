package reply

// settleSenses settles what words mean by those beside them, before anything is read: verbs
// like "lief" are outcomes or small words, "too" is a small word where more follows, a value
// that is taken back is set aside.
func (p *parser) settleSenses() {
	p.redate()
	named := false // an item is
	for i := range p.units {
		named = named || p.namesItem(i)
		p.doubtPain(i)
		if settle := besides[p.units[i].sense]; settle != nil {
			settle(p, i, named)
		}
	}
}

// besides settle the units of each sense that hangs on what stands beside it; named says whether an
// item is named up to it.
var besides = [senses]func(p *parser, i int, named bool){
	othersSense: (*parser).besideOthers, allSense: (*parser).besideAll, tooSense: (*parser).besideToo,
	doneSense: (*parser).besideYes, outcomeSense: (*parser).besideOutcome, fineSense: (*parser).besideFine,
	wentSense: (*parser).besideWent, ishSense: (*parser).besideIsh, fillerSense: (*parser).besideFiller,
	sorrySense: (*parser).besideSorry, insteadSense: (*parser).besideInstead, noSense: (*parser).besideNo,
	numSense: (*parser).besideNumber, numberSense: (*parser).besideNumber, tempoSense: (*parser).besideValue,
	minutesSense: (*parser).besideValue, atSense: (*parser).besideAt, laterSense: (*parser).besideLater,
	aboutSense: (*parser).besideLess, exceptSense: (*parser).besideLess, excuseSense: (*parser).besideExcuse,
}

// become gives the unit another sense and its value.
func (m *mark) become(s sense, val int) { m.sense, m.val = s, val }

func (p *parser) besideOthers(i int, named bool) {
	switch u := &p.units[i]; {
	case u.val == beforeCount && named && p.toldNext(i): // the other skipped
		u.val = otherOne
	case u.val == beforeCount, // the other day
		u.val == 1 && !(named && p.toldNext(i)),
		(p.with(i-1) || p.with(i-2)) && p.withinItem(i+1),     // with the other mouthpiece
		!p.phrased(i) && p.remarked(i-1) && p.lettersAt(i-1),  // l'attaque reste molle
		!p.phrased(i) && p.namesItem(i-1) && p.nextOutcome(i): // la 4 reste fragile
		u.become(fillerSense, 0)
	}
}

// toldNext reports whether what follows unit i says how it went, or that it was left out.
func (p *parser) toldNext(i int) bool {
	return p.nextOutcome(i) || p.unit(i+1, noneSense) || p.unit(i+1, noSense) && p.noEnds(i+1)
}

func (p *parser) besideAll(i int, _ bool) {
	if p.with(i-1) && p.withinItem(i+1) { // with all fingers
		p.units[i].become(fillerSense, 0)
	}
}

func (p *parser) besideToo(i int, _ bool) {
	u, next := &p.units[i], i+1
	if p.unit(next, articleSense, onSense) {
		next++
	}
	ofItem := p.namesItem(i+1) || p.namesItem(next) ||
		p.namesItem(i-1) && (p.unit(i+1, tempoSense) || p.unit(i+1, numSense) && p.ends(i+2)) // la 3 pareil à 84
	switch {
	case ofItem || p.ends(i+1):
	case u.val == 1:
		u.become(articleSense, 0)
	default:
		u.become(fillerSense, 0)
	}
}

func (p *parser) besideYes(i int, _ bool) {
	small := p.unit(i-1, fillerSense) && p.units[i-1].val != reasonFiller && !p.unit(i+1, numSense) && !p.ends(i+1) // wir hatten ja Unterricht
	if u := &p.units[i]; u.val == 1 && (small || p.unit(i-1, dateSense) && p.unit(i+1, excuseSense)) {              // war heute ja krank
		u.become(fillerSense, 0)
	}
}

func (p *parser) besideOutcome(i int, _ bool) {
	u := &p.units[i]
	if u.val == skipped && p.unit(i+1, tempoSense) && p.units[i+1].y > 0 && p.units[i+1].note == 0 { // pasé de 63 a 69
		u.become(fillerSense, 0)
		return
	}
	p.deniedFor(i)
}

func (p *parser) besideFine(i int, _ bool) {
	if !p.deniedFor(i) && !p.phrased(i) && p.unit(i+1, feelSense) && p.lettersAt(i+1) { // bien crevé
		p.units[i].become(fillerSense, 0)
	}
}

// deniedFor sets an outcome aside that is denied for the sake of another, "pas propre mais raté", and
// reports whether that is so.
func (p *parser) deniedFor(i int) bool {
	if !p.holds(i, notSense) || !p.unit(i+1, butSense) || !p.judged(i+2) || p.nextRef(i+2) {
		return false
	}
	p.units[i].aside("denied")
	p.units[i+1].sense = sorrySense
	return true
}

func (p *parser) besideWent(i int, _ bool) {
	if u := &p.units[i]; u.val == missed && !p.afterItem(i) || p.outcomeAhead(i) || p.hasObject(i) {
		u.become(fillerSense, 0)
	} else {
		u.sense = outcomeSense
	}
}

func (p *parser) besideIsh(i int, _ bool) {
	if p.judged(i-1) && p.units[i-1].val == clean { // was ok-ish
		p.units[i-1].become(outcomeSense, shaky)
		p.units[i].sense = fillerSense
	}
}

func (p *parser) besideFiller(i int, _ bool) {
	switch u := &p.units[i]; {
	case u.val == endFiller && p.tellsWhere(i):
		u.become(plainSense, 0)
	case u.val == haveFiller && p.clauseBegins(i) && p.unit(i+1, minutesSense) && (p.ends(i+2) || p.unit(i+2, dateSense) && p.ends(i+3)): // j'ai 20 min
		u.become(hedgeSense, 0)
	case u.val == already && p.namesItem(i-1) && (p.ends(i+1) || p.unit(i+1, andSense)): // little tug ya
		u.become(outcomeSense, done)
	}
}

// tellsWhere reports whether "at the end", at unit i, tells where an item went so: "3 shaky at the end",
// "3 clean, at the end", "3 war am Ende unsicher".
func (p *parser) tellsWhere(i int) bool {
	switch {
	case !p.ends(i + 1):
		return p.has(i+1, outcomeSense, shaky) && p.itemIn(i) && !p.unit(i-1, breakSense)
	case p.unit(i-1, breakSense):
		return p.judged(i - 2)
	}
	return p.unit(i-1, outcomeSense) && p.units[i-1].val != clean
}

func (p *parser) besideSorry(i int, _ bool) {
	switch u := &p.units[i]; {
	case u.val == hesitation && !p.repairs(i):
		u.become(fillerSense, 0)
	case p.wrongOf(i):
		u.become(plainSense, 0)
	case u.val == ofAnotherDay: // that was fun
		u.become(fillerSense, 0)
	}
}

func (p *parser) besideInstead(i int, _ bool) {
	switch u := &p.units[i]; {
	case p.wrongOf(i):
		u.become(plainSense, 0)
	case p.deniesPain(i): // todo bien y no me duele nada
		u.become(notSense, 0)
	}
}

// wrongOf reports whether what is called wrong at unit i is something in the music: "92, me equivoqué de
// tono", "92: wrong transposition".
func (p *parser) wrongOf(i int) bool {
	return p.ctx.Last == nil && p.itemIn(i) && (p.clauseBegins(i) || p.unit(i-1, colonSense)) && (p.unit(i+1, ofSense) || p.remarked(i+1)) && !p.valued(i+2)
}

// besideNo makes an "and" of a "no" that is only an "n": "slurs n scales", "60 n messy", "7 n 8".
func (p *parser) besideNo(i int, _ bool) {
	u := &p.units[i]
	if u.end != u.start+1 || i == 0 {
		return
	}
	items := p.namesItem(i-1) && p.namesItem(i+1) && p.nextOutcome(i+1) && p.units[i+2].end > p.units[i+2].start+1
	if items || p.deniesPain(i) || p.unit(i-1, bodySense) || p.outcomeNext(i) || p.nextName(i) {
		u.become(andSense, 0)
	}
}

func (p *parser) besideNumber(i int, named bool) {
	u, next := &p.units[i], i+1
	if p.unit(next, itemsSense) && p.units[next].val != byNumber && u.x > 1 && u.x == float64(p.units[next].items.count()) && p.unit(i-1, exceptSense, articleSense) { // all but the two etudes
		u.sense, u.role = articleSense, "how many there are"
		return
	}
	p.besideValue(i, named)
}

// besideValue sets a value aside that is taken back for another: "60 no, 50 min".
func (p *parser) besideValue(i int, _ bool) {
	refused := p.refused(i)
	if refused || p.retracted(i) {
		p.units[i].aside(wrongRole)
	}
	if refused {
		p.units[i+1].become(sorrySense, 0)
	}
}

func (p *parser) besideAt(i int, _ bool) {
	if p.clauseBegins(i) && p.namesItem(i+1) && p.tempoAfter(i+1) { // bei 2 hatte ich 120
		p.units[i].sense = articleSense
	}
}

// tempoAfter reports whether a number that is no item's stands after unit i, with no more
// than small words between.
func (p *parser) tempoAfter(i int) bool {
	next := p.past(i+1, fillerSense)
	return next > i+1 && (p.unit(next, tempoSense) || p.unit(next, numSense) && !p.isItem(p.units[next].x))
}

func (p *parser) besideLater(i int, _ bool) {
	if p.ctx.Last != nil && p.valued(i+1) && !p.namesItem(i+1) && !p.unit(i+1, minutesSense) { // el 2 iba a 100
		p.units[i].become(fillerSense, 0)
	}
}

// besideLess makes shaky what takes away from a good word, "presque nickel", "moins propre", and clean
// what takes away a fault, "sans une seule faute".
func (p *parser) besideLess(i int, _ bool) {
	u := &p.units[i]
	if u.sense == exceptSense && u.val != less && p.faultless(i) {
		u.become(fillerSense, 0)
		return
	}
	good := p.goodAfter(i)
	if good == 0 || u.sense == aboutSense && u.val != almost {
		return
	}
	p.units[good].become(outcomeSense, shaky)
	u.become(fillerSense, 0)
	if p.unit(i-1, allSense) { // tout sauf propre
		p.units[i-1].sense = fillerSense
	}
}

func (p *parser) besideExcuse(i int, _ bool) {
	if p.isEvent(i) && p.toCome(i) {
		p.asideEvent(i)
	}
}

// goodAfter returns the unit after unit i that judges something to be good, with no more
// than small words between, or 0.
func (p *parser) goodAfter(i int) int {
	i = p.past(i+1, fillerSense, articleSense, ofSense)
	if p.judged(i) && p.units[i].val == clean {
		return i
	}
	return 0
}

// faultless reports whether "without" at unit i takes away what went badly, "sans une seule
// faute", and makes it clean.
func (p *parser) faultless(i int) bool {
	for end := i + reach/2; i < end; {
		i++
		switch u := &p.units[min(i, len(p.units)-1)]; {
		case p.unit(i, articleSense, fillerSense, oneSense, onlySense):
		case p.unit(i, outcomeSense) && (u.val == shaky || u.val == missed) && !p.phrased(i):
			u.val = clean
			return true
		default:
			return false
		}
	}
	return false
}

// outcomeAhead reports whether an outcome stands after unit i in its clause.
func (p *parser) outcomeAhead(i int) bool {
	for end := min(i+reach, len(p.units)); i+1 < end && !p.ends(i+1); {
		i++
		switch p.units[i].sense {
		case outcomeSense, fineSense, wentSense:
			return !p.nextRef(i)
		case itemsSense, numSense, rangeSense, othersSense, restSense, butSense:
			return false
		}
		if p.divides(i) {
			return false
		}
	}
	return false
}
