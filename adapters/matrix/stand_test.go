package matrix

import (
	"context"
	"html"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// stand is a homeserver with the people of the test studio on it.
type stand struct {
	t      *testing.T
	bot    *Bot
	self   id.UserID // the bot's account
	people map[string]*person
	room   id.RoomID
	opened map[string]id.RoomID // lines that people opened
}

// TestConversations holds the conversations that every chat holds.
func TestConversations(t *testing.T) {
	studiotest.Conversations(t, emptyStore, func(t *testing.T, set studiotest.Setting) studiotest.Stand {
		return newStand(t, set, func(*person) {}, nil)
	})
}

func emptyStore(t *testing.T) studio.Store {
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "studio.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	return store
}

// newStand sets up a stand whose bot runs. ready is given every person before
// she does anything; change may change how the bot is set up.
func newStand(t *testing.T, set studiotest.Setting, ready func(*person), change func(*Config)) *stand {
	t.Helper()
	h := serve(t, false)
	front := newFront(t, h)
	front.clock = set.Now
	account := h.Register(t, "studio-bot")
	s := &stand{t: t, self: id.UserID(account.User), people: map[string]*person{}, opened: map[string]id.RoomID{}}
	for _, name := range []string{"odile", "ada", "mina", "petra"} {
		s.people[name] = h.person(t, name)
		ready(s.people[name])
	}
	s.room = s.openHall()
	c := Config{
		Homeserver: front.url, User: account.User, Token: account.Token, Store: set.Store, Receiver: set.Receiver,
		Now: set.Now, Random: func() float64 { return 0 }, Log: slog.New(slog.NewTextHandler(t.Output(), nil)),
	}
	if change != nil {
		change(&c)
	}
	var err error
	if s.bot, err = New(c); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.WithoutCancel(t.Context()))
	ended := make(chan error, 1)
	go func() { ended <- s.bot.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return s
}

// openHall makes the studio channel and invites everybody.
func (s *stand) openHall() id.RoomID {
	s.t.Helper()
	invited := []id.UserID{s.self}
	for name, p := range s.people {
		if name != "odile" {
			invited = append(invited, p.UserID)
		}
	}
	resp, err := s.people["odile"].CreateRoom(s.t.Context(), &mautrix.ReqCreateRoom{
		Preset: "private_chat", Name: "Harbour Row Brass", Invite: invited, InitialState: s.people["odile"].sealing(),
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return resp.RoomID
}

func (s *stand) Chat() studio.Chat { return s.bot }

func (s *stand) Account(who string) studio.Account {
	return studio.Account{Platform: Platform, ID: s.people[who].UserID.String()}
}

func (s *stand) Channel() studio.Address {
	return studio.Address{Platform: Platform, Channel: s.room.String()}
}

// line returns the room of a person and the bot. She opens one if there is none.
func (s *stand) line(who string) id.RoomID {
	s.t.Helper()
	p := s.people[who]
	p.look(s.t, s.t.Context(), 0)
	for _, e := range p.seen {
		if e.Sender == s.self && e.RoomID != s.room {
			return e.RoomID
		}
	}
	if s.opened[who] != "" {
		return s.opened[who]
	}
	s.opened[who] = p.opensLine(s.t, s.self)
	return s.opened[who]
}

// opensLine has a person start a direct chat with the bot, encrypted if she has
// keys, as her app would.
func (p *person) opensLine(t testing.TB, with id.UserID) id.RoomID {
	t.Helper()
	resp, err := p.CreateRoom(t.Context(), &mautrix.ReqCreateRoom{
		Preset: "trusted_private_chat", IsDirect: true, Invite: []id.UserID{with}, InitialState: p.sealing(),
	})
	if err != nil {
		t.Fatal(err)
	}
	p.awaits(t, "the bot joining", func(e *event.Event) bool {
		return e.RoomID == resp.RoomID && e.Type == event.StateMember && e.GetStateKey() == with.String() &&
			e.Content.AsMember().Membership == event.MembershipJoin
	})
	return resp.RoomID
}

// sealing returns what makes a room of hers encrypted, if she has keys.
func (p *person) sealing() []*event.Event {
	if p.keys == nil {
		return nil
	}
	return []*event.Event{{
		Type: event.StateEncryption, StateKey: new(string),
		Content: event.Content{Parsed: &event.EncryptionEventContent{Algorithm: id.AlgorithmMegolmV1}},
	}}
}

func (s *stand) Write(who, words, replyTo string) string {
	content := text(words)
	if strings.HasPrefix(replyTo, "$") { // and not to a mark
		content = reply(id.EventID(replyTo), words)
	}
	return s.people[who].says(s.t, s.line(who), event.EventMessage, content).String()
}

func (s *stand) Edit(who, of, words string) {
	s.people[who].says(s.t, s.line(who), event.EventMessage, edit(id.EventID(of), words))
}

func (s *stand) Delete(who, gone string) { s.redact(who, s.line(who), id.EventID(gone)) }

func (s *stand) redact(who string, room id.RoomID, gone id.EventID) {
	s.t.Helper()
	if _, err := s.people[who].RedactEvent(s.t.Context(), room, gone); err != nil {
		s.t.Fatal(err)
	}
}

// Choose taps the mark of the answer below the post.
func (s *stand) Choose(who, post string, n int) func() {
	line := s.line(who)
	if slices.ContainsFunc(s.Hall(), func(said studiotest.Said) bool { return said.ID == post }) {
		line = s.room
	}
	tapped := s.people[who].says(s.t, line, event.EventReaction, reaction(id.EventID(post), choiceKeys[n]))
	return func() { s.redact(who, line, tapped) }
}

func (s *stand) Talk(who, words string) {
	s.people[who].says(s.t, s.room, event.EventMessage, text(words))
}

func (s *stand) Answer(who, post, words string) {
	s.people[who].says(s.t, s.room, event.EventMessage, reply(id.EventID(post), words))
}

func (s *stand) Name(who, words string) bool {
	c := text(s.self.Localpart() + ": " + words)
	c.Format, c.FormattedBody = event.FormatHTML, `<a href="https://matrix.to/#/`+s.self.String()+`">`+s.self.Localpart()+`</a>: `+words
	c.Mentions = &event.Mentions{UserIDs: []id.UserID{s.self}}
	s.people[who].says(s.t, s.room, event.EventMessage, c)
	return true
}

func (s *stand) Branch(who, post, words string) bool {
	c := text(words)
	c.RelatesTo = (&event.RelatesTo{}).SetThread(id.EventID(post), id.EventID(post))
	s.people[who].says(s.t, s.room, event.EventMessage, c)
	return true
}

func (s *stand) Line(who string) []studiotest.Said {
	p := s.people[who]
	p.look(s.t, s.t.Context(), 0)
	return s.said(p, func(e *event.Event) bool { return e.RoomID != s.room })
}

func (s *stand) Hall() []studiotest.Said {
	p := s.people["odile"]
	p.look(s.t, s.t.Context(), 0)
	return s.said(p, func(e *event.Event) bool { return e.RoomID == s.room })
}

// said returns what the bot said, as a person sees it.
func (s *stand) said(p *person, where func(*event.Event) bool) (all []studiotest.Said) {
	for _, e := range p.seen {
		if e.Sender != s.self || !where(e) {
			continue
		}
		switch e.Type {
		case event.EventMessage:
			c := e.Content.AsMessage()
			all = append(all, studiotest.Said{ID: e.ID.String(), Text: shownText(c), Calls: calls(c)})
		case event.EventReaction:
			if e.Content.AsReaction().RelatesTo.Key == receiptMark {
				all = append(all, studiotest.Said{ID: "mark/" + e.ID.String(), Text: studiotest.Mark})
			}
		}
	}
	return all
}

// shownText returns the words of a message as an app shows them.
func shownText(c *event.MessageEventContent) string {
	if c.FormattedBody == "" {
		return c.Body
	}
	lines := strings.NewReplacer("<br>", "\n", "</p>", "\n", "</li>", "\n").Replace(c.FormattedBody)
	return strings.ReplaceAll(html.UnescapeString(tag.ReplaceAllString(lines, "")), "\u200b", "")
}

// calls reports whether a message calls anybody: by its mentions, or where it
// has none by its words, as servers did before there were any.
func calls(c *event.MessageEventContent) bool {
	if c.Mentions == nil || c.Mentions.Room || len(c.Mentions.UserIDs) > 0 {
		return true
	}
	return strings.Contains(c.Body, "@room")
}
