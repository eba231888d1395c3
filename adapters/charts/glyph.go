package charts

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// A glyph draws one sign with its middle at p; r is about half the width of a
// notehead.
type glyph func(s *sheet, p point, r float64)

// Shape of a notehead: a leaning ellipse, as engraved.
const (
	headWide = 1.16
	headHigh = 0.80
	headLean = 22 * math.Pi / 180
)

// filledHead is the head of a quarter note.
func filledHead(s *sheet, p point, r float64) {
	s.fill(ink, s.ellipse(p, headWide*r, headHigh*r, headLean))
}

// edgedHead is a filled head with a thin edge of paper, by which heads that
// overlap are still told apart.
func edgedHead(s *sheet, p point, r float64) {
	const edge = 1.5
	s.fill(paper, s.ellipse(p, headWide*r+edge, headHigh*r+edge, headLean))
	filledHead(s, p, r)
}

// openHead is the head of a half note, edged too; it hides what lies behind.
func openHead(s *sheet, p point, r float64) {
	edgedHead(s, p, r)
	s.fill(paper, s.ellipse(p, 0.94*r, 0.40*r, 34*math.Pi/180))
}

// crossHead is the cross that percussion is noted with.
func crossHead(s *sheet, p point, r float64) {
	d := 0.86 * r
	w := 0.42 * r
	s.stroke(ink, w, point{p.x - d, p.y - d}, point{p.x + d, p.y + d})
	s.stroke(ink, w, point{p.x - d, p.y + d}, point{p.x + d, p.y - d})
}

// dot is a small filled dot.
func dot(s *sheet, p point, r float64) {
	s.fill(ink, s.ellipse(p, 0.48*r, 0.48*r, 0))
}

// ledgerHead is a notehead with a ledger line through it.
func ledgerHead(s *sheet, p point, r float64) {
	w := math.Max(2, math.Round(0.32*r))
	s.across(ink, w, p.x-1.3*r, p.x+1.3*r, p.y)
	s.fill(ink, s.ellipse(p, 0.74*r, 0.74*r, 0))
}

// ring is an empty round place.
func ring(s *sheet, p point, r float64) {
	s.fill(ink, s.ellipse(p, 0.95*r, 0.95*r, 0))
	s.fill(paper, s.ellipse(p, 0.66*r, 0.66*r, 0))
}

// restBar is a short bar that hangs from a line, like the rest of a whole measure.
func restBar(s *sheet, p point, r float64) {
	top := math.Round(p.y - 0.3*r)
	deep := math.Round(0.75 * r)
	s.across(ink, 2, p.x-1.1*r, p.x+1.1*r, top)
	s.across(ink, deep, p.x-0.7*r, p.x+0.7*r, top+deep/2)
}

// speck is a thin dot.
func speck(s *sheet, p point, r float64) {
	s.fill(pale, s.ellipse(p, 0.33*r, 0.33*r, 0))
}

// slur is drawn from one place to another and swells in the middle.
func slur(s *sheet, from, to point, rise float64) {
	const thick = 4.5
	third := (to.x - from.x) / 3.4
	var path vg.Path
	path.Move(s.vg(from))
	path.CubeTo(s.vg(point{from.x + third, from.y - rise}), s.vg(point{to.x - third, to.y - rise}), s.vg(to))
	path.CubeTo(s.vg(point{to.x - third, to.y - rise + thick}), s.vg(point{from.x + third, from.y - rise + thick}), s.vg(from))
	path.Close()
	s.fill(accent, path)
}

// ellipse outlines an ellipse with half axes a and b, leaning upward to the
// right by the given angle, as four cubic curves.
func (s *sheet) ellipse(p point, a, b, lean float64) vg.Path {
	const k = 0.5522847498 // control length of a quarter circle
	sin, cos := math.Sincos(lean)
	to := func(x, y float64) vg.Point {
		return s.vg(point{p.x + x*a*cos + y*b*sin, p.y - x*a*sin + y*b*cos})
	}
	var path vg.Path
	path.Move(to(1, 0))
	path.CubeTo(to(1, k), to(k, 1), to(0, 1))
	path.CubeTo(to(-k, 1), to(-1, k), to(-1, 0))
	path.CubeTo(to(-1, -k), to(-k, -1), to(0, -1))
	path.CubeTo(to(k, -1), to(1, -k), to(1, 0))
	path.Close()
	return path
}
