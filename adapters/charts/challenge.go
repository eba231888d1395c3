package charts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Measures of the picture of a challenge, in pixels.
const (
	swellHeight = 250 // of the course
	swellDates  = 74  // for the dates below it
	rowHigh     = 66  // of one who is ahead: her name, and her line below

	// MostChallengeRows is how many may be shown ahead.
	MostChallengeRows = 40
)

// A swell is the layout of the picture of a challenge: what all have together, at
// the end of each date, against the goal; and a line for each who is ahead, with
// a notehead as far along it as the figure.
type swell struct {
	studio.ChallengePicture
	voice *words.Voice
	sheet *sheet
	rise  ladder
	left  float64
}

// A ladder is a scale from nothing to a number, in round steps.
type ladder struct {
	step, most  float64
	top, bottom float64
}

// ladderTo returns a ladder that has room for a number, in at most five steps of
// 1, 2 or 5 times a power of ten.
func ladderTo(most, top, bottom float64) ladder {
	step := 1.0
	for i := 0; step*5 < most; i++ {
		step *= []float64{2, 2.5, 2}[i%3]
	}
	return ladder{step, step * max(1, math.Ceil(most/step-1e-9)), top, bottom}
}

func (l ladder) y(value float64) float64 { return l.bottom - (l.bottom-l.top)*value/l.most }

// checkChallenge says what keeps a picture from being drawn.
func checkChallenge(p studio.ChallengePicture) error {
	days := int(p.To-p.From) + 1
	if days < 1 || days > 366 || len(p.Values) > days {
		return fmt.Errorf("picture of challenge %q has %d values for %d days: draw at most 366 days, and no value after the last", p.Title, len(p.Values), days)
	}
	if len(p.Rows) > MostChallengeRows {
		return fmt.Errorf("picture of challenge %q has %d rows: draw at most %d", p.Title, len(p.Rows), MostChallengeRows)
	}
	for _, v := range slices.Concat(rowValues(p), p.Values, []float64{p.Goal}) {
		if !(v >= 0 && v < 1e12) {
			return fmt.Errorf("picture of challenge %q has a value of %v: draw numbers from 0 on", p.Title, v)
		}
	}
	return nil
}

func rowValues(p studio.ChallengePicture) (values []float64) {
	for _, r := range p.Rows {
		values = append(values, r.Value)
	}
	return values
}

// unit returns a value in what is written on the page, which of gains is percent.
func unit(m streaks.Measure, value float64) float64 {
	if m == streaks.TestGain {
		return 100 * value
	}
	return value
}

// drawChallenge draws the picture of a challenge.
func drawChallenge(v *words.Voice, p studio.ChallengePicture) ([]byte, error) {
	if err := checkChallenge(p); err != nil {
		return nil, err
	}
	title := titleLines(p.Title)
	top := titleHeight(title) + captionSpace
	c := &swell{ChallengePicture: p, voice: v}
	most := unit(p.Measure, p.Goal)
	for _, value := range p.Values {
		most = max(most, unit(p.Measure, value))
	}
	c.rise = ladderTo(most, top, top+swellHeight)
	c.left = margin + figureFace().width(v.Number(c.rise.most)) + 18
	below := c.rise.bottom + swellDates
	signs := []sign{{filledHead, v.Say("chart.day-end", nil)}}
	rows := below + float64(len(p.Rows))*rowHigh
	c.sheet = newSheet(rows + legendHeight(signs) + margin/2)
	c.sheet.titled(title)
	c.ruleValues()
	c.ruleDates()
	c.drawGoal()
	c.drawCourse()
	c.drawRows(below)
	c.sheet.legend(signs, rows+legendLead/2)
	return c.sheet.encode()
}

// x returns where the end of a date is on the page.
func (c *swell) x(d routine.Date) float64 {
	days := float64(c.To-c.From) + 1
	return c.left + (pageWidth-margin-14-c.left)*(float64(d-c.From)+1)/days
}

func (c *swell) ruleValues() {
	s := c.sheet
	s.text(captionFace(), pale, point{margin, c.rise.top - 30}, left, c.voice.Say("chart.unit-"+string(c.Measure), nil))
	for value := 0.0; value <= c.rise.most+1e-9; value += c.rise.step {
		y := c.rise.y(value)
		s.across(rule, 2, c.left, pageWidth-margin, y)
		s.text(figureFace(), ink, point{c.left - 12, y + 9}, right, c.voice.Number(value))
	}
}

