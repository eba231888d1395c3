// Package routine says what a brass player practises today, and why.
//
// A teacher works out of books. A [Book] holds studies, a [Study] holds
// numbered lines, and a [Line] is the smallest thing ever assigned: one row of
// music with a key, a range and a count of notes. Each study is worked through
// several times, and each time through is a [Pass]: the same lines under new
// [Demands] (softer, in one breath, with other fingerings, another
// articulation, faster). What a later pass demands is forbidden in an earlier
// one, so passes are ordered and numbered from 1.
//
// A student's [Plan] lists the studies she is on, each at one pass, in order of
// importance. From the plan, from how every line stands ([Standing]), from the
// days just behind her ([History]), from the local [Date] and a seed, [Build]
// makes the [Routine] of the day: numbered items in playing order, each with
// lines, demands, a tempo, minutes, rest and a one-line reason. Build is pure;
// the same input always gives the same routine.
//
// What the student answers becomes entries ([Entry]) and day reports
// ([DayReport]). Reading her words is the work of package routine/reply;
// folding entries into standings and streaks is the work of package streaks.
// This package owns the words all of them share, and performs no I/O, starts no
// goroutine and never asks what time it is.
//
// A [Tempo] is always a number and a note value. Dates are civil dates
// ([Date]), never instants: a practice day belongs to the student's wall
// calendar, whatever the clocks do that night. Pitches ([Pitch]) are written
// pitches: the B-flat trumpet sounds two semitones lower.
package routine
