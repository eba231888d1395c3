package routine_test

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
)

// student returns a growing player with everything on her plan, on the first
// day of term.
func student(t testing.TB) routine.Input {
	return routine.Input{
		Date: day(1), Number: 1, Seed: 7, Catalogue: harbour(t),
		Player: routine.Player{Instrument: "trumpet", Level: routine.Growing, Minutes: 60, Highest: 81},
		Plan: planOf("daily-ground/1", "daily-ground/2", "slur-atlas/1", "the-articulate-hour/1",
			"upward-gently/1", "twelve-harbour-pieces/1"),
		Standings: map[routine.StandingKey]routine.Standing{},
	}
}

// played returns a working line last played on a date.
func played(on routine.Date, bpm float64, o routine.Outcome) routine.Standing {
	s := routine.Standing{
		State: routine.Working, Plays: 4, Last: on, LastOutcome: o,
		Mark: routine.Tempo{BPM: bpm, Note: routine.Quarter},
	}
	if o == routine.Missed {
		s.Misses = 1
	}
	return s
}

// stands gives every line of a study the same standing in a pass.
func stands(in *routine.Input, study string, pass int, s routine.Standing) {
	for _, l := range in.Catalogue.Study(ref(study)).Lines {
		in.Standings[routine.StandingKey{Line: ref(study).Line(l.Number), Pass: pass}] = s
	}
}

// kept adds days played to the history, hard or not, ending on the given date.
func kept(in *routine.Input, last routine.Date, hard ...bool) {
	for i, h := range hard {
		in.History.Days = append(in.History.Days, routine.DayLog{
			Date: last - routine.Date(len(hard)-1-i), Kept: true, Minutes: 30, Hard: h,
		})
	}
}

func anyHard(r routine.Routine) bool {
	return slices.ContainsFunc(r.Items, func(it routine.Item) bool { return it.Hard })
}

// item returns the item of a study that holds a line, or fails.
func item(t *testing.T, r routine.Routine, study string, line int) routine.Item {
	t.Helper()
	for _, it := range r.Items {
		if it.Study == ref(study) && slices.Contains(it.Lines, ref(study).Line(line)) {
			return it
		}
	}
	t.Fatalf("line %d of %s is not on the routine\n%s", line, study, card(r))
	return routine.Item{}
}

