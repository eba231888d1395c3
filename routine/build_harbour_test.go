package routine_test

import (
	"fmt"
	"strings"
	"testing"

	"ledgerline/routine"
)

// harbour returns the books of the invented studio, computed, for tests of the
// routine of the day.
func harbour(t testing.TB) *routine.Catalogue {
	t.Helper()
	q := func(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }
	pass := func(n int, d routine.Demands) routine.Pass {
		d.Repeats = max(1, d.Repeats)
		return routine.Pass{Number: n, Demands: d, CleanDays: 3, Share: 0.8}
	}
	lines := func(r routine.Recipe) []routine.Line {
		r.FirstLine = 1
		got, problems := r.Lines()
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return got
	}
	on := []routine.Pitch{60, 62, 64, 65, 67, 69, 71, 72}
	scales := func(f routine.Figure) routine.Recipe {
		return routine.Recipe{Figure: f, Keys: routine.MajorKeys(), Octaves: 1, From: 54, To: 77, NotesPerBeat: 4}
	}
	c := &routine.Catalogue{Books: []routine.Book{
		{ID: "daily-ground", Title: "Daily Ground", Studies: []routine.Study{
			{
				Number: 1, Title: "Long tones", Skill: routine.WarmUp, Cycle: 4, Together: 2,
				Lines:  lines(routine.Recipe{Figure: routine.LongTones, Pitches: on, Hold: 8, NotesPerBeat: 1}),
				Passes: []routine.Pass{pass(1, routine.Demands{Dynamic: routine.Piano, From: q(60), To: q(60)})},
			},
			{
				Number: 2, Title: "Major scales", Skill: routine.Technique, Cycle: 7, Together: 1,
				Lines: lines(scales(routine.Scale)),
				First: map[routine.Demand]int{routine.ThirdValve: 3},
				Passes: []routine.Pass{
					pass(1, routine.Demands{Dynamic: routine.MezzoForte, From: q(60), To: q(96), Repeats: 2}),
					pass(2, routine.Demands{Dynamic: routine.Piano, Breath: routine.OneBreath, From: q(72), To: q(120), Repeats: 2}),
					pass(3, routine.Demands{Fingering: routine.ThirdValve, From: q(60), To: q(96), Repeats: 2}),
				},
			},
			{
				Number: 3, Title: "Arpeggios", Skill: routine.Technique, Cycle: 7, Together: 2,
				Lines: lines(scales(routine.Arpeggio)),
				Passes: []routine.Pass{
					pass(1, routine.Demands{From: q(60), To: q(88), Repeats: 2}),
					pass(2, routine.Demands{Dynamic: routine.Forte, From: q(66), To: q(100), Repeats: 2}),
				},
			},
		}},
		{ID: "slur-atlas", Title: "Slur Atlas", Studies: []routine.Study{{
			Number: 1, Title: "Neighbours", Skill: routine.Flexibility, Cycle: 5, Together: 2,
			Lines: lines(routine.Recipe{Figure: routine.Slurs, Valves: []routine.Valves{routine.Open, routine.Valve2, routine.Valve1, routine.Valve12, routine.Valve23, routine.Valve13, routine.Valve123}, Partials: []int{3, 4, 3, 4, 5, 4, 3}, NotesPerBeat: 2}),
			Passes: []routine.Pass{
				pass(1, routine.Demands{Articulation: routine.Slurred, From: q(60), To: q(112), Repeats: 4}),
			},
		}}},
		{ID: "the-articulate-hour", Title: "The Articulate Hour", Studies: []routine.Study{{
			Number: 1, Title: "One note", Skill: routine.Articulation, Cycle: 7, Together: 1,
			Lines: lines(routine.Recipe{Figure: routine.Repeated, Pitches: on, Each: 64, NotesPerBeat: 4}),
			Passes: []routine.Pass{
				pass(1, routine.Demands{Articulation: routine.SingleTongue, From: q(60), To: q(108), Repeats: 2}),
				pass(2, routine.Demands{Articulation: routine.SingleTongue, From: q(84), To: q(132), Repeats: 2}),
			},
		}}},
		{ID: "upward-gently", Title: "Upward, Gently", Studies: []routine.Study{{
			Number: 1, Title: "Climbing", Skill: routine.Range, Cycle: 10, Together: 1,
			Lines: lines(routine.Recipe{Figure: routine.Arpeggio, Climb: true, Octaves: 1, From: 60, To: 84, NotesPerBeat: 2}),
			Passes: []routine.Pass{
				pass(1, routine.Demands{Dynamic: routine.MezzoForte, From: q(60), To: q(72), Repeats: 2}),
			},
		}}},
		{ID: "twelve-harbour-pieces", Title: "Twelve Harbour Pieces", Studies: []routine.Study{{
			Number: 1, Title: "The pieces", Skill: routine.Etude, Cycle: 14, Together: 1,
			Lines: lines(routine.Recipe{Figure: routine.Melody, Keys: routine.MajorKeys(), Bars: 16, From: 60, To: 79, NotesPerBeat: 2}),
			Passes: []routine.Pass{
				pass(1, routine.Demands{From: q(60), To: q(100)}),
			},
		}}},
	}}
	return c
}

// ref names a study of the harbour books, such as "slur-atlas/1".
func ref(s string) routine.StudyRef {
	var l routine.LineRef
	if err := l.UnmarshalText([]byte(s + "/1")); err != nil {
		panic(err)
	}
	return l.StudyRef()
}

// planOf puts studies at a pass on a plan: "slur-atlas/1@2".
func planOf(studies ...string) routine.Plan {
	var p routine.Plan
	for _, s := range studies {
		name, n, found := strings.Cut(s, "@")
		e := routine.PlanEntry{Study: ref(name), Pass: 1, Since: day(1)}
		if found {
			fmt.Sscan(n, &e.Pass)
		}
		p.Entries = append(p.Entries, e)
	}
	return p
}

// day returns the nth day of a term that begins on a Monday.
func day(n int) routine.Date { return routine.NewDate(2026, 9, 6+n) }

// card writes a routine as text, one item a line.
func card(r routine.Routine) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%v no. %d, %d min", r.Date, r.Number, r.Minutes)
	if r.Light {
		b.WriteString(", light")
	}
	if r.Caution {
		b.WriteString(", caution")
	}
	b.WriteString("\n")
	if !r.Note.IsZero() {
		fmt.Fprintf(&b, "  %s\n", r.Note)
	}
	for _, it := range r.Items {
		var lines []string
		for _, l := range it.Lines {
			lines = append(lines, fmt.Sprint(l.Line))
		}
		fmt.Fprintf(&b, "%2d. %s %d, %s, %s (%s), pass %d", it.N, it.Book, it.Study.Study, it.Skill, strings.Join(lines, "+"), it.Key, it.Pass)
		for _, d := range it.Demands.List() {
			fmt.Fprintf(&b, ", %s", d)
		}
		fmt.Fprintf(&b, ", x%d: %v -> %v, %d + %d min", it.Demands.Repeats, it.From, it.To, it.Minutes, it.Rest)
		if it.Hard {
			b.WriteString(", strenuous")
		}
		fmt.Fprintf(&b, ": %s\n", it.Reason)
	}
	return b.String()
}
