package reply_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"pgregory.net/rapid"
)

// A phrasing is how one language says things. Each list holds ways of saying the
// same, any of which must be read.
type phrasing struct {
	outcomes map[routine.Outcome][]string
	item     []string // with the number in it
	and      string
	from     []string // two tempi
	approx   []string
	minutes  []string
	tired    []string
	gone     string // yesterday
}

var phrasings = map[string]phrasing{
	"en": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean: {"clean", "CLEAN", "ok", "good", "solid", "nailed it", "claen"}, routine.Shaky: {"shaky", "so-so", "sloppy", "not clean", "meh"},
			routine.Missed: {"missed", "couldn't", "failed", "not yet"}, routine.Skipped: {"skipped", "skip", "forgot", "didn't get to it"}, routine.Done: {"done", "played"},
		},
		item: []string{"%d", "%d:", "item %d", "#%d", "number %d"}, and: " and ",
		from: []string{"%d->%d", "from %d to %d", "%d-%d", "%d to %d"}, approx: []string{"%dish", "about %d", "~%d"},
		minutes: []string{"%d min", "%dm", "%d minutes"}, tired: []string{"tired", "chops gone", "I'm exhausted"}, gone: "yesterday",
	},
	"de": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean: {"sauber", "gut", "fehlerfrei"}, routine.Shaky: {"wacklig", "naja", "nicht sauber"},
			routine.Missed: {"nicht geschafft", "ging nicht"}, routine.Skipped: {"ausgelassen", "vergessen", "nicht gemacht"}, routine.Done: {"gespielt", "gemacht", "done"},
		},
		item: []string{"%d", "%d:", "Nr. %d", "die %d"}, and: " und ", from: []string{"von %d auf %d", "%d->%d"}, approx: []string{"etwa %d", "ca. %d"},
		minutes: []string{"%d min", "%d Minuten"}, tired: []string{"müde", "Ansatz platt"}, gone: "gestern",
	},
	"fr": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean: {"propre", "bien", "impeccable"}, routine.Shaky: {"hésitant", "bof", "pas propre"},
			routine.Missed: {"raté", "pas réussi"}, routine.Skipped: {"sauté", "oublié", "pas fait"}, routine.Done: {"joué", "fait"},
		},
		item: []string{"%d", "%d:", "numéro %d", "la %d"}, and: " et ", from: []string{"de %d à %d", "%d->%d"}, approx: []string{"environ %d"},
		minutes: []string{"%d min", "%d minutes"}, tired: []string{"fatiguée", "lèvres mortes"}, gone: "hier",
	},
	"es": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean: {"limpio", "bien", "limpia"}, routine.Shaky: {"regular", "flojo", "así así"},
			routine.Missed: {"no me salió", "fallado"}, routine.Skipped: {"saltado", "olvidado", "no hecho"}, routine.Done: {"tocado", "hecho"},
		},
		item: []string{"%d", "%d:", "número %d", "la %d"}, and: " y ", from: []string{"de %d a %d", "%d->%d"}, approx: []string{"unos %d"},
		minutes: []string{"%d min", "%d minutos"}, tired: []string{"cansada", "labios muertos"}, gone: "ayer",
	},
}

// TestIntent renders random entries in random words and reads them back.
func TestIntent(t *testing.T) {
	r := newReader(t)
	routines := map[string]*routine.Routine{}
	names := []string{"monday", "ferry", "fullday", "evening", "lowtide"}
	for _, name := range names {
		sample{Routine: name}.context(t, routines)
	}
	rapid.Check(t, func(t *rapid.T) {
		set := rapid.SampledFrom(names).Draw(t, "routine")
		lang := rapid.SampledFrom([]string{"en", "de", "fr", "es"}).Draw(t, "lang")
		c := reply.Context{Routine: routines[set], Today: today, Lang: lang}
		want, text := intended(t, c.Routine, phrasings[lang])
		got := r.Read(text, c)
		if len(got) != 1 || !reflect.DeepEqual(kept(got[0]), want) {
			t.Fatalf("%q (%s, %s)\n got %s\nwant %s", text, set, lang, brief(got), brief([]reply.Reading{want}))
		}
	})
}

// intended draws a reading and a text that says it.
func intended(t *rapid.T, set *routine.Routine, ph phrasing) (reply.Reading, string) {
	want := reply.Reading{Kind: reply.Report, Day: today}
	var clauses []string
	for _, item := range set.Items {
		if rapid.Bool().Draw(t, "named") {
			e, clause := intendedItem(t, item, ph)
			want.Items = append(want.Items, e)
			clauses = append(clauses, clause)
		}
	}
	if len(want.Items) == 0 || rapid.Bool().Draw(t, "minutes?") {
		want.Minutes = 5 * rapid.IntRange(7, 10).Draw(t, "minutes")
		clauses = append(clauses, fmt.Sprintf(rapid.SampledFrom(ph.minutes).Draw(t, "as"), want.Minutes))
	}
	if rapid.Bool().Draw(t, "tired?") {
		want.Feel = routine.Tired
		clauses = append(clauses, rapid.SampledFrom(ph.tired).Draw(t, "tired"))
	}
	text := strings.Join(clauses, rapid.SampledFrom([]string{", ", "; ", "\n", ". ", " / "}).Draw(t, "between"))
	if rapid.Bool().Draw(t, "yesterday?") {
		want.Day--
		text = ph.gone + rapid.SampledFrom([]string{" ", ": ", ", "}).Draw(t, "after the day") + text
	}
	return want, text
}

// intendedItem draws what is said of one item, and a clause that says it.
func intendedItem(t *rapid.T, item routine.Item, ph phrasing) (reply.Item, string) {
	e := reply.Item{N: item.N, Outcome: routine.Done}
	words := []string{fmt.Sprintf(rapid.SampledFrom(ph.item).Draw(t, "item"), item.N)}
	low, high := int(item.From.BPM), int(item.To.BPM)
	if rapid.Bool().Draw(t, "tempo?") {
		tempo := reply.Tempo{To: float64(rapid.IntRange(low, high).Draw(t, "tempo")), Note: item.To.Note}
		switch rapid.IntRange(0, 3).Draw(t, "form") {
		case 0:
			words = append(words, fmt.Sprint(tempo.To))
		case 1:
			words = append(words, fmt.Sprintf("@%v", tempo.To))
		case 2:
			tempo.Approx = true
			words = append(words, fmt.Sprintf(rapid.SampledFrom(ph.approx).Draw(t, "approx"), int(tempo.To)))
		case 3:
			tempo.From = float64(low - 2)
			words = append(words, fmt.Sprintf(rapid.SampledFrom(ph.from).Draw(t, "path"), low-2, int(tempo.To)))
		}
		e.Tempo = &tempo
	}
	if e.Tempo == nil || rapid.Bool().Draw(t, "outcome?") {
		e.Outcome = rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Skipped, routine.Done}).Draw(t, "outcome")
		words = append(words, rapid.SampledFrom(ph.outcomes[e.Outcome]).Draw(t, "word"))
	}
	if rapid.IntRange(0, 4).Draw(t, "reps?") == 0 {
		e.Reps = rapid.IntRange(2, 6).Draw(t, "reps")
		words = append(words, fmt.Sprintf("%dx", e.Reps))
	}
	return e, strings.Join(words, " ")
}
