package routine

import (
	"fmt"
	"strconv"
	"strings"
)

// A Pitch is a written pitch, as its semitone number with middle C (C4) at 60.
// The zero Pitch means that none was given.
type Pitch int

var sharpNames = [12]string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}

// String returns the pitch spelled with sharps, such as "F#4"; "" for none.
func (p Pitch) String() string {
	if p == 0 {
		return ""
	}
	return sharpNames[int(p)%12] + strconv.Itoa(int(p)/12-1)
}

// ParsePitch reads a letter, at most one sharp (#) or flat (b), and an octave:
// "F#4", "Bb3".
func ParsePitch(s string) (Pitch, error) {
	bad := fmt.Errorf("pitch %q: write a letter, # or b if needed, and the octave, for example F#4 or Bb3", s)
	if len(s) < 2 {
		return 0, bad
	}
	step := strings.IndexByte("C D EF G A B", s[0])
	if step < 0 || s[0] == ' ' {
		return 0, bad
	}
	rest := s[1:]
	switch rest[0] {
	case '#':
		step, rest = step+1, rest[1:]
	case 'b':
		step, rest = step-1, rest[1:]
	}
	octave, err := strconv.Atoi(rest)
	if err != nil || octave < 0 || octave > 9 {
		return 0, bad
	}
	return Pitch(12*(octave+1) + step), nil
}

// MarshalText implements [encoding.TextMarshaler].
func (p Pitch) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (p *Pitch) UnmarshalText(text []byte) (err error) {
	if len(text) == 0 {
		*p = 0
		return nil
	}
	*p, err = ParsePitch(string(text))
	return err
}
