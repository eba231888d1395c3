package reply_test

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"pgregory.net/rapid"
)

// A mending is how one language puts right what was said before: in its texts ITEM
// stands for an item, NEW for what is right and OLD for what was wrong.
type mending struct {
	tempo    []string
	outcome  []string
	minutes  []string
	undo     []string
	outcomes map[routine.Outcome]string
}

var mendings = map[string]mending{
	"en": {
		tempo:    []string{"sorry, ITEM was at NEW", "sorry NEW not OLD", "ITEM was NEW, not OLD", "correction: ITEM NEW", "oops ITEM at NEW", "not OLD, NEW", "it was NEW not OLD", "actually ITEM was NEW", "I meant NEW, not OLD", "oops, meant ITEM at NEW", "ITEM should be NEW", "NEW instead of OLD", "make that NEW not OLD", "typo: ITEM was at NEW not OLD", "I said OLD but it was NEW", "NEW for ITEM, not OLD", "OLD should be NEW", "the OLD should have been NEW"},
		outcome:  []string{"sorry, ITEM was NEW", "actually ITEM was NEW", "correction: ITEM NEW", "ITEM was NEW, not OLD", "oops ITEM NEW", "my mistake, ITEM was NEW", "I meant ITEM was NEW", "sorry ITEM NEW not OLD", "oops, ITEM was actually NEW", "ITEM should be NEW", "change ITEM to NEW", "wait, ITEM was NEW"},
		minutes:  []string{"sorry, NEW min", "NEW min, not OLD", "correction: NEW min", "it was NEW minutes, not OLD", "I meant NEW min", "oops NEW minutes", "sorry NEW min not OLD", "actually NEW minutes", "make that NEW min", "NEW instead of OLD", "no, NEW min", "should be NEW min", "not OLD min, NEW", "I said OLD min but it was NEW"},
		undo:     []string{"undo", "scrap that", "delete that", "take that back", "forget that", "ignore my last message", "undo please", "cancel that"},
		outcomes: map[routine.Outcome]string{routine.Clean: "clean", routine.Shaky: "shaky", routine.Missed: "missed", routine.Skipped: "skipped"},
	},
	"de": {
		tempo:    []string{"sorry, ITEM war bei NEW", "sorry NEW nicht OLD", "ITEM war NEW, nicht OLD", "Korrektur: ITEM NEW", "ups ITEM mit NEW", "nicht OLD, NEW", "es waren NEW, nicht OLD", "eigentlich war ITEM bei NEW", "ich meinte NEW, nicht OLD", "nicht OLD sondern NEW", "NEW statt OLD", "ITEM mit NEW statt OLD", "die OLD muss NEW heißen"},
		outcome:  []string{"sorry, ITEM war NEW", "eigentlich war ITEM NEW", "Korrektur: ITEM NEW", "ITEM war NEW, nicht OLD", "ups ITEM NEW", "mein Fehler, ITEM war NEW", "ich meinte ITEM war NEW", "sorry ITEM NEW nicht OLD", "doch nicht, ITEM war NEW"},
		minutes:  []string{"sorry, NEW min", "NEW min, nicht OLD", "Korrektur: NEW min", "es waren NEW Minuten, nicht OLD", "ich meinte NEW min", "ups NEW Minuten", "sorry NEW min nicht OLD", "eigentlich NEW Minuten", "NEW statt OLD", "nein, NEW min", "nicht OLD sondern NEW min"},
		undo:     []string{"rückgängig", "löschen", "vergiss das", "streich das", "letzte Nachricht löschen"},
		outcomes: map[routine.Outcome]string{routine.Clean: "sauber", routine.Shaky: "wacklig", routine.Missed: "nicht geschafft", routine.Skipped: "ausgelassen"},
	},
	"fr": {
		tempo:    []string{"pardon, ITEM était à NEW", "pardon NEW pas OLD", "ITEM c'était NEW, pas OLD", "correction : ITEM NEW", "oups ITEM à NEW", "pas OLD, NEW", "c'était NEW pas OLD", "en fait ITEM était à NEW", "je voulais dire NEW, pas OLD", "NEW au lieu de OLD", "erreur, ITEM à NEW", "OLD devrait être NEW"},
		outcome:  []string{"pardon, ITEM était NEW", "en fait ITEM était NEW", "correction : ITEM NEW", "ITEM était NEW, pas OLD", "oups ITEM NEW", "erreur, ITEM NEW", "je voulais dire ITEM NEW", "pardon ITEM NEW pas OLD"},
		minutes:  []string{"pardon, NEW min", "NEW min, pas OLD", "correction : NEW min", "c'était NEW minutes, pas OLD", "je voulais dire NEW min", "oups NEW minutes", "pardon NEW min pas OLD", "en fait NEW minutes", "NEW au lieu de OLD", "non, NEW min"},
		undo:     []string{"annule", "efface ça", "oublie ça", "annule mon dernier message", "supprime"},
		outcomes: map[routine.Outcome]string{routine.Clean: "propre", routine.Shaky: "hésitant", routine.Missed: "raté", routine.Skipped: "sauté"},
	},
	"es": {
		tempo:    []string{"perdón, ITEM fue a NEW", "perdón NEW no OLD", "ITEM fue NEW, no OLD", "corrección: ITEM NEW", "uy ITEM a NEW", "no OLD, NEW", "era NEW no OLD", "en realidad ITEM era a NEW", "quise decir NEW, no OLD", "NEW en vez de OLD", "no OLD sino NEW", "error, ITEM a NEW", "OLD debería ser NEW"},
		outcome:  []string{"perdón, ITEM fue NEW", "en realidad ITEM fue NEW", "corrección: ITEM NEW", "ITEM fue NEW, no OLD", "uy ITEM NEW", "error, ITEM NEW", "quise decir ITEM NEW", "perdón ITEM NEW no OLD"},
		minutes:  []string{"perdón, NEW min", "NEW min, no OLD", "corrección: NEW min", "fueron NEW minutos, no OLD", "quise decir NEW min", "uy NEW minutos", "perdón NEW min no OLD", "en realidad NEW minutos", "NEW en vez de OLD", "no, NEW min"},
		undo:     []string{"deshacer", "borra eso", "olvida eso", "borra mi último mensaje", "anula"},
		outcomes: map[routine.Outcome]string{routine.Clean: "limpia", routine.Shaky: "regular", routine.Missed: "fallada", routine.Skipped: "saltada"},
	},
}

