//go:build goolm

package matrix

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// seal gives a person keys of her own.
func (p *person) seal(t testing.TB) {
	t.Helper()
	k, _, err := openKeys(t.Context(), p.Client, filepath.Join(t.TempDir(), "keys.db"), newRooms())
	if err != nil {
		t.Fatal(err)
	}
	p.keys = k
	t.Cleanup(func() { k.close() })
}

func sealedScene(t *testing.T, change func(*Config)) *scene {
	t.Helper()
	sc := newScene(t, serve(t, false), func(c *Config) {
		c.Encrypt = true
		if change != nil {
			change(c)
		}
	})
	sc.ada.seal(t)
	sc.odile.seal(t)
	return sc
}

// TestSealedConversation goes through the same as TestConversation on a line
// that is encrypted, from end to end.
func TestSealedConversation(t *testing.T) {
	sc := sealedScene(t, nil)
	sc.enter(t)
	converse(t, sc)
	for _, e := range sc.ada.seen {
		if e.Sender == id.UserID(sc.account.User) && e.Type == event.EventMessage && !e.Mautrix.WasEncrypted {
			t.Errorf("a message came in the clear: %s", e.Content.AsMessage().Body)
		}
	}
}

// TestSealedRestart goes on after a restart with the device that was stored, for
// a token and for a password.
func TestSealedRestart(t *testing.T) {
	for name, change := range map[string]func(*Config){
		"token":    nil,
		"password": func(c *Config) { c.Token, c.Password = "", testPassword },
	} {
		t.Run(name, func(t *testing.T) {
			sc := sealedScene(t, change)
			sc.enter(t)
			card := sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
			line := sc.ada.sees(t, card).RoomID
			sc.ada.says(t, line, event.EventMessage, reply(id.EventID(card), "1 done"))
			sc.inbox.get(t, 0)
			sc.leave()
			said := sc.ada.says(t, line, event.EventMessage, reply(id.EventID(card), "2 done"))
			sc.restart(t)
			if m := sc.inbox.get(t, 1); m.ID != said.String() || m.Text != "2 done" || m.ReplyTo != card {
				t.Errorf("after the restart came %+v", m)
			}
			next := sc.post(t, studio.Delivery{Post: routine("routine/ada/2", sc.toAda())})
			if c := sc.ada.sees(t, next).Content.AsMessage(); !strings.Contains(c.Body, "Daily Ground 2") {
				t.Errorf("card after the restart: %+v", c)
			}
			if n := len(devicesOf(t, sc)); n > 2 { // one from the registration
				t.Errorf("the bot has %d devices", n)
			}
		})
	}
}

