package reply_test

import (
	"maps"
	"reflect"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// minuteForms are ways to say how long, by language; what stands under "" is said in all.
var minuteForms = map[string]map[string]int{
	"":   {"40 min": 40, "40m": 40, "40min": 40, "1h": 60, "1 h": 60, "1h10": 70, "1:10": 70, "1:10h": 70, "2x20": 40, "2 x 20 min": 40, "1.5h": 90, "1,5 h": 90, "1½ h": 90, "20 + 25 min": 45, "45'": 45, "1h 10min": 70, "0:45": 45, "90 min": 90},
	"en": {"40 minutes": 40, "40 mins": 40, "an hour": 60, "1 hour": 60, "one hour": 60, "half an hour": 30, "an hour and a half": 90, "an hour and ten": 70, "an hour and ten minutes": 70, "1 hour 10": 70, "1 hr 10 min": 70, "forty minutes": 40, "three quarters of an hour": 45, "an hour and a quarter": 75, "1 and a half hours": 90, "one and a half hours": 90, "a half hour": 30, "two hours": 120, "2 hrs": 120, "1 hour and 10 minutes": 70, "a good hour": 60, "thirty-five minutes": 35, "half hour": 30, "45 mins total": 45, "in total 45 min": 45, "just under an hour": 60, "a bit over an hour": 60},
	"de": {"40 Minuten": 40, "40 Min.": 40, "eine Stunde": 60, "1 Stunde": 60, "1 Std": 60, "1 Std.": 60, "ne Stunde": 60, "halbe Stunde": 30, "eine halbe Stunde": 30, "ne halbe Stunde": 30, "anderthalb Stunden": 90, "eineinhalb Stunden": 90, "1 Stunde 10": 70, "eine Stunde und zehn Minuten": 70, "vierzig Minuten": 40, "dreiviertel Stunde": 45, "eine Dreiviertelstunde": 45, "eine gute Stunde": 60, "zwei Stunden": 120, "2 Stunden": 120, "knapp eine Stunde": 60, "1 Std 10 Min": 70, "fünfundvierzig Minuten": 45},
	"fr": {"40 minutes": 40, "une heure": 60, "1 heure": 60, "une demi-heure": 30, "demi-heure": 30, "une heure et demie": 90, "1h et demie": 90, "1 heure 10": 70, "une heure dix": 70, "une heure et quart": 75, "quarante minutes": 40, "trois quarts d'heure": 45, "une bonne heure": 60, "deux heures": 120, "2 heures": 120, "une petite heure": 60, "1 h 10": 70, "quarante-cinq minutes": 45},
	"es": {"40 minutos": 40, "una hora": 60, "1 hora": 60, "media hora": 30, "una hora y media": 90, "1 hora y media": 90, "1 hora 10": 70, "una hora y diez minutos": 70, "una hora y diez": 70, "hora y media": 90, "cuarenta minutos": 40, "tres cuartos de hora": 45, "una hora y cuarto": 75, "dos horas": 120, "2 horas": 120, "una horita": 60, "media horita": 30, "cuarenta y cinco minutos": 45},
}

// dayForms are ways to say a day, by language, and how many days before Wednesday 4 March
// 2026 it is.
var dayForms = map[string]map[string]int{
	"en": {"yesterday": 1, "last night": 1, "Monday": 2, "on Monday": 2, "Mon": 2, "Tuesday": 1, "Tue": 1, "on Sunday": 3, "Sunday": 3, "Sat": 4, "2 days ago": 2, "two days ago": 2, "March 2": 2, "2 March": 2, "2nd of March": 2, "on March 2nd": 2, "2026-03-02": 2, "28/2": 4, "2/28": 4, "Feb 28": 4, "the day before yesterday": 2, "yest": 1, "last Friday": 5, "this morning": 0, "today": 0},
	"de": {"gestern": 1, "gestern Abend": 1, "vorgestern": 2, "Montag": 2, "am Montag": 2, "Mo": 2, "Dienstag": 1, "Di": 1, "am Sonntag": 3, "Sonntag": 3, "am 2.": 2, "am 2.3.": 2, "2.3.": 2, "am 2. März": 2, "2. März": 2, "vor 2 Tagen": 2, "vor zwei Tagen": 2, "28.2.": 4, "am 28.2.": 4, "28.02.": 4, "2026-03-02": 2, "letzten Freitag": 5, "heute früh": 0, "heute": 0, "gestern früh": 1},
	"fr": {"hier": 1, "hier soir": 1, "avant-hier": 2, "lundi": 2, "dimanche": 3, "le 2 mars": 2, "2 mars": 2, "le 2/3": 2, "2/3": 2, "28/2": 4, "le 28/02": 4, "il y a 2 jours": 2, "il y a deux jours": 2, "2026-03-02": 2, "vendredi dernier": 5, "ce matin": 0, "aujourd'hui": 0, "samedi": 4, "mardi": 1},
	"es": {"ayer": 1, "anoche": 1, "anteayer": 2, "antes de ayer": 2, "el lunes": 2, "lunes": 2, "el domingo": 3, "el 2 de marzo": 2, "2 de marzo": 2, "el 2/3": 2, "2/3": 2, "28/2": 4, "el 28/02": 4, "hace 2 días": 2, "hace dos días": 2, "2026-03-02": 2, "el viernes pasado": 5, "esta mañana": 0, "hoy": 0, "el sábado": 4, "ayer por la tarde": 1},
}

// known returns the forms of a language with those known in all, which stand under "".
func known[V any](forms map[string]map[string]V, lang string) map[string]V {
	all := maps.Clone(forms[lang])
	maps.Copy(all, forms[""])
	return all
}

// TestWholeDays says how long beside words for the whole routine and for items.
func TestWholeDays(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	for lang, g := range grammars {
		for form, minutes := range known(minuteForms, lang) {
			for _, whole := range g.all[routine.Done] {
				want := reply.Reading{Kind: reply.Report, Day: today, All: reply.All, Minutes: minutes}
				for _, text := range []string{whole + " " + form, whole + ", " + form, form + ", " + whole, whole + ". " + form, whole + "\n" + form, form + " " + whole, whole + " (" + form + ")", whole + " - " + form} {
					readsAs(t, r, set, lang, text, want)
				}
			}
			want := reply.Reading{Kind: reply.Report, Day: today, Minutes: minutes}
			readsAs(t, r, set, lang, form, want)
			items := want
			items.Items = []reply.Item{{N: 2, Outcome: routine.Clean}, {N: 3, Outcome: routine.Shaky}}
			said := "2 " + g.after[routine.Clean][0] + ", 3 " + g.after[routine.Shaky][0]
			for _, text := range []string{said + ", " + form, said + ". " + form, said + "\n" + form, form + ", " + said, form + ". " + said, form + "\n" + said} {
				readsAs(t, r, set, lang, text, items)
			}
		}
	}
}

// TestDayForms says a day before and after reports.
func TestDayForms(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	for lang, g := range grammars {
		clean, shaky := g.after[routine.Clean][0], g.after[routine.Shaky][0]
		for day, back := range dayForms[lang] {
			on := today - routine.Date(back)
			done := reply.Reading{Kind: reply.Report, Day: on, All: reply.All}
			whole := g.all[routine.Done][0]
			for _, text := range []string{day + " " + whole, day + ": " + whole, day + ", " + whole, whole + " " + day, day + " - " + whole, whole + ", " + day} {
				readsAs(t, r, set, lang, text, done)
			}
			items := reply.Reading{Kind: reply.Report, Day: on, Items: []reply.Item{{N: 2, Outcome: routine.Clean}, {N: 3, Outcome: routine.Shaky}}}
			said := "2 " + clean + ", 3 " + shaky
			for _, text := range []string{day + ": " + said, day + ", " + said, day + "\n" + said} {
				readsAs(t, r, set, lang, text, items)
			}
			minutes := reply.Reading{Kind: reply.Report, Day: on, Minutes: 40}
			for _, text := range []string{day + " 40 min", day + ": 40 min", "40 min " + day} {
				readsAs(t, r, set, lang, text, minutes)
			}
		}
	}
}

func readsAs(t *testing.T, r *reply.Reader, set *routine.Routine, lang, text string, want reply.Reading) {
	t.Helper()
	got := r.Read(text, reply.Context{Routine: set, Today: today, Lang: lang})
	if len(got) != 1 || !reflect.DeepEqual(kept(got[0]), want) {
		t.Errorf("%q (%s)\n got %s\nwant %s", text, lang, brief(got), brief([]reply.Reading{want}))
	}
}