func TestRulesOfTheDay(t *testing.T) {
	tests := []struct {
		name    string
		set     func(*routine.Input)
		light   bool
		hard    bool
		most    int // minutes
		noteHas string
	}{
		{"an ordinary day", func(in *routine.Input) {}, false, true, 60, ""},
		{"one hard day behind", func(in *routine.Input) { kept(in, in.Date-1, false, true) }, false, true, 60, ""},
		{"two hard days behind", func(in *routine.Input) { kept(in, in.Date-1, true, true) }, true, false, 60, "day-after-hard"},
		{"two hard days, then a soft one", func(in *routine.Input) { kept(in, in.Date-1, true, true, false) }, false, true, 60, ""},
		{"two hard days, then none", func(in *routine.Input) { kept(in, in.Date-2, true, true) }, false, true, 60, ""},
		{"tomorrow she performs", func(in *routine.Input) { in.Player.Performances = []routine.Date{in.Date + 1} }, true, false, 36, "day-perform-tomorrow"},
		{"today she performs", func(in *routine.Input) { in.Player.Performances = []routine.Date{in.Date} }, true, false, 36, "day-perform-today"},
		{"in two days she performs", func(in *routine.Input) { in.Player.Performances = []routine.Date{in.Date + 2} }, false, true, 60, ""},
		{"something hurts", func(in *routine.Input) { in.History.Hurting = true }, true, false, 30, "day-hurting"},
		{"hurt yesterday, gone today", func(in *routine.Input) {
			in.History.Days = []routine.DayLog{{Date: in.Date - 1, Kept: true, Pain: true}}
		}, true, false, 36, "day-after-pain"},
		{"said gone two days ago", func(in *routine.Input) {
			in.History.Days = []routine.DayLog{{Date: in.Date - 2, Kept: true, PainGone: true}}
		}, true, false, 36, "day-after-pain"},
		{"hurt three days ago", func(in *routine.Input) {
			in.History.Days = []routine.DayLog{{Date: in.Date - 3, Kept: true, Pain: true}}
		}, false, true, 60, ""},
		{"nine days away", func(in *routine.Input) { kept(in, in.Date-9, true) }, false, true, 60, ""},
		{"first day after ten days", func(in *routine.Input) { kept(in, in.Date-10, true) }, true, false, 45, "day-first-back 10"},
		{"second day after ten days", func(in *routine.Input) { kept(in, in.Date-11, true); kept(in, in.Date-1, false) }, true, true, 52, "day-back 2"},
		{"third day after ten days", func(in *routine.Input) { kept(in, in.Date-12, true); kept(in, in.Date-1, false, false) }, false, true, 60, ""},
		{"first day after three weeks", func(in *routine.Input) { kept(in, in.Date-21, true) }, true, false, 36, "day-first-back 21"},
		{"fourth day after three weeks", func(in *routine.Input) {
			kept(in, in.Date-24, true)
			kept(in, in.Date-1, false, false, false)
		}, true, true, 50, "day-back 4"},
		{"first day after fifty days", func(in *routine.Input) { kept(in, in.Date-50, true) }, true, false, 24, "day-first-back 50"},
		{"after more days than the history holds", func(in *routine.Input) {
			stands(in, "daily-ground/1", 1, played(in.Date-100, 60, routine.Clean))
		}, true, false, 24, "day-first-back 100"},
		{"only 15 minutes", func(in *routine.Input) { in.Minutes = 15 }, true, false, 15, "day-short"},
		{"more minutes than the budget", func(in *routine.Input) { in.Minutes = 120 }, false, true, 60, ""},
		{"some minutes played already", func(in *routine.Input) {
			in.History.Days = []routine.DayLog{{Date: in.Date, Kept: true, Minutes: 40}}
		}, false, true, 20, ""},
		{"a beginner with an hour", func(in *routine.Input) { in.Player.Level = routine.Beginner }, false, true, 40, ""},
		{"late in the evening", func(in *routine.Input) { in.Quiet = true }, false, false, 60, "day-quiet"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := student(t)
			tt.set(&in)
			r := routine.Build(in)
			if r.Light != tt.light || anyHard(r) != tt.hard || r.Minutes > tt.most || r.Minutes < tt.most*3/4 {
				t.Errorf("light %v, strenuous items %v, %d minutes; want %v, %v and most of %d\n%s",
					r.Light, anyHard(r), r.Minutes, tt.light, tt.hard, tt.most, card(r))
			}
			if (tt.noteHas == "") != r.Note.IsZero() || !strings.Contains(r.Note.String(), tt.noteHas) {
				t.Errorf("note %q, want it to say %q", r.Note, tt.noteHas)
			}
		})
	}
}

// TestRangeComesBackSlowly checks that the highest note of a first day after a
// lay-off lies below that of an ordinary day.
func TestRangeComesBackSlowly(t *testing.T) {
	in := student(t)
	in.Player.Minutes, in.Player.Level = 180, routine.Advanced
	kept(&in, in.Date-21, false)
	highest := routine.Pitch(0)
	for _, it := range routine.Build(in).Items {
		for _, l := range it.Lines {
			highest = max(highest, in.Catalogue.Line(l).High)
		}
	}
	// Three fifths of the minutes, so four semitones off A5.
	if want := in.Player.Highest - 4; highest > want || highest == 0 {
		t.Errorf("the first day goes up to %v, want at most %v", highest, want)
	}
}

