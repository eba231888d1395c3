package sound

import (
	"math"
	"slices"
)

const (
	leastRun   = 7   // so many even steps in a row are playing, not talk
	leastAgain = 4   // so many notes in a row are playing again, after a break
	nextNote   = 1.6 // of the usual step: no note further away follows on
)

// trim leaves away what is heard before the first and after the last note: talk,
// an instrument put down. It begins with the longest run of even steps and goes
// outward as long as what follows sounds like the notes of that run.
func trim(p picking, l *levels) picking {
	steps := gaps(p.onsets)
	pace := middle(steps)
	core := longestRun(steps, pace)
	if core.steps() < leastRun {
		return p
	}
	like := l.likeness(p.onsets, core)
	for core.from < core.to && !like[core.from] {
		core.from++
	}
	for core.to > core.from && !like[core.to] {
		core.to--
	}
	core.to = reachOut(p.onsets, like, core.to, +1, nextNote*pace)
	core.from = reachOut(p.onsets, like, core.from, -1, nextNote*pace)
	p.onsets, p.notes = p.onsets[core.from:core.to+1], p.notes[core.from:core.to+1]
	p.place()
	return p
}

// reachOut returns the last note, in a direction, that belongs to those before
// it: it follows on, or playing begins again there.
func reachOut(onsets []float64, like []bool, edge, way int, far float64) int {
	inside := func(i int) bool { return i >= 0 && i < len(onsets) }
	apart := func(i, j int) float64 { return math.Abs(onsets[i] - onsets[j]) }
	again := func(i int) bool {
		for k := range leastAgain {
			j := i + k*way
			if !inside(j) || !like[j] || k > 0 && apart(j, j-way) > far {
				return false
			}
		}
		return true
	}
	for i := edge + way; inside(i); i += way {
		if like[i] && apart(i, edge) <= far || again(i) {
			edge = i
		}
	}
	return edge
}

// A run is a stretch of notes with even steps between them: the first and the
// last note of it.
type run struct{ from, to int }

func (r run) steps() int { return r.to - r.from }

func longestRun(steps []float64, pace float64) run {
	var longest run
	from := 0
	for i := 0; i <= len(steps); i++ {
		if i < len(steps) && steps[i] > 0.6*pace && steps[i] < nextNote*pace {
			continue
		}
		if r := (run{from, i}); r.steps() > longest.steps() {
			longest = r
		}
		from = i + 1
	}
	return longest
}

// likeness says of each note whether it sounds like those of a run: whether the
// same bands are strong in it, nearly as much as in nearly all of them.
func (l *levels) likeness(onsets []float64, core run) []bool {
	const (
		nearlyAll = 0.05
		nearly    = 0.10 // of a correlation
	)
	colours := make([][]float64, len(onsets))
	model := make([]float64, len(l.db))
	for i := range onsets {
		colours[i] = l.colour(onsets, i)
		if i >= core.from && i <= core.to {
			for b, v := range colours[i] {
				model[b] += v
			}
		}
	}
	close := make([]float64, len(onsets))
	for i, c := range colours {
		close[i] = closeness(model, c)
	}
	least := quantile(slices.Sorted(slices.Values(close[core.from:core.to+1])), nearlyAll) - nearly
	like := make([]bool, len(onsets))
	for i, c := range close {
		like[i] = c >= least
	}
	return like
}

// colour is the mean level of each band in the first part of a note.
func (l *levels) colour(onsets []float64, i int) []float64 {
	length := 0.1
	if i+1 < len(onsets) {
		length = min(length, 0.6*(onsets[i+1]-onsets[i]))
	}
	from := int(onsets[i] * framesPerSecond)
	to := min(from+max(2, int(length*framesPerSecond)), len(l.db[0]))
	out := make([]float64, len(l.db))
	for b := range l.db {
		for f := from; f < to; f++ {
			out[b] += l.db[b][f]
		}
	}
	return out
}

// closeness is the correlation of two colours, -1 to 1.
func closeness(a, b []float64) float64 {
	var ma, mb float64
	for i := range a {
		ma += a[i] / float64(len(a))
		mb += b[i] / float64(len(b))
	}
	var aa, bb, ab float64
	for i := range a {
		aa += (a[i] - ma) * (a[i] - ma)
		bb += (b[i] - mb) * (b[i] - mb)
		ab += (a[i] - ma) * (b[i] - mb)
	}
	if aa == 0 || bb == 0 {
		return 0
	}
	return ab / math.Sqrt(aa*bb)
}
