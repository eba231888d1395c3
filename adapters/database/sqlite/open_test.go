package sqlite

import (
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pressly/goose/v3"

	"ledgerline/migrations"
	"ledgerline/routine"
	"ledgerline/studio"
)

// refused fails unless Open refuses the path with a sentence that holds all of
// the parts.
func refused(t *testing.T, path string, parts ...string) {
	t.Helper()
	s, err := Open(t.Context(), path)
	if err == nil {
		s.Close()
		t.Fatalf("%s was opened", path)
	}
	for _, part := range parts {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("the error lacks %q: %v", part, err)
		}
	}
	if strings.Contains(err.Error(), "\n") {
		t.Errorf("the error has more than one line: %v", err)
	}
}

func TestOpenRefuses(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "notes.txt")
	if err := os.WriteFile(text, []byte(strings.Repeat("Bring the mute on Tuesday.\n", 99)), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		name, path string
		parts      []string
	}{
		{"no path", "", []string{"no database file is named"}},
		{"no directory", filepath.Join(dir, "none", "studio.db"), []string{"there is no directory " + filepath.Join(dir, "none"), "make it first"}},
		{"directory that is a file", filepath.Join(text, "studio.db"), []string{"not a directory"}},
		{"directory", dir, []string{"that is a directory", filepath.Join(dir, "ledgerline.db")}},
		{"text", text, []string{text, "another program"}},
	} {
		t.Run(test.name, func(t *testing.T) { refused(t, test.path, test.parts...) })
	}
}

func TestOpenRefusesAnotherProgramsDatabase(t *testing.T) {
	path := filepath.Join(t.TempDir(), "recipes.db")
	execute(t, path, `CREATE TABLE recipe (name TEXT)`)
	before := contents(t, path)
	refused(t, path, path, "another program")
	if contents(t, path) != before {
		t.Error("the file was changed")
	}
}

func TestOpenRefusesNewerSchema(t *testing.T) {
	path := filepath.Join(t.TempDir(), "studio.db")
	if err := openFile(t, path).Close(); err != nil {
		t.Fatal(err)
	}
	execute(t, path, `INSERT INTO goose_db_version (version_id, is_applied) VALUES (4711, 1)`)
	before := contents(t, path)
	refused(t, path, "newer Ledgerline", "schema 4711", "run the newer program")
	if contents(t, path) != before {
		t.Error("the file was changed")
	}
}

func TestOpenRefusesWhereItMayNotWrite(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may write everywhere; run this test as another user")
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "studio.db")
	allow := func(path string, mode os.FileMode) {
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
	}
	allow(dir, 0o500)
	t.Cleanup(func() { allow(dir, 0o700) })
	refused(t, path, path, "may not write")
	allow(dir, 0o700)
	if err := openFile(t, path).Close(); err != nil {
		t.Fatal(err)
	}
	allow(path, 0o400)
	refused(t, path, path, "may not write")
	allow(path, 0o600)
	allow(dir, 0o500)
	refused(t, path, path, "may not write")
}

func TestOpenAwkwardNames(t *testing.T) {
	for _, name := range []string{"a b.db", "50%.db", "who?mode=memory&x=1.db", "#1.db", "Übung.db", "+;'\".db"} {
		path := filepath.Join(t.TempDir(), name)
		s := openFile(t, path)
		if err := s.Update(t.Context(), func(tx studio.Tx) error { return tx.PutMark("name", name) }); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		info, err := os.Stat(path)
		if err != nil {
			t.Error(err)
		} else if info.Mode().Perm() != 0o600 {
			t.Errorf("%s has mode %v, want one for the owner alone", name, info.Mode())
		}
	}
}

func TestOpenAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "studio.db")
	for range 3 {
		s := openFile(t, path)
		if err := s.Update(t.Context(), func(tx studio.Tx) error { return tx.PutMark("tide", "low") }); err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if left, _ := filepath.Glob(path + "-*"); len(left) > 0 {
			t.Errorf("closing left %v", left)
		}
	}
}

// The settings are per connection; a new one must have them all.
func TestSettings(t *testing.T) {
	s := openFile(t, filepath.Join(t.TempDir(), "studio.db"))
	_, giveBack, err := s.Writer(t.Context()) // nobody else has the only connection
	if err != nil {
		t.Fatal(err)
	}
	defer giveBack()
	for _, test := range []struct {
		db            *sql.DB
		pragma, value string
	}{
		{s.writeDB, "journal_mode", "wal"},
		{s.writeDB, "synchronous", "2"}, // FULL
		{s.writeDB, "secure_delete", "1"},
		{s.writeDB, "foreign_keys", "1"},
		{s.writeDB, "busy_timeout", "10000"},
		{s.readDB, "query_only", "1"},
		{s.readDB, "busy_timeout", "10000"},
	} {
		var got string
		if err := test.db.QueryRowContext(t.Context(), "PRAGMA "+test.pragma).Scan(&got); err != nil {
			t.Fatal(err)
		}
		if got != test.value {
			t.Errorf("%s is %s, want %s", test.pragma, got, test.value)
		}
	}
}

