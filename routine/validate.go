package routine

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// A Problem is one thing that is wrong with a book or a plan.
type Problem struct {
	Source  Source // where the thing that has the problem was written
	Field   string // which of its fields has the problem, such as "breath"; may be empty
	What    string // what is wrong
	Instead string // what to write instead
}

// Error returns the problem as "books/slurs.yaml:12: what is wrong; write …".
func (p Problem) Error() string {
	s := p.What + "; write " + p.Instead
	if src := p.Source.String(); src != "" {
		s = src + ": " + s
	}
	return s
}

// A finding collects problems of the thing written at one source.
type finding struct {
	source Source
	found  *[]Problem
}

func (f finding) at(s Source) finding { return finding{s, f.found} }

// add records a problem of a field. What is wrong is a format for args.
func (f finding) add(field, instead, what string, args ...any) {
	*f.found = append(*f.found, Problem{f.source, field, fmt.Sprintf(what, args...), instead})
}

// Validate returns everything that is wrong with the catalogue, in the order
// of the books. A line must lie within the written range of at least one of the
// given instruments, or of those of [Instruments] if none are given.
func (c *Catalogue) Validate(on ...Instrument) []Problem {
	if len(on) == 0 {
		on = instruments
	}
	var found []Problem
	first := map[BookID]Source{}
	for _, b := range c.Books {
		f := finding{b.Source, &found}
		if src, twice := first[b.ID]; twice {
			f.add("id", "an id of its own for each book", "book %q is there already, at %v", b.ID, src)
		} else {
			first[b.ID] = b.Source
		}
		b.check(f, on)
	}
	return found
}

var bookID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

func (b *Book) check(f finding, on []Instrument) {
	if !bookID.MatchString(string(b.ID)) {
		f.add("id", "lower-case letters, digits and single hyphens, for example daily-ground", "book id %q is not usable", b.ID)
	}
	if strings.TrimSpace(b.Title) == "" {
		f.add("title", "the title of the book", "the book has no title")
	}
	if len(b.Studies) == 0 {
		f.add("studies", "at least one study", "the book has no studies")
	}
	first := map[int]Source{}
	for _, s := range b.Studies {
		at := f.at(s.Source)
		if src, twice := first[s.Number]; twice {
			at.add("number", "a number of its own for each study", "study %d is there already, at %v", s.Number, src)
		} else {
			first[s.Number] = s.Source
		}
		s.check(at, on)
	}
}

func (s *Study) check(f finding, on []Instrument) {
	if s.Number < 1 {
		f.add("number", "a number from 1", "study number %d is below 1", s.Number)
	}
	if strings.TrimSpace(s.Title) == "" {
		f.add("title", "the title of the study", "study %d has no title", s.Number)
	}
	if !slices.Contains(Skills(), s.Skill) {
		f.add("skill", "one of "+listOf(Skills()), "skill %q is unknown", s.Skill)
	}
	if s.Cycle < 1 {
		f.add("cycle", "the number of days in which every line comes round, from 1", "cycle %d is below 1", s.Cycle)
	}
	if s.Together < 1 {
		f.add("together", "how many neighbouring lines make one item, from 1", "together %d is below 1", s.Together)
	}
	s.checkLines(f, on)
	s.checkFirst(f)
	s.checkPasses(f)
}

func (s *Study) checkLines(f finding, on []Instrument) {
	if len(s.Lines) == 0 {
		f.add("lines", "at least one line under lines:, or how to compute them under compute:", "study %d has no lines", s.Number)
	}
	first := map[int]Source{}
	for _, l := range s.Lines {
		at := f.at(l.Source)
		if src, twice := first[l.Number]; twice {
			at.add("number", "a number of its own for each line", "line %d is there already, at %v", l.Number, src)
		} else {
			first[l.Number] = l.Source
		}
		l.check(at, on)
	}
}

