package trial

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// A purpose keeps apart what chance is asked for.
type purpose string

const (
	ofPerson purpose = "person"
	ofLine   purpose = "line"
	ofDates  purpose = "dates"
	ofDay    purpose = "day"
	ofItem   purpose = "item"
	ofOrder  purpose = "order"
	ofFeel   purpose = "feel"
)

// draw returns the numbers that chance gives to one student for one purpose.
// They depend on nothing that a policy does, so that the same student has the
// same gifts, the same illnesses and the same good and bad days under each.
func draw(seed uint64, p purpose, about string, n int) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(p))
	h.Write([]byte(about))
	return rand.New(rand.NewPCG(seed, h.Sum64()^uint64(n)<<40))
}

// around returns a number above 0 with the given median; its logarithm is normal
// with standard deviation sd.
func around(r *rand.Rand, median, sd float64) float64 {
	return median * math.Exp(sd*r.NormFloat64())
}

func between(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }
