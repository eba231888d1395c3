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
	// minutes items get longer, not more numerous.
	mostItems = 12
)

// fullLength returns the playing minutes that lines deserve (common practice):
// twice at the tempo to begin with and twice at the tempo to reach, once each
// for a review, and half as long again for breath and thought. The first study
// of the plan gets a fifth more, later ones up to a fifth less.
func fullLength(lines []readied, importance int) int {
	const slowest = 60 // beats a minute where no tempo is given
	var minutes float64
	for i := range lines {
		l := &lines[i]
		bpm := l.to.BPM
		if l.to.IsZero() {
			bpm = slowest
		}
		times := 4
		if l.kind == review {
			times = 2
		}
		minutes += float64(times*max(1, l.demands.Repeats)*l.line.Beats) / bpm
	}
	const breath = 1.5
	weight := 0.4 + 0.8*float64(importance)/1000
	return int(minutes*breath*weight + 0.999)
}

// fullLength returns the playing minutes that a candidate deserves, within the
// bounds of an item. A minute test is the minute and as much to find the tempo.
func (b *builder) fullLength(c *candidate) int {
	if c.kind == minute {
		return shortest
	}
	return max(shortest, min(fullLength(c.lines, b.entries[c.entry].importance), longest))
}

// lengthsOf appends to lengths what an item may get on a day with the given
// budget, shortest first: a third less than full, full, and a third more. Of
// equal lengths only the one worth most is kept.
func lengthsOf(lengths []length, full, budget int) []length {
	low := min(longest, max(shortest, ceilDiv(budget, 2*mostItems)))
	for n, m := range [...]int{ceilDiv(2*full, 3), full, ceilDiv(4*full, 3)} {
		l := length{minutes: max(low, min(m, longest)), worth: lengthWorth[n]}
		if last := len(lengths) - 1; n > 0 && lengths[last].minutes == l.minutes {
			lengths[last] = l
		} else {
			lengths = append(lengths, l)
		}
	}
	return lengths
}
