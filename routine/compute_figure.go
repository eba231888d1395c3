package routine

import "slices"

// Degrees of the scales, in semitones above the tonic.
var (
	majorSteps    = [7]int{0, 2, 4, 5, 7, 9, 11}
	naturalSteps  = [7]int{0, 2, 3, 5, 7, 8, 10}
	harmonicSteps = [7]int{0, 2, 3, 5, 7, 8, 11}
	melodicSteps  = [7]int{0, 2, 3, 5, 7, 9, 11} // going up
)

// steps returns the degrees of the key's scale in a form, up and down.
func (k Key) steps(form Form) (up, down [7]int) {
	switch {
	case !k.Minor:
		return majorSteps, majorSteps
	case form == Melodic:
		return melodicSteps, naturalSteps
	case form == Natural:
		return naturalSteps, naturalSteps
	}
	return harmonicSteps, harmonicSteps
}

// degree returns the semitones above the tonic of the nth degree, the tonic
// being 0 and its octave 7; n may be below 0.
func degree(steps [7]int, n int) int { return 12*floorDiv(n, 7) + steps[mod(n, 7)] }

// inKeys computes a line in each key, or from each semitone.
func (r Recipe) inKeys(f finding) []Line {
	if r.Climb {
		return r.climb(f)
	}
	var lines []Line
	for _, k := range r.Keys {
		shape := r.shape(k)
		tonic := lowestTonic(k, r.From-Pitch(slices.Min(shape)))
		if tonic+Pitch(slices.Max(shape)) > r.To {
			f.add("to", "a higher to, a lower from or fewer octaves", "%s %s does not fit between %v and %v", k, r.Figure, r.From, r.To)
			continue
		}
		lines = append(lines, r.line(k, tonic, shape))
	}
	return lines
}

// climb computes a line from each semitone upwards.
func (r Recipe) climb(f finding) []Line {
	var lines []Line
	shape := r.shape(Key{}) // the same for every major key
	low, high := Pitch(slices.Min(shape)), Pitch(slices.Max(shape))
	for tonic := r.From - low; tonic+high <= r.To; tonic++ {
		lines = append(lines, r.line(majorOf(tonic), tonic, shape))
	}
	if len(lines) == 0 {
		f.add("to", "a higher to or a lower from", "no %s fits between %v and %v", r.Figure, r.From, r.To)
	}
	return lines
}

// lowestTonic returns the lowest tonic of k that is not below low.
func lowestTonic(k Key, low Pitch) Pitch { return low + Pitch(mod(k.Class()-int(low), 12)) }

// majorOf returns the major key whose tonic is of p's class.
func majorOf(p Pitch) Key {
	keys := MajorKeys()
	return keys[slices.IndexFunc(keys, func(k Key) bool { return k.Class() == mod(int(p), 12) })]
}

func (r Recipe) line(k Key, tonic Pitch, shape []int) Line {
	l := Line{Key: k.String()}
	for _, semitones := range shape {
		for range max(r.Each, 1) {
			l.Pitches = append(l.Pitches, tonic+Pitch(semitones))
		}
	}
	return l
}

// shape returns the figure in k, in semitones above the tonic.
func (r Recipe) shape(k Key) []int {
	up, down := k.steps(r.Form)
	switch r.Figure {
	case Scale:
		return there(run(up, 7*r.Octaves), run(down, 7*r.Octaves))
	case FiveNotes:
		return there(run(up, 4), run(down, 4))
	case Thirds:
		return thirds(up, 7*r.Octaves)
	case Arpeggio:
		return back(chord(up, []int{0, 2, 4}, r.Octaves))
	case DominantSeventh:
		// Built on the fifth degree with the raised seventh: 5 7 2 4.
		return back(chord(up, []int{4, 6, 8, 10}, r.Octaves))
	}
	var semitones []int
	for i := range 12*r.Octaves + 1 {
		semitones = append(semitones, i)
	}
	return back(semitones)
}

// run returns the degrees from the tonic up to the nth.
func run(steps [7]int, n int) []int {
	var s []int
	for i := range n + 1 {
		s = append(s, degree(steps, i))
	}
	return s
}

// chord returns the degrees of a chord over some octaves, closed by its lowest
// note.
func chord(steps [7]int, degrees []int, octaves int) []int {
	var s []int
	for o := range octaves {
		for _, d := range degrees {
			s = append(s, degree(steps, d+7*o))
		}
	}
	return append(s, degree(steps, degrees[0]+7*octaves))
}

// there goes up one way and down another; the top note is played once.
func there(up, down []int) []int {
	s := slices.Clone(up)
	for _, x := range slices.Backward(down[:len(down)-1]) {
		s = append(s, x)
	}
	return s
}

// back goes up and the same way down.
func back(up []int) []int { return there(up, up) }

// thirds returns broken thirds up to the nth degree and back:
// 1 3 2 4 … 6 8 7 5 6 4 … 3 1.
func thirds(steps [7]int, n int) []int {
	var s []int
	for i := range n - 1 {
		s = append(s, degree(steps, i), degree(steps, i+2))
	}
	for i := n - 1; i >= 2; i-- {
		s = append(s, degree(steps, i), degree(steps, i-2))
	}
	return s
}

// longTones computes for each note the note, its lower neighbour and the note
// again.
func (r Recipe) longTones() []Line {
	var lines []Line
	for _, p := range r.Pitches {
		lines = append(lines, Line{Pitches: []Pitch{p, p - 1, p}, Beats: 3 * r.Hold})
	}
	return lines
}

// slurs computes the pattern on each combination. A harmonic series spells the
// major chord of its fundamental, so that is the line's key.
func (r Recipe) slurs() []Line {
	var lines []Line
	for _, v := range r.Valves {
		l := Line{Key: majorOf(v.Partial(1)).String()}
		for _, n := range r.Partials {
			l.Pitches = append(l.Pitches, v.Partial(n))
		}
		lines = append(lines, l)
	}
	return lines
}

// repeated computes each note struck many times.
func (r Recipe) repeated() []Line {
	var lines []Line
	for _, p := range r.Pitches {
		lines = append(lines, Line{Pitches: slices.Repeat([]Pitch{p}, r.Each)})
	}
	return lines
}
