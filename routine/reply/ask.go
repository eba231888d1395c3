package reply

import (
	"strconv"
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
		r.Ask = append(r.Ask, Question{About: "item ?", Choices: p.itemChoices(p.every(), &s.loose)})
	}
	if s.unsure > 0 {
		r.Ask = append(r.Ask, Question{About: "minutes", Choices: p.numberChoices(s.unsure)})
	}
	if s.badDay {
		r.Ask = append(r.Ask, Question{About: "day", Choices: p.dayChoices()})
	}
	if s.doubt && !s.pain {
		r.Ask = append(r.Ask, Question{About: "pain", Choices: []Choice{{"yes, it hurts", "pain"}, {"no pain", "no pain"}}})
	}
	if len(r.Ask) > 0 {
		r.Items = book.list()
	}
}

func asked(r *Reading, about string) bool {
	for _, q := range r.Ask {
		if q.About == about {
			return true
		}
	}
	return false
}

// askItem asks about a saying that can be read in more than one way.
func (p *parser) askItem(r *Reading, book *ledger, y *saying) {
	if y.vague {
		if !asked(r, "item ?") {
			r.Ask = append(r.Ask, Question{About: "item ?", Choices: p.itemChoices(y.items, y)})
		}
		return
	}
	if y.who != named || y.mentioned() && y.painful {
		return
	}
	for n := 1; n <= p.count(); n++ {
		if !y.items.has(n) {
			continue
		}
		choices := p.doubts(n, y)
		if choices != nil {
			r.Ask = append(r.Ask, Question{About: "item " + strconv.Itoa(n), Choices: choices})
			book[n] = Item{}
		}
	}
}

// doubts returns the ways in which what a saying says of item n can be meant, or
// nil if there is only one.
func (p *parser) doubts(n int, y *saying) []Choice {
	plain := *y
	plain.clash, plain.other = false, 0
	switch {
	case y.mentioned():
		played, not := plain, plain
		played.outcome, not.outcome = done, skipped
		return p.choices(n, played, not)
	case y.clash:
		other := plain
		if y.tempo2.sense != unknown {
			other.tempo = y.tempo2
		}
		if y.other2 > 0 {
			other.outcome = y.other2 - 1
		}
		return p.choices(n, plain, other)
	case y.other > 0:
		tempo, minutes := plain, plain
		tempo.tempo = mark{sense: tempoSense, x: float64(y.other), firm: true}
		minutes.minutes = y.other
		if !p.canPlay(n, tempo.tempo, slowestSaid, fastestSaid) {
			return p.choices(n, minutes, plain)
		}
		return p.choices(n, tempo, minutes)
	case y.tempo.sense != unknown && !p.canPlay(n, y.tempo, slowestSaid, fastestSaid):
		return p.farTempo(n, plain)
	}
	return nil
}

// farTempo offers readings of a tempo that the item can't have been played at:
// the same number in the item's own note value, or none.
func (p *parser) farTempo(n int, y saying) []Choice {
	none, own := y, y
	none.tempo = mark{}
	own.tempo.note = 0
	if y.tempo.note != 0 && p.canPlay(n, own.tempo, slowestSaid, fastestSaid) {
		return p.choices(n, own, none)
	}
	return p.choices(n, none)
}

// choices makes a choice of each saying about item n.
func (p *parser) choices(n int, ways ...saying) []Choice {
	out := make([]Choice, 0, len(ways))
	for i := range ways {
		var book ledger
		ways[i].clash = false
		p.enter(&book, n, &ways[i])
		book.assume(Report)
		text := itemText(book[n])
		out = append(out, Choice{Label: text, Text: text})
	}
	return out
}

// itemChoices offers the first of the items that a saying can be about.
func (p *parser) itemChoices(items itemSet, y *saying) []Choice {
	var out []Choice
	plain := *y
	plain.vague, plain.who = false, named
	for n := 1; n <= p.count() && len(out) < maxChoices; n++ {
		if items.has(n) && p.doubts(n, &plain) == nil {
			out = append(out, p.choices(n, plain)...)
		}
	}
	return out
}

// numberChoices offers what a bare number can be: minutes, an item, a tempo.
func (p *parser) numberChoices(x int) []Choice {
	number := strconv.Itoa(x)
	out := []Choice{{number + " min", number + " min"}}
	if p.item(x) != nil {
		return append(out, Choice{"item " + number, "item " + number + " done"})
	}
	near := p.nearest(mark{x: float64(x)})
	y := saying{outcome: done, tempo: mark{sense: tempoSense, x: float64(x)}}
	return append(out, p.itemChoices(near, &y)[:min(2, len(p.itemChoices(near, &y)))]...)
}

// dayChoices offers today and yesterday for a day that can't be known.
func (p *parser) dayChoices() []Choice {
	today, before := p.ctx.Today.String(), (p.ctx.Today - 1).String()
	return []Choice{{today, today}, {before, before}}
}
