package routine

import "slices"

// mostTurns is how many items take turns at most.
const mostTurns = 3

// turnAbout sets which items are played in turns, a minute or two of each until
// their minutes are over: two or three neighbours, of different studies that the
// plan interleaves, at the same place of the day. Strenuous items, reviews and
// minute tests stay whole, each with its own rest. The numbers and the minutes
// of items are what they would be without.
func turnAbout(items []Item, interleaves func(StudyRef) bool) {
	for from := 0; from < len(items); {
		items[from].With = nil
		to := from + 1
		for to < len(items) && to-from < mostTurns && items[to].joins(items[from:to], interleaves) {
			to++
		}
		if to-from > 1 {
			takeTurns(items[from:to])
		}
		from = to
	}
}

func takeTurns(items []Item) {
	for i := range items {
		items[i].With = nil
		for j := range items {
			if j != i {
				items[i].With = append(items[i].With, items[j].N)
			}
		}
	}
}

// joins reports whether the item may take turns with others.
func (it *Item) joins(others []Item, interleaves func(StudyRef) bool) bool {
	whole := func(it *Item) bool { return it.Hard || it.Test || it.Review || !interleaves(it.Study) }
	return !whole(it) && !whole(&others[0]) && it.Skill.Place() == others[0].Skill.Place() &&
		!slices.ContainsFunc(others, func(o Item) bool { return o.Study == it.Study })
}

// interleaves reports whether the plan lets a study's items take turns.
func (p *Plan) interleaves(study StudyRef) bool {
	return slices.ContainsFunc(p.Entries, func(e PlanEntry) bool { return e.Study == study && e.Interleave })
}
