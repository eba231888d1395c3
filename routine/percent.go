package routine

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Percent is a step of the tempo as a share of the tempo it is taken from, in
// hundredths: 5 goes from quarter=80 to quarter=84. The zero Percent is none.
type Percent float64

// Bounds of a step: below, whole beats are not reached at all, and above no
// player follows (common practice).
const (
	SmallestStep Percent = 1
	LargestStep  Percent = 25
)

// String returns p as "5%", or "" for none.
func (p Percent) String() string {
	if p == 0 {
		return ""
	}
	return strconv.FormatFloat(float64(p), 'f', -1, 64) + "%"
}

// MarshalText implements [encoding.TextMarshaler].
func (p Percent) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler]; empty text is none.
func (p *Percent) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*p = 0
		return nil
	}
	number, isPercent := strings.CutSuffix(string(text), "%")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || !isPercent || !(Percent(v) >= SmallestStep && Percent(v) <= LargestStep) {
		return fmt.Errorf("step %q: write a share from %v to %v, for example 5%%", text, SmallestStep, LargestStep)
	}
	*p = Percent(v)
	return nil
}

// UpBy returns the tempo a step of p above t in whole beats, at least one beat
// faster. One at the fastest mark of the metronome or beyond stays as it is,
// and so does no tempo.
func (t Tempo) UpBy(p Percent) Tempo {
	if t.IsZero() || t.BPM >= FastestMark-onMark {
		return t
	}
	bpm := max(math.Round(t.BPM*(1+float64(p)/100)), math.Floor(t.BPM+onMark)+1)
	return Tempo{min(bpm, FastestMark), t.Note}
}

// DownBy returns the tempo from which a step of p leads up to t, in whole beats
// and at least one beat slower. One at the slowest mark of the metronome or
// below stays as it is.
func (t Tempo) DownBy(p Percent) Tempo {
	if t.BPM <= SlowestMark+onMark {
		return t
	}
	bpm := min(math.Round(t.BPM/(1+float64(p)/100)), math.Ceil(t.BPM-onMark)-1)
	return Tempo{max(bpm, SlowestMark), t.Note}
}
