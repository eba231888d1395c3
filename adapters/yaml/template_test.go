package yaml_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"ledgerline/adapters/yaml"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

// readWith reads the roster of the tests with more at its end.
func readWith(t *testing.T, more string) (studio.Roster, []routine.Problem) {
	t.Helper()
	books, problems := yaml.ReadCatalogue(harbour.Files, "books")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return yaml.ReadRoster(fstest.MapFS{"row.yaml": {Data: []byte(row + more)}}, "row.yaml", books)
}

func TestTemplates(t *testing.T) {
	r, problems := readWith(t, `templates:
  - level: beginner
    plan:
      - {study: slur-atlas/1, pass: 1}
      - {study: articulate-hour/3, pass: 1, together: 2, ladder: 5%, test-every: 14}
  - level: growing
    plan: [{study: slur-atlas/2, pass: 1}]
`)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if len(r.Studio.Templates) != 2 || r.Studio.Templates[1].Level != routine.Growing {
		t.Fatalf("templates are %+v", r.Studio.Templates)
	}
	e := r.Studio.Templates[0].Plan.Entries[1]
	if e.Together != 2 || e.Ladder != 5 || e.TestEvery != 14 {
		t.Errorf("the second study of the first is %+v", e)
	}
}

func TestTemplateProblems(t *testing.T) {
	for _, c := range []struct{ more, want string }{
		{"templates:\n  - level: master\n    plan: [{study: slur-atlas/1, pass: 1}]\n", `level "master" is unknown`},
		{"templates:\n  - level: growing\n    plan: [{study: slur-atlas/99, pass: 1}]\n", "study slur-atlas/99 is unknown"},
		{"templates:\n  - level: growing\n    plan: [{study: slur-atlas/1, pass: 9}]\n", "no pass 9"},
		{"templates:\n  - level: growing\n    plan: [{study: slur-atlas/1, pass: 1, test-every: 14}]\n", "no line of repeated notes"},
		{"templates:\n  - level: growing\n    plan: [{study: slur-atlas/1, pass: 1, ladder: 5}]\n", `step "5"`},
		{"templates:\n  - level: growing\n    plan: [{study: slur-atlas/1, pass: 1, together: 40}]\n", "together 40"},
		{"templates:\n  - level: growing\n    plan: [{study: slur-atlas/1, pass: 1}]\n  - level: growing\n    plan: [{study: slur-atlas/2, pass: 1}]\n", "already"},
		{"templates:\n  - level: growing\n", "has no plan"},
	} {
		_, problems := readWith(t, c.more)
		if len(problems) != 1 || !strings.Contains(problems[0].Error(), c.want) || !strings.HasPrefix(problems[0].Error(), "row.yaml:") {
			t.Errorf("problems of\n%sare %v, want one that says %q", c.more, problems, c.want)
		}
	}
}
