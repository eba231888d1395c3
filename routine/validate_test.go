package routine_test

import (
	"fmt"
	"slices"
	"testing"

	"ledgerline/routine"
)

func quarter(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }

// sound returns a catalogue that has nothing wrong with it, each part with a
// line of a file of its own.
func sound() *routine.Catalogue {
	at := func(line int) routine.Source { return routine.Source{File: "b.yaml", Line: line} }
	line := func(n, source int, low, high routine.Pitch) routine.Line {
		return routine.Line{Number: n, Key: "C", Low: low, High: high, Notes: 15, NotesPerBeat: 2, Beats: 8, Source: at(source)}
	}
	pass := func(n, source int, d routine.Demands) routine.Pass {
		d.Repeats, d.From, d.To = 1, quarter(60), quarter(96)
		return routine.Pass{Number: n, Demands: d, CleanDays: 2, Share: 0.8, Source: at(source)}
	}
	return &routine.Catalogue{Books: []routine.Book{{
		ID: "daily-ground", Title: "Daily Ground", Source: at(1),
		Studies: []routine.Study{{
			Number: 1, Title: "Scales", Skill: routine.Technique, Cycle: 4, Together: 1, Source: at(2),
			First: map[routine.Demand]int{routine.OneBreath: 2, routine.ThirdValve: 3},
			Lines: []routine.Line{line(1, 3, 60, 72), line(2, 4, 65, 77), line(3, 5, 70, 82)},
			Passes: []routine.Pass{
				pass(1, 6, routine.Demands{}),
				pass(2, 7, routine.Demands{Breath: routine.OneBreath}),
				pass(3, 8, routine.Demands{Breath: routine.OneBreath, Fingering: routine.ThirdValve}),
			},
		}},
	}}}
}

func TestSoundCatalogue(t *testing.T) {
	if problems := sound().Validate(); len(problems) != 0 {
		t.Error(problems)
	}
}

