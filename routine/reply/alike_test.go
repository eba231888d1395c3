package reply_test

import (
	"reflect"
	"strings"
	"testing"

	"ledgerline/routine/reply"
)

// alike are sentences about one item, whose name is put in for %s, by language.
var alike = map[string][]string{
	"en": {
		"%s clean", "%s was shaky", "%s 88", "%s at 88", "%s at 88 clean", "%s 88 clean", "%s clean at 88",
		"clean %s", "skipped %s", "didn't do %s", "did %s twice", "%s twice", "%s 3x", "%s 2 of 3 clean",
		"all but %s", "everything except %s", "only %s", "just %s", "worked on %s for 20 min", "%s for 20 min",
		"%s 20 min", "20 min on %s", "%s: missed", "no %s", "%s not clean", "%s yes", "couldn't play %s",
		"forgot %s", "played %s clean, rest shaky", "all done, %s shaky", "1 clean, %s shaky", "1 clean and %s too",
		"%s from 80 to 88", "%s 80-88", "%s up to 88", "%s is getting better", "%s still wobbly", "tomorrow %s",
		"%s tomorrow", "%s yesterday", "yesterday only %s", "sorry, %s was skipped", "%s not 88 but 84",
		"I played %s and it was clean", "finally got %s clean", "%s went well", "%s?", "what tempo for %s?",
		"my lip hurts in %s", "%s hurt", "half of %s", "first half of %s clean", "%s half",
		"started %s, not finished", "%s clean except the end", "%s is too fast", "rest done, %s not",
		"%s didn't happen", "no time for %s", "%s q=88", "%s @88", "%s slow but clean", "struggled with %s",
		"%s and 1 clean", "%s, 1 clean", "1, %s clean, 2 skipped", "not %s", "%s missed twice",
		"%s took 15 minutes", "spent 15 minutes on %s", "apart from %s all good", "%s almost clean", "%s ok, tired",
	},
	"de": {
		"%s sauber", "%s war wackelig", "%s 88", "%s auf 88", "%s mit 88 sauber", "%s 88 sauber",
		"%s sauber bei 88", "%s ausgelassen", "%s nicht gespielt", "%s zweimal", "%s zweimal gespielt", "%s 3x",
		"%s 2 von 3 sauber", "alles außer %s", "alles bis auf %s", "nur %s", "%s 20 min",
		"20 Minuten bei %s", "%s nicht sauber", "%s konnte ich nicht", "%s vergessen", "alles gemacht, %s wackelig",
		"1 sauber, %s wackelig", "1 sauber und %s auch", "%s von 80 bis 88", "%s bis 88", "%s wird besser",
		"morgen %s", "%s gestern", "gestern nur %s", "sorry, %s ausgelassen", "%s nicht 88 sondern 84",
		"%s endlich sauber", "%s lief gut", "Lippe tut weh bei %s",
		"%s zur Hälfte", "%s halb", "%s angefangen, nicht fertig", "%s sauber bis auf den Schluss", "%s zu schnell",
		"Rest gemacht, %s nicht", "keine Zeit für %s", "%s langsam aber sauber", "%s und 1 sauber", "%s, 1 sauber",
		"ohne %s", "%s fast sauber", "%s hat 15 Minuten gedauert", "%s hakt noch", "%s ging nicht",
		"bei %s hänge ich", "%s klappt", "%s klappt nicht",
	},
	"fr": {
		"%s propre", "%s était fragile", "%s 88", "%s à 88", "%s à 88 propre", "%s 88 propre", "%s propre à 88",
		"%s sauté", "pas fait %s", "pas joué %s", "%s deux fois", "%s 3x", "%s 2 sur 3 propres", "tout sauf %s",
		"seulement %s", "%s 20 min", "20 min sur %s", "%s pas propre", "raté %s", "oublié %s",
		"tout fait, %s fragile", "1 propre, %s fragile", "1 propre et %s aussi", "%s de 80 à 88", "%s jusqu'à 88",
		"%s va mieux", "demain %s", "%s hier", "hier seulement %s", "pardon, %s sauté", "%s pas 88 mais 84",
		"j'ai joué %s et c'était propre", "enfin %s propre", "%s bien passé", "mal à la lèvre sur %s",
		"la moitié de %s", "%s à moitié", "commencé %s, pas fini", "%s propre sauf la fin", "%s trop vite",
		"le reste fait, pas %s", "pas eu le temps pour %s", "%s lent mais propre", "%s et 1 propres", "sans %s",
		"%s presque propre", "%s ça va", "galéré sur %s", "je bloque sur %s", "%s passe bien", "%s ne passe pas",
	},
	"es": {
		"%s limpio", "%s limpia", "%s estuvo floja", "%s 88", "%s a 88", "%s a 88 limpio", "%s 88 limpio",
		"%s limpio a 88", "%s saltado", "no hice %s", "no toqué %s", "%s dos veces", "%s 3x", "%s 2 de 3 limpias",
		"todo menos %s", "todo excepto %s", "solo %s", "%s 20 min", "20 min en %s", "%s no limpio",
		"no pude con %s", "olvidé %s", "todo hecho, %s floja", "1 limpio, %s flojo", "1 limpio y %s también",
		"%s de 80 a 88", "%s hasta 88", "%s va mejor", "mañana %s", "%s ayer", "ayer solo %s", "perdón, %s saltada",
		"%s no 88 sino 84", "toqué %s y salió limpio", "por fin %s limpio", "%s salió bien",
		"me duele el labio en %s", "la mitad de %s", "%s a medias", "empecé %s, no terminé",
		"%s limpio menos el final", "%s demasiado rápido", "el resto hecho, %s no", "sin tiempo para %s",
		"%s lento pero limpio", "%s y 1 limpias", "sin %s", "%s casi limpio", "%s me cuesta",
		"%s sale bien", "%s no sale",
	},
}

