package yaml

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
)

// maxSize is the most bytes of one file that are read.
const maxSize = 1 << 20

// A file is being read; problems gather in it.
type file struct {
	name     string
	lines    int
	problems []routine.Problem
	mappings map[int][]mapping // by the line they begin on
	silent   map[place]bool    // fields not to be judged, since they could not be read
}

// A place is a field on a line.
type place struct {
	line  int
	field string
}

func newFile(name string) *file {
	return &file{name: name, mappings: map[int][]mapping{}, silent: map[place]bool{}}
}

// source returns where a node was written. What is missing at the end of a file
// is missing on its last line.
func (f *file) source(n *yaml.Node) routine.Source {
	return routine.Source{File: f.name, Line: min(n.Line, f.lines)}
}

// wrong records a problem of what is written at a node.
func (f *file) wrong(n *yaml.Node, field, instead, what string, args ...any) {
	f.problems = append(f.problems, routine.Problem{
		Source: f.source(n), Field: field, What: fmt.Sprintf(what, args...), Instead: instead,
	})
}

// root parses the file and returns its only document, or nil.
func (f *file) root(data []byte) *yaml.Node {
	f.lines = linesOf(data)
	at := &yaml.Node{Line: 1}
	if len(data) > maxSize {
		f.wrong(at, "", "several smaller files", "the file has %d bytes, more than %d", len(data), maxSize)
		return nil
	}
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, more yaml.Node
	switch err := dec.Decode(&doc); {
	case errors.Is(err, io.EOF), err == nil && doc.Content[0].Tag == "!!null":
		f.wrong(at, "", "its fields, id: first", "the file is empty")
		return nil
	case err != nil:
		f.malformed(err)
		return nil
	}
	if err := dec.Decode(&more); !errors.Is(err, io.EOF) {
		f.wrong(&yaml.Node{Line: max(more.Line, 1)}, "", "one document to a file", "a second document begins, or something stands after the end")
		return nil
	}
	if n := aliased(&doc); n != nil {
		f.wrong(n, "", "the thing itself in each place", "anchors and aliases (& and *) are not read")
		return nil
	}
	return doc.Content[0]
}

// linesOf counts lines, however they end.
func linesOf(data []byte) int {
	data = bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
	data = bytes.TrimSuffix(bytes.ReplaceAll(data, []byte("\r"), []byte("\n")), []byte("\n"))
	return bytes.Count(data, []byte("\n")) + 1
}

// lineOf finds the line that the YAML library names in its messages, which it
// offers in no other way.
var lineOf = regexp.MustCompile(`^(?:yaml: )?(?:line (\d+): )?(.*)`)

func (f *file) malformed(err error) {
	m := lineOf.FindStringSubmatch(strings.ReplaceAll(err.Error(), "\n", " "))
	line, _ := strconv.Atoi(m[1])
	f.wrong(&yaml.Node{Line: max(line, 1)}, "", `"field: value" on each line, lists with "- ", and quotes around text that holds ": " or begins with a sign`,
		"this is not YAML (%s)", m[2])
}

// aliased returns the first node that has an anchor or is an alias, or nil.
func aliased(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode || n.Anchor != "" {
		return n
	}
	for _, c := range n.Content {
		if found := aliased(c); found != nil {
			return found
		}
	}
	return nil
}

// add takes problems that were found in what the file says, each moved from
// the thing that has it to the line of the field. One that only follows from a
// problem of reading the same field is left out.
func (f *file) add(problems []routine.Problem) {
	silent := maps.Clone(f.silent)
	for _, p := range f.problems {
		silent[place{p.Source.Line, p.Field}] = true
	}
	for _, p := range problems {
		p.Source.Line = f.locate(p.Source.Line, p.Field)
		if !silent[place{p.Source.Line, p.Field}] {
			f.problems = append(f.problems, p)
		}
	}
}

// locate returns the line of a field of the thing that begins on a line, or
// that line if the field is not written down.
func (f *file) locate(line int, field string) int {
	for _, m := range f.mappings[line] {
		if n := m.find(field); n != nil {
			return n.Line
		}
	}
	return line
}

// sorted returns the problems in the order of the file.
func (f *file) sorted() []routine.Problem {
	slices.SortStableFunc(f.problems, func(a, b routine.Problem) int { return a.Source.Line - b.Source.Line })
	return f.problems
}