func TestWhatComesAndWhy(t *testing.T) {
	const scales = "daily-ground/2"
	key := func(pass, line int) routine.StandingKey {
		return routine.StandingKey{Line: ref(scales).Line(line), Pass: pass}
	}
	tests := []struct {
		name   string
		set    func(*routine.Input)
		line   int
		pass   int
		to     float64
		reason string
	}{
		{"new", func(in *routine.Input) {}, 1, 1, 60, "new-in C"},
		{"shaky yesterday", func(in *routine.Input) {
			in.Standings[key(1, 5)] = played(in.Date-1, 72, routine.Shaky)
		}, 5, 1, 72, "again 1 shaky"},
		{"missed two days ago", func(in *routine.Input) {
			in.Standings[key(1, 5)] = played(in.Date-2, 72, routine.Missed)
		}, 5, 1, 72, "again 2 missed"},
		{"clean a cycle ago", func(in *routine.Input) {
			in.Standings[key(1, 5)] = played(in.Date-7, 72, routine.Clean)
		}, 5, 1, 76, "up-clean"},
		{"skipped over for long", func(in *routine.Input) {
			in.Standings[key(1, 5)] = played(in.Date-8, 72, routine.Shaky)
		}, 5, 1, 72, "last-time shaky"},
		{"done once", func(in *routine.Input) {
			s := played(in.Date-8, 72, routine.Done)
			s.Dones = 1
			in.Standings[key(1, 5)] = s
		}, 5, 1, 72, "round"},
		{"at tempo", func(in *routine.Input) {
			s := played(in.Date-7, 96, routine.Clean)
			s.State, s.CleanDays = routine.AtTempo, 2
			in.Standings[key(1, 5)] = s
		}, 5, 1, 96, "at-goal 2 3"},
		{"pinned though played yesterday", func(in *routine.Input) {
			in.Standings[key(1, 5)] = played(in.Date-1, 72, routine.Clean)
			in.Plan.Entries[1].Pinned = []int{5}
		}, 5, 1, 76, "pinned"},
		{"passed and due", func(in *routine.Input) {
			s := played(in.Date-16, 96, routine.Clean)
			s.State, s.Due = routine.Passed, in.Date
			in.Standings[key(1, 5)] = s
			kept(in, in.Date-1, false)
		}, 5, 1, 96, "review 16"},
		{"shaky at a review", func(in *routine.Input) {
			s := played(in.Date-1, 96, routine.Shaky)
			s.State, s.Due = routine.Passed, in.Date
			in.Standings[key(1, 5)] = s
		}, 5, 1, 96, "review-again 1 shaky"},
		{"clean below the goal", func(in *routine.Input) {
			in.Standings[key(1, 5)] = played(in.Date-7, 92, routine.Clean)
		}, 5, 1, 96, "up-to-goal"},
		{"an earlier pass, due", func(in *routine.Input) {
			in.Plan.Entries[1].Pass = 2
			stands(in, scales, 2, played(in.Date-2, 80, routine.Clean))
			s := played(in.Date-35, 96, routine.Clean)
			s.State, s.Due = routine.Passed, in.Date
			in.Standings[key(1, 5)] = s
		}, 5, 1, 96, "review 35"},
		{"an earlier pass, due, though it is its turn in this one", func(in *routine.Input) {
			in.Plan.Entries[1].Pass = 2
			stands(in, scales, 2, played(in.Date-2, 80, routine.Clean))
			in.Standings[key(2, 5)] = played(in.Date-5, 80, routine.Clean)
			s := played(in.Date-35, 96, routine.Clean)
			s.State, s.Due = routine.Passed, in.Date
			in.Standings[key(1, 5)] = s
		}, 5, 2, 84, "up-clean"},
		{"an earlier pass, overdue, though it is its turn in this one", func(in *routine.Input) {
			in.Plan.Entries[1].Pass = 2
			stands(in, scales, 2, played(in.Date-2, 80, routine.Clean))
			in.Standings[key(2, 5)] = played(in.Date-5, 80, routine.Clean)
			s := played(in.Date-35, 96, routine.Clean)
			s.State, s.Due = routine.Passed, in.Date-8
			in.Standings[key(1, 5)] = s
		}, 5, 1, 96, "review 35"},
		{"not seen for three cycles, though she played", func(in *routine.Input) {
			kept(in, in.Date-1, make([]bool, 30)...)
			in.Standings[key(1, 5)] = played(in.Date-21, 80, routine.Shaky)
		}, 5, 1, 80, "last-time shaky"},
		{"an earlier pass, slipped", func(in *routine.Input) {
			in.Plan.Entries[1].Pass = 2
			stands(in, scales, 2, played(in.Date-2, 80, routine.Clean))
			s := played(in.Date-3, 96, routine.Missed)
			s.State, s.Best = routine.Slipped, s.Mark
			in.Standings[key(1, 5)] = s
		}, 5, 1, 88, "slipped-since 1"},
		{"locked", func(in *routine.Input) {
			in.Standings[key(1, 5)] = played(in.Date-7, 72, routine.Clean)
			in.Plan.Entries[1].Lock = routine.Tempo{BPM: 66, Note: routine.Quarter}
		}, 5, 1, 66, "round"},
		{"back after three weeks", func(in *routine.Input) {
			kept(in, in.Date-21, false)
			stands(in, scales, 1, played(in.Date-21, 80, routine.Shaky))
			in.Plan.Entries[1].Lines = []int{5}
		}, 5, 1, 72, "back 21"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := student(t)
			in.Plan.Entries = in.Plan.Entries[:2]
			tt.set(&in)
			it := item(t, routine.Build(in), scales, tt.line)
			if it.Pass != tt.pass || it.To.BPM != tt.to || it.Reason.String() != tt.reason {
				t.Errorf("pass %d to %v, %q; want pass %d to quarter=%v, %q", it.Pass, it.To, it.Reason, tt.pass, tt.to, tt.reason)
			}
			if review := strings.HasPrefix(tt.reason, "review"); it.Review != review {
				t.Errorf("review %v, want %v", it.Review, review)
			}
		})
	}
}

