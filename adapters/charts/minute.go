package charts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Measures of the picture of a minute, in pixels.
const (
	courseHeight = 230
	stripHeight  = 46 // of the strip with a stroke for each note
	stripSpace   = 26 // between the course and the strip
	secondsSpace = 60
)

// A minuteChart is the layout of the picture of a minute.
type minuteChart struct {
	studio.MinutePicture
	voice       *words.Voice
	sheet       *sheet
	ruler       ruler
	left, right float64
	strip       float64 // top of the strip
}

// checkMinute says what keeps a picture from being drawn.
func checkMinute(p studio.MinutePicture) error {
	if len(p.Course) == 0 || len(p.Onsets) == 0 {
		return fmt.Errorf("picture %q has no notes", p.Title)
	}
	if !(p.Seconds > 0) || math.IsInf(p.Seconds, 0) || p.Note == 0 {
		return fmt.Errorf("picture %q has no length or no note value", p.Title)
	}
	for _, c := range p.Course {
		if !(c.BPM > 0) || math.IsInf(c.BPM, 0) {
			return fmt.Errorf("picture %q has a tempo of %v", p.Title, c.BPM)
		}
	}
	return nil
}

// drawMinute draws the tempo along a minute test, a stroke for each note below it,
// and a cross where it broke.
func drawMinute(v *words.Voice, p studio.MinutePicture) ([]byte, error) {
	if err := checkMinute(p); err != nil {
		return nil, err
	}
	title := titleLines(p.Title)
	top := titleHeight(title) + captionSpace
	c := &minuteChart{MinutePicture: p, voice: v}
	c.ruler = ruler{marksAround(c.span()), top, top + courseHeight}
	c.strip = c.ruler.bottom + stripSpace
	below := c.strip + stripHeight + secondsSpace
	c.sheet = newSheet(below + legendHeight(c.signs()) + margin)
	c.left, c.right = margin+figureFace().width("208.8")+16, pageWidth-margin
	c.sheet.titled(title)
	c.ruleMarks()
	c.ruleSeconds()
	c.drawGoal()
	c.drawCourse()
	c.drawNotes()
	c.sheet.legend(c.signs(), below+legendLead/2+4)
	return c.sheet.encode()
}

// span returns the slowest and the fastest tempo in the picture.
func (c *minuteChart) span() (lo, hi float64) {
	lo, hi = math.Inf(1), 0.0
	for _, p := range c.Course {
		lo, hi = min(lo, p.BPM), max(hi, p.BPM)
	}
	if c.Goal > 0 {
		lo, hi = min(lo, c.Goal), max(hi, c.Goal)
	}
	return lo, hi
}

// x returns where a moment is on the page.
func (c *minuteChart) x(at float64) float64 {
	return c.left + (c.right-c.left)*max(0, min(1, at/c.Seconds))
}

func (c *minuteChart) ruleMarks() {
	s := c.sheet
	s.text(captionFace(), pale, point{margin, c.ruler.top - 30}, left, noteWords(c.voice, c.Note)+" =")
	for _, m := range c.ruler.named(c.Goal, nearestMarks) {
		y := c.ruler.y(m)
		s.across(rule, 2, c.left, c.right, y)
		s.text(figureFace(), ink, point{c.left - 12, y + 9}, right, bpmText(c.voice, m))
	}
}

// ruleSeconds writes the seconds below the strip.
func (c *minuteChart) ruleSeconds() {
	s := c.sheet
	base := c.strip + stripHeight + 8
	s.across(pale, 2, c.left, c.right, base)
	step := 10.0
	for c.Seconds/step > 8 {
		step *= 2
	}
	for at := 0.0; at <= c.Seconds+0.5; at += step {
		x := c.x(at)
		s.down(pale, 2, x, base, base+9)
		s.text(figureFace(), ink, point{min(x, c.right-24), base + 34}, middle, fmt.Sprintf("%.0f s", at))
	}
}

func (c *minuteChart) drawGoal() {
	if c.Goal == 0 {
		return
	}
	y := c.ruler.y(c.Goal)
	c.sheet.across(accent, 4, c.left, c.right, y)
	c.sheet.text(strongFace(), accent, point{c.right, c.ruler.top - 30}, right, c.voice.Say("chart.goal", words.With{"bpm": bpmText(c.voice, c.Goal)}))
}

// drawCourse draws the tempo as a line that is parted where it broke.
func (c *minuteChart) drawCourse() {
	var run []point
	end := func() {
		if len(run) > 1 {
			c.sheet.stroke(ink, 3, run...)
		}
		run = nil
	}
	breaks := slices.Clone(c.Breaks)
	for _, p := range c.Course {
		for len(breaks) > 0 && p.At >= breaks[0] {
			breaks = breaks[1:]
			end()
		}
		run = append(run, point{c.x(p.At), c.ruler.y(p.BPM)})
	}
	end()
}

// drawNotes draws a stroke for each note, and a cross for each break.
func (c *minuteChart) drawNotes() {
	for _, at := range c.Onsets {
		x := c.x(at)
		c.sheet.stroke(pale, 1, point{x, c.strip + 6}, point{x, c.strip + stripHeight})
	}
	for _, at := range c.Breaks {
		crossHead(c.sheet, point{c.x(at), c.strip}, headRadius)
	}
}

// signs returns the signs that are in the picture.
func (c *minuteChart) signs() []sign {
	signs := []sign{{tick, c.voice.Say("chart.a-note", nil)}}
	if len(c.Breaks) > 0 {
		signs = append(signs, sign{crossHead, c.voice.Say("chart.a-break", nil)})
	}
	return signs
}

// tick is the stroke that stands for a note.
func tick(s *sheet, p point, r float64) { s.stroke(pale, 1, point{p.x, p.y - r}, point{p.x, p.y + r}) }

// describeMinute says what the picture of a minute shows.
func describeMinute(v *words.Voice, p studio.MinutePicture) string {
	if checkMinute(p) != nil {
		return p.Title
	}
	lo, hi := math.Inf(1), 0.0
	for _, c := range p.Course {
		lo, hi = min(lo, c.BPM), max(hi, c.BPM)
	}
	figures := []string{v.Say("chart.between", words.With{"from": fmt.Sprintf("%.0f", lo), "to": fmt.Sprintf("%.0f", hi)})}
	if p.Goal > 0 {
		figures = append(figures, v.Say("chart.goal", words.With{"bpm": bpmText(v, p.Goal)}))
	}
	if len(p.Breaks) > 0 {
		figures = append(figures, v.Count("chart.breaks", len(p.Breaks), words.With{"at": fmt.Sprintf("%.0f", p.Breaks[0])}))
	} else {
		figures = append(figures, v.Say("chart.no-break", nil))
	}
	return v.Count("chart.minute", len(p.Onsets), words.With{
		"title": p.Title, "seconds": fmt.Sprintf("%.0f", p.Seconds), "note": noteWords(v, p.Note), "figures": strings.Join(figures, ", "),
	})
}