// TestMendings corrects random readings in random words.
func TestMendings(t *testing.T) {
	r := newReader(t)
	names := []string{"monday", "ferry", "evening", "fullday"}
	routines := routinesOf(t, names...)
	rapid.Check(t, func(t *rapid.T) {
		set := rapid.SampledFrom(names).Draw(t, "routine")
		lang := rapid.SampledFrom(slices.Sorted(maps.Keys(mendings))).Draw(t, "lang")
		last := said(t, routines[set])
		c := reply.Context{Routine: routines[set], Today: today, Lang: lang, Last: &last}
		want, text := mended(t, c.Routine, last, lang)
		got := r.Read(text, c)
		if len(got) != 1 || !reflect.DeepEqual(kept(got[0]), kept(want)) {
			t.Fatalf("%q after %s (%s, %s)\n got %s\nwant %s", text, brief([]reply.Reading{last}), set, lang, brief(got), brief([]reply.Reading{want}))
		}
	})
}

// said draws what was read before: some items, the first with a tempo, and minutes.
func said(t *rapid.T, set *routine.Routine) reply.Reading {
	last := reply.Reading{Kind: reply.Report, Day: today, Minutes: 5 * rapid.IntRange(7, 9).Draw(t, "minutes")}
	for i, item := range set.Items[:rapid.IntRange(1, 3).Draw(t, "items")] {
		e := reply.Item{N: item.N, Outcome: rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Shaky}).Draw(t, "outcome")}
		if i == 0 {
			e.Tempo = &reply.Tempo{To: item.To.BPM, Note: item.To.Note}
		}
		last.Items = append(last.Items, e)
	}
	return last
}