func TestValidate(t *testing.T) {
	type (
		catalogue = routine.Catalogue
		study     = routine.Study
	)
	of := func(change func(*study)) func(*catalogue) {
		return func(c *catalogue) { change(&c.Books[0].Studies[0]) }
	}
	for _, c := range []struct {
		name  string
		spoil func(*catalogue)
		want  []string
	}{
		{"no title", func(c *catalogue) { c.Books[0].Title = " " },
			[]string{"b.yaml:1: the book has no title; write the title of the book"}},
		{"id", func(c *catalogue) { c.Books[0].ID = "Daily Ground" },
			[]string{`b.yaml:1: book id "Daily Ground" is not usable; write lower-case letters, digits and single hyphens, for example daily-ground`}},
		{"book twice", func(c *catalogue) {
			b := c.Books[0]
			b.Source, b.Studies = routine.Source{File: "c.yaml", Line: 1}, nil
			c.Books = append(c.Books, b)
		}, []string{
			`c.yaml:1: book "daily-ground" is there already, at b.yaml:1; write an id of its own for each book`,
			"c.yaml:1: the book has no studies; write at least one study"}},
		{"study twice", func(c *catalogue) {
			b := &c.Books[0]
			b.Studies = append(b.Studies, b.Studies[0])
		}, []string{"b.yaml:2: study 1 is there already, at b.yaml:2; write a number of its own for each study"}},
		{"skill", of(func(s *study) { s.Skill = "scales" }),
			[]string{`b.yaml:2: skill "scales" is unknown; write one of warm-up, flexibility, technique, articulation, range, sight-reading, transposition, etude, warm-down`}},
		{"numbers of a study", of(func(s *study) { s.Number, s.Cycle, s.Together, s.Title = 0, 0, 0, "" }), []string{
			"b.yaml:2: study number 0 is below 1; write a number from 1",
			"b.yaml:2: study 0 has no title; write the title of the study",
			"b.yaml:2: cycle 0 is below 1; write the number of days in which every line comes round, from 1",
			"b.yaml:2: together 0 is below 1; write how many neighbouring lines make one item, from 1"}},
		{"empty study", of(func(s *study) { s.Lines, s.Passes, s.First = nil, nil, nil }), []string{
			"b.yaml:2: study 1 has no lines; write at least one line under lines:, or how to compute them under compute:",
			"b.yaml:2: study 1 has no passes; write at least one pass"}},
		{"line twice", of(func(s *study) { s.Lines[2].Number = 1 }),
			[]string{"b.yaml:5: line 1 is there already, at b.yaml:3; write a number of its own for each line"}},
		{"numbers of a line", of(func(s *study) { s.Lines[0].Notes, s.Lines[0].NotesPerBeat, s.Lines[0].Beats = 0, 0, -1 }), []string{
			"b.yaml:3: line 1: notes 0 is below 1; write a number from 1",
			"b.yaml:3: line 1: notes-per-beat 0 is below 1; write a number from 1",
			"b.yaml:3: line 1: beats -1 is below 1; write a number from 1"}},
		{"too many notes", of(func(s *study) { s.Lines[0].Notes = 17 }),
			[]string{"b.yaml:3: line 1: 17 notes, 2 to a beat, do not fit into 8 beats; write at least 9 beats"}},
		{"key", of(func(s *study) { s.Lines[0].Key = "C major" }),
			[]string{`b.yaml:3: line 1: key "C major" is unknown; write a major key such as Eb or a minor key such as C minor`}},
		{"no range", of(func(s *study) { s.Lines[0].Low = 0 }),
			[]string{"b.yaml:3: line 1 has no range; write low and high as written pitches, for example low: C4 and high: G5"}},
		{"no high", of(func(s *study) { s.Lines[0].High = 0 }),
			[]string{"b.yaml:3: line 1 has no high; write the highest written pitch, for example high: G5"}},
		{"range upside down", of(func(s *study) { s.Lines[0].Low = 73 }),
			[]string{"b.yaml:3: line 1: low C#5 is above high C5; write the lower pitch as low and the higher as high"}},
		{"outside the instruments", of(func(s *study) { s.Lines[0].High = 85 }),
			[]string{"b.yaml:3: line 1 goes from C4 to C#6, outside the written range of trumpet, cornet, flugelhorn, tenor horn, baritone, euphonium, E-flat bass, B-flat bass; write a line between F#3 and C6"}},
		{"pitches", of(func(s *study) { s.Lines[0].Pitches = []routine.Pitch{60, 62, 64} }),
			[]string{"b.yaml:3: line 1: the pitches do not agree with its low, high and notes; write low: C4, high: E4 and notes: 3, or none of the three"}},
		{"first passes", of(func(s *study) { s.First[routine.OneBreath] = 4; s.First["loud"] = 1; s.Passes[1].Demands.Breath = "" }), []string{
			`b.yaml:2: demand "loud" is unknown; write one of pp, p, mp, mf, f, ff, free-breath, breath-by-phrase, one-breath, regular, third-valve, alternate, slurred, single, K, double, triple`,
			"b.yaml:2: one-breath is first allowed in pass 4, but study 1 has 3 passes; write a pass from 1 to 3",
			"b.yaml:8: pass 3 asks for one-breath, which study 1 allows from pass 4; write it in pass 4 or later"}},
		{"pass order", of(func(s *study) { s.Passes[1].Number = 3; s.Passes[2].Number = 4 }), []string{
			"b.yaml:7: pass order broken: pass 3 stands where pass 2 belongs; write number: 2, and the passes in order",
			"b.yaml:8: pass order broken: pass 4 stands where pass 3 belongs; write number: 3, and the passes in order"}},
		{"demand too early", of(func(s *study) { s.Passes[0].Demands.Fingering = routine.ThirdValve }),
			[]string{"b.yaml:6: pass 1 asks for third-valve, which study 1 allows from pass 3; write it in pass 3 or later"}},
		{"unknown demand", of(func(s *study) { s.Passes[0].Demands.Dynamic = "soft" }),
			[]string{`b.yaml:6: dynamic "soft" is unknown; write one of pp, p, mp, mf, f, ff`}},
		{"demand in the wrong place", of(func(s *study) { s.Passes[0].Demands.Breath = routine.Piano }),
			[]string{"b.yaml:6: p is asked for as breath, but it is a demand of dynamic; write dynamic: p, and for breath one of free-breath, breath-by-phrase, one-breath"}},
		{"no tempo", of(func(s *study) { s.Passes[0].Demands.From, s.Passes[0].Demands.To = routine.Tempo{}, routine.Tempo{} }), []string{
			"b.yaml:6: pass 1 has no tempo to begin with; write where a new line begins, for example from: quarter=60",
			"b.yaml:6: pass 1 has no goal tempo; write the tempo to reach, for example to: quarter=96"}},
		{"no note value", of(func(s *study) { s.Passes[0].Demands.To.Note = 0; s.Passes[0].Demands.From = routine.Tempo{} }), []string{
			"b.yaml:6: tempo 96 has no note value; write the note value too, for example to: quarter=96",
			"b.yaml:6: pass 1 has no tempo to begin with; write where a new line begins, for example from: quarter=60"}},
		{"from faster than to", of(func(s *study) { s.Passes[0].Demands.From = routine.Tempo{BPM: 200, Note: routine.Eighth} }),
			[]string{"b.yaml:6: from eighth=200 is faster than to quarter=96; write from: the slower and to: the faster tempo"}},
		{"off the metronome", of(func(s *study) { s.Passes[0].Demands.To = quarter(240) }),
			[]string{"b.yaml:6: tempo quarter=240 is off the metronome; write a tempo from 40 to 208, counted in another note if need be"}},
		{"criteria", of(func(s *study) { p := &s.Passes[0]; p.Demands.Repeats, p.CleanDays, p.Share = 0, 0, 1.5 }), []string{
			"b.yaml:6: pass 1: repeats 0 is below 1; write times through, from 1",
			"b.yaml:6: pass 1: clean-days 0 is below 1; write the number of distinct clean days, from 1",
			"b.yaml:6: pass 1: share 1.5 is not above 0 and at most 1; write a number above 0 and at most 1, for example 0.8 for four lines in five"}},
		{"no share", of(func(s *study) { s.Passes[0].Share = 0 }),
			[]string{"b.yaml:6: pass 1: share 0 is not above 0 and at most 1; write a number above 0 and at most 1, for example 0.8 for four lines in five"}},
	} {
		cat := sound()
		c.spoil(cat)
		if got := errorsOf(cat.Validate()); !slices.Equal(got, c.want) {
			t.Errorf("%s:\ngot  %q\nwant %q", c.name, got, c.want)
		}
	}
}

