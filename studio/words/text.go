package words

import (
	"fmt"
	"slices"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n/template"
)

// A filling is what a text is filled with, in a voice.
type filling struct {
	voice *Voice
	with  With
}

// A piece of a text is words, or the name of a placeholder.
type piece struct {
	words string
	name  string
}

// parse parts a text at its placeholders.
func parse(text string) ([]piece, error) {
	var pieces []piece
	for rest := text; rest != ""; {
		before, after, found := strings.Cut(rest, "{")
		if before != "" {
			pieces = append(pieces, piece{words: before})
		}
		if !found {
			break
		}
		name, behind, closed := strings.Cut(after, "}")
		if !closed || !isName(name) {
			return nil, fmt.Errorf("“%s” has a brace that is no placeholder; write a name such as {name}, small letters and hyphens", text)
		}
		pieces = append(pieces, piece{name: name})
		rest = behind
	}
	return pieces, nil
}

func isName(s string) bool {
	for _, c := range s {
		if (c < 'a' || c > 'z') && c != '-' {
			return false
		}
	}
	return s != ""
}

// braces reads texts with placeholders in braces.
type braces struct{}

var _ template.Parser = braces{}

func (braces) Cacheable() bool { return true }

func (braces) Parse(text, _, _ string) (template.ParsedTemplate, error) {
	pieces, err := parse(text)
	return parsed(pieces), err
}

type parsed []piece

// Execute fills the placeholders. One without a value stays as it stands, for all
// to see.
func (p parsed) Execute(data any) (string, error) {
	f := data.(filling)
	var b strings.Builder
	for _, piece := range p {
		value, given := f.with[piece.name]
		switch {
		case piece.name == "":
			b.WriteString(piece.words)
		case given:
			b.WriteString(f.voice.Value(value))
		default:
			b.WriteString("{" + piece.name + "}")
		}
	}
	return b.String(), nil
}

// names returns the placeholders of a text, each once, in order of the alphabet.
func names(text string) []string {
	pieces, _ := parse(text)
	var all []string
	for _, p := range pieces {
		if p.name != "" && !slices.Contains(all, p.name) {
			all = append(all, p.name)
		}
	}
	slices.Sort(all)
	return all
}
