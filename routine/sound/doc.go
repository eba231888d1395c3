// Package sound hears a minute test: samples go in, what was played comes out.
//
// In a minute test a player repeats a note in an even figure, tongued, unbroken,
// for 60 seconds at a tempo. [Measure] finds where each note begins and says how
// many there were, how fast they were and which tempo that means, how long they
// went on unbroken, how even they were, and where they broke. It also says how
// sure it is, and where it can't tell it says so and why, and nothing else.
//
// # How
//
// The sound is cut into frames of 5 ms, and the level of each semitone is taken
// against that semitone's own quiet moments, so that a steady noise or the tail
// of a room becomes the floor. Semitones that move more count for more.
//
// Two ears listen to these levels. One hears the level itself: between tongued
// notes it dips. The other hears attacks: the spectral flux with a maximum
// filter, which a vibrato does not excite (S. Böck and G. Widmer, "Maximum
// filter vibrato suppression for onset detection", DAFx 2013; J. P. Bello et
// al., "A tutorial on onset detection in music signals", IEEE Transactions on
// Speech and Audio Processing 13, 2005, for the field).
//
// Notes are the humps of what an ear hears that stand out from the valleys about
// them by more than a threshold (topological persistence: H. Edelsbrunner, D.
// Letscher and A. Zomorodian, "Topological persistence and simplification",
// Discrete & Computational Geometry 28, 2002). No one threshold suits every
// player and room. So all are tried, and what counts is over how wide a range of
// thresholds the number of notes stays the same: real notes form a group that
// stands apart from the wiggles of noise and echo, and slurred ones do not.
//
// The count is then checked against the period of the flux, found by
// autocorrelation without picking a note, eight seconds at a time, and against
// the pulse of each band by itself, which finds a second player. Where these do
// not agree there is no answer. A tempo that was set can decide between two
// readings of the same sound; it never adds a note.
//
// # What it can't do
//
// It counts tongued notes of one player. Slurs, vibrato on a long tone, two
// players and much noise end in "could not tell". Notes are placed where their
// level rises fastest, some milliseconds after the tongue and later for a slow
// attack: trust steps between notes, not instants. The spread that evenness
// reports contains that of the placing itself, a few milliseconds.
package sound
