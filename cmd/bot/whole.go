package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"ledgerline/adapters/csv"
	"ledgerline/adapters/yaml"
	"ledgerline/studio"
)

// exportStudioCmd writes a whole studio.
type exportStudioCmd struct {
	Studio   string `arg:"" help:"Id of the studio."`
	Database string `help:"File that keeps everything." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
	To       string `help:"New folder to write to; by default STUDIO-export." placeholder:"FOLDER"`
}

func (c *exportStudioCmd) Run(ctx context.Context, out io.Writer) error {
	if c.To == "" {
		c.To = c.Studio + "-export"
	}
	return withCopy(ctx, c.Database, func(s studio.Store) error {
		x, err := serviceOn(s).ExportStudio(ctx, studio.StudioID(c.Studio))
		if errors.Is(err, studio.ErrNotFound) {
			return fmt.Errorf("there is no studio %q in %s; write the id that its file gives it", c.Studio, c.Database)
		}
		if err != nil {
			return err
		}
		if err := os.Mkdir(c.To, 0o700); err != nil {
			return fmt.Errorf("writing the export: %w", err)
		}
		if err := writeExport(c.To, &x); err != nil {
			return fmt.Errorf("writing the export: %w", err)
		}
		fmt.Fprintf(out, "Written to %s: %d members, as studio.json and as tables. It holds what is known of minors too; keep it as you keep the database.\n", c.To, len(x.Members))
		return nil
	})
}

// writeExport writes a studio into a folder, as JSON and as tables.
func writeExport(folder string, x *studio.StudioExport) error {
	err := writeJSON(filepath.Join(folder, "studio.json"), x)
	for _, t := range csv.Tables(x) {
		if err == nil {
			err = writeNew(filepath.Join(folder, t.Name), func(w io.Writer) error { return csv.Write(w, t.Columns, t.Rows) })
		}
	}
	return err
}

// writeJSON writes v into a file that only its owner may read.
func writeJSON(name string, v any) error {
	return writeNew(name, func(w io.Writer) error {
		enc := json.NewEncoder(w)
		enc.SetIndent("", "  ")
		return enc.Encode(v)
	})
}

// writeNew writes a file that only its owner may read.
func writeNew(name string, write func(io.Writer) error) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	return errors.Join(write(f), f.Close())
}

// importCmd takes members and plans over from tables into a studio's file.
type importCmd struct {
	Folder  string `arg:"" help:"Folder of the studio."`
	Members string `help:"Table of members." placeholder:"FILE.csv"`
	Plans   string `help:"Table of plans." placeholder:"FILE.csv"`
	Write   bool   `help:"Write it into studio.yaml; without this it is only said what would happen."`
}

func (c *importCmd) Run(_ context.Context, out io.Writer) error {
	if c.Members == "" && c.Plans == "" {
		return errors.New("nothing to import: name a table with --members or --plans")
	}
	members, wrong := readTable(c.Members, csv.MemberColumns(), "id")
	plans, found := readTable(c.Plans, csv.PlanColumns(), "member", "study", "pass")
	wrong = append(wrong, found...)
	file := filepath.Join(c.Folder, "studio.yaml")
	data, err := os.ReadFile(file)
	if err != nil {
		return fmt.Errorf("reading the studio's file: %w", err)
	}
	books, found := yaml.ReadCatalogue(os.DirFS(c.Folder), "books")
	if wrong = append(wrong, found...); len(wrong) > 0 {
		return wrong
	}
	merged, changes, found := yaml.Merge(data, file, books, members, plans)
	if len(found) > 0 {
		return problems(found)
	}
	c.say(out, changes)
	if !c.Write {
		fmt.Fprintln(out, "Nothing was written; with --write it is.")
		return nil
	}
	if err := os.WriteFile(file+".before", data, 0o600); err != nil {
		return fmt.Errorf("keeping the old file: %w", err)
	}
	if err := os.WriteFile(file, merged, 0o600); err != nil {
		return fmt.Errorf("writing the studio's file: %w", err)
	}
	fmt.Fprintf(out, "Written to %s; the old one is %s. It holds from the next start on.\n", file, file+".before")
	return nil
}

// say tells what an import changes.
func (c *importCmd) say(out io.Writer, changes []yaml.Change) {
	same := 0
	for _, change := range changes {
		switch {
		case change.New:
			fmt.Fprintf(out, "%s is new\n", change.Member)
		case len(change.What) == 0:
			same++
			continue
		default:
			fmt.Fprintf(out, "%s changes\n", change.Member)
		}
		for _, what := range change.What {
			fmt.Fprintf(out, "  %s\n", what)
		}
	}
	if same > 0 {
		fmt.Fprintf(out, "%d as in the file already\n", same)
	}
}

// readTable reads a table; no name is no table.
func readTable(name string, columns []string, required ...string) (t yaml.Table, wrong problems) {
	if name == "" {
		return t, nil
	}
	f, err := os.Open(name)
	if err != nil {
		return t, problems{{What: err.Error(), Instead: "the path of a table"}}
	}
	defer f.Close()
	rows, wrong := csv.Read(f, name, columns, required...)
	t.Name = name
	for _, r := range rows {
		t.Rows = append(t.Rows, yaml.Row(r))
	}
	return t, wrong
}
