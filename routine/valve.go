package routine

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"
)

// Valves is a set of pressed valves of a three-valved instrument; bit 0 is the
// first valve.
type Valves uint8

// The eight combinations.
const (
	Open      Valves = 0
	Valve1    Valves = 1
	Valve2    Valves = 2
	Valve12   Valves = Valve1 | Valve2
	Valve3    Valves = 4
	Valve13   Valves = Valve1 | Valve3
	Valve23   Valves = Valve2 | Valve3
	Valve123  Valves = Valve1 | Valve2 | Valve3
	allValves        = Valve123 + 1 // how many combinations there are
)

// valveDrop is how many semitones each valve alone lowers the instrument.
var valveDrop = [3]int{2, 1, 3}

// Drop returns by how many semitones the combination lowers the instrument,
// from 0 to 6.
func (v Valves) Drop() int {
	drop := 0
	for i, d := range valveDrop {
		if v&(1<<i) != 0 {
			drop += d
		}
	}
	return drop
}

// Cents returns how sharp the combination is against its drop in equal
// temperament, on an instrument whose single valves are in tune: tubing that
// is long enough for the open instrument is too short for one that another
// valve has already lengthened. Instruments compromise.
func (v Valves) Cents() float64 {
	length := 1.0
	for i, d := range valveDrop {
		if v&(1<<i) != 0 {
			length += math.Exp2(float64(d)/12) - 1
		}
	}
	return float64(100*v.Drop()) - 1200*math.Log2(length)
}

// String returns the valves as players write them: "0", "2", "13".
func (v Valves) String() string {
	if v == Open {
		return "0"
	}
	var s []byte
	for i := range valveDrop {
		if v&(1<<i) != 0 {
			s = append(s, byte('1'+i))
		}
	}
	return string(s)
}

// ParseValves reads valves as [Valves.String] writes them.
func ParseValves(s string) (Valves, error) {
	for v := range allValves {
		if v.String() == s {
			return v, nil
		}
	}
	return 0, fmt.Errorf("valves %q: write 0, 1, 2, 12, 3, 13, 23 or 123", s)
}

// MarshalText implements [encoding.TextMarshaler].
func (v Valves) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (v *Valves) UnmarshalText(text []byte) (err error) {
	*v, err = ParseValves(string(text))
	return err
}

// The partials that fingerings are made of. The first is a pedal note; above
// the eighth the partials lie so close that players choose for themselves.
const (
	lowestPartial  = 2
	highestPartial = 8
	flatPartial    = 7 // a third of a semitone flat, and avoided
)

// openFundamental is the written pitch of the first partial with no valve down.
const openFundamental Pitch = 48 // C3

// Partial returns the written pitch, in equal temperament, of the nth note of
// the harmonic series over the combination: with no valve down, 2 is C4 and 3
// is G4. It returns 0 if n is below 1.
func (v Valves) Partial(n int) Pitch {
	if n < 1 {
		return 0
	}
	return openFundamental + Pitch(math.Round(12*math.Log2(float64(n)))) - Pitch(v.Drop())
}

// A Fingering is a way to play a note on a three-valved instrument: a
// combination, and which note of its harmonic series is blown.
type Fingering struct {
	Valves  Valves
	Partial int // from 2 to 8
}

// Pitch returns the written pitch that the fingering gives.
func (f Fingering) Pitch() Pitch { return f.Valves.Partial(f.Partial) }

// Cents returns how far the fingering is from equal temperament, in hundredths
// of a semitone, sharp above 0: the partial's own deviation and that of the
// combination ([Valves.Cents]).
func (f Fingering) Cents() float64 {
	exact := 1200 * math.Log2(float64(f.Partial))
	return exact - 100*math.Round(exact/100) + f.Valves.Cents()
}

// String returns the fingering as "12@5".
func (f Fingering) String() string { return f.Valves.String() + "@" + string(rune('0'+f.Partial)) }

// Fingerings returns every way to play the written pitch p with partials 2 to
// 8, the one to be preferred first: the flat seventh partial last, then the
// least tubing, then 12 before 3. It returns none outside F#3 to C6.
func Fingerings(p Pitch) []Fingering {
	var list []Fingering
	for v := range allValves {
		for n := lowestPartial; n <= highestPartial; n++ {
			if f := (Fingering{v, n}); f.Pitch() == p {
				list = append(list, f)
			}
		}
	}
	slices.SortFunc(list, func(a, b Fingering) int {
		return cmp.Or(
			cmp.Compare(a.seventh(), b.seventh()),
			cmp.Compare(a.Valves.Drop(), b.Valves.Drop()),
			-cmp.Compare(bits.OnesCount8(uint8(a.Valves)), bits.OnesCount8(uint8(b.Valves))),
		)
	})
	return list
}

func (f Fingering) seventh() int {
	if f.Partial == flatPartial {
		return 1
	}
	return 0
}

// RegularFingering returns the fingering of p that charts give: the first of
// [Fingerings]. ok is false outside F#3 to C6.
func RegularFingering(p Pitch) (f Fingering, ok bool) {
	list := Fingerings(p)
	if len(list) == 0 {
		return Fingering{}, false
	}
	return list[0], true
}

// ThirdValveFingering returns the fingering of p in the third-valve set: every
// A and every E is played on the third valve alone, other notes as usual
// (common practice). ok is false outside F#3 to C6.
func ThirdValveFingering(p Pitch) (f Fingering, ok bool) {
	if class := p % 12; class == 9 || class == 4 { // A, E
		for _, f := range Fingerings(p) {
			if f.Valves == Valve3 {
				return f, true
			}
		}
	}
	return RegularFingering(p)
}

// Fingering returns how p is played under the demand d for a fingering set. An
// alternate set is of the teacher's choosing, so for [Alternate] it is the
// second of [Fingerings] where there is one. ok is false outside F#3 to C6.
func (d Demand) Fingering(p Pitch) (f Fingering, ok bool) {
	switch d {
	case ThirdValve:
		return ThirdValveFingering(p)
	case Alternate:
		if list := Fingerings(p); len(list) > 1 {
			return list[1], true
		}
	}
	return RegularFingering(p)
}
