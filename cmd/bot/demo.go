package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"ledgerline/adapters/room"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

// demoCmd plays the invented studio.
type demoCmd struct {
	Weeks    int    `help:"Weeks to play before the room opens." default:"6"`
	Database string `help:"File that keeps the story, to go on with it later; by default a temporary one." placeholder:"FILE"`
	Listen   string `help:"Address of the room, on this machine." default:"127.0.0.1:8080"`
	Room     bool   `help:"Open the room when the weeks have been played." default:"true" negatable:""`
	JSON     bool   `name:"json" help:"Print the end state as JSON."`
	Lang     string `help:"Language of all its people." enum:"en,de,fr,es" default:"en"`
	Seed     uint64 `help:"Another number gives another story." default:"1"`
	Files    string `help:"Instead of playing, write the files of the studio into this new folder, as a start for your own." placeholder:"FOLDER"`

	log  *slog.Logger                // nil: warnings to standard error
	fail func(studio.Delivery) error // of the chat; nil: never
}

func (c *demoCmd) Run(ctx context.Context, out io.Writer) error {
	if c.Files != "" {
		return writeFiles(out, c.Files)
	}
	if c.Weeks < 0 || c.Weeks > 520 {
		return fmt.Errorf("--weeks %d: write a number from 0 to 520", c.Weeks)
	}
	if err := room.CheckListen(c.Listen, ""); err != nil {
		return err
	}
	database, remove, err := c.file()
	if err != nil {
		return err
	}
	defer remove()
	return c.play(ctx, out, database)
}

// file returns the database file and what to do with it afterwards.
func (c *demoCmd) file() (name string, remove func(), err error) {
	if c.Database != "" {
		return c.Database, func() {}, nil
	}
	dir, err := os.MkdirTemp("", "ledgerline-demo-")
	if err != nil {
		return "", nil, fmt.Errorf("making a folder for the story: %w", err)
	}
	return filepath.Join(dir, "demo.db"), func() { os.RemoveAll(dir) }, nil
}

// A tale is a house with a story that has been played in it.
type tale struct {
	*house
	story *harbour.Story
	sends *counter
}

// tell builds a house on the database and plays the weeks in it.
func (c *demoCmd) tell(ctx context.Context, database string) (*tale, error) {
	roster, books, wrong := readFolder(harbour.Files, "harbour")
	if len(wrong) > 0 {
		return nil, wrong
	}
	speak(&roster, c.Lang)
	clock := harbour.NewClock(harbour.Begin)
	t := &tale{sends: &counter{seen: map[studio.Key]int{}, fail: c.fail}}
	log := c.log
	if log == nil {
		log = slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	}
	var err error
	t.house, err = build(ctx, blueprint{
		database: database, now: clock.Now,
		books: map[studio.StudioID]*routine.Catalogue{roster.Studio.ID: books},
		clock: stepper(func(ctx context.Context, d time.Duration) error { return t.story.Step(ctx, d) }),
		log:   log,
		wrap:  func(chat studio.Chat) studio.Chat { t.sends.Chat = chat; return t.sends },
	})
	if err != nil {
		return nil, err
	}
	t.story, err = harbour.NewStory(ctx, t.service, t.store, clock, roster, c.Seed)
	if err == nil {
		err = c.advance(ctx, t.story)
	}
	if err != nil {
		return nil, errors.Join(err, t.store.Close())
	}
	return t, nil
}

// speak lets everybody in a studio speak one language; none leaves all as it is.
func speak(r *studio.Roster, lang string) {
	if lang == "" {
		return
	}
	r.Studio.Lang = lang
	for i := range r.Members {
		r.Members[i].Lang = lang
	}
}

