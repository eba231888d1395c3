// Package csv reads and writes a studio's lists as tables for a spreadsheet
// (RFC 4180, UTF-8): the first row names the columns, each further row is one
// thing.
//
// Members (members.csv): id, name, role (teacher, assistant, student, guardian),
// age (under-13, 13-15, 16-17, adult), zone, lang, accounts (such as
// "room:ada matrix:@ada:example.org"), public (true or false), quiet
// (21:30-07:00), wards (ids of a guardian's students); and of students
// instrument, level, minutes, strain-rise, soft (hours), highest (G5), off (sunday, or several), joined,
// consent (dates), performances (dates), post-at, remind-at (cron specs).
//
// Plans (plans.csv), most important study first: member (her id), study
// (slur-atlas/2), pass, since, target (dates), lines and pinned (1-6 9), add
// (demands: p one-breath), lock (quarter=80), hold, interleave (true or false), instrument, together, ladder
// (5%), test-every.
//
// A cell that holds several things has blanks between them. An empty cell says
// nothing: what is set stays. The comma or the semicolon may part the columns,
// whichever the first row has.
//
// Written besides, for other programs to read: days.csv, one row for each report
// about a day; log.csv, one for each entry about an item, with the tempi as
// "quarter=96" and the remark word for word; standings.csv, how each line stands
// in each pass. Dates are civil dates in the member's zone.
//
// A spreadsheet takes a cell that begins with =, +, -, @, a tab or a return for a
// formula, and would run what a stranger wrote. Such a cell is written with an
// apostrophe before it, and read without.
package csv
