package studio

import (
	"ledgerline/routine"
	"ledgerline/streaks"
)

// A Picture is a chart to be drawn when a post is sent. It holds figures, not
// pixels, so that it can be kept in the outbox and drawn again. Exactly one of
// Tempo, Calendar, Minute, Map and Challenge is set.
type Picture struct {
	Alt      string           `json:"alt"`              // the text equivalent
	Lang     string           `json:"lang,omitempty"`   // of the words on it: en, de, fr or es
	Studio   StudioID         `json:"studio,omitempty"` // whose words they are
	Tempo    *TempoPicture    `json:"tempo,omitempty"`
	Calendar *CalendarPicture `json:"calendar,omitempty"`
	Minute   *MinutePicture   `json:"minute,omitempty"`
	Map      *MapPicture      `json:"map,omitempty"`

	Challenge *ChallengePicture `json:"challenge,omitempty"`
}

// A ChallengePicture shows what the players of a challenge have together, at the
// end of each date so far, and who is ahead.
type ChallengePicture struct {
	Title   string          `json:"title"`
	From    routine.Date    `json:"from"`
	To      routine.Date    `json:"to"`
	Measure streaks.Measure `json:"measure"`
	Values  []float64       `json:"values"`         // one a date, from From on
	Goal    float64         `json:"goal,omitempty"` // 0: none
	Rows    []ChallengeRow  `json:"rows,omitempty"` // best first
}

// A ChallengeRow is a team or a member that is ahead.
type ChallengeRow struct {
	Place int     `json:"place"` // from 1; those who are level share one
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

// A MapPicture shows how lines stand: a row for each study of one student, or for
// each student of a studio.
type MapPicture struct {
	Title string   `json:"title"`
	Rows  []MapRow `json:"rows"`
}

// A MapRow is the lines of one study, or of all the studies on a student's plan.
type MapRow struct {
	Name  string    `json:"name"`
	Cells []MapCell `json:"cells"`
}

// A MapCell is one line.
type MapCell struct {
	N     int           `json:"n,omitempty"` // its number; 0: not written
	State routine.State `json:"state"`
}

// A MinutePicture shows a minute test that was heard: each note, and the tempo
// along the way. All times are seconds after the first note.
type MinutePicture struct {
	Title   string            `json:"title"`
	Seconds float64           `json:"seconds"`
	Note    routine.NoteValue `json:"note"`           // what the tempi count
	Goal    float64           `json:"goal,omitempty"` // beats a minute that were set; 0: none
	Onsets  []float64         `json:"onsets"`
	Course  []MinutePoint     `json:"course"` // in order; at least one
	Breaks  []float64         `json:"breaks,omitempty"`
}

// A MinutePoint is the tempo at a moment.
type MinutePoint struct {
	At  float64 `json:"at"`
	BPM float64 `json:"bpm"`
}

// A TempoPicture shows the tempo of one line in one pass over the days.
type TempoPicture struct {
	Title  string        `json:"title"` // such as "Daily Ground 2, line 14, pass 1"
	Goal   routine.Tempo `json:"goal"`
	Points []TempoPoint  `json:"points"` // by date, oldest first; at least one

	// Likely is when the goal is likely to be reached; zero if that can't be said.
	Likely Span `json:"likely,omitzero"`

	// Passes says from when on the line was played in which pass, oldest first;
	// empty if in one alone.
	Passes []PassChange `json:"passes,omitempty"`
}

// A PassChange is the first playing of a line in a pass.
type PassChange struct {
	Date routine.Date `json:"date"`
	Pass int          `json:"pass"`
}

// A TempoPoint is one playing of a line.
type TempoPoint struct {
	Date    routine.Date    `json:"date"`
	Tempo   routine.Tempo   `json:"tempo"` // in any note value
	Outcome routine.Outcome `json:"outcome"`
}

// A CalendarPicture shows what each day of some ISO weeks was, one row for each
// student.
type CalendarPicture struct {
	Title string        `json:"title"`
	From  routine.Date  `json:"from"` // a Monday
	Weeks int           `json:"weeks"`
	Rows  []CalendarRow `json:"rows"`
}

// A CalendarRow is one student's days, from CalendarPicture.From on.
type CalendarRow struct {
	Name  string         `json:"name"`
	Days  []streaks.Kind `json:"days"`            // at most 7 x Weeks
	Weeks []bool         `json:"weeks,omitempty"` // weeks kept
}