func (c *swell) ruleDates() {
	s, y := c.sheet, c.rise.bottom
	s.across(pale, 2, c.left, pageWidth-margin, y)
	for _, tick := range dateTicks(c.From, c.To, 5) {
		x := c.x(tick.date)
		s.down(pale, 2, x, y, y+9)
		half := dateWidth(c.voice) / 2
		s.text(figureFace(), ink, point{min(max(x, c.left+half), pageWidth-margin-half), y + 36}, middle, c.voice.Short(tick.date))
	}
}

func (c *swell) drawGoal() {
	if c.Goal == 0 {
		return
	}
	goal := unit(c.Measure, c.Goal)
	c.sheet.across(accent, 4, c.left, pageWidth-margin, c.rise.y(goal))
	said := c.voice.Say("chart.goal", words.With{"bpm": c.voice.Number(math.Round(10*goal) / 10)})
	c.sheet.text(strongFace(), accent, point{pageWidth - margin, c.rise.top - 30}, right, said)
}

// drawCourse draws a notehead at the end of each date, tied by a line.
func (c *swell) drawCourse() {
	course := []point{{c.left, c.rise.bottom}}
	for i, value := range c.Values {
		course = append(course, point{c.x(c.From + routine.Date(i)), c.rise.y(unit(c.Measure, value))})
	}
	c.sheet.stroke(pale, 3, append(course, course[len(course)-1])...)
	room := (pageWidth - margin - c.left) / (float64(c.To-c.From) + 1)
	for _, p := range course[1:] {
		edgedHead(c.sheet, p, min(headRadius, 0.4*room))
	}
}

// drawRows draws those who are ahead, from a height on.
func (c *swell) drawRows(y float64) {
	most := 0.0
	for _, row := range c.Rows {
		most = max(most, row.Value)
	}
	for i, row := range c.Rows {
		name, whole := legible(row.Name)
		if !whole {
			name = rowNumber(c.voice, i)
		}
		value := rowWords(c.voice, c.Measure, row.Value)
		room := pageWidth - 2*margin - strongFace().width(value) - 20
		c.sheet.text(nameFace(), ink, point{margin, y + 24}, left, nameFace().cut(fmt.Sprintf("%d. %s", row.Place, name), room))
		c.sheet.text(strongFace(), ink, point{pageWidth - margin, y + 24}, right, value)
		line := y + 44
		end := float64(margin) + (pageWidth-2*margin-14)*row.Value/max(most, 1e-12)
		c.sheet.across(rule, 2, margin, pageWidth-margin, line)
		c.sheet.across(pale, 4, margin, end, line)
		edgedHead(c.sheet, point{end, line}, headRadius)
		y += rowHigh
	}
}

// rowWords writes the figure of a row.
func rowWords(v *words.Voice, m streaks.Measure, value float64) string {
	tenth := math.Round(10*unit(m, value)) / 10
	if m == streaks.TestGain {
		return v.Value(routine.Percent(tenth))
	}
	return v.Number(tenth)
}

// describeChallenge says what the picture of a challenge shows.
func describeChallenge(v *words.Voice, p studio.ChallengePicture) string {
	if checkChallenge(p) != nil {
		return p.Title
	}
	amount := func(value float64) string {
		return v.Number(math.Round(10*unit(p.Measure, value))/10) + " " + v.Say("chart.unit-"+string(p.Measure), nil)
	}
	last := 0.0
	if n := len(p.Values); n > 0 {
		last = p.Values[n-1]
	}
	now := amount(last)
	if p.Goal > 0 {
		now += ", " + v.Say("chart.challenge-goal", words.With{"goal": v.Number(math.Round(10*unit(p.Measure, p.Goal)) / 10)})
	}
	said := v.Say("chart.challenge", words.With{"title": p.Title, "span": span(v, p.From, p.To), "now": now})
	var rows []string
	for i, row := range p.Rows {
		rows = append(rows, fmt.Sprintf("%d. %s, %s", row.Place, rowName(v, i, row.Name), rowWords(v, p.Measure, row.Value)))
	}
	if len(rows) > 0 {
		said += " " + v.Say("chart.challenge-rows", words.With{"rows": strings.Join(rows, "; ")})
	}
	return said
}
