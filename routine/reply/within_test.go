package reply_test

import (
	"strings"
	"testing"

	"ledgerline/routine/reply"
)

// within are words for how many and what an item has many of, by language, and sentences about
// item 3 to put them in.
var within = map[string]struct{ sentences, quantities, things []string }{
	"en": {
		[]string{"3 % clean", "3 at 88 %", "3 at 88, %", "3 % shaky, 84"},
		[]string{"all", "all the", "every", "no", "no more", "half the", "the whole", "both", "both the", "none of the", "the last", "the first", "most", "some", "each", "any", "without", "without the", "except the", "but the", "rest of the", "one of the", "two", "more", "fewer", "too many", "not all the", "only the", "just the"},
		[]string{"keys", "repeats", "octaves", "bars", "accents", "trills"},
	},
	"de": {
		[]string{"3 % sauber", "3 mit 88 %", "3 mit 88, %", "3 % wackelig, 84"},
		[]string{"alle", "alle die", "keine", "halbe", "beide", "die beiden", "keine der", "nur die", "die letzten", "die ersten", "die meisten", "einige", "ohne", "ohne die", "außer den", "bis auf die", "die Hälfte der", "den Rest der", "zwei", "nichts als", "mehr", "weniger", "zu viele", "nicht alle"},
		[]string{"Tonarten", "Wiederholungen", "Oktaven", "hohen Töne", "Pausen", "Takte", "Akzente"},
	},
	"fr": {
		[]string{"la 3 % propre", "la 3 à 88 %", "la 3 à 88, %"},
		[]string{"toutes les", "chaque", "aucune des", "la moitié des", "les deux", "juste les", "seulement les", "les dernières", "les premières", "la plupart des", "sans les", "sauf les", "le reste des", "deux", "plus de", "pas toutes les"},
		[]string{"tonalités", "reprises", "octaves", "notes aiguës", "mesures"},
	},
	"es": {
		[]string{"la 3 % limpia", "la 3 a 88 %", "la 3 a 88, %"},
		[]string{"todas las", "cada", "ninguna de las", "la mitad de las", "las dos", "solo las", "las últimas", "las primeras", "la mayoría de las", "sin las", "menos las", "salvo las", "el resto de las", "dos", "demasiadas"},
		[]string{"tonalidades", "repeticiones", "octavas"},
	},
}

// TestWithin says of item 3 how much of what it has was played, "3 at 88, all the repeats": that
// must be of the item, and of nothing else, or be asked.
func TestWithin(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	for lang, words := range within {
		c := reply.Context{Routine: set, Today: today, Lang: lang}
		for _, sentence := range words.sentences {
			for _, quantity := range words.quantities {
				for _, thing := range words.things {
					text := strings.Replace(sentence, "%", quantity+" "+thing, 1)
					got := r.Read(text, c)
					if len(got) > 0 && len(got[0].Ask) > 0 {
						continue
					}
					if g := got[0]; len(got) > 1 || len(g.Items) != 1 || g.Items[0].N != 3 || g.Items[0].Minutes > 0 || g.All != "" || g.Excused != "" || g.Minutes > 0 || g.Pain || g.Feel != "" {
						t.Errorf("%q (%s) reads as %s, which is not of item 3 alone", text, lang, brief(got))
					}
				}
			}
		}
	}
}
