package sqlite

import (
	"bufio"
	"database/sql"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
	"time"

	"ledgerline/migrations"
)

// longStep is a step that rewrites rows for a good while and changes the schema
// at both ends, as a later one might.
const longStep = `-- +goose Up
ALTER TABLE mark ADD COLUMN tide TEXT NOT NULL DEFAULT 'low';
CREATE TABLE buoy (id INTEGER PRIMARY KEY, name TEXT NOT NULL) STRICT;
WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 300000)
INSERT INTO buoy (name) SELECT 'buoy ' || i FROM n;
UPDATE report SET body = json_set(body, '$.minutes', 1);
ALTER TABLE mark DROP COLUMN tide;
-- +goose Down
DROP TABLE buoy;
`

// stepsWith returns the steps of the program and one more.
func stepsWith(text string) fs.FS {
	all := fstest.MapFS{"99999_more.sql": {Data: []byte(text)}}
	err := fs.WalkDir(migrations.SQLite(), ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			data, readErr := fs.ReadFile(migrations.SQLite(), path)
			all[path], err = &fstest.MapFile{Data: data}, readErr
		}
		return err
	})
	if err != nil {
		panic(err) // the steps are in the binary
	}
	return all
}

// migrateOn is what another process does: it takes the long step.
func migrateOn(path string) error {
	db, err := sql.Open("sqlite", writerName(path))
	if err != nil {
		return err
	}
	if err := migrate(background, db, stepsWith(longStep)); err != nil {
		return err
	}
	return db.Close()
}

// oldFile returns the path of a file of the first schema with rows in every
// table.
func oldFile(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "studio.db")
	migrateTo(t, path, 1)
	rows, err := os.ReadFile("testdata/schema1.sql")
	if err != nil {
		t.Fatal(err)
	}
	execute(t, path, string(rows))
	return path
}

// TestKilledWhileMigrating kills a process at random moments of a step: the file
// is of the schema before it or after it, with every row, and the step is taken
// whole by whoever comes next.
func TestKilledWhileMigrating(t *testing.T) {
	begun := time.Now()
	path := oldFile(t)
	if err := migrateOn(path); err != nil {
		t.Fatal(err)
	}
	whole := time.Since(begun)
	halfWay := 0
	for range 8 {
		path := oldFile(t)
		cmd, out := start(t, "migrate", path)
		if line, err := bufio.NewReader(out).ReadString('\n'); line != "begun\n" {
			t.Fatalf("the other process said %q, %v", line, err)
		}
		time.Sleep(time.Duration(rand.Int64N(int64(whole))))
		kill(t, cmd)
		if !hasBuoys(t, path) {
			halfWay++
			reopened := openFile(t, path) // the program of before the step goes on with the file
			checkIntegrity(t, reopened)
			if err := reopened.View(t.Context(), checkedBy(t)); err != nil {
				t.Error(err)
			}
			if err := reopened.Close(); err != nil {
				t.Fatal(err)
			}
		}
		if err := migrateOn(path); err != nil {
			t.Fatal(err)
		}
		if !hasBuoys(t, path) {
			t.Error("the step was not taken after the interruption")
		}
	}
	t.Logf("8 kills, %d before the step was kept", halfWay)
}

// TestFailedStepLeavesTheFileAsItWas has a step fail at its last statement.
func TestFailedStepLeavesTheFileAsItWas(t *testing.T) {
	path := oldFile(t)
	db, err := sql.Open("sqlite", writerName(path))
	if err != nil {
		t.Fatal(err)
	}
	bad := longStep[:len(longStep)-len("-- +goose Down\nDROP TABLE buoy;\n")] + "INSERT INTO nowhere VALUES (1);\n"
	if err := migrate(t.Context(), db, stepsWith(bad)); err == nil {
		t.Fatal("a step that fails is said to be taken")
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if hasBuoys(t, path) {
		t.Error("half a step was kept")
	}
	if err := openFile(t, path).View(t.Context(), checkedBy(t)); err != nil {
		t.Error(err)
	}
}

// hasBuoys reports whether the long step was kept, and fails if part of it was.
func hasBuoys(t *testing.T, path string) bool {
	t.Helper()
	db, err := sql.Open("sqlite", fileName(path)+"?"+settings)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var table, version, tides, rows int
	const look = `
		SELECT (SELECT count(*) FROM sqlite_schema WHERE name = 'buoy'),
			(SELECT count(*) FROM goose_db_version WHERE version_id = 99999),
			(SELECT count(*) FROM pragma_table_info('mark') WHERE name = 'tide')`
	if err := db.QueryRow(look).Scan(&table, &version, &tides); err != nil {
		t.Fatal(err)
	}
	if table == 1 {
		if err := db.QueryRow(`SELECT count(*) FROM buoy`).Scan(&rows); err != nil {
			t.Fatal(err)
		}
	}
	if table != version || tides != 0 || rows != table*300_000 {
		t.Errorf("half a step: table %d, version %d, column %d, rows %d", table, version, tides, rows)
	}
	return table == 1
}
