package reply_test

import (
	"reflect"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// forms are ways to say one thing of an item, by language; the first says what.
type form struct {
	lang string
	say  []string
	add  reply.Item
}

func tempo(from, to float64, note routine.NoteValue, approx bool) reply.Item {
	return reply.Item{Tempo: &reply.Tempo{From: from, To: to, Note: note, Approx: approx}}
}

var forms = []form{
	{"en", []string{"92", "@92", "@ 92", "at 92", "q=92", "q = 92", "♩=92", "♩ = 92", "quarter = 92", "crotchet=92", "92 bpm", "92bpm", "at 92 bpm", "tempo 92", "tempo: 92", "bpm 92", "mm 92", "(92)", "at q=92", "1/4=92", "quarter note 92", "at a tempo of 92", "ninety-two", "at ninety two", "@92bpm"}, tempo(0, 92, routine.Quarter, false)},
	{"en", []string{"8th=184", "eighth=184", "8th = 184", "quaver = 184", "♪=184", "1/8=184", "eighth notes at 184", "eighths at 184", "184 in eighths"}, tempo(0, 184, routine.Eighth, false)},
	{"en", []string{"half=46", "half note = 46", "minim = 46", "𝅗𝅥=46", "h=46"}, tempo(0, 46, routine.Half, false)},
	{"en", []string{"dotted quarter = 60", "dotted q 60", "dotted q=60", "q.=60", "dotted crotchet 60", "♩.=60"}, tempo(0, 60, routine.DottedQuarter, false)},
	{"en", []string{"from 84 to 92", "84 to 92", "84-92", "84->92", "84 -> 92", "84 → 92", "84/88/92", "84, 88, 92", "84 up to 92", "from 84 up to 92", "84-88-92", "84–92", "84 then 92", "84 > 92", "q=84-92", "@84-92", "84 - 92 bpm", "from 84 → 92"}, tempo(84, 92, routine.Quarter, false)},
	{"en", []string{"up to 92", "got up to 92", "got it up to 92", "made it to 92", "reached 92"}, tempo(0, 92, routine.Quarter, false)},
	{"en", []string{"92ish", "92-ish", "about 92", "around 92", "~92", "roughly 92", "approx 92", "at about 92", "ca. 92", "nearly 92", "almost 92"}, tempo(0, 92, routine.Quarter, true)},
	{"en", []string{"3x", "x3", "3 times", "three times", "3 x", "×3", "3 reps", "3 repeats", "3 times in a row", "three times in a row", "3x in a row"}, reply.Item{Reps: 3}},
	{"en", []string{"twice", "2x", "two times", "2 times"}, reply.Item{Reps: 2}},
	{"en", []string{"10 min", "10 mins", "10m", "10 minutes", "for 10 min", "for 10 minutes", "(10 min)", "ten minutes", "10min", "about 10 minutes", "10 mins or so"}, reply.Item{Minutes: 10}},
	{"en", []string{"a quarter of an hour", "quarter of an hour", "15 min", "1/4 h", "quarter hour", "1/4 hour"}, reply.Item{Minutes: 15}},
	{"de", []string{"92", "@92", "bei 92", "auf 92", "mit 92", "Viertel = 92", "Viertel=92", "92 bpm", "Tempo 92", "mit Metronom auf 92", "im Tempo 92", "Metronom 92", "bei Tempo 92", "(92)", "♩=92", "mit 92 bpm", "zweiundneunzig", "auf zweiundneunzig", "Viertel 92"}, tempo(0, 92, routine.Quarter, false)},
	{"de", []string{"Achtel = 184", "Achtel=184", "Achtel auf 184", "♪=184", "8tel=184", "184 in Achteln"}, tempo(0, 184, routine.Eighth, false)},
	{"de", []string{"punktierte Viertel = 60", "punktierte Viertel 60"}, tempo(0, 60, routine.DottedQuarter, false)},
	{"de", []string{"von 84 auf 92", "von 84 bis 92", "84 bis 92", "84 auf 92", "84-92", "84 -> 92", "84/88/92", "von 84 hoch auf 92"}, tempo(84, 92, routine.Quarter, false)},
	{"de", []string{"bis 92", "bis auf 92", "bis zu 92", "bis 92 gekommen", "bis 92 geschafft"}, tempo(0, 92, routine.Quarter, false)},
	{"de", []string{"ca. 92", "etwa 92", "ungefähr 92", "so um 92", "um die 92", "fast 92", "circa 92", "knapp 92", "rund 92"}, tempo(0, 92, routine.Quarter, true)},
	{"de", []string{"3x", "3 mal", "3mal", "dreimal", "drei Mal", "dreimal hintereinander", "3x hintereinander", "3 Wiederholungen", "3 Durchgänge"}, reply.Item{Reps: 3}},
	{"de", []string{"10 min", "10 Minuten", "10min", "zehn Minuten", "10 Min.", "(10 min)", "10 Minuten lang", "für 10 min", "etwa 10 min"}, reply.Item{Minutes: 10}},
	{"fr", []string{"92", "@92", "à 92", "noire = 92", "noire=92", "à la noire = 92", "92 bpm", "tempo 92", "au métronome à 92", "métronome 92", "(92)", "♩=92", "à 92 bpm", "au tempo 92", "quatre-vingt-douze", "à quatre-vingt-douze", "noire à 92"}, tempo(0, 92, routine.Quarter, false)},
	{"fr", []string{"croche = 184", "croche=184", "croche à 184", "♪=184"}, tempo(0, 184, routine.Eighth, false)},
	{"fr", []string{"noire pointée = 60", "noire pointée 60", "noire pointée à 60"}, tempo(0, 60, routine.DottedQuarter, false)},
	{"fr", []string{"de 84 à 92", "84 à 92", "84-92", "84 -> 92", "84/88/92", "de 84 jusqu'à 92", "84 puis 92"}, tempo(84, 92, routine.Quarter, false)},
	{"fr", []string{"jusqu'à 92", "monté à 92", "monté jusqu'à 92"}, tempo(0, 92, routine.Quarter, false)},
	{"fr", []string{"environ 92", "à peu près 92", "vers 92", "autour de 92", "presque 92", "dans les 92", "à environ 92"}, tempo(0, 92, routine.Quarter, true)},
	{"fr", []string{"3x", "3 fois", "trois fois", "3 fois de suite", "trois fois d'affilée"}, reply.Item{Reps: 3}},
	{"fr", []string{"10 min", "10 minutes", "10min", "dix minutes", "(10 min)", "pendant 10 minutes", "environ 10 min"}, reply.Item{Minutes: 10}},
	{"es", []string{"92", "@92", "a 92", "negra = 92", "negra=92", "92 bpm", "tempo 92", "metrónomo 92", "(92)", "♩=92", "a 92 bpm", "al tempo 92", "noventa y dos", "a noventa y dos", "negra a 92"}, tempo(0, 92, routine.Quarter, false)},
	{"es", []string{"corchea = 184", "corchea=184", "corchea a 184", "♪=184"}, tempo(0, 184, routine.Eighth, false)},
	{"es", []string{"negra con puntillo = 60", "negra con puntillo 60"}, tempo(0, 60, routine.DottedQuarter, false)},
	{"es", []string{"de 84 a 92", "84 a 92", "84-92", "84 -> 92", "84/88/92", "desde 84 hasta 92", "de 84 hasta 92", "84 y luego 92"}, tempo(84, 92, routine.Quarter, false)},
	{"es", []string{"hasta 92", "llegué a 92", "subí a 92", "subí hasta 92"}, tempo(0, 92, routine.Quarter, false)},
	{"es", []string{"unos 92", "a unos 92", "alrededor de 92", "casi 92", "más o menos 92", "aproximadamente 92", "cerca de 92", "como a 92"}, tempo(0, 92, routine.Quarter, true)},
	{"es", []string{"3x", "3 veces", "tres veces", "3 veces seguidas", "tres veces seguidas"}, reply.Item{Reps: 3}},
	{"es", []string{"10 min", "10 minutos", "10min", "diez minutos", "(10 min)", "durante 10 minutos", "unos 10 min"}, reply.Item{Minutes: 10}},
}

// TestForms says the same of an item in many forms, in many places of a message.
func TestForms(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	for _, f := range forms {
		g := grammars[f.lang]
		clean, shaky := g.after[routine.Clean][0], g.after[routine.Shaky][0]
		slurs := g.skills[routine.Flexibility][0]
		before := before(g.before[routine.Done][0], "2")
		for _, say := range f.say {
			for _, place := range []struct {
				text    string
				outcome routine.Outcome
				others  bool
			}{
				{"2 " + say, routine.Done, false},
				{"2: " + say, routine.Done, false},
				{"2 " + say + " " + clean, routine.Clean, false},
				{"2 " + clean + " " + say, routine.Clean, false},
				{"2 " + say + ", " + clean, routine.Clean, false},
				{slurs + " " + say + " " + clean, routine.Clean, false},
				{before + " " + say, routine.Done, false},
				{"1 " + clean + ", 2 " + say + ", 3 " + shaky, routine.Done, true},
				{"1 " + clean + "\n2 " + say + " " + shaky + "\n3 " + shaky, routine.Shaky, true},
				{"1 " + clean + ". 2 " + say + ". 3 " + shaky, routine.Done, true},
			} {
				e := f.add
				e.N, e.Outcome = 2, place.outcome
				want := reply.Reading{Kind: reply.Report, Day: today, Items: []reply.Item{e}}
				if place.others {
					want.Items = []reply.Item{{N: 1, Outcome: routine.Clean}, e, {N: 3, Outcome: routine.Shaky}}
				}
				if strings.HasPrefix(say, "(") && strings.Contains(place.text, ", "+clean) {
					continue
				}
				got := r.Read(place.text, reply.Context{Routine: set, Today: today, Lang: f.lang})
				if len(got) != 1 || !reflect.DeepEqual(kept(got[0]), want) {
					t.Errorf("%q (%s)\n got %s\nwant %s", place.text, f.lang, brief(got), brief([]reply.Reading{want}))
				}
			}
		}
	}
}
