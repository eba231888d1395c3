// Package postgres keeps studios in a PostgreSQL database.
//
// [Open] makes or upgrades the tables and returns a [Store]. It keeps what
// package sqlite keeps, by the same promises, and passes the same tests.
//
// # One program at a time
//
// One program works on a database: its one writing connection holds an advisory
// lock for as long as it is open, and every Update goes over that connection, so
// that whoever has lost the lock can write nothing more. Another program is
// refused, or waits ([OpenWaiting]) and takes over when the first one ends, however
// it ends; that may be on another machine. What the first one had sent and not
// noted down yet the second sends again under the same key.
//
// # How it is kept
//
// As package database says, which has the queries, but for what has a type here:
// truth values are BOOLEAN, and texts that may hold any byte, such as what people
// wrote, are BYTEA. Text is ordered by code point (COLLATE "C"). Queries get
// PostgreSQL's $1 for a value when they are prepared.
//
// [Store.Scrub] writes the tables anew. What was removed stays in the server's
// write-ahead log, and in backups, until these are removed in their turn.
package postgres
