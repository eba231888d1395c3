package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/adapters/matrix"
	"ledgerline/adapters/matrix/matrixtest"
	"ledgerline/studio"
)

// A matrixSite is a homeserver with the studio's members on it.
type matrixSite struct {
	t      testing.TB
	url    string // for the program
	bot    matrixtest.Account
	people map[string]*matrixPerson
	hall   id.RoomID
	rooms  map[string]id.RoomID // of messages
}

// A matrixPerson is a member with an app.
type matrixPerson struct {
	*mautrix.Client
	since string
	line  id.RoomID // with the bot
	seen  []*event.Event
}

func newMatrixSite(t testing.TB) *matrixSite {
	t.Helper()
	h := matrixtest.Serve(t, false)
	s := &matrixSite{
		t: t, url: h.Shield(t), bot: h.Register(t, "studio-bot"),
		people: map[string]*matrixPerson{}, rooms: map[string]id.RoomID{},
	}
	invited := []id.UserID{id.UserID(s.bot.User)}
	for _, who := range everybody() {
		a := h.Register(t, who)
		cli, err := mautrix.NewClient(h.URL, id.UserID(a.User), a.Token)
		if err != nil {
			t.Fatal(err)
		}
		s.people[who] = &matrixPerson{Client: cli}
		if who != "odile" {
			invited = append(invited, cli.UserID)
		}
	}
	made, err := s.people["odile"].CreateRoom(t.Context(), &mautrix.ReqCreateRoom{Preset: "private_chat", Invite: invited})
	if err != nil {
		t.Fatal(err)
	}
	s.hall = made.RoomID
	return s
}

func (s *matrixSite) settings() []string {
	return []string{
		"LEDGERLINE_MATRIX_HOMESERVER=" + s.url, "LEDGERLINE_MATRIX_USER=" + s.bot.User, matrix.TokenVariable + "=" + s.bot.Token,
	}
}

func (s *matrixSite) secrets() []string {
	all := []string{s.bot.Token, matrixtest.Password}
	for _, p := range s.people {
		all = append(all, p.UserID.String())
	}
	return all
}

func (s *matrixSite) account(who string) studio.Account {
	return studio.Account{Platform: matrix.Platform, ID: s.people[who].UserID.String()}
}

func (s *matrixSite) channel() studio.Address {
	return studio.Address{Platform: matrix.Platform, Channel: s.hall.String()}
}

// look has a member's app ask what has happened, until nothing has for a while,
// and join where she is invited.
func (s *matrixSite) look(who string, wait time.Duration) *matrixPerson {
	s.t.Helper()
	p := s.people[who]
	for {
		resp, err := p.FullSyncRequest(s.t.Context(), mautrix.ReqSync{
			Since: p.since, Timeout: int(wait.Milliseconds()), FilterID: `{"room":{"timeline":{"limit":1000}}}`,
		})
		if err != nil {
			s.t.Fatal(err)
		}
		p.since = resp.NextBatch
		for room := range resp.Rooms.Invite {
			if _, err := p.JoinRoomByID(s.t.Context(), room); err != nil {
				s.t.Fatal(err)
			}
		}
		for room, in := range resp.Rooms.Join {
			for _, evt := range append(in.State.Events, in.Timeline.Events...) {
				s.see(p, room, evt)
			}
		}
		if len(resp.Rooms.Invite)+len(resp.Rooms.Join) == 0 {
			return p
		}
	}
}

func (s *matrixSite) see(p *matrixPerson, room id.RoomID, evt *event.Event) {
	evt.RoomID = room
	evt.Type.Class = event.MessageEventType
	_ = evt.Content.ParseRaw(evt.Type)
	p.seen = append(p.seen, evt)
	if room != s.hall && evt.Sender == id.UserID(s.bot.User) {
		p.line = room
	}
}

// lineOf returns the room of a member and the bot. She opens one if there is
// none.
func (s *matrixSite) lineOf(who string) id.RoomID {
	s.t.Helper()
	p := s.look(who, 0)
	if p.line != "" {
		return p.line
	}
	made, err := p.CreateRoom(s.t.Context(), &mautrix.ReqCreateRoom{
		Preset: "trusted_private_chat", IsDirect: true, Invite: []id.UserID{id.UserID(s.bot.User)},
	})
	if err != nil {
		s.t.Fatal(err)
	}
	p.line = made.RoomID
	return p.line
}

