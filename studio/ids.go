package studio

import (
	"strconv"

	"ledgerline/routine"
)

// A StudioID names a studio on one host: lower-case letters, digits, hyphens.
type StudioID string

// A MemberID names a member on one host, whatever her accounts.
type MemberID string

// A Platform is a chat network: "room", "discord" or "matrix".
type Platform string

// An Account is a person as one platform knows her.
type Account struct {
	Platform Platform `json:"platform"`
	ID       string   `json:"id"`
}

// An Address is where a post goes: a channel (or thread), or the private line
// to an account. Exactly one of Channel and Account is set.
type Address struct {
	Platform Platform `json:"platform"`
	Channel  string   `json:"channel,omitempty"`
	Account  string   `json:"account,omitempty"`
}

// A Key says what a post is, so that it is made once: "routine/ada/2026-03-04/1".
type Key string

// RoutineKey returns the key of a member's routine.
func RoutineKey(m MemberID, d routine.Date, number int) Key {
	return Key("routine/" + string(m) + "/" + d.String() + "/" + strconv.Itoa(number))
}
