package streaks

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ledgerline/routine"
)

func TestBestsByWhatWasAskedFor(t *testing.T) {
	asked := func(routine.StandingKey) routine.Demands {
		return routine.Demands{Articulation: routine.SingleTongue, Fingering: routine.Regular}
	}
	double := func(e routine.Entry) routine.Entry { e.Articulation = routine.DoubleTongue; return e }
	test := func(e routine.Entry) routine.Entry { e.Test = true; return e }
	eighth := routine.Tempo{BPM: 208, Note: routine.Eighth} // quarter=104
	got := Bests([]routine.Entry{
		say(5, routine.Clean, quarter(96)),
		say(3, routine.Clean, quarter(96)), // the first date of the tempo counts
		say(6, routine.Shaky, quarter(120)),
		say(6, routine.Done, quarter(120)),
		say(7, routine.Clean, routine.Tempo{}),
		say(8, routine.Clean, eighth),
		double(say(8, routine.Clean, quarter(132))),
		test(say(9, routine.Clean, quarter(80))),
		test(say(10, routine.Missed, quarter(84))),
	}, asked)
	key := BestKey{Line: line14, Pass: 1, Articulation: routine.SingleTongue, Fingering: routine.Regular}
	doubled, held := key, key
	doubled.Articulation, held.Test = routine.DoubleTongue, true
	want := []Best{
		{doubled, quarter(132), date("2026-03-08")},
		{key, eighth, date("2026-03-08")},
		{held, quarter(80), date("2026-03-09")},
	}
	if !slices.Equal(got, want) {
		t.Errorf("bests are\n%+v\nwant\n%+v", got, want)
	}
}

// TestBestsInAnyOrder holds for any entries: the order in which they come does
// not matter, no clean entry beats the best, and some clean entry is it.
func TestBestsInAnyOrder(t *testing.T) {
	asked := func(routine.StandingKey) routine.Demands { return routine.Demands{Articulation: routine.Slurred} }
	rapid.Check(t, func(t *rapid.T) {
		var entries []routine.Entry
		for range rapid.IntRange(0, 12).Draw(t, "entries") {
			e := say(rapid.IntRange(1, 28).Draw(t, "day"),
				rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Clean, routine.Shaky, routine.Done}).Draw(t, "outcome"),
				quarter(float64(rapid.IntRange(60, 66).Draw(t, "bpm"))))
			e.Pass = rapid.IntRange(1, 2).Draw(t, "pass")
			entries = append(entries, e)
		}
		bests := Bests(entries, asked)
		if again := Bests(rapid.Permutation(entries).Draw(t, "order"), asked); !slices.Equal(bests, again) {
			t.Fatalf("bests are %v in one order and %v in another", bests, again)
		}
		for _, b := range bests {
			found := false
			for _, e := range entries {
				if e.Outcome != routine.Clean || e.Pass != b.Key.Pass {
					continue
				}
				if e.To.Compare(b.Tempo) > 0 {
					t.Errorf("%v is said to be the best of %v", b, entries)
				}
				found = found || e.To == b.Tempo && e.Date == b.Date
			}
			if !found {
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