// mended draws a correction of the last reading and a text that says it.
func mended(t *rapid.T, set *routine.Routine, last reply.Reading, lang string) (reply.Reading, string) {
	m := mendings[lang]
	want := reply.Reading{Kind: reply.Correction, Day: today}
	first := last.Items[0]
	name := fmt.Sprintf(rapid.SampledFrom(phrasings[lang].item[:2]).Draw(t, "item"), first.N)
	name = strings.TrimSuffix(name, ":")
	var text, right, wrong string
	switch rapid.SampledFrom([]string{"tempo", "outcome", "minutes", "undo"}).Draw(t, "of") {
	case "tempo":
		text = rapid.SampledFrom(m.tempo).Draw(t, "text")
		tempo := *first.Tempo
		wrong = fmt.Sprint(tempo.To)
		tempo.To = float64(rapid.IntRange(int(set.Items[0].From.BPM), int(tempo.To)-1).Draw(t, "tempo"))
		right = fmt.Sprint(tempo.To)
		want.Items = []reply.Item{{N: first.N, Tempo: &tempo}}
	case "outcome":
		text = rapid.SampledFrom(m.outcome).Draw(t, "text")
		all := slices.DeleteFunc(slices.Sorted(maps.Keys(m.outcomes)), func(o routine.Outcome) bool { return o == first.Outcome })
		outcome := rapid.SampledFrom(all).Draw(t, "outcome")
		right, wrong = m.outcomes[outcome], m.outcomes[first.Outcome]
		want.Items = []reply.Item{{N: first.N, Outcome: outcome}}
	case "minutes":
		text = rapid.SampledFrom(m.minutes).Draw(t, "text")
		want.Minutes = last.Minutes + rapid.SampledFrom([]int{-10, -5, 5, 10}).Draw(t, "more")
		right, wrong = fmt.Sprint(want.Minutes), fmt.Sprint(last.Minutes)
	default:
		return reply.Reading{Kind: reply.Correction, Undo: true}, rapid.SampledFrom(m.undo).Draw(t, "text")
	}
	return want, strings.NewReplacer("ITEM", name, "NEW", right, "OLD", wrong).Replace(text)
}

// otherDays say that what was reported is of DAY, which is not today.
var otherDays = map[string]struct{ yesterday, frames []string }{
	"en": {[]string{"yesterday", "Tuesday"}, []string{"that was DAY", "it was DAY, not today", "DAY, not today", "not today, DAY", "not today, that was DAY", "sorry, DAY not today", "wrong day, was DAY", "that was for DAY"}},
	"de": {[]string{"gestern", "Dienstag"}, []string{"das war DAY", "DAY, nicht heute", "nicht heute, DAY", "das war nicht heute sondern DAY", "das war für DAY", "ich meinte DAY"}},
	"fr": {[]string{"hier", "mardi"}, []string{"c'était DAY", "DAY, pas aujourd'hui", "pas aujourd'hui, DAY", "c'était pas aujourd'hui mais DAY", "je voulais dire DAY"}},
	"es": {[]string{"ayer", "el martes"}, []string{"eso fue DAY", "fue DAY, no hoy", "no hoy, DAY", "quise decir DAY"}},
}

// TestOtherDays moves what was reported to the day before; today is a Wednesday.
func TestOtherDays(t *testing.T) {
	r := newReader(t)
	last := reply.Reading{Kind: reply.Report, Day: today, All: reply.All}
	for lang, d := range otherDays {
		c := reply.Context{Routine: decode(t, monday), Today: today, Lang: lang, Last: &last}
		for _, frame := range d.frames {
			for _, day := range d.yesterday {
				text := strings.ReplaceAll(frame, "DAY", day)
				want := []reply.Reading{{Kind: reply.Correction, Day: today - 1}}
				if got := r.Read(text, c); !sameReadings(got, want) {
					t.Errorf("%q (%s)\n got %s\nwant %s", text, lang, brief(got), brief(want))
				}
			}
		}
	}
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en", Last: &last}
	if got := r.Read("that was fun yesterday", c); got[0].Kind != reply.Chat {
		t.Errorf("talk of yesterday reads as %s", brief(got))
	}
}
