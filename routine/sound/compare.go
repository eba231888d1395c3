package sound

import "math"

// The count is believed only if the period of the spectral flux, found without
// picking anything, agrees with it.
const (
	compareWindow = 8.0  // seconds compared at a time
	sameTempo     = 0.02 // share by which the two may differ
	leastAgree    = 0.75 // share of the windows that must agree
	mostWithin    = 0.5  // of that likeness at a shorter time: the step would be one of several
	leastLikeness = 0.12 // of the flux to itself one period later
	mostForeign   = 0.20 // share of the sound that may have a pulse of its own
)

// A comparison is what the cross-checks found.
type comparison struct {
	agree   float64 // share of the windows in which count and period agree
	period  float64 // mean likeness of the flux to itself one period later
	foreign float64 // share of the bands, by weight, with another pulse
	wave    bool    // the sound swells as in a vibrato
}

// compare checks a picking against the periods of the flux, of all bands and of
// each by itself.
func compare(p picking, l *levels, s *spectrogram) comparison {
	var c comparison
	flux := smooth(l.flux(), 2)
	windows := 0.0
	for from := p.onsets[0]; ; from += compareWindow {
		to := min(from+compareWindow, p.onsets[len(p.onsets)-1])
		step := stepWithin(p.onsets, from, to)
		if to-from < compareWindow/2 || step == 0 {
			break
		}
		windows++
		like, same := periodOf(cut(flux, from, to), step*framesPerSecond)
		c.period += like
		if same {
			c.agree++
		}
	}
	if windows > 0 {
		c.agree /= windows
		c.period /= windows
	}
	c.foreign = l.foreign(p)
	c.wave = swells(smooth(l.envelope(), 1), p.onsets) || swells(smooth(s.loudness(), 1), p.onsets)
	return c
}

// A vibrato swells like a sine, at 4 to 7 swells a second; a tongued note comes
// at once, also in a room.
const (
	fastestVibrato = 7.5  // swells a second
	deepestVibrato = 9.0  // dB from quiet to loud
	steeperThan    = 1.25 // times a sine: what a tongue is
)

// swells reports whether the rises to the notes are as slow as those of a
// vibrato: how much of a rise comes in its steepest 15 ms.
func swells(env, onsets []float64) bool {
	const steepest = 3 // frames
	step := middle(gaps(onsets)) * framesPerSecond
	if framesPerSecond/step > fastestVibrato {
		return false
	}
	var shares, depths []float64
	for _, at := range onsets {
		low := int(at*framesPerSecond - step/2)
		high := int(at*framesPerSecond + step/2)
		if low < 0 || high+steepest >= len(env) {
			continue
		}
		bottom, top, steep := env[low], env[low], 0.0
		for f := low; f < high; f++ {
			bottom, top = min(bottom, env[f]), max(top, env[f])
			steep = max(steep, env[f+steepest]-env[f])
		}
		if top > bottom {
			shares = append(shares, steep/(top-bottom))
			depths = append(depths, top-bottom)
		}
	}
	return middle(depths) < deepestVibrato && middle(shares) < steeperThan*math.Sin(math.Pi*steepest/step)
}

func cut(x []float64, from, to float64) []float64 {
	return x[max(0, int(from*framesPerSecond)-10):min(len(x), int(to*framesPerSecond))]
}

// stepWithin returns the mean of the even steps within a stretch of time.
func stepWithin(onsets []float64, from, to float64) float64 {
	var steps []float64
	for i := 1; i < len(onsets); i++ {
		if onsets[i-1] >= from && onsets[i] <= to {
			steps = append(steps, onsets[i]-onsets[i-1])
		}
	}
	usual := middle(steps)
	n, sum := 0.0, 0.0
	for _, s := range steps {
		if alike(s, usual) {
			n, sum = n+1, sum+s
		}
	}
	if n < 4 {
		return 0
	}
	return sum / n
}

// periodOf looks for the period of x (frames) in a wide range around a step, and
// then, over several periods for precision, whether it is that step.
func periodOf(x []float64, step float64) (likeness float64, same bool) {
	many := math.Ceil(100 / step)
	ac := smooth(autocorrelation(x, int(max(1.7*step, (many+0.5)*step))+2), 1)
	best := highest(ac, 0.4*step, 1.6*step)
	if math.Abs(best-step) > max(1.5, 0.05*step) {
		return ac[int(step+0.5)], false
	}
	if within := highest(ac, framesPerSecond/fastest, 0.6*step); within > 0 && ac[int(within+0.5)] > mostWithin*ac[int(best+0.5)] {
		return ac[int(best+0.5)], false
	}
	far := highest(ac, (many-0.4)*step, (many+0.4)*step)
	return ac[int(best+0.5)], math.Abs(far/(many*step)-1) < sameTempo
}

// highest returns where the highest peak between two lags lies, between frames;
// 0 if there is none.
func highest(ac []float64, from, to float64) float64 {
	at, best := 0.0, math.Inf(-1)
	for k := max(1, int(math.Ceil(from))); k <= int(to) && k+1 < len(ac); k++ {
		if ac[k] >= ac[k-1] && ac[k] > ac[k+1] && ac[k] > best {
			at, best = float64(k)+vertex(ac[k-1], ac[k], ac[k+1]), ac[k]
		}
	}
	return at
}

// foreign returns how much of the sound, by the weight of its bands, repeats at
// another period than the notes: somebody else who plays.
func (l *levels) foreign(p picking) float64 {
	step := middle(gaps(p.onsets)) * framesPerSecond
	from, to := p.onsets[0], p.onsets[len(p.onsets)-1]
	share := 0.0
	for b, w := range l.weights {
		if w < 0.005 {
			continue
		}
		ac := autocorrelation(rises(cut(l.db[b], from, to)), int(1.7*step)+2)
		ac = smooth(ac, 1)
		own := peakNear(ac, step)
		for k := max(12, int(0.6*step)); k < int(1.5*step); k++ {
			if math.Abs(float64(k)-step) > 0.08*step+1 && ac[k] > own+0.08 {
				share += w
				break
			}
		}
	}
	return share
}

func peakNear(ac []float64, lag float64) float64 {
	best := math.Inf(-1)
	for k := int(0.95*lag - 1); k <= int(1.05*lag+1); k++ {
		if k > 0 && k < len(ac) {
			best = max(best, ac[k])
		}
	}
	return best
}

// rises returns by how much x grows over two frames.
func rises(x []float64) []float64 {
	out := make([]float64, len(x))
	for i := 2; i < len(x); i++ {
		out[i] = max(0, x[i]-x[i-2])
	}
	return smooth(out, 2)
}
