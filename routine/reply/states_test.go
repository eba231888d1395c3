package reply_test

import (
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// A state is how the player is, or why there was no practice, in the words of one
// language. In its frames WHY stands for an excuse, HURT for a pain and FINE for what is
// none, and a report of the first two items follows " + ".
type state struct {
	excuses map[routine.Excuse][]string
	frames  []string
	hurts   []string
	fines   []string
	joints  []string // between a state and a report
	nothing []string
}

var states = map[string]state{
	"en": {
		excuses: map[routine.Excuse][]string{
			routine.Ill:         {"ill", "sick", "I'm sick", "I'm ill", "not feeling well", "got a cold", "I have the flu", "fever", "in bed with a fever", "home sick", "been sick all day", "feeling poorly", "stomach bug", "🤒"},
			routine.Travel:      {"travelling", "traveling", "on the road", "away today", "on holiday", "on vacation", "travel day", "I'm travelling", "away on a school trip", "out of town"},
			routine.RestDay:     {"rest day", "day off", "taking a rest day", "resting today", "took a day off"},
			routine.Lesson:      {"lesson day", "had my lesson", "had my lesson today", "lesson today"},
			routine.Performance: {"gig tonight", "concert today", "had a concert", "concert tonight", "playing a gig tonight", "we had a concert", "recital today", "gig today"},
		},
		frames:  []string{"WHY", "WHY!", "sorry, WHY", "WHY, sorry", "hi Odile, WHY", "WHY so nothing", "nothing today, WHY", "WHY, no practice", "no practice today, WHY", "didn't practise, WHY", "WHY so I didn't play", "WHY 😔", "can't play today, WHY", "didn't play because WHY"},
		hurts:   []string{"my lip hurts", "lip hurts", "lips hurt", "my jaw hurts", "sore jaw hurts a lot", "my lip is bleeding", "lip bled", "my lips are numb", "numb lip", "my ears are ringing", "ringing in my ears", "pain in my jaw", "my teeth hurt", "it hurts when I play high", "my chest hurts", "I have pain in my lip", "hurting lip", "my shoulder hurts", "my cheek hurts"},
		fines:   []string{"no pain", "nothing hurts", "lip is fine", "lips are fine", "doesn't hurt", "no pain today", "without pain"},
		joints:  []string{", ", ". ", " but ", "\n", " and ", " - "},
		nothing: []string{"nothing today", "didn't practise", "no practice today"},
	},
	"de": {
		excuses: map[routine.Excuse][]string{
			routine.Ill:         {"krank", "bin krank", "ich bin krank", "erkältet", "hab Fieber", "Grippe", "liege im Bett mit Fieber", "Magen-Darm", "bin leider krank", "fühle mich nicht gut", "🤒"},
			routine.Travel:      {"auf Reisen", "bin unterwegs", "im Urlaub", "verreist", "auf Klassenfahrt", "sind im Urlaub", "bin verreist"},
			routine.RestDay:     {"Ruhetag", "Pause heute", "freier Tag", "heute Ruhetag", "Pausentag"},
			routine.Lesson:      {"Unterrichtstag", "heute Unterricht", "hatte heute Unterricht", "war im Unterricht"},
			routine.Performance: {"Konzert heute", "Auftritt heute Abend", "heute Konzert", "hatten Konzert", "Auftritt heute", "heute Abend Konzert", "hatte einen Auftritt"},
		},
		frames:  []string{"WHY", "WHY!", "sorry, WHY", "WHY, sorry", "hallo Odile, WHY", "WHY, also nichts", "heute nichts, WHY", "WHY, nicht geübt", "nicht geübt, WHY", "WHY, daher nichts gespielt", "WHY 😔", "kann nicht spielen, WHY"},
		hurts:   []string{"Lippe tut weh", "meine Lippe tut weh", "die Lippen tun weh", "Kiefer tut weh", "Lippe blutet", "Lippe hat geblutet", "Lippen taub", "taube Lippe", "Ohren klingeln", "mir tut die Lippe weh", "Schmerzen im Kiefer", "Zahnschmerzen beim Spielen", "hab Schmerzen in der Lippe", "es tut weh wenn ich hoch spiele", "mir tut der Rücken weh", "Schulter schmerzt"},
		fines:   []string{"keine Schmerzen", "nichts tut weh", "schmerzfrei", "Lippe ist ok", "tut nicht weh", "ohne Schmerzen"},
		joints:  []string{", ", ". ", " aber ", ", aber ", "\n", " und ", " - "},
		nothing: []string{"heute nichts", "nicht geübt", "nichts gemacht"},
	},
	"fr": {
		excuses: map[routine.Excuse][]string{
			routine.Ill:         {"malade", "je suis malade", "enrhumé", "j'ai de la fièvre", "grippe", "au lit avec la fièvre", "j'ai la grippe", "gastro", "🤒"},
			routine.Travel:      {"en voyage", "en vacances", "en déplacement", "je suis en voyage", "on est en vacances"},
			routine.RestDay:     {"jour de repos", "repos aujourd'hui", "journée de repos"},
			routine.Lesson:      {"jour de cours", "j'ai eu cours", "cours aujourd'hui", "j'ai eu mon cours"},
			routine.Performance: {"concert ce soir", "concert aujourd'hui", "on avait concert", "j'ai un concert ce soir", "audition aujourd'hui"},
		},
		frames:  []string{"WHY", "WHY !", "désolé, WHY", "WHY, désolé", "bonjour Odile, WHY", "WHY donc rien", "rien aujourd'hui, WHY", "WHY, pas joué", "pas travaillé, WHY", "WHY 😔", "je n'ai pas joué, WHY", "pas de trompette, WHY"},
		hurts:   []string{"j'ai mal à la lèvre", "mal aux lèvres", "ma lèvre saigne", "lèvres engourdies", "j'ai mal à la mâchoire", "mes oreilles sifflent", "douleur à la mâchoire", "ça fait mal quand je joue aigu", "j'ai mal au dos", "la lèvre me fait mal", "j'ai mal aux dents"},
		fines:   []string{"aucune douleur", "sans douleur", "pas de douleur", "ça ne fait pas mal", "la lèvre va bien"},
		joints:  []string{", ", ". ", " mais ", ", mais ", "\n", " et ", " - "},
		nothing: []string{"rien aujourd'hui", "pas travaillé", "rien fait"},
	},
	"es": {
		excuses: map[routine.Excuse][]string{
			routine.Ill:         {"enfermo", "estoy enfermo", "estoy enferma", "resfriada", "tengo fiebre", "con gripe", "en cama con fiebre", "estoy mala", "me siento mal", "🤒"},
			routine.Travel:      {"de viaje", "estoy de viaje", "de vacaciones", "estamos de viaje"},
			routine.RestDay:     {"día de descanso", "hoy descanso", "día libre"},
			routine.Lesson:      {"día de clase", "hoy tuve clase", "tuve clase"},
			routine.Performance: {"concierto hoy", "concierto esta noche", "tuvimos concierto", "hoy hay concierto", "tengo un concierto esta noche"},
		},
		frames:  []string{"WHY", "¡WHY!", "perdón, WHY", "WHY, lo siento", "hola Odile, WHY", "WHY así que nada", "hoy nada, WHY", "WHY, no practiqué", "no practiqué, WHY", "WHY 😔", "no pude tocar, WHY", "nada de trompeta, WHY"},
		hurts:   []string{"me duele el labio", "me duelen los labios", "me sangra el labio", "labios dormidos", "me duele la mandíbula", "me pitan los oídos", "dolor en la mandíbula", "me duele cuando toco agudo", "me duele la espalda", "tengo dolor en el labio"},
		fines:   []string{"sin dolor", "no me duele nada", "nada de dolor", "no duele", "el labio está bien"},
		joints:  []string{", ", ". ", " pero ", ", pero ", "\n", " y ", " - "},
		nothing: []string{"hoy nada", "no practiqué", "no he hecho nada"},
	},
}

// TestStates says how the player is, alone and beside reports.
func TestStates(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	for lang, s := range states {
		g := grammars[lang]
		report := "1 " + g.after[routine.Clean][0] + ", 2 " + g.after[routine.Shaky][0]
		items := []reply.Item{{N: 1, Outcome: routine.Clean}, {N: 2, Outcome: routine.Shaky}}
		for excuse, all := range s.excuses {
			for _, why := range all {
				want := reply.Reading{Kind: reply.Report, Day: today, Excused: excuse}
				for _, frame := range s.frames {
					readsAs(t, r, set, lang, strings.ReplaceAll(frame, "WHY", why), want)
				}
				want.Items = items
				for _, joint := range s.joints {
					readsAs(t, r, set, lang, why+joint+report, want)
				}
			}
		}
		for _, hurt := range s.hurts {
			want := reply.Reading{Kind: reply.Report, Day: today, Pain: true}
			readsAs(t, r, set, lang, hurt, want)
			readsAs(t, r, set, lang, strings.ToUpper(hurt[:1])+hurt[1:]+"!", want)
			want.Items = items
			for _, joint := range s.joints {
				readsAs(t, r, set, lang, report+joint+hurt, want)
				readsAs(t, r, set, lang, hurt+joint+report, want)
			}
			want.Items, want.All = nil, reply.All
			readsAs(t, r, set, lang, g.all[routine.Done][0]+", "+hurt, want)
			want.All = reply.None
			for _, nothing := range s.nothing {
				readsAs(t, r, set, lang, nothing+", "+hurt, want)
				readsAs(t, r, set, lang, hurt+", "+nothing, want)
			}
		}
		for _, fine := range s.fines {
			want := reply.Reading{Kind: reply.Report, Day: today, Items: items}
			readsAs(t, r, set, lang, report+". "+fine, want)
			readsAs(t, r, set, lang, fine+". "+report, want)
			readsAs(t, r, set, lang, fine+", "+report, want)
			want.Items, want.All = nil, reply.All
			readsAs(t, r, set, lang, g.all[routine.Done][0]+", "+fine, want)
		}
	}
}