func TestWhatStaysAway(t *testing.T) {
	const scales = "daily-ground/2"
	tests := []struct {
		name string
		set  func(*routine.Input, *routine.PlanEntry)
		why  string
	}{
		{"held", func(_ *routine.Input, e *routine.PlanEntry) { e.Hold = true }, "held"},
		{"another instrument", func(_ *routine.Input, e *routine.PlanEntry) { e.Instrument = "cornet" }, "needs cornet"},
		{"an instrument left at school", func(in *routine.Input, e *routine.PlanEntry) {
			e.Instrument, in.Instrument = "trumpet", "flugelhorn"
		}, "needs trumpet"},
		{"out of range", func(in *routine.Input, e *routine.PlanEntry) { in.Player.Highest, e.Lines = 60, []int{1} }, "above-range"},
		{"played yesterday", func(in *routine.Input, _ *routine.PlanEntry) {
			stands(in, scales, 1, played(in.Date-1, 72, routine.Clean))
		}, "played-yesterday"},
		{"played today", func(in *routine.Input, _ *routine.PlanEntry) {
			stands(in, scales, 1, played(in.Date, 72, routine.Shaky))
		}, "played-today"},
		{"passed", func(in *routine.Input, _ *routine.PlanEntry) {
			s := played(in.Date-20, 96, routine.Clean)
			s.State, s.Due = routine.Passed, in.Date+1
			stands(in, scales, 1, s)
		}, "review-not-due"},
		{"loud in the evening", func(in *routine.Input, e *routine.PlanEntry) {
			e.Add.Dynamic, in.Quiet = routine.Fortissimo, true
		}, "not-quiet"},
		{"loud while hurting", func(in *routine.Input, e *routine.PlanEntry) {
			e.Add.Dynamic, in.History.Hurting = routine.Forte, true
		}, "strenuous-today"},
		{"pinned and loud while hurting", func(in *routine.Input, e *routine.PlanEntry) {
			e.Pinned, e.Add.Dynamic, in.History.Hurting = []int{1}, routine.Forte, true
		}, "strenuous-today"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := student(t)
			tt.set(&in, &in.Plan.Entries[1])
			x := routine.Explain(in)
			for _, it := range x.Routine.Items {
				if it.Study == ref(scales) {
					t.Errorf("it comes as item %d: %s", it.N, it.Reason)
				}
			}
			if !slices.ContainsFunc(x.KeptOut, func(k routine.KeptOut) bool {
				return k.Study == ref(scales) && k.Why.String() == tt.why
			}) {
				t.Errorf("nothing of %s is kept out because %q: %+v", scales, tt.why, x.KeptOut)
			}
		})
	}
}

