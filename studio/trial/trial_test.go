package trial_test

import (
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"ledgerline/adapters/yaml"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
	"ledgerline/studio/trial"
)

// plans returns the plans of the demo's students, bare.
func plans(t testing.TB) []trial.Scenario {
	t.Helper()
	books, problems := yaml.ReadCatalogue(harbour.Files, "books")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	roster, problems := yaml.ReadRoster(harbour.Files, "studio.yaml", books)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	var plans []trial.Scenario
	for _, m := range roster.Members {
		if m.Role != studio.Student {
			continue
		}
		s := trial.Scenario{Name: string(m.ID), Catalogue: books, Player: m.Player, Plan: roster.Plans[m.ID]}
		for _, o := range m.Off {
			s.Player.Off = o.Off
		}
		plans = append(plans, s.Bare())
	}
	return plans
}

// full says that the whole trial is asked for: TRIAL=full.
func full() bool { return os.Getenv("TRIAL") == "full" }

// TestTrial measures the builder against the same minutes in plain order and at
// random, and prints the report. What it asserts holds for any sensible builder:
// a day built is not a disaster beside a day at random, at the start it is a
// gain, and no two strenuous items are neighbours.
func TestTrial(t *testing.T) {
	tr := trial.Trial{Scenarios: plans(t), Students: 27, Days: 120, Seed: 1, Model: trial.Base(), Passes: true}
	others, variants := trial.Others()[:4], trial.Variants()[:0]
	if full() {
		tr.Students, tr.Days = 207, 180
		others, variants = trial.Others(), trial.Variants()
	}
	if seed, err := strconv.ParseUint(os.Getenv("TRIAL_SEED"), 10, 32); err == nil {
		tr.Seed = seed
	}
	var text strings.Builder
	r := tr.Report(&text, variants, others)
	if full() {
		tr.Passes = false
		text.WriteString("\nNo pass is ever opened: the first plan is all there is.\n\n")
		tr.Report(&text, nil, others)
	}
	t.Log("\n" + text.String())

	builder, measures := trial.Builder().Name, trial.Measures(tr.Days)
	for _, other := range []string{"plain", "random"} {
		if q := r.Ratio(measures[0], builder, other); q.Low < 0.75 {
			t.Errorf("%s, builder over %s: %v, want no less than three quarters", measures[0].Name, other, q)
		}
		if q := r.Ratio(measures[2], builder, other); q.High < 1 {
			t.Errorf("%s, builder over %s: %v, want it not to lose from the start", measures[2].Name, other, q)
		}
	}
	for i, l := range r.Lives[builder] {
		if l.Beside > 0 || l.Third > 0 {
			t.Errorf("student %d: %d strenuous items side by side and %d third strenuous days in the builder's routines", i, l.Beside, l.Third)
		}
	}
}

// TestCalibration measures forecasts and the finding of plateaus on simulated
// students who play the builder's routines, and one line in five of whom stops
// short of its goal.
func TestCalibration(t *testing.T) {
	tr := trial.Trial{Scenarios: plans(t), Students: 9, Days: 545, Seed: 2, Model: trial.Base(), Keep: true}
	tr.Model.Stuck = 0.2
	if full() {
		tr.Students, tr.Days = 135, 725
	}
	r := tr.Run()
	var text strings.Builder
	c, f := r.Forecasts(trial.Builder().Name), r.Plateaus(trial.Builder().Name)
	c.Write(&text)
	f.Write(&text)
	t.Log("\n" + text.String())
	if c.Held.Of == 0 || c.Held.Value() < 0.5 {
		t.Errorf("the ranges hold the date in %v", c.Held)
	}
	if f.Moving.Of == 0 || f.Moving.Value() > 0.1 {
		t.Errorf("called stuck though moving: %v of days", f.Moving)
	}
}

// The same trial gives the same lives, however many run at a time, and another
// seed other ones.
func TestTrialIsRepeatable(t *testing.T) {
	tr := trial.Trial{Scenarios: plans(t), Students: 9, Days: 40, Seed: 3, Model: trial.Base(), Passes: true, Keep: true}
	a, b := tr.Run(trial.Others()[:2]...), tr.Run(trial.Others()[:2]...)
	if !reflect.DeepEqual(a.Lives, b.Lives) {
		t.Error("the same trial gave other lives")
	}
	tr.Seed++
	if reflect.DeepEqual(a.Lives, tr.Run(trial.Others()[:2]...).Lives) {
		t.Error("another seed gave the same lives")
	}
}

// A life under another policy has the minutes of the builder's, to within what is
// left over at the end of a day. The plans of the demo keep everybody busy for two
// months.
func TestSameMinutes(t *testing.T) {
	tr := trial.Trial{Scenarios: plans(t), Students: 9, Days: 60, Seed: 4, Model: trial.Base(), Passes: true}
	tr.Model.Habits = false
	r := tr.Run(trial.Others()[:4]...)
	for _, p := range trial.Others()[:4] {
		for i, l := range r.Lives[p.Name] {
			built := r.Lives[trial.Builder().Name][i]
			if d := built.Minutes - l.Minutes; d < 0 || d > 20 {
				t.Errorf("%s, student %d: %d minutes, the builder had %d", p.Name, i, l.Minutes, built.Minutes)
			}
		}
	}
}

// Plain order goes through a book and begins where it stopped.
func TestPlainOrder(t *testing.T) {
	tr := trial.Trial{Scenarios: plans(t)[1:2], Students: 1, Days: 20, Seed: 5, Model: trial.Base(), Keep: true}
	plain := trial.Others()[0]
	r := tr.Run(plain)
	var order []routine.LineRef
	bySeq := map[int64]routine.LineRef{}
	for _, entries := range r.Lives[plain.Name][0].Log {
		for _, e := range entries {
			bySeq[e.Seq] = e.Lines[0]
		}
	}
	for seq := int64(1); bySeq[seq] != (routine.LineRef{}); seq++ {
		order = append(order, bySeq[seq])
	}
	place := func(l routine.LineRef) int {
		for i, b := range tr.Scenarios[0].Catalogue.Books {
			if b.ID == l.Book {
				return i*10000 + l.Study*100 + l.Line
			}
		}
		return -1
	}
	rounds := 0
	for i := 1; i < len(order); i++ {
		if place(order[i]) <= place(order[i-1]) {
			rounds++
		}
	}
	t.Logf("%d items in %d rounds of the books", len(order), rounds+1)
	if len(order) < 40 || rounds < 1 || rounds > len(order)/15 {
		t.Errorf("%d items in %d rounds", len(order), rounds+1)
	}
}

func BenchmarkTrial(b *testing.B) {
	tr := trial.Trial{Scenarios: plans(b), Students: 9, Days: 120, Seed: 1, Model: trial.Base(), Passes: true}
	for _, p := range trial.Others()[:2] {
		b.Run(p.Name, func(b *testing.B) {
			for b.Loop() {
				tr.Run(p)
			}
		})
	}
}
