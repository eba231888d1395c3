package routine

import (
	"testing"

	"pgregory.net/rapid"
)

// drawBuilder draws a small day to choose from: buckets of soft and strenuous
// candidates of a few skills, any lengths, worths and bonuses.
func drawBuilder(t *rapid.T) *builder {
	b := &builder{in: &Input{}, day: day{budget: rapid.IntRange(0, 40).Draw(t, "budget")}}
	total := 0
	for block := range rapid.IntRange(1, 3).Draw(t, "skills") {
		for strenuous := range 2 {
			for range rapid.IntRange(0, 2).Draw(t, "buckets") {
				n := min(rapid.IntRange(1, 4).Draw(t, "items"), 7-total)
				if n <= 0 {
					continue
				}
				total += n
				b.entries = append(b.entries, active{block: block, plan: &PlanEntry{}})
				b.drawBucket(t, n, strenuous == 1)
			}
		}
	}
	return b
}

func (b *builder) drawBucket(t *rapid.T, n int, hard bool) {
	entry := len(b.entries) - 1
	k := bucket{block: b.entries[entry].block, hard: hard}
	for range n {
		c := candidate{entry: entry, hard: hard, full: rapid.IntRange(2, 5).Draw(t, "full")}
		c.worth = rapid.IntRange(0, 300).Draw(t, "worth") * 1000
		easy := !hard && rapid.Bool().Draw(t, "easy")
		for _, l := range lengthsOf(nil, c.full, shortest) {
			l.cost = 2 * l.minutes
			if easy {
				l.cost = l.minutes + ceilDiv(l.minutes, 2)
			}
			l.worth = c.worth * l.worth / 1000
			c.lengths = append(c.lengths, l)
		}
		at := len(k.items)
		for at > 0 && b.candidates[k.items[at-1]].worth < c.worth {
			at--
		}
		k.items = append(k.items[:at], append([]int{len(b.candidates)}, k.items[at:]...)...)
		b.candidates = append(b.candidates, c)
	}
	bonus := 200_000
	for range rapid.IntRange(1, n).Draw(t, "most") {
		bonus -= rapid.IntRange(0, 150).Draw(t, "less") * 1000
		k.bonus = append(k.bonus, bonus)
	}
	b.buckets = append(b.buckets, k)
}

// bestByTrying returns the best score of all sets of candidates, at all
// lengths, in all orders. Nothing of it is shared with the search it checks.
func bestByTrying(b *builder) int {
	best := 0
	var chosen []pick
	var try func(id int)
	try = func(id int) {
		if id == len(b.candidates) {
			if score, ok := scoreOf(b, chosen); ok {
				best = max(best, score)
			}
			return
		}
		try(id + 1)
		for l := range b.candidates[id].lengths {
			chosen = append(chosen, pick{id, l})
			try(id + 1)
			chosen = chosen[:len(chosen)-1]
		}
	}
	try(0)
	return best
}

// scoreOf returns the score of a set of items, or that it is not allowed.
func scoreOf(b *builder, chosen []pick) (score int, ok bool) {
	minutes, anySoft := 0, false
	for _, p := range chosen {
		minutes += b.candidates[p.id].lengths[p.length].cost
		score += b.candidates[p.id].lengths[p.length].worth
	}
	for _, k := range b.buckets {
		anySoft = anySoft || !k.hard
		n := 0
		for _, id := range k.items {
			for _, p := range chosen {
				if p.id == id {
					n++
				}
			}
		}
		if n > len(k.bonus) {
			return 0, false
		}
		for _, bonus := range k.bonus[:n] {
			score += bonus
		}
	}
	if minutes > b.day.budget {
		return 0, false
	}
	switch {
	case canOrder(b, chosen, true):
		return score, true
	case canOrder(b, chosen, false) && anySoft:
		return score - coldCost, true
	case canOrder(b, chosen, false):
		return score, true
	}
	return 0, false
}

// canOrder tries all orders, skill by skill, for one without strenuous
// neighbours; afterHard says that something strenuous came before.
func canOrder(b *builder, left []pick, afterHard bool) bool {
	if len(left) == 0 {
		return true
	}
	first := b.block(left[0])
	for _, p := range left {
		first = min(first, b.block(p))
	}
	for i, p := range left {
		hard := b.candidates[p.id].hard
		if b.block(p) != first || (hard && afterHard) {
			continue
		}
		rest := append(append([]pick{}, left[:i]...), left[i+1:]...)
		if canOrder(b, rest, hard) {
			return true
		}
	}
	return false
}

// TestSolveIsExact compares the search with trying everything: the gap must be
// nothing, and the items it gives must have the score it says, in an order that
// holds.
func TestSolveIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBuilder(t)
		s := b.solve()
		if want := bestByTrying(b); s.score != want {
			t.Errorf("the search finds %d, trying everything %d", s.score, want)
		}
		if got, ok := scoreOf(b, s.picks); !ok || got != s.score {
			t.Errorf("the items chosen score %d, allowed %v; the search says %d", got, ok, s.score)
		}
		order := b.arrange(s)
		if len(order) != len(s.picks) {
			t.Fatalf("%d items in order, %d chosen", len(order), len(s.picks))
		}
		for i := 1; i < len(order); i++ {
			if b.block(order[i-1]) > b.block(order[i]) {
				t.Errorf("skill %d after %d", b.block(order[i]), b.block(order[i-1]))
			}
			if b.candidates[order[i-1].id].hard && b.candidates[order[i].id].hard {
				t.Errorf("items %d and %d are both strenuous", i, i+1)
			}
		}
	})
}
