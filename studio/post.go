package studio

import (
	"time"

	"ledgerline/routine"
	"ledgerline/routine/click"
)

// A PostKind is what a post is for; a chat may show kinds differently.
type PostKind string

// The kinds of post.
const (
	RoutinePost   PostKind = "routine"
	ReceiptPost   PostKind = "receipt"
	QuestionPost  PostKind = "question"
	AnswerPost    PostKind = "answer" // to a command
	ReminderPost  PostKind = "reminder"
	DigestPost    PostKind = "digest"
	LessonPost    PostKind = "lesson" // what a lesson is to begin from
	ReportPost    PostKind = "report" // on a term, for a family
	AnnouncedPost PostKind = "announcement"
	AlertPost     PostKind = "alert"
)

// Answers reports whether somebody waits for a post of this kind.
func (k PostKind) Answers() bool {
	switch k {
	case ReceiptPost, QuestionPost, AnswerPost, AlertPost:
		return true
	}
	return false
}

// A Post is something the bot says. It is plain text in parts; each chat shows
// the parts as it does best, and escapes them.
type Post struct {
	Key      Key        `json:"key"`
	Kind     PostKind   `json:"kind"`
	Studio   StudioID   `json:"studio"`
	Member   MemberID   `json:"member,omitempty"` // whom it is about
	To       Address    `json:"to"`
	ReplyTo  string     `json:"reply_to,omitempty"` // platform id of the message it answers
	Title    string     `json:"title,omitempty"`
	Text     string     `json:"text,omitempty"` // lines, parted by "\n"
	Items    []PostItem `json:"items,omitempty"`
	Foot     string     `json:"foot,omitempty"`
	Choices  []Choice   `json:"choices,omitempty"`
	Pictures []Picture  `json:"pictures,omitempty"`

	Click     *click.Click `json:"click,omitempty"`     // its files go with the post
	Recording int64        `json:"recording,omitempty"` // the hearing whose recording does; see [FilesOf]

	// Of is the routine that the post shows or reminds of.
	Of RoutineOf `json:"of,omitzero"`

	// Brief says that nothing in the post needs words: a chat that can may set
	// a mark on the message it answers instead.
	Brief bool `json:"brief,omitempty"`

	// NotBefore holds the post back, such as to the end of quiet hours.
	NotBefore time.Time `json:"not_before,omitzero"`
}

// A PostItem is one numbered part of a post.
type PostItem struct {
	N      int    `json:"n"`
	Head   string `json:"head"`
	Detail string `json:"detail,omitempty"`

	// Part is the heading that the item comes under, the same for those that
	// belong together; empty: none.
	Part string `json:"part,omitempty"`

	// Picture is the number, from 1, of the post's picture that goes with the
	// item; 0: none.
	Picture int `json:"picture,omitempty"`

	// Member is whom the item is about, and Choices what may be answered to it
	// alone: the first is “2 ok”, the second “2 hold”. A choice without a text is
	// a nod: nothing changes by it.
	Member  MemberID `json:"member,omitempty"`
	Choices []Choice `json:"choices,omitempty"`

	// Answers says in words what the choices are, for chats in which an item has
	// no buttons of its own.
	Answers string `json:"answers,omitempty"`
}

// Pointed reports whether the choices of a post are answers to its items, one to
// each, in their order.
func (p *Post) Pointed() bool {
	return len(p.Choices) > 0 && len(p.Choices) == len(p.Items) && len(p.Items[0].Choices) > 0
}

// A Choice is a quick answer. Giving it is the same as replying to the post
// with Text.
type Choice struct {
	Label string `json:"label"`
	Text  string `json:"text"`
}

// RoutineOf names a routine of a member; number 0 is the latest of the date.
type RoutineOf struct {
	Date   routine.Date `json:"date,omitzero"`
	Number int          `json:"number,omitempty"`
}

// A Queued is a post in the outbox.
type Queued struct {
	Post
	Outbox     int64     // order in which it was queued
	QueuedAt   time.Time //
	Attempts   int       // attempts that failed
	SentAt     time.Time // zero: not yet
	PlatformID string    // the platform's id, once sent
	Failure    string    // why it was given up; empty otherwise
}
