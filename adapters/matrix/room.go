package matrix

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

// A room is what the bot knows of a room that it is in.
type room struct {
	encryption *event.EncryptionEventContent  // nil: not encrypted
	members    map[id.UserID]event.Membership // who joined or is invited
}

// rooms are the rooms that were asked about, until something about them changes.
type rooms struct {
	mu    sync.Mutex
	known map[id.RoomID]*room
	turns map[id.RoomID]int // counts the changes
}

func newRooms() *rooms {
	return &rooms{known: map[id.RoomID]*room{}, turns: map[id.RoomID]int{}}
}

// get returns a room; an error if the bot is not in it.
func (r *rooms) get(ctx context.Context, cli *mautrix.Client, id id.RoomID) (*room, error) {
	r.mu.Lock()
	known, turn := r.known[id], r.turns[id]
	r.mu.Unlock()
	if known != nil {
		return known, nil
	}
	found, err := ask(ctx, cli, id)
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.turns[id] == turn {
		r.known[id] = found
	}
	return found, nil
}

func ask(ctx context.Context, cli *mautrix.Client, in id.RoomID) (*room, error) {
	found := &room{members: map[id.UserID]event.Membership{}}
	var enc event.EncryptionEventContent
	switch err := cli.StateEvent(ctx, in, event.StateEncryption, "", &enc); {
	case err == nil:
		found.encryption = &enc
	case !errors.Is(err, mautrix.MNotFound):
		return nil, fmt.Errorf("asking whether the room is encrypted: %w", err)
	}
	resp, err := cli.Members(ctx, in, mautrix.ReqMembers{NotMembership: event.MembershipLeave})
	if err != nil {
		return nil, fmt.Errorf("asking who is in the room: %w", err)
	}
	for _, evt := range resp.Chunk {
		_ = evt.Content.ParseRaw(event.StateMember)
		switch m := evt.Content.AsMember().Membership; m {
		case event.MembershipJoin, event.MembershipInvite:
			found.members[id.UserID(evt.GetStateKey())] = m
		}
	}
	return found, nil
}

// forget forgets a room, since something about it has changed.
func (r *rooms) forget(id id.RoomID) {
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.known, id)
	r.turns[id]++
}
