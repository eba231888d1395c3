package matrix

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
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
	mu     sync.Mutex
	known  map[id.RoomID]*room
	turns  map[id.RoomID]int  // counts the changes
	sealed map[id.RoomID]bool // were encrypted once
}

func newRooms() *rooms {
	return &rooms{known: map[id.RoomID]*room{}, turns: map[id.RoomID]int{}, sealed: map[id.RoomID]bool{}}
}

// seal notes that rooms are encrypted. They stay so, whatever the server says
// later: encryption can't be switched off ("m.room.encryption"), and nothing must
// be sent in the clear because a server could not find that event.
func (r *rooms) seal(all ...id.RoomID) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, id := range all {
		r.sealed[id] = true
		if known := r.known[id]; known != nil && known.encryption == nil {
			delete(r.known, id)
			r.turns[id]++
		}
	}
}

// encrypted returns the rooms that were encrypted once.
func (r *rooms) encrypted() []id.RoomID {
	r.mu.Lock()
	defer r.mu.Unlock()
	return slices.Sorted(maps.Keys(r.sealed))
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
	if found.encryption != nil {
		r.sealed[id] = true
	} else if r.sealed[id] {
		found.encryption = &event.EncryptionEventContent{Algorithm: algorithm}
	}
	if r.turns[id] == turn {
		r.known[id] = found
	}
	return found, nil
}

// algorithm is that of encrypted rooms ("m.megolm.v1.aes-sha2").
const algorithm = id.AlgorithmMegolmV1

func ask(ctx context.Context, cli *mautrix.Client, in id.RoomID) (*room, error) {
	found := &room{members: map[id.UserID]event.Membership{}}
	var enc event.EncryptionEventContent
	switch err := cli.StateEvent(ctx, in, event.StateEncryption, "", &enc); {
	case err == nil && enc.Algorithm != "": // some servers answer with nothing, of rooms that the bot is not in
		found.encryption = &enc
	case err != nil && !errors.Is(err, mautrix.MNotFound):
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

// made notes a room that the bot has made, as it made it: servers tell who is in a
// room a little late, and what is sent meanwhile must be locked for everybody.
func (r *rooms) made(id id.RoomID, as *room) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if as.encryption != nil {
		r.sealed[id] = true
	}
	r.known[id] = as
	r.turns[id]++
}

// moved notes that somebody came, was invited or went.
func (r *rooms) moved(in id.RoomID, who id.UserID, how event.Membership) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.turns[in]++
	old := r.known[in]
	if old == nil {
		return
	}
	members := maps.Clone(old.members)
	delete(members, who)
	if how == event.MembershipJoin || how == event.MembershipInvite {
		members[who] = how
	}
	r.known[in] = &room{old.encryption, members}
}

// forget forgets a room, since something about it may have changed.
func (r *rooms) forget(id id.RoomID) {
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.known, id)
	r.turns[id]++
}
