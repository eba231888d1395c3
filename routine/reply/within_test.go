package reply_test

import (
	"regexp"
	"slices"
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

// circumstances are sentences about item 3, by language, and how, where or for what it may have been
// played.
var circumstances = map[string]struct{ sentences, of []string }{
	"en": {
		[]string{"3 % clean", "3 at 88 %", "3 clean %", "did 3 %"},
		[]string{
			"with the mute", "with a mute", "in the bathroom", "before school", "after dinner", "at the lesson",
			"in the lesson", "for the concert", "for my lesson", "with my teacher", "with the band", "with mum",
			"in the car", "at church", "at rehearsal", "before the gig", "after the gig", "after work",
			"during the lesson", "before bed", "at my nan's", "on the balcony", "in the garage", "with a drone",
			"with the tuner", "with the backing track", "by heart", "from memory", "sitting down", "standing up",
			"eyes closed", "in front of the mirror", "with the other mouthpiece", "on the cornet",
			"on my old trumpet", "on the mouthpiece", "on buzz", "an octave down", "an octave lower", "up a tone",
			"in C", "in concert pitch", "at half speed", "at the right speed", "in two halves", "in one go",
			"in three parts", "twice through", "at first", "at last", "at the end", "after a rest", "after a break",
			"after lunch", "with breaks", "with rests", "without a break", "with both tongues", "with all fingers",
			"with feeling", "with the repeat", "to the end", "till the end", "up to the repeat", "from bar 8",
			"from the top", "on the way home", "while the kids slept", "for my mum", "for the exam",
			"to the metronome", "to the click", "with the click at 88", "over the phone", "on video",
			"for the recording", "as a duet", "with Tom", "with my brother", "together with my dad",
		},
	},
	"de": {
		[]string{"3 % sauber", "3 mit 88 %", "3 sauber %", "3 % gespielt"},
		[]string{
			"mit Dämpfer", "im Bad", "vor der Schule", "nach dem Essen", "im Unterricht", "fürs Konzert",
			"für den Unterricht", "mit Mama", "mit der Band", "in der Kirche", "vor dem Auftritt", "nach der Arbeit",
			"vor dem Schlafen", "auf dem Balkon", "mit Stimmgerät", "mit Playback", "auswendig", "im Sitzen",
			"im Stehen", "mit geschlossenen Augen", "vor dem Spiegel", "mit dem anderen Mundstück", "auf dem Kornett",
			"nur auf dem Mundstück", "eine Oktave tiefer", "einen Ton höher", "in C", "mit halber Geschwindigkeit",
			"in zwei Hälften", "in einem Zug", "zweimal durch", "am Anfang", "am Ende", "nach einer Pause",
			"mit Pausen", "ohne Pause", "mit Wiederholung", "bis zum Schluss", "bis zur Wiederholung", "ab Takt 8",
			"für meine Mama", "für die Prüfung", "zum Metronom", "am Telefon", "per Video", "für die Aufnahme",
			"als Duett", "mit Tom", "mit meinem Bruder", "zusammen mit Papa", "trotz Müdigkeit", "trotz Erkältung",
			"ganz in Ruhe", "im Urlaubsmodus",
		},
	},
	"fr": {
		[]string{"la 3 % propre", "la 3 à 88 %", "la 3 propre %", "j'ai fait la 3 %"},
		[]string{
			"avec la sourdine", "dans la salle de bain", "avant l'école", "après le dîner", "pendant le cours",
			"pour le concert", "pour le cours", "avec maman", "avec l'orchestre", "à l'église", "avant le concert",
			"après le travail", "avant de dormir", "sur le balcon", "avec l'accordeur", "avec la bande-son",
			"par cœur", "de mémoire", "assis", "debout", "les yeux fermés", "devant le miroir",
			"avec l'autre embouchure", "au cornet", "à l'embouchure seule", "une octave plus bas", "un ton plus haut",
			"en do", "à mi-vitesse", "en deux parties", "d'un trait", "en une fois", "deux fois de suite", "au début",
			"à la fin", "après une pause", "avec des pauses", "sans pause", "avec la reprise", "jusqu'à la fin",
			"jusqu'à la reprise", "à partir de la mesure 8", "depuis le début", "pour ma mère", "pour l'examen",
			"au métronome", "au téléphone", "en vidéo", "pour l'enregistrement", "en duo", "avec Tom",
			"avec mon frère", "avec papa",
		},
	},
	"es": {
		[]string{"la 3 % limpia", "la 3 a 88 %", "la 3 limpia %", "hice la 3 %"},
		[]string{
			"con sordina", "en el baño", "antes del cole", "después de cenar", "en la clase", "para el concierto",
			"para la clase", "con mamá", "con la banda", "en la iglesia", "antes del concierto",
			"después del trabajo", "antes de dormir", "en el balcón", "con el afinador", "con la pista", "de memoria",
			"sentada", "de pie", "con los ojos cerrados", "frente al espejo", "con la otra boquilla", "en la corneta",
			"solo con la boquilla", "una octava abajo", "un tono arriba", "en do", "a media velocidad",
			"en dos partes", "de un tirón", "de una", "dos veces seguidas", "al principio", "al final",
			"después de un descanso", "con descansos", "sin descanso", "con la repetición", "hasta el final",
			"hasta la repetición", "desde el compás 8", "desde el principio", "para mi mamá", "para el examen",
			"con el metrónomo", "por teléfono", "en vídeo", "para la grabación", "a dúo", "con Tom", "con mi hermano",
			"con papá",
		},
	},
}

// TestWithin says of item 3 how much of what it has was played, "3 at 88, all the repeats", or
// how: that must be of the item, and of nothing else, or be asked.
func TestWithin(t *testing.T) {
	r := newReader(t)
	var all doubted
	defer all.few(t)
	set := decode(t, monday)
	for lang, words := range within {
		c := reply.Context{Routine: set, Today: today, Lang: lang}
		for _, sentence := range words.sentences {
			for _, quantity := range words.quantities {
				for _, thing := range words.things {
					all.checkOfThree(t, r, c, strings.Replace(sentence, "%", quantity+" "+thing, 1))
				}
			}
		}
		for _, sentence := range circumstances[lang].sentences {
			for _, how := range circumstances[lang].of {
				all.checkOfThree(t, r, c, strings.Replace(sentence, "%", how, 1))
			}
		}
	}
}

// wholly are sentences about the whole day, by language, to put circumstances in.
var wholly = map[string][]string{
	"en": {"did everything %", "everything clean %", "played the whole routine %", "did everything %, 40 min"},
	"de": {"alles gespielt %", "alles gemacht %, 40 min"},
	"fr": {"tout fait %", "tout fait %, 40 min", "j'ai tout joué %"},
	"es": {"todo hecho %", "todo hecho %, 40 min", "toqué todo %"},
}

// TestWholly says that everything was played and how, where or for what: that must be of the
// whole day, with the minutes if there are any, and nothing else, or be asked.
func TestWholly(t *testing.T) {
	r := newReader(t)
	var all doubted
	defer all.few(t)
	set := decode(t, monday)
	for lang, sentences := range wholly {
		for _, sentence := range sentences {
			minutes := 0
			if strings.Contains(sentence, "40 min") {
				minutes = 40
			}
			for _, how := range circumstances[lang].of {
				text := strings.Replace(sentence, "%", how, 1)
				got := r.Read(text, reply.Context{Routine: set, Today: today, Lang: lang})
				if all.asked(got) {
					continue
				}
				g := got[0]
				if len(got) > 1 || g.All != reply.All || g.Minutes != minutes || g.Excused != "" || g.Pain || g.Feel != "" || len(g.Items) > 0 && !strings.Contains(text, "clean") {
					t.Errorf("%q (%s) reads as %s, which is not the whole day", text, lang, brief(got))
				}
			}
		}
	}
}

// howFirst are reports of some items, by language, that may follow how they were played.
var howFirst = map[string][]struct {
	report string
	items  []int
}{
	"en": {{"1 and 2 clean", []int{1, 2}}, {"3 clean", []int{3}}, {"I played 3", []int{3}}},
	"de": {{"1 und 2 gespielt", []int{1, 2}}, {"3 sauber", []int{3}}, {"3 mit 88", []int{3}}, {"habe ich 3 gespielt", []int{3}}},
	"fr": {{"la 1 et la 2 propres", []int{1, 2}}, {"la 3 propre", []int{3}}, {"j'ai joué la 3", []int{3}}},
	"es": {{"la 1 y la 2 limpias", []int{1, 2}}, {"la 3 limpia", []int{3}}, {"toqué la 3", []int{3}}},
}

// TestHowFirst says how, where or for what items were played before it names them: that must be a
// report of them and of no others, or be asked.
func TestHowFirst(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	var all doubted
	defer all.few(t)
	notYet := regexp.MustCompile("while|Mundstück|together|trotz|autre") // still read as talk, or "Mundstück 1 und 2" as the numbers of mouthpieces
	for lang, tests := range howFirst {
		for _, how := range circumstances[lang].of {
			if notYet.MatchString(how) {
				continue
			}
			for _, test := range tests {
				text := how + " " + test.report
				got := r.Read(text, reply.Context{Routine: set, Today: today, Lang: lang})
				if all.asked(got) {
					continue
				}
				var items []int
				for _, item := range got[0].Items {
					items = append(items, item.N)
				}
				if len(got) > 1 || !slices.Equal(items, test.items) || got[0].Minutes > 0 || got[0].All != "" || got[0].Pain {
					t.Errorf("%q (%s) reads as %s, want items %v", text, lang, brief(got), test.items)
				}
			}
		}
	}
}

// doubted counts messages, and those that are asked about.
type doubted struct{ total, doubts int }

// asked counts a message and reports whether it is asked about.
func (d *doubted) asked(got []reply.Reading) bool {
	d.total++
	if !asks(got) {
		return false
	}
	d.doubts++
	return true
}

// few checks that of the messages no more than one in ten was asked about, so that asking
// about all does not pass for reading them.
func (d *doubted) few(t *testing.T) {
	if d.doubts*10 > d.total {
		t.Errorf("%d of %d messages are asked about", d.doubts, d.total)
	}
}

// checkOfThree checks that a message is read as one of item 3 alone, or asked about.
func (d *doubted) checkOfThree(t *testing.T, r *reply.Reader, c reply.Context, text string) {
	got := r.Read(text, c)
	if d.asked(got) {
		return
	}
	g := got[0]
	if len(got) > 1 || len(g.Items) != 1 || g.Items[0].N != 3 || g.Items[0].Minutes > 0 || g.All != "" || g.Excused != "" || g.Minutes > 0 || g.Pain || g.Feel != "" {
		t.Errorf("%q (%s) reads as %s, which is not of item 3 alone", text, c.Lang, brief(got))
	}
}
