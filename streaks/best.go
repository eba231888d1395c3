package streaks

import (
	"cmp"
	"slices"

	"ledgerline/routine"
)

// A BestKey says what a personal best is a best of: one line in one pass, as it
// was asked for on the day, or the minute test of that line.
type BestKey struct {
	Line         routine.LineRef
	Pass         int
	Articulation routine.Demand
	Fingering    routine.Demand
	Test         bool
}

// A Best is the fastest tempo at which something was clean.
type Best struct {
	Key   BestKey
	Tempo routine.Tempo
	Date  routine.Date // the first date of that tempo
}

// Bests returns the personal bests that entries hold, which may come in any
// order, by line, pass, articulation, fingering set, and minute tests last.
// "Done" is no best, and a tempo said to be approximate counts as the one that
// was said, as in [Apply]. Where an entry does not say what was asked for, asked
// does.
func Bests(entries []routine.Entry, asked func(routine.StandingKey) routine.Demands) []Best {
	best := map[BestKey]Best{}
	for _, e := range entries {
		if e.Outcome != routine.Clean || e.To.IsZero() {
			continue
		}
		for _, line := range e.Lines {
			key := bestKey(e, line, asked)
			b, known := best[key]
			faster := e.To.Compare(b.Tempo)
			if !known || faster > 0 || faster == 0 && e.Date < b.Date {
				best[key] = Best{key, e.To, e.Date}
			}
		}
	}
	all := make([]Best, 0, len(best))
	for _, b := range best {
		all = append(all, b)
	}
	slices.SortFunc(all, func(a, b Best) int { return a.Key.compare(b.Key) })
	return all
}

func bestKey(e routine.Entry, line routine.LineRef, asked func(routine.StandingKey) routine.Demands) BestKey {
	k := BestKey{Line: line, Pass: e.Pass, Articulation: e.Articulation, Fingering: e.Fingering, Test: e.Test}
	if k.Articulation == "" || k.Fingering == "" {
		d := asked(routine.StandingKey{Line: line, Pass: e.Pass})
		k.Articulation = cmp.Or(k.Articulation, d.Articulation)
		k.Fingering = cmp.Or(k.Fingering, d.Fingering)
	}
	return k
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