func TestValidateForOneInstrument(t *testing.T) {
	cat := sound()
	cat.Books[0].Studies[0].Lines[0].High = 83 // B5
	if problems := cat.Validate(); len(problems) != 0 {
		t.Errorf("trumpets play B5: %v", problems)
	}
	horn, ok := routine.InstrumentNamed("tenor horn")
	if !ok {
		t.Fatal("no tenor horn")
	}
	want := []string{"b.yaml:3: line 1 goes from C4 to B5, outside the written range of tenor horn; write a line between F#3 and A#5"}
	if got := errorsOf(cat.Validate(horn)); !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestCheckPlan(t *testing.T) {
	type (
		entry  = routine.PlanEntry
		player = routine.Player
	)
	scales := routine.StudyRef{Book: "daily-ground", Study: 1}
	for _, c := range []struct {
		name  string
		spoil func(*entry, *player)
		want  []string
	}{
		{"nothing", func(*entry, *player) {}, nil},
		{"everything set", func(e *entry, _ *player) {
			e.Pass, e.Lines, e.Pinned = 2, []int{1, 2}, []int{2}
			e.Add, e.Lock = routine.Demands{Breath: routine.OneBreath, Dynamic: routine.Piano, Repeats: 2}, quarter(72)
			e.Since, e.Target = 100, 120
		}, nil},
		{"player", func(_ *entry, p *player) { p.Minutes, p.Level, p.Instrument = 0, "expert", "kazoo" }, []string{
			"minutes 0 is below 1; write the minutes of a day, from 1",
			`level "expert" is unknown; write one of beginner, growing, advanced`,
			`instrument "kazoo" is unknown; write one of trumpet, cornet, flugelhorn, tenor horn, baritone, euphonium, E-flat bass, B-flat bass`}},
		{"highest", func(_ *entry, p *player) { p.Highest = 90 },
			[]string{"highest F#6 is outside the written range of the trumpet; write a written pitch from F#3 to C6"}},
		{"book", func(e *entry, _ *player) { e.Study.Book = "daily" },
			[]string{`s.yaml:9: book "daily" is unknown; write one of daily-ground`}},
		{"study", func(e *entry, _ *player) { e.Study.Study = 4 },
			[]string{"s.yaml:9: study daily-ground/4 is unknown; write a study of daily-ground: 1"}},
		{"pass", func(e *entry, _ *player) { e.Pass = 4 },
			[]string{"s.yaml:9: study daily-ground/1 has no pass 4; write one of 1-3"}},
		{"lines", func(e *entry, _ *player) { e.Lines, e.Pinned = []int{1, 9}, []int{2, 8} }, []string{
			"s.yaml:9: study daily-ground/1 has no line 9; write lines of 1-3",
			"s.yaml:9: line 2 of study daily-ground/1 is pinned but not in work; write pinned lines that are among lines",
			"s.yaml:9: study daily-ground/1 has no line 8; write lines of 1-3"}},
		{"line out of range", func(e *entry, p *player) { e.Lines, p.Highest = []int{1, 2}, 74 },
			[]string{"s.yaml:9: line 2 of study daily-ground/1 goes from F4 to F5, outside the player's range; write lines that lie between F#3 and D5"}},
		{"no line in range", func(_ *entry, p *player) { p.Highest = 67 },
			[]string{"s.yaml:9: study daily-ground/1 has no line within the player's range; write a study with lines between F#3 and G4"}},
		{"demand too early", func(e *entry, _ *player) { e.Add.Breath = routine.OneBreath },
			[]string{"s.yaml:9: pass 1 asks for one-breath, which study 1 allows from pass 2; write it in pass 2 or later"}},
		{"added demands", func(e *entry, _ *player) { e.Add = routine.Demands{Dynamic: "K", Repeats: -1}; e.Lock.BPM = 80 }, []string{
			"s.yaml:9: K is asked for as dynamic, but it is a demand of articulation; write articulation: K, and for dynamic one of pp, p, mp, mf, f, ff",
			"s.yaml:9: repeats -1 is below 0; write times through, from 1",
			"s.yaml:9: tempo 80 has no note value; write the note value too, for example lock: quarter=80"}},
		{"instrument", func(e *entry, _ *player) { e.Instrument = "sackbut" },
			[]string{`s.yaml:9: instrument "sackbut" is unknown; write one of trumpet, cornet, flugelhorn, tenor horn, baritone, euphonium, E-flat bass, B-flat bass`}},
		{"target", func(e *entry, _ *player) { e.Since, e.Target = 20519, 20516 },
			[]string{"s.yaml:9: target 2026-03-04 is before since 2026-03-07; write a date after since"}},
	} {
		e := entry{Study: scales, Pass: 1, Source: routine.Source{File: "s.yaml", Line: 9}}
		p := player{Instrument: "trumpet", Level: routine.Growing, Minutes: 40}
		c.spoil(&e, &p)
		got := errorsOf(sound().CheckPlan(routine.Plan{Entries: []entry{e}}, p))
		if !slices.Equal(got, c.want) {
			t.Errorf("%s:\ngot  %q\nwant %q", c.name, got, c.want)
		}
	}
	e := entry{Study: scales, Pass: 1, Source: routine.Source{File: "s.yaml", Line: 9}}
	twice := errorsOf(sound().CheckPlan(routine.Plan{Entries: []entry{e, e}}, player{Instrument: "cornet", Level: routine.Advanced, Minutes: 60}))
	if want := []string{"s.yaml:9: study daily-ground/1 is on the plan already, at s.yaml:9; write each study once"}; !slices.Equal(twice, want) {
		t.Errorf("got  %q\nwant %q", twice, want)
	}
}

func errorsOf(problems []routine.Problem) []string {
	var list []string
	for _, p := range problems {
		list = append(list, p.Error())
	}
	return list
}

func TestInstruments(t *testing.T) {
	// Common practice: what sounds when C5 is written.
	want := map[string]string{
		"trumpet": "A#4", "cornet": "A#4", "flugelhorn": "A#4", "tenor horn": "D#4",
		"baritone": "A#3", "euphonium": "A#3", "E-flat bass": "D#3", "B-flat bass": "A#2",
	}
	for _, i := range routine.Instruments() {
		if got := i.Sounding(mustPitch(t, "C5")).String(); got != want[i.Name] {
			t.Errorf("%s sounds %s, want %s", i.Name, got, want[i.Name])
		}
		for p := i.Lowest; p <= i.Highest; p++ {
			if _, ok := routine.RegularFingering(p); !ok {
				t.Errorf("%s: %v has no fingering", i.Name, p)
			}
		}
		delete(want, i.Name)
	}
	if len(want) != 0 {
		t.Errorf("not known: %v", want)
	}
	if i, ok := routine.InstrumentNamed(" Alto Horn"); !ok || i.Name != "tenor horn" {
		t.Errorf("alto horn is %q", i.Name)
	}
	if _, ok := routine.InstrumentNamed("tuba mirum"); ok {
		t.Error("tuba mirum is known")
	}
}

func ExampleCatalogue_Validate() {
	c := &routine.Catalogue{Books: []routine.Book{{
		ID: "daily-ground", Title: "Daily Ground",
		Source: routine.Source{File: "books/daily-ground.yaml", Line: 1},
	}}}
	for _, p := range c.Validate() {
		fmt.Println(p.Error())
	}
	// Output:
	// books/daily-ground.yaml:1: the book has no studies; write at least one study
}
