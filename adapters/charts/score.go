package charts

import (
	"slices"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A score is the layout of a calendar: systems of a few measures, one below the
// other, each with a line for every student.
type score struct {
	studio.CalendarPicture
	voice    *words.Voice
	sheet    *sheet
	labels   []string
	top      float64 // of the first system
	left     float64 // where the measures begin
	day      float64 // width of a day
	measures int     // in a full system
}

// Measures of a calendar, in pixels.
const (
	systemMost = 4  // measures in a system
	headSpace  = 66 // for the week and its Monday above a system
	rowSpace   = 42
	systemGap  = 26
	widestDay  = 40
	goodDay    = 21  // width of a day that names give way to
	fewNames   = 160 // width that names keep in any case
	barSpace   = 5   // on either side of a barline
)

// drawCalendar draws a calendar picture.
func drawCalendar(v *words.Voice, p studio.CalendarPicture) ([]byte, error) {
	if err := checkCalendar(p); err != nil {
		return nil, err
	}
	title := titleLines(p.Title)
	c := &score{CalendarPicture: p, voice: v, labels: rowLabels(v, p.Rows), top: titleHeight(title)}
	c.fit()
	signs := c.signs()
	end := c.systemTop(c.systems())
	c.sheet = newSheet(end + legendHeight(signs) + margin/2)
	c.sheet.titled(title)
	for i := range c.systems() {
		c.drawSystem(i)
	}
	c.sheet.legend(signs, end+legendLead/2)
	return c.sheet.encode()
}

// rowLabels returns the names as far as they can be written; a name that can't
// is the number of its row.
func rowLabels(v *words.Voice, rows []studio.CalendarRow) []string {
	labels := make([]string, len(rows))
	for i, row := range rows {
		name, whole := legible(row.Name)
		if !whole {
			name = rowNumber(v, i)
		}
		labels[i] = name
	}
	return labels
}

// rowNumber names a row, from 0, by its number.
func rowNumber(v *words.Voice, i int) string {
	return v.Say("chart.row-number", words.With{"number": i + 1})
}

// fit shares the width of the page among names and days.
func (c *score) fit() {
	c.measures = (c.Weeks + c.systems() - 1) / c.systems()
	days := float64(7 * c.measures)
	widest := 0.
	for _, l := range c.labels {
		widest = max(widest, nameFace().width(l))
	}
	const gap = 14
	page := pageWidth - 2*margin - gap - 2*barSpace*float64(c.measures)
	names := min(widest, max(fewNames, page-days*goodDay))
	c.left = margin + names + gap
	c.day = min(widestDay, (page-names)/days)
	for i, l := range c.labels {
		c.labels[i] = nameFace().cut(l, names)
	}
}

// systems is how many systems the weeks fill.
func (c *score) systems() int { return (c.Weeks + systemMost - 1) / systemMost }

// systemTop is where a system begins, its heading included.
func (c *score) systemTop(i int) float64 {
	return c.top + float64(i)*(headSpace+rowSpace*float64(c.lines())+systemGap)
}

// lines is how many lines a system has: one at least.
func (c *score) lines() int { return max(1, len(c.Rows)) }

// weeksIn returns the weeks of a system, from 0.
func (c *score) weeksIn(system int) (from, to int) {
	from = system * c.measures
	return from, min(from+c.measures, c.Weeks)
}

// bar returns where a measure of a system begins, from 0.
func (c *score) bar(measure int) float64 {
	return c.left + (7*c.day+2*barSpace)*float64(measure)
}

// x returns the middle of a day of a system, from 0.
func (c *score) x(day int) float64 {
	return c.bar(day/7) + barSpace + c.day*(float64(day%7)+0.5)
}

// radius is that of the signs.
func (c *score) radius() float64 { return min(10, 0.37*c.day) }

// drawSystem draws the weeks of one system.
func (c *score) drawSystem(system int) {
	from, to := c.weeksIn(system)
	top := c.systemTop(system) + headSpace
	bottom := top + rowSpace*float64(c.lines())
	end := c.bar(to - from)
	for i := range c.lines() + 1 {
		c.sheet.across(rule, 2, margin, end, top+rowSpace*float64(i))
	}
	for w := from; w < to; w++ {
		c.drawHeading(w, c.bar(w-from), top)
		c.sheet.down(pale, 2, c.bar(w-from), top, bottom)
	}
	c.sheet.down(pale, 2, end, top, bottom)
	if to == c.Weeks {
		c.sheet.down(pale, 5, end+6, top, bottom)
	}
	if len(c.Rows) == 0 {
		c.sheet.text(captionFace(), pale, point{c.left + 12, top + 29}, left, c.voice.Say("chart.nobody", nil))
	}
	for i := range c.Rows {
		c.drawRow(i, from, to, top+rowSpace*float64(i))
	}
}

// drawHeading writes the number of a week and the date of its Monday.
func (c *score) drawHeading(week int, x, top float64) {
	monday := c.From + routine.Date(7*week)
	year, number := monday.ISOWeek()
	before, _ := (monday - 7).ISOWeek()
	date := c.voice.Short(monday)
	if week == 0 || year != before {
		date = c.voice.ShortDate(monday)
	}
	c.sheet.text(strongFace(), ink, point{x + 2, top - 36}, left, c.voice.Say("chart.week", words.With{"number": number}))
	c.sheet.text(dateFace(), pale, point{x + 2, top - 9}, left, date)
}

// drawRow draws one student's days in the weeks of a system.
func (c *score) drawRow(i, from, to int, top float64) {
	row := c.Rows[i]
	c.sheet.text(nameFace(), ink, point{margin, top + 30}, left, c.labels[i])
	y := top + 0.60*rowSpace
	for d := 7 * from; d < min(7*to, len(row.Days)); d++ {
		if g, _ := daySign(row.Days[d]); g != nil {
			g(c.sheet, point{c.x(d - 7*from), y}, c.radius())
		}
	}
	for w := from; w < min(to, len(row.Weeks)); w++ {
		if row.Weeks[w] {
			monday := 7 * (w - from)
			slur(c.sheet, point{c.x(monday), top + 14}, point{c.x(monday + 6), top + 14}, 13)
		}
	}
}

// signs returns the signs that are in the picture.
func (c *score) signs() []sign {
	var signs []sign
	for _, k := range []streaks.Kind{streaks.Kept, streaks.Extra, streaks.Missed, streaks.Excused, streaks.Off} {
		if c.has(k) {
			g, _ := daySign(k)
			signs = append(signs, sign{g, c.voice.Say("chart.day-"+string(k), nil)})
		}
	}
	if c.keptWeek() {
		signs = append(signs, sign{smallSlur, c.voice.Say("chart.week-kept", nil)})
	}
	return signs
}

func (c *score) has(k streaks.Kind) bool {
	return slices.ContainsFunc(c.Rows, func(r studio.CalendarRow) bool { return slices.Contains(r.Days, k) })
}

func (c *score) keptWeek() bool {
	return slices.ContainsFunc(c.Rows, func(r studio.CalendarRow) bool { return slices.Contains(r.Weeks, true) })
}

// smallSlur is a slur as a legend shows it.
func smallSlur(s *sheet, p point, r float64) {
	slur(s, point{p.x - 1.8*r, p.y + 0.5*r}, point{p.x + 1.8*r, p.y + 0.5*r}, 1.4*r)
}
