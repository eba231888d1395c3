package charts

import (
	"math"
	"slices"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// headOf returns the sign of an outcome, or nil if it is none of a playing.
func headOf(o routine.Outcome) glyph {
	switch o {
	case routine.Clean:
		return edgedHead
	case routine.Shaky:
		return openHead
	case routine.Missed:
		return crossHead
	case routine.Done:
		return dot
	}
	return nil
}

// A tempoChart is the layout of one tempo picture.
type tempoChart struct {
	*tempi
	voice       *words.Voice
	groups      []group
	days        int // of each group; 0: every playing is drawn
	sheet       *sheet
	ruler       ruler
	left, right float64 // of the plot
	from, to    routine.Date
	likely      studio.Span // when the goal is likely; zero: not shown
	passes      []studio.PassChange
}

// Measures of a tempo picture, in pixels.
const (
	plotHeight   = 310
	captionSpace = 58 // for the note value above the plot
	dateSpace    = 74 // for two lines of dates below it
	nearestMarks = 36 // between marks that are written out
	headRadius   = 11
	smallHead    = 7
	noteLead     = 30
)

// drawTempo draws a tempo picture.
func drawTempo(v *words.Voice, p studio.TempoPicture) ([]byte, error) {
	t, err := tempiOf(p)
	if err != nil {
		return nil, err
	}
	title := titleLines(p.Title)
	top := titleHeight(title) + captionSpace
	c := &tempoChart{tempi: t, voice: v, ruler: ruler{marksAround(t.span()), top, top + plotHeight}}
	c.groups, c.days = t.grouped()
	c.likely, c.passes = shownLikely(t, p.Likely), p.Passes
	notes := c.notes()
	below := c.ruler.bottom + dateSpace + legendHeight(c.signs())
	c.sheet = newSheet(below + noteLead*float64(len(notes)) + margin)
	c.fit()
	c.sheet.titled(title)
	c.ruleMarks()
	c.ruleDates()
	c.drawPasses()
	c.drawGoal()
	c.drawLikely()
	c.drawPlays()
	c.drawLast()
	c.sheet.legend(c.signs(), c.ruler.bottom+dateSpace+legendLead/2+4)
	for i, line := range notes {
		c.sheet.text(captionFace(), pale, point{margin, below + noteLead*float64(i+1)}, left, line)
	}
	return c.sheet.encode()
}

// fit sets the edges of the plot from what is written beside it.
func (c *tempoChart) fit() {
	c.left = margin + c.markWidth() + 16
	c.right = pageWidth - margin - c.sideWidth() - 12
	c.from, c.to = c.first().date, max(c.last().date, c.likely.To)
	if c.from == c.to {
		c.from, c.to = c.from-1, c.to+1
	}
}

// markWidth is the width of the widest mark.
func (c *tempoChart) markWidth() (w float64) {
	for _, m := range c.ruler.named(c.goal, nearestMarks) {
		w = max(w, figureFace().width(bpmText(c.voice, m)))
	}
	return w
}

// sideWidth is the width of the widest label at the right.
func (c *tempoChart) sideWidth() float64 {
	return max(strongFace().width(c.goalLabel()), strongFace().width(c.lastLabel()))
}

func (c *tempoChart) goalLabel() string {
	if c.goal == 0 {
		return ""
	}
	return c.voice.Say("chart.goal", words.With{"bpm": bpmText(c.voice, c.goal)})
}

func (c *tempoChart) lastLabel() string {
	return c.voice.Say("chart.last", words.With{"bpm": bpmText(c.voice, c.last().bpm)})
}

// inset keeps the first and the last notehead off the edges of the plot.
const inset = 20

// x returns where a date is on the page.
func (c *tempoChart) x(d routine.Date) float64 {
	return c.left + inset + (c.right-c.left-2*inset)*float64(d-c.from)/float64(c.to-c.from)
}

// ruleMarks rules a line at each named mark, and a tick at every mark if they are
// not too close.
func (c *tempoChart) ruleMarks() {
	s := c.sheet
	s.text(captionFace(), pale, point{margin, c.ruler.top - 30}, left, noteWords(c.voice, c.note)+" =")
	if (c.ruler.bottom-c.ruler.top)/float64(len(c.ruler.marks)) > 5 {
		for _, m := range c.ruler.marks {
			s.across(rule, 2, c.left, c.left+8, c.ruler.y(m))
		}
	}
	for _, m := range c.ruler.named(c.goal, nearestMarks) {
		y := c.ruler.y(m)
		s.across(rule, 2, c.left, c.right, y)
		s.text(figureFace(), ink, point{c.left - 12, y + 9}, right, bpmText(c.voice, m))
	}
	s.down(pale, 2, c.left, c.ruler.top, c.ruler.bottom)
}

// ruleDates writes the dates below the plot.
func (c *tempoChart) ruleDates() {
	s := c.sheet
	wide := dateWidth(c.voice) + 22
	base := c.ruler.bottom + 8
	s.across(pale, 2, c.left, c.right, base)
	for _, t := range dateTicks(c.first().date, max(c.last().date, c.likely.To), max(1, int((c.right-c.left)/wide))) {
		x := c.x(t.date)
		s.down(pale, 2, x, base, base+9)
		s.text(figureFace(), ink, point{x, base + 34}, middle, c.voice.Short(t.date))
		if t.year {
			s.text(captionFace(), pale, point{x, base + 62}, middle, yearText(t.date))
		}
	}
}

// drawGoal draws the goal across the plot.
func (c *tempoChart) drawGoal() {
	if c.goal == 0 {
		return
	}
	y := c.ruler.y(c.goal)
	c.sheet.across(accent, 4, c.left, c.right, y)
	c.sheet.text(strongFace(), accent, point{c.right + 12, y + 9}, left, c.goalLabel())
}

// drawPlays joins the playings by a line and sets a notehead on each, or on the
// last of each group.
func (c *tempoChart) drawPlays() {
	places := make([]point, len(c.groups))
	for i, g := range c.groups {
		places[i] = point{c.x(g.last.date), c.ruler.y(g.last.bpm)}
		if g.slowest < g.fastest {
			c.sheet.down(pale, 4, places[i].x, c.ruler.y(g.fastest), c.ruler.y(g.slowest))
		}
	}
	c.sheet.stroke(pale, 2.5, places...)
	r := c.radius()
	for i, g := range c.groups {
		headOf(g.last.outcome)(c.sheet, places[i], r)
	}
}

// radius makes noteheads smaller where they would crowd.
func (c *tempoChart) radius() float64 {
	each := (c.right - c.left) / float64(len(c.groups))
	return math.Max(smallHead, math.Min(headRadius, 0.42*each))
}

// drawLast writes the newest tempo at the right, clear of the goal.
func (c *tempoChart) drawLast() {
	const clear = 32
	y := c.ruler.y(c.last().bpm)
	if goal := c.ruler.y(c.goal); c.goal > 0 && math.Abs(y-goal) < clear {
		if y < goal {
			y = goal - clear
		} else {
			y = goal + clear
		}
	}
	c.sheet.text(strongFace(), ink, point{c.right + 12, y + 9}, left, c.lastLabel())
}

// signs returns the signs that are in the picture.
func (c *tempoChart) signs() []sign {
	var signs []sign
	for _, o := range []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Done} {
		if slices.ContainsFunc(c.groups, func(g group) bool { return g.last.outcome == o }) {
			signs = append(signs, sign{headOf(o), c.voice.Value(o)})
		}
	}
	if c.likely != (studio.Span{}) {
		signs = append(signs, sign{bandSign, c.voice.Say("chart.likely", nil)})
	}
	return signs
}

// notes says what a group is, if there are groups.
func (c *tempoChart) notes() []string {
	if c.days == 0 {
		return nil
	}
	return captionFace().wrap(c.voice.Count("chart.signs", c.days, nil), pageWidth-2*margin)
}
