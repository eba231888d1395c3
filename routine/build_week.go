package routine

import (
	"cmp"
	"math"
	"slices"
)

// UsualRise is by how many percent the strenuous minutes of seven days may exceed
// the fullest of the four weeks before, if the teacher sets nothing else (common practice: more
// by small steps; no published figure for brass players is known to us).
const UsualRise = 25

const (
	week        = 7
	weeksBefore = 4  // weeks before this one that it is compared with
	alwaysFree  = 15 // strenuous minutes a week that are never too many
)

// strenuousIn returns the strenuous minutes of some days, the last of them the
// given date.
func (h *History) strenuousIn(last Date, days int) (minutes int) {
	for _, d := range h.Days {
		if d.Date <= last && d.Date > last-Date(days) {
			minutes += d.Strenuous
		}
	}
	return minutes
}

// strainLeft returns how many strenuous minutes the date may have: with the six
// days before it no more than the fullest of the four weeks before those, and the
// rise on top. Whoever did not play then, before the last of those weeks, has no
// week to compare with; then only the rules of the day count.
func strainLeft(in *Input) int {
	rise := cmp.Or(in.Player.Rise, UsualRise)
	before := in.Date - week
	known := func(d DayLog) bool { return d.Kept && d.Date <= before-week && d.Date > before-weeksBefore*week }
	if rise < 0 || !slices.ContainsFunc(in.History.Days, known) {
		return math.MaxInt
	}
	fullest := 0
	for n := range Date(weeksBefore) {
		fullest = max(fullest, in.History.strenuousIn(before-n*week, week))
	}
	return max(0, max(alwaysFree, fullest*(100+rise)/100)-in.History.strenuousIn(in.Date, week))
}

// afterHardWeek keeps a day soft if the week has had its share of what is
// strenuous.
func afterHardWeek(in *Input) constraint {
	if strainLeft(in) >= shortest {
		return constraint{}
	}
	had := in.History.strenuousIn(in.Date, week)
	return constraint{100, true, Reason{Kind: AfterHardWeek, N: had}}
}

// spare leaves out strenuous candidates beyond the minutes that the week has left
// for them, so that all that remain could be played; those worth most remain.
func (b *builder) spare() {
	if b.day.strain == math.MaxInt {
		return
	}
	var hard []int
	for _, k := range b.buckets {
		if k.hard {
			hard = append(hard, k.items...)
		}
	}
	slices.SortStableFunc(hard, func(i, j int) int { return cmp.Compare(b.most(j).worth, b.most(i).worth) })
	left := b.day.strain
	out := map[int]bool{}
	for _, i := range hard {
		if minutes := b.most(i).minutes; minutes <= left {
			left -= minutes
		} else {
			out[i] = true
			b.refuseAll(&b.candidates[i], Reason{Kind: StrenuousEnough})
		}
	}
	for n := range b.buckets {
		k := &b.buckets[n]
		k.items = slices.DeleteFunc(k.items, func(i int) bool { return out[i] })
		k.bonus = k.bonus[:min(len(k.bonus), len(k.items))]
	}
	b.buckets = slices.DeleteFunc(b.buckets, func(k bucket) bool { return len(k.items) == 0 })
}

// most returns the longest length of a candidate.
func (b *builder) most(id int) length {
	lengths := b.candidates[id].lengths
	return lengths[len(lengths)-1]
}
