// Package postgres keeps studios in a PostgreSQL database.
//
// [Open] makes or upgrades the tables and returns a [Store]. It keeps what
// package sqlite keeps, by the same promises, and passes the same tests.
//
// # Several programs
//
// Programs share a database by PostgreSQL's own locks, and know nothing of one
// another. What takes one transaction, the reading of a message or a piece of due
// work, is claimed by the lock on the row of its studio; who looks for work leaves
// out what is locked (FOR NO KEY UPDATE SKIP LOCKED). What takes longer, such as
// sending to a chat, is held by name ([Store.Hold]): an advisory lock of a
// connection that stays open, because a transaction that did would keep the server
// from tidying its tables. When a program ends, however it ends, its connections
// do, and the server has undone its transactions and given up its locks before
// another program looks next; of a machine that vanished it hears within some ten
// seconds. What a program had sent and not noted down yet the next one sends again
// under the same key.
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
