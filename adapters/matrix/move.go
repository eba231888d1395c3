package matrix

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"strings"
	"sync"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// moves are where rooms have gone: a room that was upgraded to the one that took
// its place ("Room Upgrades"), and an alias, "#studio:server", to the room it
// stands for. The studio goes on calling its channel what it always did.
type moves struct {
	mu sync.Mutex
	to map[id.RoomID]id.RoomID
}

func newMoves() *moves { return &moves{to: map[id.RoomID]id.RoomID{}} }

// longestWay is how often a room can be upgraded before nobody follows.
const longestWay = 50

// add notes a move, and reports whether it was not known.
func (m *moves) add(from, to id.RoomID) (isNew bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if from == to || m.to[from] == to {
		return false
	}
	m.to[from] = to
	return true
}

func (m *moves) remember(all map[id.RoomID]id.RoomID) {
	for from, to := range all {
		m.add(from, to)
	}
}

// list returns the moves, to be kept.
func (m *moves) list() map[id.RoomID]id.RoomID {
	m.mu.Lock()
	defer m.mu.Unlock()
	return maps.Clone(m.to)
}

// now returns which room is in the place of one, or of an alias.
func (m *moves) now(room id.RoomID) id.RoomID {
	m.mu.Lock()
	defer m.mu.Unlock()
	for range longestWay {
		next, moved := m.to[room]
		if !moved {
			break
		}
		room = next
	}
	return room
}

// called returns all that a room was called before, itself first.
func (m *moves) called(room id.RoomID) []id.RoomID {
	m.mu.Lock()
	defer m.mu.Unlock()
	all := []id.RoomID{room}
	for i := 0; i < len(all) && i < longestWay; i++ {
		for from, to := range m.to {
			if to == all[i] {
				all = append(all, from)
			}
		}
	}
	return all
}

// same reports whether two names are of the same room, before or after a move.
func (m *moves) same(x, y id.RoomID) bool { return m.now(x) == m.now(y) }

func isAlias(room id.RoomID) bool { return strings.HasPrefix(room.String(), "#") }

// findAliases asks which rooms the aliases among the studios' channels stand for.
func (b *Bot) findAliases(ctx context.Context, s *session) error {
	channels, err := b.channels(ctx)
	if err != nil {
		return err
	}
	for _, at := range channels {
		if !isAlias(at.room) || b.moves.now(at.room) != at.room {
			continue
		}
		if _, err := b.findAlias(ctx, s, at.room); err != nil && !errors.Is(err, mautrix.MNotFound) {
			return err
		}
	}
	return nil
}

func (b *Bot) findAlias(ctx context.Context, s *session, alias id.RoomID) (id.RoomID, error) {
	resp, err := s.ResolveAlias(ctx, id.RoomAlias(alias))
	if err != nil {
		return "", fmt.Errorf("asking which room %s is: %w", alias, err)
	}
	b.moves.add(alias, resp.RoomID)
	return resp.RoomID, nil
}

// roomNow returns which room is in the place of one, or of an alias.
func (b *Bot) roomNow(ctx context.Context, s *session, room id.RoomID) (id.RoomID, error) {
	now := b.moves.now(room)
	if !isAlias(now) {
		return now, nil
	}
	found, err := b.findAlias(ctx, s, now)
	if errors.Is(err, mautrix.MNotFound) {
		return "", &studio.SendError{Blocked: words.Phrase{ID: "matrix.alias", With: words.With{"room": now}}, Err: err}
	}
	return found, err
}

// upgraded follows a room to the one that has taken its place.
func (b *Bot) upgraded(ctx context.Context, s *session, room id.RoomID, evt *event.Event) error {
	_ = evt.Content.ParseRaw(evt.Type)
	c, ok := evt.Content.Parsed.(*event.TombstoneEventContent)
	if !ok || c.ReplacementRoom == "" || !b.moves.add(room, c.ReplacementRoom) {
		return nil
	}
	channel, err := b.studioAt(ctx, place{room: room})
	if err != nil {
		return err
	}
	with := b.lines.with(room)
	if !channel && len(with) == 0 {
		return nil
	}
	for _, account := range with {
		if err := b.lines.add(ctx, s.Client, c.ReplacementRoom, account); err != nil {
			return err
		}
	}
	_, err = s.JoinRoom(ctx, c.ReplacementRoom.String(), &mautrix.ReqJoinRoom{Via: []string{evt.Sender.Homeserver()}})
	if err == nil {
		b.rooms.forget(c.ReplacementRoom)
		return nil
	}
	b.cfg.Log.Warn("matrix: the room that took another's place not joined", "room", c.ReplacementRoom, "err", err)
	if channel {
		b.tell(ctx, studio.Finding{
			What: words.Phrase{ID: "matrix.upgraded", With: words.With{"room": room, "next": c.ReplacementRoom}},
			Do:   advice("matrix.invite"),
		})
	}
	return nil
}
