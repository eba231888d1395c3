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
	last := b.in.Tested[e.plan.Study]
	return e.plan.TestEvery > 0 && !b.day.light && (last == 0 || int(b.in.Date-last) >= e.plan.TestEvery)
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
