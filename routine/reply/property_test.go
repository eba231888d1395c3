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
	from     []string // two tempi
	approx   []string
	minutes  []string
	times    []string // repeats
	tries    []string // repeats of tries
	feels    map[routine.Feel][]string
	gone     string   // yesterday
	talk     []string // says nothing for the log
}

var phrasings = map[string]phrasing{
	"en": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean: {"clean", "CLEAN", "ok", "good", "solid", "nailed it", "claen"}, routine.Shaky: {"shaky", "so-so", "sloppy", "not clean", "meh", "a bit shaky"},
			routine.Missed: {"missed", "couldn't", "failed", "not yet", "didn't work"}, routine.Skipped: {"skipped", "skip", "forgot", "didn't get to it", "not at all"}, routine.Done: {"done", "played"},
		},
		item: []string{"%d", "%d:", "item %d", "#%d", "number %d"},
		from: []string{"%d->%d", "from %d to %d", "%d-%d", "%d to %d", "%d then %d"}, approx: []string{"%dish", "about %d", "~%d"},
		minutes: []string{"%d min", "%dm", "%d minutes", "about %d min", "%d mins total"},
		times:   []string{"%dx", "%d times", "%d times in a row", "x%d"}, tries: []string{"%d of %d", "%d out of %d", "%d/%d"},
		feels: map[routine.Feel][]string{
			routine.Tired: {"tired", "chops gone", "I'm exhausted", "lips are toast", "dead chops"}, routine.Fresh: {"felt great", "lips feel strong", "chops are fresh"},
		},
		gone: "yesterday", talk: []string{"thanks", "see you at 4", "my brother turned 12", "will do more tomorrow", "which page is it?"},
	},
	"de": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean: {"sauber", "gut", "fehlerfrei", "lief gut"}, routine.Shaky: {"wacklig", "naja", "nicht sauber", "lief schlecht"},
			routine.Missed: {"nicht geschafft", "ging nicht", "hat leider nicht geklappt"}, routine.Skipped: {"ausgelassen", "vergessen", "nicht gemacht"}, routine.Done: {"gespielt", "gemacht", "done"},
		},
		item: []string{"%d", "%d:", "Nr. %d", "die %d"}, from: []string{"von %d auf %d", "%d->%d"}, approx: []string{"etwa %d", "ca. %d"},
		minutes: []string{"%d min", "%d Minuten", "insgesamt %d min"}, times: []string{"%d mal", "%dx", "%d mal hintereinander"}, tries: []string{"%d von %d"},
		feels: map[routine.Feel][]string{
			routine.Tired: {"müde", "Ansatz platt", "Lippen sind Matsch"}, routine.Fresh: {"topfit", "fühle mich super", "Lippen sind frisch"},
		},
		gone: "gestern", talk: []string{"danke", "bis Donnerstag", "mein Bruder ist 12 geworden", "morgen mehr", "welche Seite ist das?"},
	},
	"fr": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean: {"propre", "bien", "impeccable"}, routine.Shaky: {"hésitant", "bof", "pas propre"},
			routine.Missed: {"raté", "pas réussi", "n'a pas marché"}, routine.Skipped: {"sauté", "oublié", "pas fait"}, routine.Done: {"joué", "fait"},
		},
		item: []string{"%d", "%d:", "numéro %d", "la %d"}, from: []string{"de %d à %d", "%d->%d"}, approx: []string{"environ %d"},
		minutes: []string{"%d min", "%d minutes", "%d min en tout"}, times: []string{"%d fois", "%dx", "%d fois de suite"}, tries: []string{"%d sur %d"},
		feels: map[routine.Feel][]string{
			routine.Tired: {"fatiguée", "lèvres mortes", "lèvres en compote"}, routine.Fresh: {"en pleine forme", "lèvres fraîches"},
		},
		gone: "hier", talk: []string{"merci", "à jeudi", "mon frère a 12 ans", "la suite demain", "c'est à quelle page ?"},
	},
	"es": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean: {"limpio", "bien", "limpia", "salió bien"}, routine.Shaky: {"regular", "flojo", "así así", "salió regular"},
			routine.Missed: {"no me salió", "fallado"}, routine.Skipped: {"saltado", "olvidado", "no hecho"}, routine.Done: {"tocado", "hecho"},
		},
		item: []string{"%d", "%d:", "número %d", "la %d"}, from: []string{"de %d a %d", "%d->%d"}, approx: []string{"unos %d"},
		minutes: []string{"%d min", "%d minutos", "%d min en total"}, times: []string{"%d veces", "%dx", "%d veces seguidas"}, tries: []string{"%d de %d"},
		feels: map[routine.Feel][]string{
			routine.Tired: {"cansada", "labios muertos", "labios hechos polvo"}, routine.Fresh: {"llena de energía", "me siento genial"},
		},
		gone: "ayer", talk: []string{"gracias", "nos vemos el jueves", "mi hermano cumplió 12 años", "mañana más", "¿en qué página está?"},
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
	if rapid.Bool().Draw(t, "feel?") {
		want.Feel = rapid.SampledFrom([]routine.Feel{routine.Tired, routine.Fresh}).Draw(t, "feel")
		clauses = append(clauses, rapid.SampledFrom(ph.feels[want.Feel]).Draw(t, "felt"))
	}
	text := strings.Join(clauses, rapid.SampledFrom([]string{", ", "; ", "\n", ". ", " / "}).Draw(t, "between"))
	if rapid.Bool().Draw(t, "yesterday?") {
		want.Day--
		text = ph.gone + rapid.SampledFrom([]string{" ", ": ", ", "}).Draw(t, "after the day") + text
	}
	if rapid.Bool().Draw(t, "talk?") {
		text += ". " + rapid.SampledFrom(ph.talk).Draw(t, "talk")
	}
	return want, text
}

