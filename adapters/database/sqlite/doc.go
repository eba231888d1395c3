// Package sqlite keeps a studio in one SQLite file.
//
// [Open] makes or upgrades the file and returns a [Store], the embedded default
// for [studio.Store].
//
// # What is promised
//
// A transaction is kept whole or not at all, whatever happens to the process or
// the machine: the file is in write-ahead mode and every commit is flushed to
// the disk before Update returns (synchronous=FULL). The faster setting would
// survive a crash of the program but not a cut of the power, and the chat has
// been told by then that the message is safe.
//
// One transaction writes at a time, also between two programs on one file:
// each begins by taking the write lock (BEGIN IMMEDIATE), so that nothing read
// in it can have changed by the time it is written. Readers see the file as it
// was when they began to read and wait for nobody.
//
// One program works on a file: Open claims it by a lock on an empty file beside
// it, which ends with the process, and refuses a file that another program has
// claimed. On a network file system whose locks do not reach other machines,
// only programs on one machine are told from each other.
//
// Open has SQLite check all pages, which takes about five seconds for a
// gigabyte. That finds pages that are torn, lost or overwritten. It does not find
// a row that still looks like one but says something else: rows have no checksum.
//
// # How it is kept
//
// As package database says, which has the queries. Settings are per connection in
// SQLite, so they are part of the data source name and not run once.
package sqlite
