package routine

import (
	"fmt"
	"slices"
	"strings"
)

// demandPlaces are the places a pass asks for demands in, and demandsOf what
// may stand in each.
var (
	demandPlaces = []string{"dynamic", "breath", "fingering", "articulation"}

	demandsOf = map[string][]Demand{
		"dynamic":      {Pianissimo, Piano, MezzoPiano, MezzoForte, Forte, Fortissimo},
		"breath":       {FreeBreath, PhraseBreath, OneBreath},
		"fingering":    {Regular, ThirdValve, Alternate},
		"articulation": {Slurred, SingleTongue, KTongue, DoubleTongue, TripleTongue},
	}
)

// AllDemands returns every demand, those of one place together.
func AllDemands() []Demand {
	var list []Demand
	for _, place := range demandPlaces {
		list = append(list, demandsOf[place]...)
	}
	return list
}

// Place returns what d is a demand of: "dynamic", "breath", "fingering" or
// "articulation", or "" if d is unknown.
func (d Demand) Place() string {
	for _, place := range demandPlaces {
		if slices.Contains(demandsOf[place], d) {
			return place
		}
	}
	return ""
}

// Levels returns the levels, in order.
func Levels() []Level { return []Level{Beginner, Growing, Advanced} }

// listOf writes words one after the other: "pp, p, mp".
func listOf[S ~string](words []S) string {
	var b strings.Builder
	for i, w := range words {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(string(w))
	}
	return b.String()
}

func namesOf(on []Instrument) string {
	var names []string
	for _, i := range on {
		names = append(names, i.Name)
	}
	return listOf(names)
}

// numbersOf writes the numbers of things, neighbours joined: "1-6, 8".
func numbersOf[T any](things []T, number func(T) int) string {
	var parts []string
	for i := 0; i < len(things); {
		from := number(things[i])
		to := from
		for i++; i < len(things) && number(things[i]) == to+1; i++ {
			to++
		}
		if from == to {
			parts = append(parts, fmt.Sprint(from))
		} else {
			parts = append(parts, fmt.Sprintf("%d-%d", from, to))
		}
	}
	return listOf(parts)
}

// widest returns the lowest and highest pitch that any of the instruments
// reaches.
func widest(on []Instrument) (low, high Pitch) {
	low, high = on[0].Lowest, on[0].Highest
	for _, i := range on {
		low, high = min(low, i.Lowest), max(high, i.Highest)
	}
	return low, high
}

func floorDiv(a, b int) int {
	if a < 0 {
		return -((b - 1 - a) / b)
	}
	return a / b
}

func ceilDiv(a, b int) int { return floorDiv(a+b-1, b) }

func mod(a, b int) int { return a - b*floorDiv(a, b) }
