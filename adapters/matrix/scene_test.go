package matrix

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/adapters/matrix/matrixtest"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// soon is how long tests wait for what must happen.
const soon = 20 * time.Second

// A person is a client of the homeserver that is no bot of ours.
type person struct {
	*mautrix.Client
	since string
	keys  keys
	seen  []*event.Event
}

func (h *homeserver) person(t testing.TB, name string) *person {
	t.Helper()
	a := h.Register(t, name)
	cli, err := mautrix.NewClient(h.URL, id.UserID(a.User), a.Token)
	if err != nil {
		t.Fatal(err)
	}
	cli.DeviceID = id.DeviceID(a.Device)
	cli.DefaultHTTPRetries = 20 // for a homeserver with limits
	return &person{Client: cli}
}

// logIn logs in on a new device.
func (h *homeserver) logIn(t testing.TB, user id.UserID) *mautrix.Client {
	t.Helper()
	cli, err := mautrix.NewClient(h.URL, "", "")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := cli.Login(t.Context(), &mautrix.ReqLogin{
		Type: mautrix.AuthTypePassword, Password: testPassword, StoreCredentials: true,
		Identifier: mautrix.UserIdentifier{Type: mautrix.IdentifierTypeUser, User: user.String()},
	}); err != nil {
		t.Fatal(err)
	}
	return cli
}

// follow asks once what has happened, waiting a second for something to happen,
// and joins the rooms she is invited to.
func (p *person) follow(t testing.TB, ctx context.Context) {
	t.Helper()
	p.look(t, ctx, time.Second)
}

func (p *person) look(t testing.TB, ctx context.Context, wait time.Duration) {
	t.Helper()
	resp, err := p.FullSyncRequest(ctx, mautrix.ReqSync{
		Since: p.since, Timeout: int(wait.Milliseconds()), FilterID: `{"room":{"timeline":{"limit":1000}}}`,
	})
	if err != nil {
		t.Fatalf("%s following: %v", p.UserID, err)
	}
	if p.keys != nil {
		p.keys.hear(ctx, resp, p.since)
		p.unlockLate(ctx)
	}
	p.since = resp.NextBatch
	for room := range resp.Rooms.Invite {
		if _, err := p.JoinRoomByID(ctx, room); err != nil {
			t.Fatalf("%s joining: %v", p.UserID, err)
		}
	}
	for room, in := range resp.Rooms.Join {
		for _, evt := range append(in.State.Events, in.Timeline.Events...) {
			evt.RoomID = room
			p.see(ctx, evt)
		}
	}
}

func (p *person) see(ctx context.Context, evt *event.Event) {
	evt.Type.Class = event.MessageEventType
	if evt.StateKey != nil {
		evt.Type.Class = event.StateEventType
	}
	_ = evt.Content.ParseRaw(evt.Type)
	if evt.Type == event.StateMember && p.keys != nil {
		p.keys.moved(ctx, evt)
	}
	p.seen = append(p.seen, evt)
	if p.keys != nil {
		p.unlockLate(ctx)
	}
}

// unlockLate opens what she has seen and could not read, if its key has come.
func (p *person) unlockLate(ctx context.Context) {
	for i, evt := range p.seen {
		if evt.Type != event.EventEncrypted {
			continue
		}
		if open, err := p.keys.unlock(ctx, evt); err == nil {
			p.seen[i] = open
		}
	}
}

// awaits returns the first event that matches.
func (p *person) awaits(t testing.TB, what string, match func(*event.Event) bool) *event.Event {
	t.Helper()
	ctx := within(t, soon)
	looked := 0
	for {
		for ; looked < len(p.seen); looked++ {
			if match(p.seen[looked]) {
				return p.seen[looked]
			}
		}
		if ctx.Err() != nil {
			t.Fatalf("%s did not see %s", p.UserID, what)
		}
		p.follow(t, ctx)
	}
}

// sees returns the event with an id.
func (p *person) sees(t testing.TB, want string) *event.Event {
	t.Helper()
	return p.awaits(t, "event "+want, func(e *event.Event) bool { return e.ID.String() == want })
}

// says sends content, locked if she has keys.
func (p *person) says(t testing.TB, room id.RoomID, kind event.Type, content any) id.EventID {
	t.Helper()
	if p.keys != nil && kind == event.EventMessage {
		locked, err := p.keys.lock(t.Context(), room, kind, content)
		if err != nil {
			t.Fatal(err)
		}
		kind, content = event.EventEncrypted, locked
	}
	resp, err := p.SendMessageEvent(t.Context(), room, kind, content)
	if err != nil {
		t.Fatalf("%s writing: %v", p.UserID, err)
	}
	return resp.EventID
}

