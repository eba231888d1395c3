package routine

import "math"

// Bounds of the days between two minute tests.
const (
	ShortestTestInterval = 2
	LongestTestInterval  = 60 // no further back is it known when the last one was
)

// setTests makes one line of each study whose minute test is due that test, in
// place of the line's own item. It is one of repeated notes that was clean
// before and may come today; of several the one that has waited longest.
func (b *builder) setTests() {
	for i := range b.entries {
		if !b.testDue(&b.entries[i]) {
			continue
		}
		var test *readied
		for j := range b.lines {
			l := &b.lines[j]
			if l.entry == i && l.pass == b.entries[i].plan.Pass && l.testable() && (test == nil || l.age > test.age) {
				test = l
			}
		}
		if test != nil {
			test.kind = minute
		}
	}
}

// testDue reports whether today is a day for the study's minute test. A light
// day is not: the test waits for the next that is none.
func (b *builder) testDue(e *active) bool {
	due, tested := e.plan.NextTest(b.in.Tested[e.plan.Study])
	return tested && !b.day.light && b.in.Date >= due
}

// NextTest returns the first date on which the study's minute test is due after
// the last one, 0 if there was none; ok is false if it has none. An unknown past
// makes it due at once: on any date.
func (e *PlanEntry) NextTest(last Date) (due Date, ok bool) {
	if last != 0 {
		due = last + Date(e.TestEvery)
	}
	return max(due, e.TestFrom), e.TestEvery > 0
}

// testable reports whether the line can be a minute test: there is nothing to
// hold for a minute before it was clean once.
func (l *readied) testable() bool {
	return l.line.Repeats() && !l.stand.Best.IsZero() && !l.to.IsZero()
}

// Repeats reports whether the line is one note struck again and again.
func (l *Line) Repeats() bool { return l.Notes > 1 && l.Low == l.High }

// NotesInMinute returns how many notes of the line a minute at a tempo holds.
func (l *Line) NotesInMinute(t Tempo) int { return int(math.Round(t.BPM * float64(l.NotesPerBeat))) }