func devicesOf(t *testing.T, sc *scene) []mautrix.RespDeviceInfo {
	t.Helper()
	cli, err := mautrix.NewClient(sc.home.URL, id.UserID(sc.account.User), sc.account.Token)
	if err != nil {
		t.Fatal(err)
	}
	resp, err := cli.GetDevicesInfo(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return resp.Devices
}

// TestLostKeys loses the database, and with it the keys.
func TestLostKeys(t *testing.T) {
	t.Run("password", func(t *testing.T) {
		sc := sealedScene(t, func(c *Config) { c.Token, c.Password = "", testPassword })
		sc.enter(t)
		card := sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
		line := sc.ada.sees(t, card).RoomID
		sc.leave()
		before := sc.ada.says(t, line, event.EventMessage, text("1 done"))
		loseKeys(t, sc)
		sc.restart(t)
		f := sc.told(t, func(f studio.Finding) bool { return f.What.ID == lostKeys.What.ID })
		if f.Do.String() == "" {
			t.Error("nothing is said to do")
		}
		next := sc.post(t, studio.Delivery{Post: routine("routine/ada/2", sc.toAda())})
		if c := sc.ada.sees(t, next).Content.AsMessage(); !strings.Contains(c.Body, "Daily Ground 2") {
			t.Errorf("card after the loss: %+v", c)
		}
		after := sc.ada.says(t, line, event.EventMessage, text("2 done"))
		if m := sc.inbox.get(t, 0); m.ID != after.String() {
			t.Errorf("heard %+v, want %s; %s is lost", m, after, before)
		}
	})
	t.Run("token", func(t *testing.T) {
		sc := sealedScene(t, nil)
		sc.enter(t)
		sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
		sc.leave()
		loseKeys(t, sc)
		if f := findingOf(sc.bot.Check(t.Context()), "keys for encrypted rooms do not belong"); f.Do.String() != advice("matrix.lost-token").String() {
			t.Errorf("Check says %+v", f)
		}
		sc.restart(t)
		sc.told(t, func(f studio.Finding) bool { return f.Do.String() == advice("matrix.lost-token").String() })
		_, err := sc.bot.Send(within(t, soon), studio.Delivery{Post: routine("routine/ada/2", sc.toAda())})
		if e := (*studio.SendError)(nil); !errors.As(err, &e) || e.Blocked.ID != "matrix.lost-token" {
			t.Errorf("Send: %v", err)
		}

		// The teacher does as she was told.
		sc.config.Token = sc.newToken(t)
		sc.restart(t)
		next := sc.post(t, studio.Delivery{Post: routine("routine/ada/3", sc.toAda())})
		if c := sc.ada.sees(t, next).Content.AsMessage(); !strings.Contains(c.Body, "Daily Ground 2") {
			t.Errorf("card under the new token: %+v", c)
		}
	})
	t.Run("another token", func(t *testing.T) {
		sc := sealedScene(t, nil)
		sc.enter(t)
		card := sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
		line := sc.ada.sees(t, card).RoomID
		sc.config.Token = sc.newToken(t)
		sc.restart(t)
		sc.told(t, func(f studio.Finding) bool { return f.What.ID == lostKeys.What.ID })
		next := sc.post(t, studio.Delivery{Post: routine("routine/ada/2", sc.toAda())})
		if c := sc.ada.sees(t, next).Content.AsMessage(); !strings.Contains(c.Body, "Daily Ground 2") {
			t.Errorf("card under the new token: %+v", c)
		}
		said := sc.ada.says(t, line, event.EventMessage, text("1 done"))
		if m := sc.inbox.get(t, 0); m.ID != said.String() {
			t.Errorf("heard %+v", m)
		}
	})
}

// newToken logs in as the bot on a new device.
func (sc *scene) newToken(t *testing.T) string {
	t.Helper()
	return sc.home.logIn(t, id.UserID(sc.account.User)).AccessToken
}

// loseKeys puts a file without keys in the place of the one with.
func loseKeys(t *testing.T, sc *scene) {
	t.Helper()
	sc.config.Keys = filepath.Join(t.TempDir(), "new.db")
	sc.makeBot(t)
}

// TestLateKey hears a message whose key comes only after it.
func TestLateKey(t *testing.T) {
	sc := sealedScene(t, nil)
	sc.enter(t)
	card := sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
	line := sc.ada.sees(t, card).RoomID
	post := &slowPost{next: http.DefaultTransport}
	sc.ada.Client.Client = &http.Client{Transport: post}
	said := sc.ada.says(t, line, event.EventMessage, text("1 done"))
	sc.ada.says(t, line, event.EventReaction, reaction(id.EventID(card), "Ⓐ")) // heard, so that the message was passed
	if m := sc.inbox.get(t, 0); m.Text != "all done" {
		t.Errorf("heard %+v before the key came", m)
	}
	// Something else comes from device to device: the message is tried in vain.
	if _, err := sc.odile.SendToDevice(t.Context(), event.Type{Type: "m.dummy", Class: event.ToDeviceEventType}, &mautrix.ReqSendToDevice{
		Messages: map[id.UserID]map[id.DeviceID]*event.Content{id.UserID(sc.account.User): {"*": {Raw: map[string]any{}}}},
	}); err != nil {
		t.Fatal(err)
	}
	sc.ada.says(t, line, event.EventReaction, reaction(id.EventID(card), "Ⓑ"))
	if m := sc.inbox.get(t, 1); m.Text != "some of it" {
		t.Errorf("heard %+v before the key came", m)
	}
	sc.restart(t)
	post.deliver(t)
	if m := sc.inbox.get(t, 2); m.ID != said.String() || m.Text != "1 done" {
		t.Errorf("heard %+v when the key had come", m)
	}
}

// slowPost keeps what is sent from device to device until it is told to deliver.
type slowPost struct {
	next http.RoundTripper
	kept []*http.Request
}

func (p *slowPost) RoundTrip(req *http.Request) (*http.Response, error) {
	if !strings.Contains(req.URL.Path, "/sendToDevice/") {
		return p.next.RoundTrip(req)
	}
	body, err := io.ReadAll(req.Body)
	if err != nil {
		return nil, err
	}
	kept := req.Clone(context.Background())
	kept.Body = io.NopCloser(bytes.NewReader(body))
	p.kept = append(p.kept, kept)
	return &http.Response{StatusCode: http.StatusOK, Body: io.NopCloser(strings.NewReader("{}")), Request: req}, nil
}

func (p *slowPost) deliver(t *testing.T) {
	t.Helper()
	if len(p.kept) == 0 {
		t.Fatal("no key was kept back")
	}
	for _, req := range p.kept {
		resp, err := p.next.RoundTrip(req)
		if err != nil || resp.StatusCode != http.StatusOK {
			t.Fatalf("delivering a key: %v, %v", resp, err)
		}
		resp.Body.Close()
	}
}

// TestVoidKey has somebody come into a room in the moment in which its key is shared with the
// others: the next message has another key, which is shared with her as well.
func TestVoidKey(t *testing.T) {
	sc := sealedScene(t, nil)
	var begin sync.Once
	came := make(chan id.RoomID, 1)
	sc.front.breaks(func(req *http.Request) *fault {
		if strings.Contains(req.URL.Path, "/sendToDevice/m.room.encrypted") {
			begin.Do(func() {
				s, _ := sc.bot.gate.look()
				room := sc.bot.rooms.encrypted()[0]
				heard := make(chan struct{})
				go func() {
					s.keys.moved(context.Background(), &event.Event{
						Type: event.StateMember, RoomID: room, StateKey: (*string)(&sc.odile.UserID),
						Content: event.Content{Parsed: &event.MemberEventContent{Membership: event.MembershipJoin}},
					})
					came <- room
					close(heard)
				}()
				select { // before the key is shared, if the bot does not wait
				case <-heard:
				case <-time.After(300 * time.Millisecond):
				}
			})
		}
		return nil
	})
	sc.enter(t)
	sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
	begin.Do(func() { t.Fatal("no key was shared") })
	room := <-came
	s, _ := sc.bot.gate.look()
	if key, err := s.keys.(*keyStore).store.GetOutboundGroupSession(t.Context(), room); key != nil || err != nil {
		t.Errorf("the key that she has not got is still used, %v", err)
	}
}

// TestNewDevice reaches a student's new device, which the bot does not know yet;
// also when she got it while the bot was away.
func TestNewDevice(t *testing.T) {
	for name, away := range map[string]bool{"here": false, "away": true} {
		t.Run(name, func(t *testing.T) {
			sc := sealedScene(t, nil)
			sc.enter(t)
			card := sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
			line := sc.ada.sees(t, card).RoomID
			if away {
				sc.leave()
			}
			phone := &person{Client: sc.home.logIn(t, sc.ada.UserID)}
			phone.seal(t)
			phone.follow(t, t.Context())
			phone.says(t, line, event.EventMessage, text("1 done"))
			if away {
				sc.restart(t)
			}
			sc.inbox.get(t, 0)
			next := sc.post(t, studio.Delivery{Post: routine("routine/ada/2", sc.toAda())})
			if c := phone.sees(t, next).Content.AsMessage(); !strings.Contains(c.Body, "Daily Ground 2") {
				t.Errorf("on the new device: %+v", c)
			}
		})
	}
}

// TestVerified has the account vouch for the bot's device: with a password at
// once, with a token where it has the recovery key.
func TestVerified(t *testing.T) {
	t.Run("password", func(t *testing.T) {
		sc := sealedScene(t, func(c *Config) { c.Token, c.Password = "", testPassword })
		sc.enter(t)
		sc.ada.sees(t, sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())}))
		if !vouched(t, sc) {
			t.Error("the account does not vouch for the device")
		}
		if f := findingOf(sc.bot.Check(t.Context()), "keys for encrypted rooms"); !f.OK {
			t.Errorf("Check: %+v", f)
		}
		// The device is lost, the keys of the account are not.
		if _, err := sc.home.logIn(t, id.UserID(sc.account.User)).LogoutAll(t.Context()); err != nil {
			t.Fatal(err)
		}
		sc.restart(t)
		sc.ada.sees(t, sc.post(t, studio.Delivery{Post: routine("routine/ada/2", sc.toAda())}))
		if !vouched(t, sc) {
			t.Error("the account does not vouch for the new device")
		}
	})
	t.Run("token", func(t *testing.T) {
		sc := sealedScene(t, nil)
		owner := &person{Client: sc.home.logIn(t, id.UserID(sc.account.User))}
		owner.seal(t)
		machine := owner.keys.(*keyStore).machine
		recovery, _, err := machine.GenerateAndUploadCrossSigningKeysWithPassword(t.Context(), testPassword, "")
		if err != nil {
			t.Fatal(err)
		}
		sc.enter(t)
		sc.told(t, func(f studio.Finding) bool { return f.What.ID == unverified.What.ID })
		if f := findingOf(sc.bot.Check(t.Context()), "does not vouch"); f.What.ID != unverified.What.ID {
			t.Errorf("Check: %+v", f)
		}
		sc.config.RecoveryKey = recovery
		sc.restart(t)
		sc.ada.sees(t, sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())}))
		if !vouched(t, sc) {
			t.Error("the account does not vouch for the device")
		}
	})
}

