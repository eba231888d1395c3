package matrix

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/studio"
)

// blockedSentence returns what an error says a person must do; "" if nothing.
func blockedSentence(err error) string {
	var e *studio.SendError
	if errors.As(err, &e) {
		return e.Blocked.String()
	}
	return ""
}

// TestSendError puts each answer that the specification names into the class
// that decides what becomes of a post.
func TestSendError(t *testing.T) {
	for _, tt := range []struct {
		what   string
		status int
		header string // Retry-After
		body   string
		want   studio.SendError // without Err
	}{
		{"limited, old form", 429, "", `{"errcode":"M_LIMIT_EXCEEDED","error":"Too many requests","retry_after_ms":2500}`, studio.SendError{After: 2500 * time.Millisecond}},
		{"limited, new form", 429, "7", `{"errcode":"M_LIMIT_EXCEEDED","error":"Too many requests"}`, studio.SendError{After: 7 * time.Second}},
		{"limited by something before", 429, "", `<html>slow down</html>`, studio.SendError{After: time.Second}},
		{"broken", 500, "", `{"errcode":"M_UNKNOWN","error":"Internal server error"}`, studio.SendError{}},
		{"not reached", 502, "", `<html>Bad gateway</html>`, studio.SendError{}},
		{"late", 504, "", ``, studio.SendError{}},
		{"full", 403, "", `{"errcode":"M_RESOURCE_LIMIT_EXCEEDED","error":"full","admin_contact":"mailto:x"}`, studio.SendError{}},
		{"token", 401, "", `{"errcode":"M_UNKNOWN_TOKEN","error":"Unrecognised access token"}`, studio.SendError{Blocked: advice("matrix.token")}},
		{"token, softly", 401, "", `{"errcode":"M_UNKNOWN_TOKEN","error":"Soft logged out","soft_logout":true}`, studio.SendError{Blocked: advice("matrix.token")}},
		{"deactivated", 403, "", `{"errcode":"M_USER_DEACTIVATED","error":"gone"}`, studio.SendError{Blocked: advice("matrix.token")}},
		{"not in the room", 403, "", `{"errcode":"M_FORBIDDEN","error":"User not in room"}`, studio.SendError{Blocked: advice("matrix.room")}},
		{"no such room", 404, "", `{"errcode":"M_NOT_FOUND","error":"Unknown room"}`, studio.SendError{Blocked: advice("matrix.room")}},
		{"terms", 403, "", `{"errcode":"M_CONSENT_NOT_GIVEN","error":"terms","consent_uri":"https://x"}`, studio.SendError{Blocked: advice("matrix.terms")}},
		{"too large", 413, "", `{"errcode":"M_TOO_LARGE","error":"event too large"}`, studio.SendError{Permanent: true}},
		{"not well formed", 400, "", `{"errcode":"M_BAD_JSON","error":"no"}`, studio.SendError{Permanent: true}},
		{"refused by something before", 403, "", `<html>blocked</html>`, studio.SendError{}},
	} {
		t.Run(tt.what, func(t *testing.T) {
			b, s := rigged(t, http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
				if tt.header != "" {
					w.Header().Set("Retry-After", tt.header)
				}
				w.WriteHeader(tt.status)
				fmt.Fprint(w, tt.body)
			}))
			b.gate.set(s, nil)
			_, err := b.Send(t.Context(), studio.Delivery{Post: studio.Post{
				Key: "k", To: studio.Address{Platform: Platform, Channel: "!r:harbour.test"}, Text: "a secret remark",
			}})
			var got *studio.SendError
			if !errors.As(err, &got) {
				t.Fatalf("%v", err)
			}
			if got.Permanent != tt.want.Permanent || got.Blocked.ID != tt.want.Blocked.ID || got.After != tt.want.After {
				t.Errorf("got %+v, want %+v", *got, tt.want)
			}
			if strings.Contains(err.Error(), "secret") {
				t.Errorf("the error repeats the post: %v", err)
			}
		})
	}
}

