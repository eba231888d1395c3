// Package soundtest plays minute tests for the tests of hearing.
//
// A [Hand] says how somebody plays (how fast, how evenly, how short the notes),
// [Hand.Notes] is what she then played, note by note, and a [Voice] is one
// recorded or computed note of an instrument out of which [Voice.Play] makes
// samples. [Room], [Noise] and [Mix] do to them what rooms and microphones do.
// Since the notes are known, what is heard in the samples can be scored: [Match].
//
// All randomness comes from the source that is handed in.
package soundtest