func (l *Line) check(f finding, on []Instrument) {
	for _, c := range []struct {
		field string
		n     int
	}{{"number", l.Number}, {"notes", l.Notes}, {"notes-per-beat", l.NotesPerBeat}, {"beats", l.Beats}} {
		if c.n < 1 {
			f.add(c.field, "a number from 1", "line %d: %s %d is below 1", l.Number, c.field, c.n)
		}
	}
	if l.Notes > l.NotesPerBeat*l.Beats && l.NotesPerBeat > 0 && l.Beats > 0 {
		f.add("beats", fmt.Sprintf("at least %d beats", ceilDiv(l.Notes, l.NotesPerBeat)),
			"line %d: %d notes, %d to a beat, do not fit into %d beats", l.Number, l.Notes, l.NotesPerBeat, l.Beats)
	}
	if l.Key != "" {
		if _, err := ParseKey(l.Key); err != nil {
			f.add("key", "a major key such as Eb or a minor key such as C minor", "line %d: key %q is unknown", l.Number, l.Key)
		}
	}
	l.checkRange(f, on)
}

func (l *Line) checkRange(f finding, on []Instrument) {
	switch {
	case l.Low != 0 && l.High == 0:
		f.add("high", "the highest written pitch, for example high: G5", "line %d has no high", l.Number)
	case l.Low == 0:
		f.add("low", "low and high as written pitches, for example low: C4 and high: G5", "line %d has no range", l.Number)
	case l.Low > l.High:
		f.add("low", "the lower pitch as low and the higher as high", "line %d: low %v is above high %v", l.Number, l.Low, l.High)
	case !slices.ContainsFunc(on, func(i Instrument) bool { return i.Plays(l.Low, l.High) }):
		low, high := widest(on)
		f.add("high", fmt.Sprintf("a line between %v and %v", low, high),
			"line %d goes from %v to %v, outside the written range of %s", l.Number, l.Low, l.High, namesOf(on))
	}
	if len(l.Pitches) > 0 && (l.Low != slices.Min(l.Pitches) || l.High != slices.Max(l.Pitches) || l.Notes != len(l.Pitches)) {
		f.add("pitches", fmt.Sprintf("low: %v, high: %v and notes: %d, or none of the three", slices.Min(l.Pitches), slices.Max(l.Pitches), len(l.Pitches)),
			"line %d: the pitches do not agree with its low, high and notes", l.Number)
	}
}

func (s *Study) checkFirst(f finding) {
	for _, d := range slices.Sorted(maps.Keys(s.First)) {
		switch n := s.First[d]; {
		case d.Place() == "":
			f.add("first-pass", "one of "+listOf(AllDemands()), "demand %q is unknown", d)
		case n < 1 || n > len(s.Passes):
			f.add("first-pass", fmt.Sprintf("a pass from 1 to %d", len(s.Passes)),
				"%s is first allowed in pass %d, but study %d has %d passes", d, n, s.Number, len(s.Passes))
		}
	}
}

func (s *Study) checkPasses(f finding) {
	if len(s.Passes) == 0 {
		f.add("passes", "at least one pass", "study %d has no passes", s.Number)
	}
	for i, p := range s.Passes {
		at := f.at(p.Source)
		if p.Number != i+1 {
			at.add("number", fmt.Sprintf("number: %d, and the passes in order", i+1),
				"pass order broken: pass %d stands where pass %d belongs", p.Number, i+1)
		}
		p.check(at)
		s.checkAllowed(at, p.Demands, p.Number)
	}
}

// checkAllowed finds demands that the study first allows after the given pass.
func (s *Study) checkAllowed(f finding, d Demands, pass int) {
	for _, x := range d.List() {
		if first, ok := s.First[x]; ok && first > pass {
			f.add(x.Place(), fmt.Sprintf("it in pass %d or later", first),
				"pass %d asks for %s, which study %d allows from pass %d", pass, x, s.Number, first)
		}
	}
}

func (p *Pass) check(f finding) {
	p.Demands.check(f)
	if p.Demands.Repeats < 1 {
		f.add("repeats", "times through, from 1", "pass %d: repeats %d is below 1", p.Number, p.Demands.Repeats)
	}
	if p.Demands.From.IsZero() {
		f.add("from", "where a new line begins, for example from: quarter=60", "pass %d has no tempo to begin with", p.Number)
	}
	if p.Demands.To.IsZero() {
		f.add("to", "the tempo to reach, for example to: quarter=96", "pass %d has no goal tempo", p.Number)
	}
	if p.CleanDays < 1 {
		f.add("clean-days", "the number of distinct clean days, from 1", "pass %d: clean-days %d is below 1", p.Number, p.CleanDays)
	}
	if !(p.Share > 0 && p.Share <= 1) {
		f.add("share", "a number above 0 and at most 1, for example 0.8 for four lines in five", "pass %d: share %v is not above 0 and at most 1", p.Number, p.Share)
	}
}