// TestWarmUpIsNeverOver passes every line of the warm-up.
func TestWarmUpIsNeverOver(t *testing.T) {
	in := student(t)
	s := played(in.Date-3, 60, routine.Clean)
	s.State, s.Due = routine.Passed, in.Date+30
	stands(&in, "daily-ground/1", 1, s)
	if r := routine.Build(in); r.Items[0].Skill != routine.WarmUp || r.Items[0].Review {
		t.Errorf("the day does not begin with a warm-up\n%s", card(r))
	}
}

// TestUncheckedInput gives Build what no check would let through.
func TestUncheckedInput(t *testing.T) {
	in := student(t)
	in.Catalogue = &routine.Catalogue{Books: slices.Clone(in.Catalogue.Books)}
	b := &in.Catalogue.Books[0]
	b.Studies = slices.Clone(b.Studies)
	b.Studies[0].Cycle, b.Studies[1].Skill = 0, "yodelling"
	in.Plan = planOf("daily-ground/1", "daily-ground/2", "daily-ground/9", "slur-atlas/1", "slur-atlas/1", "daily-ground/3@7")
	for _, it := range routine.Build(in).Items {
		if it.Study != ref("slur-atlas/1") {
			t.Errorf("%v comes as item %d", it.Study, it.N)
		}
	}
	in.Player.Minutes = 0
	if r := routine.Build(in); len(r.Items) > 0 || r.Note.IsZero() {
		t.Errorf("no minutes give\n%s", card(r))
	}
}

// TestForbiddenDemandIsNotAdded adds to pass 1 what the study first allows in
// pass 3.
func TestForbiddenDemandIsNotAdded(t *testing.T) {
	in := student(t)
	in.Plan.Entries[1].Add = routine.Demands{Fingering: routine.ThirdValve, Breath: routine.OneBreath, Repeats: 3}
	it := item(t, routine.Build(in), "daily-ground/2", 1)
	want := routine.Demands{Dynamic: routine.MezzoForte, Breath: routine.OneBreath, Repeats: 3, From: it.Demands.From, To: it.Demands.To}
	if it.Demands != want {
		t.Errorf("demands %+v, want %+v", it.Demands, want)
	}
}

func TestNeighboursShareAnItem(t *testing.T) {
	in := student(t)
	in.Plan = planOf("slur-atlas/1")
	in.Plan.Entries[0].Lines = []int{1, 2}
	lines := func() (all [][]int) {
		for _, it := range routine.Build(in).Items {
			var numbers []int
			for _, l := range it.Lines {
				numbers = append(numbers, l.Line)
			}
			all = append(all, numbers)
		}
		return all
	}
	if got := lines(); !reflect.DeepEqual(got, [][]int{{1, 2}}) {
		t.Errorf("two new neighbours come as %v", got)
	}
	for n, bpm := range []float64{66, 80} {
		key := routine.StandingKey{Line: ref("slur-atlas/1").Line(n + 1), Pass: 1}
		in.Standings[key] = played(in.Date-5, bpm, routine.Clean)
	}
	if got := lines(); !reflect.DeepEqual(got, [][]int{{1}, {2}}) {
		t.Errorf("two neighbours at different tempi come as %v", got)
	}
}

// TestPinnedOutweighsAll pins a long piece at the end of the plan on a day with
// time for little else.
func TestPinnedOutweighsAll(t *testing.T) {
	in := student(t)
	in.Player.Minutes = 20
	in.Plan.Entries[5].Pinned = []int{6, 7}
	stands(&in, "twelve-harbour-pieces/1", 1, played(in.Date-1, 60, routine.Clean))
	r := routine.Build(in)
	for _, line := range in.Plan.Entries[5].Pinned {
		if it := item(t, r, "twelve-harbour-pieces/1", line); it.Reason.Kind != routine.Pinned {
			t.Errorf("line %d comes because %q", line, it.Reason)
		}
	}
}

