package routine

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A BookID names a book within a studio: lower-case letters, digits and
// hyphens, such as "daily-ground".
type BookID string

// A StudyRef names one study of one book.
type StudyRef struct {
	Book  BookID `json:"book"`
	Study int    `json:"study"`
}

// String returns the reference as "daily-ground/2".
func (r StudyRef) String() string { return string(r.Book) + "/" + strconv.Itoa(r.Study) }

// Line returns the reference of the study's line with the given number.
func (r StudyRef) Line(n int) LineRef { return LineRef{r.Book, r.Study, n} }

// A LineRef names one line of one study of one book.
type LineRef struct {
	Book  BookID
	Study int
	Line  int
}

// StudyRef returns the study the line is in.
func (r LineRef) StudyRef() StudyRef { return StudyRef{r.Book, r.Study} }

// String returns the reference as "daily-ground/2/14".
func (r LineRef) String() string {
	return string(r.Book) + "/" + strconv.Itoa(r.Study) + "/" + strconv.Itoa(r.Line)
}

// MarshalText implements [encoding.TextMarshaler].
func (r LineRef) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (r *LineRef) UnmarshalText(text []byte) error {
	parts := strings.Split(string(text), "/")
	if len(parts) == 3 {
		study, err1 := strconv.Atoi(parts[1])
		line, err2 := strconv.Atoi(parts[2])
		if err1 == nil && err2 == nil {
			*r = LineRef{BookID(parts[0]), study, line}
			return nil
		}
	}
	return fmt.Errorf("line %q: write book/study/line, for example daily-ground/2/14", text)
}

// A Skill is the kind of work a line is. The order of the constants is the
// order of playing (common practice).
type Skill string

// The skills, in the order they are played in.
const (
	WarmUp        Skill = "warm-up"
	Flexibility   Skill = "flexibility"
	Technique     Skill = "technique"
	Articulation  Skill = "articulation"
	Range         Skill = "range"
	SightReading  Skill = "sight-reading"
	Transposition Skill = "transposition"
	Etude         Skill = "etude"
	WarmDown      Skill = "warm-down"
)

var skills = [...]Skill{WarmUp, Flexibility, Technique, Articulation, Range, SightReading, Transposition, Etude, WarmDown}

// Skills returns all skills in the order they are played in.
func Skills() []Skill { return slices.Clone(skills[:]) }

// Place returns the place of the skill in the day, from 0; -1 for a skill that is
// none. Technique and articulation share a place, in whatever order, and so does
// all music: sight-reading, transposition and etudes (common practice).
func (s Skill) Place() int {
	switch s {
	case WarmUp:
		return 0
	case Flexibility:
		return 1
	case Technique, Articulation:
		return 2
	case Range:
		return 3
	case SightReading, Transposition, Etude:
		return 4
	case WarmDown:
		return 5
	}
	return -1
}

// A Catalogue is the set of books a studio teaches from.
type Catalogue struct {
	Books []Book
}

// A Book is a method book: studies under one title.
type Book struct {
	ID      BookID
	Title   string
	Studies []Study
	Source  Source
}

// A Study is a set of lines that are learned together, and the passes it is
// worked through in.
type Study struct {
	Number int
	Title  string
	Skill  Skill
	Lines  []Line
	Passes []Pass

	// Cycle is the number of days in which every line comes round once, at
	// least 1.
	Cycle int

	// Together is how many neighbouring lines make one item, at least 1.
	Together int

	// First holds, for each demand that is not free from the start, the
	// number of the first pass that may ask for it.
	First map[Demand]int

	Source Source
}

// A Line is the smallest thing assigned: one row of music, in written pitch.
type Line struct {
	Number       int
	Key          string // such as "Eb" or "C minor"; empty where there is none
	Low, High    Pitch  // lowest and highest written pitch
	Notes        int    // notes in one playing
	NotesPerBeat int    // 4 for sixteenths in quarters, 3 for triplets
	Beats        int    // beats in one playing, in the note value of the tempo
	Pitches      []Pitch
	Source       Source
}

// A Source is where in a file something was written, for messages about it.
type Source struct {
	File string
	Line int // from 1; 0 if not from a file
}

// String returns the source as "books/slurs.yaml:12".
func (s Source) String() string {
	if s.Line == 0 {
		return s.File
	}
	return s.File + ":" + strconv.Itoa(s.Line)
}

// Book returns the book with the given id, or nil.
func (c *Catalogue) Book(id BookID) *Book {
	for i := range c.Books {
		if c.Books[i].ID == id {
			return &c.Books[i]
		}
	}
	return nil
}

// Study returns the study that r names, or nil.
func (c *Catalogue) Study(r StudyRef) *Study {
	b := c.Book(r.Book)
	if b == nil {
		return nil
	}
	for i := range b.Studies {
		if b.Studies[i].Number == r.Study {
			return &b.Studies[i]
		}
	}
	return nil
}

// Line returns the line that r names, or nil.
func (c *Catalogue) Line(r LineRef) *Line {
	s := c.Study(r.StudyRef())
	if s == nil {
		return nil
	}
	for i := range s.Lines {
		if s.Lines[i].Number == r.Line {
			return &s.Lines[i]
		}
	}
	return nil
}

// Pass returns the pass with the given number, or nil.
func (s *Study) Pass(n int) *Pass {
	for i := range s.Passes {
		if s.Passes[i].Number == n {
			return &s.Passes[i]
		}
	}
	return nil
}
