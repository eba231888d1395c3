package routine

import "slices"

// marks is the traditional metronome series: 40 to 60 by 2, to 72 by 3, to 120
// by 4, to 144 by 6, to 208 by 8 (common practice).
var marks = [...]float64{
	40, 42, 44, 46, 48, 50, 52, 54, 56, 58, 60,
	63, 66, 69, 72,
	76, 80, 84, 88, 92, 96, 100, 104, 108, 112, 116, 120,
	126, 132, 138, 144,
	152, 160, 168, 176, 184, 192, 200, 208,
}

// SlowestMark and FastestMark are the ends of the metronome, in beats a minute.
const (
	SlowestMark = 40
	FastestMark = 208
)

// onMark is how near, in beats a minute, a number counts as the mark itself:
// far above the rounding of a change of note value, far below any step.
const onMark = 1e-6

// Marks returns the 39 marks of the traditional metronome, in beats a minute,
// slowest first.
func Marks() []float64 { return slices.Clone(marks[:]) }

// NextMark returns the slowest mark faster than bpm. There is none from 208 on.
func NextMark(bpm float64) (mark float64, ok bool) {
	for _, m := range marks {
		if m > bpm+onMark {
			return m, true
		}
	}
	return 0, false
}

// PrevMark returns the fastest mark slower than bpm. There is none up to 40.
func PrevMark(bpm float64) (mark float64, ok bool) {
	for _, m := range slices.Backward(marks[:]) {
		if m < bpm-onMark {
			return m, true
		}
	}
	return 0, false
}

// Up returns the next mark up from t, in t's own note value. A tempo slower
// than the metronome goes to its slowest mark; one at its fastest mark or
// beyond stays as it is, and so does no tempo.
func (t Tempo) Up() Tempo {
	m, ok := NextMark(t.BPM)
	if !ok || t.IsZero() {
		return t
	}
	return Tempo{m, t.Note}
}

// Down returns the next mark down from t, in t's own note value. A tempo faster
// than the metronome goes to its fastest mark; one at its slowest mark or below
// stays as it is.
func (t Tempo) Down() Tempo {
	m, ok := PrevMark(t.BPM)
	if !ok {
		return t
	}
	return Tempo{m, t.Note}
}

// Floor returns the fastest mark that is not faster than t, in t's own note
// value, or the slowest mark if t is slower than all. No tempo stays none.
func (t Tempo) Floor() Tempo {
	if t.IsZero() {
		return t
	}
	m, ok := PrevMark(t.BPM + 2*onMark)
	if !ok {
		m = SlowestMark
	}
	return Tempo{m, t.Note}
}

// Ceil returns the slowest mark that is not slower than t, in t's own note
// value, or the fastest mark if t is faster than all. No tempo stays none.
func (t Tempo) Ceil() Tempo {
	if t.IsZero() {
		return t
	}
	m, ok := NextMark(t.BPM - 2*onMark)
	if !ok {
		m = FastestMark
	}
	return Tempo{m, t.Note}
}

// OnMetronome reports whether t lies within the ends of the metronome, so that
// the marks can lead to it.
func (t Tempo) OnMetronome() bool {
	return t.BPM >= SlowestMark-onMark && t.BPM <= FastestMark+onMark
}
