package yaml

import (
	"errors"
	"io/fs"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
	"ledgerline/studio/words"
)

// ReadWords reads what a studio's bot says otherwise than the program does, from
// one file, by language and by the id of the message:
//
//	en:
//	  reminder: "How did it go today, {name}?"
//	de:
//	  routine.rest: Heute Pause
//	  week.so-far:
//	    one: "Diese Woche bisher {kept} von {n} Tag."
//	    other: "Diese Woche bisher {kept} von {n} Tagen."
//
// The ids and the texts of the program stand in studio/words/lang. A text must
// have the placeholders of the program's own. Without the file the words are
// those of the program.
func ReadWords(fsys fs.FS, name string) (*words.Lexicon, []routine.Problem) {
	program := words.Program()
	f := newFile(name)
	data, err := fs.ReadFile(fsys, name)
	if errors.Is(err, fs.ErrNotExist) {
		return program, nil
	}
	if err != nil {
		return program, []routine.Problem{unreadable(name, err)}
	}
	n := f.root(data)
	if n == nil {
		return program, f.sorted()
	}
	var changes []words.Change
	f.pairs(n, func(lang, messages *yaml.Node) {
		f.pairs(messages, func(id, text *yaml.Node) {
			changes = append(changes, f.changes(program, lang.Value, id, text)...)
		})
	})
	if len(f.problems) > 0 {
		return program, f.sorted()
	}
	return program.Override(changes), nil
}

// pairs gives each name and value of a mapping.
func (f *file) pairs(n *yaml.Node, each func(key, value *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		f.wrong(n, "", "languages with the ids of messages under them, each as id: text", "this is %s", kindOf(n))
		return
	}
	seen := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		if line := seen[key.Value]; line > 0 {
			f.wrong(key, key.Value, "it once", "%s is there already, on line %d", key.Value, line)
			continue
		}
		seen[key.Value] = key.Line
		each(key, value)
	}
}

// changes reads one message, in one text or by plural form.
func (f *file) changes(program *words.Lexicon, lang string, id, text *yaml.Node) (changes []words.Change) {
	take := func(form, text *yaml.Node) {
		c := words.Change{Lang: lang, ID: id.Value, Text: text.Value}
		if form != nil {
			c.Form = form.Value
		}
		if text.Kind != yaml.ScalarNode {
			f.wrong(text, id.Value, "a text in quotes", "%s is %s", id.Value, kindOf(text))
		} else if wrong := program.Check(c); wrong != nil {
			f.wrong(text, id.Value, wrong.Instead, "%s", wrong.What)
		} else {
			changes = append(changes, c)
		}
	}
	if text.Kind == yaml.MappingNode {
		f.pairs(text, take)
	} else {
		take(nil, text)
	}
	return changes
}
