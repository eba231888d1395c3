package matrix

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

// A position is how far the bot has followed what happens, and what it has not
// finished with.
type position struct {
	Since   string                `json:"since"`
	Sent    []sentEvent           `json:"sent,omitempty"`    // own events seen lately, oldest first
	Locked  []locked              `json:"locked,omitempty"`  // events whose keys have not come
	Invited map[id.RoomID]invited `json:"invited,omitempty"` // invitations not answered
	Sealed  []id.RoomID           `json:"sealed,omitempty"`  // rooms that were encrypted once

	Moved map[id.RoomID]id.RoomID `json:"moved,omitempty"` // rooms that others took the place of, and aliases
}

type sentEvent struct {
	Txn string     `json:"txn"`
	ID  id.EventID `json:"id"`
}

type locked struct {
	Room  id.RoomID  `json:"room"`
	ID    id.EventID `json:"id"`
	Since time.Time  `json:"since"`
	Asked bool       `json:"asked,omitempty"`
	Told  bool       `json:"told,omitempty"`
}

type invited struct {
	By     id.UserID `json:"by"`
	Direct bool      `json:"direct,omitempty"`
}

func (p *position) clone() *position {
	c := *p
	c.Locked = slices.Clone(p.Locked)
	c.Invited = maps.Clone(p.Invited)
	return &c
}

const positionMark = "position"

func (b *Bot) loadPosition(ctx context.Context) (*position, error) {
	p := &position{}
	kept, err := b.mark(ctx, positionMark)
	if err != nil || kept == "" {
		return p, err
	}
	if err := json.Unmarshal([]byte(kept), p); err != nil {
		return nil, fmt.Errorf("reading the bot's position: %w", err)
	}
	return p, nil
}

// keepPosition keeps a position if it differs from the one before.
func (b *Bot) keepPosition(ctx context.Context, before, p *position) error {
	kept, err := json.Marshal(p)
	if err != nil {
		return err
	}
	if old, err := json.Marshal(before); err == nil && string(old) == string(kept) {
		return nil
	}
	return b.putMark(ctx, positionMark, string(kept))
}

const mostInvitations = 1000

// invite notes an invitation to a room.
func (p *position) invite(s *session, room id.RoomID, in *mautrix.SyncInvitedRoom) {
	for _, evt := range in.BestState() {
		if evt.Type.Type != event.StateMember.Type || evt.GetStateKey() != s.UserID.String() || membership(evt) != event.MembershipInvite {
			continue
		}
		if p.Invited == nil {
			p.Invited = map[id.RoomID]invited{}
		}
		if len(p.Invited) < mostInvitations {
			direct, _ := evt.Content.Raw["is_direct"].(bool)
			p.Invited[room] = invited{evt.Sender, direct}
		}
	}
}