// TestUnreached can't connect at all.
func TestUnreached(t *testing.T) {
	b, s := rigged(t, http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic(http.ErrAbortHandler) }))
	b.gate.set(s, nil)
	_, err := b.Send(t.Context(), studio.Delivery{Post: studio.Post{Key: "k", To: studio.Address{Platform: Platform, Channel: "!r:h"}, Text: "x"}})
	var got *studio.SendError
	if !errors.As(err, &got) || got.Permanent || got.Blocked.ID != "" || got.After != 0 {
		t.Errorf("got %v", err)
	}
}

// rigged returns a bot whose homeserver answers as the handler does.
func rigged(t *testing.T, h http.Handler) (*Bot, *session) {
	t.Helper()
	server := httptest.NewServer(h)
	t.Cleanup(server.Close)
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "studio.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	b, err := New(Config{
		Homeserver: server.URL, User: "@bot:harbour.test", Token: "token", Store: store,
		Receiver: &inbox{store: store, more: make(chan struct{}, 1)},
		Now:      time.Now, Random: func() float64 { return 0 }, Log: slog.New(slog.DiscardHandler),
	})
	if err != nil {
		t.Fatal(err)
	}
	cli, err := b.newClient()
	if err != nil {
		t.Fatal(err)
	}
	cli.UserID, cli.AccessToken = "@bot:harbour.test", "token"
	return b, &session{Client: cli}
}

// TestHold makes no request while the homeserver wants none.
func TestHold(t *testing.T) {
	var mu sync.Mutex
	asked := 0
	b, s := rigged(t, http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		mu.Lock()
		defer mu.Unlock()
		asked++
		w.Header().Set("Retry-After", "60")
		w.WriteHeader(429)
	}))
	now := time.Date(2026, time.March, 2, 7, 0, 0, 0, time.UTC)
	b.hold.now = func() time.Time { return now }
	b.gate.set(s, nil)
	send := func() time.Duration {
		_, err := b.Send(t.Context(), studio.Delivery{Post: studio.Post{Key: "k", To: studio.Address{Platform: Platform, Channel: "!r:h"}, Text: "x"}})
		var e *studio.SendError
		if !errors.As(err, &e) {
			t.Fatal(err)
		}
		return e.After
	}
	first := send()
	now = now.Add(20 * time.Second)
	second := send()
	if first != time.Minute || second != 40*time.Second || asked != 1 {
		t.Errorf("told to wait %v, then %v; the server was asked %d times", first, second, asked)
	}
	now = now.Add(41 * time.Second)
	if send(); asked != 2 {
		t.Errorf("the server was asked %d times", asked)
	}
}

// TestNotConnected tells a post why there is no connection, and a person what to
// do about it.
func TestNotConnected(t *testing.T) {
	told := make(chan studio.Finding, 10)
	b, _ := rigged(t, http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		w.WriteHeader(401)
		fmt.Fprint(w, `{"errcode":"M_UNKNOWN_TOKEN","error":"Unrecognised access token"}`)
	}))
	b.cfg.Tell = func(_ context.Context, f studio.Finding) { told <- f }
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- b.Run(ctx) }()
	if f := <-told; f.Do.String() != advice("matrix.token").String() {
		t.Errorf("told %+v", f)
	}
	_, err := b.Send(t.Context(), studio.Delivery{Post: studio.Post{Key: "k", To: studio.Address{Platform: Platform, Channel: "!r:h"}, Text: "x"}})
	if blockedSentence(err) != advice("matrix.token").String() {
		t.Errorf("Send: %v", err)
	}
	cancel()
	if err := <-done; err != nil {
		t.Errorf("Run: %v", err)
	}
	if len(told) > 0 {
		t.Errorf("told again: %+v", <-told)
	}
}

