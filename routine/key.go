package routine

import (
	"fmt"
	"strconv"
	"strings"
)

// A Key is a major or minor key, by its signature.
type Key struct {
	Fifths int  // sharps in the signature, or flats below 0; from -7 to 7
	Minor  bool // the minor key of that signature
}

// fifthNames are the letters along the circle of fifths, F first: the order in
// which sharps enter a signature.
const fifthNames = "FCGDAEB"

// ParseKey reads a key as [Key.String] writes it: "Eb", "F#", "C minor".
func ParseKey(s string) (Key, error) {
	bad := fmt.Errorf("key %q: write a major key such as Eb or a minor key such as C minor, with at most seven sharps or flats", s)
	name, mode, minor := strings.Cut(s, " ")
	if len(name) == 0 || len(name) > 2 || (minor && mode != "minor") {
		return Key{}, bad
	}
	at := strings.IndexByte(fifthNames, name[0])
	if at < 0 {
		return Key{}, bad
	}
	fifths := at - 1 // C has none
	if len(name) == 2 {
		switch name[1] {
		case '#':
			fifths += 7
		case 'b':
			fifths -= 7
		default:
			return Key{}, bad
		}
	}
	if minor {
		fifths -= 3
	}
	if fifths < -7 || fifths > 7 {
		return Key{}, bad
	}
	return Key{fifths, minor}, nil
}

// MajorKeys and MinorKeys return twelve keys, by falling fifths from C and from
// A minor: no key is there twice under two spellings.
func MajorKeys() []Key { return circle(false) }

// MinorKeys returns the twelve minor keys; see [MajorKeys].
func MinorKeys() []Key { return circle(true) }

func circle(minor bool) []Key {
	var keys []Key
	for i := range 12 {
		fifths := -i
		if fifths < -6 { // seven flats are five sharps
			fifths += 12
		}
		keys = append(keys, Key{fifths, minor})
	}
	return keys
}

// tonicFifths is the tonic's place on the line of fifths, C at 0.
func (k Key) tonicFifths() int {
	if k.Minor {
		return k.Fifths + 3
	}
	return k.Fifths
}

// letter returns the name at a place on the line of fifths, C at 0.
func letter(fifths int) string {
	at := fifths + 1
	octave := floorDiv(at, 7)
	name := fifthNames[at-7*octave : at-7*octave+1]
	if octave < 0 {
		return name + strings.Repeat("b", -octave)
	}
	return name + strings.Repeat("#", octave)
}

// Class returns the semitone of the tonic above C, from 0 to 11.
func (k Key) Class() int { return mod(7*k.tonicFifths(), 12) }

// String returns the key as "Eb" or "C minor".
func (k Key) String() string {
	if k.Minor {
		return letter(k.tonicFifths()) + " minor"
	}
	return letter(k.tonicFifths())
}

// MarshalText implements [encoding.TextMarshaler].
func (k Key) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (k *Key) UnmarshalText(text []byte) (err error) {
	*k, err = ParseKey(string(text))
	return err
}

// Spell returns the name of p as it is written in the key, such as "Bb4". Notes
// outside the key take the name nearest to it on the circle of fifths: raised
// degrees in sharp keys and the leading note of a minor key are sharps (G#4 in
// A minor, F##5 in G# minor).
func (k Key) Spell(p Pitch) string {
	if p == 0 {
		return ""
	}
	// Of the names along the line of fifths, twelve in a row name each class
	// once. Two of them lie below the key's own seven and three above; in minor
	// one and four.
	first := k.Fifths - 3
	if k.Minor {
		first = k.Fifths - 2
	}
	name := letter(first + mod(7*int(p)-first, 12)) // a class is 7 fifths per semitone from C
	natural := int(p) - strings.Count(name, "#") + strings.Count(name, "b")
	return name + strconv.Itoa(natural/12-1)
}
