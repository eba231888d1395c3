package reply_test

import (
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// repairs are how people put a word right in mid-message: WRONG is what they said first
// and RIGHT what they mean.
var repairs = map[string][]string{
	"en": {"WRONG, no, RIGHT", "WRONG, no wait, RIGHT", "WRONG, sorry, RIGHT", "WRONG, I mean RIGHT", "WRONG no sorry RIGHT", "WRONG, wait, RIGHT", "WRONG, er, RIGHT", "WRONG, uh RIGHT", "WRONG, oops, RIGHT", "WRONG oops RIGHT", "WRONG - no, RIGHT", "WRONG... no RIGHT", "WRONG, I meant RIGHT", "WRONG, actually RIGHT", "WRONG sorry RIGHT", "WRONG, make that RIGHT"},
	"de": {"WRONG, nein, RIGHT", "WRONG, nein Moment, RIGHT", "WRONG, sorry, RIGHT", "WRONG, ich meine RIGHT", "WRONG, äh RIGHT", "WRONG, nee RIGHT", "WRONG, ups, RIGHT", "WRONG, quatsch, RIGHT", "WRONG, halt, RIGHT", "WRONG, Entschuldigung, RIGHT", "WRONG ähm RIGHT", "WRONG, eigentlich RIGHT", "WRONG - nein, RIGHT"},
	"fr": {"WRONG, non, RIGHT", "WRONG, non pardon, RIGHT", "WRONG, pardon, RIGHT", "WRONG, je veux dire RIGHT", "WRONG, euh RIGHT", "WRONG, oups, RIGHT", "WRONG, enfin RIGHT", "WRONG, non attends, RIGHT", "WRONG, en fait RIGHT", "WRONG - non, RIGHT"},
	"es": {"WRONG, no, RIGHT", "WRONG, no espera, RIGHT", "WRONG, perdón, RIGHT", "WRONG, digo RIGHT", "WRONG, quiero decir RIGHT", "WRONG, eh RIGHT", "WRONG, uy, RIGHT", "WRONG, mejor dicho RIGHT", "WRONG, en realidad RIGHT", "WRONG - no, RIGHT"},
}

// TestRepairs puts tempi, minutes and outcomes right within a message.
func TestRepairs(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	for lang, forms := range repairs {
		g := grammars[lang]
		at := strings.ReplaceAll(g.at[0], "%d", "")
		clean, shaky := g.after[routine.Clean][0], g.after[routine.Shaky][0]
		for _, form := range forms {
			put := func(wrong, right string) string {
				return strings.NewReplacer("WRONG", wrong, "RIGHT", right).Replace(form)
			}
			item := func(e reply.Item) reply.Reading {
				return reply.Reading{Kind: reply.Report, Day: today, Items: []reply.Item{e}}
			}
			at90 := &reply.Tempo{To: 90, Note: routine.Quarter}
			readsAs(t, r, set, lang, "2 "+put(at+"92", "90"), item(reply.Item{N: 2, Outcome: routine.Done, Tempo: at90}))
			readsAs(t, r, set, lang, "2 "+put(at+"92", at+"90"), item(reply.Item{N: 2, Outcome: routine.Done, Tempo: at90}))
			readsAs(t, r, set, lang, "2 "+put(at+"92", "90 "+clean), item(reply.Item{N: 2, Outcome: routine.Clean, Tempo: at90}))
			readsAs(t, r, set, lang, put("40 min", "45"), reply.Reading{Kind: reply.Report, Day: today, Minutes: 45})
			readsAs(t, r, set, lang, put("40 min", "45 min"), reply.Reading{Kind: reply.Report, Day: today, Minutes: 45})
			readsAs(t, r, set, lang, g.all[routine.Done][0]+", "+put("40 min", "45 min"), reply.Reading{Kind: reply.Report, Day: today, All: reply.All, Minutes: 45})
			readsAs(t, r, set, lang, "2 "+put(clean, shaky), item(reply.Item{N: 2, Outcome: routine.Shaky}))
		}
	}
}
