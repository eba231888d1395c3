package routine_test

import (
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

// TestCycleCloses plays two months of routines with outcomes of every sort and
// checks that no line of a study stays away for longer than its cycle, as long
// as the minutes suffice for that.
func TestCycleCloses(t *testing.T) {
	c := harbour(t)
	studies := []string{"daily-ground/1", "daily-ground/2", "daily-ground/3", "slur-atlas/1", "the-articulate-hour/1", "twelve-harbour-pieces/1"}
	rapid.Check(t, func(t *rapid.T) {
		in := routine.Input{
			Date: day(1), Number: 1, Seed: rapid.Uint64().Draw(t, "seed"), Catalogue: c,
			Player: routine.Player{
				Instrument: "trumpet", Level: routine.Advanced, Minutes: 180, Highest: 84,
				Off: routine.Weekday(rapid.SampledFrom([]int{0, 1, 1 << 3, 1<<0 | 1<<6}).Draw(t, "off")),
			},
			Plan:      planOf(studies[rapid.IntRange(0, 5).Draw(t, "study")]),
			Standings: map[routine.StandingKey]routine.Standing{},
		}
		if other := rapid.IntRange(0, 5).Draw(t, "other"); ref(studies[other]) != in.Plan.Entries[0].Study {
			in.Plan.Entries = append(in.Plan.Entries, planOf(studies[other]).Entries...)
		}
		outcomes := rapid.SliceOfN(rapid.SampledFrom([]routine.Outcome{
			routine.Clean, routine.Clean, routine.Shaky, routine.Missed, routine.Done,
		}), 17, 17).Draw(t, "outcomes")
		last := map[routine.LineRef]routine.Date{}
		played := 0
		for in.Date < day(60) {
			if in.Player.Off&(1<<in.Date.Weekday()) != 0 {
				in.Date++
				continue
			}
			r := routine.Build(in)
			for _, it := range r.Items {
				for _, l := range it.Lines {
					last[l] = in.Date
				}
			}
			checkCycle(t, in, last)
			answer(&in, r, func(routine.Item) routine.Outcome {
				played++
				return outcomes[played%len(outcomes)]
			})
		}
	})
}

func checkCycle(t *rapid.T, in routine.Input, last map[routine.LineRef]routine.Date) {
	t.Helper()
	for _, e := range in.Plan.Entries {
		s := in.Catalogue.Study(e.Study)
		for _, l := range s.Lines {
			since := max(last[e.Study.Line(l.Number)], e.Since-1)
			if away := int(in.Date - since); away > s.Cycle {
				t.Errorf("%v: line %v has been away for %d days, the cycle is %d", in.Date, e.Study.Line(l.Number), away, s.Cycle)
			}
		}
	}
}
