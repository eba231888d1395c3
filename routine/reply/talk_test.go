package reply_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine/reply"
	"pgregory.net/rapid"
)

// small is how one language talks about other things: in frames, WHO stands for
// somebody else, THING and THINGS for what is none of practice, PLACE for where, NUM for
// a number and DAY for a day.
type small struct {
	frames                      []string
	who, thing, things, at, day []string
}

var smallTalk = map[string]small{
	"en": {
		frames: []string{
			"WHO is NUM today", "WHO turned NUM DAY", "WHO played for NUM minutes", "WHO has a concert DAY", "WHO is ill", "WHO has NUM THINGS", "WHO was at PLACE DAY", "WHO broke the THING", "WHO is taking the bus NUM",
			"I have NUM THINGS", "I bought NUM THINGS for NUM euros", "my THING is broken", "the THING is in PLACE", "the THING costs NUM euros", "it's NUM degrees in PLACE", "see you DAY at NUM", "see you at PLACE", "thanks for the THING",
			"where is my THING", "we have a test in maths DAY", "our THING is so nice", "the bus was NUM minutes late", "I got NUM out of 10 in maths", "the lesson is DAY at NUM, right?", "can WHO come too?", "is the concert DAY?", "I'll be NUM minutes late",
			"can I come at NUM on DAY?", "WHO lost the THING", "have a nice DAY", "happy birthday WHO", "there were NUM people at PLACE", "page NUM is missing", "I need a new THING", "my THING has NUM THINGS", "I slept at PLACE",
			"the THING arrived", "look at this THING", "haha WHO fell off the THING", "good luck with the THING", "which THING do I need?", "I'm in year NUM now", "WHO says hi", "sorry I forgot my THING", "is NUM too fast for the THING?", "how fast should the THING be?",
		},
		who: []string{"my brother", "my sister", "mum", "dad", "my grandma", "our cat", "my friend", "the neighbour"}, thing: []string{"bike", "music stand", "book", "mouthpiece", "phone", "car", "valve oil"}, things: []string{"sweets", "tickets", "books", "apples", "stickers", "friends"},
		at: []string{"school", "the station", "grandma's", "the park", "church", "the pool"}, day: []string{"tomorrow", "on Saturday", "next week", "on Friday"},
	},
	"de": {
		frames: []string{
			"WHO ist heute NUM geworden", "WHO hat NUM Minuten gespielt", "WHO hat DAY Konzert", "WHO ist krank", "WHO hat NUM THINGS", "WHO war DAY PLACE", "WHO nimmt den Bus NUM", "ich habe NUM THINGS", "ich hab NUM THINGS für NUM Euro gekauft", "mein THING ist kaputt",
			"das THING ist PLACE", "das THING kostet NUM Euro", "es hat NUM Grad PLACE", "danke für das THING", "wo ist mein THING", "wir schreiben DAY Mathe", "der Bus war NUM Minuten zu spät", "ich hab eine NUM in Mathe", "ist DAY Unterricht?", "kann WHO auch kommen?",
			"ich komme NUM Minuten später", "kann ich DAY um NUM kommen?", "WHO hat das THING verloren", "schönes Wochenende", "es waren NUM Leute PLACE", "Seite NUM fehlt", "ich brauche ein neues THING", "das THING ist angekommen", "WHO lässt grüßen",
			"sorry, hab mein THING vergessen", "welches THING brauche ich?", "viel Erfolg mit dem THING", "wie schnell soll das sein?",
		},
		who: []string{"mein Bruder", "meine Schwester", "Mama", "Papa", "meine Oma", "unsere Katze", "mein Freund", "der Nachbar"}, thing: []string{"Fahrrad", "Pult", "Mundstück", "Handy", "Auto", "Ventilöl", "Heft"}, things: []string{"Äpfel", "Karten", "Bücher", "Sticker", "Freunde"},
		at: []string{"in der Schule", "am Bahnhof", "bei Oma", "im Park", "im Schwimmbad"}, day: []string{"morgen", "am Samstag", "nächste Woche", "am Freitag"},
	},
	"fr": {
		frames: []string{
			"WHO a NUM ans aujourd'hui", "WHO a joué NUM minutes", "WHO a un concert DAY", "WHO est malade", "WHO a NUM THINGS", "WHO prend le bus NUM", "j'ai NUM THINGS", "j'ai acheté NUM THINGS pour NUM euros", "mon THING est cassé", "le THING est PLACE", "le THING coûte NUM euros", "il fait NUM degrés PLACE",
			"merci pour le THING", "où est mon THING", "on a un contrôle de maths DAY", "le bus avait NUM minutes de retard", "j'ai eu NUM en maths", "est-ce qu'il y a cours DAY ?", "WHO peut venir aussi ?", "j'aurai NUM minutes de retard", "je peux venir DAY à NUM heures ?", "WHO a perdu le THING",
			"j'ai oublié mon THING PLACE", "bon week-end", "il y avait NUM personnes PLACE", "il manque la page NUM", "j'ai besoin d'un nouveau THING", "le THING est arrivé", "WHO te dit bonjour", "désolé, j'ai oublié mon THING", "quel THING il me faut ?", "je suis en classe de NUM",
		},
		who: []string{"mon frère", "ma sœur", "maman", "papa", "ma grand-mère", "notre chat", "mon ami", "le voisin"}, thing: []string{"vélo", "pupitre", "bec", "téléphone", "étui", "cahier"}, things: []string{"pommes", "billets", "livres", "autocollants", "amis"},
		at: []string{"à l'école", "à la gare", "chez mamie", "au parc", "à la piscine"}, day: []string{"demain", "samedi prochain", "la semaine prochaine", "vendredi prochain"},
	},
	"es": {
		frames: []string{
			"WHO cumple NUM años hoy", "WHO tocó NUM minutos", "WHO tiene concierto DAY", "WHO está enfermo", "WHO tiene NUM THINGS", "WHO toma el bus NUM", "tengo NUM THINGS", "compré NUM THINGS por NUM euros", "mi THING está roto", "el THING está PLACE", "el THING cuesta NUM euros", "hace NUM grados PLACE",
			"nos vemos DAY a las NUM", "gracias por el THING", "dónde está mi THING", "tenemos examen de mates DAY", "el bus llegó NUM minutos tarde", "saqué un NUM en mates", "¿hay clase DAY?", "¿puede venir WHO?", "llegaré NUM minutos tarde", "¿puedo ir DAY a las NUM?", "WHO perdió el THING",
			"olvidé mi THING PLACE", "buen fin de semana", "había NUM personas PLACE", "necesito un THING nuevo", "llegó el THING", "WHO te manda saludos", "perdón, olvidé mi THING", "¿qué THING necesito?", "ya estoy en curso NUM",
		},
		who: []string{"mi hermano", "mi hermana", "mamá", "papá", "mi abuela", "nuestro gato", "mi amigo", "el vecino"}, thing: []string{"bici", "atril", "teléfono", "estuche", "cuaderno", "coche"}, things: []string{"manzanas", "entradas", "libros", "pegatinas", "amigos"},
		at: []string{"en la escuela", "en la estación", "en el parque", "en la piscina"}, day: []string{"mañana", "el sábado que viene", "la próxima semana", "el viernes próximo"},
	},
}

// TestTalk talks about other things.
func TestTalk(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	rapid.Check(t, func(t *rapid.T) {
		lang := rapid.SampledFrom(slices.Sorted(maps.Keys(smallTalk))).Draw(t, "lang")
		s := smallTalk[lang]
		pick := func(from []string) string { return rapid.SampledFrom(from).Draw(t, "word") }
		frame := pick(s.frames)
		text := strings.NewReplacer("WHO", pick(s.who), "THINGS", pick(s.things), "THING", pick(s.thing), "PLACE", pick(s.at), "DAY", pick(s.day)).Replace(frame)
		for strings.Contains(text, "NUM") {
			text = strings.Replace(text, "NUM", pick([]string{"2", "3", "7", "12", "15", "20", "40", "72", "90"}), 1)
		}
		got := r.Read(text, reply.Context{Routine: set, Today: today, Lang: lang})
		if len(got) != 1 || got[0].Kind != reply.Chat && got[0].Kind != reply.Asked {
			t.Fatalf("%q (%s, %s)\n got %s\nwant %s", text, frame, lang, brief(got), "talk")
		}
	})
}
