package studio_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// TestCommandNames checks that every command has a name of its own in each
// language, in a form that chats with commands of their own take (Discord's, from
// its developer pages: small letters, digits, - _ ', up to 32), and that none is
// the English name of another, which is understood everywhere.
func TestCommandNames(t *testing.T) {
	form := regexp.MustCompile(`^[-_'\p{Ll}\p{N}]{1,32}$`)
	for _, lang := range words.Languages() {
		seen := map[string]string{}
		for _, c := range studio.Commands() {
			own := c.In[lang]
			if !form.MatchString(own.Name) {
				t.Errorf("%s in %s is called %q", c.Name, lang, own.Name)
			}
			if other := seen[words.Fold(own.Name)]; other != "" {
				t.Errorf("in %s %s and %s are both called %q", lang, c.Name, other, own.Name)
			}
			seen[words.Fold(own.Name)] = c.Name
			for _, part := range strings.Fields(c.Args + " " + own.Args) {
				if strings.HasPrefix(part, "arg.") {
					t.Errorf("%s in %s takes %q", c.Name, lang, own.Args)
				}
			}
		}
		for _, c := range studio.Commands() {
			if of := seen[c.Name]; of != "" && of != c.Name {
				t.Errorf("in %s %s is called %q, which is English for another", lang, of, c.Name)
			}
		}
	}
}

// example finds what a text says to write for a command: before a name or a code,
// or by itself between quotation marks.
var example = regexp.MustCompile(`(?:[:;] |[„«“]\x{a0}?)([\p{Ll}'-]+) (?:\{name\}|\{code\}|\d+ \d+ )`)

// TestExamplesAreCommands checks that wherever a text says what to write, the
// command has its name in that language.
func TestExamplesAreCommands(t *testing.T) {
	for _, lang := range words.Languages() {
		names := []string{words.Program().In(lang).Say("called.join", nil)}
		for _, c := range studio.Commands() {
			names = append(names, c.In[lang].Name)
		}
		found := 0
		for _, text := range words.Program().In(lang).Texts() {
			for _, m := range example.FindAllStringSubmatch(text, -1) {
				if found++; !slices.Contains(names, m[1]) {
					t.Errorf("%q is no command in %s: %s", m[1], lang, text)
				}
			}
		}
		if found < 30 {
			t.Errorf("only %d examples were found in %s", found, lang)
		}
	}
}

// TestTeacherWritesInHerLanguage gives commands in French, with their words.
func TestTeacherWritesInHerLanguage(t *testing.T) {
	s := manyTongues(t)
	s.at("2026-03-02 07:00")
	for _, c := range []struct{ says, want string }{
		{"aide", "excuser NOM DE [À] [RAISON]\u00a0: dates où rien"},
		{"libre Ada sam,dim", "samedi"},
		{"libre Ada aucun", "aucun"},
		{"Concert Ada 18 avril", "Ada joue en public le samedi 18 avril"},
		{"excuser Ada 9/3 15/3 voyage", "du lundi 9 mars au dimanche 15 mars (en voyage)"},
		{"excuser Ada demain malade", "le mardi 3 mars (malade)"},
		{"vacances 1er mai 3 mai 2026", "du vendredi 1 mai au dimanche 3 mai"},
		{"cours Ada 5 mars 16h30 chaque semaine", "le jeudi 5 mars, 16:30"},
		{"cours Ada non 12 mars", "Pas de cours avec Ada le jeudi 12 mars"},
		{"tempo-fixe Ada daily-ground/1 noire=60", "reste à noire=60"},
		{"fuseau Ada Europe/Paris", "Europe/Paris"},
		{"ecarter Ada daily-ground/1/1 20 mars", "jusqu'au vendredi 20 mars"},
		{"skip Ada daily-ground/1/1 2026-03-20", "jusqu'au vendredi 20 mars"},
		{"dire Ada non merci, sans piston", "Transmis à Ada"},
		{"effacer Ada", "écris\u00a0: effacer Ada pour de bon"},
	} {
		s.says("odile", c.says)
		s.wantLast("odile", c.want)
	}
	s.wantLast("ada", "non merci, sans piston")
	s.says("odile", "effacer Ada pour de bon")
	s.wantLast("odile", "Effacé")
}

// TestSlipsAreOffered checks that a command written with one slip is offered, and
// done at a word; that talk is left alone, and nothing is offered to whom it is
// not for.
func TestSlipsAreOffered(t *testing.T) {
	s := manyTongues(t)
	s.at("2026-03-02 07:00")
	s.says("odile", "hisotrique 5")
	s.wantLast("odile", "Voulais-tu dire «\u00a0historique\u00a0»")
	offer := s.last("odile")
	if len(offer.Choices) != 1 || offer.Choices[0].Text != "historique 5" {
		t.Errorf("offered %+v", offer.Choices)
	}
	s.says("odile", "/diggest")
	s.wantLast("odile", "«\u00a0digest\u00a0»")
	s.says("ada", "fortschrit")
	s.wantLast("ada", "Meintest du „fortschritt“?")
	said := len(s.posts("ada", studio.QuestionPost))
	for _, text := range []string{"schönes Wetter draußen", "historique", "wohce und so weiter ja"} {
		s.says("ada", text)
	}
	if n := len(s.posts("ada", studio.QuestionPost)); n != said {
		t.Errorf("talk was taken for commands: %+v", s.last("ada"))
	}
}

// TestCompletionsAreInHerLanguage completes what commands take.
func TestCompletionsAreInHerLanguage(t *testing.T) {
	s := manyTongues(t)
	odile := studio.Account{Platform: "room", ID: "odile"}
	if got := s.service.Complete(t.Context(), odile, "add", "DEMAND", "doubl"); !slices.Equal(got, []string{"double coup de langue"}) {
		t.Errorf("completed to %q", got)
	}
}