// vouched reports whether Ada's app finds that the bot's account vouches for the
// device it writes from.
func vouched(t *testing.T, sc *scene) bool {
	t.Helper()
	k := sc.ada.keys.(*keyStore)
	bot := id.UserID(sc.account.User)
	devices, err := k.machine.FetchKeys(t.Context(), []id.UserID{bot}, true)
	if err != nil {
		t.Fatal(err)
	}
	open, _ := sc.bot.gate.look()
	device := devices[bot][open.DeviceID]
	if device == nil {
		t.Fatalf("device %s is not known, only %v", open.DeviceID, devices[bot])
	}
	trust, err := k.machine.ResolveTrustContext(t.Context(), device)
	if err != nil {
		t.Fatal(err)
	}
	return trust >= id.TrustStateCrossSignedTOFU
}

// TestSealedConversations holds the conversations that every chat holds in
// rooms that are encrypted: the lines and the studio channel.
func TestSealedConversations(t *testing.T) {
	studiotest.Conversations(t, emptyStore, func(t *testing.T, set studiotest.Setting) studiotest.Stand {
		s := newStand(t, set, func(p *person) { p.seal(t) }, func(c *Config) {
			c.Encrypt, c.Keys = true, filepath.Join(t.TempDir(), "keys.db")
		})
		t.Cleanup(s.nothingOpen)
		return s
	})
}

