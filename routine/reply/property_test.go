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

// A phrasing is how one language says things. Each list holds ways of saying the
// same, any of which must be read. What stands before "|" belongs to the text and
// not to the remark.
type phrasing struct {
	outcomes map[routine.Outcome][]string
	item     []string // with the number in it
	from     []string // two tempi
	approx   []string
	at       []string // one tempo
	minutes  []string
	times    []string // repeats
	tries    []string // repeats of tries
	remarks  []string
	feels    map[routine.Feel][]string
	whole    map[string][]string // by what of the day they say
	gone     []string            // yesterday
	now      string              // today
	opening  []string            // says nothing for the log
	talk     []string            // neither does a sentence like these
}

var phrasings = map[string]phrasing{
	"en": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean:  {"clean", "CLEAN", "ok", "good", "solid", "nailed it", "claen", "was clean", "went well", "really clean", "finally clean", "was pretty good", "is fine now", "✅ clean"},
			routine.Shaky:  {"shaky", "so-so", "sloppy", "not clean", "meh", "a bit shaky", "still shaky", "was rough", "is wobbly", "not quite clean", "kind of messy", "was not great", "shakey"},
			routine.Missed: {"missed", "couldn't", "failed", "not yet", "didn't work", "wouldn't come", "couldn't do it", "was impossible"}, routine.Skipped: {"skipped", "skip", "forgot", "didn't get to it", "not at all", "left out", "not done", "didn't do it", "skiped"}, routine.Done: {"done", "played", "was done", "practised"},
		},
		item: []string{"%d", "%d:", "item %d", "#%d", "number %d", "no. %d", "nr %d", "exercise %d"},
		from: []string{"%d->%d", "from %d to %d", "%d-%d", "%d to %d", "%d then %d", "%d → %d", "%d>%d"}, approx: []string{"%dish", "about %d", "~%d", "around %d", "roughly %d"}, at: []string{"%d", "@%d", "at %d", "@ %d", "%d bpm", "tempo %d", "on %d"},
		minutes: []string{"%d min", "%dm", "%d minutes", "about %d min", "%d mins total", "%d minutes in all", "total %d min", "practised %d min"},
		times:   []string{"%dx", "%d times", "%d times in a row", "x%d"}, tries: []string{"%d of %d", "%d out of %d", "%d/%d"},
		remarks: []string{"but |the top was thin", "|breath ran out", "|bar 3 late", "|with mute", "but |slow", "|low notes airy", "|better than yesterday", "|too fast"},
		feels: map[routine.Feel][]string{
			routine.Tired: {"tired", "chops gone", "I'm exhausted", "lips are toast", "dead chops", "so tired", "my lips are tired"}, routine.Fresh: {"felt great", "lips feel strong", "chops are fresh", "feeling fresh"},
		},
		whole: map[string][]string{
			"done": {"all done", "did it all", "everything done", "done", "finished everything", "did everything today", "did the whole routine", "did my routine", "practised everything", "all of it", "whole thing done", "did all of it"},
			"none": {"nothing today", "didn't practise", "no practice today", "didn't play today", "no time today", "nothing, sorry", "did nothing"},
			"ill":  {"I'm ill", "sick today", "home with a cold", "ill in bed", "I have a fever"}, "travel": {"travelling", "on the road today", "away today", "on holiday"}, "rest": {"rest day", "day off", "taking a rest day"}, "performance": {"gig tonight", "concert today"}, "lesson": {"lesson day", "had my lesson today"},
		},
		gone: []string{"yesterday", "last night"}, now: "today", opening: []string{"hi", "hi Odile,", "so", "hello!", "good evening,"},
		talk: []string{"thanks", "see you at 4", "my brother turned 12", "will do more tomorrow", "which page is it?", "see you thursday", "have a nice evening"},
	},
	"de": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean:  {"sauber", "gut", "fehlerfrei", "lief gut", "war sauber", "ging gut", "endlich sauber", "ist gut gelaufen", "klappt gut", "ziemlich sauber", "in Ordnung"},
			routine.Shaky:  {"wacklig", "naja", "nicht sauber", "lief schlecht", "war wackelig", "noch unsauber", "geht so", "noch nicht sauber", "holprig", "etwas wacklig", "war nicht so gut", "ging so"},
			routine.Missed: {"nicht geschafft", "ging nicht", "hat leider nicht geklappt", "klappt nicht", "hab ich nicht geschafft"}, routine.Skipped: {"ausgelassen", "vergessen", "nicht gemacht", "weggelassen", "hab ich vergessen", "übersprungen", "nicht gespielt"}, routine.Done: {"gespielt", "gemacht", "done", "hab ich gemacht", "erledigt"},
		},
		item: []string{"%d", "%d:", "Nr. %d", "die %d", "Nummer %d", "nr %d", "Übung %d"}, from: []string{"von %d auf %d", "%d->%d", "von %d bis %d", "%d auf %d"}, approx: []string{"etwa %d", "ca. %d", "ungefähr %d", "so um die %d"}, at: []string{"%d", "@%d", "bei %d", "auf %d", "mit %d", "Tempo %d"},
		minutes: []string{"%d min", "%d Minuten", "insgesamt %d min", "%d min geübt", "%d Minuten gespielt", "zusammen %d min", "etwa %d min"}, times: []string{"%d mal", "%dx", "%d mal hintereinander"}, tries: []string{"%d von %d"},
		remarks: []string{"aber |langsam", "|Takt 3 zu spät", "|mit Dämpfer", "|Luft reicht nicht", "|oben dünn", "|besser als gestern", "|zu schnell"},
		feels: map[routine.Feel][]string{
			routine.Tired: {"müde", "Ansatz platt", "Lippen sind Matsch", "bin kaputt", "bin total müde"}, routine.Fresh: {"topfit", "fühle mich super", "Lippen sind frisch"},
		},
		whole: map[string][]string{
			"done": {"alles gemacht", "fertig", "alles geschafft", "alles gespielt", "alles durch", "hab alles gemacht", "alles erledigt", "komplett durch"},
			"none": {"heute nichts", "nicht geübt", "nichts gemacht", "keine Zeit heute", "hab nicht gespielt", "bin nicht zum Üben gekommen"},
			"ill":  {"bin krank", "krank", "liege mit Fieber im Bett", "erkältet"}, "travel": {"auf Reisen", "bin unterwegs", "im Urlaub"}, "rest": {"Ruhetag", "Pause heute", "freier Tag"}, "performance": {"Konzert heute", "Auftritt heute Abend"}, "lesson": {"heute Unterricht", "Unterrichtstag"},
		},
		gone: []string{"gestern", "gestern Abend"}, now: "heute", opening: []string{"hallo", "Hallo Odile,", "also", "guten Abend,"},
		talk: []string{"danke", "bis Donnerstag", "mein Bruder ist 12 geworden", "morgen mehr", "welche Seite ist das?", "schönen Abend"},
	},
	"fr": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean:  {"propre", "bien", "impeccable", "c'est propre", "était propre", "très bien", "nickel", "ça va", "enfin propre", "plutôt bien"},
			routine.Shaky:  {"hésitant", "bof", "pas propre", "moyen", "encore hésitant", "un peu brouillon", "pas très propre", "c'était moyen", "pas terrible"},
			routine.Missed: {"raté", "pas réussi", "n'a pas marché", "je n'ai pas réussi", "impossible"}, routine.Skipped: {"sauté", "oublié", "pas fait", "laissé de côté", "je l'ai sauté", "pas joué"}, routine.Done: {"joué", "fait", "c'est fait", "travaillé"},
		},
		item: []string{"%d", "%d:", "numéro %d", "la %d", "le %d", "n° %d", "exercice %d"}, from: []string{"de %d à %d", "%d->%d"}, approx: []string{"environ %d", "à peu près %d", "vers %d"}, at: []string{"%d", "@%d", "à %d", "tempo %d"},
		minutes: []string{"%d min", "%d minutes", "%d min en tout", "%d minutes au total", "travaillé %d min", "environ %d min"}, times: []string{"%d fois", "%dx", "%d fois de suite"}, tries: []string{"%d sur %d"},
		remarks: []string{"mais |lent", "|mesure 3 en retard", "|avec sourdine", "|la fin traîne", "|trop vite"},
		feels: map[routine.Feel][]string{
			routine.Tired: {"fatiguée", "lèvres mortes", "lèvres en compote", "je suis crevé", "je suis fatigué"}, routine.Fresh: {"en pleine forme", "lèvres fraîches", "en forme"},
		},
		whole: map[string][]string{
			"done": {"tout fait", "j'ai tout fait", "tout joué", "terminé", "fini", "c'est tout fait", "j'ai fait toute la routine"},
			"none": {"rien aujourd'hui", "pas travaillé", "rien fait", "pas joué aujourd'hui", "pas eu le temps", "je n'ai rien fait"},
			"ill":  {"malade", "je suis malade", "au lit avec la fièvre", "enrhumé"}, "travel": {"en voyage", "en vacances", "en déplacement"}, "rest": {"jour de repos", "repos aujourd'hui"}, "performance": {"concert ce soir", "concert aujourd'hui"}, "lesson": {"jour de cours", "j'ai eu cours"},
		},
		gone: []string{"hier", "hier soir"}, now: "aujourd'hui", opening: []string{"bonjour", "Bonjour Odile,", "alors", "salut", "bonsoir,"},
		talk: []string{"merci", "à jeudi", "mon frère a 12 ans", "la suite demain", "c'est à quelle page ?", "bonne soirée"},
	},
	"es": {
		outcomes: map[routine.Outcome][]string{
			routine.Clean:  {"limpio", "bien", "limpia", "salió bien", "muy bien", "por fin limpio", "está bien", "perfecto", "me salió bien"},
			routine.Shaky:  {"regular", "flojo", "así así", "salió regular", "no muy limpio", "todavía flojo", "salió mal", "un poco flojo"},
			routine.Missed: {"no me salió", "fallado", "no salió", "imposible"}, routine.Skipped: {"saltado", "olvidado", "no hecho", "no la hice", "me la salté", "sin hacer"}, routine.Done: {"tocado", "hecho", "hecha", "tocada"},
		},
		item: []string{"%d", "%d:", "número %d", "la %d", "el %d", "ejercicio %d"}, from: []string{"de %d a %d", "%d->%d"}, approx: []string{"unos %d", "a unos %d", "casi a %d", "alrededor de %d"}, at: []string{"%d", "@%d", "a %d", "tempo %d"},
		minutes: []string{"%d min", "%d minutos", "%d min en total", "total %d min", "estudié %d min", "unos %d min"}, times: []string{"%d veces", "%dx", "%d veces seguidas"}, tries: []string{"%d de %d"},
		remarks: []string{"pero |lento", "|compás 3 tarde", "|con sordina", "|me falta aire", "|mejor que ayer", "|muy rápido"},
		feels: map[routine.Feel][]string{
			routine.Tired: {"cansada", "labios muertos", "labios hechos polvo", "estoy cansado", "muy cansada"}, routine.Fresh: {"llena de energía", "me siento genial", "labios frescos"},
		},
		whole: map[string][]string{
			"done": {"todo hecho", "lo hice todo", "he hecho todo", "terminado", "todo listo", "hice toda la rutina"},
			"none": {"hoy nada", "no practiqué", "nada hoy", "no toqué hoy", "no tuve tiempo", "no he hecho nada"},
			"ill":  {"estoy enfermo", "enferma", "en cama con fiebre", "resfriada"}, "travel": {"de viaje", "estoy de viaje", "de vacaciones"}, "rest": {"día de descanso", "hoy descanso"}, "performance": {"concierto hoy", "concierto esta noche"}, "lesson": {"día de clase", "hoy tuve clase"},
		},
		gone: []string{"ayer", "anoche"}, now: "hoy", opening: []string{"hola", "Hola Odile,", "buenas tardes,"},
		talk: []string{"gracias", "nos vemos el jueves", "mi hermano cumplió 12 años", "mañana más", "¿en qué página está?", "buenas noches"},
	},
}