// TestUpgrade takes a file of the first schema, with rows in every table, to
// the newest.
func TestUpgrade(t *testing.T) {
	s := openFile(t, oldFile(t))
	checkIntegrity(t, s)
	if err := s.View(t.Context(), checkedBy(t)); err != nil {
		t.Error(err)
	}
}

// checkedBy returns checkSchema1 for a View.
func checkedBy(t *testing.T) func(studio.Tx) error {
	return func(tx studio.Tx) error { return checkSchema1(t, tx) }
}

// checkSchema1 checks that what testdata/schema1.sql put in is there.
func checkSchema1(t *testing.T, tx studio.Tx) error {
	const wim = studio.MemberID("wim")
	day := routine.NewDate(2026, 3, 2)
	st, err := tx.StudioAt(studio.Address{Platform: "room", Channel: "square"})
	check(t, err, "studio", st.Name == "Harbour Row Brass")
	members, err := tx.MembersWith(studio.Account{Platform: "room", ID: "wim"})
	check(t, err, "member", len(members) == 1 && members[0].Name == "Wim")
	plan, err := tx.Plan(wim)
	check(t, err, "plan", len(plan.Entries) == 1 && plan.Entries[0].Pass == 2)
	today, err := tx.Routine(wim, day)
	check(t, err, "routine", today.Minutes == 30)
	reports, err := tx.Reports(wim, day, day)
	check(t, err, "report", len(reports) == 1 && reports[0].Day.Minutes == 25 && len(reports[0].Entries) == 1)
	line := routine.LineRef{Book: "slur-atlas", Study: 3, Line: 1}
	entries, err := tx.LineEntries(wim, line, 1)
	check(t, err, "entries", len(entries) == 1 && entries[0].Outcome == routine.Shaky)
	acts, err := tx.LineActs(wim, line, 1)
	check(t, err, "act", len(acts) == 1 && acts[0].Seq == 6)
	standing, err := tx.Standing(wim, routine.StandingKey{Line: line, Pass: 1})
	check(t, err, "standing", standing.State == routine.Passed)
	bests, err := tx.Bests(wim)
	check(t, err, "best", len(bests) == 1 && bests[0].Tempo.BPM == 80)
	streak, err := tx.Streak(wim)
	check(t, err, "streak", streak.Longest == 11)
	unread, err := tx.UnreadMessages(9)
	check(t, err, "unread message", len(unread) == 1 && unread[0].Text == "rest")
	sent, err := tx.PostKnownAs("room", "p1")
	check(t, err, "post", sent.Title == "Monday" && sent.SentAt.Year() == 2026)
	next, err := tx.NextDue()
	check(t, err, "due work", next.Year() == 2026)
	questions, err := tx.OpenQuestions(wim)
	check(t, err, "question", len(questions) == 1 && questions[0].About == "item 2")
	kept, err := tx.KeptSounds(wim)
	check(t, err, "recording", len(kept) == 1 && kept[0].Bytes == 2)
	challenges, err := tx.Challenges("harbour-row")
	check(t, err, "challenge", len(challenges) == 1 && challenges[0].Kind.Goal == 80 && challenges[0].Joined[0] == wim)
	deeds, err := tx.Deeds("harbour-row", 9)
	check(t, err, "deed", len(deeds) == 1 && deeds[0].ID == 1 && deeds[0].Words == "Wim 40")
	mark, err := tx.Mark("roster")
	check(t, err, "mark", mark == "7")
	return nil
}

func check(t *testing.T, err error, what string, ok bool) {
	t.Helper()
	if err != nil {
		t.Errorf("%s: %v", what, err)
	} else if !ok {
		t.Errorf("the %s is not what the old file held", what)
	}
}

// The way down must work for whoever develops the next step.
func TestDownAndUp(t *testing.T) {
	path := filepath.Join(t.TempDir(), "studio.db")
	migrateTo(t, path, 1)
	migrateTo(t, path, 0)
	checkIntegrity(t, openFile(t, path))
}

// migrateTo takes the file at path to a version of the schema.
func migrateTo(t *testing.T, path string, version int64) {
	t.Helper()
	db, err := sql.Open("sqlite", writerName(path))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	p, err := goose.NewProvider(goose.DialectSQLite3, db, migrations.SQLite(), goose.WithLogger(goose.NopLogger()))
	if err != nil {
		t.Fatal(err)
	}
	if version == 0 {
		_, err = p.DownTo(t.Context(), 0)
	} else {
		_, err = p.UpTo(t.Context(), version)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// execute runs statements on a file behind the back of the store.
func execute(t *testing.T, path, statements string) {
	t.Helper()
	db, err := sql.Open("sqlite", fileName(path)+"?"+settings)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(t.Context(), statements); err != nil {
		t.Fatal(err)
	}
}

func contents(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// checkIntegrity has SQLite check the whole file.
func checkIntegrity(t *testing.T, s *Store) {
	t.Helper()
	var verdict string
	if err := s.readDB.QueryRow("PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("integrity check: %s, %v", verdict, err)
	}
	var broken int
	if err := s.readDB.QueryRow("SELECT count(*) FROM pragma_foreign_key_check").Scan(&broken); err != nil || broken != 0 {
		t.Errorf("%d foreign keys are broken, %v", broken, err)
	}
}
