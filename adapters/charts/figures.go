package charts

import (
	"fmt"
	"math"
	"strings"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A play is one playing of a line, its tempo counted in the note value of the
// picture.
type play struct {
	date    routine.Date
	bpm     float64
	outcome routine.Outcome
}

// A tempi is what a tempo picture shows, all of it in one note value.
type tempi struct {
	note  routine.NoteValue
	goal  float64 // 0: none
	plays []play  // by date; at least one
	best  float64 // fastest that was clean; 0: none
}

// first and last are the oldest and the newest playing.
func (t *tempi) first() play { return t.plays[0] }
func (t *tempi) last() play  { return t.plays[len(t.plays)-1] }

// span returns the slowest and the fastest tempo, the goal among them.
func (t *tempi) span() (lo, hi float64) {
	lo, hi = t.first().bpm, t.first().bpm
	for _, p := range t.plays {
		lo, hi = min(lo, p.bpm), max(hi, p.bpm)
	}
	if t.goal > 0 {
		lo, hi = min(lo, t.goal), max(hi, t.goal)
	}
	return lo, hi
}

// tempiOf reads a picture: every tempo in the note value of the goal, or of the
// first playing if there is no goal. Skipped items are no playings.
func tempiOf(p studio.TempoPicture) (*tempi, error) {
	t := &tempi{note: p.Goal.Note, goal: p.Goal.BPM}
	if t.goal != 0 && !counted(p.Goal) {
		return nil, fmt.Errorf("tempo picture %q: goal of %v counts in no note: give it one, for example quarter=96", p.Title, t.goal)
	}
	for _, point := range p.Points {
		if point.Outcome == routine.Skipped {
			continue
		}
		if err := t.add(point); err != nil {
			return nil, fmt.Errorf("tempo picture %q: %w", p.Title, err)
		}
	}
	if len(t.plays) == 0 {
		return nil, fmt.Errorf("tempo picture %q shows no playing: send it once the line was played", p.Title)
	}
	return t, nil
}

// counted reports whether a tempo has a speed and a note value.
func counted(t routine.Tempo) bool { return t.BPM > 0 && t.Note.String() != "" }

// add appends a playing.
func (t *tempi) add(point studio.TempoPoint) error {
	if !counted(point.Tempo) {
		return fmt.Errorf("playing on %v has no tempo: leave it out, or give number and note value, for example quarter=96", point.Date)
	}
	if headOf(point.Outcome) == nil {
		return fmt.Errorf("playing on %v has the outcome %q: use clean, shaky, missed or done", point.Date, point.Outcome)
	}
	if n := len(t.plays); n > 0 && point.Date < t.plays[n-1].date {
		return fmt.Errorf("playing on %v comes after one on %v: put them in order of date", point.Date, t.plays[n-1].date)
	}
	if t.note == 0 {
		t.note = point.Tempo.Note
	}
	p := play{point.Date, point.Tempo.In(t.note).BPM, point.Outcome}
	if p.outcome == routine.Clean {
		t.best = max(t.best, p.bpm)
	}
	t.plays = append(t.plays, p)
	return nil
}

// bpmText returns a number of beats with at most one decimal.
func bpmText(v *words.Voice, bpm float64) string {
	return v.Number(math.Round(bpm*10) / 10)
}

// noteWords spells a note value, such as "dotted quarter note".
func noteWords(v *words.Voice, n routine.NoteValue) string {
	return v.Say("chart.note", words.With{"note": strings.ReplaceAll(v.Value(n), "-", " ")})
}