func (s *matrixSite) say(who, text, replyTo string, open bool) string {
	at := s.hall
	if !open {
		at = s.lineOf(who)
	}
	c := &event.MessageEventContent{MsgType: event.MsgText, Body: text}
	if replyTo != "" {
		c.RelatesTo = (&event.RelatesTo{}).SetReplyTo(id.EventID(replyTo))
	}
	return s.send(who, at, event.EventMessage, c)
}

func (s *matrixSite) send(who string, at id.RoomID, kind event.Type, content any) string {
	s.t.Helper()
	resp, err := s.people[who].SendMessageEvent(s.t.Context(), at, kind, content)
	if err != nil {
		s.t.Fatalf("%s writing: %v", who, err)
	}
	s.rooms[resp.EventID.String()] = at
	return resp.EventID.String()
}

func (s *matrixSite) edit(who, of, text string) {
	c := &event.MessageEventContent{MsgType: event.MsgText, Body: text}
	c.SetEdit(id.EventID(of))
	s.send(who, s.rooms[of], event.EventMessage, c)
}

func (s *matrixSite) remove(who, gone string) {
	s.t.Helper()
	if _, err := s.people[who].RedactEvent(s.t.Context(), s.rooms[gone], id.EventID(gone)); err != nil {
		s.t.Fatal(err)
	}
}

// quickMarks are those below a card.
const quickMarks = "ⒶⒷⒸⒹ"

func (s *matrixSite) tap(who, post string, n int) (string, func()) {
	key := string([]rune(quickMarks)[n])
	content := &event.ReactionEventContent{RelatesTo: *(&event.RelatesTo{}).SetAnnotation(id.EventID(post), key)}
	tapped := s.send(who, s.lineOf(who), event.EventReaction, content)
	return tapped, func() { s.remove(who, tapped) }
}

func (s *matrixSite) shown() (all []string) {
	for who := range s.people {
		for _, e := range s.look(who, time.Second).seen {
			if e.Sender != id.UserID(s.bot.User) || e.RoomID == s.hall && who != "odile" {
				continue
			}
			switch e.Type {
			case event.EventMessage:
				c := e.Content.AsMessage()
				all = append(all, fmt.Sprintf("%s: in answer to %q: %s", e.RoomID, c.RelatesTo.GetReplyTo(), c.FormattedBody))
			case event.EventReaction:
				r := e.Content.AsReaction().RelatesTo
				if strings.Contains(quickMarks, r.Key) {
					continue // they are set after the card, if the program lives
				}
				all = append(all, fmt.Sprintf("%s: a mark %s at %s", e.RoomID, r.Key, r.EventID))
			}
		}
	}
	return all
}

func (s *matrixSite) labels() map[string]string {
	all := map[string]string{s.hall.String(): "the channel"}
	for who, p := range s.people {
		all[p.UserID.String()] = who
		for _, e := range p.seen {
			if e.RoomID != s.hall { // there may be two: the program died while it made one
				all[e.RoomID.String()] = "the line of " + who
			}
		}
	}
	return all
}

// logIn gives the bot a new token.
func (s *matrixSite) logIn() {
	s.t.Helper()
	cli, err := mautrix.NewClient(s.url, "", "")
	if err != nil {
		s.t.Fatal(err)
	}
	resp, err := cli.Login(s.t.Context(), &mautrix.ReqLogin{
		Type: mautrix.AuthTypePassword, Password: matrixtest.Password,
		Identifier: mautrix.UserIdentifier{Type: mautrix.IdentifierTypeUser, User: s.bot.User},
	})
	if err != nil {
		s.t.Fatal(err)
	}
	s.bot.Token = resp.AccessToken
}

// awaitShown waits until somebody is shown words by the bot.
func (s *matrixSite) awaitShown(who, words string) *event.Event {
	s.t.Helper()
	for end := time.Now().Add(6 * patience); time.Now().Before(end); {
		for _, e := range s.look(who, 300*time.Millisecond).seen {
			if e.Sender == id.UserID(s.bot.User) && e.Type == event.EventMessage && strings.Contains(e.Content.AsMessage().Body, words) {
				return e
			}
		}
	}
	s.t.Fatalf("%s never saw %q", who, words)
	return nil
}