// check finds what is wrong with demands by themselves, set or not.
func (d Demands) check(f finding) {
	for _, c := range []struct {
		place string
		d     Demand
	}{{"dynamic", d.Dynamic}, {"breath", d.Breath}, {"fingering", d.Fingering}, {"articulation", d.Articulation}} {
		if c.d != "" {
			c.d.checkPlace(f, c.place)
		}
	}
	for _, c := range []struct {
		field string
		t     Tempo
	}{{"from", d.From}, {"to", d.To}} {
		if !c.t.IsZero() {
			c.t.check(f, c.field)
		}
	}
	if !d.From.IsZero() && !d.To.IsZero() && d.From.Compare(d.To) > 0 {
		f.add("from", "from: the slower and to: the faster tempo", "from %v is faster than to %v", d.From, d.To)
	}
}

func (d Demand) checkPlace(f finding, place string) {
	switch d.Place() {
	case place:
	case "":
		f.add(place, "one of "+listOf(demandsOf[place]), "%s %q is unknown", place, d)
	default:
		f.add(place, fmt.Sprintf("%s: %s, and for %s one of %s", d.Place(), d, place, listOf(demandsOf[place])),
			"%s is asked for as %s, but it is a demand of %s", d, place, d.Place())
	}
}

func (t Tempo) check(f finding, field string) {
	switch {
	case t.Note.String() == "":
		f.add(field, fmt.Sprintf("the note value too, for example %s: quarter=%v", field, t.BPM), "tempo %v has no note value", t.BPM)
	case !t.OnMetronome():
		f.add(field, fmt.Sprintf("a tempo from %d to %d, counted in another note if need be", SlowestMark, FastestMark),
			"tempo %v is off the metronome", t)
	}
}

// CheckPlan returns everything that is wrong with a player and her plan, given
// the catalogue, in the order of the plan.
func (c *Catalogue) CheckPlan(plan Plan, player Player) []Problem {
	var found []Problem
	f := finding{found: &found}
	inst := player.check(f)
	top := inst.Highest
	if player.Highest != 0 {
		top = min(top, player.Highest)
	}
	first := map[StudyRef]Source{}
	for _, e := range plan.Entries {
		at := f.at(e.Source)
		if src, twice := first[e.Study]; twice {
			at.add("study", "each study once", "study %v is on the plan already, at %v", e.Study, src)
		} else {
			first[e.Study] = e.Source
		}
		c.checkEntry(at, e, inst.Lowest, top)
	}
	return found
}

// LargestRise is the largest [Player.Rise].
const LargestRise = 100

// check returns the player's instrument, or all instruments in one if it is
// unknown.
func (p Player) check(f finding) Instrument {
	if p.Minutes < 1 {
		f.add("minutes", "the minutes of a day, from 1", "minutes %d is below 1", p.Minutes)
	}
	if p.Rise > LargestRise {
		f.add("strain-rise", fmt.Sprintf("a number from 1 to %d, or none for no limit", LargestRise), "strain-rise %d is above %d", p.Rise, LargestRise)
	}
	if !slices.Contains(Levels(), p.Level) {
		f.add("level", "one of "+listOf(Levels()), "level %q is unknown", p.Level)
	}
	inst, ok := InstrumentNamed(p.Instrument)
	if !ok {
		f.add("instrument", "one of "+namesOf(instruments), "instrument %q is unknown", p.Instrument)
		inst.Lowest, inst.Highest = widest(instruments)
	}
	if p.Highest != 0 && (p.Highest < inst.Lowest || p.Highest > inst.Highest) {
		f.add("highest", fmt.Sprintf("a written pitch from %v to %v", inst.Lowest, inst.Highest),
			"highest %v is outside the written range of the %s", p.Highest, p.Instrument)
	}
	return inst
}