func (c *demoCmd) play(ctx context.Context, out io.Writer, database string) error {
	t, err := c.tell(ctx, database)
	if err != nil {
		return err
	}
	defer t.store.Close()
	if c.JSON {
		if err := t.printState(ctx, out); err != nil {
			return err
		}
	}
	if !c.Room {
		return nil
	}
	return t.serve(ctx, c.Listen, func(url string) {
		fmt.Fprintf(os.Stderr, "The room of Harbour Row Brass is open at %s (stop with Ctrl-C)\n", url)
	})
}

// stepper moves the story's clock for the room.
type stepper func(context.Context, time.Duration) error

func (s stepper) Step(ctx context.Context, d time.Duration) error { return s(ctx, d) }

// advance plays the weeks and says how far it has come.
func (c *demoCmd) advance(ctx context.Context, story *harbour.Story) error {
	began, said := time.Now(), -1
	err := story.AdvanceTo(ctx, harbour.After(c.Weeks), func(now time.Time) {
		week := int(now.Sub(harbour.Begin).Hours()/24/7) + 1
		if week != said && week <= c.Weeks {
			said = week
			fmt.Fprintf(os.Stderr, "\rPlaying week %d of %d …", week, c.Weeks)
		}
	})
	if said >= 0 {
		fmt.Fprintf(os.Stderr, "\rPlayed %s in %.1f s.    \n", weeks(c.Weeks), time.Since(began).Seconds())
	}
	return err
}

func weeks(n int) string {
	if n == 1 {
		return "1 week"
	}
	return fmt.Sprintf("%d weeks", n)
}

// counter counts how often the chat was given each post.
type counter struct {
	studio.Chat
	seen map[studio.Key]int
	fail func(studio.Delivery) error // nil: it never fails
}

func (c *counter) Send(ctx context.Context, d studio.Delivery) (string, error) {
	if c.fail != nil {
		if err := c.fail(d); err != nil {
			return "", err
		}
	}
	c.seen[d.Key]++
	return c.Chat.Send(ctx, d)
}

func (c *counter) twice() (n int) {
	for _, times := range c.seen {
		if times > 1 {
			n++
		}
	}
	return n
}

// endState is what bot demo --json prints.
type endState struct {
	Now          time.Time                  `json:"now"`
	Students     map[string]harbour.Summary `json:"students"`
	MessagesIn   int                        `json:"messages_in"`   // kept in the inbox
	MessagesTold int                        `json:"messages_told"` // told by the chat, some on purpose twice
	MessagesOut  int                        `json:"messages_out"`
	Duplicates   int                        `json:"duplicates"` // posts given to the chat more than once
	Digests      int                        `json:"digests_sent"`
	Waiting      int                        `json:"posts_waiting"`
}

func (t *tale) printState(ctx context.Context, w io.Writer) error {
	students, err := t.story.Summaries(ctx)
	if err != nil {
		return err
	}
	state := endState{Now: t.story.Now(), Students: students, MessagesTold: t.story.Told, Duplicates: t.sends.twice()}
	err = t.store.View(ctx, func(tx studio.Tx) error {
		n, err := tx.Counts()
		state.MessagesIn, state.Waiting = n.Messages, n.Waiting
		for _, sent := range n.Sent {
			state.MessagesOut += sent
		}
		state.Digests = n.Sent[studio.DigestPost]
		return err
	})
	if err != nil {
		return err
	}
	out := json.NewEncoder(w)
	out.SetIndent("", "  ")
	return out.Encode(state)
}

// writeFiles copies the files of the invented studio.
func writeFiles(out io.Writer, folder string) error {
	if _, err := os.Stat(folder); err == nil {
		return fmt.Errorf("--files %s: that is there already, and nothing in it is written over; name a new folder", folder)
	}
	if err := os.CopyFS(folder, harbour.Files); err != nil {
		return fmt.Errorf("writing the files of the studio into %s: %w", folder, err)
	}
	fmt.Fprintf(out, "Written to %s. Change what you like, then: bot check %s\n", folder, folder)
	return fs.WalkDir(harbour.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			fmt.Fprintln(out, "  "+filepath.Join(folder, path))
		}
		return err
	})
}
