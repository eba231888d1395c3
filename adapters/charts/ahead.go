package charts

import (
	"image/color"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Measures of what a tempo picture shows beside the playings, in pixels.
const (
	bandRise  = 17 // of the band of a forecast above and below the goal
	hatchLead = 9  // from one stroke of its hatching to the next
	dashLong  = 9  // of the line at a change of pass
	dashGap   = 7
)

// nearDays is how far ahead a forecast is shown even if there are few playings.
const nearDays = 42

// shownLikely returns the time at which the goal is likely if there is room for
// it: no further ahead than the playings go back twice over, or they would be
// pressed together. Further off it is left to words.
func shownLikely(t *tempi, s studio.Span) studio.Span {
	back := t.last().date - t.first().date
	if t.goal == 0 || s.To <= t.last().date || s.To-t.last().date > max(2*back, nearDays) {
		return studio.Span{}
	}
	s.From = max(s.From, t.last().date)
	return s
}

// drawLikely hatches the goal where it is likely to be reached, between two
// upright ends.
func (c *tempoChart) drawLikely() {
	if c.likely == (studio.Span{}) {
		return
	}
	y := c.ruler.y(c.goal)
	c.sheet.hatched(accent, c.x(c.likely.From), c.x(max(c.likely.To, c.likely.From+1)), y-bandRise, y+bandRise)
}

// hatched draws a field of slanting strokes between two upright ends.
func (s *sheet) hatched(col color.Color, x0, x1, top, bottom float64) {
	for x := x0 - (bottom - top); x < x1; x += hatchLead {
		from, to := point{x, bottom}, point{x + bottom - top, top}
		if from.x < x0 {
			from = point{x0, bottom - (x0 - x)}
		}
		if to.x > x1 {
			to = point{x1, top + (to.x - x1)}
		}
		if from.x < to.x {
			s.stroke(col, 1.5, from, to)
		}
	}
	s.down(col, 3, x0, top, bottom)
	s.down(col, 3, x1, top, bottom)
}

// bandSign is the sign of a forecast in a legend.
func bandSign(s *sheet, p point, r float64) {
	s.hatched(accent, p.x-1.5*r, p.x+1.5*r, p.y-0.9*r, p.y+0.9*r)
}

// drawPasses marks where the line went on to another pass.
func (c *tempoChart) drawPasses() {
	for i, change := range c.passes {
		if i == 0 {
			continue
		}
		x := c.x(change.Date) - c.radius() - 4
		for y := c.ruler.top; y < c.ruler.bottom; y += dashLong + dashGap {
			c.sheet.down(pale, 2, x, y, min(y+dashLong, c.ruler.bottom))
		}
		label := c.voice.Say("chart.pass", words.With{"pass": change.Pass})
		at, a := point{x + 6, c.ruler.top - 6}, left
		if at.x+captionFace().width(label) > pageWidth-margin {
			at.x, a = x-6, right
		}
		c.sheet.text(captionFace(), pale, at, a, label)
	}
}
