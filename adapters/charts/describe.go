package charts

import (
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Describe says in one or two sentences what the picture shows, for those who
// don't see it. Of a tempo it gives the first, the last and the best clean one
// and the goal, all in the note value of the goal; of a calendar the days that
// every student kept of those that were due, in the order of the rows; of a
// challenge what it has come to, the goal and who is ahead. A picture
// that can't be drawn is described by its title.
func (d *Drawer) Describe(p studio.Picture) string {
	switch {
	case p.Tempo != nil:
		return describeTempo(d.voice(&p), *p.Tempo)
	case p.Challenge != nil:
		return describeChallenge(d.voice(&p), *p.Challenge)
	case p.Map != nil:
		return describeMap(d.voice(&p), *p.Map)
	case p.Calendar != nil:
		return describeCalendar(d.voice(&p), *p.Calendar)
	case p.Minute != nil:
		return describeMinute(d.voice(&p), *p.Minute)
	}
	return ""
}

func describeTempo(v *words.Voice, p studio.TempoPicture) string {
	t, err := tempiOf(p)
	if err != nil {
		return p.Title
	}
	var figures []string
	if len(t.plays) > 1 {
		figures = append(figures, v.Say("chart.first", words.With{"bpm": bpmText(v, t.first().bpm)}))
	}
	figures = append(figures, v.Say("chart.last", words.With{"bpm": bpmText(v, t.last().bpm)})+" ("+v.Value(t.last().outcome)+")")
	if t.best > 0 {
		figures = append(figures, v.Say("chart.best", words.With{"bpm": bpmText(v, t.best)}))
	} else {
		figures = append(figures, v.Say("chart.none-clean", nil))
	}
	if t.goal > 0 {
		figures = append(figures, v.Say("chart.goal", words.With{"bpm": bpmText(v, t.goal)}))
	}
	said := v.Count("chart.tempo", len(t.plays), words.With{
		"title": p.Title, "span": span(v, t.first().date, t.last().date),
		"note": noteWords(v, t.note), "figures": strings.Join(figures, ", "),
	})
	for _, change := range p.Passes {
		said += " " + v.Say("chart.pass-since", words.With{"pass": change.Pass, "date": v.ShortDate(change.Date)})
	}
	if p.Likely != (studio.Span{}) && t.goal > 0 {
		said += " " + v.Say("chart.goal-likely", words.With{"from": v.ShortDate(p.Likely.From), "to": v.ShortDate(p.Likely.To)})
	}
	return said
}

func describeCalendar(v *words.Voice, p studio.CalendarPicture) string {
	if checkCalendar(p) != nil {
		return p.Title
	}
	head := v.Count("chart.calendar", p.Weeks, words.With{"title": p.Title, "span": span(v, p.From, p.From+routine.Date(7*p.Weeks-1))})
	if len(p.Rows) == 0 {
		return head + " " + words.Sentence(v.Say("chart.nobody", nil))
	}
	rows := make([]string, len(p.Rows))
	for i, row := range p.Rows {
		rows[i] = rowName(v, i, row.Name) + " " + describeRow(v, row)
	}
	return head + " " + v.Say("chart.kept-of-due", words.With{"rows": v.Apart(rows)})
}

// rowName is the name of a row, after its number if the picture has only that.
func rowName(v *words.Voice, i int, name string) string {
	if _, whole := legible(name); whole {
		return name
	}
	return strings.TrimSuffix(rowNumber(v, i)+", "+name, ", ")
}

// describeRow gives the days kept of those due, and what else was kept.
func describeRow(v *words.Voice, row studio.CalendarRow) string {
	days := map[streaks.Kind]int{}
	for _, k := range row.Days {
		days[k]++
	}
	kept := days[streaks.Kept]
	text := v.Say("chart.of", words.With{"kept": kept, "due": kept + days[streaks.Missed]})
	if n := days[streaks.Extra]; n > 0 {
		text += ", " + v.Count("chart.extra-days", n, nil)
	}
	weeks := 0
	for _, kept := range row.Weeks {
		if kept {
			weeks++
		}
	}
	if weeks > 0 {
		text += ", " + v.Count("chart.weeks-kept", weeks, nil)
	}
	return text
}

// span says from when to when.
func span(v *words.Voice, from, to routine.Date) string {
	if from == to {
		return v.Say("chart.on", words.With{"date": v.ShortDate(from)})
	}
	y1, _, _ := from.Calendar()
	y2, _, _ := to.Calendar()
	first := v.ShortDate(from)
	if y1 == y2 {
		first = v.Short(from)
	}
	return v.Say("chart.span", words.With{"from": first, "to": v.ShortDate(to)})
}
