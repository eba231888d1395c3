// Package audio reads sound files into samples, in pure Go.
//
// [Decode] knows a file by its first bytes. It averages the channels into one,
// since a minute test has one player, and keeps the file's own rate. Before
// anything is decoded the file must be within [Limits]; a file that is too long,
// damaged or of another kind gives an [Unfit], whose text is a sentence for
// whoever sent it.
package audio
