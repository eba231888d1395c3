package room

import (
	"context"
	"errors"
	"net/http"

	"ledgerline/studio"
)

// A seat is a member taking part: who, in which studio, and the two
// conversations that she sees.
type seat struct {
	studio  studio.Studio
	member  studio.Member
	account studio.Account
	line    studio.Address
	channel studio.Address // zero if the studio has no channel here
}

// The conversations, as pages name them.
const (
	whereLine    = "line"
	whereChannel = "channel"
)

// takeSeat returns the seat of the member of a studio, for a guest who may act as
// her. It fails for a member of another studio as for one who does not exist.
func takeSeat(ctx context.Context, tx studio.Tx, in studio.StudioID, as studio.MemberID) (seat, error) {
	if !guestOf(ctx).may(as) {
		return seat{}, errNotYours
	}
	st, err := tx.Studio(in)
	if errors.Is(err, studio.ErrNotFound) {
		return seat{}, errNoStudio
	} else if err != nil {
		return seat{}, err
	}
	m, err := tx.Member(as)
	if err != nil && !errors.Is(err, studio.ErrNotFound) {
		return seat{}, err
	}
	account, ok := accountHere(m)
	if err != nil || m.Studio != st.ID || m.Removed != 0 || !ok {
		return seat{}, errNoMember
	}
	s := seat{studio: st, member: m, account: account, line: studio.Address{Platform: Platform, Account: account.ID}}
	s.channel, _ = channelHere(st)
	return s, nil
}

var (
	errNoStudio  = fail(http.StatusNotFound, "room.no-studio", nil)
	errNoMember  = fail(http.StatusNotFound, "room.no-member", nil)
	errNoChannel = fail(http.StatusNotFound, "room.no-channel", nil)
	errNoWhere   = misused("where is channel or line")
)

// accountHere returns the member's account of this platform.
func accountHere(m studio.Member) (studio.Account, bool) {
	for _, a := range m.Accounts {
		if a.Platform == Platform {
			return a, true
		}
	}
	return studio.Account{}, false
}

// channelHere returns the studio's channel on this platform.
func channelHere(st studio.Studio) (studio.Address, bool) {
	for _, a := range st.Channels {
		if a.Platform == Platform && a.Channel != "" {
			return a, true
		}
	}
	return studio.Address{}, false
}

// address returns the address of one of the seat's conversations.
func (s *seat) address(where string) (studio.Address, error) {
	switch {
	case where == whereLine:
		return s.line, nil
	case where != whereChannel:
		return studio.Address{}, errNoWhere
	case s.channel == studio.Address{}:
		return studio.Address{}, errNoChannel
	}
	return s.channel, nil
}

// sees reports whether a is one of the seat's conversations.
func (s *seat) sees(a studio.Address) bool {
	return a == s.line || a == s.channel && a.Channel != ""
}
