// Package audio reads sound files into samples, in pure Go.
//
// [Decode] knows a file by its first bytes. It averages the channels into one,
// since a minute test has one player, and keeps the file's own rate. Before
// anything is decoded the file must be within [Limits]; a file that is too long,
// damaged or of another kind gives an [Unfit], whose text is a sentence for
// whoever sent it.
//
// # How hearing does
//
// Of whole minutes of sixteenths, triplets and eighths at 2 to 12 notes a second,
// half of them with a note left out, every fifth was measured (LEDGERLINE_TABLE=full,5
// go test -run TestTable -v), under each condition 15 made of recorded trumpet notes
// and 16 played by a sound font's trombone, tuba and horn. None is a person's own
// minute test. Errors are the greatest of any answer; F is the F-measure with notes
// 50 and 25 ms apart counting as the same.
//
//	                      no answer   count    tempo    F 50   F 25   held although  broken although
//	                                                                  one missing    none missing
//	recorded
//	  clean                0 of 15   0.00 %   0.07 %   1.000  0.941        0              0
//	  room                 0         0.35 %   0.07 %   1.000  0.805        0              0
//	  room, noise 20 dB    0         0.14 %   0.05 %   1.000  0.818        0              0
//	  room, noise 10 dB    0         0.00 %   0.04 %   0.999  0.798        0              0
//	  room, talk, Opus 32  0         0.32 %   0.04 %   1.000  0.820        0              0
//	  room, talk, Opus 24  0         0.32 %   0.05 %   1.000  0.818        0              0
//	  room, talk, Opus 16  0         0.32 %   0.03 %   1.000  0.798        0              0
//	synthesised
//	  clean                2 of 16   0.22 %   0.21 %   0.356  0.036        0              0
//	  room                 4         0.50 %   0.20 %   0.203  0.004        0              0
//	  room, noise 20 dB    4         0.87 %   0.20 %   0.262  0.006        0              0
//	  room, noise 10 dB    8         0.44 %   0.06 %   0.058  0.000        0              0
//	  room, talk, Opus 32  3         0.00 %   0.27 %   0.312  0.012        0              0
//	  room, talk, Opus 24  4         0.00 %   0.27 %   0.337  0.009        0              0
//	  room, talk, Opus 16  4         0.00 %   0.27 %   0.303  0.015        0              0
//
// The sound font's notes speak 40 to 80 ms after they are struck, which is what F
// shows of them, and are let go so slowly that quick ones run together, which is
// most of what has no answer. Whether a minute was held is left open in 0 to 5 of
// 16. Of 252 traps (LEDGERLINE_TABLE=full go test -run TestTraps -v: slurs, talk, noise,
// a second player, a metronome behind, 20 s each) 7 were answered wrongly, all of them
// second players: most played at one speed with the first and were counted with
// her, 2 % off, and one as loud as she was counted in her place. Slurs, talk and
// noise alone had no answer; a metronome behind changed nothing.
//
// A minute takes 0.3 s of one core as WAV, 0.45 s as Opus and 0.7 s as MP3, and 60
// to 110 MB, with the program itself.
package audio
