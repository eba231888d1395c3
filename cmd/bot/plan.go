package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"strings"
	"time"

	"ledgerline/adapters/charts"
	"ledgerline/adapters/database/postgres"
	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// planCmd shows what a date brings a student.
type planCmd struct {
	Student  string `required:"" help:"The student, by id or by name." placeholder:"NAME"`
	Date     string `help:"The date, such as 2026-03-04; by default today where the student is." placeholder:"DATE"`
	Explain  bool   `help:"Show all that might have been on the routine, and what kept the rest out."`
	Week     bool   `help:"Show seven days from the date on, if each is played as set."`
	Folder   string `arg:"" help:"Folder of the studio."`
	Database string `help:"File that keeps everything." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
}

// Help says what is and is not taken into account.
func (planCmd) Help() string {
	return `The routine is made from the plan as it stands now, and from the log as it was when
the date began. Nothing is kept and nothing is posted.`
}

func (c *planCmd) Run(ctx context.Context, out io.Writer) error {
	var date routine.Date
	if c.Date != "" {
		var err error
		if date, err = routine.ParseDate(c.Date); err != nil {
			return err
		}
	}
	roster, books, service, closeStore, err := readingFolder(ctx, c.Folder, c.Database)
	if err != nil {
		return err
	}
	defer closeStore()
	days := 0
	if c.Week {
		days = 7
	}
	look, err := service.Outlook(ctx, roster.Studio.ID, c.Student, date, days)
	if err != nil {
		return err
	}
	page := planPage{&look, books, words.Program().In(words.English)}
	_, err = io.WriteString(out, page.text(c.Explain))
	return err
}

// readingFolder reads a studio's folder and opens a service on its database, as
// reading does.
func readingFolder(ctx context.Context, folder, database string) (studio.Roster, *routine.Catalogue, *studio.Service, func() error, error) {
	roster, books, wrong := readFolder(os.DirFS(folder), folder)
	if len(wrong) > 0 {
		return roster, nil, nil, nil, wrong
	}
	lexicons, err := readWords([]string{folder}, []studio.Roster{roster})
	if err != nil {
		return roster, nil, nil, nil, err
	}
	own := blueprint{words: lexicons}
	service, closeStore, err := reading(ctx, database, books, own.lexicon)
	return roster, books, service, closeStore, err
}

// isThere fails if a database is a file that is not there.
func isThere(database string) error {
	if _, err := os.Stat(database); errors.Is(err, fs.ErrNotExist) && !postgres.IsURL(database) {
		return fmt.Errorf("database %s: there is no such file; name the one of bot run with --database", database)
	}
	return nil
}

// reading opens a service on a database that is there already, without chats:
// nothing is posted by it.
func reading(ctx context.Context, database string, books *routine.Catalogue, lexicon func(studio.StudioID) *words.Lexicon) (*studio.Service, func() error, error) {
	if err := isThere(database); err != nil {
		return nil, nil, err
	}
	reader, err := reply.NewReader()
	if err != nil {
		return nil, nil, err
	}
	store, err := openStore(ctx, database)
	if err != nil {
		return nil, nil, err
	}
	return studio.New(studio.Config{
		Store: store, Drawer: charts.New(lexicon), Reader: reader, Words: lexicon,
		Books: func(studio.StudioID) *routine.Catalogue { return books },
		Now:   time.Now, Random: random, Log: slog.New(slog.DiscardHandler),
	}), store.Close, nil
}

// A planPage is an outlook in plain text.
type planPage struct {
	*studio.Outlook
	books *routine.Catalogue
	voice *words.Voice
}

func (p *planPage) text(explain bool) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s %s\n", p.Member.Name, p.Routine.Date.Weekday(), p.Routine.Date)
	if !p.Free.IsZero() {
		fmt.Fprintf(&b, "Nothing is posted. %s It would be:\n", studio.ReasonWords(p.voice, p.Free))
	}
	p.writeRoutine(&b, &p.Routine)
	if explain {
		p.explain(&b)
	}
	if len(p.Week) > 0 {
		p.week(&b)
	}
	return b.String()
}

func (p *planPage) writeRoutine(b *strings.Builder, r *routine.Routine) {
	if !r.Note.IsZero() {
		fmt.Fprintln(b, studio.ReasonWords(p.voice, r.Note))
	}
	for i := range r.Items {
		it := &r.Items[i]
		strain := ""
		if it.Hard {
			strain = ", strenuous"
		}
		tempo := it.To.String()
		if it.From != it.To {
			tempo = it.From.String() + " to " + tempo
		}
		fmt.Fprintf(b, "%2d  %s%s, pass %d, %s, %d min and %d rest%s: %s\n",
			it.N, it.Study, linesText(numbersOf(it.Lines)), it.Pass, tempo, it.Minutes, it.Rest, strain, studio.ReasonWords(p.voice, it.Reason))
	}
	if len(r.Items) > 0 {
		fmt.Fprintf(b, "%d min in all\n", r.Minutes)
	}
}

func numbersOf(refs []routine.LineRef) (numbers []int) {
	for _, l := range refs {
		numbers = append(numbers, l.Line)
	}
	return numbers
}

// linesText names lines: " line 3", " lines 3,4". No lines are the whole study.
func linesText(numbers []int) string {
	list := strings.ReplaceAll(strings.Trim(fmt.Sprint(numbers), "[]"), " ", ",")
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		return " line " + list
	}
	return " lines " + list
}

// explain lists what might have been on the routine, and what was kept out.
func (p *planPage) explain(b *strings.Builder) {
	fmt.Fprintf(b, "\nCandidates, in points; a budget of %d min, a day of %d points\n", p.Budget, p.Score)
	for _, c := range p.Candidates {
		place := " -"
		if c.Item > 0 {
			place = fmt.Sprintf("%2d", c.Item)
		}
		fmt.Fprintf(b, "%s  %7d  %s%s, pass %d, %d min: %s\n", place, c.Points, c.Study, linesText(c.Lines), c.Pass, c.Minutes, studio.ReasonWords(p.voice, c.Why))
	}
	if len(p.KeptOut) > 0 {
		fmt.Fprintln(b, "\nKept out")
	}
	for _, k := range p.KeptOut {
		fmt.Fprintf(b, "    %s%s, pass %d: %s\n", k.Study, linesText(k.Lines), k.Pass, studio.ReasonWords(p.voice, k.Why))
	}
}

func (p *planPage) week(b *strings.Builder) {
	fmt.Fprintln(b, "\nFrom here on, if each day is played as set")
	for i := range p.Week {
		fmt.Fprintf(b, "\n%s %s\n", p.Week[i].Date.Weekday(), p.Week[i].Date)
		p.writeRoutine(b, &p.Week[i])
	}
}
