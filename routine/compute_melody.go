package routine

import (
	"math/rand/v2"
	"slices"
)

// beatsPerBar is the measure of all computed melodies.
const beatsPerBar = 4

// A melody has at least the five notes from its tonic up, and at most an octave
// and a fifth.
const (
	narrowest = 4 // degrees above the tonic
	widestTop = 11
)

// melodies computes an original melody in each key, in rows of four bars. A row
// has a motif of one bar, which comes as it is, a few steps away, upside down,
// and home by step to a held note: the tonic in the last row, the fifth in the
// others. The same recipe gives the same melody for good.
func (r Recipe) melodies(f finding) []Line {
	var lines []Line
	for i, k := range r.Keys {
		steps, _ := k.steps(Harmonic)
		tonic := lowestTonic(k, r.From)
		top := widestTop
		for top >= narrowest && tonic+Pitch(degree(steps, top)) > r.To {
			top--
		}
		if top < narrowest {
			f.add("to", "at least a fifth above each tonic", "a melody in %s does not fit between %v and %v", k, r.From, r.To)
			continue
		}
		rng := rand.New(rand.NewPCG(r.Seed, uint64(r.FirstLine+i)))
		l := Line{Key: k.String(), Beats: r.Bars * beatsPerBar}
		for _, d := range r.degrees(rng, top) {
			l.Pitches = append(l.Pitches, tonic+Pitch(degree(steps, d)))
		}
		lines = append(lines, l)
	}
	return lines
}

// degrees returns a melody in degrees from 0, the tonic, to top.
func (r Recipe) degrees(rng *rand.Rand, top int) []int {
	var melody []int
	size := r.NotesPerBeat * beatsPerBar
	rows := r.Bars / 4
	for row := range rows {
		end := 4
		if row == rows-1 {
			end = 0
		}
		first := motif(rng, size, top)
		melody = append(melody, first...)
		melody = append(melody, shift(first, 1+rng.IntN(3))...)
		melody = append(melody, mirror(first, top)...)
		melody = append(melody, home(end, size)...)
	}
	for i, d := range melody {
		melody[i] = fold(d, top)
	}
	return melody
}

// motif returns a bar that starts on a note of the tonic chord and moves by
// step, with a leap of a third or a fourth now and then.
func motif(rng *rand.Rand, size, top int) []int {
	moves := []int{1, 1, -1, -1, 2, -2, 3, -3}
	bar := []int{[]int{0, 2, 4}[rng.IntN(3)]}
	for len(bar) < size {
		next := bar[len(bar)-1] + moves[rng.IntN(len(moves))]
		if next >= 0 && next <= top {
			bar = append(bar, next)
		}
	}
	return bar
}

func shift(bar []int, by int) []int {
	s := slices.Clone(bar)
	for i := range s {
		s[i] += by
	}
	return s
}

func mirror(bar []int, top int) []int {
	s := slices.Clone(bar)
	for i := range s {
		s[i] = top - s[i]
	}
	return s
}

// home returns half a bar that comes by step to a note, which is then held to
// the end of the bar.
func home(to, size int) []int {
	var s []int
	for i := size / 2; i >= 0; i-- {
		s = append(s, to+i)
	}
	return s
}

// fold turns a degree above top back down, as often as need be.
func fold(d, top int) int {
	d = mod(d, 2*top)
	return min(d, 2*top-d)
}
