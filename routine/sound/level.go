package sound

import (
	"math"
	"slices"
)

const (
	activeRange = 1e-3 // frames within 30 dB of the loud ones count as played
	faintest    = 3e-4 // what lies 35 dB under the whole sound is not listened to
	deepest     = 1e-4 // 40 dB: no floor lies deeper under a band's loud frames
	noiseSpread = 10.0 // dB from the 10th to the 90th percentile of one bin of noise
)

// loudness is the level of all bands together, in dB by frame, with its floor 35
// dB under the loud frames.
func (s *spectrogram) loudness() []float64 {
	floor := max(quantile(slices.Sorted(slices.Values(s.total)), 0.95)*faintest, math.SmallestNonzeroFloat32)
	out := make([]float64, len(s.total))
	for f, p := range s.total {
		out[f] = 10 * math.Log10(1+p/floor)
	}
	return out
}

// levels turns a spectrogram into what a tongue does to it: the level of each
// band in decibels above that band's floor, and how much each band has to say.
type levels struct {
	db      [][]float64 // by band, then by frame
	weights []float64   // by band; they sum to 1
}

// weigh measures each band against its own quiet frames, so that a steady noise
// or a long echo becomes the floor, and weighs it by how far it moves beyond
// what noise alone would.
func weigh(s *spectrogram) *levels {
	active := activeFrames(s.total)
	l := &levels{db: make([][]float64, len(s.bands)), weights: make([]float64, len(s.bands))}
	all := pick(s.total, active)
	slices.Sort(all)
	least := quantile(all, 0.95) * faintest
	sum := 0.0
	for b, band := range s.bands {
		played := pick(band, active)
		slices.Sort(played)
		floor := max(quantile(played, 0.10), least, quantile(played, 0.95)*deepest, math.SmallestNonzeroFloat32)
		l.db[b] = make([]float64, len(band))
		for f, p := range band {
			l.db[b][f] = 10 * math.Log10(1+p/floor)
		}
		moves := 10 * math.Log10((quantile(played, 0.90)+floor)/(2*floor))
		l.weights[b] = max(0, moves-noiseSpread/(2*math.Sqrt(float64(s.widths[b]))))
		sum += l.weights[b]
	}
	if sum == 0 {
		return l
	}
	for b := range l.weights {
		l.weights[b] /= sum
	}
	return l
}

// envelope is the weighted level of all bands, in dB by frame.
func (l *levels) envelope() []float64 {
	out := make([]float64, len(l.db[0]))
	for b, w := range l.weights {
		if w == 0 {
			continue
		}
		for f, v := range l.db[b] {
			out[f] += w * v
		}
	}
	return out
}

// flux is the spectral flux of Böck & Widmer: how far each band has risen above
// the loudest of itself and its neighbours two frames ago, which a vibrato that
// moves between neighbours does not do.
func (l *levels) flux() []float64 {
	const lag = 2
	out := make([]float64, len(l.db[0]))
	for b, w := range l.weights {
		if w == 0 {
			continue
		}
		for f := lag; f < len(out); f++ {
			before := l.db[b][f-lag]
			if b > 0 {
				before = max(before, l.db[b-1][f-lag])
			}
			if b+1 < len(l.db) {
				before = max(before, l.db[b+1][f-lag])
			}
			out[f] += w * max(0, l.db[b][f]-before)
		}
	}
	return out
}

// attack is the flux, each rise dying away by itself within some 30 ms however
// long the room goes on sounding, in dB.
func (l *levels) attack() []float64 {
	const keeps = 0.85 // of it a frame later
	out := l.flux()
	for f := 1; f < len(out); f++ {
		out[f] = keeps*out[f-1] + out[f]
	}
	return out
}

// activeFrames returns the frames in which somebody plays, with the silences
// between notes.
func activeFrames(total []float64) []int {
	const rest = framesPerSecond // a longer silence is none between notes
	least := quantile(slices.Sorted(slices.Values(total)), 0.95) * activeRange
	var active []int
	for f, p := range total {
		if p < least || p == 0 {
			continue
		}
		if n := len(active); n > 0 && f-active[n-1] <= rest {
			for g := active[n-1] + 1; g < f; g++ {
				active = append(active, g)
			}
		}
		active = append(active, f)
	}
	return active
}

func pick(x []float64, at []int) []float64 {
	out := make([]float64, len(at))
	for i, f := range at {
		out[i] = x[f]
	}
	return out
}

// quantile returns the value below which a share q of the sorted values lies; 0
// if there are none.
func quantile(sorted []float64, q float64) float64 {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[int(q*float64(len(sorted)-1)+0.5)]
}

// smooth convolves with a bell of the given standard deviation in frames.
func smooth(x []float64, sigma float64) []float64 {
	reach := int(math.Ceil(3 * sigma))
	bell := make([]float64, reach+1)
	sum := 0.0
	for i := range bell {
		bell[i] = math.Exp(-float64(i*i) / (2 * sigma * sigma))
		sum += bell[i]
		if i > 0 {
			sum += bell[i]
		}
	}
	out := make([]float64, len(x))
	for i := range x {
		v := bell[0] * x[i]
		for d := 1; d <= reach; d++ {
			v += bell[d] * (x[max(0, i-d)] + x[min(len(x)-1, i+d)])
		}
		out[i] = v / sum
	}
	return out
}
