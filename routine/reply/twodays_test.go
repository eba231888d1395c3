package reply_test

import (
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"pgregory.net/rapid"
)

// TestTwoDays says what became of two days in one message.
func TestTwoDays(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	rapid.Check(t, func(t *rapid.T) {
		lang := rapid.SampledFrom(slices.Sorted(maps.Keys(dayForms))).Draw(t, "lang")
		g, days := grammars[lang], dayForms[lang]
		day := func() (string, reply.Reading, string) {
			name := rapid.SampledFrom(slices.Sorted(maps.Keys(days))).Draw(t, "day")
			r := reply.Reading{Kind: reply.Report, Day: today - routine.Date(days[name])}
			switch rapid.IntRange(0, 3).Draw(t, "report") {
			case 0:
				r.All = reply.All
				return name, r, rapid.SampledFrom(g.all[routine.Done]).Draw(t, "whole")
			case 1:
				r.Minutes = 40
				return name, r, "40 min"
			case 2:
				r.All = reply.None
				return name, r, rapid.SampledFrom(phrasings[lang].whole["none"][1:2]).Draw(t, "none")
			}
			o := rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Shaky}).Draw(t, "outcome")
			word := rapid.SampledFrom(g.after[o]).Draw(t, "word")
			r.Items = []reply.Item{{N: 2, Outcome: o}}
			return name, r, "2 " + word
		}
		d1, want1, r1 := day()
		d2, want2, r2 := day()
		if want1.Day == want2.Day {
			t.Skip("the same day twice")
		}
		after := rapid.SampledFrom([]string{": ", " ", ", "}).Draw(t, "after the day")
		between := rapid.SampledFrom([]string{", ", ". ", "\n", "; "}).Draw(t, "between")
		if after == ", " && between == ", " {
			between = "; "
		}
		text := d1 + after + r1 + between + d2 + after + r2
		if rapid.IntRange(0, 3).Draw(t, "days last?") == 0 {
			text = r1 + " " + d1 + between + r2 + " " + d2
		}
		switch {
		case strings.Contains(text, ".. "):
			t.Skip("the dot of a day ends no sentence")
		case strings.Contains(text, " 2/3"):
			t.Skip("may be repeats")
		}
		got := r.Read(text, reply.Context{Routine: set, Today: today, Lang: lang})
		want := []reply.Reading{want1, want2}
		if len(got) != 2 || !reflect.DeepEqual([]reply.Reading{kept(got[0]), kept(got[1])}, want) {
			t.Fatalf("%q (%s, %s)\n got %s\nwant %s", text, "", lang, brief(got), brief(want))
		}
	})
}
