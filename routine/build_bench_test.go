package routine_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"ledgerline/routine"
)

// longStudent returns a student of the given number of years: each has brought
// two studies of 40 lines, of all skills in turn, and a pass more for each of
// those before, up to seven. The plan holds the last ten studies.
func longStudent(years int) routine.Input {
	rng := rand.New(rand.NewPCG(1, uint64(years)))
	q := func(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }
	in := routine.Input{
		Date: day(100), Number: 1, Seed: 5, Catalogue: &routine.Catalogue{},
		Player:    routine.Player{Instrument: "trumpet", Level: routine.Growing, Minutes: 60},
		Standings: map[routine.StandingKey]routine.Standing{},
	}
	marks := routine.Marks()
	for n := range 2 * years {
		s := routine.Study{Number: 1, Title: "Study", Skill: routine.Skills()[n%8], Cycle: 10, Together: 2}
		for l := range 40 {
			s.Lines = append(s.Lines, routine.Line{
				Number: l + 1, Key: routine.MajorKeys()[l%12].String(), Low: 60, High: routine.Pitch(70 + l%12),
				Notes: 64, NotesPerBeat: 4, Beats: 16,
			})
		}
		for p := range 7 {
			s.Passes = append(s.Passes, routine.Pass{Number: p + 1, CleanDays: 3, Share: 0.8, Demands: routine.Demands{
				Repeats: 1, From: q(60), To: q(marks[15+2*p]),
			}})
		}
		id := routine.BookID(fmt.Sprintf("book-%d", n))
		in.Catalogue.Books = append(in.Catalogue.Books, routine.Book{ID: id, Title: "Book", Studies: []routine.Study{s}})
		study := routine.StudyRef{Book: id, Study: 1}
		pass := min(7, years-n/2)
		if n >= 2*years-10 {
			in.Plan.Entries = append(in.Plan.Entries, routine.PlanEntry{Study: study, Pass: pass, Since: day(1)})
		}
		for p := 1; p <= pass; p++ {
			for l := range 40 {
				in.Standings[routine.StandingKey{Line: study.Line(l + 1), Pass: p}] = longStanding(rng, in.Date, p < pass, marks)
			}
		}
	}
	for back := routine.Date(60); back > 0; back-- {
		in.History.Days = append(in.History.Days, routine.DayLog{Date: in.Date - back, Kept: true, Minutes: 40, Hard: back%3 == 0})
	}
	return in
}

func longStanding(rng *rand.Rand, date routine.Date, passed bool, marks []float64) routine.Standing {
	s := routine.Standing{
		State: routine.Working, Plays: 20, Last: date - 1 - routine.Date(rng.IntN(14)),
		Mark:        routine.Tempo{BPM: marks[rng.IntN(20)], Note: routine.Quarter},
		LastOutcome: []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Done}[rng.IntN(4)],
	}
	if passed {
		s.State, s.LastOutcome = routine.Passed, routine.Clean
		s.Last = date - routine.Date(20+rng.IntN(60))
		s.Due = date + routine.Date(rng.IntN(60)-5)
	}
	return s
}

func BenchmarkBuild(b *testing.B) {
	for _, years := range []int{1, 5, 10} {
		in := longStudent(years)
		b.Run(fmt.Sprintf("years=%d/standings=%d", years, len(in.Standings)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				routine.Build(in)
			}
		})
	}
}

// BenchmarkBuildLongDay has three hours to fill, the most there is.
func BenchmarkBuildLongDay(b *testing.B) {
	in := longStudent(10)
	in.Player.Minutes, in.Player.Level = 180, routine.Advanced
	b.ReportAllocs()
	for b.Loop() {
		routine.Build(in)
	}
}

func BenchmarkExplain(b *testing.B) {
	in := longStudent(10)
	b.ReportAllocs()
	for b.Loop() {
		routine.Explain(in)
	}
}

func BenchmarkPreviewWeek(b *testing.B) {
	for _, years := range []int{5, 10} {
		in := longStudent(years)
		b.Run(fmt.Sprintf("years=%d", years), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				routine.Preview(in, 7)
			}
		})
	}
}
