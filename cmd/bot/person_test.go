package main

import (
	"bytes"
	"encoding/json"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
	"ledgerline/studio/words"
)

// TestPersonExportedAndErased plays weeks of the demo, exports a student, erases
// her, and looks for her in every byte of the file. The others' lives go on.
func TestPersonExportedAndErased(t *testing.T) {
	dir := t.TempDir()
	database := filepath.Join(dir, "story.db")
	end := story(t, "--weeks", "4", "--database", database)
	if end.Students["tobias"].Entries == 0 {
		t.Fatal("the student has no log to erase")
	}
	export := filepath.Join(dir, "tobias.json")
	if _, err := bot(t, "", "export", "tobias", "--database", database, "--to", export); err != nil {
		t.Fatal(err)
	}
	var e studio.Export
	text, err := os.ReadFile(export)
	if err != nil || json.Unmarshal(text, &e) != nil || len(e.Log) == 0 || len(e.Messages) == 0 || len(e.Posts) == 0 {
		t.Fatalf("the export: %v, %d reports, %d messages, %d posts", err, len(e.Log), len(e.Messages), len(e.Posts))
	}
	if _, err := bot(t, "", "export", "nobody", "--database", database, "--to", export+"2"); err == nil || !strings.Contains(err.Error(), "no member") {
		t.Errorf("an export of nobody: %v", err)
	}
	if _, err := bot(t, "", "erase", "tobias", "--database", database); err == nil || !strings.Contains(err.Error(), "--for-good") {
		t.Errorf("erased without asking: %v", err)
	}
	if _, err := bot(t, "", "erase", "tobias", "--database", database, "--for-good"); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(database + "*")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if i := bytes.Index(bytes.ToLower(data), []byte("tobias")); i >= 0 {
			t.Errorf("%s: still there: %q", filepath.Base(file), data[max(0, i-100):min(len(data), i+60)])
		}
		for _, m := range e.Messages {
			if len(m.Text) > 20 && bytes.Contains(data, []byte(m.Text)) && !saidByOthers(t, database, m.Text) {
				t.Errorf("%s: what she wrote is still there: %q", filepath.Base(file), m.Text)
			}
		}
	}
	if _, err := bot(t, "", "deeds", "harbour-row", "--database", database); err != nil {
		t.Error(err)
	}
}

// saidByOthers reports whether a message with the text is in the inbox: by
// another student then, since hers are gone.
func saidByOthers(t *testing.T, database, text string) (found bool) {
	t.Helper()
	err := withStore(t, database, func(s *sqlite.Store) error {
		return s.View(t.Context(), func(tx studio.Tx) error {
			members, err := tx.Members("harbour-row")
			for _, m := range members {
				all, err := tx.MessagesBy(m.Accounts[0], 0, 10_000)
				if err != nil {
					return err
				}
				for _, msg := range all {
					found = found || msg.Text == text
				}
			}
			return err
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// TestLogTellsNoWords plays the demo with the log at its most talkative, while
// the chat fails now and then, and looks in the log for names and for what was
// said.
func TestLogTellsNoWords(t *testing.T) {
	var log bytes.Buffer
	c := demoCmd{Weeks: 5, Seed: 1, log: slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))}
	fails := 0
	c.fail = func(d studio.Delivery) error {
		if fails++; fails%9 == 0 {
			return &studio.SendError{Err: os.ErrDeadlineExceeded}
		}
		if fails%50 == 1 {
			return &studio.SendError{Blocked: words.Plain("The line is closed."), Err: os.ErrPermission, After: time.Second}
		}
		return nil
	}
	database := filepath.Join(t.TempDir(), "story.db")
	told, err := c.tell(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	if err := told.store.Close(); err != nil {
		t.Fatal(err)
	}
	if strings.Count(log.String(), "\n") < 10 {
		t.Fatalf("the log says next to nothing, so nothing is tested:\n%s", log.String())
	}
	roster, _, wrong := readFolder(harbour.Files, "harbour")
	if len(wrong) > 0 {
		t.Fatal(wrong)
	}
	for _, m := range roster.Members {
		if regexp.MustCompile(`\b` + m.Name + `\b`).MatchString(log.String()) {
			t.Errorf("the log names %s", m.Name)
		}
	}
	seen := 0
	err = withStore(t, database, func(s *sqlite.Store) error {
		return s.View(t.Context(), func(tx studio.Tx) error {
			for _, m := range roster.Members {
				all, err := tx.MessagesBy(m.Accounts[0], 0, 10_000)
				if err != nil {
					return err
				}
				for _, msg := range all {
					seen++
					if len(msg.Text) > 6 && strings.Contains(log.String(), msg.Text) {
						t.Errorf("the log has a message: %q", msg.Text)
					}
				}
			}
			posts, err := tx.PostsIn("harbour-row", 0, 100_000)
			for _, p := range posts {
				seen++
				for _, words := range []string{p.Title, p.Text, p.Foot} {
					if len(words) > 12 && strings.Contains(log.String(), words) {
						t.Errorf("the log has words of a post: %q", words)
					}
				}
			}
			return err
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d lines of log, %d messages and posts looked for", strings.Count(log.String(), "\n"), seen)
}