// sameItems are names of one item of monday, by language; the first is plainly one.
var sameItems = map[string][][]string{
	"en": {
		{"number 3", "3", "no. 3", "#3", "the third one", "Scales by Thirds", "scales by thirds", "the scales", "my scales", "the Eb one", "line 14", "l14", "daily ground 2", "exercise 3"},
		{"number 4", "4", "Gulls at the Lock", "gulls", "the etude", "my etude", "the last one", "Twelve Harbour Pieces", "the G minor one"},
	},
	"de": {
		{"Nr. 3", "3", "#3", "Scales by Thirds", "Tonleitern", "Es-Dur", "Zeile 14", "Daily Ground 2", "Übung 3"},
		{"Nr. 4", "4", "Gulls at the Lock", "gulls", "Etüde", "g-Moll"},
	},
	"fr": {
		{"la 3", "3", "n° 3", "la troisième", "Scales by Thirds", "mes gammes", "mi bémol", "ligne 14", "exercice 3"},
		{"la 4", "4", "Gulls at the Lock", "gulls", "mon étude", "la dernière", "sol mineur"},
	},
	"es": {
		{"la 3", "3", "n.º 3", "la tercera", "Scales by Thirds", "las escalas", "mis escalas", "mi bemol", "línea 14", "ejercicio 3"},
		{"la 4", "4", "Gulls at the Lock", "gulls", "mi estudio", "la última", "sol menor"},
	},
}

// TestAlike names an item in many ways in many sentences: they are read as they are with its
// number.
func TestAlike(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	for lang, sentences := range alike {
		c := reply.Context{Routine: set, Today: today, Lang: lang}
		for _, sentence := range sentences {
			for _, names := range sameItems[lang] {
				plain := strings.ReplaceAll(sentence, "%s", names[0])
				want := r.Read(plain, c)
				for _, name := range names[1:] {
					text := strings.ReplaceAll(sentence, "%s", name)
					got := r.Read(text, c)
					for i := range got {
						got[i].Text = plain
						got[i].Question = strings.Replace(got[i].Question, name, names[0], 1)
					}
					if !reflect.DeepEqual(got, want) {
						t.Errorf("%q reads as\n %s, but %q as\n %s", text, brief(got), plain, brief(want))
					}
				}
			}
		}
	}
}
