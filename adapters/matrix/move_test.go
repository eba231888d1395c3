package matrix

import (
	"net/http"
	"strings"
	"testing"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// upgrades has a person upgrade a room and invite who belongs there.
func (p *person) upgrades(t testing.TB, room id.RoomID, invite ...id.UserID) (replacement id.RoomID) {
	t.Helper()
	var answer struct {
		Room id.RoomID `json:"replacement_room"`
	}
	_, err := p.MakeRequest(t.Context(), http.MethodPost, p.BuildClientURL("v3", "rooms", room, "upgrade"), map[string]string{"new_version": "10"}, &answer)
	if err != nil {
		t.Fatal(err)
	}
	for _, who := range invite {
		if _, err := p.InviteUser(t.Context(), answer.Room, &mautrix.ReqInviteUser{UserID: who}); err != nil && !strings.Contains(err.Error(), "already") {
			t.Fatal(err)
		}
	}
	return answer.Room
}

// TestRoomUpgraded goes on in the room that took the place of the studio's, under
// the address that the studio knows; also after a restart, and after a second
// upgrade while the bot was away.
func TestRoomUpgraded(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	me := id.UserID(sc.account.User)
	old := sc.odile.says(t, sc.room, event.EventMessage, text(sc.account.User+" before"))
	sc.inbox.get(t, 0)
	room := sc.odile.upgrades(t, sc.room, me, sc.ada.UserID)
	goesOn := func(n int) {
		t.Helper()
		sc.odile.awaits(t, "the bot in the new room", func(e *event.Event) bool {
			return e.RoomID == room && e.GetStateKey() == me.String() && e.Content.AsMember().Membership == event.MembershipJoin
		})
		sc.ada.awaits(t, "the new room", func(e *event.Event) bool { return e.RoomID == room })
		said := sc.ada.says(t, room, event.EventMessage, text(sc.account.User+" here"))
		if m := sc.inbox.get(t, n); m.ID != said.String() || m.Channel != sc.room.String() || m.Text != "here" || !m.ToUs {
			t.Errorf("heard %+v, want it in %s", m, sc.room)
		}
		sent := sc.post(t, studio.Delivery{Post: studio.Post{
			Key: studio.Key("news/" + room.String()), Kind: studio.AnnouncedPost, Studio: "harbour-row", To: sc.toRoom(), Text: "News.",
		}})
		if e := sc.ada.sees(t, sent); e.RoomID != room {
			t.Errorf("the post went to %s, want %s", e.RoomID, room)
		}
		sc.ada.says(t, room, event.EventMessage, reply(id.EventID(sent), "join"))
		if m := sc.inbox.get(t, n+1); m.ReplyTo != sent || m.Channel != sc.room.String() {
			t.Errorf("heard %+v", m)
		}
		if f := findingOf(sc.bot.Check(t.Context()), "all it needs in the room"); !f.OK {
			t.Errorf("Check: %+v", sc.bot.Check(t.Context()))
		}
	}
	goesOn(1)
	sc.restart(t)
	sc.odile.says(t, room, event.EventMessage, text(sc.account.User+" again"))
	if m := sc.inbox.get(t, 3); m.Channel != sc.room.String() {
		t.Errorf("after a restart heard %+v", m)
	}
	sc.leave()
	room = sc.odile.upgrades(t, room, me, sc.ada.UserID)
	sc.restart(t)
	goesOn(4)
	if _, err := sc.odile.RedactEvent(t.Context(), sc.room, old); err != nil {
		t.Skipf("this homeserver lets nobody take back what was said in a room that was upgraded: %v", err)
	}
	if m := sc.inbox.get(t, 6); m.Happening != studio.Deleted || m.ID != old.String() {
		t.Errorf("heard %+v", m)
	}
}

// TestUpgradedWithoutInvitation says what is missing, and goes on once the bot is
// invited.
func TestUpgradedWithoutInvitation(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	room := sc.odile.upgrades(t, sc.room)
	if joined, err := sc.odile.JoinedMembers(t.Context(), room); err == nil && len(joined.Joined) > 1 {
		t.Skip("this homeserver moves the members by itself")
	}
	f := sc.told(t, func(f studio.Finding) bool { return strings.Contains(f.What.String(), "was upgraded") })
	if !strings.Contains(f.Do.String(), "Invite the bot to the new room") {
		t.Errorf("told %+v", f)
	}
	if _, err := sc.odile.InviteUser(t.Context(), room, &mautrix.ReqInviteUser{UserID: id.UserID(sc.account.User)}); err != nil {
		t.Fatal(err)
	}
	sc.odile.awaits(t, "the bot in the new room", func(e *event.Event) bool {
		return e.RoomID == room && e.GetStateKey() == sc.account.User && e.Content.AsMember().Membership == event.MembershipJoin
	})
	said := sc.odile.says(t, room, event.EventMessage, text(sc.account.User+" here"))
	if m := sc.inbox.get(t, 0); m.ID != said.String() || m.Channel != sc.room.String() {
		t.Errorf("heard %+v", m)
	}
}

// TestAlias works in a room that the studio's file names by its alias.
func TestAlias(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	alias := id.NewRoomAlias("row-"+strings.ToLower(id.UserID(sc.account.User).Localpart()), "harbour.test")
	at := studio.Address{Platform: Platform, Channel: alias.String()}
	err := sc.store.Update(t.Context(), func(tx studio.Tx) error {
		st, err := tx.Studio("harbour-row")
		if err != nil {
			return err
		}
		st.Channels = []studio.Address{at}
		return tx.PutStudio(st)
	})
	if err != nil {
		t.Fatal(err)
	}
	d := studio.Delivery{Post: studio.Post{Key: "news/1", Kind: studio.AnnouncedPost, Studio: "harbour-row", To: at, Text: "News."}}
	sc.enter(t)
	if _, err := sc.bot.Send(within(t, soon), d); !strings.Contains(blockedSentence(err), "There is no Matrix room #row-") {
		t.Errorf("before there is such an alias: %v", err)
	}
	if f := findingOf(sc.bot.Check(t.Context()), alias.String()); f.OK || !strings.Contains(f.Do.String(), "There is no Matrix room") {
		t.Errorf("Check: %+v", f)
	}
	if _, err := sc.odile.CreateAlias(t.Context(), alias, sc.room); err != nil {
		t.Fatal(err)
	}
	sc.restart(t)
	sc.joins(t)
	if e := sc.ada.sees(t, sc.post(t, d)); e.RoomID != sc.room {
		t.Errorf("the post went to %s", e.RoomID)
	}
	said := sc.ada.says(t, sc.room, event.EventMessage, text(sc.account.User+" streak"))
	if m := sc.inbox.get(t, 0); m.ID != said.String() || m.Channel != alias.String() || m.Text != "streak" {
		t.Errorf("heard %+v", m)
	}
	if wrong := wrongOf(sc.bot.Check(t.Context())); len(wrong) > 0 {
		t.Errorf("Check: %+v", wrong)
	}
}
