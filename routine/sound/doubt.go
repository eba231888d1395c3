package sound

import (
	"math"
	"slices"
)

// A Doubt is why no answer is given; "" if there is one.
type Doubt string

// The doubts.
const (
	TooShort       Doubt = "too short"            // under 5 seconds, or under 16 notes
	TooQuiet       Doubt = "too quiet"            // next to nothing is heard
	Clipped        Doubt = "too loud"             // cut off at full scale by the microphone
	Legato         Doubt = "notes run together"   // only tongued notes can be counted
	Vibrato        Doubt = "vibrato or slurs"     // it swells; no tongue is heard
	Noisy          Doubt = "too much noise"       // around the notes
	Unclear        Doubt = "no even notes"        // none that stand apart
	SeveralPlayers Doubt = "more than one player" // or a second beat
	WrongFigure    Doubt = "not the figure"       // half, double or a third of the tempo that was set
)

// Doubts returns all doubts.
func Doubts() []Doubt {
	return []Doubt{TooShort, TooQuiet, Clipped, Legato, Vibrato, Noisy, Unclear, SeveralPlayers, WrongFigure}
}

const (
	leastSeconds = 5.0
	leastNotes   = 16
	quietest     = 1e-3 // of full scale: 60 dB below it
	flatShare    = 0.04 // share of the samples at the very top that only clipping makes
	clearRange   = 10.0 // dB from the quiet to the loud moments of playing; less is noise
)

// unfit says why samples can't be listened to at all; "" if they can.
func unfit(x []float32, rate int) Doubt {
	if rate <= 0 || float64(len(x)) < leastSeconds*float64(rate) {
		return TooShort
	}
	top := float32(0)
	for _, v := range x {
		top = max(top, v, -v)
	}
	if top < quietest {
		return TooQuiet
	}
	return ""
}

// clipped reports whether so many samples lie at the very top, and so few just
// below it, as only a microphone that cuts them off makes: of a sine a fifth are
// at the top, and nearly as many below.
func clipped(x []float32) bool {
	const nearTop, below = 0.95, 0.85
	top := float32(0)
	for _, v := range x {
		top = max(top, v, -v)
	}
	flat, rising := 0, 0
	for _, v := range x {
		switch v = max(v, -v); {
		case v > nearTop*top:
			flat++
		case v > below*top:
			rising++
		}
	}
	return float64(flat) > flatShare*float64(len(x)) && flat > 2*rising
}

// choose takes the picking that can be trusted most. Where two fit nearly as
// well, the tempo that was set decides between them; it adds no note.
func choose(all []picking, ask Ask, least float64) (picking, Doubt) {
	var best picking
	for _, p := range all {
		if p.trust() > best.trust() {
			best = p
		}
	}
	if !ask.Assigned.IsZero() {
		want := ask.Assigned.In(ask.Beat).NotesPerSecond(ask.PerBeat)
		for _, p := range all {
			if fits(p, want) && !fits(best, want) && p.trust() > 0.8*best.trust() {
				best = p
			}
		}
		if r := pace(best) / want; best.lasts > 0 && multiple(r) {
			return picking{}, WrongFigure
		}
	}
	switch {
	case best.trust() < least:
		return picking{}, Unclear
	case len(best.onsets) < leastNotes || best.onsets[len(best.onsets)-1]-best.onsets[0] < leastSeconds-1:
		return picking{}, TooShort
	}
	return best, ""
}

// alsoHeard returns the other pickings that are nearly as trustworthy as one and
// hear the same pace.
func alsoHeard(all []picking, p picking) []picking {
	var others []picking
	for _, q := range all {
		if &q.onsets[0] != &p.onsets[0] && q.trust() > nearlyAsGood*p.trust() && math.Abs(pace(q)/pace(p)-1) < sameTempo {
			others = append(others, q)
		}
	}
	return others
}

func pace(p picking) float64 { return 1 / middle(gaps(p.onsets)) }

func fits(p picking, perSecond float64) bool { return math.Abs(pace(p)/perSecond-1) < 0.05 }

// multiple reports whether a ratio is one that mistakes of counting have.
func multiple(r float64) bool {
	for _, m := range []float64{1.0 / 4, 1.0 / 3, 1.0 / 2, 2, 3, 4} {
		if math.Abs(r/m-1) < 0.03 {
			return true
		}
	}
	return false
}

// blame finds the reason why notes were not clear.
func (l *levels) blame(s *spectrogram, why Doubt) Doubt {
	played := pick(s.total, activeFrames(s.total))
	if why == TooShort && len(played) > 2*leastSeconds*framesPerSecond {
		why = Unclear // much was heard, and few notes in it
	}
	if why != Unclear {
		return why
	}
	slices.Sort(played)
	spread := 10 * math.Log10(quantile(played, 0.95)/quantile(played, 0.05))
	if spread < clearRange {
		if l.tonal(s) {
			return Legato
		}
		return Noisy
	}
	return Unclear
}

// tonal reports whether a few bands hold most of the power, as in a note, and
// not all alike, as in noise.
func (l *levels) tonal(s *spectrogram) bool {
	means := make([]float64, len(s.bands))
	all := 0.0
	for b, band := range s.bands {
		for _, v := range band {
			means[b] += v
		}
		all += means[b]
	}
	slices.Sort(means)
	strong := 0.0
	for _, v := range means[len(means)*9/10:] {
		strong += v
	}
	return strong > 0.5*all
}

// doubt says why a picking is not believed; "" if it is.
func (c comparison) doubt(p picking) Doubt {
	switch {
	case len(p.onsets) < leastNotes || p.onsets[len(p.onsets)-1]-p.onsets[0] < leastSeconds-1:
		return TooShort
	case p.steady < leastTrimmed:
		return Unclear
	case c.foreign > mostForeign:
		return SeveralPlayers
	case c.wave:
		return Vibrato
	case c.agree < leastAgree || c.period < leastLikeness:
		return Unclear
	case c.confidence(p) < leastConfidence:
		return Unclear
	}
	return ""
}

const (
	nearlyAsGood    = 0.6
	leastTrimmed    = 0.90
	leastConfidence = 0.6
)

// confidence combines how far the threshold may be moved, how even the steps
// are and how well count and period agree, 0 to 1.
func (c comparison) confidence(p picking) float64 {
	return math.Cbrt(min(1, p.lasts/2) * min(1, p.steady) * c.agree * min(1, c.period/0.4) * (1 - c.foreign))
}
