package routine

import "math"

// A pick is a candidate chosen, at one of its lengths.
type pick struct{ id, length int }

// A solution is a best day.
type solution struct {
	picks []pick // in the order of the buckets
	score int
	cold  bool // the day may begin with something strenuous
}

// solve chooses the candidates of the day. Which sets are allowed and what they
// score is all in the buckets, the minutes and the rule of strain:
//
//   - the costs of the items chosen add up to at most the budget;
//   - of a bucket no more are chosen than it has bonuses for;
//   - items of one skill come in any order, skills in theirs, and it must be
//     possible to order them so that no two strenuous ones are neighbours;
//   - the score is the worth of the items at their lengths, plus the bonuses of
//     each bucket for as many as were chosen of it, less coldCost if the day
//     has to begin with something strenuous and need not.
//
// It is solved exactly by dynamic programming over the candidates. What the
// past choices leave behind is the minutes used, how many of the bucket were
// chosen, and the balance of the skill: strenuous items less softer ones, plus
// one if the skill before ended with a strenuous one. Alternating orders exist
// as long as the balance ends at 1 or below, and only at 1 must the skill end
// with a strenuous item. Since softer buckets come first, a balance so low that
// all strenuous items of the skill fit is as good as any lower one.
func (b *builder) solve() solution {
	t := newTable(b)
	for from := 0; from < len(b.buckets); {
		to := from + 1
		for to < len(b.buckets) && b.buckets[to].block == b.buckets[from].block {
			to++
		}
		t.skill(b.buckets[from:to])
		from = to
	}
	return t.best()
}

// impossible marks states that can't be reached; no score comes near it.
const impossible = math.MinInt32 / 2

// A table holds the scores reached so far and the steps that led there.
type table struct {
	b     *builder
	width int        // minutes of the budget, and none
	carry [2][]int32 // best score by minutes; 1: the last item was strenuous
	steps []step
}

// A step is what it takes to walk back over one stage of the table.
type step struct {
	kind  stepKind
	item  int     // chosen or not, for stepItem
	hard  bool    // the item is strenuous
	floor int     // lowest balance is -floor
	trace []uint8 // by state: what was done there
}

type stepKind uint8

const (
	stepItem   stepKind = iota // trace: 0 or the length chosen, from 1, and atFloor
	stepBucket                 // trace: how many were chosen
	stepSkill                  // trace: the balance, from 0, before the last item was forgotten
)

// atFloor marks a softer item chosen when the balance was at its lowest.
const atFloor = 1 << 7

func newTable(b *builder) *table {
	t := &table{b: b, width: b.day.budget + 1}
	for i := range t.carry {
		t.carry[i] = unreached(t.width)
	}
	// Having just played something strenuous is what keeps the next item soft.
	t.carry[1][0] = 0
	t.carry[0][0] = 0
	for _, k := range b.buckets {
		if !k.hard {
			t.carry[0][0] = -coldCost
		}
	}
	return t
}

func unreached(n int) []int32 {
	s := make([]int32, n)
	for i := range s {
		s[i] = impossible
	}
	return s
}

// skill plays through the buckets of one skill.
func (t *table) skill(buckets []bucket) {
	var most [2]int
	for i := range buckets {
		most[strain(buckets[i].hard)] += len(buckets[i].bonus)
	}
	floor := min(most[0], most[1])
	scores := unreached((floor + 2) * t.width)
	copy(scores[floor*t.width:], t.carry[0])
	copy(scores[(floor+1)*t.width:], t.carry[1])
	for i := range buckets {
		scores = t.bucket(&buckets[i], floor, scores)
	}
	t.forget(floor, scores)
}

// forget keeps of the balance only whether the last item was strenuous.
func (t *table) forget(floor int, scores []int32) {
	trace := make([]uint8, t.width)
	copy(t.carry[1], scores[(floor+1)*t.width:])
	copy(t.carry[0], scores[:t.width])
	for d := 1; d <= floor; d++ {
		for m, v := range scores[d*t.width : (d+1)*t.width] {
			if v > t.carry[0][m] {
				t.carry[0][m], trace[m] = v, uint8(d)
			}
		}
	}
	t.steps = append(t.steps, step{kind: stepSkill, floor: floor, trace: trace})
}

// bucket chooses among the candidates of one bucket. Layer n of the scores is
// for n of them chosen.
func (t *table) bucket(k *bucket, floor int, scores []int32) []int32 {
	size := len(scores)
	layers := unreached((len(k.bonus) + 1) * size)
	copy(layers, scores)
	for _, id := range t.worthTrying(k) {
		t.item(k, id, floor, layers)
	}
	trace := make([]uint8, size)
	for n := 1; n <= len(k.bonus); n++ {
		for s, v := range layers[n*size : (n+1)*size] {
			if v > scores[s] {
				scores[s], trace[s] = v, uint8(n)
			}
		}
	}
	t.steps = append(t.steps, step{kind: stepBucket, trace: trace})
	return scores
}

