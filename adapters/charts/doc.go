// Package charts draws the studio's pictures as PNG files, and says the same in
// words.
//
// A picture looks like a page a musician already reads: ink on paper, ruled
// lines, noteheads. A tempo picture ([studio.TempoPicture]) rules one line for
// each metronome mark it names and sets a notehead for every playing: filled
// where it was clean, open where it was shaky, a cross where it was missed. The
// goal is the one line in the accent colour, and carries its number. A calendar
// ([studio.CalendarPicture]) is set like a score: a line for each student, a
// measure for each ISO week, at most four measures to a system, and a slur over
// a week that was kept.
//
// A map ([studio.MapPicture]) has a sign for each line, by how it stands, in a row
// for each study or student. The picture of a challenge ([studio.ChallengePicture])
// sets a notehead at the end of each date, rising towards the goal, and below it
// one for each who is ahead.
//
// Nothing is told by colour alone. Every kind of playing and of day has a shape
// of its own, which a greyscale print keeps, and the ground is opaque, so that a
// picture reads the same in a light and in a dark chat. A picture is 720 pixels
// wide, to be shown 360 CSS pixels wide on a phone; its smallest letters are 22
// pixels, 11 there. It grows downward with its rows.
//
// Lettering is Liberation Serif, compiled in; no font of the host is used, and
// the same figures give the same picture everywhere. It holds Latin, Greek,
// Cyrillic and Hebrew letters. What it has no letters for is not drawn as boxes:
// a name becomes the number of its row, which [Describe] gives with the whole
// name, and in a title the gap is an ellipsis.
package charts
