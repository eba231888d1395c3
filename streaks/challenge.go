package streaks

import (
	"cmp"
	"math"
	"slices"

	"ledgerline/routine"
)

// A Measure is what a challenge counts of a player's log.
//
// Every measure is of the days that were kept, as the streak has them: what was
// played on a day off, in a pause, ill, or on a day that began in pain counts for
// nothing, so that no rest day is worth less than playing on it. The day on which
// pain is reported counts as it was played, since to report pain must cost
// nothing. Nor does anything count that goes beyond a player's minutes of the day.
type Measure string

// The measures.
const (
	DaysKept      Measure = "days"    // scheduled days kept
	LinesCovered  Measure = "lines"   // different lines tried or played
	KeysVisited   Measure = "keys"    // different keys of those lines, major and minor; no key under two spellings
	NotesPlayed   Measure = "notes"   // notes of the lines that were played; see [Entrant]
	MinutesPlayed Measure = "minutes" // minutes played, up to the player's own of each day

	// TestGain is by how much the fastest minute test held is faster than the
	// player's own best before, as a share: 0.08 from quarter=100 to quarter=108. It
	// is never below 0. Who had held none before begins from the first held in the
	// challenge. Of several lines the one that gained most stands.
	TestGain Measure = "test-gain"
)

// Measures returns all measures.
func Measures() []Measure {
	return []Measure{DaysKept, LinesCovered, KeysVisited, NotesPlayed, MinutesPlayed, TestGain}
}

// IsShare reports whether a goal of the measure is a share, 0.8 for 80 of 100,
// and no number of things.
func (m Measure) IsShare() bool { return m == DaysKept || m == TestGain }

// A Challenge is what is counted from From to To, both included, and its goal.
type Challenge struct {
	From, To routine.Date
	Measure  Measure

	// Goal is what the players together are to reach: for [DaysKept] a share of
	// their scheduled days, for [TestGain] a mean gain, else a number. 0: none.
	Goal float64

	// EachDay says that the goal is for each scheduled day of every player. A day
	// that is excused, or a player fewer, takes its part off the goal then.
	EachDay bool
}

// An Entrant is one player of whom a challenge counts. Who joins or leaves on the
// way counts from or to that date, and excused days not at all.
//
// Notes are counted from what a reply says: each line once, or as often as its
// pass has it repeated, or as often as the player said; a line that was missed
// not at all, since nobody knows how far it went; a minute test held, its
// minute. Minutes alone hold no notes that could be counted. So the figure is
// never more than what was played, as far as replies are true.
type Entrant struct {
	Calendar Calendar
	Settled  routine.Date // last date whose cut-off has passed, where she is
	Minutes  int          // her minutes of one day; 0: no limit

	// Reports reach back to the last word about pain before the challenge, and
	// those are late that came after the challenge was closed. In any order.
	Reports []routine.DayReport

	// Entries are those of the challenge, and for [TestGain] all before. In any order.
	Entries []routine.Entry
}

// A Part is what one player brings to a challenge.
type Part struct {
	days []partDay // one for each date
	test map[BestKey]routine.Tempo
}

type partDay struct {
	kind  Kind
	count float64  // of notes or minutes
	seen  []string // lines or keys
	tests []Best   // held
}

// Part returns what a player brings. The books say what is in a line; one that
// they do not have is a line, with no key and no notes.
func (c Challenge) Part(books *routine.Catalogue, e *Entrant) Part {
	p := Part{test: map[BestKey]routine.Tempo{}}
	entries := map[routine.Date][]routine.Entry{}
	for _, x := range e.Entries {
		entries[x.Date] = append(entries[x.Date], x)
	}
	if c.Measure == TestGain {
		for date, all := range entries {
			if date < c.From {
				p.remember(testsHeld(all))
			}
		}
	}
	reports := map[routine.Date][]routine.DayReport{}
	for _, r := range e.Reports {
		reports[r.Date] = append(reports[r.Date], r)
	}
	for i, kind := range Kinds(e.Calendar, Days(e.Reports), c.From, c.To, e.Settled) {
		date := c.From + routine.Date(i)
		d := partDay{kind: kind}
		if kind == Kept {
			d.count, d.seen, d.tests = c.counted(books, reports[date], entries[date], date, e.Minutes)
		}
		p.days = append(p.days, d)
	}
	return p
}

