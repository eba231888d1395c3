package trial

import (
	"cmp"
	"slices"

	"ledgerline/routine"
)

// sheets takes lines off the page without asking what they need. An item is made
// of a line as the builder would make it, by the same ladder and of the same
// length, so that nothing but the choice and the order differ.
type sheets struct {
	Policy
	scenario *Scenario
	seed     uint64

	next  int    // place of the unit to begin with, in the order of the books
	from  []int  // by item of the day: place of its unit, or -1 for one of the frame
	frame [2]int // warm-ups and warm-downs begun with so far
}

// A unit is what stands together on the page: the lines that make one item, by
// number, of one entry of the plan.
type unit struct {
	entry int
	lines []int
	open  []int // those to be played: not passed, or all once every line has
}

func (p *sheets) stopped(played int) {
	for _, at := range p.from[:played] {
		if at >= 0 {
			p.next = at + 1
		}
	}
}

func (p *sheets) set(in routine.Input, minutes int) routine.Routine {
	units := p.units(&in)
	in.History = withoutStrain(in.History)
	r := routine.Routine{Date: in.Date, Number: 1}
	p.from = p.from[:0]
	var end []routine.Item
	if p.Framed {
		p.add(&r, p.framing(in, units, routine.WarmUp), -1, minutes)
		end = p.framing(in, units, routine.WarmDown)
	}
	left := minutes - minutesOf(end)
	if p.Reviewed {
		p.add(&r, reviews(in), -1, left)
	}
	for _, at := range p.order(len(units), in.Date) {
		if p.Framed && framed(&in, units[at]) {
			continue
		}
		if !p.add(&r, p.itemsOf(in, units[at].entry, units[at].open, units[at].open), at, left) {
			break
		}
	}
	p.add(&r, end, -1, minutes)
	return r
}

// add appends items to the routine, as long as there are minutes; it reports
// whether there were enough.
func (p *sheets) add(r *routine.Routine, items []routine.Item, at, minutes int) bool {
	for _, it := range items {
		it, ok := fitted(it, minutes-r.Minutes)
		if !ok {
			return false
		}
		it.N = len(r.Items) + 1
		r.Minutes += it.Minutes + it.Rest
		r.Items = append(r.Items, it)
		p.from = append(p.from, at)
	}
	return true
}

func minutesOf(items []routine.Item) int {
	sum := 0
	for _, it := range items {
		sum += it.Minutes + it.Rest
	}
	return sum
}

// framing returns what the day begins or ends with: the plan's warm-ups, or
// warm-downs, in turn.
func (p *sheets) framing(in routine.Input, units []unit, skill routine.Skill) []routine.Item {
	units = slices.DeleteFunc(slices.Clone(units), func(u unit) bool { return skillOf(&in, u) != skill })
	if len(units) == 0 {
		return nil
	}
	turn := &p.frame[0]
	if skill == routine.WarmDown {
		turn = &p.frame[1]
	}
	u := units[*turn%len(units)]
	*turn++
	return p.itemsOf(in, u.entry, u.lines, u.unpassed(&in))
}

// unpassed returns the lines of the unit that have not passed.
func (u *unit) unpassed(in *routine.Input) []int {
	e := &in.Plan.Entries[u.entry]
	return slices.DeleteFunc(slices.Clone(u.lines), func(n int) bool {
		return in.Standings[routine.StandingKey{Line: e.Study.Line(n), Pass: e.Pass}].State == routine.Passed
	})
}

// reviews returns the reviews that are due, as the builder would make them.
func reviews(in routine.Input) []routine.Item {
	var items []routine.Item
	for _, e := range in.Plan.Entries {
		for pass := 1; pass <= e.Pass; pass++ {
			lines := due(&in, e.Study, pass)
			for more := true; more && len(lines) > 0; {
				e.Pass, e.Lines, e.Pinned = pass, lines, nil
				in.Plan.Entries = []routine.PlanEntry{e}
				more = false
				for _, it := range routine.Build(in).Items {
					if it.Review {
						items, lines, more = append(items, it), without(lines, it.Lines), true
					}
				}
			}
		}
	}
	return items
}

// due returns the lines of a study whose review in a pass is due.
func due(in *routine.Input, study routine.StudyRef, pass int) []int {
	var lines []int
	for _, l := range in.Catalogue.Study(study).Lines {
		s := in.Standings[routine.StandingKey{Line: study.Line(l.Number), Pass: pass}]
		if s.State == routine.Passed && s.Due <= in.Date {
			lines = append(lines, l.Number)
		}
	}
	return lines
}

func skillOf(in *routine.Input, u unit) routine.Skill {
	return in.Catalogue.Study(in.Plan.Entries[u.entry].Study).Skill
}

