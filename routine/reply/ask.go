package reply

import (
	"slices"
	"sort"
	"strconv"
	"strings"
)

// maxChoices is how many answers a question offers.
const maxChoices = 3

// ask adds the questions that the sheet leaves open, and takes what is asked
// about out of the items.
func (p *parser) ask(r *Reading, book *ledger) {
	s := &p.sheet
	for i := range s.says {
		p.askItem(r, book, &s.says[i])
	}
	if s.noItem && !asked(r, "item ?") {
		p.put(r, "item ?", p.itemChoices(r, p.every(), &s.loose, &ledger{}))
	}
	if s.unsure > 0 {
		p.put(r, "minutes", p.numberChoices(r, s.unsure))
	}
	if s.doubt && !s.pain {
		p.put(r, "pain", []Choice{{"yes, it hurts", r.head() + "pain"}, {"no pain", r.head() + "no pain"}})
	}
	for _, about := range s.unclear {
		p.put(r, about, nil)
	}
	p.askStray(r)
	if len(r.Ask) > 0 {
		r.Items = book.list()
	}
	if s.badDay && !r.empty() {
		p.put(r, "day", p.dayChoices(*r))
	}
}

// put adds a question to the reading.
func (p *parser) put(r *Reading, about string, choices []Choice) {
	r.Ask = append(r.Ask, Question{About: about, Choices: choices})
}

func asked(r *Reading, about string) bool {
	return slices.ContainsFunc(r.Ask, func(q Question) bool { return q.About == about })
}

// askItem asks about a saying that can be read in more than one way.
func (p *parser) askItem(r *Reading, book *ledger, y *saying) {
	if y.vague && y.bare() && y.items != 0 && y.items&^p.sheet.told == 0 { // Thirds: Eb 90 clean, B 80 clean
		return
	}
	if y.vague {
		if !asked(r, "item ?") {
			p.put(r, "item ?", p.itemChoices(r, y.items, y, book))
		}
		for n := 1; n <= p.count(); n++ {
			if y.items.has(n) && !p.sheet.told.has(n) {
				book[n] = Item{}
			}
		}
		return
	}
	if y.mentioned() && y.bodily {
		return
	}
	for n := 1; n <= p.count(); n++ {
		if !y.items.has(n) || p.sheet.asked.has(n) || y.mentioned() && p.sheet.told.has(n) {
			continue
		}
		var choices []Choice
		if y.against.has(n) {
			choices = p.bothWays(r, n)
		} else if ways := p.doubts(n, y); ways != nil {
			choices = p.choices(r, n, ways)
		}
		if choices != nil {
			p.put(r, "item "+strconv.Itoa(n), choices)
			p.sheet.asked.add(n)
			book[n] = Item{}
		}
	}
}

// bothWays offers what each saying that names item n says of it.
func (p *parser) bothWays(r *Reading, n int) []Choice {
	var ways []saying
	for _, y := range p.sheet.says {
		if len(ways) == maxChoices {
			break
		}
		if y.items.has(n) && !y.vague && !y.bare() {
			ways = append(ways, y)
		}
	}
	return p.choices(r, n, ways)
}

// doubts returns the ways in which what a saying says of item n can be meant, or
// nil if there is only one.
func (p *parser) doubts(n int, y *saying) []saying {
	plain := *y
	switch {
	case y.mentioned(), y.unlikely(), p.doubtful(y):
		played, left := plain, plain
		played.outcome, left.outcome = done, skipped
		return []saying{played, left}
	case p.oddWord(y):
		well, badly := plain, plain
		well.outcome, badly.outcome = clean, shaky
		return []saying{well, badly, plain}
	case y.clash():
		return []saying{plain, y.otherWay()}
	case y.other > 0:
		tempo, minutes := plain, plain
		tempo.tempo = mark{sense: tempoSense, x: float64(y.other), firm: true}
		minutes.minutes = y.other
		if !p.reaches(n, tempo.tempo) {
			tempo.tempo.sure = true
			return []saying{tempo, minutes, plain}
		}
		return []saying{tempo, minutes}
	case y.tempo.sense != unknown && !p.reaches(n, y.tempo):
		return p.farTempo(n, plain)
	}
	return nil
}

// oddWord reports whether one word that is not understood is all that tells how the items
// went: "3 at 88 lekker".
func (p *parser) oddWord(y *saying) bool {
	if y.outcome >= 0 || y.quoted || y.only || y.excluded || y.count.sense != unknown || p.kind() == Correction {
		return false
	}
	words := p.unitsIn(y.remark)
	return len(words) == 1 && words[0].sense == unknown
}

