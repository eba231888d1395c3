// Package database keeps studios in the tables of a database that speaks SQL.
//
// It is what the stores of packages sqlite and postgres have in common: the
// transactions ([Store]), the connections and the statements prepared on them
// ([Conn]), and every query. What a kind of database does in its own way is its
// [Dialect].
//
// # How it is kept
//
// Dates are days from 1970-01-01 ([ledgerline/routine.Date]); instants are
// microseconds from its midnight in UTC, and come back in UTC: what is finer is
// cut off. Columns hold what rows are looked up by, and a JSON body holds the
// rest; a body that could not be read back is refused when it is written. Text is
// ordered by code point.
//
// Queries stand in SQLite's words, with ? or ?1 for a value, and say nothing that
// another database understands otherwise but for the hints to SQLite's planner,
// INDEXED BY and CROSS JOIN, which a dialect leaves out. Truth values are used as
// such, without comparing them with a number.
package database
