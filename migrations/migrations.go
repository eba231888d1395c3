// Package migrations holds the steps by which a database comes to the shape
// the program wants, one folder for each dialect of SQL.
//
// The steps are numbered and only ever added to: a step that has been released
// is never edited, because databases that have taken it will not take it again.
// Each runs in a transaction, up in the order of the numbers. A step must keep
// every row it finds. The way down is for developers; the program never goes it.
package migrations

import (
	"embed"
	"io/fs"
)

//go:embed sqlite/*.sql postgres/*.sql
var files embed.FS

// SQLite returns the steps for SQLite, as files named number_noun.sql with
// goose's comments in them.
func SQLite() fs.FS { return dialect("sqlite") }

// Postgres returns the steps for PostgreSQL.
func Postgres() fs.FS { return dialect("postgres") }

func dialect(folder string) fs.FS {
	sub, err := fs.Sub(files, folder)
	if err != nil {
		panic(err) // the folder is in the binary
	}
	return sub
}
