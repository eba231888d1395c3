package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"ledgerline/adapters/database/postgres"
	"ledgerline/studio"
)

// importStudioCmd takes an exported studio over into a database.
type importStudioCmd struct {
	Export   string `arg:"" help:"Folder of the export, or its studio.json."`
	Database string `help:"File that is to keep it, made if there is none. No program may be at work on it." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
	Write    bool   `help:"Import it; without this it is tried out and only said what would happen."`
}

// Help says what is and is not taken over.
func (importStudioCmd) Help() string {
	return `All that the studio's work needs is taken over and read back to compare: settings, members,
plans, lessons, notes, log, standings, open questions, challenges, deeds, what is scheduled. Not
taken: what people wrote to each other, recordings, passwords of the room, codes of invitations.`
}

func (c *importStudioCmd) Run(ctx context.Context, out io.Writer) error {
	name := c.Export
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		name = filepath.Join(name, "studio.json")
	}
	var x studio.StudioExport
	if err := readJSON(name, &x); err != nil {
		return err
	}
	if x.Studio.ID == "" {
		return fmt.Errorf("%s is no export of a studio; make one with: bot export-studio", name)
	}
	return importing(ctx, out, c.Database, c.Write, figuresOf(&x), func(s *studio.Service) error { return s.ImportStudio(ctx, &x, c.Write) })
}

// importMemberCmd takes an exported member over into a studio.
type importMemberCmd struct {
	Export   string `arg:"" help:"File that bot export has written."`
	Studio   string `required:"" help:"Id of the studio that she is to be in." placeholder:"ID"`
	Database string `help:"File that keeps everything. No program may be at work on it." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
	Write    bool   `help:"Import her; without this it is tried out and only said what would happen."`
}

// Help says what is and is not taken over.
func (importMemberCmd) Help() string {
	return `Her plan, routines, log, standings, streak, lessons and notes are taken over, and the days since
the export cost her nothing. Write her into the file of the studio too before the next start: whom
it does not list has left. Not taken: what she wrote and was told, and recordings.`
}

func (c *importMemberCmd) Run(ctx context.Context, out io.Writer) error {
	var x studio.Export
	if err := readJSON(c.Export, &x); err != nil {
		return err
	}
	if x.Member.ID == "" {
		return fmt.Errorf("%s is no export of a member; make one with: bot export", c.Export)
	}
	what := fmt.Sprintf("%s (%s): routines %d, reports %d, lines that stand somewhere %d", x.Member.Name, x.Member.ID, len(x.Routines), len(x.Log), len(x.Standings))
	return importing(ctx, out, c.Database, c.Write, what, func(s *studio.Service) error {
		return s.ImportMember(ctx, studio.StudioID(c.Studio), &x, c.Write)
	})
}

// importing imports something into a database and says what it was.
func importing(ctx context.Context, out io.Writer, database string, write bool, what string, do func(*studio.Service) error) error {
	if _, err := os.Stat(database); !write && errors.Is(err, fs.ErrNotExist) && !postgres.IsURL(database) {
		dir, err := os.MkdirTemp("", "ledgerline-trial-")
		if err != nil {
			return fmt.Errorf("making a folder for the trial: %w", err)
		}
		defer os.RemoveAll(dir)
		database = filepath.Join(dir, "trial.db")
	}
	store, err := openStore(ctx, database)
	if err != nil {
		return err
	}
	if err = errors.Join(do(serviceOn(store)), store.Close()); err != nil {
		return err
	}
	fmt.Fprintln(out, what)
	if !write {
		_, err = fmt.Fprintln(out, "It can be imported. Nothing was written; with --write it is.")
		return err
	}
	_, err = fmt.Fprintln(out, "Imported. Stop the program that worked on the old database before the new one starts.")
	return err
}

// readJSON reads a file that writeJSON has written.
func readJSON(name string, into any) error {
	data, err := os.ReadFile(name)
	if err != nil {
		return fmt.Errorf("reading the export: %w", err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		return fmt.Errorf("%s is no export, or was changed: %w", name, err)
	}
	return nil
}

// figuresOf says in figures what an export has of its members.
func figuresOf(x *studio.StudioExport) string {
	var routines, reports, entries, lines, lessons, notes, questions int
	roles := map[studio.Role]int{}
	for _, e := range x.Members {
		roles[e.Member.Role]++
		routines, reports, lines = routines+len(e.Routines), reports+len(e.Log), lines+len(e.Standings)
		lessons, notes, questions = lessons+len(e.Member.Lessons), notes+len(e.Member.Notes), questions+len(e.Questions)
		for _, r := range e.Log {
			entries += len(r.Entries)
		}
	}
	var people []string
	for _, role := range []studio.Role{studio.Teacher, studio.Assistant, studio.Student, studio.Guardian} {
		if roles[role] > 0 {
			people = append(people, fmt.Sprintf("%s %d", role, roles[role]))
		}
	}
	return fmt.Sprintf("%s (%s): %s; routines %d, reports %d with entries %d, lines that stand somewhere %d, lessons %d, notes %d, open questions %d, challenges %d, deeds %d",
		x.Studio.Name, x.Studio.ID, strings.Join(people, ", "), routines, reports, entries, lines, lessons, notes, questions, len(x.Challenges), len(x.Deeds))
}
