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

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// lines are the private lines, as the bot's account data m.direct names them:
// for each account its rooms, the newest last.
type lines struct {
	opening sync.Mutex // held while one is looked for or opened

	mu     sync.Mutex
	direct event.DirectChatsEventContent
}

// load asks the server for the lines.
func (l *lines) load(ctx context.Context, cli *mautrix.Client) error {
	direct, err := askDirect(ctx, cli)
	if err != nil {
		return err
	}
	l.set(direct)
	return nil
}

func askDirect(ctx context.Context, cli *mautrix.Client) (event.DirectChatsEventContent, error) {
	direct := event.DirectChatsEventContent{}
	err := cli.GetAccountData(ctx, event.AccountDataDirectChats.Type, &direct)
	if err != nil && !errors.Is(err, mautrix.MNotFound) {
		return nil, fmt.Errorf("asking for the private lines: %w", err)
	}
	return direct, nil
}

func (l *lines) set(direct event.DirectChatsEventContent) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.direct = direct
}

// to returns the rooms of an account, the newest first.
func (l *lines) to(account id.UserID) []id.RoomID {
	l.mu.Lock()
	defer l.mu.Unlock()
	all := slices.Clone(l.direct[account])
	slices.Reverse(all)
	return all
}

// has reports whether a room is a private line to an account.
func (l *lines) has(room id.RoomID, account id.UserID) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Contains(l.direct[account], room)
}

// with returns whose private line a room is.
func (l *lines) with(room id.RoomID) (all []id.UserID) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for account, rooms := range l.direct {
		if slices.Contains(rooms, room) {
			all = append(all, account)
		}
	}
	return all
}

// holds reports whether a room is a private line to anybody.
func (l *lines) holds(room id.RoomID) bool { return len(l.with(room)) > 0 }

// add makes a room a private line to an account.
func (l *lines) add(ctx context.Context, cli *mautrix.Client, room id.RoomID, account id.UserID) error {
	if l.has(room, account) {
		return nil
	}
	direct, err := askDirect(ctx, cli)
	if err != nil {
		return err
	}
	direct = maps.Clone(direct)
	if !slices.Contains(direct[account], room) {
		direct[account] = append(slices.Clone(direct[account]), room)
		if err := cli.SetAccountData(ctx, event.AccountDataDirectChats.Type, direct); err != nil {
			return fmt.Errorf("noting a private line: %w", err)
		}
	}
	l.set(direct)
	return nil
}

// lineTo returns the private line to an account: the room where the message
// that is answered was said, if it still is one; the newest otherwise. It is
// opened if there is none.
func (b *Bot) lineTo(ctx context.Context, s *session, account id.UserID, said id.RoomID) (id.RoomID, error) {
	b.lines.opening.Lock()
	defer b.lines.opening.Unlock()
	candidates := b.lines.to(account)
	if slices.Contains(candidates, said) {
		candidates = append([]id.RoomID{said}, candidates...)
	}
	var invited id.RoomID
	left := false
	for _, c := range candidates {
		how, err := b.lineState(ctx, s, c, account)
		if err != nil {
			return "", err
		}
		switch {
		case how == event.MembershipJoin:
			return c, nil
		case how == event.MembershipInvite && invited == "":
			invited = c
		}
		left = left || how == event.MembershipLeave
	}
	switch {
	case invited != "":
		return invited, nil
	case left:
		return "", &studio.SendError{
			Blocked: words.Phrase{ID: "matrix.left-line", With: words.With{"account": account, "bot": s.UserID}},
			Err:     errors.New("the account has left its private line"),
		}
	}
	return b.openLine(ctx, s, account)
}

// lineState returns how an account stands in a room that was its private line:
// joined, invited, or left. It returns "" if the room is no use as one: the bot
// is not in it, somebody else is, or it is encrypted and the bot has no keys.
func (b *Bot) lineState(ctx context.Context, s *session, room id.RoomID, account id.UserID) (event.Membership, error) {
	r, err := b.rooms.get(ctx, s.Client, room)
	if errors.Is(err, mautrix.MForbidden) || errors.Is(err, mautrix.MNotFound) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	if r.members[s.UserID] != event.MembershipJoin || r.encryption != nil && s.keys == nil {
		return "", nil
	}
	how := r.members[account]
	switch {
	case how == "" && len(r.members) == 1:
		return event.MembershipLeave, nil
	case how == "" || len(r.members) > 2:
		return "", nil
	}
	return how, nil
}

// openLine makes a room for an account and the bot, and invites her.
func (b *Bot) openLine(ctx context.Context, s *session, account id.UserID) (id.RoomID, error) {
	req := &mautrix.ReqCreateRoom{
		Preset: "trusted_private_chat", Visibility: "private", IsDirect: true, Invite: []id.UserID{account},
	}
	made := &room{members: map[id.UserID]event.Membership{s.UserID: event.MembershipJoin, account: event.MembershipInvite}}
	if b.cfg.Encrypt {
		made.encryption = &event.EncryptionEventContent{Algorithm: algorithm}
		req.InitialState = []*event.Event{{
			Type: event.StateEncryption, StateKey: new(string), Content: event.Content{Parsed: made.encryption},
		}}
	}
	resp, err := s.CreateRoom(ctx, req)
	if errors.Is(err, mautrix.MForbidden) || errors.Is(err, mautrix.MNotFound) || errors.Is(err, mautrix.MInvalidParam) {
		return "", &studio.SendError{
			Blocked: words.Phrase{ID: "matrix.no-line", With: words.With{"account": account, "bot": s.UserID}},
			Err:     err,
		}
	}
	if err != nil {
		return "", fmt.Errorf("opening a private line: %w", err)
	}
	b.rooms.made(resp.RoomID, made)
	return resp.RoomID, b.lines.add(ctx, s.Client, resp.RoomID, account)
}
