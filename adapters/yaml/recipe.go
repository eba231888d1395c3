package yaml

import (
	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
)

var recipeFields = []string{
	"figure", "notes-per-beat", "|", "keys", "climb", "form", "octaves", "pitches", "valves", "partials",
	"each", "hold", "bars", "seed", "from", "to", "first-line",
}

// computed reads how lines are computed, and computes them.
func (f *file) computed(n *yaml.Node) []routine.Line {
	m, ok := f.mapping(n, "recipe", recipeFields...)
	if !ok {
		return nil
	}
	before := len(f.problems)
	r := routine.Recipe{
		Figure: routine.Figure(m.text("figure")), NotesPerBeat: m.number("notes-per-beat", 0),
		Keys: m.keys(), Climb: m.yes("climb"), Form: routine.Form(m.text("form")),
		Octaves: m.number("octaves", 0), Pitches: values[routine.Pitch](m, "pitches", "[C4, Eb4]"),
		Valves: values[routine.Valves](m, "valves", "[0, 2, 13]"), Partials: m.numbers("partials"),
		Each: m.number("each", 0), Hold: m.number("hold", 0), Bars: m.number("bars", 0),
		Seed: uint64(m.number("seed", 0)), FirstLine: m.number("first-line", 1),
	}
	m.value("from", "F#3", &r.From)
	m.value("to", "C6", &r.To)
	if len(f.problems) > before || !m.has("figure") || !m.has("notes-per-beat") {
		return nil
	}
	lines, problems := r.Lines()
	for _, p := range problems {
		m.wrong(p.Field, p.Instead, "%s", p.What)
	}
	for i := range lines {
		lines[i].Source = f.source(n)
	}
	return lines
}

// keys reads a list of keys, or one word for many.
func (m mapping) keys() []routine.Key {
	at, ok := m.fields["keys"]
	if !ok {
		return nil
	}
	if at.value.Kind == yaml.ScalarNode {
		switch at.value.Value {
		case "major":
			return routine.MajorKeys()
		case "minor":
			return routine.MinorKeys()
		case "all":
			return append(routine.MajorKeys(), routine.MinorKeys()...)
		}
		m.wrong("keys", "major, minor, all, or a list such as [C, Eb, G minor]", "keys is %s", kindOf(at.value))
		return nil
	}
	return values[routine.Key](m, "keys", "[C, Eb, G minor]")
}
