package studio

import (
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A Role is what a member may do.
type Role string

// The roles.
const (
	Teacher   Role = "teacher"
	Assistant Role = "assistant" // sees and answers as the teacher does, changes no member
	Student   Role = "student"
	Guardian  Role = "guardian" // consents for a minor and may read that student's week
)

// An AgeBand is as much as is kept of a member's age. No birth date is stored.
type AgeBand string

// The age bands. Which of them needs a guardian's consent is the studio's
// setting, since the law differs from place to place.
const (
	Under13    AgeBand = "under-13"
	From13To15 AgeBand = "13-15"
	From16To17 AgeBand = "16-17"
	Adult      AgeBand = "adult"
)

// A Member is a person of one studio.
type Member struct {
	ID       MemberID  `json:"id"`
	Studio   StudioID  `json:"studio"`
	Name     string    `json:"name"` // as the studio calls her; never a full name in public
	Role     Role      `json:"role"`
	Accounts []Account `json:"accounts,omitempty"` // the first is where she is written to
	Zone     string    `json:"zone"`               // IANA time zone name
	Moved    []Move    `json:"moved,omitempty"`    // changes of zone, oldest first
	Lang     string    `json:"lang"`               // en, de, fr or es
	Age      AgeBand   `json:"age"`
	Public   bool      `json:"public,omitempty"` // chose to appear by name in the studio channel
	Quiet    Hours     `json:"quiet,omitzero"`   // no post but an answer arrives in these hours

	// Removed is the date since which her studio's file no longer lists her:
	// she is a stranger then, whose log is kept.
	Removed routine.Date `json:"removed,omitzero"`

	// Students only.
	Player    routine.Player    `json:"player,omitzero"`    // its Off is set from Off on the day
	Joined    routine.Date      `json:"joined,omitzero"`    // first date with a routine
	Consent   routine.Date      `json:"consent,omitzero"`   // date consent was recorded; none: nothing is logged
	Withdrawn routine.Date      `json:"withdrawn,omitzero"` // date on which consent was taken back; none: it holds
	Off       []streaks.OffDays `json:"off,omitempty"`      // days of the week without a routine, by date, oldest first
	Pauses    []streaks.Pause   `json:"pauses,omitempty"`   // excused by the teacher
	Paused    bool              `json:"paused,omitempty"`
	Left      routine.Date      `json:"left,omitzero"`       // last date that counts, of one who has left
	Soft      Hours             `json:"soft,omitzero"`       // nothing loud in these hours
	PostAt    string            `json:"post_at,omitempty"`   // cron spec of her routine; empty: the studio's
	RemindAt  string            `json:"remind_at,omitempty"` // cron spec of her reminder; empty: the studio's; "never"

	Lessons []Lesson `json:"lessons,omitempty"` // when she is taught
	Notes   []Note   `json:"notes,omitempty"`   // what her teachers noted, oldest first

	// Guardians only.
	Wards []MemberID `json:"wards,omitempty"`

	loc *time.Location // of Zone, once it was asked for: loading one takes a while
}

// A Note is what a teacher noted about a student for the lessons to come.
type Note struct {
	At   time.Time `json:"at"`
	By   MemberID  `json:"by"`
	Text string    `json:"text"`
}

// Hours is a stretch of the day in minutes after midnight. From may be later
// than To: 22:00 to 07:00 goes over midnight. The zero Hours is empty.
type Hours struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// Contains reports whether the minute of the day m is in h.
func (h Hours) Contains(m int) bool {
	if h.From <= h.To {
		return h.From <= m && m < h.To
	}
	return m >= h.From || m < h.To
}

// Location returns the member's time zone, or UTC if this machine does not know
// the name (names are checked when they are set).
func (m *Member) Location() *time.Location {
	if m.loc == nil {
		m.loc = locationOf(m.Zone)
	}
	return m.loc
}

func locationOf(zone string) *time.Location {
	loc, err := time.LoadLocation(zone)
	if err != nil {
		return time.UTC
	}
	return loc
}

// Minor reports whether the member is under 18.
func (m *Member) Minor() bool { return m.Age != Adult }