// remember keeps the fastest tests that were held before the challenge.
func (p *Part) remember(tests []Best) {
	for _, b := range tests {
		if old, ok := p.test[b.Key]; !ok || b.Tempo.Compare(old) > 0 {
			p.test[b.Key] = b.Tempo
		}
	}
}

// counted returns what the measure has of one day that was kept.
func (c Challenge) counted(books *routine.Catalogue, reports []routine.DayReport, entries []routine.Entry, date routine.Date, most int) (count float64, seen []string, tests []Best) {
	switch c.Measure {
	case MinutesPlayed:
		minutes := DayLog(reports, entries, date).Minutes
		if most > 0 {
			minutes = min(minutes, most)
		}
		return float64(minutes), nil, nil
	case TestGain:
		return 0, nil, testsHeld(entries)
	case LinesCovered, KeysVisited, NotesPlayed:
		for _, p := range playings(books, entries, float64(most)) {
			count += math.Round(p.notes)
			if c.Measure == LinesCovered {
				seen = append(seen, p.line.String())
			} else if c.Measure == KeysVisited && p.key != "" {
				seen = append(seen, p.key)
			}
		}
	}
	return count, seen, nil
}

// testsHeld returns the minute tests that entries say were held, in the order of
// the log.
func testsHeld(entries []routine.Entry) (tests []Best) {
	for _, e := range bySeq(entries) {
		if !e.Test {
			continue
		}
		for _, line := range e.Lines {
			tests = append(tests, Bests([]routine.Entry{e}, line)...)
		}
	}
	return tests
}

func bySeq(entries []routine.Entry) []routine.Entry {
	return slices.SortedStableFunc(slices.Values(entries), func(a, b routine.Entry) int { return cmp.Compare(a.Seq, b.Seq) })
}

// A playing is one line of an entry, with what was played of it.
type playing struct {
	line  routine.LineRef
	key   string // as the circle of fifths spells it; empty: none
	notes float64
}

// playings returns what was played of the lines of one day, in the order of the
// log, until the minutes are over; 0 is no limit.
func playings(books *routine.Catalogue, entries []routine.Entry, minutes float64) (all []playing) {
	left := cmp.Or(minutes, math.Inf(1))
	for _, e := range bySeq(entries) {
		if !e.Outcome.Played() {
			continue
		}
		for _, ref := range e.Lines {
			if left <= 0 {
				return all
			}
			p := playing{line: ref}
			if line := books.Line(ref); line != nil {
				p.key = keyOf(line)
				notes, took := notesOf(books.Study(ref.StudyRef()), line, &e)
				p.notes = notes * min(1, left/max(took, 1e-9))
				left -= took
			}
			all = append(all, p)
		}
	}
	return all
}

// keyOf returns the key of a line, under one spelling of it.
func keyOf(line *routine.Line) string {
	key, err := routine.ParseKey(line.Key)
	if err != nil {
		return ""
	}
	for _, k := range slices.Concat(routine.MajorKeys(), routine.MinorKeys()) {
		if k.Minor == key.Minor && k.Class() == key.Class() {
			return k.String()
		}
	}
	return ""
}

// notesOf returns how many notes of a line an entry says were played, and how
// many minutes they take; without a tempo that is not known, and the line counts
// once.
func notesOf(study *routine.Study, line *routine.Line, e *routine.Entry) (notes, minutes float64) {
	if e.Outcome == routine.Missed && !e.Test {
		return 0, 0
	}
	once, tempo, times := float64(line.Notes), e.To, max(1, e.Reps, e.Of)
	if pass := study.Pass(e.Pass); pass != nil {
		times = max(times, cmp.Or(max(e.Reps, e.Of), pass.Demands.Repeats))
		if note := pass.Demands.To.Note; note != 0 && !tempo.IsZero() {
			tempo = tempo.In(note)
		}
	}
	switch {
	case tempo.IsZero():
		return once, 0
	case e.Test && e.Outcome == routine.Clean:
		return float64(line.NotesInMinute(tempo)), 1
	case e.Test:
		times = 1 // it broke; more than once through is not sure
	}
	return once * float64(times), float64(line.Beats*times) / tempo.BPM
}
