package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"ledgerline/adapters/database"
	"ledgerline/migrations"
)

// Open opens the database file at path, makes it if it is not there, and brings
// it to the shape this program wants. It refuses, in one sentence and without
// touching the file, one that another running program has open, one that a newer
// program has written, one that belongs to another program, and one whose pages
// are damaged. The directory must exist.
func Open(ctx context.Context, path string) (*Store, error) {
	path, err := create(path)
	if err != nil {
		return nil, err
	}
	own, err := takeClaim(ctx, path)
	if err != nil {
		return nil, err
	}
	s, err := open(ctx, path)
	if err != nil {
		return nil, errors.Join(err, own.release())
	}
	s.own = own
	return s, nil
}

// open opens a file without claiming it.
func open(ctx context.Context, path string) (s *Store, err error) {
	s = &Store{}
	if s.readDB, err = sql.Open("sqlite", readerName(path)); err != nil {
		return nil, explain(path, err)
	}
	if s.writeDB, err = sql.Open("sqlite", writerName(path)); err != nil {
		return nil, errors.Join(explain(path, err), s.readDB.Close())
	}
	s.Store = database.New(s.writeDB, s.readDB, dialect())
	if err := prepare(ctx, s, path); err != nil {
		return nil, errors.Join(explain(path, err), s.Close())
	}
	return s, nil
}

// prepare makes sure that the file is ours, and of the newest shape.
func prepare(ctx context.Context, s *Store, path string) error {
	if err := checkOwner(ctx, s.readDB, path); err != nil {
		return err
	}
	if err := checkVersion(ctx, s.readDB, path); err != nil {
		return err
	}
	if err := checkPages(ctx, s.readDB, path); err != nil {
		return err
	}
	if err := migrate(ctx, s.writeDB, migrations.SQLite()); err != nil {
		return err
	}
	return checkWritable(ctx, s.writeDB)
}

// checkPages has SQLite look at every page of the file: whether the pages hang
// together, and every row is where its keys say. What is written in a row has no
// checksum; that it changed by itself is not found.
func checkPages(ctx context.Context, db *sql.DB, path string) error {
	var verdict string
	if err := db.QueryRowContext(ctx, `PRAGMA quick_check(1)`).Scan(&verdict); err != nil {
		return fmt.Errorf("checking the pages: %w", err)
	}
	if verdict != "ok" {
		return damaged(path, verdict)
	}
	return nil
}

// checkWritable writes. SQLite opens a file that it may not write for reading,
// and begins transactions on it, and complains only then.
func checkWritable(ctx context.Context, db *sql.DB) error {
	if _, err := db.ExecContext(ctx, `UPDATE log_count SET last = last`); err != nil {
		return fmt.Errorf("writing to the database: %w", err)
	}
	return nil
}

// create makes an empty file for its owner's eyes only if there is none, and
// returns the absolute path.
func create(path string) (string, error) {
	if path == "" {
		return "", errors.New("no database file is named: give a path, for example ledgerline.db")
	}
	path, err := filepath.Abs(path)
	if err != nil {
		return "", fmt.Errorf("database %s: %w", path, err)
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // by whatever name it is called, it is claimed by one
	}
	dir := filepath.Dir(path)
	if info, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("database %s: there is no directory %s: make it first, or give another path", path, dir)
	} else if err == nil && !info.IsDir() {
		return "", fmt.Errorf("database %s: %s is not a directory: give another path", path, dir)
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return "", fmt.Errorf("database %s: that is a directory: give the path of a file in it, for example %s", path, filepath.Join(path, "ledgerline.db"))
	}
	// O_EXCL: closing a file that another connection of this process has open
	// would drop its locks.
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	switch {
	case errors.Is(err, fs.ErrExist):
		return path, nil
	case errors.Is(err, fs.ErrPermission):
		return "", notWritable(path)
	case err != nil:
		return "", fmt.Errorf("database %s: %w", path, err)
	}
	return path, f.Close()
}

// Settings of every connection. A writer waits this long for another program's
// transaction to end.
const settings = "_busy_timeout=10000&_foreign_keys=1"

func writerName(path string) string {
	return fileName(path) + "?" + settings + "&_journal_mode=WAL&_synchronous=FULL&_txlock=immediate&_pragma=secure_delete(1)"
}

func readerName(path string) string {
	return fileName(path) + "?" + settings + "&mode=rw&_query_only=1"
}

// fileName returns the path as a URI, in which no character of it is taken for
// a parameter.
func fileName(path string) string {
	path = filepath.ToSlash(path)
	if path[0] != '/' {
		path = "/" + path // a drive letter
	}
	u := url.URL{Scheme: "file", Path: path}
	return u.String()
}

// explain turns what SQLite says of a file it can't use into a sentence that
// says what to do.
func explain(path string, err error) error {
	var e *driver.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() & 0xff { // the rest is detail
	case codes.SQLITE_CANTOPEN, codes.SQLITE_READONLY, codes.SQLITE_PERM:
		return notWritable(path)
	case codes.SQLITE_NOTADB:
		return notOurs(path)
	case codes.SQLITE_BUSY:
		return fmt.Errorf("database %s: another program holds it locked: end that program, or give another path", path)
	case codes.SQLITE_CORRUPT:
		return damaged(path, e.Error())
	case codes.SQLITE_FULL:
		return fmt.Errorf("database %s: there is no room left on its disk: make some, then start again", path)
	}
	return fmt.Errorf("database %s: %w", path, err)
}

func damaged(path, what string) error {
	what = strings.Join(strings.Fields(what), " ")
	return fmt.Errorf("database %s: the file is damaged (%s): move it and %s-wal away, but keep them, and put the latest backup in its place: bot restore BACKUP --database %[1]s", path, what, filepath.Base(path))
}

func notWritable(path string) error {
	return fmt.Errorf("database %s: this user may not write there: allow writing to the file and its directory, or give another path", path)
}

func notOurs(path string) error {
	return fmt.Errorf("database %s: the file belongs to another program: give the path of a Ledgerline database, or of no file yet", path)
}
