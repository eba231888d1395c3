package reply

import (
	"strconv"
	"strings"

	"ledgerline/routine"
)

// Canonical returns a text in English that reads back to the same reading,
// whatever the member's language and whatever was said before. Of a question it
// holds only what it is about.
func (r Reading) Canonical() string {
	switch {
	case r.Undo:
		return "undo"
	case r.Kind == Chat:
		return "-"
	case r.Kind == Asked:
		return "what " + quoted(trimRemark(r.Question)) + "?"
	}
	var parts []string
	add := func(s string) {
		if s != "" {
			parts = append(parts, s)
		}
	}
	add(wholeText(r.All))
	add(excuseText(r.Excused))
	if r.Minutes > 0 {
		add("total " + strconv.Itoa(r.Minutes) + " min")
	}
	for _, item := range r.Items {
		add(itemText(item))
	}
	add(string(r.Feel))
	if r.Pain {
		add("pain")
	}
	if r.PainGone {
		add("pain gone")
	}
	for _, q := range r.Ask {
		if q.About != "day" {
			add("unclear " + quoted(q.About))
		}
	}
	return r.head() + strings.Join(parts, "; ")
}

// head returns how the canonical text of a report or a correction begins.
func (r Reading) head() string {
	day := "undated"
	if r.Day != 0 {
		day = r.Day.String()
	}
	if r.Kind == Correction {
		return "correction " + day + ": "
	}
	return day + ": "
}

func wholeText(all Extent) string {
	switch all {
	case All:
		return "all done"
	case Partly:
		return "partly"
	case None:
		return "nothing"
	}
	return ""
}

func excuseText(e routine.Excuse) string {
	if e == routine.RestDay {
		return "rest day"
	}
	return string(e)
}

// itemText returns the canonical text of one item.
func itemText(e Item) string {
	text := "item " + strconv.Itoa(e.N)
	if e.Outcome != "" {
		text += " " + string(e.Outcome)
	}
	if e.Tempo != nil {
		text += " " + tempoText(*e.Tempo)
	}
	if e.Reps > 0 && e.Of > 0 {
		text += " " + strconv.Itoa(e.Reps) + " of " + strconv.Itoa(e.Of)
	} else if e.Reps > 0 {
		text += " " + strconv.Itoa(e.Reps) + "x"
	}
	if e.Minutes > 0 {
		text += " for " + strconv.Itoa(e.Minutes) + " min"
	}
	if e.Remark != "" {
		text += " " + quoted(e.Remark)
	}
	return text
}

// tempoText returns "quarter=84->92", with "~" before the number if it is
// approximate, and "indeed" in front if it is out of reach and confirmed.
func tempoText(t Tempo) string {
	text := t.Note.String() + "="
	if t.Sure {
		text = "indeed " + text
	}
	if t.Approx {
		text += "~"
	}
	if t.From != 0 {
		text += number(t.From) + "->"
	}
	return text + number(t.To)
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func quoted(s string) string { return string(quoteIn) + s + string(quoteOut) }
