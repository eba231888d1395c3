// Package click makes a click to play with, as a sound file and as a MIDI file.
//
// A [Click] counts a bar or two in, accents the first beat of each bar, and goes
// from one tempo to another mark by mark of the metronome, some bars at each, or
// stays at one tempo for a time. Its beats may be divided: triplets and compound
// measures have two soft strokes between one beat and the next. Where a new mark
// begins there is a stroke of its own. [Click.Beats] says when each stroke falls;
// the files are made from that, so they agree.
package click

import (
	"fmt"
	"math"

	"ledgerline/routine"
)

// A Click is a click to be made. It is small and can be kept in place of its
// files.
type Click struct {
	From    routine.Tempo `json:"from"`
	To      routine.Tempo `json:"to,omitzero"`      // where the marks lead; none: it stays at From
	Meter   int           `json:"meter"`            // beats a bar, 1 to 12
	Divide  int           `json:"divide,omitempty"` // strokes a beat, 1 to 4; 0 for 1
	CountIn int           `json:"count_in"`         // bars before the first that is played, 0 to 4
	Seconds float64       `json:"seconds"`          // about how long the played part is, 1 to LongestClick
}

// LongestClick is the most seconds that are played, so that its file fits every
// chat.
const LongestClick = 300.0

// A Beat is one stroke of a click.
type Beat struct {
	At      float64       // seconds from the start
	Tempo   routine.Tempo // that it is part of
	Stress  Stress
	CountIn bool
}

// A Stress is what a stroke stands for.
type Stress int

// The stresses, from the softest.
const (
	Between Stress = iota // a part of a beat
	Plain                 // a beat
	First                 // the first beat of a bar
	NewMark               // the first at a tempo, after another
)

// Check says what is wrong with a click.
func (c *Click) Check() error {
	switch {
	case !(c.From.BPM >= 10 && c.From.BPM <= 400) || c.From.Note == 0:
		return fmt.Errorf("a click of %v: the tempo must be from 10 to 400", c.From)
	case !c.To.IsZero() && (!(c.To.BPM >= 10 && c.To.BPM <= 400) || c.To.Note == 0):
		return fmt.Errorf("a click to %v: the tempo must be from 10 to 400", c.To)
	case c.Meter < 1 || c.Meter > 12:
		return fmt.Errorf("a click of %d beats a bar: there must be 1 to 12", c.Meter)
	case c.Divide < 0 || c.Divide > 4:
		return fmt.Errorf("a click of %d strokes a beat: there must be 1 to 4", c.Divide)
	case c.CountIn < 0 || c.CountIn > 4:
		return fmt.Errorf("a click that counts %d bars in: there must be 0 to 4", c.CountIn)
	case !(c.Seconds >= 1 && c.Seconds <= LongestClick):
		return fmt.Errorf("a click of %g seconds: there must be 1 to %g", c.Seconds, LongestClick)
	}
	return nil
}

// Marks returns the tempi of the click: those of the metronome between its ends,
// and the ends themselves.
func (c *Click) Marks() []routine.Tempo {
	marks := []routine.Tempo{c.From}
	if c.To.IsZero() {
		return marks
	}
	to := c.To.In(c.From.Note)
	for at := c.From.BPM; ; {
		next, ok := routine.NextMark(at)
		if to.BPM < c.From.BPM {
			next, ok = routine.PrevMark(at)
		}
		if !ok || (next-to.BPM)*(to.BPM-c.From.BPM) >= 0 {
			break
		}
		at = next
		marks = append(marks, routine.Tempo{BPM: at, Note: c.From.Note})
	}
	if to.BPM != c.From.BPM {
		marks = append(marks, to)
	}
	return marks
}

// Beats returns the strokes of the click in order. Each mark has whole bars, at
// least one, so that the played part lasts about as long as was asked.
func (c *Click) Beats() []Beat {
	marks := c.Marks()
	var beats []Beat
	at := 0.0
	parts := max(1, c.Divide)
	bars := func(t routine.Tempo, n int, first Stress, countIn bool) {
		for i := range n * c.Meter * parts {
			b := Beat{At: at, Tempo: t, Stress: Between, CountIn: countIn}
			switch {
			case i == 0:
				b.Stress = first
			case i%(c.Meter*parts) == 0:
				b.Stress = First
			case i%parts == 0:
				b.Stress = Plain
			}
			beats = append(beats, b)
			at += 60 / t.BPM / float64(parts)
		}
	}
	bars(c.From, c.CountIn, First, true)
	each := c.Seconds / float64(len(marks))
	for i, m := range marks {
		first := First
		if i > 0 {
			first = NewMark
		}
		bars(m, max(1, int(math.Round(each*m.BPM/60/float64(c.Meter)))), first, false)
	}
	return beats
}

// Length returns how long the click is in seconds, to the end of its last beat.
func (c *Click) Length() float64 {
	beats := c.Beats()
	last := beats[len(beats)-1]
	return last.At + 60/last.Tempo.BPM/float64(max(1, c.Divide))
}
