package routine

import (
	"slices"
	"strings"
)

// An Instrument is a three-valved brass instrument that reads the treble clef
// and is fingered as the trumpet is, so that one written line serves them all.
// Horns, slides and instruments read at concert pitch are not among them: their
// fingerings and written ranges differ.
type Instrument struct {
	Name  string // as a plan writes it, such as "tenor horn"
	Sound int    // semitones from the written to the sounding pitch, below 0

	// Lowest and Highest bound the written pitches a line may ask for (common
	// practice). Lowest is where three valves end; above Highest players go
	// at their own risk.
	Lowest, Highest Pitch
}

// Written limits shared by the instruments.
const (
	lowF  Pitch = 54 // F#3, valves 123 on the second partial
	highA Pitch = 81 // A5
	highB Pitch = 82 // Bb5
	highC Pitch = 84 // C6
)

var instruments = []Instrument{
	{"trumpet", -2, lowF, highC},
	{"cornet", -2, lowF, highC},
	{"flugelhorn", -2, lowF, highB},
	{"tenor horn", -9, lowF, highB},
	{"baritone", -14, lowF, highB},
	{"euphonium", -14, lowF, highC},
	{"E-flat bass", -21, lowF, highA},
	{"B-flat bass", -26, lowF, highA},
}

// alsoCalled holds second names of the same instruments.
var alsoCalled = map[string]string{
	"alto horn": "tenor horn",
	"flugel":    "flugelhorn",
}

// Instruments returns the instruments known, higher ones first.
func Instruments() []Instrument { return slices.Clone(instruments) }

// InstrumentNamed returns the instrument with the given name, in any case. ok
// is false if there is none.
func InstrumentNamed(name string) (i Instrument, ok bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	if first, found := alsoCalled[name]; found {
		name = first
	}
	at := slices.IndexFunc(instruments, func(i Instrument) bool { return strings.ToLower(i.Name) == name })
	if at < 0 {
		return Instrument{}, false
	}
	return instruments[at], true
}

// Plays reports whether the instrument reaches every written pitch from low to
// high.
func (i Instrument) Plays(low, high Pitch) bool { return low >= i.Lowest && high <= i.Highest }

// Sounding returns the pitch that sounds when p is written.
func (i Instrument) Sounding(p Pitch) Pitch { return p + Pitch(i.Sound) }