// TestLimited sends more than a homeserver takes at once. That of the tests has
// no limit on sending, so the front sets one, in the form of the specification
// ("Rate limiting").
func TestLimited(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	sc.front.breaks(limiter(5, 100*time.Millisecond))
	limited, want := 0, map[string]bool{}
	for i := range 30 {
		d := studio.Delivery{Post: studio.Post{Key: studio.Key(fmt.Sprint("post/", i)), Kind: studio.AlertPost, To: sc.toRoom(), Text: fmt.Sprint("post ", i)}}
		if i == 0 {
			d.Choices = routine("", sc.toRoom()).Choices
		}
		for {
			sent, err := sc.bot.Send(within(t, soon), d)
			if err == nil {
				want[sent] = true
				break
			}
			var e *studio.SendError
			if !errors.As(err, &e) || e.After <= 0 {
				t.Fatalf("post %d: %v", i, err)
			}
			limited++
			time.Sleep(e.After)
		}
	}
	if limited == 0 {
		t.Error("everything was taken at once")
	}
	t.Logf("told to wait %d times", limited)
	for sent := range want {
		sc.ada.sees(t, sent)
	}
	for _, key := range choiceKeys[:4] {
		sc.ada.awaits(t, "the mark "+key, func(e *event.Event) bool {
			return e.Type == event.EventReaction && e.Content.AsReaction().RelatesTo.Key == key
		})
	}
	posts := 0
	for _, e := range sc.ada.seen {
		if e.Type == event.EventMessage && strings.Contains(e.Content.AsMessage().Body, "post ") {
			posts++
		}
	}
	if posts != 30 {
		t.Errorf("%d posts were seen, want 30", posts)
	}
}

// limiter refuses to send more than a burst, and then one event each while.
func limiter(burst int, each time.Duration) func(*http.Request) *fault {
	var mu sync.Mutex
	full := time.Duration(burst) * each
	filled := time.Now().Add(-full)
	return func(req *http.Request) *fault {
		if !sending(req, "") {
			return nil
		}
		mu.Lock()
		defer mu.Unlock()
		now := time.Now()
		if filled.Before(now.Add(-full)) {
			filled = now.Add(-full)
		}
		if wait := filled.Add(each).Sub(now); wait > 0 {
			return &fault{status: 429, body: fmt.Sprintf(`{"errcode":"M_LIMIT_EXCEEDED","error":"slow down","retry_after_ms":%d}`, wait.Milliseconds()+1)}
		}
		filled = filled.Add(each)
		return nil
	}
}

// TestLimitedAtStart connects although the homeserver has had enough of the
// bot's requests.
func TestLimitedAtStart(t *testing.T) {
	sc := newScene(t, serve(t, true), nil)
	cli, err := sc.bot.newClient()
	if err != nil {
		t.Fatal(err)
	}
	cli.AccessToken = sc.account.Token
	for err == nil {
		_, err = cli.Whoami(t.Context())
	}
	if !errors.Is(err, mautrix.MLimitExceeded) {
		t.Fatal(err)
	}
	sc.enter(t)
	sc.joins(t)
	sc.post(t, studio.Delivery{Post: studio.Post{Key: "a", Kind: studio.AlertPost, To: sc.toRoom(), Text: "here"}})
}

// TestRemoved is told when the bot is removed from the studio's room, and sends
// what waited when it is back.
func TestRemoved(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	sc.post(t, studio.Delivery{Post: studio.Post{Key: "a", Kind: studio.AlertPost, To: sc.toRoom(), Text: "before"}})
	sc.odile.kicks(t, sc)
	f := sc.told(t, func(f studio.Finding) bool {
		return strings.Contains(f.What.String(), "no longer in the studio's Matrix room")
	})
	if f.Do.String() != advice("matrix.room").String() {
		t.Errorf("told %+v", f)
	}
	d := studio.Delivery{Post: studio.Post{Key: "b", Kind: studio.AlertPost, To: sc.toRoom(), Text: "after"}}
	if _, err := sc.bot.Send(t.Context(), d); blockedSentence(err) != advice("matrix.room").String() {
		t.Errorf("Send: %v", err)
	}
	if f := findingOf(sc.bot.Check(t.Context()), "not in the room"); f.OK || f.Do.String() != advice("matrix.room").String() {
		t.Errorf("Check: %+v", sc.bot.Check(t.Context()))
	}
	sc.odile.says(t, sc.room, event.EventMessage, text(sc.account.User+" while you were gone"))
	sc.odile.asksIn(t, sc)
	for began := time.Now(); ; time.Sleep(100 * time.Millisecond) {
		sent, err := sc.bot.Send(t.Context(), d)
		if err == nil {
			sc.ada.sees(t, sent)
			break
		}
		if time.Since(began) > soon {
			t.Fatal(err)
		}
	}
	sc.odile.says(t, sc.room, event.EventMessage, text(sc.account.User+" now"))
	if m := sc.inbox.get(t, 0); m.Text != "now" {
		t.Errorf("heard %+v", m)
	}
}

