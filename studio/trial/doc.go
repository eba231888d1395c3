// Package trial asks whether the day builder is worth having: are simulated
// students sooner at their goals with its routines than with the same minutes
// spent in the order of the book, or at random?
//
// # Method
//
// A simulated student ([Model]) learns each line of her plan along a curve of its
// own, exponential or power, from a tempo about where the pass begins to a limit
// that is mostly above its goal. What moves her along the curve is practice, and
// practice comes from minutes, from how near the tempo is to what she can do, and
// in part from the lines beside it. Some of it fades. Strenuous playing tires the
// lip within the day and, beyond a measure, over days; a tired lip plays slower
// and learns less. She is ill at times, leaves days out, breaks off, has good and
// bad days, and says of an item that it was clean, shaky, missed or just done
// according to what she could do and to her mood.
//
// The log, the standings and the ladder are the real ones: replies are folded by
// [streaks.Apply], and tempi come from [routine.Build]. Once a week a teacher
// signs off what is ready and may open the next pass.
//
// Each student lives several times over, once under each [Policy], with the same
// gifts, illnesses and moods ([Trial.Run]): chance is drawn for her, her lines and
// her dates, and never for what a policy does. Under the other policies she has on
// each date the minutes that the builder's routine had; what doesn't fit is added
// to her next day. Their items are made by the builder too, line by line, so that
// tempo, length and rest are as they would be; only the choice and the order
// differ. Policies that change something else besides (tempi by feel, items of
// another length, a warm-up every day) are there to show what a difference is
// made of.
//
// Two things that the builder's days have cost it lines that pass, and the plain
// order has neither: a warm-up and a warm-down every day, and reviews, by which
// lines that have passed are found to have slipped. A policy that has the same
// duties shows what the choice is worth, though its warm-ups take about twice the
// minutes that the builder's take once they have passed; and the count of lines passed that
// she can still play what the reviews are.
//
// Lives are compared by [Measures], as the mean under the builder over the mean
// under the other, with an interval by a bootstrap that draws students
// ([Result.Ratio]). [Variants] repeats all of it with one assumption changed.
//
// The lives also hold what no log of a real student does: what she could truly
// play on each day. [Result.Forecasts] and [Result.Plateaus] use it to see how
// often the ranges of streaks/forecast hold, and whether lines that stand still
// are found.
//
// # What it does not show
//
// Simulated students are not students. Where the builder is ahead here, it says that
// its rules suit the model, and the model is made up: no number in it was measured
// on a person. The intervals are about which students were drawn, not about
// whether the model is right; for that there are only the variants, and they
// change one thing at a time.
//
// Left out are: pain and injury, so that holding back strenuous work, which is
// what the builder does it for, gains little here and costs lines of range; sound,
// intonation and music, of which nothing is measured but tempo; whether variety or
// a reason beside each item keeps anybody at it, since she plays as often under
// each policy; what mixing or blocking tasks does to learning; and teachers, who
// would change a plan that doesn't move. The plans are those of nine invented
// students.
//
// # Running it
//
//	go test ./studio/trial -run Trial -v                             # small, some seconds
//	TRIAL=full go test ./studio/trial -v -count=1 -timeout 60m       # all of it
//	TRIAL=full TRIAL_SEED=7001 go test …                             # with other students
//
// What is changed in the builder is tried on students of some seeds and measured
// on students of another, so that it is not the draw that it suits.
package trial