// intendedItem draws what is said of one item, and a clause that says it.
func intendedItem(t *rapid.T, item routine.Item, ph phrasing) (reply.Item, string) {
	e := reply.Item{N: item.N, Outcome: routine.Done}
	words := []string{fmt.Sprintf(rapid.SampledFrom(ph.item).Draw(t, "item"), item.N)}
	if rapid.Bool().Draw(t, "tempo?") {
		words = append(words, intendTempo(t, &e, item, ph))
	}
	switch rapid.IntRange(0, 5).Draw(t, "repeats?") {
	case 0:
		e.Reps, e.Of = rapid.IntRange(1, 4).Draw(t, "clean"), 5
		e.Outcome = routine.Shaky
		return e, strings.Join(append(words, fmt.Sprintf(rapid.SampledFrom(ph.tries).Draw(t, "tries"), e.Reps, e.Of)), " ")
	case 1:
		e.Reps = rapid.IntRange(2, 6).Draw(t, "reps")
		words = append(words, fmt.Sprintf(rapid.SampledFrom(ph.times).Draw(t, "times"), e.Reps))
	}
	if e.Tempo == nil || rapid.Bool().Draw(t, "outcome?") {
		e.Outcome = rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Skipped, routine.Done}).Draw(t, "outcome")
		words = append(words, rapid.SampledFrom(ph.outcomes[e.Outcome]).Draw(t, "word"))
	}
	return e, strings.Join(words, " ")
}

// intendTempo draws a tempo of an item, and words that say it.
func intendTempo(t *rapid.T, e *reply.Item, item routine.Item, ph phrasing) string {
	low, high := int(item.From.BPM), int(item.To.BPM)
	tempo := reply.Tempo{To: float64(rapid.IntRange(low, high).Draw(t, "tempo")), Note: item.To.Note}
	e.Tempo = &tempo
	switch rapid.IntRange(0, 3).Draw(t, "form") {
	case 0:
		return fmt.Sprint(tempo.To)
	case 1:
		return fmt.Sprintf("@%v", tempo.To)
	case 2:
		tempo.Approx = true
		return fmt.Sprintf(rapid.SampledFrom(ph.approx).Draw(t, "approx"), int(tempo.To))
	}
	tempo.From = float64(low - 2)
	return fmt.Sprintf(rapid.SampledFrom(ph.from).Draw(t, "path"), low-2, int(tempo.To))
}
