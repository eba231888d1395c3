package studio

import "ledgerline/routine"

// A Studio is one teacher's studio and how it is run.
type Studio struct {
	ID       StudioID  `json:"id"`
	Name     string    `json:"name"`
	Zone     string    `json:"zone"` // IANA zone of the studio's own dates, such as the digest's
	Lang     string    `json:"lang"`
	Channels []Address `json:"channels"` // the studio channel, one for each platform

	PostAt   string `json:"post_at"`   // cron spec in each member's zone, such as "0 7 * * *"
	RemindAt string `json:"remind_at"` // cron spec in each member's zone, or "never"
	DigestAt string `json:"digest_at"` // cron spec in the studio's zone

	// CutOff is how many hours after the end of a date a reply for it still
	// counts for the streak, 0 to 48.
	CutOff int `json:"cut_off"`

	// ConsentUnder lists the age bands that need a guardian's consent.
	ConsentUnder []AgeBand `json:"consent_under"`

	// Holidays are dates on which nobody is scheduled.
	Holidays []Span `json:"holidays,omitempty"`

	// Templates are what students begin with, at most one for a level.
	Templates []Template `json:"templates,omitempty"`
}

// A Template is the plan that a student of a level begins with.
type Template struct {
	Level routine.Level `json:"level"`
	Plan  routine.Plan  `json:"plan"`
}

// A Span is a run of dates, both ends included.
type Span struct {
	From routine.Date `json:"from"`
	To   routine.Date `json:"to"`
}

// Contains reports whether d is in the span.
func (s Span) Contains(d routine.Date) bool { return s.From <= d && d <= s.To }
