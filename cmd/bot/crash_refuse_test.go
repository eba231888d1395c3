package main

import (
	"database/sql"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
)

// wantSentence fails unless what the program said is one line with all parts.
func wantSentence(t *testing.T, said string, parts ...string) {
	t.Helper()
	if n := strings.Count(strings.TrimSpace(said), "\n"); n > 0 {
		t.Errorf("the program said %d lines, want one:\n%s", n+1, said)
	}
	for _, part := range parts {
		if !strings.Contains(said, part) {
			t.Errorf("the program did not say %q, but:\n%s", part, said)
		}
	}
}

// filled returns a studio folder and a database that knows some of its life,
// left by a program that has stopped.
func filled(t *testing.T) (folder, database string, date routine.Date) {
	t.Helper()
	date = today()
	folder, database = writeFolder(t, date), filepath.Join(t.TempDir(), "studio.db")
	c := newTalk(newProgram(t, folder, database), 1, &result{})
	c.start()
	c.stop()
	leaveNight(t, database, date)
	c.start()
	c.awaitMorning()
	for _, who := range speakers {
		c.turn([]step{{as: who, do: "say", text: "1 96 clean, 2 skip, rest done 40m"}}, nil)
	}
	c.finish()
	return folder, database, date
}

// TestSecondProgramIsRefused starts a second program on the file of a running
// one, which must go on as if nothing had happened.
func TestSecondProgramIsRefused(t *testing.T) {
	folder, database, _ := filled(t)
	link := filepath.Join(t.TempDir(), "by-another-name.db")
	if err := os.Symlink(database, link); err != nil {
		t.Fatal(err)
	}
	first := newTalk(newProgram(t, folder, database), 1, &result{})
	first.start()
	for _, name := range []string{database, link} {
		wantSentence(t, refusal(t, folder, name), database, "another Ledgerline is running on it", "stop that one first")
		first.turn([]step{{as: "ilka", do: "say", text: "2 80 clean"}}, nil)
	}
	first.kill()
	second := newTalk(newProgram(t, folder, database), 2, &result{})
	second.start()
	second.turn([]step{{as: "ilka", do: "say", text: "3 80 clean"}}, nil)
	second.finish()
}

// TestNewerSchemaIsRefused gives the program a file that one after it has
// written.
func TestNewerSchemaIsRefused(t *testing.T) {
	folder, database, _ := filled(t)
	db, err := sql.Open("sqlite", database)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (4711, 1)`); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	before := fileOf(t, database)
	wantSentence(t, refusal(t, folder, database), database, "a newer Ledgerline has written it (schema 4711", "run the newer program")
	if !slices.Equal(fileOf(t, database), before) {
		t.Error("the refused file was changed")
	}
}

// TestDamagedPagesAreRefused fills one page of the file after another with
// noise, and restores it as the program says.
func TestDamagedPagesAreRefused(t *testing.T) {
	const pageSize = 4096 // SQLite's own choice for a new file
	folder, database, date := filled(t)
	good, want := fileOf(t, database), readRecord(t, database, date)
	pages := len(good) / pageSize
	r := rand.New(rand.NewPCG(1, 1))
	for _, page := range r.Perm(pages)[:min(pages, 5)] {
		bad := slices.Clone(good)
		for i := range pageSize {
			bad[page*pageSize+i] = byte(r.Uint32())
		}
		writeFile(t, database, bad)
		said := refusal(t, folder, database)
		if page == 0 {
			wantSentence(t, said, database, "another program")
		} else {
			wantSentence(t, said, database, "is damaged", "the latest backup")
		}
		if !slices.Equal(fileOf(t, database), bad) {
			t.Errorf("page %d of %d: the refused file was changed", page+1, pages)
		}
	}
	writeFile(t, database, good)
	p := newProgram(t, folder, database)
	p.start()
	p.stop()
	(&result{}).hold(t, want, readRecord(t, database, date))
}

func fileOf(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func writeFile(t testing.TB, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}
