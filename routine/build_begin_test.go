package routine_test

import (
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

// TestLinesInWorkComeRound plays a plan that holds more than the minutes: all the
// same most lines that are begun come round as their cycle wants, because others
// wait. One coming in ten may be more than two days late: lines about to pass go
// first.
func TestLinesInWorkComeRound(t *testing.T) {
	c := harbour(t)
	rapid.Check(t, func(t *rapid.T) {
		in := routine.Input{
			Date: day(1), Number: 1, Seed: rapid.Uint64().Draw(t, "seed"), Catalogue: c,
			Player:    routine.Player{Instrument: "trumpet", Level: routine.Growing, Minutes: rapid.IntRange(12, 60).Draw(t, "minutes"), Highest: 81},
			Plan:      planOf("daily-ground/2", "daily-ground/3", "the-articulate-hour/1"),
			Standings: map[routine.StandingKey]routine.Standing{},
		}
		last := map[routine.LineRef]routine.Date{}
		comings, late := 0, 0
		for in.Date < day(40) {
			r := routine.Build(in)
			for _, it := range r.Items {
				for _, l := range it.Lines {
					if last[l] != 0 {
						comings++
						if int(in.Date-last[l]) > c.Study(it.Study).Cycle+2 {
							late++
						}
					}
					last[l] = in.Date
				}
			}
			if in.Date == day(10) && len(last) == 32 && in.Player.Minutes <= 15 {
				t.Errorf("by the tenth day all 32 lines were begun, in %d minutes a day", in.Player.Minutes)
			}
			answer(&in, r, func(routine.Item) routine.Outcome { return routine.Clean })
		}
		if 10*late > comings {
			t.Errorf("with %d minutes %d of %d comings were late", in.Player.Minutes, late, comings)
		}
	})
}

func TestNewLinesWait(t *testing.T) {
	waiting := func(in routine.Input, study string) (lines []int) {
		for _, k := range routine.Explain(in).KeptOut {
			if k.Study == ref(study) && k.Why.Kind == routine.WaitsForOthers {
				lines = append(lines, k.Lines...)
			}
		}
		return lines
	}
	in := student(t)
	in.Plan = planOf("daily-ground/2", "upward-gently/1")
	if got := waiting(in, "daily-ground/2"); len(got) != 0 {
		t.Errorf("in an hour for twelve scales, %v wait", got)
	}
	// A cycle of ten days has six hard ones: six lines, one a day.
	if got := waiting(in, "upward-gently/1"); len(got) == 0 || got[0] != 7 {
		t.Errorf("of the range lines %v wait, want the seventh and those after it", got)
	}
	in.Player.Minutes = 10
	got := waiting(in, "daily-ground/2")
	if len(got) == 0 || got[0] == 1 {
		t.Errorf("in ten minutes scales %v wait, want some but not the first", got)
	}
	key := routine.StandingKey{Line: ref("daily-ground/2").Line(1), Pass: 1}
	in.Standings[key] = routine.Standing{State: routine.Passed, Plays: 9, Last: in.Date - 1, Due: in.Date + 2}
	if after := waiting(in, "daily-ground/2"); len(after) >= len(got) {
		t.Errorf("with one passed %v wait, before %v", after, got)
	}
}

// TestOneWarmUpIsKeptUp has two warm-ups that have passed, and then one line of
// them in work.
func TestOneWarmUpIsKeptUp(t *testing.T) {
	in := student(t)
	warm := *in.Catalogue.Study(ref("daily-ground/1"))
	warm.Number = 9
	in.Catalogue.Books[0].Studies = append(in.Catalogue.Books[0].Studies, warm)
	in.Plan = planOf("daily-ground/1", "daily-ground/9", "daily-ground/2")
	passed := routine.Standing{State: routine.Passed, Plays: 9, Mark: warm.Passes[0].Demands.To, Last: in.Date - 4, LastOutcome: routine.Clean, Due: in.Date + 30}
	stands(&in, "daily-ground/1", 1, passed)
	passed.Last--
	stands(&in, "daily-ground/9", 1, passed)
	count := func(study string) (n int) {
		for _, it := range routine.Build(in).Items {
			if it.Study == ref(study) {
				n++
			}
		}
		return n
	}
	if count("daily-ground/1") != 0 || count("daily-ground/9") != 1 {
		t.Errorf("of passed warm-ups %d and %d come, want the one that waited longest", count("daily-ground/1"), count("daily-ground/9"))
	}
	in.Standings[routine.StandingKey{Line: ref("daily-ground/1").Line(3), Pass: 1}] = played(in.Date-4, 60, routine.Shaky)
	if count("daily-ground/1") != 1 || count("daily-ground/9") != 0 {
		t.Errorf("with one in work %d and %d come, want it alone", count("daily-ground/1"), count("daily-ground/9"))
	}
}
