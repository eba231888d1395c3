package yaml_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"ledgerline/adapters/yaml"
	"ledgerline/routine"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Each file of testdata that is no studio is a book with something wrong; the
// golden file beside it holds every message about it.
func TestBookProblems(t *testing.T) {
	files, err := filepath.Glob("testdata/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no files", err)
	}
	for _, name := range files {
		if strings.HasPrefix(filepath.Base(name), "studio") {
			continue
		}
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		_, problems := yaml.ReadBook(filepath.Base(name), data)
		golden(t, strings.TrimSuffix(name, ".yaml")+".golden", problems)
	}
}

func golden(t *testing.T, name string, problems []routine.Problem) {
	t.Helper()
	var b strings.Builder
	for _, p := range problems {
		fmt.Fprintln(&b, p.Error())
	}
	if b.Len() == 0 {
		t.Errorf("%s: no problems", name)
	}
	if *update {
		if err := os.WriteFile(name, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("%s: got\n%swant\n%s", name, b.String(), want)
	}
}

const small = `
id: daily-ground
title: Daily Ground
studies:
  - number: 2
    title: By hand
    skill: technique
    first-pass: {one-breath: 2}
    lines:
      - {number: 1, key: Eb, pitches: [Eb4, F4, G4, Ab4, Bb4], notes-per-beat: 2, beats: 4}
      - {number: 2, low: C4, high: G4, notes: 32, notes-per-beat: 4, beats: 8}
    passes:
      - number: 1
        from: quarter=60
        to: dotted-quarter=80
      - number: 2
        dynamic: p
        breath: one-breath
        fingering: third-valve
        articulation: K
        repeats: 2
        from: quarter=72
        to: quarter=104
        clean-means: soft
        clean-days: 3
        share: 0.8
        sign-off: true
`

func TestReadBook(t *testing.T) {
	b, problems := yaml.ReadBook("small.yaml", []byte(small))
	if len(problems) != 0 {
		t.Fatal(problems)
	}
	at := func(line int) routine.Source { return routine.Source{File: "small.yaml", Line: line} }
	want := routine.Book{
		ID: "daily-ground", Title: "Daily Ground", Source: at(2),
		Studies: []routine.Study{{
			Number: 2, Title: "By hand", Skill: routine.Technique, Cycle: 7, Together: 1,
			First: map[routine.Demand]int{routine.OneBreath: 2}, Source: at(5),
			Lines: []routine.Line{
				{Number: 1, Key: "Eb", Low: 63, High: 70, Notes: 5, NotesPerBeat: 2, Beats: 4, Pitches: []routine.Pitch{63, 65, 67, 68, 70}, Source: at(10)},
				{Number: 2, Low: 60, High: 67, Notes: 32, NotesPerBeat: 4, Beats: 8, Source: at(11)},
			},
			Passes: []routine.Pass{
				{Number: 1, Demands: routine.Demands{
					Repeats: 1, From: routine.Tempo{BPM: 60, Note: routine.Quarter}, To: routine.Tempo{BPM: 80, Note: routine.DottedQuarter},
				}, CleanDays: 1, Share: 1, Source: at(13)},
				{Number: 2, Demands: routine.Demands{
					Dynamic: routine.Piano, Breath: routine.OneBreath, Fingering: routine.ThirdValve, Articulation: routine.KTongue, Repeats: 2,
					From: routine.Tempo{BPM: 72, Note: routine.Quarter}, To: routine.Tempo{BPM: 104, Note: routine.Quarter},
				}, CleanMeans: "soft", CleanDays: 3, Share: 0.8, SignOff: true, Source: at(16)},
			},
		}},
	}
	if got, want := fmt.Sprintf("%+v", b), fmt.Sprintf("%+v", want); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestReadCatalogue(t *testing.T) {
	other := strings.Replace(small, "id: daily-ground", "id: slur-atlas", 1)
	c, problems := yaml.ReadCatalogue(fstest.MapFS{
		"books/b.yaml":     {Data: []byte(small)},
		"books/a.yml":      {Data: []byte(other)},
		"books/notes.txt":  {Data: []byte("not a book")},
		"books/old/c.yaml": {Data: []byte("not read either")},
	}, "books")
	if len(problems) != 0 || len(c.Books) != 2 || c.Books[0].ID != "slur-atlas" || c.Books[1].ID != "daily-ground" {
		t.Errorf("books %+v, problems %v", c.Books, problems)
	}
}

func TestReadCatalogueProblems(t *testing.T) {
	early := strings.Replace(small, "first-pass: {one-breath: 2}", "first-pass: {one-breath: 2, K: 3}", 1)
	for _, c := range []struct {
		name  string
		files fstest.MapFS
		want  []string
	}{
		{"no folder", fstest.MapFS{}, []string{"books: it cannot be read (file does not exist); write the name of a file or folder that is there and may be read"}},
		{"no books", fstest.MapFS{"books/readme.txt": {}}, []string{"books: the folder holds no books; write at least one file that ends in .yaml"}},
		{"one id twice, one empty, one malformed", fstest.MapFS{
			"books/a.yaml": {Data: []byte(small)},
			"books/b.yaml": {Data: []byte(early)},
			"books/c.yaml": {},
			"books/d.yaml": {Data: []byte("id: d\ntitle: D\nstudies: []\nauthor: nobody\n")},
		}, []string{
			`books/b.yaml:2: book "daily-ground" is there already, at books/a.yaml:2; write an id of its own for each book`,
			"books/b.yaml:8: K is first allowed in pass 3, but study 2 has 2 passes; write a pass from 1 to 2",
			"books/b.yaml:20: pass 2 asks for K, which study 2 allows from pass 3; write it in pass 3 or later",
			"books/c.yaml:1: the file is empty; write its fields, id: first",
			"books/d.yaml:3: the book has no studies; write at least one study",
			`books/d.yaml:4: a book has no field "author"; write one of id, title, studies`,
		}},
	} {
		_, problems := yaml.ReadCatalogue(c.files, "books")
		var got []string
		for _, p := range problems {
			got = append(got, p.Error())
		}
		if strings.Join(got, "\n") != strings.Join(c.want, "\n") {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

func TestReadBookLimits(t *testing.T) {
	// Nine levels of nine aliases would stand for 387 million words.
	var bomb bytes.Buffer
	bomb.WriteString("a0: &a0 [x, x, x, x, x, x, x, x, x]\n")
	for i := 1; i < 9; i++ {
		fmt.Fprintf(&bomb, "a%d: &a%d [", i, i)
		for range 8 {
			fmt.Fprintf(&bomb, "*a%d, ", i-1)
		}
		fmt.Fprintf(&bomb, "*a%d]\n", i-1)
	}
	for _, c := range []struct {
		data []byte
		want string
	}{
		{bomb.Bytes(), "b.yaml:1: anchors and aliases (& and *) are not read; write the thing itself in each place"},
		{bytes.Repeat([]byte("#\n"), 1<<20), "b.yaml:1: the file has 2097152 bytes, more than 1048576; write several smaller files"},
	} {
		_, problems := yaml.ReadBook("b.yaml", c.data)
		if len(problems) != 1 || problems[0].Error() != c.want {
			t.Errorf("got  %v\nwant %s", problems, c.want)
		}
	}
}

func FuzzReadBook(f *testing.F) {
	f.Add([]byte(small))
	f.Add([]byte("---"))
	f.Add([]byte("id: a\ntitle: A\nstudies:\n  -\n"))
	files, _ := filepath.Glob("testdata/*.yaml")
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		book, problems := yaml.ReadBook("book.yaml", data)
		lines := max(1, len(strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(data)), "\n")))
		for _, p := range problems {
			if p.Source.File != "book.yaml" || p.Source.Line < 1 || p.Source.Line > lines || p.What == "" || p.Instead == "" {
				t.Errorf("of %d lines: %+v", lines, p)
			}
		}
		if len(problems) > 0 {
			return
		}
		c := &routine.Catalogue{Books: []routine.Book{book}}
		if again := c.Validate(); len(again) > 0 {
			t.Errorf("read without a problem, but %v", again)
		}
	})
}

func ExampleReadBook() {
	_, problems := yaml.ReadBook("books/short.yaml", []byte(`
id: short
title: Short
studies:
  - number: 1
    titel: Scales
    skill: technique
    compute: {figure: scale, keys: major, octaves: 1, from: F#3, to: F5, notes-per-beat: 2}
    first-pass: {one-breath: 2}
    passes:
      - number: 1
        breath: one-breath
        from: quarter=60
        to: 96
      - number: 2
        from: quarter=60
        to: quarter=96
`))
	for _, p := range problems {
		fmt.Println(p.Error())
	}
	// Output:
	// books/short.yaml:5: study 1 has no title; write the title of the study
	// books/short.yaml:6: a study has no field "titel"; write title
	// books/short.yaml:12: pass 1 asks for one-breath, which study 1 allows from pass 2; write it in pass 2 or later
	// books/short.yaml:14: tempo "96" has no note value; write note=number, for example quarter=96
}
