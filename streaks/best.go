package streaks

import (
	"cmp"
	"slices"

	"ledgerline/routine"
)

// A BestKey says what a personal best is a best of: one line in one pass, as it
// was asked for on the day, or the minute test of that line.
type BestKey struct {
	Line         routine.LineRef `json:"line"`
	Pass         int             `json:"pass"`
	Articulation routine.Demand  `json:"articulation,omitempty"`
	Fingering    routine.Demand  `json:"fingering,omitempty"`
	Test         bool            `json:"test,omitempty"`
}

// A Best is the fastest tempo at which something was clean.
type Best struct {
	Key   BestKey       `json:"key"`
	Tempo routine.Tempo `json:"tempo"`
	Date  routine.Date  `json:"date"` // the first date of that tempo
}

// AddBest returns the bests of one line once an entry is counted in, which may
// change bests; entries may come in any order. "Done" is no best, and a tempo said
// to be approximate counts as the one that was said, as in [Apply]. They are in
// order of pass, articulation and fingering set, and minute tests last.
func AddBest(bests []Best, e routine.Entry, line routine.LineRef) []Best {
	if e.Outcome != routine.Clean || e.To.IsZero() {
		return bests
	}
	b := Best{BestKey{line, e.Pass, e.Articulation, e.Fingering, e.Test}, e.To, e.Date}
	i, known := slices.BinarySearchFunc(bests, b.Key, func(a Best, key BestKey) int { return a.Key.compare(key) })
	if !known {
		return slices.Insert(bests, i, b)
	}
	if faster := b.Tempo.Compare(bests[i].Tempo); faster > 0 || faster == 0 && b.Date < bests[i].Date {
		bests[i] = b
	}
	return bests
}

// Bests returns the personal bests that the entries of one line hold.
func Bests(entries []routine.Entry, line routine.LineRef) []Best {
	var bests []Best
	for _, e := range entries {
		bests = AddBest(bests, e, line)
	}
	return bests
}

func (k BestKey) compare(l BestKey) int {
	test := func(k BestKey) int {
		if k.Test {
			return 1
		}
		return 0
	}
	return cmp.Or(
		cmp.Compare(k.Line.Book, l.Line.Book), cmp.Compare(k.Line.Study, l.Line.Study), cmp.Compare(k.Line.Line, l.Line.Line),
		cmp.Compare(k.Pass, l.Pass), cmp.Compare(k.Articulation, l.Articulation), cmp.Compare(k.Fingering, l.Fingering),
		cmp.Compare(test(k), test(l)),
	)
}
