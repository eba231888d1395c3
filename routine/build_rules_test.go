package routine_test

import (
	"maps"
	"reflect"
	"slices"
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

// drawInput draws a student of the harbour studio on any day: any plan, any
// standings, any recent past.
func drawInput(t *rapid.T, c *routine.Catalogue) routine.Input {
	in := routine.Input{
		Date: day(rapid.IntRange(1, 200).Draw(t, "date")), Number: 1,
		Seed: rapid.Uint64().Draw(t, "seed"), Catalogue: c,
		Player: routine.Player{
			Instrument: "trumpet",
			Level:      rapid.SampledFrom(routine.Levels()).Draw(t, "level"),
			Minutes:    rapid.IntRange(1, 200).Draw(t, "minutes"),
			Highest:    rapid.SampledFrom([]routine.Pitch{0, 72, 76, 79, 84}).Draw(t, "highest"),
			Off:        routine.Weekday(rapid.IntRange(0, 127).Draw(t, "off")),
		},
		Standings: map[routine.StandingKey]routine.Standing{},
	}
	if rapid.Bool().Draw(t, "performs") {
		in.Player.Performances = []routine.Date{in.Date + routine.Date(rapid.IntRange(-2, 3).Draw(t, "performance"))}
	}
	in.Quiet = rapid.IntRange(0, 4).Draw(t, "quiet") == 0
	if rapid.Bool().Draw(t, "short") {
		in.Minutes = rapid.IntRange(1, 30).Draw(t, "today")
	}
	in.Plan = drawPlan(t, c, in.Date)
	drawStandings(t, c, &in)
	drawHistory(t, &in)
	return in
}

func drawPlan(t *rapid.T, c *routine.Catalogue, date routine.Date) routine.Plan {
	var p routine.Plan
	for _, b := range c.Books {
		for _, s := range b.Studies {
			if rapid.IntRange(0, 3).Draw(t, "on plan") == 0 {
				continue
			}
			e := routine.PlanEntry{
				Study: routine.StudyRef{Book: b.ID, Study: s.Number},
				Pass:  rapid.IntRange(1, len(s.Passes)).Draw(t, "pass"),
				Since: date - routine.Date(rapid.IntRange(0, 100).Draw(t, "since")),
				Hold:  rapid.IntRange(0, 7).Draw(t, "hold") == 0,

				Interleave: rapid.Bool().Draw(t, "interleave"),
			}
			for _, l := range s.Lines {
				switch rapid.IntRange(0, 11).Draw(t, "line") {
				case 0:
					e.Pinned = append(e.Pinned, l.Number)
				case 1, 2, 3:
					e.Lines = append(e.Lines, l.Number)
				}
			}
			if rapid.IntRange(0, 5).Draw(t, "adds") == 0 {
				e.Add = routine.Demands{
					Fingering: rapid.SampledFrom([]routine.Demand{"", routine.ThirdValve}).Draw(t, "fingering"),
					Dynamic:   rapid.SampledFrom([]routine.Demand{"", routine.Forte, routine.Piano}).Draw(t, "dynamic"),
				}
			}
			if rapid.IntRange(0, 5).Draw(t, "locks") == 0 {
				e.Lock = routine.Tempo{BPM: rapid.SampledFrom(routine.Marks()).Draw(t, "lock"), Note: routine.Quarter}
			}
			p.Entries = append(p.Entries, e)
		}
	}
	return p
}

func drawStandings(t *rapid.T, c *routine.Catalogue, in *routine.Input) {
	states := []routine.State{routine.Working, routine.Working, routine.AtTempo, routine.Ready, routine.Passed, routine.Slipped}
	outcomes := []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Done}
	for _, e := range in.Plan.Entries {
		for _, l := range c.Study(e.Study).Lines {
			for pass := 1; pass <= e.Pass; pass++ {
				if rapid.IntRange(0, 2).Draw(t, "played") == 0 {
					continue
				}
				s := routine.Standing{
					State:       rapid.SampledFrom(states).Draw(t, "state"),
					Mark:        routine.Tempo{BPM: rapid.SampledFrom(routine.Marks()).Draw(t, "mark"), Note: routine.Quarter},
					Last:        in.Date - routine.Date(rapid.IntRange(1, 80).Draw(t, "last")),
					LastOutcome: rapid.SampledFrom(outcomes).Draw(t, "outcome"),
					Plays:       rapid.IntRange(1, 50).Draw(t, "plays"),
				}
				s.Best = s.Mark
				if s.LastOutcome == routine.Missed {
					s.Misses = rapid.IntRange(1, 5).Draw(t, "misses")
				}
				if s.LastOutcome == routine.Done {
					s.Dones = rapid.IntRange(1, 5).Draw(t, "dones")
				}
				if s.State == routine.Passed {
					s.Due = in.Date + routine.Date(rapid.IntRange(-30, 20).Draw(t, "due"))
				}
				in.Standings[routine.StandingKey{Line: e.Study.Line(l.Number), Pass: pass}] = s
			}
		}
	}
}

