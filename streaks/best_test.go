package streaks

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ledgerline/routine"
)

func TestBestsByWhatWasAskedFor(t *testing.T) {
	asked := func(e routine.Entry, articulation, fingering routine.Demand) routine.Entry {
		e.Articulation, e.Fingering = articulation, fingering
		return e
	}
	single := func(day int, o routine.Outcome, at routine.Tempo) routine.Entry {
		return asked(say(day, o, at), routine.SingleTongue, routine.Regular)
	}
	test := func(e routine.Entry) routine.Entry { e.Test = true; return e }
	eighth := routine.Tempo{BPM: 208, Note: routine.Eighth} // quarter=104
	got := Bests([]routine.Entry{
		single(5, routine.Clean, quarter(96)),
		single(3, routine.Clean, quarter(96)),
		single(6, routine.Shaky, quarter(120)),
		single(6, routine.Done, quarter(120)),
		single(7, routine.Clean, routine.Tempo{}),
		single(9, routine.Clean, eighth),
		single(8, routine.Clean, quarter(104)), // the first date of the tempo counts, however it is said
		asked(say(8, routine.Clean, quarter(132)), routine.DoubleTongue, routine.Regular),
		asked(say(8, routine.Clean, quarter(84)), routine.SingleTongue, routine.ThirdValve),
		test(single(9, routine.Clean, quarter(80))),
		test(single(10, routine.Missed, quarter(84))),
	}, line14)
	key := BestKey{Line: line14, Pass: 1, Articulation: routine.SingleTongue, Fingering: routine.Regular}
	doubled, held, third := key, key, key
	doubled.Articulation, held.Test, third.Fingering = routine.DoubleTongue, true, routine.ThirdValve
	want := []Best{
		{doubled, quarter(132), date("2026-03-08")},
		{key, quarter(104), date("2026-03-08")},
		{held, quarter(80), date("2026-03-09")},
		{third, quarter(84), date("2026-03-08")},
	}
	if !slices.Equal(got, want) {
		t.Errorf("bests are\n%+v\nwant\n%+v", got, want)
	}
}

// TestBestsInAnyOrder holds for any entries: the order in which they come does
// not matter, no clean entry beats the best, and some clean entry is it.
func TestBestsInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var entries []routine.Entry
		for range rapid.IntRange(0, 12).Draw(t, "entries") {
			e := say(rapid.IntRange(1, 28).Draw(t, "day"),
				rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Clean, routine.Shaky, routine.Done}).Draw(t, "outcome"),
				quarter(float64(rapid.IntRange(60, 66).Draw(t, "bpm"))))
			e.Pass = rapid.IntRange(1, 2).Draw(t, "pass")
			e.Articulation = rapid.SampledFrom([]routine.Demand{"", routine.Slurred, routine.SingleTongue}).Draw(t, "articulation")
			e.Test = rapid.Bool().Draw(t, "test")
			entries = append(entries, e)
		}
		bests := Bests(entries, line14)
		if again := Bests(rapid.Permutation(entries).Draw(t, "order"), line14); !slices.Equal(bests, again) {
			t.Fatalf("bests are %v in one order and %v in another", bests, again)
		}
		alike := func(e routine.Entry) BestKey { return BestKey{line14, e.Pass, e.Articulation, e.Fingering, e.Test} }
		for _, e := range entries {
			if e.Outcome == routine.Clean && !slices.ContainsFunc(bests, func(b Best) bool { return b.Key == alike(e) && b.Tempo.Compare(e.To) >= 0 }) {
				t.Errorf("%v is not in %v, nor beaten there", e, bests)
			}
		}
		for _, b := range bests {
			if !slices.ContainsFunc(entries, func(e routine.Entry) bool {
				return e.Outcome == routine.Clean && b.Key == alike(e) && e.To == b.Tempo && e.Date == b.Date
			}) {
				t.Errorf("%v is in none of %v", b, entries)
			}
		}
	})
}

func TestMinuteTestNotHeldCountsAgainstNothing(t *testing.T) {
	rule := Rule{Goal: quarter(96), CleanDays: 2}
	before := Stand([]routine.Entry{say(1, routine.Clean, quarter(96))}, nil, rule)
	for _, o := range []routine.Outcome{routine.Missed, routine.Shaky, routine.Done} {
		e := say(3, o, quarter(96))
		e.Test = true
		want := before
		want.Last = e.Date
		if got := Apply(before, e, rule); got != want {
			t.Errorf("a minute test that was %s makes\n%+v of\n%+v", o, got, before)
		}
	}
	held := say(3, routine.Clean, quarter(96))
	held.Test = true
	if got := Apply(before, held, rule); got.State != routine.Passed {
		t.Errorf("a minute test that was held on the second day makes the line %q, want passed", got.State)
	}
}
