package routine

import (
	"cmp"
	"slices"
)

// Points of the score. A line in the first place of the plan, four minutes
// long, is worth due when its turn comes: a whole cycle after it came last.
const (
	due = 100_000

	pinnedWorth = 50_000_000 // above anything a day can hold besides
	minuteWorth = 10_000_000 // above anything but pinned items

	shakyWorth   = 90_000 // a shaky line that comes back at once
	missedWorth  = 110_000
	reviewWorth  = 60_000 // a review on the day it falls due; twice that at the end of its band
	relapseWorth = 80_000
	goalWorth    = 100_000 // a line that is at the goal, besides its turn: a clean day or two and it has passed

	turnBonus   = 150_000 // each item that a study needs today for its cycle to close
	warmUpBonus = 300_000 // the first warm-up
	moreCost    = 5_000   // each further item of a study for the same reason, rising
	coldCost    = 500_000 // beginning with a strenuous item though a softer one is there
)

// usualLength is the playing minutes of an item to which the points refer.
// Worth grows with the mean length of a study's items, so that long pieces are
// not crowded out by many short lines; within a study it is the time waited that
// counts.
const usualLength = 4

// lengthWorth is what a shortened and a full item are worth, per thousand.
var lengthWorth = [...]int{880, 1000}

// weigh gives the candidate its lengths and what they are worth. Of its bucket,
// before holds those that have waited longer, or as long and stand earlier in
// the study, and mean is its mean length.
func (b *builder) weigh(c *candidate, before []int, mean int) {
	e := &b.entries[c.entry]
	c.worth = b.worth(c, b.crowded(before, c)) * e.importance / 1000 * mean / usualLength
	from := len(b.lengths)
	b.lengths = lengthsOf(b.lengths, c.full, b.least(c))
	c.lengths = b.lengths[from:]
	for i := range c.lengths {
		l := &c.lengths[i]
		l.cost = l.minutes + restAfter(e.study.Skill, *c.lines[0].demands, c.hard, l.minutes)
		l.worth = c.worth * l.worth / 1000
		switch c.kind {
		case pinned:
			l.worth += pinnedWorth
		case minute:
			l.worth += minuteWorth
		}
	}
}

// worth returns the points of a candidate of the first place and usual length.
func (b *builder) worth(c *candidate, crowded bool) int {
	turn := c.lines[0].pieceWorth() + turnWorth(b.waitedMilli(c, crowded), b.entries[c.entry].study.Cycle)
	switch first := &c.lines[0]; {
	case c.kind == again && first.outcome == Missed:
		return missedWorth + turn
	case c.kind == again:
		return shakyWorth + turn
	case c.kind == relapse:
		return relapseWorth + turn
	case c.kind == review:
		return b.reviewWorth(first.stand)
	}
	if c.lines[0].stand.State == AtTempo {
		return turn + goalWorth
	}
	return turn
}

// turnWorth grows with the time a line has waited, in thousandths of a day:
// evenly until its cycle is over, then ever less steeply, so that one study long
// neglected does not push out all others.
func turnWorth(waitedMilli, cycle int) int {
	const most = 20 * due
	x := min(most, due*max(0, waitedMilli)/(1000*cycle))
	switch {
	case x <= due:
		return x
	case x <= 2*due:
		return due + (x-due)/2
	}
	return due + due/2 + (x-2*due)/20
}

// reviewWorth grows from the day the review falls due through its band, a
// quarter of the gap that is tested, and slowly after it.
func (b *builder) reviewWorth(s *Standing) int {
	const later = 1000 // a day
	late := int(b.in.Date - s.Due)
	band := max(1, int(s.Due-s.Last)/4)
	return reviewWorth + reviewWorth*min(late, band)/band + later*min(60, max(0, late-band))
}

// waitedMilli returns how long the candidate has waited in thousandths of a
// day, less what makes it better to wait a little longer. That is less than a
// day in all, so a line that has waited longer keeps its precedence:
//
//   - half a day if its key was played yesterday, and less for each day since;
//   - three tenths if it is crowded;
//   - a tenth, at most, to settle ties by the seed and the date.
func (b *builder) waitedMilli(c *candidate, crowded bool) int {
	l := &c.lines[0]
	milli := 1000 * c.age()
	if last := b.keyLast[l.line.Key]; last != 0 {
		milli -= max(0, 600-100*int(max(1, b.in.Date-last)))
	}
	if crowded {
		milli -= 300
	}
	return milli - int(b.tie(c)%100)
}

// tie returns a number that only the seed, the date and the line decide, by the
// finalizer of SplitMix64 (Steele, Lea and Flood 2014; constants from memory).
func (b *builder) tie(c *candidate) uint64 {
	x := b.in.Seed ^ uint64(b.in.Date)<<32 ^ uint64(c.entry)<<16 ^ uint64(c.lines[0].line.Number)
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	return x ^ x>>31
}

// A bucket holds the candidates of one study that come for one reason with the
// same strain.
type bucket struct {
	block int
	hard  bool
	items []int // indices of candidates, those worth most first
	bonus []int // points for the first, second, … chosen; no more are
}

// weighAll gives every candidate its worth and sorts them into buckets, in the
// order of playing, soft before strenuous.
func (b *builder) weighAll() {
	order := make([]int, len(b.candidates))
	for i := range order {
		order[i] = i
		c := &b.candidates[i]
		c.full = b.fullLength(c)
	}
	slices.SortFunc(order, b.compare)
	b.lengths = make([]length, 0, len(lengthWorth)*len(order))
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && b.sameBucket(order[from], order[to]) {
			to++
		}
		b.fill(order[from:to])
		from = to
	}
}