func framed(in *routine.Input, u unit) bool {
	s := skillOf(in, u)
	return s == routine.WarmUp || s == routine.WarmDown
}

// order returns the places of the units in the order of the day.
func (p *sheets) order(units int, date routine.Date) []int {
	if p.Order == Random {
		return draw(p.seed, ofOrder, "", int(date)).Perm(units)
	}
	order := make([]int, units)
	for i := range order {
		order[i] = (p.next + i) % units
	}
	return order
}

// units returns the units of the plan in the order of the books. Places don't
// move as lines pass: a unit is then without lines.
func (p *sheets) units(in *routine.Input) []unit {
	var units []unit
	open := 0
	for _, b := range in.Catalogue.Books {
		for i := range b.Studies {
			entry := slices.IndexFunc(in.Plan.Entries, func(e routine.PlanEntry) bool {
				return e.Study == routine.StudyRef{Book: b.ID, Study: b.Studies[i].Number}
			})
			if entry >= 0 {
				together := cmp.Or(in.Plan.Entries[entry].Together, b.Studies[i].Together)
				units = append(units, p.unitsOf(in, entry, together)...)
			}
		}
	}
	for i := range units {
		u := &units[i]
		u.open = u.unpassed(in)
		open += len(u.open)
	}
	for i := range units {
		if open == 0 {
			units[i].open = units[i].lines
		}
	}
	return units
}

func (p *sheets) unitsOf(in *routine.Input, entry, together int) []unit {
	var units []unit
	last := -1
	study := in.Catalogue.Study(in.Plan.Entries[entry].Study)
	for _, g := range p.scenario.goals(&in.Plan.Entries[entry]) {
		set := slices.IndexFunc(study.Lines, func(l routine.Line) bool { return l.Number == g.line.Number }) / together
		if set != last {
			units = append(units, unit{entry: entry})
			last = set
		}
		u := &units[len(units)-1]
		u.lines = append(u.lines, g.line.Number)
	}
	return units
}

// withoutStrain hides from the builder which days were hard, so that it keeps
// nothing away from a player who does not heed it.
func withoutStrain(h routine.History) routine.History {
	h.Days = slices.Clone(h.Days)
	for i := range h.Days {
		h.Days[i].Hard, h.Days[i].Strenuous = false, 0
	}
	return h
}

// itemsOf has the builder make items of the given lines of an entry and of
// nothing else; those pinned come even if they have passed. It leaves out a
// strenuous one beside another, so it is asked again until there is no more to
// come.
func (p *sheets) itemsOf(in routine.Input, entry int, lines, pins []int) []routine.Item {
	entries := slices.Clone(in.Plan.Entries)
	for i := range entries {
		entries[i].Hold = i != entry
	}
	e := &entries[entry]
	in.Plan.Entries = entries
	var items []routine.Item
	for more := true; more && len(lines) > 0; {
		e.Lines, e.Pinned = lines, pins
		x := routine.Explain(in)
		more = false
		for i, it := range x.Routine.Items {
			if it.Pass != e.Pass || !slices.Contains(lines, it.Lines[0].Line) {
				continue // a review of an earlier pass
			}
			items = append(items, atLength(it, max(x.Candidates[i].Minutes, p.least(x.Budget))))
			lines, pins = without(lines, it.Lines), without(pins, it.Lines)
			more = true
		}
	}
	return items
}

// least returns the least minutes of an item on a day with the given budget, as
// the builder has it: sixteen items of the shortest kind, with their rest, fill a
// day.
func (p *sheets) least(budget int) int {
	const mostItems, longest = 16, 10
	if p.Short {
		return shortest
	}
	return min(longest, max(shortest, (budget+2*mostItems-1)/(2*mostItems)))
}

// shortest is the least playing minutes of an item.
const shortest = 2

// atLength returns the item with other playing minutes and the rest that the
// builder gives after so many: as long as the item, or half of it where that was
// enough.
func atLength(it routine.Item, minutes int) routine.Item {
	rest := minutes
	if it.Rest < it.Minutes {
		rest = (minutes + 1) / 2
	}
	it.Minutes, it.Rest = minutes, rest
	return it
}

// fitted returns the item shortened to the minutes left, if that leaves enough of
// it.
func fitted(it routine.Item, left int) (routine.Item, bool) {
	for it.Minutes+it.Rest > left {
		if it.Minutes <= shortest {
			return it, false
		}
		it = atLength(it, it.Minutes-1)
	}
	return it, true
}

func without(lines []int, refs []routine.LineRef) []int {
	return slices.DeleteFunc(slices.Clone(lines), func(n int) bool {
		return slices.ContainsFunc(refs, func(r routine.LineRef) bool { return r.Line == n })
	})
}
