package yaml

import (
	"errors"
	"io/fs"
	"slices"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// ReadKinds reads the kinds of challenge that a studio adds to the program's, or
// has in place of one with the same id, from one file:
//
//	kinds:
//	  - id: tonguing-week
//	    measure: test-gain       # days, lines, keys, notes, minutes or test-gain
//	    per: member              # whose figure it is: studio, team or member
//	    goal: 5                  # of days and test-gain in percent; none if left out
//	    ranking: true            # tell who is ahead; not if left out
//	    days: 7                  # how long it lasts
//	    progress: 3              # told every 3 days; or middle (if left out), weekly, none
//	    words:
//	      en: {title: A week of tonguing, opening: "Everybody against her own best."}
//	  - id: sum-of-notes
//	    measure: notes
//	    per: team
//	    teams: 3                 # drawn when it opens
//	    goal: 300
//	    each-day: true           # the goal is for each scheduled day of every player
//	    days: 14
//	    words:
//	      en: {title: Three tides, opening: "Three teams, each with a sum of notes."}
//
// What the measures count, [streaks.Measure] says. A kind has a goal, or a
// ranking, or both; there must be words in the language of the studio. The
// program's own kinds stand in studio/kinds.yaml. Without the file there are
// those alone.
func ReadKinds(fsys fs.FS, name, lang string) ([]studio.Kind, []routine.Problem) {
	data, err := fs.ReadFile(fsys, name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, []routine.Problem{unreadable(name, err)}
	}
	f := newFile(name)
	n := f.root(data)
	if n == nil {
		return nil, f.sorted()
	}
	m, ok := f.mapping(n, "file", "kinds", "|")
	if !ok {
		return nil, f.sorted()
	}
	var ids []string
	kinds := each(m, "kinds", func(n *yaml.Node) (studio.Kind, bool) {
		m, ok := f.mapping(n, "kind", "id", "measure", "per", "days", "words", "|", "goal", "each-day", "ranking", "teams", "progress")
		if !ok {
			return studio.Kind{}, false
		}
		k := f.kind(m, lang)
		if slices.Contains(ids, k.ID) {
			m.wrong("id", "another id", "there is a kind %s already", k.ID)
		}
		ids = append(ids, k.ID)
		return k, true
	})
	return kinds, f.sorted()
}

// kind reads one kind.
func (f *file) kind(m mapping, lang string) studio.Kind {
	before := len(f.problems)
	k := studio.Kind{
		ID: m.id("id"), Measure: word(m, "measure", streaks.Measures()),
		Per:  word(m, "per", []studio.Per{studio.PerStudio, studio.PerTeam, studio.PerMember}),
		Goal: m.share("goal", 0), EachDay: m.yes("each-day"), Ranking: m.yes("ranking"),
		Teams: m.number("teams", 0), Days: m.number("days", 0), Progress: m.text("progress"),
		Words: f.kindWords(m, lang),
	}
	if slices.Contains([]string{"kinds", "list", "show", "end"}, k.ID) {
		m.wrong("id", "another id", "%s is a word of the command challenge", k.ID)
	}
	if len(f.problems) == before {
		for _, p := range k.Problems() {
			m.wrong(p.Field, p.Instead, "%s", p.What)
		}
	}
	return k
}

// kindWords reads the words of a kind by language.
func (f *file) kindWords(m mapping, lang string) map[string]studio.KindWords {
	at, ok := m.fields["words"]
	if !ok {
		return nil
	}
	all, ok := f.mapping(at.value, "language", append([]string{"|"}, words.Languages()...)...)
	if !ok {
		return nil
	}
	said := map[string]studio.KindWords{}
	for name, field := range all.fields {
		if w, ok := f.mapping(field.value, "announcement", "title", "opening", "|"); ok {
			said[name] = studio.KindWords{Title: w.text("title"), Opening: w.text("opening")}
		}
	}
	if _, ok := said[lang]; !ok && lang != "" && len(all.fields) == len(said) {
		m.wrong("words", lang+": {title: …, opening: …}", "the kind has no words in the language of the studio")
	}
	return said
}