// TestKeysKeepApart lets three lines wait equally long, two of them in one key,
// with room for two.
func TestKeysKeepApart(t *testing.T) {
	in := student(t)
	in.Catalogue = &routine.Catalogue{Books: slices.Clone(in.Catalogue.Books)}
	b := &in.Catalogue.Books[0]
	b.Studies = slices.Clone(b.Studies)
	lines := slices.Clone(b.Studies[1].Lines[:3])
	lines[1].Key = lines[0].Key
	b.Studies[1].Lines, b.Studies[1].Cycle = lines, 2
	in.Plan = planOf("daily-ground/2")
	in.Player.Minutes = 11
	stands(&in, "daily-ground/2", 1, played(in.Date-7, 66, routine.Shaky))
	kept(&in, in.Date-1, false)
	for seed := range uint64(20) {
		in.Seed = seed
		r := routine.Build(in)
		if len(r.Items) != 2 || r.Items[0].Key == r.Items[1].Key {
			t.Errorf("with seed %d\n%s", seed, card(r))
		}
	}
}

// TestCycleLooksPastDaysOff lets a line wait for three days of a cycle of five.
// Before two days off it is needed at once, otherwise not yet.
func TestCycleLooksPastDaysOff(t *testing.T) {
	points := func(off routine.Weekday) int {
		in := student(t)
		in.Date = day(5) // a Friday
		in.Player.Off = off
		in.Plan = planOf("slur-atlas/1")
		in.Plan.Entries[0].Lines = []int{7}
		stands(&in, "slur-atlas/1", 1, played(in.Date-3, 66, routine.Clean))
		kept(&in, in.Date-1, false)
		return routine.Explain(in).Score
	}
	weekend := routine.Weekday(1<<time.Saturday | 1<<time.Sunday)
	midweek := routine.Weekday(1<<time.Tuesday | 1<<time.Wednesday)
	if before, other := points(weekend), points(midweek); before <= other {
		t.Errorf("the line is worth %d before a weekend off and %d otherwise", before, other)
	}
}

func TestInterleave(t *testing.T) {
	in := student(t)
	in.Plan = planOf("daily-ground/2", "daily-ground/3")
	for i := range in.Plan.Entries {
		e := &in.Plan.Entries[i]
		e.Interleave, e.Lines = true, []int{1, 2, 3, 4}
		stands(&in, e.Study.String(), 1, played(in.Date-20, 66, routine.Shaky))
	}
	kept(&in, in.Date-1, false)
	var studies []int
	for _, it := range routine.Build(in).Items {
		studies = append(studies, it.Study.Study)
	}
	if len(studies) < 4 || !reflect.DeepEqual(studies[:4], []int{2, 3, 2, 3}) {
		t.Errorf("the studies follow as %v, want them to take turns", studies)
	}
	// Items 1 and 2 are of two studies, and so are 3 and 4.
	items := routine.Build(in).Items
	for i, with := range []int{2, 1, 4, 3} {
		if !slices.Equal(items[i].With, []int{with}) {
			t.Errorf("item %d takes turns with %v, want %d", i+1, items[i].With, with)
		}
	}
	in.Plan.Entries[1].Interleave = false
	for _, it := range routine.Build(in).Items {
		if it.With != nil {
			t.Errorf("item %d takes turns with %v, but the plan interleaves one study only", it.N, it.With)
		}
	}
}

