package matrix

import (
	"net/http"
	"strings"
	"testing"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// findingOf returns the finding that says something.
func findingOf(all []studio.Finding, says string) studio.Finding {
	for _, f := range all {
		if strings.Contains(f.What.String(), says) {
			return f
		}
	}
	return studio.Finding{}
}

// wrongOf returns the findings that are not well. That the account does not vouch
// for the device is how it is with a token on the homeserver of the tests.
func wrongOf(all []studio.Finding) (wrong []studio.Finding) {
	for _, f := range all {
		if f.What.ID == unverified.What.ID {
			continue
		}
		if f.OK != (f.Do.String() == "") || !f.OK {
			wrong = append(wrong, f)
		}
	}
	return wrong
}

// TestCheck goes through what a teacher may have forgotten, in the order in
// which she puts it right.
func TestCheck(t *testing.T) {
	for name, change := range map[string]func(*Config){
		"token":    nil,
		"password": func(c *Config) { c.Token, c.Password = "", testPassword },
	} {
		t.Run(name, func(t *testing.T) {
			sc := newScene(t, serve(t, false), change)
			check := func(says, do string) {
				t.Helper()
				all := sc.bot.Check(t.Context())
				f := findingOf(all, says)
				if f.What.String() == "" || f.OK != (do == "") || !strings.Contains(f.Do.String(), do) {
					t.Errorf("want a finding that says %q and to do %q, got %+v", says, do, all)
				}
			}
			check("logged in as "+sc.account.User, "")
			if strings.Contains(findingOf(sc.bot.Check(t.Context()), sc.room.String()).What.String(), "all it needs") {
				t.Error("the bot has all it needs in a room it is only invited to")
			}
			sc.enter(t)
			sc.joins(t)
			sc.post(t, studio.Delivery{Post: studio.Post{Key: "a", Kind: studio.AlertPost, To: sc.toRoom(), Text: "here"}})
			check("has all it needs in the room", "")
			if wrong := wrongOf(sc.bot.Check(t.Context())); len(wrong) > 0 {
				t.Errorf("wrong: %+v", wrong)
			}

			levels := &event.PowerLevelsEventContent{
				Users:  map[id.UserID]int{sc.odile.UserID: 100},
				Events: map[string]int{"m.room.message": 50, "m.reaction": 50, "m.room.encrypted": 50},
			}
			if _, err := sc.odile.SendStateEvent(t.Context(), sc.room, event.StatePowerLevels, "", levels); err != nil {
				t.Fatal(err)
			}
			check("the bot may not send messages, nor send reactions", "Roles and Permissions")
			d := studio.Delivery{Post: studio.Post{Key: "b", Kind: studio.AlertPost, To: sc.toRoom(), Text: "still here"}}
			if _, err := sc.bot.Send(t.Context(), d); blockedSentence(err) != advice("matrix.room").String() {
				t.Errorf("Send: %v", err)
			}
			sc.odile.kicks(t, sc)
			check("not in the room", advice("matrix.room").String())
			sc.post(t, studio.Delivery{Post: studio.Post{Key: "c", Kind: studio.AlertPost, Studio: "harbour-row", To: sc.toAda(), Text: "here"}})
			if n := len(wrongOf(sc.bot.Check(t.Context()))); n != 1 {
				t.Errorf("%d things are wrong, want 1", n)
			}
		})
	}
}

// TestCheckLogIn says what is wrong with how the bot logs in.
func TestCheckLogIn(t *testing.T) {
	h := serve(t, false)
	for _, tt := range []struct {
		what   string
		change func(*Config)
		says   string
		do     string
	}{
		{"wrong token", func(c *Config) { c.Token = "nonsense" }, "could not log in", advice("matrix.token").String()},
		{"wrong password", func(c *Config) { c.Token, c.Password = "", "nonsense" }, "could not log in", advice("matrix.token").String()},
		{"another's token", func(c *Config) { c.User = "@somebody:harbour.test" }, "could not log in", "that account's token"},
		{"no server", func(c *Config) { c.Homeserver = "http://127.0.0.1:1" }, "could not log in", "address of the homeserver"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			sc := newScene(t, h, tt.change)
			sc.front.checked++ // not every one asks the front
			all := sc.bot.Check(t.Context())
			if f := findingOf(all, tt.says); len(all) != 1 || f.OK || !strings.Contains(f.Do.String(), tt.do) {
				t.Errorf("%+v", all)
			}
		})
	}
}

// TestSealedRoom says that a room is encrypted when this program can't read it.
func TestSealedRoom(t *testing.T) {
	sc := newScene(t, serve(t, false), func(c *Config) { c.Keys = "" })
	sc.enter(t)
	sc.joins(t)
	_, err := sc.odile.SendStateEvent(t.Context(), sc.room, event.StateEncryption, "", &event.EncryptionEventContent{Algorithm: id.AlgorithmMegolmV1})
	if err != nil {
		t.Fatal(err)
	}
	if f := findingOf(sc.bot.Check(t.Context()), "is encrypted"); f.OK || f.Do.String() != advice("matrix.sealed").String() {
		t.Errorf("Check: %+v", f)
	}
	sc.ada.says(t, sc.room, event.EventEncrypted, map[string]any{
		"algorithm": "m.megolm.v1.aes-sha2", "ciphertext": "AwgAEnACgAkLmt6qF84IK++J7UDH2Za1YVchHyprqTqsg", "session_id": "X3lUlvLELLYxeTx4yOVu6UDpasGEVO0Jbu+QFnm0cKQ",
	})
	if f := sc.told(t, func(f studio.Finding) bool { return strings.Contains(f.What.String(), "which it can't read") }); f.Do.String() != advice("matrix.sealed").String() {
		t.Errorf("told %+v", f)
	}
	_, err = sc.bot.Send(t.Context(), studio.Delivery{Post: studio.Post{Key: "b", Kind: studio.AlertPost, To: sc.toRoom(), Text: "here"}})
	if blockedSentence(err) != advice("matrix.sealed").String() {
		t.Errorf("Send: %v", err)
	}
}

func TestNew(t *testing.T) {
	b, _ := rigged(t, http.NotFoundHandler())
	for _, tt := range []struct {
		change func(*Config)
		want   string
	}{
		{func(c *Config) { c.Homeserver = "matrix.example.org" }, "no address of a homeserver"},
		{func(c *Config) { c.Token = "" }, TokenVariable},
		{func(c *Config) { c.Password = "both" }, PasswordVariable},
		{func(c *Config) { c.User = "studio-bot" }, "write one like @studio-bot:example.org"},
		{func(c *Config) { c.Store = nil }, "must be set"},
		{func(c *Config) { c.Encrypt = true }, "-tags goolm"},
	} {
		c := b.cfg
		tt.change(&c)
		if _, err := New(c); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("got %v, want something with %q", err, tt.want)
		}
	}
}
