package routine_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

// TestExplainAgreesWithBuild checks that the explanation is of the routine that
// Build makes, and that every line of the plan is accounted for once, on the
// routine or with a reason why not.
func TestExplainAgreesWithBuild(t *testing.T) {
	c := harbour(t)
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t, c)
		x, r := routine.Explain(in), routine.Build(in)
		if !reflect.DeepEqual(x.Routine, r) {
			t.Fatalf("explained\n%s\nbuilt\n%s", card(x.Routine), card(r))
		}
		if r.Minutes > x.Budget {
			t.Errorf("%d minutes, budget %d", r.Minutes, x.Budget)
		}
		seen := map[routine.LineRef]string{}
		account := func(study routine.StudyRef, lines []int, why string) {
			for _, n := range lines {
				if before, twice := seen[study.Line(n)]; twice {
					t.Errorf("%v is accounted for twice: %q and %q", study.Line(n), before, why)
				}
				seen[study.Line(n)] = why
			}
		}
		items := 0
		for _, cand := range x.Candidates {
			account(cand.Study, cand.Lines, cand.Why.String())
			if cand.Why.IsZero() {
				t.Errorf("no reason for %+v", cand)
			}
			if cand.Item > 0 {
				items++
				if it := r.Item(cand.Item); it.Study != cand.Study || len(it.Lines) != len(cand.Lines) || it.Reason != cand.Why {
					t.Errorf("candidate %+v is said to be item %+v", cand, it)
				}
			}
		}
		if items != len(r.Items) {
			t.Errorf("%d candidates are on the routine, it has %d items", items, len(r.Items))
		}
		away := map[routine.StudyRef]bool{}
		for _, k := range x.KeptOut {
			account(k.Study, k.Lines, k.Why.String())
			away[k.Study] = away[k.Study] || k.Lines == nil
		}
		for _, e := range in.Plan.Entries {
			for _, l := range c.Study(e.Study).Lines {
				work := len(e.Lines) == 0 || slices.Contains(e.Lines, l.Number) || slices.Contains(e.Pinned, l.Number)
				if _, told := seen[e.Study.Line(l.Number)]; work && !told && !away[e.Study] {
					t.Errorf("nothing is said of line %v", e.Study.Line(l.Number))
				}
			}
		}
	})
}

func TestExplainSaysWhyNot(t *testing.T) {
	in := student(t)
	in.Minutes = 25
	stands(&in, "daily-ground/2", 1, played(in.Date-3, 72, routine.Clean))
	kept(&in, in.Date-1, false)
	whys := map[string]bool{}
	for _, c := range routine.Explain(in).Candidates {
		if c.Item == 0 {
			whys[c.Why.String()] = true
		}
	}
	if !whys["no-minutes"] {
		t.Errorf("a short day leaves things out because of %v", whys)
	}
	in.Minutes, in.Player.Minutes, in.Player.Level = 0, 180, routine.Advanced
	clear(whys)
	for _, c := range routine.Explain(in).Candidates {
		if c.Item == 0 {
			whys[c.Why.String()] = true
		}
	}
	if !whys["enough"] && !whys["not-needed"] {
		t.Errorf("a long day leaves things out because of %v", whys)
	}
}

// TestExplainStrain asks for range work twice in a row, with nothing softer of
// the skill to part it.
func TestExplainStrain(t *testing.T) {
	in := student(t)
	in.Player.Minutes, in.Player.Level = 180, routine.Advanced
	in.Plan.Entries[4].Pinned = []int{1, 3}
	found := false
	for _, c := range routine.Explain(in).Candidates {
		found = found || (c.Study == ref("upward-gently/1") && c.Why.Kind == routine.BesideStrenuous)
	}
	if !found {
		t.Error("nothing of the second range line is said to stand next to something strenuous")
	}
}

