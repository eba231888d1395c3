package streaks

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"ledgerline/routine"
)

// A Record is what the figures of one student are made from.
type Record struct {
	Calendar Calendar
	Settled  routine.Date // last date whose cut-off has passed

	// Reports reach back [HabitDays] before the span, and to the last word about
	// pain before it. In any order.
	Reports []routine.DayReport

	// Entries are those of the span, at least, and of a few months before for the
	// lines that may be stuck. In any order.
	Entries []routine.Entry

	// Before and After are how lines stood when the span began and ended.
	Before, After map[routine.StandingKey]routine.Standing

	// Locked are the lines whose tempo the teacher has locked: they are never
	// stuck.
	Locked map[routine.StandingKey]bool

	// Skills are those of the studies, as far as they matter to what is
	// suggested.
	Skills map[routine.StudyRef]routine.Skill
}

// Figures are what the log says of one student over a span of dates.
type Figures struct {
	From, To routine.Date

	// Kinds are the dates of the span, one after another, and Days how many of
	// them there were of each kind.
	Kinds []Kind
	Days  map[Kind]int

	Minutes int // played, all dates together
	Fresh   int // dates she said she was fresh
	Tired   int // dates she said she was tired
	Pain    int // dates on which pain was reported
	Hurting bool

	Moves []Move // lines whose state or best tempo changed, in order of the book
	Ready []routine.StandingKey
	Stuck []Stuck // working lines that have stopped moving

	Quiet Quiet
}

// Scheduled returns the days of the span on which something was expected and not
// excused, the open ones among them.
func (f *Figures) Scheduled() int { return f.Days[Kept] + f.Days[Missed] + f.Days[Open] }

// A Move is what became of one line over a span.
type Move struct {
	Key      routine.StandingKey
	From, To routine.State
	Best     routine.Tempo // fastest that was clean, at the end
	Marks    int           // marks of the metronome gained in it; 0 if none was clean before
}

// Sum returns the figures of one student for the dates from from to to, both
// included.
func Sum(r Record, from, to routine.Date) Figures {
	days := Days(r.Reports)
	f := Figures{From: from, To: to, Days: map[Kind]int{}}
	f.Kinds = Kinds(r.Calendar, days, from, to, r.Settled)
	for _, k := range f.Kinds {
		f.Days[k]++
	}
	f.sumDays(r)
	for _, d := range days {
		if d.Date <= to {
			f.Hurting = d.HurtsAfter(f.Hurting)
		}
	}
	f.Moves = Moves(r.Before, r.After)
	for _, key := range sortedKeys(r.After) {
		if r.After[key].State == routine.Ready {
			f.Ready = append(f.Ready, key)
		}
	}
	f.Stuck = StuckLines(r, to)
	f.Quiet = quiet(Kinds(r.Calendar, days, to-HabitDays+1, to, r.Settled))
	return f
}

// sumDays adds up what the log says of each date of the span.
func (f *Figures) sumDays(r Record) {
	reports := map[routine.Date][]routine.DayReport{}
	for _, rep := range r.Reports {
		reports[rep.Date] = append(reports[rep.Date], rep)
	}
	entries := map[routine.Date][]routine.Entry{}
	for _, e := range r.Entries {
		entries[e.Date] = append(entries[e.Date], e)
	}
	for d := f.From; d <= f.To; d++ {
		log := DayLog(reports[d], entries[d], d)
		f.Minutes += log.Minutes
		switch log.Feel {
		case routine.Fresh:
			f.Fresh++
		case routine.Tired:
			f.Tired++
		}
		if log.Pain {
			f.Pain++
		}
	}
}

// Moves returns the lines whose state or best tempo differs between before and
// after, in order of book, study, line and pass.
func Moves(before, after map[routine.StandingKey]routine.Standing) []Move {
	var moves []Move
	for _, key := range sortedKeys(after) {
		was, is := before[key], after[key]
		m := Move{
			Key:   key,
			From:  cmp.Or(was.State, routine.New),
			To:    cmp.Or(is.State, routine.New),
			Best:  is.Best,
			Marks: marksGained(was.Best, is.Best),
		}
		if m.From != m.To || m.Marks != 0 {
			moves = append(moves, m)
		}
	}
	return moves
}

// marksGained returns how many marks of the metronome lie above from up to to,
// counted in the note value of to; 0 unless both are given and to is faster.
func marksGained(from, to routine.Tempo) int {
	if from.IsZero() || to.IsZero() {
		return 0
	}
	gained := 0
	for t := from.In(to.Note); ; gained++ {
		bpm, ok := routine.NextMark(t.BPM)
		t.BPM = bpm
		if !ok || t.Compare(to) > 0 {
			return gained
		}
	}
}

func sortedKeys(standings map[routine.StandingKey]routine.Standing) []routine.StandingKey {
	return slices.SortedFunc(maps.Keys(standings), func(a, b routine.StandingKey) int {
		return cmp.Or(
			cmp.Compare(a.Line.Book, b.Line.Book), cmp.Compare(a.Line.Study, b.Line.Study),
			cmp.Compare(a.Line.Line, b.Line.Line), cmp.Compare(a.Pass, b.Pass))
	})
}

// HabitDays is how far back [Sum] looks for a student's own habit: eight weeks.
const HabitDays = 56

// unlikely is the chance below which silence is not this student's habit: once
// in fifty such stretches.
const unlikely = 0.02

// A Quiet tells of the scheduled days, up to the end of a span, on which a
// student has played nothing.
type Quiet struct {
	Missed int     // scheduled days missed in a row, up to the last settled one
	Habit  float64 // share of scheduled days she kept in the weeks before those
	Gone   bool    // so many in a row would be unlikely for her
}

// quiet judges silence against the student's own habit. Someone who keeps the
// share p of her scheduled days misses m in a row by chance with probability
// (1-p)^m; she has gone quiet when that is under one in fifty, and at least two
// days were missed. So a daily player is missed after two days, one who plays
// every other day after six. One who has kept no day in eight weeks has not gone
// quiet now: the days missed say it already.
//
// The share is estimated as (kept+1)/(days+2), Laplace's rule of succession, so
// that a student of a few days is not judged as if her habit were known.
func quiet(kinds []Kind) Quiet {
	var q Quiet
	var days, kept int
	for _, k := range slices.Backward(kinds) {
		switch k {
		case Kept:
			kept++
			days++
		case Missed:
			if days == 0 {
				q.Missed++
			} else {
				days++
			}
		}
	}
	q.Habit = float64(kept+1) / float64(days+2)
	q.Gone = kept > 0 && q.Missed >= 2 && math.Pow(1-q.Habit, float64(q.Missed)) < unlikely
	return q
}
