package sound

import "math"

// A run of this many even steps is playing, not talk.
const leastRun = 7

// trim leaves away what was heard before the first and after the last run of
// even steps at the pace of the whole: talk, an instrument put down. What sounds
// unlike the notes of the longest run is left away at both ends as well.
func trim(p picking, l *levels) picking {
	steps := gaps(p.onsets)
	pace := middle(steps)
	runs := evenRuns(steps, pace)
	if len(runs) == 0 {
		return p
	}
	main := runs[0]
	for _, r := range runs {
		if r.steps() > main.steps() {
			main = r
		}
	}
	like := l.likeness(p.onsets, main)
	first, last := main.from, main.to
	for _, r := range runs {
		if r.from < first && like(r) {
			first = r.from
		}
		if r.to > last && like(r) {
			last = r.to
		}
	}
	p.onsets = p.onsets[first : last+1]
	p.steady = steadiness(p.onsets)
	return p
}

// A run is a stretch of notes with even steps between them: the first and the
// last note of it.
type run struct{ from, to int }

func (r run) steps() int { return r.to - r.from }

func evenRuns(steps []float64, pace float64) []run {
	var runs []run
	from := 0
	for i := 0; i <= len(steps); i++ {
		if i < len(steps) && steps[i] > 0.6*pace && steps[i] < 1.5*pace {
			continue
		}
		if r := (run{from, i}); r.steps() >= leastRun {
			runs = append(runs, r)
		}
		from = i + 1
	}
	return runs
}

// likeness returns a test of whether the notes of a run sound like those of the
// main one: whether the same bands are strong in them.
func (l *levels) likeness(onsets []float64, main run) func(run) bool {
	model := l.colour(onsets, main)
	half := (main.from + main.to) / 2
	usual := min(closeness(model, l.colour(onsets, run{main.from, half})), closeness(model, l.colour(onsets, run{half, main.to})))
	return func(r run) bool { return closeness(model, l.colour(onsets, r)) > usual-0.25 }
}

// colour is the mean level of each band within the notes of a run.
func (l *levels) colour(onsets []float64, r run) []float64 {
	out := make([]float64, len(l.db))
	for b := range l.db {
		for i := r.from; i < r.to; i++ {
			f := int((onsets[i] + onsets[i+1]) / 2 * framesPerSecond)
			out[b] += l.db[b][min(f, len(l.db[b])-1)]
		}
		out[b] /= float64(r.steps())
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
