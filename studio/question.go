package studio

import (
	"time"

	"ledgerline/routine"
)

// A Question is something in a reply that was not clear. Nothing of it is
// logged until it is answered.
type Question struct {
	ID      int64        `json:"id"`
	Studio  StudioID     `json:"studio"`
	Member  MemberID     `json:"member"`
	Inbox   int64        `json:"inbox"` // the message it is about
	Day     routine.Date `json:"day"`
	About   string       `json:"about"` // such as "item 2"
	Raw     string       `json:"raw"`   // the reply, word for word
	Choices []Choice     `json:"choices"`
	AskedAt time.Time    `json:"asked_at"`
	Closed  bool         `json:"closed"` // answered, or withdrawn with its message
}