// TestIntent renders random entries in random words and reads them back.
func TestIntent(t *testing.T) {
	names := []string{"monday", "ferry", "fullday", "evening", "lowtide"}
	readsDrawn(t, names, func(t *rapid.T, set *routine.Routine, lang string) (reply.Reading, string) {
		return intended(t, set, phrasings[lang])
	})
}

// readsDrawn draws one of the routines, a language, and what draw makes of them: a reading
// and a text that says it, which is to be read so.
func readsDrawn(t *testing.T, names []string, draw func(t *rapid.T, set *routine.Routine, lang string) (reply.Reading, string)) {
	t.Helper()
	r := newReader(t)
	routines := routinesOf(t, names...)
	rapid.Check(t, func(t *rapid.T) {
		set := rapid.SampledFrom(names).Draw(t, "routine")
		lang := rapid.SampledFrom([]string{"en", "de", "fr", "es"}).Draw(t, "lang")
		want, text := draw(t, routines[set], lang)
		got := r.Read(text, reply.Context{Routine: routines[set], Today: today, Lang: lang})
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
	if len(want.Items) == 0 && rapid.Bool().Draw(t, "whole?") {
		clauses = append(clauses, intendedDay(t, &want, ph))
	}
	if len(clauses) == 0 || want.Excused == "" && want.All != reply.None && rapid.Bool().Draw(t, "minutes?") {
		want.Minutes = 5 * rapid.IntRange(7, 10).Draw(t, "minutes")
		clauses = append(clauses, fmt.Sprintf(rapid.SampledFrom(ph.minutes).Draw(t, "as"), want.Minutes))
	}
	if rapid.Bool().Draw(t, "feel?") {
		want.Feel = rapid.SampledFrom([]routine.Feel{routine.Tired, routine.Fresh}).Draw(t, "feel")
		clauses = append(clauses, rapid.SampledFrom(ph.feels[want.Feel]).Draw(t, "felt"))
	}
	text := strings.Join(clauses, rapid.SampledFrom([]string{", ", "; ", "\n", ". ", " / "}).Draw(t, "between"))
	if !strings.Contains(text, ph.now) && want.Excused != routine.Performance && rapid.Bool().Draw(t, "yesterday?") {
		want.Day--
		text = rapid.SampledFrom(ph.gone).Draw(t, "the day") + rapid.SampledFrom([]string{" ", ": ", ", "}).Draw(t, "after the day") + text
	}
	if rapid.IntRange(0, 3).Draw(t, "opening?") == 0 {
		text = rapid.SampledFrom(ph.opening).Draw(t, "opening") + " " + text
	}
	if rapid.Bool().Draw(t, "talk?") {
		text += ". " + rapid.SampledFrom(ph.talk).Draw(t, "talk")
	}
	if rapid.IntRange(0, 3).Draw(t, "haste?") == 0 {
		text = inHaste.Replace(strings.ToLower(text))
		for i := range want.Items {
			want.Items[i].Remark = inHaste.Replace(strings.ToLower(want.Items[i].Remark))
		}
	}
	return want, text
}

// inHaste takes away what is left out by thumbs in haste.
var inHaste = strings.NewReplacer("á", "a", "à", "a", "â", "a", "é", "e", "è", "e", "ê", "e", "í", "i", "ó", "o", "ú", "u", "û", "u", "ç", "c", "ñ", "n", "¿", "", "ä", "ae", "ö", "oe", "ü", "ue", "'", "")

// intendedDay draws what is said of the whole day, and a clause that says it.
func intendedDay(t *rapid.T, want *reply.Reading, ph phrasing) string {
	said := rapid.SampledFrom(slices.Sorted(maps.Keys(ph.whole))).Draw(t, "said")
	switch said {
	case "done", "none":
		want.All = reply.Extent(said)
	default:
		want.Excused = routine.Excuse(said)
	}
	return rapid.SampledFrom(ph.whole[said]).Draw(t, "as")
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
	if rapid.IntRange(0, 3).Draw(t, "remark?") == 0 && e.Outcome != routine.Skipped {
		joint, remark, _ := strings.Cut(rapid.SampledFrom(ph.remarks).Draw(t, "remark"), "|")
		e.Remark = remark
		words = append(words, joint+remark)
	}
	return e, strings.Join(words, " ")
}

// intendTempo draws a tempo of an item, and words that say it.
func intendTempo(t *rapid.T, e *reply.Item, item routine.Item, ph phrasing) string {
	low, high := int(item.From.BPM), int(item.To.BPM)
	tempo := reply.Tempo{To: float64(rapid.IntRange(low, high).Draw(t, "tempo")), Note: item.To.Note}
	e.Tempo = &tempo
	switch rapid.IntRange(0, 3).Draw(t, "form") {
	case 0, 1:
		return fmt.Sprintf(rapid.SampledFrom(ph.at).Draw(t, "at"), int(tempo.To))
	case 2:
		tempo.Approx = true
		return fmt.Sprintf(rapid.SampledFrom(ph.approx).Draw(t, "approx"), int(tempo.To))
	}
	tempo.From = float64(low - 2)
	return fmt.Sprintf(rapid.SampledFrom(ph.from).Draw(t, "path"), low-2, int(tempo.To))
}