// worthTrying returns the candidates of the bucket without those that can't be
// in a best day: of candidates with the same lengths, only as many as may be
// chosen of the bucket, those worth most. (One left out could always be
// exchanged for one of them that was not chosen.)
func (t *table) worthTrying(k *bucket) []int {
	var seen [longest + 1][2]int // by full length, and whether its rest is short
	items := make([]int, 0, len(k.items))
	for _, id := range k.items {
		c := &t.b.candidates[id]
		same := &seen[c.full][strain(c.lengths[0].cost == 2*c.lengths[0].minutes)]
		if *same++; *same <= len(k.bonus) {
			items = append(items, id)
		}
	}
	return items
}

// item lets one candidate be chosen at each of its lengths, or not.
func (t *table) item(k *bucket, id, floor int, layers []int32) {
	size := (floor + 2) * t.width
	trace := make([]uint8, len(k.bonus)*size)
	for n := len(k.bonus) - 1; n >= 0; n-- {
		from, to := layers[n*size:(n+1)*size], layers[(n+1)*size:(n+2)*size]
		for d := range floor + 2 {
			next, mark := t.balance(k.hard, d, floor)
			if next > floor+1 {
				continue
			}
			for i, l := range t.b.candidates[id].lengths {
				relax(from[d*t.width:(d+1)*t.width], to[next*t.width:(next+1)*t.width],
					trace[n*size+next*t.width:n*size+(next+1)*t.width],
					l.cost, int32(l.worth+k.bonus[n]), uint8(i+1)|mark)
			}
		}
	}
	t.steps = append(t.steps, step{
		kind: stepItem, item: id, hard: k.hard, floor: floor, trace: trace,
	})
}

// balance returns where the balance d, from 0, goes with one more item, and how
// the trace marks it.
func (t *table) balance(hard bool, d, floor int) (next int, mark uint8) {
	switch {
	case hard:
		return d + 1, 0
	case d == 0:
		return 0, atFloor
	}
	return d - 1, 0
}

// relax takes every score of from, cost minutes and worth points further, where
// that is better than what to holds.
func relax(from, to []int32, trace []uint8, cost int, worth int32, mark uint8) {
	if cost >= len(to) {
		return
	}
	from, to, trace = from[:len(from)-cost], to[cost:], trace[cost:]
	for m, v := range from {
		if v += worth; v > to[m] && v > impossible/2 {
			to[m], trace[m] = v, mark
		}
	}
}

// best finds the best score, in the fewest minutes that reach it, and walks
// back to the items that make it.
func (t *table) best() solution {
	s := solution{score: impossible}
	var last, minutes int
	for i := range t.carry {
		for m, v := range t.carry[i] {
			if int(v) > s.score {
				s.score, last, minutes = int(v), i, m
			}
		}
	}
	w := walk{t: t, balance: last, minutes: minutes}
	for i := len(t.steps) - 1; i >= 0; i-- {
		w.back(&t.steps[i])
	}
	for i := len(w.picks) - 1; i >= 0; i-- {
		s.picks = append(s.picks, w.picks[i])
	}
	s.cold = w.balance-w.floor == 0
	return s
}

// A walk goes back through the steps of a table.
type walk struct {
	t       *table
	balance int // within a skill, from 0
	floor   int // where the skill's balance begins after a softer item
	minutes int
	chosen  int // of the bucket
	picks   []pick
}

func (w *walk) back(s *step) {
	at := w.balance*w.t.width + w.minutes
	switch s.kind {
	case stepSkill:
		endsHard := w.balance-w.floor == 1
		w.floor, w.balance = s.floor, s.floor+1
		if !endsHard {
			w.balance = int(s.trace[w.minutes])
		}
	case stepBucket:
		w.chosen = int(s.trace[at])
	case stepItem:
		w.item(s, at)
	}
}

func (w *walk) item(s *step, at int) {
	if w.chosen == 0 {
		return
	}
	size := (s.floor + 2) * w.t.width
	mark := s.trace[(w.chosen-1)*size+at]
	if mark == 0 {
		return
	}
	p := pick{s.item, int(mark&^atFloor) - 1}
	w.picks = append(w.picks, p)
	w.chosen--
	w.minutes -= w.t.b.candidates[p.id].lengths[p.length].cost
	switch {
	case s.hard:
		w.balance--
	case mark&atFloor == 0:
		w.balance++
	}
}
