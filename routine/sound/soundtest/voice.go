package soundtest

import (
	"math"
	"math/rand/v2"
)

// A Voice is one long note of an instrument, from its attack on.
type Voice struct {
	Samples []float32
	Rate    int     // samples a second
	Attack  float64 // seconds from the first sample to where the note is heard to begin
	Release float64 // seconds in which a note that is let go dies away; 0 for 15 ms
}

// Tone returns a voice computed from partials that swell within the attack.
func Tone(hertz float64, attack float64, rate int) Voice {
	v := Voice{Samples: make([]float32, 3*rate), Rate: rate, Attack: attack / 2}
	for i := range v.Samples {
		t := float64(i) / float64(rate)
		swell := min(1, t/attack)
		for k := 1; k <= 12 && float64(k)*hertz < 0.45*float64(rate); k++ {
			// High partials come later and go first, as brass does.
			v.Samples[i] += float32(0.3 / float64(k) * math.Pow(swell, 1+float64(k)/4) * math.Sin(2*math.Pi*float64(k)*hertz*t))
		}
	}
	return v
}

// Play returns the notes as samples, with a second of silence after the last. A
// player has one air column: a note has died away when the next begins.
func (v Voice) Play(notes []Note) []float32 {
	last := notes[len(notes)-1]
	out := make([]float32, int((last.At+last.Length+1)*float64(v.Rate)))
	release := v.Release
	if release == 0 {
		release = 0.015
	}
	for i, n := range notes {
		hold := n.Length + v.Attack
		if i+1 < len(notes) {
			hold = min(hold, notes[i+1].At-n.At-release)
		}
		v.strike(out, n, max(0, hold), release)
	}
	return out
}

// strike adds one note that is held for a while, from the first sample of the
// voice on, and then let go.
func (v Voice) strike(out []float32, n Note, hold, release float64) {
	from := int(math.Round((n.At - v.Attack) * float64(v.Rate)))
	gain := math.Pow(10, n.Level/20)
	for i, s := range v.Samples {
		past := (float64(i)/float64(v.Rate) - hold) / release
		if past >= 1 {
			return
		}
		if j := from + i; j >= 0 && j < len(out) {
			out[j] += s * float32(gain*(0.5+0.5*math.Cos(math.Pi*max(0, past))))
		}
	}
}

// Slur returns one unbroken sound in which each note begins with a dip of some
// decibels and no tongue.
func (v Voice) Slur(notes []Note, dip float64) []float32 {
	last := notes[len(notes)-1]
	out := make([]float32, int((last.At+last.Length+1)*float64(v.Rate)))
	sustain := v.Samples[len(v.Samples)/4 : len(v.Samples)*3/4]
	gain := make([]float64, len(out))
	for i := range gain {
		if t := float64(i) / float64(v.Rate); t >= notes[0].At && t <= last.At+last.Length {
			gain[i] = 1
		}
	}
	floor := math.Pow(10, -dip/20)
	for _, n := range notes {
		half := int(0.012 * float64(v.Rate))
		at := int(n.At * float64(v.Rate))
		for i := max(0, at-half); i < min(len(gain), at+half); i++ {
			gain[i] *= 1 - (1-floor)*(0.5+0.5*math.Cos(math.Pi*float64(i-at)/float64(half)))
		}
	}
	for i := range out {
		// To and fro, so that the sound has no seam.
		j := i % (2 * len(sustain))
		if j >= len(sustain) {
			j = 2*len(sustain) - 1 - j
		}
		out[i] = float32(gain[i]) * sustain[j]
	}
	return out
}

// Room returns the samples as they sound in a room whose echo takes rt60 seconds
// to fall by 60 dB; wet is the echo's level against the direct sound, in dB.
func Room(x []float32, rate int, rt60, wet float64, rng *rand.Rand) []float32 {
	echo := make([]float64, int(rt60*float64(rate)))
	energy := 0.0
	for i := range echo {
		if i < rate/100 {
			continue // the first echo comes back after some 10 ms
		}
		echo[i] = rng.NormFloat64() * math.Pow(10, -3*float64(i)/float64(len(echo)))
		energy += echo[i] * echo[i]
	}
	scale := math.Pow(10, wet/20) / math.Sqrt(energy)
	for i := range echo {
		echo[i] *= scale
	}
	wetSound := convolve(x, echo)
	out := make([]float32, len(x))
	for i := range x {
		out[i] = x[i] + float32(wetSound[i])
	}
	return out
}

// Noise adds noise that falls by 3 dB an octave, snr decibels below the mean
// power of the samples.
func Noise(x []float32, snr float64, rng *rand.Rand) []float32 {
	noise := pink(len(x), rng)
	scale := math.Sqrt(power(x)/power(noise)) * math.Pow(10, -snr/20)
	out := make([]float32, len(x))
	for i := range x {
		out[i] = x[i] + float32(scale)*noise[i]
	}
	return out
}

// pink filters white noise by Paul Kellet's three poles (published on the
// music-dsp list), within half a decibel of 3 dB an octave.
func pink(n int, rng *rand.Rand) []float32 {
	out := make([]float32, n)
	var a, b, c float64
	for i := range out {
		w := rng.NormFloat64()
		a = 0.99765*a + w*0.0990460
		b = 0.96300*b + w*0.2965164
		c = 0.57000*c + w*1.0526913
		out[i] = float32(a + b + c + w*0.1848)
	}
	return out
}

func power(x []float32) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return sum / float64(len(x))
}

// Mix adds sounds that begin together.
func Mix(sounds ...[]float32) []float32 {
	n := 0
	for _, s := range sounds {
		n = max(n, len(s))
	}
	out := make([]float32, n)
	for _, s := range sounds {
		for i, v := range s {
			out[i] += v
		}
	}
	return out
}

// Level returns the samples with their peak at the given share of full scale;
// above 1 they are cut off there, as a microphone does.
func Level(x []float32, peak float64) []float32 {
	top := float32(0)
	for _, v := range x {
		top = max(top, v, -v)
	}
	if top == 0 {
		return x
	}
	out := make([]float32, len(x))
	for i, v := range x {
		out[i] = max(-1, min(1, v*float32(peak)/top))
	}
	return out
}
