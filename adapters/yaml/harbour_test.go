package yaml_test

import (
	"bytes"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"ledgerline/adapters/yaml"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

func TestHarbourBooks(t *testing.T) {
	c, problems := yaml.ReadCatalogue(harbour.Files, "books")
	for _, p := range problems {
		t.Error(p)
	}
	titles := map[string]bool{}
	skills := map[routine.Skill]bool{}
	lines := 0
	for _, b := range c.Books {
		titles[b.Title] = true
		for _, s := range b.Studies {
			skills[s.Skill] = true
			lines += len(s.Lines)
			t.Logf("%s %d %-48s %2d lines, %d passes", b.Title, s.Number, s.Title, len(s.Lines), len(s.Passes))
		}
	}
	t.Logf("%d lines", lines)
	for _, title := range []string{"Daily Ground", "Slur Atlas", "The Articulate Hour", "Upward, Gently", "Twelve Harbour Pieces"} {
		if !titles[title] {
			t.Errorf("%s is missing", title)
		}
	}
	for _, skill := range []routine.Skill{
		routine.WarmUp, routine.Flexibility, routine.Technique, routine.Articulation,
		routine.Range, routine.Etude, routine.WarmDown,
	} {
		if !skills[skill] {
			t.Errorf("no study is %s", skill)
		}
	}
}

// A beginner who reaches from G3 to A4 finds lines for a whole routine: to warm
// up, to slur, to tongue, to move the fingers, to play a piece and to warm down.
func TestHarbourBooksForABeginner(t *testing.T) {
	c, _ := yaml.ReadCatalogue(harbour.Files, "books")
	low, high := routine.Pitch(55), routine.Pitch(69) // G3, A4
	within := map[routine.Skill]int{}
	for _, b := range c.Books {
		for _, s := range b.Studies {
			for _, l := range s.Lines {
				if l.Low >= low && l.High <= high {
					within[s.Skill]++
				}
			}
		}
	}
	for skill, want := range map[routine.Skill]int{
		routine.WarmUp: 4, routine.Flexibility: 4, routine.Technique: 5, routine.Articulation: 8,
		routine.Range: 3, routine.Etude: 4, routine.WarmDown: 4,
	} {
		if within[skill] < want {
			t.Errorf("%s: %d lines between G3 and A4, want %d or more", skill, within[skill], want)
		}
	}
}

func TestHarbourRoster(t *testing.T) {
	books, _ := yaml.ReadCatalogue(harbour.Files, "books")
	r, problems := yaml.ReadRoster(harbour.Files, "studio.yaml", books)
	for _, p := range problems {
		t.Error(p)
	}
	if r.Studio.Name != "Harbour Row Brass" {
		t.Errorf("the studio is %q", r.Studio.Name)
	}
	students := 0
	for _, m := range r.Members {
		if m.Role != studio.Student {
			continue
		}
		students++
		if n := len(r.Plans[m.ID].Entries); n < 4 {
			t.Errorf("%s has %d studies on the plan", m.Name, n)
		}
		if m.Minor() && m.Public && m.Age == studio.Under13 {
			t.Errorf("%s is a child and appears in public", m.Name)
		}
	}
	if students != 9 {
		t.Errorf("%d students, want 9", students)
	}
}

// TestNamesTellMembersApart: a command names a student, so no two have one name.
func TestNamesTellMembersApart(t *testing.T) {
	file, err := fs.ReadFile(harbour.Files, "studio.yaml")
	if err != nil {
		t.Fatal(err)
	}
	file = bytes.Replace(file, []byte("name: Sanne"), []byte("name: tobías"), 1)
	books, _ := yaml.ReadCatalogue(harbour.Files, "books")
	_, wrong := yaml.ReadRoster(fstest.MapFS{"studio.yaml": {Data: file}}, "studio.yaml", books)
	if len(wrong) != 1 || !strings.Contains(wrong[0].Error(), "the name tobías is that of the member on line ") {
		t.Errorf("two of one name: %v", wrong)
	}
}
