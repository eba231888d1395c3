package charts

import (
	"fmt"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

// Describe says in one or two sentences what the picture shows, for those who
// don't see it. Of a tempo it gives the first, the last and the best clean one
// and the goal, all in the note value of the goal; of a calendar the days that
// every student kept of those that were due, in the order of the rows. A picture
// that can't be drawn is described by its title.
func (d *Drawer) Describe(p studio.Picture) string {
	switch {
	case p.Tempo != nil:
		return describeTempo(*p.Tempo)
	case p.Calendar != nil:
		return describeCalendar(*p.Calendar)
	}
	return ""
}

func describeTempo(p studio.TempoPicture) string {
	t, err := tempiOf(p)
	if err != nil {
		return p.Title
	}
	figures := []string{fmt.Sprintf("first %s", bpmText(t.first().bpm))}
	if len(t.plays) == 1 {
		figures = nil
	}
	figures = append(figures, fmt.Sprintf("last %s (%s)", bpmText(t.last().bpm), t.last().outcome))
	if t.best > 0 {
		figures = append(figures, "best clean "+bpmText(t.best))
	} else {
		figures = append(figures, "none clean yet")
	}
	if t.goal > 0 {
		figures = append(figures, "goal "+bpmText(t.goal))
	}
	return fmt.Sprintf("%s: %s %s. In %ss a minute: %s.", p.Title, count(len(t.plays), "playing"),
		span(t.first().date, t.last().date), noteWords(t.note), strings.Join(figures, ", "))
}

func describeCalendar(p studio.CalendarPicture) string {
	if checkCalendar(p) != nil {
		return p.Title
	}
	head := fmt.Sprintf("%s: %s %s.", p.Title, count(p.Weeks, "week"), span(p.From, p.From+routine.Date(7*p.Weeks-1)))
	if len(p.Rows) == 0 {
		return head + " Nobody yet."
	}
	rows := make([]string, len(p.Rows))
	for i, row := range p.Rows {
		rows[i] = rowName(i, row.Name) + " " + describeRow(row)
	}
	return head + " Days kept of days due: " + strings.Join(rows, "; ") + "."
}

// rowName is the name of a row, after its number if the picture has only that.
func rowName(i int, name string) string {
	if _, whole := legible(name); whole {
		return name
	}
	return strings.TrimSuffix(rowNumber(i)+", "+name, ", ")
}

// describeRow gives the days kept of those due, and what else was kept.
func describeRow(row studio.CalendarRow) string {
	days := map[streaks.Kind]int{}
	for _, k := range row.Days {
		days[k]++
	}
	kept := days[streaks.Kept]
	text := fmt.Sprintf("%d of %d", kept, kept+days[streaks.Missed])
	if n := days[streaks.Extra]; n > 0 {
		text += fmt.Sprintf(", %d extra", n)
	}
	weeks := 0
	for _, kept := range row.Weeks {
		if kept {
			weeks++
		}
	}
	if weeks > 0 {
		text += ", " + count(weeks, "week") + " kept"
	}
	return text
}

// count gives a number of things, such as "2 weeks".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// span says from when to when.
func span(from, to routine.Date) string {
	if from == to {
		return "on " + dayMonthYear(from)
	}
	y1, _, _ := from.Calendar()
	y2, _, _ := to.Calendar()
	if y1 == y2 {
		return "from " + dayMonth(from) + " to " + dayMonthYear(to)
	}
	return "from " + dayMonthYear(from) + " to " + dayMonthYear(to)
}
