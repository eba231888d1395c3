package words

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
)

// A Change is a text that a studio has in place of the program's.
type Change struct {
	Lang string // en, de, fr or es
	ID   string
	Form string // plural form: one or other; empty: all there are
	Text string
}

// A Fault is what keeps a change from being one, and what to write instead, each
// in a clause.
type Fault struct{ What, Instead string }

// Check returns what is wrong with a change, or nil. A text must have the
// placeholders that the program's has, so that nothing is left unsaid.
func (x *Lexicon) Check(c Change) *Fault {
	if !slices.Contains(Languages(), c.Lang) {
		return &Fault{fmt.Sprintf("there is no language %q", c.Lang), "one of " + strings.Join(Languages(), ", ")}
	}
	m := x.messages[c.Lang][c.ID]
	if m == nil {
		return &Fault{fmt.Sprintf("there is no message %q", c.ID), x.nearest(c.ID)}
	}
	was := forms(m)
	if c.Form != "" && (was[c.Form] == "" || len(was) == 1) {
		return &Fault{fmt.Sprintf("%s has no plural form %q", c.ID, c.Form), "one of " + strings.Join(slices.Sorted(maps.Keys(was)), ", ") + ", or the text alone"}
	}
	if _, err := parse(c.Text); err != nil {
		return &Fault{err.Error(), "placeholders as the program's text has them: " + m.Other}
	}
	if strings.TrimSpace(c.Text) == "" {
		return &Fault{c.ID + " is empty", "a text such as: " + m.Other}
	}
	wanted, given := names(m.Other), names(c.Text)
	if c.Form == "one" {
		wanted, given = without(wanted, "n"), without(given, "n") // "a day" says it too
	}
	for _, name := range given {
		if !slices.Contains(wanted, name) {
			return &Fault{fmt.Sprintf("%s has no placeholder {%s}", c.ID, name), "only " + braced(wanted)}
		}
	}
	for _, name := range wanted {
		if !slices.Contains(given, name) {
			return &Fault{fmt.Sprintf("%s lacks the placeholder {%s}", c.ID, name), "a text with " + braced(wanted)}
		}
	}
	return nil
}

func without(names []string, name string) []string {
	return slices.DeleteFunc(slices.Clone(names), func(n string) bool { return n == name })
}

func braced(names []string) string {
	if len(names) == 0 {
		return "words without braces"
	}
	return "{" + strings.Join(names, "}, {") + "}"
}

// nearest says which ids there are: those of the same group, or the groups.
func (x *Lexicon) nearest(id string) string {
	group, _, _ := strings.Cut(id, ".")
	var same, groups []string
	for _, known := range x.IDs() {
		of, _, _ := strings.Cut(known, ".")
		if of == group {
			same = append(same, known)
		}
		if !slices.Contains(groups, of) {
			groups = append(groups, of)
		}
	}
	if len(same) > 0 {
		return "one of " + strings.Join(same, ", ")
	}
	return "an id such as routine.foot; the ids begin with " + strings.Join(groups, ", ")
}

// Override returns the lexicon with changes that have passed their check.
func (x *Lexicon) Override(changes []Change) *Lexicon {
	own := &Lexicon{messages: map[string]map[string]*i18n.Message{}}
	for lang, messages := range x.messages {
		own.messages[lang] = maps.Clone(messages)
	}
	for _, c := range changes {
		m := *own.messages[c.Lang][c.ID]
		if c.Form != "other" && m.One != "" {
			m.One = c.Text
		}
		if c.Form != "one" {
			m.Other = c.Text
		}
		own.messages[c.Lang][c.ID] = &m
	}
	own.speak()
	return own
}
