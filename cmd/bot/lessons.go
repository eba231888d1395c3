package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"
	"unicode"

	"ledgerline/adapters/ics"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// lessonsCmd takes lessons from a calendar file, or writes one.
type lessonsCmd struct {
	Folder   string `name:"studio" required:"" help:"Folder of the studio." placeholder:"FOLDER"`
	Import   string `help:"Calendar file (.ics) to take the lessons from: events with the name of a student." placeholder:"FILE"`
	DryRun   bool   `help:"Only say what would be taken."`
	Export   string `help:"Calendar file (.ics) to write the lessons into." placeholder:"FILE"`
	Database string `help:"File that keeps everything." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
}

func (c *lessonsCmd) Run(ctx context.Context, out io.Writer) error {
	if (c.Import == "") == (c.Export == "") {
		return errors.New("write --import and a calendar file, or --export and one")
	}
	roster, _, service, closeStore, err := readingFolder(ctx, c.Folder, c.Database)
	if err != nil {
		return err
	}
	defer closeStore()
	all, err := service.Lessons(ctx, roster.Studio.ID)
	if err != nil {
		return err
	}
	if c.Export != "" {
		return c.export(out, &roster.Studio, all)
	}
	named, err := c.read(out, roster.Studio.Zone, all)
	if err != nil || c.DryRun {
		return err
	}
	if err := service.SetLessons(ctx, roster.Studio.ID, named); err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "Taken: the lessons of %d students.\n", len(named))
	return err
}

// read reads the calendar and says whose lesson each event is.
func (c *lessonsCmd) read(out io.Writer, zone string, all []studio.Taught) (named []studio.Taught, err error) {
	file, err := os.Open(c.Import)
	if err != nil {
		return nil, fmt.Errorf("opening the calendar: %w", err)
	}
	defer file.Close()
	events, err := ics.Read(file, zone)
	if err != nil {
		return nil, fmt.Errorf("calendar %s: %w", c.Import, err)
	}
	at := map[studio.MemberID]int{}
	for _, e := range events {
		who := studentIn(e.Summary, all)
		if who == nil {
			fmt.Fprintf(out, "Passed over, it names no student: %s\n", e.Summary)
			continue
		}
		if _, known := at[who.Member]; !known {
			at[who.Member] = len(named)
			named = append(named, studio.Taught{Member: who.Member, Name: who.Name})
		}
		one := &named[at[who.Member]]
		one.Lessons = append(one.Lessons, e.Lesson)
		fmt.Fprintf(out, "%s: %s %s (%s)\n", who.Name, e.Lesson.Start, e.Lesson.Rule, e.Lesson.Zone)
	}
	return named, nil
}

// studentIn returns the student whose name stands in a text, the longest name if
// there are several; nil if none.
func studentIn(text string, all []studio.Taught) (who *studio.Taught) {
	apart := func(s string) string {
		return " " + strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }), " ") + " "
	}
	for i := range all {
		if strings.Contains(apart(text), apart(all[i].Name)) && (who == nil || len(all[i].Name) > len(who.Name)) {
			who = &all[i]
		}
	}
	return who
}

func (c *lessonsCmd) export(out io.Writer, st *studio.Studio, all []studio.Taught) error {
	lexicons, err := readWords([]string{c.Folder}, []studio.Roster{{Studio: *st}})
	if err != nil {
		return err
	}
	own := blueprint{words: lexicons}
	voice := own.lexicon(st.ID).In(st.Lang)
	var events []ics.Event
	for _, one := range all {
		for _, l := range one.Lessons {
			events = append(events, ics.Event{Summary: voice.Say("lesson.event", words.With{"name": one.Name}), Lesson: l})
		}
	}
	var b bytes.Buffer
	if err := ics.Write(&b, st.Name, events, time.Now()); err != nil {
		return err
	}
	if err := os.WriteFile(c.Export, b.Bytes(), 0o600); err != nil {
		return fmt.Errorf("writing the calendar: %w", err)
	}
	_, err = fmt.Fprintf(out, "Written: %s, %d events.\n", c.Export, len(events))
	return err
}