// nothingOpen checks that no message of the bot came in the clear. Of a test that failed it
// says which messages stayed locked.
func (s *stand) nothingOpen() {
	for name, p := range s.people {
		for _, e := range p.seen {
			if e.Sender == s.self && e.Type == event.EventMessage && !e.Mautrix.WasEncrypted {
				s.t.Errorf("a message came to %s in the clear: %s", name, e.Content.AsMessage().Body)
			}
			if e.Type == event.EventEncrypted && s.t.Failed() {
				_, err := p.keys.unlock(context.Background(), e)
				s.t.Logf("%s could not open %s of %s: %v", name, e.ID, e.Sender, err)
			}
		}
	}
}

// TestStaysSealed sends nothing in the clear into a room that was encrypted, when
// the server no longer finds that it is; also after a restart.
func TestStaysSealed(t *testing.T) {
	sc := sealedScene(t, nil)
	sc.front.breaks(func(req *http.Request) *fault {
		if strings.Contains(req.URL.Path, "/state/m.room.encryption") {
			return &fault{status: http.StatusNotFound, body: `{"errcode":"M_NOT_FOUND","error":"cannot find state"}`}
		}
		return nil
	})
	sc.enter(t)
	for n := range 2 {
		sent := sc.post(t, studio.Delivery{Post: routine(studio.Key(fmt.Sprint("routine/ada/", n)), sc.toAda())})
		if e := sc.ada.sees(t, sent); !e.Mautrix.WasEncrypted {
			t.Errorf("post %d came in the clear", n)
		}
		sc.restart(t)
	}
}
