package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"strings"
)

// A Holding is what a database file was found to hold when it was verified.
type Holding struct {
	Schema int64          // version of the schema
	Rows   map[string]int // number of rows, by table
}

// BackUp copies the database file at path, as it is at one moment, to a new file
// at to, and verifies the copy. A program may be at work on the file meanwhile;
// it is not held up. The copy holds nothing that was deleted before. Beside it
// lies its SHA-256 sum, as “sha256sum --check” reads it. A file that is at to
// already is not written over.
func BackUp(ctx context.Context, path, to string) (Holding, error) {
	path, to, err := absolute(path, to)
	if err != nil {
		return Holding{}, err
	}
	if err := vacant(to); err != nil {
		return Holding{}, err
	}
	part := to + ".part"
	if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Holding{}, fmt.Errorf("backup %s: %w", to, err)
	}
	held, err := copyOf(ctx, path, part)
	if err == nil {
		err = writeSum(part, to)
	}
	if err == nil {
		err = keep(part, to)
	}
	if err != nil {
		return Holding{}, errors.Join(fmt.Errorf("backup of %s to %s: %w", path, to, err), removed(part))
	}
	return held, nil
}

// copyOf writes a verified copy of a database.
func copyOf(ctx context.Context, path, part string) (Holding, error) {
	if _, err := os.Stat(path); err != nil {
		return Holding{}, fmt.Errorf("there is no database %s: give the path of one", path)
	}
	db, err := sql.Open("sqlite", fileName(path)+"?"+settings+"&mode=rw")
	if err != nil {
		return Holding{}, err
	}
	defer db.Close()
	if err := checkOwner(ctx, db, path); err != nil {
		return Holding{}, explain(path, err)
	}
	// Made beforehand, for the owner's eyes only: SQLite writes into an empty file.
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return Holding{}, err
	}
	if err := f.Close(); err != nil {
		return Holding{}, err
	}
	if _, err := db.ExecContext(ctx, `VACUUM INTO ?`, part); err != nil {
		return Holding{}, explain(path, err)
	}
	return Verify(ctx, part)
}

// Restore puts a verified copy of a backup at path. It refuses a backup that is
// damaged or not what its sum says, of another program or of a newer schema, and a path at which there is
// a database or at which a program is at work.
func Restore(ctx context.Context, backup, path string) (held Holding, err error) {
	backup, path, err = absolute(backup, path)
	if err != nil {
		return Holding{}, err
	}
	if err := checkSum(backup); err != nil {
		return Holding{}, err
	}
	if held, err = Verify(ctx, backup); err != nil {
		return Holding{}, err
	}
	own, err := takeClaim(ctx, path)
	if err != nil {
		return Holding{}, err
	}
	defer func() { err = errors.Join(err, own.release()) }()
	for _, name := range []string{path, path + "-wal", path + "-shm"} {
		if err := vacant(name); err != nil {
			return Holding{}, err
		}
	}
	part := path + ".part"
	if err := copyFile(backup, part); err != nil {
		return Holding{}, errors.Join(fmt.Errorf("restoring %s to %s: %w", backup, path, err), removed(part))
	}
	again, err := Verify(ctx, part)
	if err == nil && !maps.Equal(again.Rows, held.Rows) {
		err = fmt.Errorf("the copy of %s is not what the backup is", backup)
	}
	if err == nil {
		err = keep(part, path)
	}
	if err != nil {
		return Holding{}, errors.Join(err, removed(part))
	}
	return held, nil
}

// Verify has SQLite check a database file that no program is at work on, and
// returns what it holds: whether every page and row is in order, whether rows
// refer to rows that are there, and whether this program can read the schema.
func Verify(ctx context.Context, path string) (Holding, error) {
	if _, err := os.Stat(path); err != nil {
		return Holding{}, fmt.Errorf("there is no file %s: give the path of a backup", path)
	}
	db, err := sql.Open("sqlite", fileName(path)+"?"+settings+"&mode=ro&immutable=1")
	if err != nil {
		return Holding{}, err
	}
	defer db.Close()
	held, err := verify(ctx, db, path)
	return held, explain(path, err)
}

func verify(ctx context.Context, db *sql.DB, path string) (held Holding, err error) {
	if err := checkOwner(ctx, db, path); err != nil {
		return held, err
	}
	if err := checkVersion(ctx, db, path); err != nil {
		return held, err
	}
	var verdict string
	if err := db.QueryRowContext(ctx, `PRAGMA integrity_check(1)`).Scan(&verdict); err != nil {
		return held, err
	}
	if verdict != "ok" {
		return held, damagedBackup(path, verdict)
	}
	var broken int
	if err := db.QueryRowContext(ctx, `SELECT count(*) FROM pragma_foreign_key_check`).Scan(&broken); err != nil {
		return held, err
	}
	if broken > 0 {
		return held, damagedBackup(path, fmt.Sprintf("%d rows refer to rows that are not there", broken))
	}
	if err := db.QueryRowContext(ctx, `SELECT max(version_id) FROM goose_db_version`).Scan(&held.Schema); err != nil {
		return held, err
	}
	held.Rows, err = rowsByTable(ctx, db)
	return held, err
}

func damagedBackup(path, what string) error {
	return fmt.Errorf("database %s: the file is damaged (%s): take another backup", path, strings.Join(strings.Fields(what), " "))
}

// rowsByTable counts the rows of every table.
func rowsByTable(ctx context.Context, db *sql.DB) (map[string]int, error) {
	names, err := tableNames(ctx, db)
	if err != nil {
		return nil, err
	}
	rows := map[string]int{}
	for _, name := range names {
		var n int
		// A table's name can't be a parameter; these come from the schema.
		quoted := `"` + strings.ReplaceAll(name, `"`, `""`) + `"`
		if err := db.QueryRowContext(ctx, `SELECT count(*) FROM `+quoted).Scan(&n); err != nil {
			return nil, fmt.Errorf("counting %s: %w", name, err)
		}
		rows[name] = n
	}
	return rows, nil
}

func tableNames(ctx context.Context, db *sql.DB) (names []string, err error) {
	found, err := db.QueryContext(ctx, `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`)
	if err != nil {
		return nil, err
	}
	defer found.Close()
	for found.Next() {
		var name string
		if err := found.Scan(&name); err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, found.Err()
}

func absolute(a, b string) (string, string, error) {
	absA, errA := filepath.Abs(a)
	absB, errB := filepath.Abs(b)
	return absA, absB, errors.Join(errA, errB)
}

// vacant fails if there is a file at path.
func vacant(path string) error {
	switch _, err := os.Lstat(path); {
	case err == nil:
		return fmt.Errorf("%s is there already: move it away first, or give another path", path)
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	return nil
}

// keep flushes a file to the disk and gives it its name.
func keep(part, name string) error {
	if err := flush(part); err != nil {
		return err
	}
	if err := os.Rename(part, name); err != nil {
		return err
	}
	return flushFolder(filepath.Dir(name))
}

func flush(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

func removed(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