func TestPreview(t *testing.T) {
	in := term(t, 40)
	in.Player.Off = 1 // Sundays
	before := len(in.Standings)
	week := routine.Preview(in, 7)
	if len(week) != 7 {
		t.Fatalf("%d days, want 7", len(week))
	}
	if !reflect.DeepEqual(week[0], routine.Build(in)) || len(in.Standings) != before {
		t.Errorf("the first day is not today's routine, or the input has changed")
	}
	hardDays := 0
	for i, r := range week {
		if r.Date != in.Date+routine.Date(i) {
			t.Errorf("day %d is %v", i, r.Date)
		}
		if off := r.Date.Weekday() == 0; off != (len(r.Items) == 0) || (off && r.Note.IsZero()) {
			t.Errorf("%v, day off %v, has %d items and the note %q", r.Date, off, len(r.Items), r.Note)
		}
		if !anyHard(r) {
			hardDays = 0
		} else if hardDays++; hardDays > 2 {
			t.Errorf("%v is the third hard day in a row", r.Date)
		}
		if i > 0 {
			for _, it := range r.Items {
				for _, l := range it.Lines {
					if onRoutine(week[i-1], l) {
						t.Errorf("%v: %v comes on consecutive days", r.Date, l)
					}
				}
			}
		}
	}
	if none := routine.Preview(in, 0); len(none) != 0 {
		t.Errorf("no days give %d routines", len(none))
	}
}

func onRoutine(r routine.Routine, l routine.LineRef) bool {
	return slices.ContainsFunc(r.Items, func(it routine.Item) bool { return slices.Contains(it.Lines, l) })
}

// TestPreviewForgetsToday checks that what is only so today ends with the day.
func TestPreviewForgetsToday(t *testing.T) {
	in := student(t)
	in.Minutes, in.Quiet = 20, true
	days := routine.Preview(in, 2)
	if days[0].Minutes > 20 || !strings.Contains(days[0].Note.String(), "day-quiet") {
		t.Errorf("today has %d minutes and the note %q", days[0].Minutes, days[0].Note)
	}
	if days[1].Minutes <= 20 || !days[1].Note.IsZero() {
		t.Errorf("tomorrow has %d minutes and the note %q", days[1].Minutes, days[1].Note)
	}
}

// TestKeysAreSpread counts the scales of a fortnight: no key twice on one day,
// and none twice while another waits for its turn.
func TestKeysAreSpread(t *testing.T) {
	in := student(t)
	in.Plan = planOf("daily-ground/1", "daily-ground/2", "daily-ground/3")
	for _, r := range routine.Preview(in, 14) {
		keys := map[string]bool{}
		for _, it := range r.Items {
			if it.Study == ref("daily-ground/2") {
				if keys[it.Key] {
					t.Errorf("%v has %s twice", r.Date, it.Key)
				}
				keys[it.Key] = true
			}
		}
	}
}

// strenuous returns the strenuous minutes of a routine.
func strenuous(r routine.Routine) (minutes int) {
	for _, it := range r.Items {
		if it.Hard {
			minutes += it.Minutes
		}
	}
	return minutes
}

// TestMissedDaysAreNotCaughtUp leaves out some days of a term and checks that
// the next routine is no longer than those before, within a tenth: whole items
// rarely fill the same minutes.
func TestMissedDaysAreNotCaughtUp(t *testing.T) {
	c := harbour(t)
	rapid.Check(t, func(t *rapid.T) {
		in := routine.Input{
			Date: day(1), Number: 1, Seed: rapid.Uint64().Draw(t, "seed"), Catalogue: c,
			Player: routine.Player{
				Instrument: "trumpet", Level: routine.Advanced, Highest: 81,
				Minutes: rapid.IntRange(15, 180).Draw(t, "minutes"),
			},
			Plan:      planOf("daily-ground/1", "daily-ground/2", "slur-atlas/1", "upward-gently/1"),
			Standings: map[routine.StandingKey]routine.Standing{},
		}
		clean := func(routine.Item) routine.Outcome { return routine.Clean }
		longest, hardest := 0, 0
		for in.Date < day(30) {
			r := routine.Build(in)
			longest, hardest = max(longest, r.Minutes), max(hardest, strenuous(r))
			answer(&in, r, clean)
		}
		in.Date += routine.Date(rapid.IntRange(1, 40).Draw(t, "missed"))
		if r := routine.Build(in); r.Minutes > longest+longest/10 {
			t.Errorf("after days missed %d minutes, never more than %d before", r.Minutes, longest)
		} else if got := strenuous(r); got > hardest+2 {
			t.Errorf("after days missed %d strenuous minutes, never more than %d before", got, hardest)
		}
	})
}