func drawHistory(t *rapid.T, in *routine.Input) {
	for back := rapid.IntRange(0, 70).Draw(t, "days"); back > 0; back-- {
		if rapid.IntRange(0, 2).Draw(t, "reported") == 0 {
			continue
		}
		d := routine.DayLog{Date: in.Date - routine.Date(back), Kept: rapid.IntRange(0, 4).Draw(t, "kept") > 0}
		d.Hard = d.Kept && rapid.Bool().Draw(t, "hard")
		d.Pain = rapid.IntRange(0, 40).Draw(t, "pain") == 0
		in.History.Days = append(in.History.Days, d)
	}
	in.History.Hurting = rapid.IntRange(0, 5).Draw(t, "hurting") == 0
}

// TestBuildKeepsTheRules checks, against any input, every rule that is never to
// be broken.
func TestBuildKeepsTheRules(t *testing.T) {
	c := harbour(t)
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t, c)
		checkRules(t, in, routine.Build(in))
	})
}

// checkRules reads a routine as a strict teacher would.
func checkRules(t *rapid.T, in routine.Input, r routine.Routine) {
	t.Helper()
	if r.Date != in.Date || r.Caution != in.History.Hurting {
		t.Errorf("date %v and caution %v, want %v and %v", r.Date, r.Caution, in.Date, in.History.Hurting)
	}
	checkMinutes(t, in, r)
	checkOrder(t, r)
	checkStrain(t, in, r)
	entries := map[routine.StudyRef]routine.PlanEntry{}
	for _, e := range in.Plan.Entries {
		entries[e.Study] = e
	}
	seen := map[routine.LineRef]bool{}
	for i, it := range r.Items {
		if it.N != i+1 || it.Reason.IsZero() || len(it.Lines) == 0 {
			t.Errorf("item %d has number %d, reason %q, %d lines", i+1, it.N, it.Reason, len(it.Lines))
		}
		e, onPlan := entries[it.Study]
		if !onPlan || e.Hold {
			t.Errorf("item %d: %v is not on the plan or held", it.N, it.Study)
			continue
		}
		checkDemands(t, in, e, it)
		checkTurns(t, r, e, it)
		for _, ref := range it.Lines {
			if seen[ref] {
				t.Errorf("line %v comes twice", ref)
			}
			seen[ref] = true
			checkLine(t, in, e, it, ref)
		}
	}
}

// checkTurns checks that items that take turns are soft, of the same place of the
// day, of different studies that the plan interleaves, and say so of each other.
func checkTurns(t *rapid.T, r routine.Routine, e routine.PlanEntry, it routine.Item) {
	t.Helper()
	if len(it.With) > 0 && (len(it.With) > 2 || it.Hard || it.Test || it.Review || !e.Interleave) {
		t.Errorf("item %d takes turns with %v: %+v", it.N, it.With, it)
	}
	for _, n := range it.With {
		other := r.Item(n)
		if other == nil || !slices.Contains(other.With, it.N) || other.Study == it.Study || places[other.Skill] != places[it.Skill] {
			t.Errorf("item %d takes turns with %d: %+v", it.N, n, other)
		}
	}
}

func checkMinutes(t *rapid.T, in routine.Input, r routine.Routine) {
	t.Helper()
	sum := 0
	for _, it := range r.Items {
		sum += it.Minutes + it.Rest
		if it.Minutes < 1 || it.Minutes > 10 || 2*it.Rest < it.Minutes || (it.Hard && it.Rest < it.Minutes) {
			t.Errorf("item %d: %d minutes and %d of rest, strenuous %v", it.N, it.Minutes, it.Rest, it.Hard)
		}
	}
	if sum != r.Minutes {
		t.Errorf("minutes %d, but the items add up to %d", r.Minutes, sum)
	}
	caps := map[routine.Level]int{routine.Beginner: 40, routine.Growing: 90, routine.Advanced: 180}
	budget := min(in.Player.Minutes, caps[in.Player.Level])
	if in.Minutes > 0 {
		budget = min(budget, in.Minutes)
	}
	if r.Minutes > budget {
		t.Errorf("%d minutes with a budget of %d", r.Minutes, budget)
	}
	if in.History.Hurting && 2*r.Minutes > in.Player.Minutes {
		t.Errorf("%d minutes of %d while something hurts", r.Minutes, in.Player.Minutes)
	}
}

// places is the order of a day: warm-up, flexibility, technique and articulation,
// range, music, warm-down.
var places = map[routine.Skill]int{
	routine.WarmUp: 1, routine.Flexibility: 2, routine.Technique: 3, routine.Articulation: 3, routine.Range: 4,
	routine.SightReading: 5, routine.Transposition: 5, routine.Etude: 5, routine.WarmDown: 6,
}

