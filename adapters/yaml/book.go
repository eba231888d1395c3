package yaml

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
)

// ReadBook reads one book. If any problem is returned, the book is not fit for
// use. The name of the file is used in problems only.
func ReadBook(name string, data []byte) (routine.Book, []routine.Problem) {
	f := newFile(name)
	book, ok := f.book(data)
	if ok {
		f.add((&routine.Catalogue{Books: []routine.Book{book}}).Validate())
	}
	return book, f.sorted()
}

// ReadCatalogue reads every book of a folder: all files that end in .yaml or
// .yml, in the order of their names. The problems are those of all files; if
// there is any, the catalogue is not fit for use. An error of the file system
// is a problem of the file that has it.
func ReadCatalogue(fsys fs.FS, dir string) (*routine.Catalogue, []routine.Problem) {
	c := &routine.Catalogue{}
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil {
		return c, []routine.Problem{unreadable(dir, err)}
	}
	files := map[string]*file{}
	var names []string
	for _, e := range entries {
		if ext := path.Ext(e.Name()); e.IsDir() || (ext != ".yaml" && ext != ".yml") {
			continue
		}
		f := newFile(path.Join(dir, e.Name()))
		if data, err := fs.ReadFile(fsys, f.name); err != nil {
			f.problems = append(f.problems, unreadable(f.name, err))
		} else if book, ok := f.book(data); ok {
			c.Books = append(c.Books, book)
		}
		files[f.name] = f
		names = append(names, f.name)
	}
	if len(names) == 0 {
		return c, []routine.Problem{{Source: routine.Source{File: dir}, What: "the folder holds no books", Instead: "at least one file that ends in .yaml"}}
	}
	for _, p := range c.Validate() {
		files[p.Source.File].add([]routine.Problem{p})
	}
	var found []routine.Problem
	for _, name := range names {
		found = append(found, files[name].sorted()...)
	}
	return c, found
}

func unreadable(name string, err error) routine.Problem {
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return routine.Problem{
		Source: routine.Source{File: name}, What: fmt.Sprintf("it cannot be read (%v)", err),
		Instead: "the name of a file or folder that is there and may be read",
	}
}

// book reads the file as a book, without judging what it says. ok is false if
// there is nothing to judge.
func (f *file) book(data []byte) (book routine.Book, ok bool) {
	n := f.root(data)
	if n == nil {
		return book, false
	}
	m, ok := f.mapping(n, "book", "id", "|", "title", "studies")
	if !ok {
		return book, false
	}
	return routine.Book{
		ID: routine.BookID(m.text("id")), Title: m.text("title"),
		Studies: each(m, "studies", f.study), Source: f.source(n),
	}, true
}

var studyFields = []string{"number", "|", "title", "skill", "cycle", "together", "first-pass", "lines", "compute", "passes"}

func (f *file) study(n *yaml.Node) (s routine.Study, ok bool) {
	m, ok := f.mapping(n, "study", studyFields...)
	if !ok {
		return s, false
	}
	s = routine.Study{
		Number: m.number("number", 0), Title: m.text("title"), Skill: routine.Skill(m.text("skill")),
		Cycle: m.number("cycle", 7), Together: m.number("together", 1),
		First: f.firstPasses(m), Lines: each(m, "lines", f.line), Passes: each(m, "passes", f.pass),
		Source: f.source(n),
	}
	if !m.has("compute") {
		return s, true
	}
	if m.has("lines") {
		m.wrong("compute", "either lines: or compute:", "study %d has both lines and compute", s.Number)
		return s, true
	}
	s.Lines = f.computed(m.fields["compute"].value)
	if len(s.Lines) == 0 {
		m.silence("lines")
	}
	return s, true
}

// firstPasses reads from which pass on each demand may be asked for.
func (f *file) firstPasses(m mapping) map[routine.Demand]int {
	at, ok := m.fields["first-pass"]
	if !ok {
		return nil
	}
	if at.value.Kind != yaml.MappingNode {
		m.wrong("first-pass", "for example first-pass: {one-breath: 2, third-valve: 3}", "first-pass is %s", kindOf(at.value))
		return nil
	}
	first := map[routine.Demand]int{}
	for i := 0; i+1 < len(at.value.Content); i += 2 {
		key, value := at.value.Content[i], at.value.Content[i+1]
		n, err := strconv.Atoi(value.Value)
		if err != nil {
			f.wrong(value, "first-pass", "the number of a pass", "the first pass of %s is %s", key.Value, kindOf(value))
			continue
		}
		first[routine.Demand(key.Value)] = n
	}
	return first
}

var (
	demandFields = []string{"dynamic", "breath", "fingering", "articulation", "repeats", "from", "to"}
	passFields   = slices.Concat([]string{"number", "|"}, demandFields, []string{"clean-means", "clean-days", "share", "sign-off"})
)

func (f *file) pass(n *yaml.Node) (p routine.Pass, ok bool) {
	m, ok := f.mapping(n, "pass", passFields...)
	if !ok {
		return p, false
	}
	return routine.Pass{
		Number: m.number("number", 0), Demands: m.demands(1), CleanMeans: m.text("clean-means"),
		CleanDays: m.number("clean-days", 1), Share: m.share("share", 1), SignOff: m.yes("sign-off"),
		Source: f.source(n),
	}, true
}

// demands reads the demands among the fields. Repeats that are left out are
// the given number.
func (m mapping) demands(repeats int) routine.Demands {
	d := routine.Demands{
		Dynamic: routine.Demand(m.text("dynamic")), Breath: routine.Demand(m.text("breath")),
		Fingering: routine.Demand(m.text("fingering")), Articulation: routine.Demand(m.text("articulation")),
		Repeats: m.number("repeats", repeats),
	}
	m.value("from", "quarter=60", &d.From)
	m.value("to", "quarter=96", &d.To)
	return d
}

var lineFields = []string{"number", "notes-per-beat", "beats", "|", "key", "low", "high", "notes", "pitches"}

func (f *file) line(n *yaml.Node) (l routine.Line, ok bool) {
	m, ok := f.mapping(n, "line", lineFields...)
	if !ok {
		return l, false
	}
	l = routine.Line{
		Number: m.number("number", 0), Key: m.text("key"), Pitches: values[routine.Pitch](m, "pitches", "[C4, Eb4]"),
		NotesPerBeat: m.number("notes-per-beat", 0), Beats: m.number("beats", 0), Source: f.source(n),
	}
	if len(l.Pitches) > 0 {
		l.Low, l.High, l.Notes = slices.Min(l.Pitches), slices.Max(l.Pitches), len(l.Pitches)
	} else if m.has("pitches") {
		m.silence("low", "high", "notes")
	}
	l.Notes = m.number("notes", l.Notes)
	m.value("low", "C4", &l.Low)
	m.value("high", "G5", &l.High)
	return l, true
}
