package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"time"

	"ledgerline/adapters/database/postgres"
	"ledgerline/adapters/database/sqlite"
	"ledgerline/adapters/room"
	"ledgerline/adapters/yaml"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// runCmd runs studios for real.
type runCmd struct {
	Folders  []string `arg:"" name:"folder" help:"Folders of studios, each with a studio.yaml and a books folder." env:"LEDGERLINE_STUDIOS"`
	Database string   `help:"File that keeps everything, or URL of a PostgreSQL database (postgres://user@host/name)." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
	Listen   string   `help:"Address of the room. Any but this machine's own needs a password." default:"127.0.0.1:8080" env:"LEDGERLINE_LISTEN"`
	Password string   `help:"Password of the room, or its bcrypt hash. Set it in the environment, not on the command line." env:"LEDGERLINE_PASSWORD" secret:""`

	KeepDays int `help:"Days for which the words of messages and posts are kept, at least 60; 0: for ever. The log is kept." default:"400" env:"LEDGERLINE_KEEP_DAYS"`

	Metrics  string `help:"Address of /metrics and /healthz, such as 127.0.0.1:9187. It asks for no password." placeholder:"ADDRESS" env:"LEDGERLINE_METRICS"`
	Log      string `help:"Form of the log." enum:"text,json" default:"text" env:"LEDGERLINE_LOG"`
	LogLevel string `help:"What is logged." enum:"debug,info,warn,error" default:"info" env:"LEDGERLINE_LOG_LEVEL"`

	Backups     string        `help:"Folder into which backups of the database are made while the program runs." placeholder:"FOLDER" env:"LEDGERLINE_BACKUPS"`
	BackupEvery time.Duration `help:"Time between one backup and the next." default:"24h" env:"LEDGERLINE_BACKUP_EVERY"`
	BackupsKept int           `help:"How many backups are kept; older ones are removed." default:"14" env:"LEDGERLINE_BACKUPS_KEPT"`

	Chats chatFlags `embed:""`
}

func (c *runCmd) Run(ctx context.Context, out io.Writer) error {
	if c.KeepDays != 0 && time.Duration(c.KeepDays)*24*time.Hour < studio.ShortestKeep {
		return fmt.Errorf("--keep-days %d: write 60 or more, or 0 to keep words for ever", c.KeepDays)
	}
	if c.Backups != "" && postgres.IsURL(c.Database) {
		return errors.New("--backups are of a file; back a PostgreSQL database up with its own pg_dump or pg_basebackup")
	}
	if err := room.CheckListen(c.Listen, c.Password); err != nil {
		return err
	}
	rosters, books, err := readFolders(c.Folders)
	if err != nil {
		return err
	}
	lexicons, err := readWords(c.Folders, rosters)
	if err != nil {
		return err
	}
	log := c.logger()
	backups := &sqlite.Backups{
		Database: c.Database, Folder: c.Backups, Every: c.BackupEvery, Keep: c.BackupsKept, Now: time.Now, Log: log,
	}
	h, err := build(ctx, blueprint{
		database: c.Database, password: c.Password, books: books, words: lexicons, now: time.Now, log: log,
		chats: &c.Chats, lastBackup: c.lastBackup(backups), keep: time.Duration(c.KeepDays) * 24 * time.Hour,
	})
	if err != nil {
		return err
	}
	defer h.store.Close()
	if err := h.apply(ctx, rosters); err != nil {
		return err
	}
	if c.Backups != "" {
		h.background = append(h.background, backups.Run)
	}
	if c.Metrics != "" {
		if err := h.showMetrics(c.Metrics, log); err != nil {
			return err
		}
	}
	return h.serve(ctx, c.Listen, func(url string) {
		fmt.Fprintf(out, "The room is open at %s (stop with Ctrl-C)\n", url)
	})
}

// readWords reads what the bots of the studios say otherwise than the program.
func readWords(folders []string, rosters []studio.Roster) (map[studio.StudioID]*words.Lexicon, error) {
	lexicons := map[studio.StudioID]*words.Lexicon{}
	var wrong problems
	for i, folder := range folders {
		lexicon, found := yaml.ReadWords(os.DirFS(folder), "words.yaml")
		for j := range found {
			found[j].Source.File = folder + "/" + found[j].Source.File
		}
		wrong = append(wrong, found...)
		lexicons[rosters[i].Studio.ID] = lexicon
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	return lexicons, nil
}

// logger returns the log in the form that was asked for.
func (c *runCmd) logger() *slog.Logger {
	var level slog.Level
	_ = level.UnmarshalText([]byte(c.LogLevel)) // one of four that are levels
	options := &slog.HandlerOptions{Level: level}
	if c.Log == "json" {
		return slog.New(slog.NewJSONHandler(os.Stderr, options))
	}
	return slog.New(slog.NewTextHandler(os.Stderr, options))
}

// lastBackup returns what says when the last backup was made; nil if none are.
func (c *runCmd) lastBackup(b *sqlite.Backups) func() time.Time {
	if c.Backups == "" {
		return nil
	}
	return b.Latest
}

// readFolders reads all folders, and returns all that is wrong with them as one
// error.
func readFolders(folders []string) ([]studio.Roster, map[studio.StudioID]*routine.Catalogue, error) {
	var rosters []studio.Roster
	books := map[studio.StudioID]*routine.Catalogue{}
	var wrong problems
	for _, folder := range folders {
		roster, catalogue, found := readFolder(os.DirFS(folder), folder)
		wrong = append(wrong, found...)
		rosters = append(rosters, roster)
		books[roster.Studio.ID] = catalogue
	}
	if len(wrong) > 0 {
		return nil, nil, wrong
	}
	return rosters, books, nil
}
