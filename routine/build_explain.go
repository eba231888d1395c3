package routine

import (
	"cmp"
	"slices"
)

// An Explanation says how a day's routine was chosen.
//
// The score of a day is the sum of the points of its items. An item earns them
// for the time its lines have waited, measured against the study's cycle; for
// having been shaky or missed a day or two ago; for being at the goal, a clean day
// or two from passing; for a review by how far it is into the band in which it is
// best tested; for a key not played lately; for warming up for a piece that is
// performed; and, as long as the study needs more items for its cycle to close in
// time, for being one of them. They are weighed by the study's place in the plan,
// by how near its target date is and by the item's length, and a shortened item
// earns a little less than a full one. Pinned items outweigh everything, and a
// minute test that is due everything else. Further items of a study for the same
// reason cost a few points, and a day that begins with something strenuous many.
type Explanation struct {
	Routine    Routine     `json:"routine"`
	Budget     int         `json:"budget"`     // minutes of playing and rest the day allows
	Score      int         `json:"score"`      // points; no allowed day has more
	Candidates []Candidate `json:"candidates"` // those on the routine first, in playing order, then by points
	KeptOut    []KeptOut   `json:"kept_out"`   // by plan and line
}

// A Candidate is an item that might have been part of the day.
type Candidate struct {
	Study   StudyRef `json:"study"`
	Lines   []int    `json:"lines"`
	Pass    int      `json:"pass"`
	Minutes int      `json:"minutes"` // playing, at full length
	Points  int      `json:"points"`  // at full length, without what depends on the others
	Hard    bool     `json:"hard,omitempty"`
	Item    int      `json:"item,omitempty"` // number on the routine; 0: not on it
	Why     Reason   `json:"why"`            // it is on the routine, or is not
}

// A KeptOut is something on the plan that a rule kept from being a candidate.
type KeptOut struct {
	Study StudyRef `json:"study"`
	Lines []int    `json:"lines,omitempty"` // none: the whole study
	Pass  int      `json:"pass"`
	Why   Reason   `json:"why"`
}

// Explain builds the routine of the day as [Build] does and says how it came
// about.
func Explain(in Input) Explanation {
	var x Explanation
	b := newExplainer(&in, func(r refusal) { x.keepOut(r) })
	s := b.solve()
	x.Routine = b.routine(s)
	x.Budget, x.Score = b.day.budget, s.score
	order := b.arrange(s)
	for n, p := range order {
		c := b.explained(p.id)
		c.Item, c.Why = n+1, x.Routine.Items[n].Reason
		x.Candidates = append(x.Candidates, c)
	}
	rest := len(x.Candidates)
	for _, k := range b.buckets {
		for _, id := range k.items {
			if !slices.ContainsFunc(order, func(p pick) bool { return p.id == id }) {
				c := b.explained(id)
				c.Why = b.whyNot(&k, id, s)
				x.Candidates = append(x.Candidates, c)
			}
		}
	}
	slices.SortStableFunc(x.Candidates[rest:], func(c, d Candidate) int { return cmp.Compare(d.Points, c.Points) })
	return x
}

// keepOut notes a refusal, together with that of the line before if it is the
// same.
func (x *Explanation) keepOut(r refusal) {
	if n := len(x.KeptOut) - 1; n >= 0 && r.line != 0 {
		last := &x.KeptOut[n]
		if last.Study == r.study && last.Pass == r.pass && last.Why == r.why && last.Lines != nil {
			last.Lines = append(last.Lines, r.line)
			return
		}
	}
	k := KeptOut{Study: r.study, Pass: r.pass, Why: r.why}
	if r.line != 0 {
		k.Lines = []int{r.line}
	}
	x.KeptOut = append(x.KeptOut, k)
}

func (b *builder) explained(id int) Candidate {
	c := &b.candidates[id]
	x := Candidate{
		Study: b.entries[c.entry].plan.Study, Pass: c.lines[0].pass,
		Minutes: c.full, Points: c.worth, Hard: c.hard,
	}
	for i := range c.lines {
		x.Lines = append(x.Lines, c.lines[i].line.Number)
	}
	return x
}

// whyNot says what kept a candidate of bucket k out of the day chosen.
func (b *builder) whyNot(k *bucket, id int, s solution) Reason {
	used, same := 0, 0
	for _, p := range s.picks {
		used += b.candidates[p.id].lengths[p.length].cost
		if slices.Contains(k.items, p.id) {
			same++
		}
	}
	switch {
	case same == len(k.bonus):
		return Reason{Kind: EnoughOfStudy}
	case used+b.candidates[id].lengths[0].cost > b.day.budget:
		return Reason{Kind: NoMinutesLeft}
	case !b.ordersWith(id, s):
		return Reason{Kind: BesideStrenuous}
	}
	return Reason{Kind: NotNeededYet}
}

// ordersWith reports whether the day chosen could be ordered with one more
// candidate.
func (b *builder) ordersWith(id int, s solution) bool {
	picks := append(slices.Clone(s.picks), pick{id: id})
	order := b.arrange(solution{picks: picks, cold: s.cold})
	for i, p := range order {
		afterHard := !s.cold
		if i > 0 {
			afterHard = b.candidates[order[i-1].id].hard
		}
		if afterHard && b.candidates[p.id].hard {
			return false
		}
	}
	return true
}
