package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"ledgerline/adapters/sheet"
	"ledgerline/routine"
	"ledgerline/studio"
)

// digestCmd makes a digest.
type digestCmd struct {
	Folder   string `name:"studio" required:"" help:"Folder of the studio." placeholder:"FOLDER"`
	Week     string `help:"The ISO week, such as 2026-W14; by default this one." placeholder:"WEEK"`
	From     string `help:"Instead of a week, the first date." placeholder:"DATE"`
	To       string `help:"And the last." placeholder:"DATE"`
	HTML     string `name:"html" help:"File for the digest as HTML, complete in itself." placeholder:"FILE"`
	PDF      string `name:"pdf" help:"File for the digest as a PDF." placeholder:"FILE"`
	Paper    string `help:"Paper of the PDF: A4 or Letter." enum:"A4,Letter" default:"A4"`
	Database string `help:"File that keeps everything." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
}

// Help says what becomes of it.
func (digestCmd) Help() string {
	return `Without a file the digest is printed as text. Nothing is kept and nothing is posted.`
}

func (c *digestCmd) Run(ctx context.Context, out io.Writer) error {
	span, err := c.span(time.Now())
	if err != nil {
		return err
	}
	roster, _, service, closeStore, err := readingFolder(ctx, c.Folder, c.Database)
	if err != nil {
		return err
	}
	defer closeStore()
	page, err := service.Digest(ctx, roster.Studio.ID, span.From, span.To)
	if err != nil {
		return err
	}
	if len(page.Items) == 0 {
		_, err := fmt.Fprintf(out, "There is nothing to say of %s to %s.\n", span.From, span.To)
		return err
	}
	if c.HTML == "" && c.PDF == "" {
		_, err := io.WriteString(out, plainPost(&page.Post))
		return err
	}
	return c.write(out, page)
}

// write makes the files that were asked for.
func (c *digestCmd) write(out io.Writer, page studio.Sheet) error {
	printer := sheet.New()
	files := []struct {
		name string
		make func() ([]byte, error)
	}{
		{c.HTML, func() ([]byte, error) { return printer.HTML(page) }},
		{c.PDF, func() ([]byte, error) { return printer.PDF(page, studio.Paper(c.Paper)) }},
	}
	for _, f := range files {
		if f.name == "" {
			continue
		}
		body, err := f.make()
		if err != nil {
			return err
		}
		if err := os.WriteFile(f.name, body, 0o600); err != nil {
			return fmt.Errorf("writing the digest: %w", err)
		}
		fmt.Fprintf(out, "Written: %s (%d KiB)\n", f.name, (len(body)+1023)/1024)
	}
	return nil
}

// span returns the dates of the digest.
func (c *digestCmd) span(now time.Time) (s studio.Span, err error) {
	if c.From != "" || c.To != "" {
		if s.From, err = routine.ParseDate(c.From); err != nil {
			return s, fmt.Errorf("--from: %w", err)
		}
		if s.To, err = routine.ParseDate(c.To); err != nil {
			return s, fmt.Errorf("--to: %w", err)
		}
		if s.To < s.From || s.To > s.From+366 {
			return s, fmt.Errorf("--to %s: write a date from %s on, at most a year later", s.To, s.From)
		}
		return s, nil
	}
	monday := routine.DateOf(now, time.Local).Monday()
	if c.Week != "" {
		if monday, err = mondayOf(c.Week); err != nil {
			return s, err
		}
	}
	return studio.Span{From: monday, To: monday + 6}, nil
}

// mondayOf reads an ISO 8601 week such as 2026-W14.
func mondayOf(week string) (routine.Date, error) {
	var year, number int
	if n, err := fmt.Sscanf(strings.ToUpper(week), "%4d-W%2d", &year, &number); n == 2 && err == nil {
		// 4 January is in week 1 (ISO 8601).
		monday := routine.NewDate(year, time.January, 4).Monday() + routine.Date(7*(number-1))
		if y, w := monday.ISOWeek(); y == year && w == number {
			return monday, nil
		}
	}
	return 0, fmt.Errorf("--week %q: write a year and the number of a week in it, for example 2026-W14", week)
}

// plainPost is a post as plain text.
func plainPost(p *studio.Post) string {
	var b strings.Builder
	fmt.Fprintln(&b, p.Title)
	if p.Text != "" {
		fmt.Fprintln(&b, p.Text)
	}
	part := ""
	for _, it := range p.Items {
		if it.Part != part {
			part = it.Part
			fmt.Fprintf(&b, "\n%s\n", part)
		}
		fmt.Fprintf(&b, "%2d  %s\n", it.N, it.Head)
		for line := range strings.Lines(it.Detail) {
			fmt.Fprintf(&b, "    %s\n", strings.TrimSpace(line))
		}
	}
	for _, pic := range p.Pictures {
		fmt.Fprintf(&b, "\n%s\n", pic.Alt)
	}
	return b.String()
}
