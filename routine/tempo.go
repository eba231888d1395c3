package routine

import (
	"fmt"
	"strconv"
	"strings"
)

// A NoteValue is the length of a written note, counted in sixteenths. The zero
// NoteValue means that none was given.
type NoteValue uint8

// The note values a tempo may be counted in.
const (
	Sixteenth     NoteValue = 1
	Eighth        NoteValue = 2
	DottedEighth  NoteValue = 3
	Quarter       NoteValue = 4
	DottedQuarter NoteValue = 6
	Half          NoteValue = 8
	DottedHalf    NoteValue = 12
	Whole         NoteValue = 16
)

var noteNames = map[NoteValue]string{
	Sixteenth: "sixteenth", Eighth: "eighth", DottedEighth: "dotted-eighth",
	Quarter: "quarter", DottedQuarter: "dotted-quarter", Half: "half",
	DottedHalf: "dotted-half", Whole: "whole",
}

// String returns the name of the note value, such as "dotted-quarter", or ""
// if there is none.
func (n NoteValue) String() string { return noteNames[n] }

// ParseNoteValue reads a name as [NoteValue.String] writes it.
func ParseNoteValue(s string) (NoteValue, error) {
	for n, name := range noteNames {
		if name == s {
			return n, nil
		}
	}
	return 0, fmt.Errorf("note value %q: write whole, half, quarter, eighth or sixteenth, or dotted- before half, quarter or eighth", s)
}

// MarshalText implements [encoding.TextMarshaler].
func (n NoteValue) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler]; empty text is none.
func (n *NoteValue) UnmarshalText(text []byte) (err error) {
	if len(text) == 0 {
		*n = 0
		return nil
	}
	*n, err = ParseNoteValue(string(text))
	return err
}

// A Tempo is a metronome mark: BPM notes of the value Note in a minute. The
// zero Tempo means that none was given.
type Tempo struct {
	BPM  float64 // beats a minute, above 0
	Note NoteValue
}

// IsZero reports whether no tempo was given.
func (t Tempo) IsZero() bool { return t.BPM == 0 }

// Sixteenths returns how many sixteenths go by in a minute: the speed of the
// same figure, whatever note the tempo is counted in.
func (t Tempo) Sixteenths() float64 { return t.BPM * float64(t.Note) }

// Compare returns -1, 0 or +1 as t is slower than, as fast as or faster than u
// for the same figure: quarter=72 equals eighth=144. Differences under a
// thousandth of a sixteenth a minute are rounding, and equal.
func (t Tempo) Compare(u Tempo) int {
	const eps = 1e-3
	switch d := t.Sixteenths() - u.Sixteenths(); {
	case d < -eps:
		return -1
	case d > eps:
		return +1
	}
	return 0
}

// In returns the same speed counted in another note value: dotted-quarter=60
// in quarters is quarter=90.
func (t Tempo) In(note NoteValue) Tempo {
	return Tempo{BPM: t.Sixteenths() / float64(note), Note: note}
}

// NotesPerSecond returns how fast notes follow one another when perBeat of them
// fall on each beat: sixteenths (4 a beat) at quarter=120 are 8 a second.
func (t Tempo) NotesPerSecond(perBeat int) float64 { return t.BPM * float64(perBeat) / 60 }

// String returns t as people read it, "quarter=96", with at most two decimals;
// "" for no tempo.
func (t Tempo) String() string {
	if t.IsZero() {
		return ""
	}
	bpm := strconv.FormatFloat(t.BPM, 'f', 2, 64)
	bpm = strings.TrimSuffix(strings.TrimRight(bpm, "0"), ".")
	return t.Note.String() + "=" + bpm
}

// ParseTempo reads a tempo as [Tempo.String] writes it.
func ParseTempo(s string) (Tempo, error) {
	note, bpm, found := strings.Cut(s, "=")
	if !found {
		return Tempo{}, fmt.Errorf("tempo %q has no note value: write note=number, for example quarter=96", s)
	}
	n, err := ParseNoteValue(strings.TrimSpace(note))
	if err != nil {
		return Tempo{}, fmt.Errorf("tempo %q: %w", s, err)
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(bpm), 64)
	if err != nil || !(v > 0 && v <= 1000) {
		return Tempo{}, fmt.Errorf("tempo %q: the number must be above 0 and at most 1000, for example quarter=96", s)
	}
	return Tempo{BPM: v, Note: n}, nil
}

// MarshalText implements [encoding.TextMarshaler]. Unlike [Tempo.String] it
// keeps every decimal, so that a tempo read back compares as it did.
func (t Tempo) MarshalText() ([]byte, error) {
	if t.IsZero() {
		return nil, nil
	}
	return []byte(t.Note.String() + "=" + strconv.FormatFloat(t.BPM, 'f', -1, 64)), nil
}

// UnmarshalText implements [encoding.TextUnmarshaler]; empty text is no tempo.
func (t *Tempo) UnmarshalText(text []byte) (err error) {
	if len(text) == 0 {
		*t = Tempo{}
		return nil
	}
	*t, err = ParseTempo(string(text))
	return err
}
