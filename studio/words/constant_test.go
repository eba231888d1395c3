package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"

	"ledgerline/routine"
)

// TestEveryConstantHasItsWords reads the constants of the domain that members
// read and checks that each has a message, so that a new one is not forgotten.
func TestEveryConstantHasItsWords(t *testing.T) {
	x := New()
	for _, tt := range []struct {
		dir, of, prefix string
		least           int
	}{
		{"routine", "Outcome", "outcome.", 5},
		{"routine", "State", "state.", 6},
		{"routine", "Skill", "skill.", 9},
		{"routine", "Demand", "demand.", 17},
		{"routine", "Excuse", "excuse.", 7},
		{"routine", "Excuse", "receipt.excuse-", 7},
		{"routine", "Feel", "feel.", 2},
		{"routine", "ReasonKind", "reason.", 50},
		{"streaks", "Remedy", "remedy.", 4},
		{"streaks/forecast", "Reason", "forecast.", 6},
		{"studio", "Role", "role.", 4},
		{"streaks", "Measure", "challenge.counts-", 6},
		{"streaks", "Measure", "chart.unit-", 6},
	} {
		values := constants(t, filepath.Join("..", "..", tt.dir), tt.of)
		if len(values) < tt.least {
			t.Errorf("only %d constants of %s.%s were found", len(values), tt.dir, tt.of)
		}
		for _, value := range values {
			id := tt.prefix + strings.ReplaceAll(value, " ", "-")
			if x.messages[English][id] == nil && value != string(routine.InWords) {
				t.Errorf("%s.%s %q has no message %s", tt.dir, tt.of, value, id)
			}
		}
	}
	for _, i := range routine.Instruments() {
		if id := "instrument." + strings.ReplaceAll(strings.ToLower(i.Name), " ", "-"); x.messages[English][id] == nil {
			t.Errorf("the %s has no message %s", i.Name, id)
		}
	}
	for _, key := range append(routine.MajorKeys(), routine.MinorKeys()...) {
		for _, lang := range Languages() {
			if said := x.In(lang).Key(key.String()); strings.Contains(said, ".") {
				t.Errorf("%v in %s is %s", key, lang, said)
			}
		}
	}
}

// constants returns the values of a type's string constants.
func constants(t *testing.T, dir, of string) (values []string) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			spec, is := n.(*ast.ValueSpec)
			if !is || nameOf(spec.Type) != of {
				return true
			}
			for _, e := range spec.Values {
				if value, is := text(e); is && value != "" {
					values = append(values, value)
				}
			}
			return true
		})
	}
	return values
}

// TestKeys checks the names of keys as each language's musicians write them.
func TestKeys(t *testing.T) {
	x := New()
	for _, tt := range []struct{ key, en, de, fr, es string }{
		{"Eb", "Eb", "Es-Dur", "mi bémol majeur", "mi bemol mayor"},
		{"B", "B", "H-Dur", "si majeur", "si mayor"},
		{"Bb", "Bb", "B-Dur", "si bémol majeur", "si bemol mayor"},
		{"F# minor", "F# minor", "fis-Moll", "fa dièse mineur", "fa sostenido menor"},
		{"C, Ab", "C, Ab", "C-Dur, As-Dur", "do majeur, la bémol majeur", "do mayor, la bemol mayor"},
		{"whole-tone", "whole-tone", "whole-tone", "whole-tone", "whole-tone"},
	} {
		for lang, want := range map[string]string{"en": tt.en, "de": tt.de, "fr": tt.fr, "es": tt.es} {
			if got := x.In(lang).Key(tt.key); got != want {
				t.Errorf("%s in %s: %q, want %q", tt.key, lang, got, want)
			}
		}
	}
}

// TestToneOfVoice looks for words that praise much playing, push or reproach.
// A list can't prove that a text is kind; it keeps out what was thought of.
func TestToneOfVoice(t *testing.T) {
	never := map[string][]string{
		"en": {"streak is", "don't lose", "don't break", "you forgot", "you failed", "should have", "catch up on", "no excuse", "impressive", "amazing", "keep it up", "great job", "well done", "hurry", "!"},
		"de": {"aufholen", "vergessen hast", "hättest", "beeil", "weiter so", "super gemacht", "gut gemacht", "keine ausrede", "!"},
		"fr": {"tu as oublié", "aurais dû", "dépêche", "continue comme ça", "bravo", "félicitations", "!"},
		"es": {"recuperar el tiempo", "olvidaste", "deberías", "date prisa", "bien hecho", "felicidades", "!", "¡"},
	}
	x := New()
	for lang, words := range never {
		for _, said := range x.In(lang).Texts() {
			for _, word := range words {
				if strings.Contains(strings.ToLower(said), word) {
					t.Errorf("%s says %q in: %s", lang, word, said)
				}
			}
		}
	}
}

// TestFrenchSpaces checks that French signs are not parted from their words at
// the end of a line (Imprimerie nationale: a narrow space that does not break
// before ; ? and !, a space that does not break before : and inside « »).
func TestFrenchSpaces(t *testing.T) {
	for _, said := range New().In("fr").Texts() {
		for _, wrong := range []string{" :", " ;", " ?", " !", "« ", " »"} {
			if strings.Contains(said, wrong) {
				t.Errorf("a plain space in “%s”: %s", wrong, said)
			}
		}
	}
}

// TestLabelsFitButtons checks what stands on buttons against Discord's limit of
// 80 characters, the narrowest there is, with room for the names put in.
func TestLabelsFitButtons(t *testing.T) {
	const limit, value = 80, 16
	x := New()
	for _, lang := range Languages() {
		for _, id := range []string{
			"routine.all", "routine.part", "routine.rest", "routine.nothing", "pass.open", "pass.close", "pass.not-yet",
			"question.hurts", "question.no-pain", "digest.sign-off",
		} {
			m := x.messages[lang][id]
			pieces, _ := parse(m.Other)
			n := 0
			for _, p := range pieces {
				if n += len([]rune(p.words)); p.name != "" {
					n += value
				}
			}
			if n > limit {
				t.Errorf("%s in %s may have %d characters: %s", id, lang, n, m.Other)
			}
		}
	}
}