// unitsIn returns the units of a stretch of the text.
func (p *parser) unitsIn(s span) []mark {
	from := sort.Search(len(p.units), func(i int) bool { return p.units[i].start >= s.start })
	to := from
	for to < len(p.units) && p.units[to].end <= s.end {
		to++
	}
	return p.units[from:to]
}

// doubtful reports whether the remark of a saying has a word in it that may change
// what it says: one of denial or of an outcome, where nothing else is told, or a
// number where no tempo is: "3 still won't", "2 not with the click".
func (p *parser) doubtful(y *saying) bool {
	if y.excluded || y.quoted {
		return false
	}
	only := *y
	only.remark = span{}
	for _, u := range p.unitsIn(y.remark) {
		switch u.sense {
		case notSense, noSense, noneSense, laterSense, personSense, hedgeSense, outcomeSense:
			if only.bare() && !(u.sense == personSense && u.val == opinion) {
				return true
			}
		case numSense:
			if y.tempo.sense == unknown && p.withinReach(y.items, u.x, slowest, fastest) {
				return true
			}
		}
	}
	return false
}

// otherWay returns the saying with the second of two outcomes or tempi.
func (y *saying) otherWay() saying {
	other := *y
	if y.tempo2.sense != unknown {
		other.tempo = y.tempo2
	}
	if y.count2.sense != unknown {
		other.count = y.count2
	}
	if y.other2 > 0 {
		other.outcome = y.other2 - 1
	}
	return other
}

// farTempo offers readings of a tempo that the item is hardly played at: the same
// number in the item's own note value, what was said, or no tempo.
func (p *parser) farTempo(n int, y saying) []saying {
	own, said := y, y
	own.tempo.note = 0
	said.tempo.sure = true
	if p.reaches(n, own.tempo) {
		return []saying{own, said, y}
	}
	return []saying{said, y} // choices leaves out a tempo that is out of reach
}

// choices makes a choice of each way of meaning what was said of item n.
func (p *parser) choices(r *Reading, n int, ways []saying) []Choice {
	out := make([]Choice, 0, len(ways))
	for i := range ways {
		var book ledger
		way := ways[i]
		if !p.reaches(n, way.tempo) {
			way.tempo = mark{}
		}
		p.enter(&book, n, &way)
		if (book[n] == Item{N: n}) {
			book[n].Outcome = outcomes[done]
		}
		p.assume(&book, r.Kind)
		e := book[n]
		text := itemText(e)
		e.Remark = ""
		if e.Tempo != nil {
			e.Tempo.Sure = false // said to the reader alone
		}
		out = append(out, Choice{Label: itemText(e), Text: r.head() + text})
	}
	return out
}

// itemChoices offers the first of the items that a saying can be about, and both where two
// are of the book that was named. What the ledger says of the others, as of the rest, is
// theirs then.
func (p *parser) itemChoices(r *Reading, items itemSet, y *saying, book *ledger) []Choice {
	var out []Choice
	both := Choice{Text: r.head()}
	for n := 1; n <= p.count() && len(out) < maxChoices; n++ {
		if !items.has(n) {
			continue
		}
		c := p.choices(r, n, []saying{*y})[0]
		both.Label += "; " + c.Label
		for m := 1; m <= p.count(); m++ {
			if m != n && items.has(m) && book[m].N != 0 && !p.sheet.told.has(m) {
				c.Label, c.Text = c.Label+"; "+itemText(book[m]), c.Text+"; "+itemText(book[m])
			}
		}
		out = append(out, c)
	}
	if y.ofBook && len(out) == 2 {
		both.Label = strings.TrimPrefix(both.Label, "; ")
		both.Text += both.Label
		out = append(out, both)
	}
	return out
}

// numberChoices offers what a bare number can be: minutes, an item, a tempo.
func (p *parser) numberChoices(r *Reading, x int) []Choice {
	number := strconv.Itoa(x)
	out := []Choice{{number + " min", r.head() + "total " + number + " min"}}
	if other := p.sheet.unsure2; other > 0 {
		number = strconv.Itoa(other)
		return append(out, Choice{number + " min", r.head() + "total " + number + " min"})
	}
	if p.item(x) != nil {
		return append(out, p.choices(r, x, []saying{{outcome: done}})...)
	}
	near := p.nearest(mark{x: float64(x)})
	y := saying{outcome: done, tempo: mark{sense: tempoSense, x: float64(x)}}
	out = append(out, p.itemChoices(r, near, &y, &ledger{})...)
	return out[:min(len(out), maxChoices)]
}

// dayChoices offers today and yesterday for a day that can't be known.
func (p *parser) dayChoices(r Reading) []Choice {
	r.Day = p.ctx.Today
	today := Choice{r.Day.String(), r.Canonical()}
	r.Day--
	return []Choice{today, {r.Day.String(), r.Canonical()}}
}
