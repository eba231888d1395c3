package main

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"ledgerline/adapters/yaml"
	"ledgerline/routine"
	"ledgerline/studio"
)

// checkCmd says what is wrong with the files of studios.
type checkCmd struct {
	Folders []string `arg:"" name:"folder" help:"Folders of studios."`
}

func (c *checkCmd) Run(out io.Writer) error {
	var wrong problems
	for _, folder := range c.Folders {
		roster, books, found := readFolder(os.DirFS(folder), folder)
		wrong = append(wrong, found...)
		if len(found) == 0 {
			fmt.Fprintln(out, folder+": "+summary(&roster, books))
		}
	}
	if len(wrong) > 0 {
		return wrong
	}
	return nil
}

func summary(r *studio.Roster, books *routine.Catalogue) string {
	studies, lines := 0, 0
	for _, b := range books.Books {
		studies += len(b.Studies)
		for _, s := range b.Studies {
			lines += len(s.Lines)
		}
	}
	return fmt.Sprintf("in order: %s, %d members, %d plans, %d books, %d studies, %d lines",
		r.Studio.Name, len(r.Members), len(r.Plans), len(books.Books), studies, lines)
}

// problems is all that is wrong with some files, as one error.
type problems []routine.Problem

func (p problems) Error() string {
	lines := make([]string, len(p))
	for i, problem := range p {
		lines[i] = problem.Error()
	}
	return fmt.Sprintf("%d to put right:\n%s", len(p), strings.Join(lines, "\n"))
}

// readFolder reads a studio's books and roster.
func readFolder(fsys fs.FS, name string) (studio.Roster, *routine.Catalogue, problems) {
	books, wrong := yaml.ReadCatalogue(fsys, "books")
	roster, found := yaml.ReadRoster(fsys, "studio.yaml", books)
	wrong = append(wrong, found...)
	for i := range wrong {
		wrong[i].Source.File = name + "/" + wrong[i].Source.File
	}
	return roster, books, wrong
}
