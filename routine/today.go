package routine

// A ladder holds what decides a line's tempo of the day.
type ladder struct {
	demands Demands
	lock    Tempo   // the teacher's; zero: none
	idle    int     // days of a lay-off that the line has not been played since; 0: none
	step    Percent // up and down; zero: from mark to mark
}

// today returns the tempi of the day for a line: the one to begin with and the
// one to reach (common practice throughout).
//
//   - A new line begins where the pass begins.
//   - After clean it goes up one mark; after shaky it stays; after every second
//     miss in a row it goes down one.
//   - "Done" says nothing of how it went: the tempo stays, and after two of them
//     in a row at the same mark goes up one all the same, so that somebody who
//     never says more still moves.
//   - A slipped line comes back two marks lower.
//   - After a lay-off a line begins two marks lower from 14 days on, four from
//     42 on, but not below where the pass begins.
//   - A passed line is played at the goal.
//   - Never above the goal; and the teacher's lock holds all of it, at the goal
//     if it is set above.
//
// Where the plan gives a step in percent, every mark above is such a step.
//
// The tempo to begin with is one mark lower, but not below where the pass
// begins; new and locked lines begin at the tempo to reach, and a passed line after
// a lay-off as much lower as any other.
func (l ladder) today(s Standing) (from, to Tempo) {
	goal, start := l.goal(), l.start()
	if goal.IsZero() {
		return l.lock, l.lock
	}
	if !l.lock.IsZero() {
		lock := slower(l.lock, goal)
		return lock, lock
	}
	switch {
	case s.State == Passed:
		return faster(l.down(goal, max(1, returnAfter(l.idle).marks)), start), goal
	case s.Plays == 0 || s.Mark.IsZero():
		return start, start
	}
	to = l.climb(s, slower(s.Mark.In(goal.Note), goal))
	if marks := returnAfter(l.idle).marks; marks > 0 && to.Compare(start) > 0 {
		to = faster(l.down(to, marks), start)
	}
	return faster(l.down(to, 1), slower(start, to)), to
}

// climb returns the tempo that follows on mark, at most the goal.
func (l ladder) climb(s Standing, mark Tempo) Tempo {
	switch {
	case s.State == Slipped:
		return l.down(mark, 2)
	case s.LastOutcome == Clean, s.LastOutcome == Done && s.Dones >= 2:
		return slower(l.up(mark), l.goal())
	case s.LastOutcome == Missed && s.Misses > 0 && s.Misses%2 == 0:
		return l.down(mark, 1)
	}
	return mark
}

// goal returns the tempo to reach, or where the pass begins if it has no goal.
func (l ladder) goal() Tempo {
	if l.demands.To.IsZero() {
		return l.demands.From
	}
	return l.demands.To
}

// start returns where a new line begins.
func (l ladder) start() Tempo {
	if l.demands.From.IsZero() {
		return l.goal()
	}
	return slower(l.demands.From, l.goal())
}

func slower(t, u Tempo) Tempo {
	if t.Compare(u) > 0 {
		return u
	}
	return t
}

func faster(t, u Tempo) Tempo {
	if t.Compare(u) < 0 {
		return u
	}
	return t
}

// up returns the tempo one step above t.
func (l ladder) up(t Tempo) Tempo {
	if l.step != 0 {
		return t.UpBy(l.step)
	}
	return t.Up()
}

// down returns the tempo some steps below t.
func (l ladder) down(t Tempo, steps int) Tempo {
	for range steps {
		if l.step != 0 {
			t = t.DownBy(l.step)
		} else {
			t = t.Down()
		}
	}
	return t
}
