package routine

import (
	"slices"
)

// A SwapError says what keeps a line from taking the place of an item.
type SwapError struct{ Why Reason }

func (e *SwapError) Error() string { return "swapping an item: " + e.Why.String() }

// Swap returns the routine r of in.Date with item n replaced by one line, under
// the number in.Number. The line's study must be on the plan. What is never
// broken by [Build] is not broken here either, except that a line may come that
// was played the day before: the teacher wants it. The line takes the place of
// the item, or, where the order of skills or strenuous neighbours forbid that,
// the nearest that they allow.
//
// The error is a [SwapError] if something keeps the line out.
func Swap(in Input, r Routine, n int, line LineRef) (Routine, error) {
	old := r.Item(n)
	if old == nil {
		return Routine{}, &SwapError{Reason{Kind: NoSuchItem, N: n}}
	}
	at := slices.IndexFunc(in.Plan.Entries, func(e PlanEntry) bool { return e.Study == line.StudyRef() })
	if at < 0 {
		return Routine{}, &SwapError{Reason{Kind: NotOnPlan}}
	}
	if slices.ContainsFunc(r.Items, func(it Item) bool { return slices.Contains(it.Lines, line) }) {
		return Routine{}, &SwapError{Reason{Kind: OnRoutineAlready}}
	}
	e := in.Plan.Entries[at]
	e.Lines, e.Pinned, e.Together, e.TestEvery = []int{line.Line}, []int{line.Line}, 1, 0
	plan := in.Plan
	in.Plan = Plan{Entries: []PlanEntry{e}}
	it, err := lone(in, max(0, in.Player.Minutes-r.Minutes)+old.Minutes+old.Rest)
	if err != nil {
		return Routine{}, err
	}
	it.Reason = Reason{Kind: PutIn}
	if r, err = r.replaced(in.Number, n, it); err == nil {
		turnAbout(r.Items, plan.interleaves)
	}
	return r, err
}

// lone returns the one line of the plan as an item of at most some minutes with
// its rest, or of as few as it can have.
func lone(in Input, minutes int) (Item, error) {
	why := Reason{Kind: NotInCatalogue}
	b := newExplainer(&in, func(r refusal) { why = r.why })
	if len(b.candidates) == 0 {
		return Item{}, &SwapError{why}
	}
	lengths := b.candidates[0].lengths
	length := len(lengths) - 1
	for length > 0 && lengths[length].cost > minutes {
		length--
	}
	if lengths[length].cost > minutes {
		return Item{}, &SwapError{Reason{Kind: TakesTooLong, N: minutes, Of: lengths[length].cost}}
	}
	return b.item(pick{0, length}), nil
}

// replaced returns the routine with another item in place of the nth.
func (r Routine) replaced(number, n int, it Item) (Routine, error) {
	rest := slices.Delete(slices.Clone(r.Items), n-1, n)
	for away := range len(r.Items) {
		for _, place := range []int{n - 1 - away, n - 1 + away} {
			if place < 0 || place > len(rest) {
				continue
			}
			items := slices.Insert(slices.Clone(rest), place, it)
			if !inOrder(items) {
				continue
			}
			r.Number, r.Items, r.Minutes = number, items, 0
			for i := range items {
				items[i].N = i + 1
				r.Minutes += items[i].Minutes + items[i].Rest
			}
			return r, nil
		}
	}
	return Routine{}, &SwapError{Reason{Kind: StrenuousBeside}}
}

// inOrder reports whether items keep the order of skills, with no strenuous
// neighbours and, if anything is softer, nothing strenuous to begin with.
func inOrder(items []Item) bool {
	soft := func(it Item) bool { return !it.Hard }
	if items[0].Hard && slices.ContainsFunc(items, soft) {
		return false
	}
	for i := 1; i < len(items); i++ {
		if items[i-1].Hard && items[i].Hard ||
			items[i-1].Skill.Place() > items[i].Skill.Place() {
			return false
		}
	}
	return true
}
