package yaml_test

import (
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"ledgerline/adapters/yaml"
	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

func readKinds(text string) ([]studio.Kind, []routine.Problem) {
	return yaml.ReadKinds(fstest.MapFS{"challenges.yaml": {Data: []byte(text)}}, "challenges.yaml", "en")
}

// The program's own kinds are written as a studio writes hers, and read the same
// by both readers. They have words in every language.
func TestProgramKinds(t *testing.T) {
	kinds, problems := yaml.ReadKinds(os.DirFS("../../studio"), "kinds.yaml", "en")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if own := studio.Kinds(); len(own) < 5 || !reflect.DeepEqual(kinds, own) {
		t.Errorf("read as\n%+v, the program has\n%+v", kinds, own)
	}
	for _, k := range kinds {
		for _, lang := range words.Languages() {
			if w := k.Words[lang]; w.Title == "" || w.Opening == "" || strings.Contains(w.Opening, "!") {
				t.Errorf("the words of %s in %s are %+v", k.ID, lang, w)
			}
		}
	}
}

const aWeek = `kinds:
  - id: tonguing-week
    measure: test-gain
    per: member
    goal: 5
    ranking: true
    days: 7
    progress: 3
    words:
      en: {title: A week of tonguing, opening: "Everybody against her own best."}
`

func TestKinds(t *testing.T) {
	kinds, problems := readKinds(aWeek)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	want := studio.Kind{
		ID: "tonguing-week", Measure: streaks.TestGain, Per: studio.PerMember, Goal: 5, Ranking: true, Days: 7, Progress: "3",
		Words: map[string]studio.KindWords{"en": {Title: "A week of tonguing", Opening: "Everybody against her own best."}},
	}
	if len(kinds) != 1 || !reflect.DeepEqual(kinds[0], want) {
		t.Errorf("kinds %+v, want %+v", kinds, want)
	}
	if kinds, problems := yaml.ReadKinds(fstest.MapFS{}, "challenges.yaml", "en"); kinds != nil || problems != nil {
		t.Errorf("without a file %v, %v", kinds, problems)
	}
}

func TestKindProblems(t *testing.T) {
	for _, c := range []struct{ old, new, where, want string }{
		{"test-gain", "tempo", ":3:", `measure "tempo" is unknown`},
		{"per: member", "per: nobody", ":4:", `per "nobody" is unknown`},
		{"per: member", "per: studio", ":6:", "nobody to be ahead"},
		{"per: member", "per: team", ":2:", "teams 0 is out of bounds"},
		{"goal: 5", "goal: 500", ":5:", "goal 500 is out of bounds"},
		{"goal: 5", "goal: some", ":5:", "goal is \"some\""},
		{"goal: 5", "gaol: 5", ":5:", `no field "gaol"`},
		{"goal: 5", "teams: 2", ":5:", "the figure is per member"},
		{"goal: 5", "each-day: true", ":5:", "nothing of which a day"},
		{"test-gain", "minutes", ":6:", "not ranked member against member"},
		{"days: 7", "days: 1", ":7:", "days 1 is out of bounds"},
		{"progress: 3", "progress: often", ":8:", `progress "often" cannot be read`},
		{"      en:", "      de:", ":9:", "no words in the language"},
		{"      en:", "      xx:", ":10:", `no field "xx"`},
		{"id: tonguing-week", "id: list", ":2:", "word of the command"},
		{"    ranking: true\n", "", "", ""},
		{"kinds:", "kind:", ":1:", "kind"},
	} {
		_, problems := readKinds(strings.Replace(aWeek, c.old, c.new, 1))
		if c.want == "" {
			if len(problems) > 0 {
				t.Errorf("with %q: %v", c.new, problems)
			}
			continue
		}
		if !slices.ContainsFunc(problems, func(p routine.Problem) bool {
			return strings.Contains(p.Error(), c.want) && strings.Contains(p.Error(), c.where)
		}) {
			t.Errorf("with %q: %v, want %q at %s", c.new, problems, c.want, c.where)
		}
	}
	if _, problems := readKinds(strings.Replace(aWeek, "goal: 5\n    ranking: true", "ranking: false", 1)); len(problems) != 1 {
		t.Errorf("a kind without goal and ranking: %v", problems)
	}
	if _, problems := readKinds(aWeek + strings.TrimPrefix(aWeek, "kinds:\n")); len(problems) != 1 || !strings.Contains(problems[0].Error(), "already") {
		t.Errorf("the same id twice: %v", problems)
	}
}
