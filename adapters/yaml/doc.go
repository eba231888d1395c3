// Package yaml reads a studio's books, and the studio itself, from YAML files.
//
// A teacher writes these files by hand, so the reader is strict and talkative:
// it reports every problem it finds, not only the first, each with the file,
// the line and what to write instead ([routine.Problem]). A field it does not
// know is a problem too, and the answer names the field that was probably
// meant.
//
// # Books
//
// A book is one file:
//
//	id: daily-ground
//	title: Daily Ground
//	studies:
//	  - number: 1
//	    title: Scales over one octave
//	    skill: technique
//	    cycle: 6                 # days in which every line comes round; 7 if left out
//	    together: 2              # neighbouring lines in one item; 1 if left out
//	    first-pass: {one-breath: 2, third-valve: 3}
//	    compute:
//	      figure: scale
//	      keys: major            # or minor, all, or a list: [C, Eb, G minor]
//	      octaves: 1
//	      from: F#3
//	      to: C6
//	      notes-per-beat: 2
//	    passes:
//	      - number: 1
//	        breath: breath-by-phrase
//	        from: quarter=60
//	        to: quarter=96
//	        clean-means: even, and every note speaks
//	        clean-days: 2        # 1 if left out
//	        share: 0.8           # 1 if left out
//	      - number: 2
//	        breath: one-breath
//	        dynamic: p
//	        from: quarter=72
//	        to: quarter=108
//	        sign-off: true
//
// Instead of computing its lines a study may list them:
//
//	lines:
//	  - {number: 1, key: Eb, pitches: [Eb4, F4, G4, Ab4, Bb4], notes-per-beat: 2, beats: 4}
//	  - {number: 2, key: Eb, low: Eb4, high: Bb4, notes: 32, notes-per-beat: 4, beats: 8}
//
// The figures that can be computed, and the fields each of them has, are those
// of [routine.Recipe].
//
// # The studio
//
// A studio is one file, with its members and what each student is working on;
// see [ReadRoster]. What its bot says otherwise than the program does stands in a
// file of its own, see [ReadWords], and so do its kinds of challenge: [ReadKinds].
//
// # Limits
//
// A file is at most 1 MiB long and one document. Anchors and aliases are
// refused, so that a short file cannot stand for an endless one.
package yaml
