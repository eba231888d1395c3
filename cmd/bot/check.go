package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"ledgerline/adapters/yaml"
	"ledgerline/routine"
	"ledgerline/studio"
)

// checkCmd says what is wrong with the files of studios, and with the chats that
// it is given a way to log in to.
type checkCmd struct {
	Folders []string  `arg:"" name:"folder" help:"Folders of studios."`
	Chats   chatFlags `embed:""`
}

func (c *checkCmd) Run(ctx context.Context, out io.Writer) error {
	rosters, books, err := readFolders(c.Folders)
	if err != nil {
		return err
	}
	if _, err := readWords(c.Folders, rosters); err != nil {
		return err
	}
	for i, r := range rosters {
		fmt.Fprintln(out, c.Folders[i]+": "+summary(&r, books[r.Studio.ID]))
	}
	return c.checkChats(ctx, out, rosters, books)
}

// checkChats looks at the chats as the studios need them, on a store that is
// thrown away.
func (c *checkCmd) checkChats(ctx context.Context, out io.Writer, rosters []studio.Roster, books map[studio.StudioID]*routine.Catalogue) error {
	dir, err := os.MkdirTemp("", "ledgerline-check-")
	if err != nil {
		return fmt.Errorf("making a folder to check in: %w", err)
	}
	defer os.RemoveAll(dir)
	h, err := build(ctx, blueprint{
		database: filepath.Join(dir, "check.db"), books: books, now: time.Now,
		log: slog.New(slog.DiscardHandler), chats: &c.Chats,
	})
	if err != nil {
		return err
	}
	defer h.store.Close()
	if err := h.apply(ctx, rosters); err != nil {
		return err
	}
	todo := 0
	for _, chat := range h.chats {
		for _, f := range chat.Check(ctx) {
			if f.OK {
				fmt.Fprintf(out, "%s: in order: %s\n", chat.Platform(), f.What)
				continue
			}
			todo++
			fmt.Fprintf(out, "%s: to do: %s %s\n", chat.Platform(), f.What, f.Do)
		}
	}
	if todo > 0 {
		return fmt.Errorf("%d to put right, see above", todo)
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

// readFolder reads a studio's books, its roster and its kinds of challenge.
func readFolder(fsys fs.FS, name string) (studio.Roster, *routine.Catalogue, problems) {
	books, wrong := yaml.ReadCatalogue(fsys, "books")
	roster, found := yaml.ReadRoster(fsys, "studio.yaml", books)
	wrong = append(wrong, found...)
	roster.Studio.OwnKinds, found = yaml.ReadKinds(fsys, "challenges.yaml", roster.Studio.Lang)
	wrong = append(wrong, found...)
	if info, err := fs.Stat(fsys, "."); err != nil || !info.IsDir() {
		return roster, books, problems{{Source: routine.Source{File: name}, What: "there is no such folder", Instead: "the name of the folder that studio.yaml is in"}}
	}
	for i := range wrong {
		wrong[i].Source.File = name + "/" + wrong[i].Source.File
	}
	return roster, books, wrong
}
