package routine_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ledgerline/routine"
)

// tonguing returns a student of repeated notes alone, all lines clean at 76 on
// some date, with a minute test every 14 days.
func tonguing(t *testing.T, last routine.Date) routine.Input {
	in := student(t)
	in.Plan = planOf("daily-ground/1", "the-articulate-hour/1")
	in.Plan.Entries[1].TestEvery = 14
	s := played(last, 76, routine.Clean)
	s.Best = s.Mark
	stands(&in, "the-articulate-hour/1", 1, s)
	kept(&in, in.Date-1, true, false)
	return in
}

func testsOf(r routine.Routine) (tests []routine.Item) {
	for _, it := range r.Items {
		if it.Test {
			tests = append(tests, it)
		}
	}
	return tests
}

// Sixteenths at quarter=80 are 4 x 80 = 320 notes in a minute.
func TestMinuteTestOnItsDay(t *testing.T) {
	in := tonguing(t, day(-3))
	tests := testsOf(routine.Build(in))
	if len(tests) != 1 {
		t.Fatalf("%d minute tests on a day one is due, want 1\n%s", len(tests), card(routine.Build(in)))
	}
	it := tests[0]
	if it.From != it.To || it.To.BPM != 80 || it.Notes != 320 || len(it.Lines) != 1 || it.Reason != (routine.Reason{Kind: routine.MinuteTest, N: 320}) {
		t.Errorf("the test is %+v", it)
	}
	n := 0
	for _, other := range routine.Build(in).Items {
		if slices.Contains(other.Lines, it.Lines[0]) {
			n++
		}
	}
	if n != 1 {
		t.Errorf("the line of the test is %d times on the routine, want once", n)
	}
}

func TestMinuteTestWaits(t *testing.T) {
	study := ref("the-articulate-hour/1")
	for _, c := range []struct {
		name   string
		change func(*routine.Input)
		want   int
	}{
		{"13 days after the last", func(in *routine.Input) { in.Tested = map[routine.StudyRef]routine.Date{study: in.Date - 13} }, 0},
		{"14 days after the last", func(in *routine.Input) { in.Tested = map[routine.StudyRef]routine.Date{study: in.Date - 14} }, 1},
		{"none is wanted", func(in *routine.Input) { in.Plan.Entries[1].TestEvery = 0 }, 0},
		{"the study is held", func(in *routine.Input) { in.Plan.Entries[1].Hold = true }, 0},
		{"she hurts", func(in *routine.Input) { in.History.Hurting = true }, 0},
		{"she performs tomorrow", func(in *routine.Input) { in.Player.Performances = []routine.Date{in.Date + 1} }, 0},
		{"nothing was clean yet", func(in *routine.Input) { stands(in, "the-articulate-hour/1", 1, played(in.Date-4, 76, routine.Shaky)) }, 0},
		{"everything was played today", func(in *routine.Input) {
			s := played(in.Date, 76, routine.Clean)
			s.Best = s.Mark
			stands(in, "the-articulate-hour/1", 1, s)
		}, 0},
	} {
		in := tonguing(t, day(-3))
		c.change(&in)
		if got := len(testsOf(routine.Build(in))); got != c.want {
			t.Errorf("%s: %d minute tests, want %d\n%s", c.name, got, c.want, card(routine.Build(in)))
		}
	}
}

func TestPreviewHasOneMinuteTestAnInterval(t *testing.T) {
	in := tonguing(t, day(-3))
	in.Plan.Entries[1].TestEvery = 5
	var on []routine.Date
	for _, r := range routine.Preview(in, 15) {
		if len(testsOf(r)) > 0 {
			on = append(on, r.Date)
		}
	}
	for i := 1; i < len(on); i++ {
		if on[i]-on[i-1] < 5 {
			t.Errorf("minute tests on %v, nearer than 5 days", on)
		}
	}
	if len(on) < 2 || len(on) > 3 {
		t.Errorf("%d minute tests in 15 days, one every 5 or on the next day that is not light: %v", len(on), on)
	}
	if in.Tested != nil {
		t.Error("the preview has changed its input")
	}
}

func TestPreviewKnowsFreeDates(t *testing.T) {
	in := student(t)
	in.Free = []routine.Date{in.Date + 1}
	week := routine.Preview(in, 3)
	if len(week[0].Items) == 0 || len(week[1].Items) != 0 || len(week[2].Items) == 0 {
		t.Errorf("items of three days, the second free: %d, %d, %d", len(week[0].Items), len(week[1].Items), len(week[2].Items))
	}
}

func TestSkippedLineStaysAwayUntilItsDate(t *testing.T) {
	in := student(t)
	in.Plan = planOf("slur-atlas/1")
	in.Plan.Entries[0].Lines = []int{2}
	in.Plan.Entries[0].Pinned = []int{2}
	in.Plan.Entries[0].Skips = []routine.Skip{{Line: 2, Until: in.Date + 2}}
	for days, want := range []int{0, 0, 1} {
		now := in
		now.Date += routine.Date(days)
		if got := len(routine.Build(now).Items); got != want {
			t.Errorf("%d items %d days before the line is back, want %d", got, 2-days, want)
		}
	}
	if out := routine.Explain(in).KeptOut; len(out) != 1 || out[0].Why != (routine.Reason{Kind: routine.LeftOutUntil, Until: in.Date + 2}) {
		t.Errorf("kept out: %+v", out)
	}
}