// TestGolden compares whole routines with files; run with -update to write
// them anew.
func TestGolden(t *testing.T) {
	tests := []struct {
		name string
		in   func() routine.Input
	}{
		{"first-day", func() routine.Input { return student(t) }},
		{"quarter-of-an-hour", func() routine.Input { in := student(t); in.Minutes = 15; return in }},
		{"hurting", func() routine.Input { in := student(t); in.History.Hurting = true; return in }},
		{"middle-of-term", func() routine.Input { return term(t, 40) }},
		{"evening", func() routine.Input { in := term(t, 41); in.Quiet = true; return in }},
		{"back-after-three-weeks", func() routine.Input { in := term(t, 40); in.Date += 20; return in }},
		{"two-hours", func() routine.Input {
			in := term(t, 60)
			in.Player.Minutes, in.Player.Level = 120, routine.Advanced
			return in
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			golden(t, tt.name, card(routine.Build(tt.in())))
		})
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", "build", name+".golden")
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v; run go test with -update to write it", err)
	}
	if got != string(want) {
		t.Errorf("the routine has changed\n--- got\n%s\n--- want\n%s", got, want)
	}
}

// term returns the student on a day of the term after she has played every
// routine since the first day, with an outcome for each item that depends on
// nothing but its place.
func term(t testing.TB, days int) routine.Input {
	in := student(t)
	for in.Date < day(days) {
		answer(&in, routine.Build(in), func(it routine.Item) routine.Outcome {
			return []routine.Outcome{routine.Clean, routine.Clean, routine.Shaky, routine.Done, routine.Clean, routine.Missed}[(int(in.Date)+it.N)%6]
		})
	}
	return in
}

// answer adds to the input what a day's items came to and goes on to the next
// day. Lines never pass.
func answer(in *routine.Input, r routine.Routine, outcome func(routine.Item) routine.Outcome) {
	d := routine.DayLog{Date: r.Date, Kept: len(r.Items) > 0, Minutes: r.Minutes}
	for _, it := range r.Items {
		if it.Hard {
			d.Hard = true
			d.Strenuous += it.Minutes
		}
		o := outcome(it)
		for _, l := range it.Lines {
			key := routine.StandingKey{Line: l, Pass: it.Pass}
			s := in.Standings[key]
			before := s
			s = routine.Standing{State: routine.Working, Mark: it.To, Last: r.Date, LastOutcome: o, Plays: s.Plays + 1}
			if o == routine.Missed {
				s.Misses = before.Misses + 1
			}
			if o == routine.Done && before.Mark == s.Mark {
				s.Dones = before.Dones + 1
			} else if o == routine.Done {
				s.Dones = 1
			}
			in.Standings[key] = s
		}
	}
	in.History.Days = append(in.History.Days, d)
	in.Date++
}

func ExampleBuild() {
	quarter := func(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }
	study := routine.Study{
		Number: 1, Title: "Neighbours", Skill: routine.Flexibility, Cycle: 3, Together: 1,
		Lines: []routine.Line{{Number: 1, Key: "C", Low: 60, High: 67, Notes: 32, NotesPerBeat: 2, Beats: 16}},
		Passes: []routine.Pass{{Number: 1, CleanDays: 3, Share: 1, Demands: routine.Demands{
			Articulation: routine.Slurred, Repeats: 2, From: quarter(60), To: quarter(96),
		}}},
	}
	r := routine.Build(routine.Input{
		Date:      routine.NewDate(2026, 9, 7),
		Catalogue: &routine.Catalogue{Books: []routine.Book{{ID: "slur-atlas", Title: "Slur Atlas", Studies: []routine.Study{study}}}},
		Player:    routine.Player{Instrument: "trumpet", Level: routine.Growing, Minutes: 30},
		Plan:      routine.Plan{Entries: []routine.PlanEntry{{Study: routine.StudyRef{Book: "slur-atlas", Study: 1}, Pass: 1}}},
	})
	for _, it := range r.Items {
		fmt.Printf("%d. %s, %s, line %d to %v: %d min, rest %d (%s)\n",
			it.N, it.Book, it.Title, it.Lines[0].Line, it.To, it.Minutes, it.Rest, it.Reason)
	}
	// Output:
	// 1. Slur Atlas, Neighbours, line 1 to quarter=60: 4 min, rest 4 (new-in C)
}
