package routine

import (
	"cmp"
	"slices"
)

// arrange puts the chosen items in playing order: skill by skill, and within a
// skill in the order of the plan and of the lines, with strenuous items where
// softer ones part them, as late as can be.
func (b *builder) arrange(s solution) []pick {
	picks := slices.Clone(s.picks)
	slices.SortStableFunc(picks, func(p, q pick) int {
		c, d := &b.candidates[p.id], &b.candidates[q.id]
		return cmp.Or(
			cmp.Compare(b.entries[c.entry].block, b.entries[d.entry].block),
			cmp.Compare(strain(c.hard), strain(d.hard)),
			cmp.Compare(b.entries[c.entry].skill, b.entries[d.entry].skill),
			cmp.Compare(p.id, q.id),
		)
	})
	order := make([]pick, 0, len(picks))
	afterHard := !s.cold
	for from := 0; from < len(picks); {
		to := from + 1
		for to < len(picks) && b.block(picks[to]) == b.block(picks[from]) {
			to++
		}
		soft := from
		for soft < to && !b.candidates[picks[soft].id].hard {
			soft++
		}
		order = weave(order, b.interleave(picks[from:soft]), b.interleave(picks[soft:to]), afterHard)
		afterHard = b.candidates[order[len(order)-1].id].hard
		from = to
	}
	return order
}

func (b *builder) block(p pick) int { return b.entries[b.candidates[p.id].entry].block }

// weave appends softer and strenuous items to order so that no two strenuous
// ones are neighbours: first between softer items, from the end, then before
// them, unless afterHard, and last after them.
func weave(order, soft, hard []pick, afterHard bool) []pick {
	between := min(len(hard), max(0, len(soft)-1))
	before := min(len(hard)-between, 1)
	if afterHard || len(soft) == 0 {
		before = 0
	}
	if before == 1 {
		order, hard = append(order, hard[0]), hard[1:]
	}
	for i, p := range soft {
		order = append(order, p)
		if left := len(soft) - 1 - i; len(hard) > 0 && left <= between && left > 0 {
			order, hard = append(order, hard[0]), hard[1:]
		}
	}
	return append(order, hard...)
}

// interleave lets the studies that the plan interleaves take turns; the others
// keep their places.
func (b *builder) interleave(picks []pick) []pick {
	var places []int
	var turns []pick
	turn := map[int]int{} // of each turns item, by candidate
	count := map[int]int{}
	for i, p := range picks {
		entry := b.candidates[p.id].entry
		if b.entries[entry].plan.Interleave {
			places, turns = append(places, i), append(turns, p)
			turn[p.id] = count[entry]
			count[entry]++
		}
	}
	slices.SortStableFunc(turns, func(p, q pick) int { return cmp.Compare(turn[p.id], turn[q.id]) })
	for i, place := range places {
		picks[place] = turns[i]
	}
	return picks
}
