package routine

// A Demand is one thing a pass may ask for, by the name it has in a book file:
// a dynamic ("pp"), a way of breathing ("one-breath"), a fingering set
// ("third-valve") or an articulation ("double").
type Demand string

// The demands. Free breath, the regular fingerings and slurring are what a line
// is played with when nothing is asked.
const (
	Pianissimo   Demand = "pp"
	Piano        Demand = "p"
	MezzoPiano   Demand = "mp"
	MezzoForte   Demand = "mf"
	Forte        Demand = "f"
	Fortissimo   Demand = "ff"
	FreeBreath   Demand = "free-breath"
	PhraseBreath Demand = "breath-by-phrase"
	OneBreath    Demand = "one-breath"
	Regular      Demand = "regular"
	ThirdValve   Demand = "third-valve"
	Alternate    Demand = "alternate"
	Slurred      Demand = "slurred"
	SingleTongue Demand = "single"
	KTongue      Demand = "K"
	DoubleTongue Demand = "double"
	TripleTongue Demand = "triple"
)

// Demands are what one pass asks of every line.
type Demands struct {
	Dynamic      Demand `json:"dynamic,omitempty"`      // pp to ff; empty is free
	Breath       Demand `json:"breath,omitempty"`       // free, by phrase or the whole line in one
	Fingering    Demand `json:"fingering,omitempty"`    // regular, third-valve or alternate
	Articulation Demand `json:"articulation,omitempty"` // slurred, single, K, double or triple
	Repeats      int    `json:"repeats,omitempty"`      // times through, at least 1
	From         Tempo  `json:"from,omitzero"`          // where a new line begins
	To           Tempo  `json:"to,omitzero"`            // the goal of the pass, not slower than From
}

// List returns the demands that are set, apart from repeats and tempo.
func (d Demands) List() []Demand {
	var list []Demand
	for _, x := range []Demand{d.Dynamic, d.Breath, d.Fingering, d.Articulation} {
		if x != "" {
			list = append(list, x)
		}
	}
	return list
}

// A Pass is one time through a study under given demands.
type Pass struct {
	Number  int // from 1, in order
	Demands Demands

	// CleanMeans says in words what counts as clean.
	CleanMeans string

	// CleanDays is on how many distinct days a line must be clean at the goal
	// tempo, at least 1.
	CleanDays int

	// Share is the part of the study's lines, above 0 and at most 1, that must
	// have passed before the next pass opens.
	Share float64

	// SignOff says that the teacher hears a line before it passes.
	SignOff bool

	Source Source
}