func TestTogetherForOneStudent(t *testing.T) {
	in := student(t)
	in.Plan = planOf("slur-atlas/1") // the study puts two lines together
	in.Plan.Entries[0].Lines = []int{1, 2, 3}
	for _, c := range []struct{ together, want int }{{0, 2}, {1, 1}, {3, 3}} {
		in.Plan.Entries[0].Together = c.together
		if got := len(routine.Build(in).Items[0].Lines); got != c.want {
			t.Errorf("together %d: %d lines in the first item, want %d", c.together, got, c.want)
		}
	}
}

// TestSwap puts any line of the plan in place of any item of a day. What comes
// of it keeps the rules of a routine, holds the line once and the item no more;
// or there is a reason.
func TestSwap(t *testing.T) {
	swapped := 0
	rapid.Check(t, func(rt *rapid.T) {
		in := term(t, rapid.IntRange(0, 12).Draw(rt, "days"))
		in.Plan.Entries = slices.Clone(in.Plan.Entries)
		for i := range in.Plan.Entries {
			in.Plan.Entries[i].Interleave = true
		}
		r := routine.Build(in)
		if len(r.Items) == 0 {
			return
		}
		n := rapid.IntRange(1, len(r.Items)).Draw(rt, "item")
		e := rapid.SampledFrom(in.Plan.Entries).Draw(rt, "study")
		lines := in.Catalogue.Study(e.Study).Lines
		line := e.Study.Line(rapid.IntRange(1, len(lines)).Draw(rt, "line"))
		in.Number = 2
		got, err := routine.Swap(in, r, n, line)
		if err != nil {
			if !strings.Contains(err.Error(), " ") || len(got.Items) != 0 {
				rt.Errorf("no swap because %q, and still %d items", err, len(got.Items))
			}
			return
		}
		swapped++
		checkSwap(rt, in, r, got, n, line)
	})
	if swapped < 10 {
		t.Errorf("only %d swaps of all that were tried were allowed", swapped)
	}
}

func checkSwap(t *rapid.T, in routine.Input, r, got routine.Routine, n int, line routine.LineRef) {
	if got.Number != 2 || len(got.Items) != len(r.Items) || got.Minutes > max(r.Minutes, in.Player.Minutes) {
		t.Errorf("number %d, %d items of %d, %d minutes of %d", got.Number, len(got.Items), len(r.Items), got.Minutes, r.Minutes)
	}
	seen, minutes := 0, 0
	for i, it := range got.Items {
		minutes += it.Minutes + it.Rest
		checkTurns(t, got, routine.PlanEntry{Interleave: true}, it)
		if it.N != i+1 {
			t.Errorf("item %d is numbered %d", i+1, it.N)
		}
		if slices.Contains(it.Lines, line) {
			seen++
		}
		if slices.Equal(it.Lines, r.Items[n-1].Lines) && it.Reason == r.Items[n-1].Reason {
			t.Errorf("the item swapped out is still there: %+v", it)
		}
		if i > 0 && (it.Hard && got.Items[i-1].Hard || places[it.Skill] < places[got.Items[i-1].Skill]) {
			t.Errorf("item %d is out of order\n%s", i+1, card(got))
		}
	}
	if seen != 1 || minutes != got.Minutes {
		t.Errorf("the line is there %d times; %d minutes are said to be %d", seen, minutes, got.Minutes)
	}
}

func TestSwapSaysWhyNot(t *testing.T) {
	in := student(t)
	in.Player.Highest = 76
	r := routine.Build(in)
	in.Number = 2
	top := len(in.Catalogue.Study(ref("upward-gently/1")).Lines)
	for _, c := range []struct {
		item int
		line routine.LineRef
		want string
	}{
		{99, ref("slur-atlas/1").Line(1), "no-such-item 99"},
		{1, ref("daily-ground/3").Line(1), "not-on-plan"},
		{1, ref("upward-gently/1").Line(top), "above-range"},
		{2, r.Items[0].Lines[0], "on-routine"},
	} {
		if _, err := routine.Swap(in, r, c.item, c.line); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("swapping item %d for %v: %v, want %q", c.item, c.line, err, c.want)
		}
	}
}

func TestCheckPlanOfTheTeachersMeans(t *testing.T) {
	in := student(t)
	for _, c := range []struct {
		change func(*routine.PlanEntry)
		want   string
	}{
		{func(e *routine.PlanEntry) { e.Together, e.Ladder, e.TestEvery = 3, 5, 14 }, ""},
		{func(e *routine.PlanEntry) { e.Together = 13 }, "together 13"},
		{func(e *routine.PlanEntry) { e.Ladder = 40 }, "ladder 40%"},
		{func(e *routine.PlanEntry) { e.TestEvery = 61 }, "test-every 61"},
		{func(e *routine.PlanEntry) { e.Study, e.TestEvery = ref("slur-atlas/1"), 14 }, "no line of repeated notes"},
	} {
		plan := planOf("the-articulate-hour/1")
		c.change(&plan.Entries[0])
		problems := in.Catalogue.CheckPlan(plan, in.Player)
		if c.want == "" && len(problems) > 0 || c.want != "" && (len(problems) != 1 || !strings.Contains(problems[0].What, c.want)) {
			t.Errorf("problems of %+v: %v, want %q", plan.Entries[0], problems, c.want)
		}
	}
}