func checkOrder(t *rapid.T, r routine.Routine) {
	t.Helper()
	for i := 1; i < len(r.Items); i++ {
		if places[r.Items[i-1].Skill] > places[r.Items[i].Skill] {
			t.Errorf("%s comes after %s", r.Items[i].Skill, r.Items[i-1].Skill)
		}
		if r.Items[i-1].Hard && r.Items[i].Hard {
			t.Errorf("items %d and %d are both strenuous", i, i+1)
		}
	}
}

func checkStrain(t *rapid.T, in routine.Input, r routine.Routine) {
	t.Helper()
	hard := func(back routine.Date) bool {
		return slices.ContainsFunc(in.History.Days, func(d routine.DayLog) bool {
			return d.Date == in.Date-back && d.Kept && d.Hard
		})
	}
	near := slices.ContainsFunc(in.Player.Performances, func(p routine.Date) bool {
		return p == in.Date || p == in.Date+1
	})
	hurt := slices.ContainsFunc(in.History.Days, func(d routine.DayLog) bool {
		return d.Pain && d.Date == in.Date-1
	})
	soft := in.History.Hurting || near || hurt || (hard(1) && hard(2))
	if soft && (!r.Light || r.Note.IsZero()) {
		t.Errorf("a day that must be light is not marked so: light %v, note %q", r.Light, r.Note)
	}
	for _, it := range r.Items {
		loud := it.Demands.Dynamic == routine.Forte || it.Demands.Dynamic == routine.Fortissimo
		if (it.Skill == routine.Range || loud) && !it.Hard {
			t.Errorf("item %d is range or loud and not strenuous", it.N)
		}
		if soft && it.Hard {
			t.Errorf("item %d is strenuous on a day that must be soft", it.N)
		}
		if in.Quiet && (loud || it.Loud) || loud && !it.Loud {
			t.Errorf("item %d is loud when it must be quiet, or loud and doesn't say so", it.N)
		}
	}
}

func checkDemands(t *rapid.T, in routine.Input, e routine.PlanEntry, it routine.Item) {
	t.Helper()
	s := in.Catalogue.Study(it.Study)
	p := s.Pass(it.Pass)
	if p == nil || it.Pass > e.Pass {
		t.Errorf("item %d asks for pass %d of %v, the plan for %d", it.N, it.Pass, it.Study, e.Pass)
		return
	}
	for _, d := range it.Demands.List() {
		if s.First[d] > it.Pass {
			t.Errorf("item %d asks for %s in pass %d, allowed from %d", it.N, d, it.Pass, s.First[d])
		}
		own := slices.Contains(p.Demands.List(), d)
		added := it.Pass == e.Pass && slices.Contains(e.Add.List(), d)
		if !own && !added {
			t.Errorf("item %d asks for %s, which neither pass %d nor the plan does", it.N, d, it.Pass)
		}
	}
	if it.To.Compare(p.Demands.To) > 0 || it.From.Compare(it.To) > 0 {
		t.Errorf("item %d goes from %v to %v with the goal %v", it.N, it.From, it.To, p.Demands.To)
	}
}

func checkLine(t *rapid.T, in routine.Input, e routine.PlanEntry, it routine.Item, ref routine.LineRef) {
	t.Helper()
	l := in.Catalogue.Line(ref)
	if in.Player.Highest != 0 && l.High > in.Player.Highest {
		t.Errorf("line %v reaches %v, the player %v", ref, l.High, in.Player.Highest)
	}
	pinned := slices.Contains(e.Pinned, l.Number)
	work := len(e.Lines) == 0 || slices.Contains(e.Lines, l.Number)
	if it.Pass == e.Pass && !pinned && !work {
		t.Errorf("line %v is not in work", ref)
	}
	yesterday, troubled := false, false
	for pass := 1; pass <= e.Pass; pass++ {
		if s := in.Standings[routine.StandingKey{Line: ref, Pass: pass}]; s.Last == in.Date-1 {
			yesterday = true
			troubled = troubled || s.LastOutcome == routine.Shaky || s.LastOutcome == routine.Missed
		}
	}
	if yesterday && !troubled && !pinned && in.Catalogue.Study(it.Study).Cycle > 1 {
		t.Errorf("line %v was played yesterday, and well", ref)
	}
	now := in.Standings[routine.StandingKey{Line: ref, Pass: it.Pass}]
	daily := it.Skill == routine.WarmUp || it.Skill == routine.WarmDown
	if now.State == routine.Passed && !pinned && !daily && (now.Due == 0 || now.Due > in.Date) {
		t.Errorf("line %v is passed and due on %v", ref, now.Due)
	}
}

// TestBuildIsDeterministic builds from copies of one input whose maps were
// filled in another order.
func TestBuildIsDeterministic(t *testing.T) {
	c := harbour(t)
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t, c)
		again := in
		again.Standings = maps.Clone(in.Standings)
		again.History.Days = slices.Clone(in.History.Days)
		if one, two := routine.Build(in), routine.Build(again); !reflect.DeepEqual(one, two) {
			t.Errorf("the same input gives\n%s\nand\n%s", card(one), card(two))
		}
	})
}
