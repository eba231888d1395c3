package routine

// strenuous reports whether playing a line is hard on the lip (common
// practice): range work, loud playing, lines that reach the top whole tone of
// the player's range, and tonguing whose goal is fast. It is the goal that
// counts, because on the way to it every mark is played at the edge of what she
// can.
func strenuous(skill Skill, d Demands, l *Line, top Pitch) bool {
	return loud(skill, d, l, top) || fastTonguing(d, l)
}

// loud reports whether a line can't be played quietly: high and range work
// can't, whatever the dynamic asked for.
func loud(skill Skill, d Demands, l *Line, top Pitch) bool {
	const wholeTone = 2
	return skill == Range || d.Dynamic == Forte || d.Dynamic == Fortissimo || l.High >= top-wholeTone
}

// fastFrom is where tonguing begins to be hard work, in notes a second (common
// practice: sixteenths at quarter=120 for a single tongue; the syllable K alone
// is slower, two and three syllables in turn are faster).
var fastFrom = map[Demand]float64{SingleTongue: 8, KTongue: 6, DoubleTongue: 10, TripleTongue: 10}

func fastTonguing(d Demands, l *Line) bool {
	from, tongued := fastFrom[d.Articulation]
	return tongued && d.To.NotesPerSecond(l.NotesPerBeat) >= from
}

// restAfter returns the minutes of rest after an item: as long as the item, or
// half of that, rounded up, after what is soft anyway: warm-up, warm-down and
// whatever is played piano or softer (common practice: rest as much as you
// play).
func restAfter(skill Skill, d Demands, hard bool, minutes int) int {
	easy := skill == WarmUp || skill == WarmDown || d.Dynamic == Piano || d.Dynamic == Pianissimo
	if easy && !hard {
		return ceilDiv(minutes, 2)
	}
	return minutes
}

// Bounds of an item's playing minutes.
const (
	shortest = 2
	longest  = 10

	// mostItems is how many items of the shortest kind fill a day: with more
	// minutes items get longer, not more numerous. What has passed may be
	// shorter.
	mostItems = 16
)

// fullLength returns the playing minutes that lines deserve (common practice):
// twice at the tempo to begin with and twice at the tempo to reach, once each
// for what has passed, and half as long again for breath and
// thought. The first study
// of the plan gets a fifth more, later ones up to a fifth less.
func fullLength(lines []readied, importance int) int {
	var minutes float64
	for i := range lines {
		l := &lines[i]
		times := 4
		if l.kind == review || l.kind == upkeep || l.kind == prelude {
			times = 2
		}
		minutes += playingMinutes(l.line, *l.demands, l.to, times, importance)
	}
	return int(minutes + 0.999)
}

// playingMinutes returns the minutes that some times through a line take.
func playingMinutes(l *Line, d Demands, t Tempo, times, importance int) float64 {
	const (
		slowest = 60 // beats a minute where no tempo is given
		breath  = 1.5
	)
	bpm := t.BPM
	if t.IsZero() {
		bpm = slowest
	}
	weight := 0.4 + 0.8*float64(importance)/1000
	return float64(times*max(1, d.Repeats)*l.Beats) / bpm * breath * weight
}

// fullLength returns the playing minutes that a candidate deserves, within the
// bounds of an item. A minute test is the minute and as much to find the tempo.
func (b *builder) fullLength(c *candidate) int {
	if c.kind == minute {
		return shortest
	}
	return max(leastOf(c.kind), min(fullLength(c.lines, b.entries[c.entry].importance), longest))
}

// leastOf returns the least playing minutes of an item of a kind: a review is
// twice through, which may take no more than one.
func leastOf(k kind) int {
	if k == review {
		return 1
	}
	return shortest
}

// least returns the least playing minutes of a candidate today. What has passed
// needs no more of them on a long day.
func (b *builder) least(c *candidate) int {
	switch c.kind {
	case review, upkeep, prelude, minute:
		return leastOf(c.kind)
	}
	return min(longest, max(shortest, ceilDiv(b.day.budget, 2*mostItems)))
}

// lengthsOf appends to lengths what an item may get, shortest first: a third less
// than full, and full, but never less than low. Of equal lengths only the one
// worth most is kept. No item gets more than it deserves because there is time:
// minutes that nothing needs are left to the player.
func lengthsOf(lengths []length, full, low int) []length {
	for n, m := range [...]int{ceilDiv(2*full, 3), full} {
		l := length{minutes: max(low, min(m, longest)), worth: lengthWorth[n]}
		if last := len(lengths) - 1; n > 0 && lengths[last].minutes == l.minutes {
			lengths[last] = l
		} else {
			lengths = append(lengths, l)
		}
	}
	return lengths
}