// TestGate waits at the start, once.
func TestGate(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate()
		began := time.Now()
		pass := func() time.Duration {
			t.Helper()
			if _, err := g.pass(t.Context()); err == nil {
				t.Error("there was no session to pass with")
			}
			return time.Since(began)
		}
		if waited := pass(); waited != patience {
			t.Errorf("waited %v", waited)
		}
		if waited := pass(); waited != patience {
			t.Errorf("waited again, until %v", waited)
		}
		g = newGate()
		began = time.Now()
		go func() {
			time.Sleep(time.Second)
			g.set(&session{}, nil)
		}()
		if s, err := g.pass(t.Context()); s == nil || err != nil || time.Since(began) != time.Second {
			t.Errorf("%v, %v after %v", s, err, time.Since(began))
		}
		g.set(nil, errors.New("gone"))
		began = time.Now()
		if waited := pass(); waited != 0 {
			t.Errorf("waited %v", waited)
		}
	})
}

// TestRevoked logs the bot out from elsewhere. With a password it logs in again.
func TestRevoked(t *testing.T) {
	sc := newScene(t, serve(t, false), func(c *Config) { c.Token, c.Password = "", testPassword })
	sc.enter(t)
	sc.joins(t)
	sc.post(t, studio.Delivery{Post: studio.Post{Key: "a", Kind: studio.AlertPost, To: sc.toRoom(), Text: "before"}})
	elsewhere := sc.home.logIn(t, id.UserID(sc.account.User))
	if _, err := elsewhere.LogoutAll(t.Context()); err != nil {
		t.Fatal(err)
	}
	for began := time.Now(); ; time.Sleep(100 * time.Millisecond) {
		_, err := sc.bot.Send(within(t, soon), studio.Delivery{Post: studio.Post{Key: "b", Kind: studio.AlertPost, To: sc.toRoom(), Text: "after"}})
		if err == nil {
			break
		}
		if time.Since(began) > 2*soon {
			t.Fatal(err)
		}
	}
	for _, f := range sc.findings {
		if f.What.ID != lostKeys.What.ID { // the device is gone with the log-in
			t.Errorf("told %v", f)
		}
	}
}

func answerWith(header, body string) mautrix.HTTPError {
	said := &mautrix.RespError{}
	_ = json.Unmarshal([]byte(body), said)
	return mautrix.HTTPError{RespError: said, Response: &http.Response{StatusCode: 429, Header: http.Header{"Retry-After": {header}}}}
}

// FuzzWait reads whatever a server says about waiting.
func FuzzWait(f *testing.F) {
	f.Add("7", `{"errcode":"M_LIMIT_EXCEEDED","retry_after_ms":2500}`)
	f.Add("-1", `{"retry_after_ms":-1e300}`)
	f.Add("99999999999999999999", `{"retry_after_ms":1e300}`)
	f.Add("Wed, 21 Oct 2026 07:28:00 GMT", `[]`)
	f.Fuzz(func(t *testing.T, header, body string) {
		if !json.Valid([]byte(body)) {
			body = `{}`
		}
		if d := waitOf(answerWith(header, body)); d <= 0 || d > longestWait {
			t.Errorf("wait %v", d)
		}
	})
}