// compare orders candidates by bucket, and within one by how long they waited.
func (b *builder) compare(i, j int) int {
	c, d := &b.candidates[i], &b.candidates[j]
	return cmp.Or(
		cmp.Compare(b.entries[c.entry].block, b.entries[d.entry].block),
		cmp.Compare(strain(c.hard), strain(d.hard)),
		cmp.Compare(c.entry, d.entry),
		cmp.Compare(c.kind, d.kind),
		cmp.Compare(d.age(), c.age()),
		cmp.Compare(i, j),
	)
}

func (b *builder) sameBucket(i, j int) bool {
	c, d := &b.candidates[i], &b.candidates[j]
	return c.entry == d.entry && c.kind == d.kind && c.hard == d.hard
}

// fill makes a bucket of candidates, given by index, longest waiting first.
func (b *builder) fill(items []int) {
	c := &b.candidates[items[0]]
	milli := b.turnsNeeded(c, len(items))
	if c.kind == rotation {
		items = b.newInOrder(items, ceilDiv(milli, 1000))
	}
	mean := b.meanLength(items)
	for n, i := range items {
		b.weigh(&b.candidates[i], items[:n], mean)
	}
	slices.SortStableFunc(items, func(i, j int) int {
		return cmp.Compare(b.candidates[j].worth, b.candidates[i].worth)
	})
	k := bucket{block: b.entries[c.entry].block, hard: c.hard, items: items}
	k.bonus = b.bonuses(c.kind, items, milli, mean)
	if k.block == WarmUp.Place() && len(b.buckets) == 0 {
		k.bonus[0] += warmUpBonus
	}
	b.buckets = append(b.buckets, k)
}

// newInOrder leaves out new lines after the first few: they come in the order
// of the study, and no more of them a day than its cycle needs.
func (b *builder) newInOrder(items []int, most int) []int {
	kept := items[:0]
	for _, i := range items {
		c := &b.candidates[i]
		if !c.lines[0].fresh {
			kept = append(kept, i)
		} else if most--; most >= 0 {
			kept = append(kept, i)
		} else {
			b.refuseAll(c, Reason{Kind: OthersComeFirst})
		}
	}
	return kept
}

func (b *builder) refuseAll(c *candidate, why Reason) {
	for i := range c.lines {
		l := &c.lines[i]
		b.keepOut(refusal{b.entries[c.entry].plan.Study, l.line.Number, l.pass, why})
	}
}

// crowded reports whether one of the candidates before has the key of c.
func (b *builder) crowded(before []int, c *candidate) bool {
	key := c.lines[0].line.Key
	return key != "" && slices.ContainsFunc(before, func(j int) bool {
		return b.candidates[j].lines[0].line.Key == key
	})
}

// bonuses returns the points for each further candidate chosen of a bucket.
// milli is how many items in rotation a day needs, in thousandths, and mean
// their mean length.
func (b *builder) bonuses(k kind, items []int, milli, mean int) []int {
	most := 3
	if b.day.missed {
		most = 1
	}
	switch k {
	case pinned, minute:
		return make([]int, len(items))
	case rotation:
		return b.turnBonuses(items, milli, mean)
	case upkeep:
		return make([]int, 1)
	case prelude:
		return make([]int, min(2, len(items)))
	}
	bonus := make([]int, min(most, len(items)))
	for n := range bonus {
		bonus[n] = -n * moreCost
	}
	return bonus
}

// turnBonuses rewards as many items as the cycle needs today, the last of them
// in part if it needs it on some days only. Two more may come if there is time
// and they are well on in their cycle, but not after a day that was missed: all
// lines are then further on, and what was missed is not caught up.
func (b *builder) turnBonuses(items []int, milli, mean int) []int {
	more := 2
	if b.day.missed {
		more = 0
	}
	need, late := ceilDiv(milli, 1000), b.late(items)
	e := &b.entries[b.candidates[items[0]].entry]
	full := turnBonus * e.importance / 1000 * mean / usualLength
	bonus := make([]int, min(need+more, len(items)))
	for n := range bonus {
		part := max(0, min(milli-1000*n, 1000))
		if n < min(need, late) {
			part = 1000
		}
		bonus[n] = (full*part - max(1, n-need+1)*moreCost*(1000-part)) / 1000
	}
	return bonus
}

// turnsNeeded returns how many items a day, in thousandths, close the study's
// cycle in time: all those in rotation, shared out among the days in a cycle
// that are played. Of three days only two can be hard.
func (b *builder) turnsNeeded(c *candidate, ready int) int {
	e := &b.entries[c.entry]
	days := b.in.Player.playingDays(e.study.Cycle)
	if c.hard {
		days = hardDays(days)
	}
	all := ready + ceilDiv(e.resting[strain(c.hard)], e.together())
	return 1000 * all / days
}

// late counts the items whose cycle will be over by the next day that is played,
// new lines by the day their study came on the plan.
func (b *builder) late(items []int) int {
	n, next := 0, 1
	for next < 7 && !b.in.Player.plays(b.in.Date+Date(next)) {
		next++
	}
	for _, i := range items {
		c := &b.candidates[i]
		e := &b.entries[c.entry]
		waited := c.age()
		if c.lines[0].fresh && e.plan.Since != 0 {
			waited = int(b.in.Date - e.plan.Since)
		}
		if waited+next >= e.study.Cycle {
			n++
		}
	}
	return n
}

// meanLength returns the mean of the full lengths of items, rounded down, and no
// less than the shortest; of strenuous items no less than the usual one, because
// strain, not minutes, leaves room for few of them.
func (b *builder) meanLength(items []int) int {
	least := shortest
	if b.candidates[items[0]].hard {
		least = usualLength
	}
	sum := 0
	for _, i := range items {
		sum += b.candidates[i].full
	}
	return max(least, sum/len(items))
}
