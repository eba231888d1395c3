package studio

import (
	"slices"

	"ledgerline/routine"
)

// A Studio is one teacher's studio and how it is run.
type Studio struct {
	ID       StudioID  `json:"id"`
	Name     string    `json:"name"`
	Zone     string    `json:"zone"` // IANA zone of the studio's own dates, such as the digest's
	Lang     string    `json:"lang"`
	Channels []Address `json:"channels"` // the studio channel, one for each platform

	// Threads are where single students are written to instead of on their
	// private lines, at most one for each.
	Threads []Thread `json:"threads,omitempty"`

	PostAt   string `json:"post_at"`   // cron spec in each member's zone, such as "0 7 * * *"
	RemindAt string `json:"remind_at"` // cron spec in each member's zone, or "never"
	DigestAt string `json:"digest_at"` // cron spec in the studio's zone

	// CutOff is how many hours after the end of a date a reply for it still
	// counts for the streak, 0 to 48.
	CutOff int `json:"cut_off"`

	// LessonLead is how many minutes before a lesson its sheet is posted; 0: 15.
	LessonLead int `json:"lesson_lead,omitempty"`

	// ConsentUnder lists the age bands that need a guardian's consent.
	ConsentUnder []AgeBand `json:"consent_under"`

	// Holidays are dates on which nobody is scheduled.
	Holidays []Span `json:"holidays,omitempty"`

	// Templates are what students begin with, at most one for a level.
	Templates []Template `json:"templates,omitempty"`

	// OwnKinds are the kinds of challenge that its file adds to the program's, or
	// has in their place.
	OwnKinds []Kind `json:"kinds,omitempty"`
}

// A Thread is a thread, or a channel of her own, in which a student is written
// to and heard. Who else reads it is the teacher's choice.
type Thread struct {
	Member MemberID `json:"member"`
	At     Address  `json:"at"`
}

// Places returns the studio's channels and threads.
func (s *Studio) Places() []Address {
	places := slices.Clone(s.Channels)
	for _, t := range s.Threads {
		places = append(places, t.At)
	}
	return places
}

// ThreadOf returns where a student is written to instead of on her private line.
func (s *Studio) ThreadOf(m MemberID) (Address, bool) {
	for _, t := range s.Threads {
		if t.Member == m {
			return t.At, true
		}
	}
	return Address{}, false
}

// StudentAt returns whose thread an address is.
func (s *Studio) StudentAt(a Address) (MemberID, bool) {
	for _, t := range s.Threads {
		if t.At == a {
			return t.Member, true
		}
	}
	return "", false
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
