package forecast

import (
	"math"

	"ledgerline/routine"
)

// A Session is what one date said of one line: on that day the player could do
// Low beats a minute or more, and less than High. Both are the same where the
// tempo was measured.
type Session struct {
	Date      routine.Date
	Low, High float64
}

// mark is the step from one mark of the metronome to the next, as a logarithm:
// the mean of the traditional series, 38 steps from 40 to 208.
var mark = math.Log(208.0/40) / 38

// up returns the tempo so many marks above another.
func up(tempo, marks float64) float64 { return tempo * math.Exp(marks*mark) }

// Played returns what an outcome at a tempo, in beats a minute, says; false if it
// says nothing. Clean, and she could do that or more. Shaky, and up to two marks
// were wanting. Missed, and a mark or more was wanting. The two overlap, because
// players differ in what they call shaky. "Done" says nothing of how it went.
func Played(date routine.Date, tempo float64, o routine.Outcome) (s Session, ok bool) {
	switch {
	case tempo <= 0:
		return Session{}, false
	case o == routine.Clean:
		return Session{date, tempo, math.Inf(1)}, true
	case o == routine.Shaky:
		return Session{date, up(tempo, -2), tempo}, true
	case o == routine.Missed:
		return Session{date, 0, up(tempo, -1)}, true
	}
	return Session{}, false
}

// Measured returns a session in which the tempo itself was found: that of a minute
// test that was held.
func Measured(date routine.Date, tempo float64) Session { return Session{date, tempo, tempo} }

// exact reports whether the tempo was measured.
func (s Session) exact() bool { return s.Low == s.High }

// Clean returns the tempo that was clean, or 0.
func (s Session) Clean() float64 {
	if s.exact() || math.IsInf(s.High, 1) {
		return s.Low
	}
	return 0
}

// level returns the tempo the session vouches for: a mark less than the first
// known to be too fast, if it was not clean.
func (s Session) level() float64 {
	if clean := s.Clean(); clean > 0 {
		return clean
	}
	return up(s.High, -1)
}

// slip is the chance that what was said is not what was played.
const slip = 0.02

// surprise returns how little the session is to be expected, as the negative
// logarithm of its chance, for a player who can do mu give or take sigma; and how
// that grows with mu: its slope, and its curvature or 0 if that is negative.
func (s Session) surprise(mu, sigma float64) (cost, slope, curvature float64) {
	var p, d1, d2 float64 // chance, or density, and its derivatives by mu times sigma
	if s.exact() {
		z := (s.Low - mu) / sigma
		f := density(z) / sigma
		p, d1, d2 = f+slip/(1-slip)/100, z*f, (z*z-1)*f // a slip may be anywhere in a hundred beats
	} else {
		p, d1, d2 = s.chance(mu, sigma)
		p += slip / (1 - slip) / 3 // a slip may be any of three outcomes
	}
	slope = -d1 / sigma / p
	return -math.Log(p), slope, max(0, slope*slope-d2/(sigma*sigma)/p)
}

// chance is how likely it is that the player can do Low or more, but less than
// High; and its first two derivatives by mu, in units of sigma.
func (s Session) chance(mu, sigma float64) (p, d1, d2 float64) {
	if !math.IsInf(s.High, 1) {
		b := (s.High - mu) / sigma
		f := density(b)
		p, d1, d2 = below(b), -f, -b*f
	} else {
		p = 1
	}
	if s.Low > 0 {
		a := (s.Low - mu) / sigma
		f := density(a)
		p, d1, d2 = p-below(a), d1+f, d2+a*f
	}
	return max(0, p), d1, d2
}

// density is that of the standard normal distribution.
func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// below is the chance that a standard normal value is below z.
func below(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