func (c *Catalogue) checkEntry(f finding, e PlanEntry, low, high Pitch) {
	b := c.Book(e.Study.Book)
	if b == nil {
		f.add("study", "one of "+listOf(c.bookIDs()), "book %q is unknown", e.Study.Book)
		return
	}
	s := c.Study(e.Study)
	if s == nil {
		f.add("study", fmt.Sprintf("a study of %s: %s", b.ID, numbersOf(b.Studies, func(s Study) int { return s.Number })),
			"study %v is unknown", e.Study)
		return
	}
	if s.Pass(e.Pass) == nil {
		f.add("pass", "one of "+numbersOf(s.Passes, func(p Pass) int { return p.Number }), "study %v has no pass %d", e.Study, e.Pass)
	}
	if _, ok := InstrumentNamed(e.Instrument); !ok && e.Instrument != "" {
		f.add("instrument", "one of "+namesOf(instruments), "instrument %q is unknown", e.Instrument)
	}
	if e.Target != 0 && e.Since != 0 && e.Target < e.Since {
		f.add("target", "a date after since", "target %v is before since %v", e.Target, e.Since)
	}
	e.checkAdd(f, s)
	e.checkLines(f, s, low, high)
	e.checkMeans(f, s)
}

// mostTogether is the largest number of lines that make one item.
const mostTogether = 12

// checkMeans finds what is wrong with how the entry is set for the student.
func (e *PlanEntry) checkMeans(f finding, s *Study) {
	if e.Together < 0 || e.Together > mostTogether {
		f.add("together", fmt.Sprintf("a number of lines from 1 to %d", mostTogether), "together %d is out of bounds", e.Together)
	}
	if e.Ladder != 0 && !(e.Ladder >= SmallestStep && e.Ladder <= LargestStep) {
		f.add("ladder", fmt.Sprintf("a share from %v to %v", SmallestStep, LargestStep), "ladder %v is out of bounds", e.Ladder)
	}
	if e.TestEvery == 0 {
		return
	}
	if e.TestEvery < ShortestTestInterval || e.TestEvery > LongestTestInterval {
		f.add("test-every", fmt.Sprintf("days from %d to %d", ShortestTestInterval, LongestTestInterval), "test-every %d is out of bounds", e.TestEvery)
	}
	if !slices.ContainsFunc(s.Lines, func(l Line) bool { return l.Repeats() }) {
		f.add("test-every", "it for a study of repeated notes", "study %v has no line of repeated notes to hold for a minute", e.Study)
	}
}

func (e *PlanEntry) checkAdd(f finding, s *Study) {
	e.Add.check(f)
	s.checkAllowed(f, e.Add, e.Pass)
	if e.Add.Repeats < 0 {
		f.add("repeats", "times through, from 1", "repeats %d is below 0", e.Add.Repeats)
	}
	if !e.Lock.IsZero() {
		e.Lock.check(f, "lock")
	}
}

func (e *PlanEntry) checkLines(f finding, s *Study, low, high Pitch) {
	numbers := numbersOf(s.Lines, func(l Line) int { return l.Number })
	for _, c := range []struct {
		field string
		lines []int
	}{{"lines", e.Lines}, {"pinned", e.Pinned}, {"skips", e.skips()}} {
		for _, n := range c.lines {
			switch l := s.line(n); {
			case l == nil:
				f.add(c.field, "lines of "+numbers, "study %v has no line %d", e.Study, n)
			case c.field != "skips" && (l.Low < low || l.High > high):
				f.add(c.field, fmt.Sprintf("lines that lie between %v and %v", low, high),
					"line %d of study %v goes from %v to %v, outside the player's range", n, e.Study, l.Low, l.High)
			case c.field == "pinned" && len(e.Lines) > 0 && !slices.Contains(e.Lines, n):
				f.add(c.field, "pinned lines that are among lines", "line %d of study %v is pinned but not in work", n, e.Study)
			}
		}
	}
	if len(e.Lines) == 0 && !slices.ContainsFunc(s.Lines, func(l Line) bool { return l.Low >= low && l.High <= high }) {
		f.add("study", fmt.Sprintf("a study with lines between %v and %v", low, high),
			"study %v has no line within the player's range", e.Study)
	}
}

// skips returns the numbers of the lines that are left out.
func (e *PlanEntry) skips() []int {
	var lines []int
	for _, s := range e.Skips {
		lines = append(lines, s.Line)
	}
	return lines
}

func (s *Study) line(n int) *Line {
	for i := range s.Lines {
		if s.Lines[i].Number == n {
			return &s.Lines[i]
		}
	}
	return nil
}

func (c *Catalogue) bookIDs() []BookID {
	var ids []BookID
	for _, b := range c.Books {
		ids = append(ids, b.ID)
	}
	return ids
}