// downloads fetches the file of a message, and unlocks it if it is locked.
func (p *person) downloads(t testing.TB, c *event.MessageEventContent) []byte {
	t.Helper()
	url := c.URL
	if c.File != nil {
		url = c.File.URL
	}
	// The homeserver of the tests is older than the address that the library
	// asks for media.
	at := p.BuildURL(mautrix.MediaURLPath{"v3", "download", url.ParseOrIgnore().Homeserver, url.ParseOrIgnore().FileID})
	data, err := p.MakeRequest(t.Context(), "GET", at, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	if c.File != nil {
		if err := c.File.DecryptInPlace(data); err != nil {
			t.Fatal(err)
		}
	}
	return data
}

func text(body string) *event.MessageEventContent {
	return &event.MessageEventContent{MsgType: event.MsgText, Body: body}
}

func reply(to id.EventID, body string) *event.MessageEventContent {
	c := text(body)
	c.RelatesTo = (&event.RelatesTo{}).SetReplyTo(to)
	return c
}

func edit(of id.EventID, body string) *event.MessageEventContent {
	c := text(body)
	c.SetEdit(of)
	return c
}

func reaction(to id.EventID, key string) *event.ReactionEventContent {
	return &event.ReactionEventContent{RelatesTo: *(&event.RelatesTo{}).SetAnnotation(to, key)}
}

// An inbox is the receiver: it stores as the studio does, and can be made to
// fail.
type inbox struct {
	store studio.Store

	mu    sync.Mutex
	fails int
	all   []studio.Message
	more  chan struct{}
}

func (in *inbox) Receive(ctx context.Context, m studio.Message) error {
	in.mu.Lock()
	defer in.mu.Unlock()
	if in.fails > 0 {
		in.fails--
		return fmt.Errorf("the disk is full")
	}
	var isNew bool
	err := in.store.Update(ctx, func(tx studio.Tx) (err error) {
		isNew, err = tx.StoreMessage(m)
		return err
	})
	if err == nil && isNew {
		in.all = append(in.all, m)
		select {
		case in.more <- struct{}{}:
		default:
		}
	}
	return err
}

// get returns the n-th message stored, counted from 0.
func (in *inbox) get(t testing.TB, n int) studio.Message {
	t.Helper()
	late := time.After(soon)
	for {
		in.mu.Lock()
		if n < len(in.all) {
			defer in.mu.Unlock()
			return in.all[n]
		}
		have := len(in.all)
		in.mu.Unlock()
		select {
		case <-in.more:
		case <-late:
			t.Fatalf("%d messages arrived, want more than %d", have, n)
		}
	}
}

func (in *inbox) count() int {
	in.mu.Lock()
	defer in.mu.Unlock()
	return len(in.all)
}

// A scene is a studio on a homeserver: its room, its teacher, a student, and the
// bot.
type scene struct {
	home    *homeserver
	front   *front
	store   *sqlite.Store
	path    string
	inbox   *inbox
	account matrixtest.Account
	config  Config
	bot     *Bot
	stop    func()
	odile   *person
	ada     *person
	room    id.RoomID

	mu       sync.Mutex
	findings []studio.Finding
}

// newScene sets a scene. The bot is not running yet. change may change how it is
// set up.
func newScene(t testing.TB, h *homeserver, change func(*Config)) *scene {
	t.Helper()
	path := filepath.Join(t.TempDir(), "studio.db")
	store, err := sqlite.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	sc := &scene{home: h, front: newFront(t, h), store: store, path: path, account: h.Register(t, "studio-bot")}
	sc.odile, sc.ada = h.person(t, "odile"), h.person(t, "ada")
	sc.room = sc.openRoom(t)
	sc.inbox = &inbox{store: store, more: make(chan struct{}, 1)}
	sc.config = Config{
		Homeserver: sc.front.url, User: sc.account.User, Token: sc.account.Token,
		Store: store, Receiver: sc.inbox, Now: time.Now, Random: func() float64 { return 0 },
		Log: studiotest.QuietLog(t, func() []string {
			return []string{sc.account.Token, matrixtest.Password, sc.odile.UserID.String(), sc.ada.UserID.String()}
		}),
		Tell: func(_ context.Context, f studio.Finding) {
			sc.mu.Lock()
			defer sc.mu.Unlock()
			sc.findings = append(sc.findings, f)
		},
	}
	if Encrypts {
		sc.config.Keys = path
	}
	if change != nil {
		change(&sc.config)
	}
	t.Cleanup(func() {
		sc.leave()
		store.Close()
	})
	sc.settle(t)
	sc.makeBot(t)
	return sc
}

// openRoom makes the studio's room and invites the bot and the student.
func (sc *scene) openRoom(t testing.TB) id.RoomID {
	t.Helper()
	resp, err := sc.odile.CreateRoom(t.Context(), &mautrix.ReqCreateRoom{
		Preset: "private_chat", Name: "Harbour Row Brass",
		Invite: []id.UserID{id.UserID(sc.account.User), sc.ada.UserID},
	})
	if err != nil {
		t.Fatal(err)
	}
	return resp.RoomID
}

// settle puts the studio and its members into the store.
func (sc *scene) settle(t testing.TB) {
	t.Helper()
	err := sc.store.Update(t.Context(), func(tx studio.Tx) error {
		if err := tx.PutStudio(studio.Studio{
			ID: "harbour-row", Name: "Harbour Row Brass", Zone: "Europe/Lisbon", Lang: "en",
			Channels: []studio.Address{{Platform: Platform, Channel: sc.room.String()}},
		}); err != nil {
			return err
		}
		for member, p := range map[string]*person{"odile": sc.odile, "ada": sc.ada} {
			role := studio.Student
			if p == sc.odile {
				role = studio.Teacher
			}
			if err := tx.PutMember(studio.Member{
				ID: studio.MemberID(member), Studio: "harbour-row", Name: member, Role: role, Zone: "Europe/Lisbon", Lang: "en",
				Accounts: []studio.Account{{Platform: Platform, ID: p.UserID.String()}},
			}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func (sc *scene) makeBot(t testing.TB) {
	t.Helper()
	bot, err := New(sc.config)
	if err != nil {
		t.Fatal(err)
	}
	sc.bot = bot
}

// enter runs the bot.
func (sc *scene) enter(t testing.TB) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.WithoutCancel(t.Context()))
	done := make(chan struct{})
	go func() {
		defer close(done)
		if err := sc.bot.Run(ctx); err != nil {
			t.Errorf("Run: %v", err)
		}
	}()
	sc.stop = func() { cancel(); <-done }
}

// leave stops the bot.
func (sc *scene) leave() {
	if sc.stop != nil {
		sc.stop()
		sc.stop = nil
	}
}

// restart stops the bot and runs one that knows only what is in the store.
func (sc *scene) restart(t testing.TB) {
	t.Helper()
	sc.leave()
	sc.makeBot(t)
	sc.enter(t)
}

// post has a post sent and recorded, as the studio does it.
func (sc *scene) post(t testing.TB, d studio.Delivery) string {
	t.Helper()
	var outbox int64
	err := sc.store.Update(t.Context(), func(tx studio.Tx) error {
		if _, err := tx.Queue(d.Post, time.Now()); err != nil {
			return err
		}
		due, err := tx.DuePosts(Platform, time.Now().Add(time.Hour), 1000)
		for _, q := range due {
			if q.Key == d.Key {
				outbox = q.Outbox
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	sent := sc.send(t, d)
	err = sc.store.Update(t.Context(), func(tx studio.Tx) error { return tx.PostSent(outbox, sent, time.Now()) })
	if err != nil {
		t.Fatal(err)
	}
	return sent
}

func (sc *scene) send(t testing.TB, d studio.Delivery) string {
	t.Helper()
	sent, err := sc.bot.Send(within(t, soon), d)
	if err != nil {
		t.Fatalf("sending %s: %v", d.Key, err)
	}
	return sent
}

func (sc *scene) toAda() studio.Address {
	return studio.Address{Platform: Platform, Account: sc.ada.UserID.String()}
}

func (sc *scene) toRoom() studio.Address {
	return studio.Address{Platform: Platform, Channel: sc.room.String()}
}

// told returns the finding whose first sentence begins so, when it comes.
func (sc *scene) told(t testing.TB, match func(studio.Finding) bool) studio.Finding {
	t.Helper()
	for began := time.Now(); time.Since(began) < soon; time.Sleep(20 * time.Millisecond) {
		sc.mu.Lock()
		for _, f := range sc.findings {
			if match(f) {
				sc.mu.Unlock()
				return f
			}
		}
		sc.mu.Unlock()
	}
	t.Fatalf("nobody was told; only: %v", sc.findings)
	return studio.Finding{}
}

// routine is a card as the studio posts it.
func routine(key studio.Key, to studio.Address) studio.Post {
	return studio.Post{
		Key: key, Kind: studio.RoutinePost, Studio: "harbour-row", Member: "ada", To: to,
		Title: "Monday 2 March",
		Text:  "A light day before Thursday.",
		Items: []studio.PostItem{
			{N: 1, Head: "Daily Ground 2 · line 14 · B flat", Detail: "quarter=84 to 92 · slurred · 8 min, then rest 8\nUp one mark after two clean days."},
			{N: 2, Head: "Slur Atlas 3 · lines 5-7", Detail: "quarter=72 · 6 min, then rest 6\nNot played since Thursday."},
		},
		Foot: "About 30 min with rests. Answer in a line.",
		Choices: []studio.Choice{
			{Label: "Played it all", Text: "all done"}, {Label: "Part of it", Text: "some of it"},
			{Label: "Rest day", Text: "rest day"}, {Label: "I can't today", Text: "nothing today"},
		},
	}
}

func (p *person) kicks(t testing.TB, sc *scene) {
	t.Helper()
	if _, err := p.KickUser(t.Context(), sc.room, &mautrix.ReqKickUser{UserID: id.UserID(sc.account.User)}); err != nil {
		t.Fatal(err)
	}
}

func (p *person) asksIn(t testing.TB, sc *scene) {
	t.Helper()
	if _, err := p.InviteUser(t.Context(), sc.room, &mautrix.ReqInviteUser{UserID: id.UserID(sc.account.User)}); err != nil {
		t.Fatal(err)
	}
}
