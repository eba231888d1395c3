// Package streaks says what the log says.
//
// The log of a student is a list of entries ([routine.Entry]: what became of
// one item) and day reports ([routine.DayReport]: what was said of a whole
// day). Everything here is a fold over it, so that every figure can be made
// again from nothing:
//
//   - how a line stands in a pass ([Apply], [Decide], [Stand]): from new through
//     working and at tempo to passed, and its reviews after that;
//   - the streak and the weeks kept ([Advance], [State.Tally]);
//   - what one date amounts to ([DayLog]) and was for the streak ([Kinds]);
//   - the figures of the teacher's week ([Sum]);
//   - what players bring to a challenge and what it comes to ([Challenge], [Score]),
//     and the teams that are drawn for it ([Draw]).
//
// The first two are kept up as replies come in, one step a reply, and the step
// gives what folding the whole log would. A step is only right for what comes
// after everything folded so far; a reply about an earlier date, a correction
// or a withdrawal calls for folding that line, or that calendar, again.
//
// When a line will come to its goal ([ForecastOf]) and whether it has stopped
// moving ([StuckLines]) is asked of package streaks/forecast.
//
// The rules are common practice in brass studios unless a comment names a
// source. Two of them come before all others: nothing here is gained by playing
// hurt or ill, and a late, clumsy or honest answer never costs more than
// silence.
package streaks
