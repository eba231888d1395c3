package sound

import "math"

// Thresholds that humps are picked with, in dB: from what noise does to what a
// hard tongue does, each a fifth of an octave above the last.
const (
	lowestThreshold  = 0.5
	highestThreshold = 12.0
	thresholdStep    = 1.1487 // 2^(1/5)
)

// What makes a choice of threshold trustworthy; tried out on the recorded
// trumpet notes A3, F4, D5 and C3, not on those that the tests hold back.
const (
	sameCount        = 0.01 // counts that differ by less are the same
	roughlySameCount = 0.05 // while there may be talk
	leastTrust       = 0.8  // octaves of thresholds over which the count must stay
	fastest          = 18.0 // notes a second; quicker than any tongue, and a ripple of low notes
)

// A picking is the notes found with one threshold, and how far the threshold
// may be moved without finding others. That is what tells notes from the
// wiggles of noise, echo and vibrato: notes form a group of their own.
type picking struct {
	onsets []float64 // seconds
	notes  []hump    // of each onset
	faint  []hump    // just too low to be notes
	lasts  float64   // octaves of thresholds that find the same number
	steady float64   // share of the time that goes by in even steps, 0 to 1
}

// trust orders pickings.
func (p picking) trust() float64 { return math.Min(p.lasts, 3) * p.steady * p.steady }

// pickings returns what each ear, keen or blunt, makes of the sound with each
// stretch of thresholds.
func pickings(l *levels, same float64) []picking {
	var all []picking
	for _, ear := range [][]float64{l.envelope(), l.attack()} {
		for _, sigma := range []float64{1, 2, 4, 7} {
			all = append(all, plateaus(smooth(ear, sigma), sigma, same)...)
		}
	}
	return all
}

// plateaus returns the pickings of one envelope that hold over a stretch of
// thresholds.
func plateaus(env []float64, sigma, same float64) []picking {
	all := humps(env)
	var thresholds []float64
	var counts []int
	for th := lowestThreshold; th <= highestThreshold; th *= thresholdStep {
		n := 0
		for _, h := range all {
			if h.height >= th {
				n++
			}
		}
		thresholds, counts = append(thresholds, th), append(counts, n)
	}
	var out []picking
	for from := 0; from < len(counts); {
		to := from
		for to+1 < len(counts) && float64(counts[from]-counts[to+1]) <= max(1, same*float64(counts[from])) {
			to++
		}
		if lasts := math.Log2(thresholds[to] / thresholds[from]); lasts > 0 && counts[from] > 2 {
			p := picking{lasts: lasts}
			p.onsets, p.notes, p.faint = atLeast(env, all, math.Sqrt(thresholds[from]*thresholds[to]))
			p.steady = steadiness(p.onsets)
			if period := middle(gaps(p.onsets)); period > 1/fastest && period*framesPerSecond > 5*sigma {
				out = append(out, p)
			}
		}
		from = to + 1
	}
	return out
}

// atLeast parts the humps that are of some height from those not much lower, and
// returns when the notes that they are begin, in seconds.
func atLeast(env []float64, all []hump, height float64) (onsets []float64, notes, faint []hump) {
	const notMuch = 1.0 / 3
	from := 0
	for _, h := range all {
		switch {
		case h.height >= height:
			onsets = append(onsets, (onset(env, from, h.at)+0.5)/framesPerSecond)
			notes = append(notes, h)
			from = h.at
		case h.height >= notMuch*height:
			faint = append(faint, h)
		}
	}
	return onsets, notes, faint
}

// place puts the notes where their humps are highest instead of where they rise
// fastest, if that makes them steadier: in noise the rise to a quick note is
// broken up, and its top is not.
func (p *picking) place() {
	p.steady = steadiness(p.onsets)
	tops, late := make([]float64, len(p.notes)), make([]float64, len(p.notes))
	for i, h := range p.notes {
		tops[i] = (float64(h.at) + 0.5) / framesPerSecond
		late[i] = tops[i] - p.onsets[i]
	}
	if steady := steadiness(tops); steady > p.steady {
		usual := middle(late)
		for i := range tops {
			tops[i] = max(0, tops[i]-usual)
		}
		p.onsets, p.steady = tops, steady
	}
}

// steadiness returns the share of the time between the first and the last onset
// that goes by in steps like those around them.
func steadiness(onsets []float64) float64 {
	steps := gaps(onsets)
	if len(steps) == 0 {
		return 0
	}
	local := around(steps)
	even, all := 0.0, 0.0
	for i, s := range steps {
		all += s
		if alike(s, local[i]) {
			even += s
		}
	}
	return even / all
}

// alike reports whether a step is within a third of what is usual.
func alike(step, usual float64) bool { return step > 0.67*usual && step < 1.33*usual }
