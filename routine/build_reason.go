package routine

import "fmt"

// reason says in a few words why the candidate comes today.
func (b *builder) reason(c *candidate) string {
	l := &c.lines[0]
	switch c.kind {
	case pinned:
		return "pinned by your teacher"
	case minute:
		return fmt.Sprintf("minute test: %d notes without a break", l.line.NotesInMinute(l.to))
	case again:
		return "was " + string(l.outcome) + " " + daysAgo(b.in.Date-l.last)
	case review:
		if failed(l.stand.LastOutcome) {
			return "reviewed again, was " + string(l.stand.LastOutcome) + " " + daysAgo(b.in.Date-l.stand.Last)
		}
		return "review after " + days(int(b.in.Date-l.stand.Last))
	case relapse:
		return fmt.Sprintf("slipped since pass %d", l.pass)
	}
	return b.turnReason(c)
}

// turnReason says what is remarkable about a line whose turn has come.
func (b *builder) turnReason(c *candidate) string {
	l := &c.lines[0]
	s := l.stand
	switch {
	case l.fresh && c.keys() != "":
		return "new in " + c.keys()
	case l.fresh:
		return "new"
	case s.State == Ready:
		return "ready for your teacher to hear"
	case s.State == Slipped:
		return "slipped, so a little slower"
	case l.idle > 0:
		return "back after " + days(l.idle) + " away"
	case s.State == AtTempo:
		return fmt.Sprintf("at the goal, clean %d of %d days", s.CleanDays, b.entries[c.entry].pass.CleanDays)
	case s.State == Passed:
		return "passed, kept up"
	case l.to.Compare(s.Mark) > 0 && l.to == l.demands.To:
		return "up to the goal tempo"
	case l.to.Compare(s.Mark) > 0 && s.LastOutcome == Clean:
		return "clean last time, up " + b.step(c)
	case l.to.Compare(s.Mark) > 0:
		return "played twice here, up " + b.step(c)
	case l.to.Compare(s.Mark) < 0 && s.LastOutcome == Missed:
		return "missed twice, down " + b.step(c)
	case failed(s.LastOutcome):
		return "was " + string(s.LastOutcome) + " last time"
	}
	return "comes round again"
}

// step says how far the tempo goes at a time.
func (b *builder) step(c *candidate) string {
	if p := b.entries[c.entry].plan.Ladder; p != 0 {
		return p.String()
	}
	return "one mark"
}

func days(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func daysAgo(n Date) string {
	switch n {
	case 1:
		return "yesterday"
	case 2:
		return "two days ago"
	}
	return days(int(n)) + " ago"
}
