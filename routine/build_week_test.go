package routine_test

import (
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

// TestWeeksGrowByTheLimit plays three months full of strenuous lines, with days
// left out, and checks every seven days that end with a strenuous one
// against the fullest of the four weeks before them, from the fifth week on: not
// more than the limit above it, and fifteen minutes in any case.
func TestWeeksGrowByTheLimit(t *testing.T) {
	c := harbour(t)
	rapid.Check(t, func(t *rapid.T) {
		rise := rapid.SampledFrom([]int{0, 10, 50}).Draw(t, "rise")
		in := routine.Input{
			Date: day(1), Number: 1, Seed: rapid.Uint64().Draw(t, "seed"), Catalogue: c,
			Player:    routine.Player{Instrument: "trumpet", Level: routine.Advanced, Minutes: rapid.IntRange(30, 180).Draw(t, "minutes"), Highest: 84, Rise: rise},
			Plan:      planOf("upward-gently/1", "daily-ground/3@2", "the-articulate-hour/1@2", "daily-ground/1", "slur-atlas/1"),
			Standings: map[routine.StandingKey]routine.Standing{},
		}
		skips := rapid.SliceOfN(rapid.IntRange(0, 3), 5, 5).Draw(t, "skips")
		strain := map[routine.Date]int{}
		for in.Date < day(90) {
			if skips[int(in.Date)%5] == 0 {
				in.Date++
				continue
			}
			r := routine.Build(in)
			strain[in.Date] = strenuous(r)
			checkWeek(t, in.Date, strain, rise)
			answer(&in, r, func(routine.Item) routine.Outcome { return routine.Clean })
		}
	})
}

func checkWeek(t *rapid.T, date routine.Date, strain map[routine.Date]int, rise int) {
	t.Helper()
	sum := func(last routine.Date) (minutes int) {
		for back := range routine.Date(7) {
			minutes += strain[last-back]
		}
		return minutes
	}
	if rise == 0 {
		rise = 25
	}
	fullest := 0
	for week := routine.Date(1); week <= 4; week++ {
		fullest = max(fullest, sum(date-7*week))
	}
	if limit := max(15, fullest*(100+rise)/100); date > day(36) && strain[date] > 0 && sum(date) > limit {
		t.Errorf("%v ends seven days with %d strenuous minutes, the limit is %d", date, sum(date), limit)
	}
}

func TestAfterAHardWeek(t *testing.T) {
	in := student(t)
	// Four weeks of 20 strenuous minutes on two days each, then three such days.
	for back := 35; back > 0; back-- {
		d := routine.DayLog{Date: in.Date - routine.Date(back), Kept: true, Minutes: 30}
		if back%7 == 3 || back%7 == 6 || back == 4 {
			d.Hard, d.Strenuous = true, 10
		}
		in.History.Days = append(in.History.Days, d)
	}
	r := routine.Build(in)
	if anyHard(r) || !r.Light || r.Note != (routine.Reason{Kind: routine.AfterHardWeek, N: 30}) {
		t.Errorf("after 30 strenuous minutes, with 20 in each week before:\n%s", card(r))
	}
	in.Player.Rise = 100
	if r := routine.Build(in); !anyHard(r) || strenuous(r) > 10 {
		t.Errorf("with twice the minutes allowed, ten are left:\n%s", card(r))
	}
	in.Player.Rise = -1
	if r := routine.Build(in); !anyHard(r) {
		t.Errorf("without a limit:\n%s", card(r))
	}
}
