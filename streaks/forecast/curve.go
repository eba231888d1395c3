package forecast

import "math"

// A Law is a law of practice: how tempo grows with the number of sessions.
type Law string

// The laws. Both start fast and slow down; the exponential law has come within
// a tenth of its limit when the power law is still far from it.
const (
	// Exponential is y = L - B exp(-r n): Heathcote, Brown and Mewhort, "The
	// power law repealed", 2000 (cited from memory).
	Exponential Law = "exponential"

	// Power is y = L - B (n+1)^-r: Newell and Rosenbloom, "Mechanisms of skill
	// acquisition and the law of practice", 1981 (cited from memory).
	Power Law = "power"
)

// A Curve is a law with its parameters: the tempo after n sessions.
type Curve struct {
	Law   Law
	Limit float64 // L: tempo approached in the end, in beats a minute
	Span  float64 // B: limit less the tempo of the first session
	Rate  float64 // r: above 0
}

// left returns the part of the span that is still to be gained after n sessions,
// from 1 at the first down to 0.
func (l Law) left(n, rate float64) float64 {
	if l == Power {
		return math.Pow(n+1, -rate)
	}
	return math.Exp(-rate * n)
}

// At returns the tempo after n sessions.
func (c Curve) At(n float64) float64 { return c.Limit - c.Span*c.Law.left(n, c.Rate) }
