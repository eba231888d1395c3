package yaml

import (
	"strings"
	"testing"
	"testing/fstest"

	"ledgerline/studio/words"
)

func wordsOf(text string) (*words.Lexicon, string) {
	x, problems := ReadWords(fstest.MapFS{"words.yaml": {Data: []byte(text)}}, "words.yaml")
	var lines []string
	for _, p := range problems {
		lines = append(lines, p.Error())
	}
	return x, strings.Join(lines, "\n")
}

func TestStudioSaysItItsOwnWay(t *testing.T) {
	x, wrong := wordsOf(`
de:
  routine.rest: Heute Pause
  week.so-far:
    other: "Bisher {kept} von {n} Tagen, {kept} sind {kept}."
en:
  item.times: "{n} x"
`)
	if wrong != "" {
		t.Fatal(wrong)
	}
	de, en := x.In("de"), x.In("en")
	for got, want := range map[string]string{
		de.Say("routine.rest", nil):                       "Heute Pause",
		de.Count("week.so-far", 5, words.With{"kept": 3}): "Bisher 3 von 5 Tagen, 3 sind 3.",
		de.Count("week.so-far", 1, words.With{"kept": 1}): "Diese Woche: 1 von 1 Tag.",
		en.Count("item.times", 1, nil):                    "1 x",
		en.Count("item.times", 4, nil):                    "4 x",
		en.Say("routine.rest", nil):                       "Rest day",
		words.Program().In("de").Say("routine.rest", nil): "Ruhetag",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if x, problems := ReadWords(fstest.MapFS{}, "words.yaml"); len(problems) > 0 || x.In("fr").Say("routine.rest", nil) != "Jour de repos" {
		t.Errorf("without a file: %v", problems)
	}
}

func TestWordsThatCantBeAreRefusedInASentence(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"nl:\n  reminder: Dag", `words.yaml:2: there is no language "nl"; write one of en, de, fr, es`},
		{"de:\n  reminders: Hallo", `words.yaml:2: there is no message "reminders"; write an id such as routine.foot`},
		{"de:\n  routine.feet: Hallo", `words.yaml:2: there is no message "routine.feet"; write one of routine.all, routine.caution, routine.foot`},
		{"de:\n  tell.done: Weitergegeben", `words.yaml:2: tell.done lacks the placeholder {name}; write a text with {name}`},
		{"de:\n  tell.done: \"An {nam} gegeben\"", `words.yaml:2: tell.done has no placeholder {nam}; write only {name}`},
		{"de:\n  tell.done: \"An { gegeben\"", `has a brace that is no placeholder`},
		{"de:\n  tell.done: \"\"", `words.yaml:2: tell.done is empty`},
		{"de:\n  reminder: {one: Hallo}", `reminder has no plural form "one"`},
		{"de:\n  week.so-far: {few: Hallo}", `week.so-far has no plural form "few"; write one of one, other`},
		{"de:\n  reminder: [Hallo]", `reminder is a list`},
		{"de: [reminder]", `words.yaml:1: this is a list`},
		{"de:\n  reminder: a\n  reminder: b", `words.yaml:3: reminder is there already, on line 2; write it once`},
	} {
		if _, got := wordsOf(tt.text); !strings.Contains(got, tt.want) || strings.Contains(got, "\n") {
			t.Errorf("%q: %q, want %q", tt.text, got, tt.want)
		}
	}
}

// FuzzReadWords looks for a file that is taken and whose texts can't be said.
func FuzzReadWords(f *testing.F) {
	f.Add("de:\n  routine.rest: Heute Pause\n  week.so-far: {one: \"{kept} {n}\"}")
	f.Add("en: {quoted: \"{words}\"}")
	f.Fuzz(func(t *testing.T, text string) {
		x, wrong := wordsOf(text)
		if wrong != "" {
			return
		}
		for _, lang := range words.Languages() {
			for _, id := range x.IDs() {
				if said := x.In(lang).Count(id, 2, nil); said == "" {
					t.Errorf("%s says nothing for %s", lang, id)
				}
			}
		}
	})
}
