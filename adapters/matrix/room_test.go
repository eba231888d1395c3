package matrix

import (
	"fmt"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// joins waits until the bot has joined the studio's room.
func (sc *scene) joins(t testing.TB) {
	t.Helper()
	sc.odile.awaits(t, "the bot joining", func(e *event.Event) bool {
		return e.RoomID == sc.room && e.Type == event.StateMember && e.GetStateKey() == sc.account.User &&
			e.Content.AsMember().Membership == event.MembershipJoin
	})
	sc.ada.awaits(t, "the room", func(e *event.Event) bool { return e.RoomID == sc.room })
}

// TestStudioRoom hears in the studio's room what is for the bot, and nothing
// else.
func TestStudioRoom(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.ada.follow(t, t.Context())
	before := sc.odile.says(t, sc.room, event.EventMessage, text(sc.account.User+": before you came"))
	sc.enter(t)
	sc.joins(t)
	news := sc.post(t, studio.Delivery{Post: studio.Post{
		Key: "news/1", Kind: studio.AnnouncedPost, Studio: "harbour-row", To: sc.toRoom(), Text: "A challenge begins on Monday.",
		Choices: []studio.Choice{{Label: "I am in", Text: "join"}},
	}})
	sc.ada.sees(t, news)
	local := id.UserID(sc.account.User).Localpart()
	mention := text("Studio: pause 5")
	mention.Mentions = &event.Mentions{UserIDs: []id.UserID{id.UserID(sc.account.User)}}
	pill := text("@" + local + ": streak")
	pill.Format, pill.FormattedBody = event.FormatHTML, `<a href="https://matrix.to/#/`+sc.account.User+`">Studio</a>: streak`
	typed, passing := text(local+", streak"), text(local+" is late today")
	typed.Mentions, passing.Mentions = &event.Mentions{}, &event.Mentions{}
	threaded := text("1 done")
	threaded.RelatesTo = (&event.RelatesTo{}).SetThread(id.EventID(news), id.EventID(news))
	strange := text("2 done")
	strange.RelatesTo = (&event.RelatesTo{}).SetThread(before, before)
	fallback := reply(id.EventID(news), "> <@x:harbour.test> A challenge begins on Monday.\n\njoin")
	fallback.Format, fallback.FormattedBody = event.FormatHTML, "<mx-reply>A challenge</mx-reply>join"
	notice := reply(id.EventID(news), "I am a bot")
	notice.MsgType = event.MsgNotice
	for _, tt := range []struct {
		what    string
		kind    event.Type
		content any
		want    string // text that is heard; "": none is
		replyTo string
	}{
		{"chatter", event.EventMessage, text("anybody seen my mouthpiece?"), "", ""},
		{"mention", event.EventMessage, mention, "Studio: pause 5", ""},
		{"mention by id", event.EventMessage, text(sc.account.User + ": streak"), "streak", ""},
		{"mention by name alone", event.EventMessage, typed, "streak", ""},
		{"the name in passing", event.EventMessage, passing, "", ""},
		{"mention by pill", event.EventMessage, pill, "streak", ""},
		{"reply to the bot", event.EventMessage, reply(id.EventID(news), "join"), "join", news},
		{"reply with what it repeats", event.EventMessage, fallback, "join", news},
		{"reply to somebody else", event.EventMessage, reply(before, "join"), "", ""},
		{"thread of the bot", event.EventMessage, threaded, "1 done", news},
		{"thread of somebody else", event.EventMessage, strange, "", ""},
		{"notice", event.EventMessage, notice, "", ""},
		{"quick answer", event.EventReaction, reaction(id.EventID(news), "Ⓐ"), "join", news},
		{"no quick answer", event.EventReaction, reaction(id.EventID(news), "👍"), "", ""},
		{"past the quick answers", event.EventReaction, reaction(id.EventID(news), "Ⓑ"), "", ""},
		{"quick answer to nothing", event.EventReaction, reaction(before, "Ⓐ"), "", ""},
	} {
		n := sc.inbox.count()
		said := sc.ada.says(t, sc.room, tt.kind, tt.content)
		if tt.want == "" {
			said = sc.ada.says(t, sc.room, event.EventMessage, text(sc.account.User+" next"))
			tt.want, tt.what = "next", "mention after "+tt.what
		}
		m := sc.inbox.get(t, n)
		want := studio.Message{
			Platform: Platform, ID: said.String(), Happening: studio.Written, Channel: sc.room.String(),
			Author: studio.Account{Platform: Platform, ID: sc.ada.UserID.String()}, Text: tt.want, ReplyTo: tt.replyTo, At: m.At,
			ToUs: strings.HasPrefix(tt.what, "mention"),
		}
		if tt.what == "thread of the bot" {
			want.Channel, want.Parent = sc.room.String()+"/"+news, sc.room.String()
		}
		if !reflect.DeepEqual(m, want) {
			t.Errorf("%s:\n got %+v\nwant %+v", tt.what, m, want)
		}
	}
}

// TestThreads posts into a thread that is a studio's channel, and hears all that
// is said there.
func TestThreads(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	root := sc.odile.says(t, sc.room, event.EventMessage, text("Ada's thread"))
	at := studio.Address{Platform: Platform, Channel: sc.room.String() + "/" + root.String()}
	err := sc.store.Update(t.Context(), func(tx studio.Tx) error {
		return tx.PutStudio(studio.Studio{ID: "harbour-row", Name: "Harbour Row Brass", Zone: "Europe/Lisbon", Lang: "en",
			Channels: []studio.Address{sc.toRoom(), at}})
	})
	if err != nil {
		t.Fatal(err)
	}
	card := sc.post(t, studio.Delivery{Post: routine("routine/ada/1", at)})
	rel := sc.ada.sees(t, card).Content.AsMessage().RelatesTo
	if rel.GetThreadParent() != root || !rel.IsFallingBack || rel.GetReplyTo() != root {
		t.Errorf("card relates %+v", rel)
	}
	said := text("1 done")
	said.RelatesTo = (&event.RelatesTo{}).SetThread(root, id.EventID(card))
	sent := sc.ada.says(t, sc.room, event.EventMessage, said)
	m := sc.inbox.get(t, 0)
	if m.Channel != at.Channel || m.Text != "1 done" || m.Private || m.ReplyTo != "" {
		t.Errorf("heard %+v", m)
	}
	answer := sc.post(t, studio.Delivery{Post: studio.Post{
		Key: "answer/1", Kind: studio.AnswerPost, Studio: "harbour-row", To: at, ReplyTo: sent.String(), Text: "Noted.",
	}})
	rel = sc.ada.sees(t, answer).Content.AsMessage().RelatesTo
	if rel.GetThreadParent() != root || rel.GetNonFallbackReplyTo() != sent {
		t.Errorf("answer relates %+v", rel)
	}
}

// TestOthersMessages lets nobody edit what another wrote, and takes back what a
// moderator took away.
func TestOthersMessages(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	said := sc.ada.says(t, sc.room, event.EventMessage, text(sc.account.User+" 1 96 clean"))
	sc.inbox.get(t, 0)
	sc.odile.says(t, sc.room, event.EventMessage, edit(said, sc.account.User+" 1 missed"))
	sc.odile.RedactEvent(t.Context(), sc.room, said)
	m := sc.inbox.get(t, 1)
	if m.Happening != studio.Deleted || m.ID != said.String() || m.Author.ID != sc.ada.UserID.String() {
		t.Errorf("heard %+v", m)
	}
}

// TestAway stops the bot, lets people write more than the server tells at once,
// and starts it anew, with an inbox that fails at first.
func TestAway(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	card := sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
	line := sc.ada.sees(t, card).RoomID
	sc.ada.says(t, line, event.EventMessage, reply(id.EventID(card), "first"))
	first := sc.inbox.get(t, 0)
	sc.leave()
	var want []string
	for i := range 130 {
		room := line
		if i%2 == 1 {
			room = sc.room
		}
		want = append(want, sc.ada.says(t, room, event.EventMessage, text(fmt.Sprintf("%s %d done", sc.account.User, i))).String())
	}
	sc.odile.says(t, sc.room, event.EventMessage, text("chatter"))
	sc.ada.RedactEvent(t.Context(), line, id.EventID(first.ID))
	sc.inbox.fails = 2
	sc.restart(t)
	sc.inbox.get(t, len(want)+1)
	got := map[string][]string{} // by room
	deleted := 0
	for _, m := range sc.inbox.all[1:] {
		if m.Happening == studio.Deleted {
			deleted++
			continue
		}
		got[m.Channel] = append(got[m.Channel], m.ID)
	}
	for i, room := range []id.RoomID{line, sc.room} {
		var ours []string
		for j := i; j < len(want); j += 2 {
			ours = append(ours, want[j])
		}
		if !slices.Equal(got[room.String()], ours) {
			t.Errorf("in room %d %d messages came, want %d, in order", i, len(got[room.String()]), len(ours))
		}
	}
	if deleted != 1 || sc.inbox.count() != len(want)+2 {
		t.Errorf("%d taken back of %d messages", deleted, sc.inbox.count())
	}
}

// TestOnce sends the same post again and again, under every mishap there is, and
// counts how often it is seen.
func TestOnce(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	d := studio.Delivery{Post: routine("routine/ada/1", sc.toRoom())}
	lost := false
	sc.front.breaks(func(req *http.Request) *fault {
		if !lost && sending(req, "m.room.message") {
			lost = true
			return &fault{passed: true}
		}
		return nil
	})
	if _, err := sc.bot.Send(t.Context(), d); err == nil {
		t.Fatal("an answer that was lost is no error")
	}
	first := sc.send(t, d)
	again := sc.send(t, d)
	sc.restart(t)
	third := sc.send(t, d)
	// A server that has forgotten all transaction ids: the same device, and so
	// the same ids, but not the same for the server.
	sc.leave()
	sc.makeBot(t)
	sc.front.breaks(renamed)
	sc.enter(t)
	fourth := sc.send(t, d)
	if first != again || first != third || first != fourth {
		t.Errorf("ids %s, %s, %s, %s", first, again, third, fourth)
	}
	last := sc.send(t, studio.Delivery{Post: studio.Post{Key: "last", Kind: studio.AlertPost, To: sc.toRoom(), Text: "last"}})
	sc.ada.sees(t, last)
	seen, marks := 0, 0
	for _, e := range sc.ada.seen {
		if e.Type == event.EventMessage && strings.Contains(e.Content.AsMessage().Body, "Daily Ground 2") {
			seen++
		}
		if e.Type == event.EventReaction {
			marks++
		}
	}
	if seen != 1 || marks > 4 {
		t.Errorf("the post was seen %d times, with %d marks", seen, marks)
	}
}

// TestInterrupted ends the program after the server took a post and before
// anybody noted it, with a server that forgets transaction ids.
func TestInterrupted(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	sc.joins(t)
	d := studio.Delivery{Post: routine("routine/ada/1", sc.toRoom())}
	d.Choices = nil
	sc.front.breaks(func(req *http.Request) *fault {
		if sending(req, "") {
			return &fault{passed: true}
		}
		if strings.HasSuffix(req.URL.Path, "/sync") {
			return &fault{status: 502}
		}
		return nil
	})
	if _, err := sc.bot.Send(t.Context(), d); err == nil {
		t.Fatal("an answer that was lost is no error")
	}
	sc.leave()
	sc.makeBot(t)
	sc.front.breaks(renamed)
	sc.enter(t)
	sent := sc.send(t, d)
	sc.ada.sees(t, sent)
	last := sc.send(t, studio.Delivery{Post: studio.Post{Key: "last", Kind: studio.AlertPost, To: sc.toRoom(), Text: "last"}})
	sc.ada.sees(t, last)
	seen := 0
	for _, e := range sc.ada.seen {
		if e.Type == event.EventMessage && strings.Contains(e.Content.AsMessage().Body, "Daily Ground 2") {
			seen++
		}
	}
	if seen != 1 {
		t.Errorf("the post was seen %d times", seen)
	}
}

// TestManyParts knows every part of a long post as that post, also after a
// restart.
func TestManyParts(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	p := routine("routine/ada/1", sc.toAda())
	for len(p.Items) < 200 {
		p.Items = append(p.Items, studio.PostItem{N: len(p.Items) + 1, Head: p.Items[0].Head, Detail: strings.Repeat("slowly ", 60)})
	}
	want := len(parts(studio.Delivery{Post: p}))
	card := sc.post(t, studio.Delivery{Post: p})
	last := sc.ada.awaits(t, "the last part", func(e *event.Event) bool {
		return e.Type == event.EventMessage && strings.Contains(e.Content.AsMessage().Body, "Ⓐ Played it all")
	})
	if want < 3 || last.ID.String() == card {
		t.Fatalf("%d parts, the last is %s and the first %s", want, last.ID, card)
	}
	for n := range 3 {
		sc.ada.says(t, last.RoomID, event.EventMessage, reply(last.ID, "200 done"))
		if m := sc.inbox.get(t, 4*n); m.ReplyTo != card {
			t.Errorf("reply to the last part answers %s, want %s", m.ReplyTo, card)
		}
		sc.ada.says(t, last.RoomID, event.EventMessage, reply(id.EventID(card), "1 done"))
		if m := sc.inbox.get(t, 4*n+1); m.ReplyTo != card {
			t.Errorf("reply to the first part answers %s, want %s", m.ReplyTo, card)
		}
		tapped := sc.ada.says(t, last.RoomID, event.EventReaction, reaction(last.ID, "Ⓑ"))
		if m := sc.inbox.get(t, 4*n+2); m.ReplyTo != card || m.Text != "some of it" {
			t.Errorf("tap on the last part: %+v", m)
		}
		// The receipt for the tap goes below the card, whoever remembers the tap.
		sc.restart(t)
		sc.post(t, studio.Delivery{Post: studio.Post{
			Key: studio.Key(fmt.Sprint("receipt/", n)), Kind: studio.ReceiptPost, Studio: "harbour-row", To: sc.toAda(), ReplyTo: tapped.String(), Brief: true,
		}})
		sc.ada.awaits(t, "the receipt", func(e *event.Event) bool {
			r := e.Content.AsReaction().RelatesTo
			return e.Type == event.EventReaction && r.Key == receiptMark && r.EventID == last.ID
		})
		if _, err := sc.ada.RedactEvent(t.Context(), last.RoomID, tapped); err != nil {
			t.Fatal(err)
		}
		if m := sc.inbox.get(t, 4*n+3); m.Happening != studio.Deleted || m.ID != tapped.String() {
			t.Errorf("tap taken back: %+v", m)
		}
	}
}

// TestInvitations joins where it should.
func TestInvitations(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	wim := sc.home.person(t, "wim")
	sc.enter(t)
	sc.joins(t)
	line := sc.ada.invites(t, sc, true)
	sc.ada.says(t, line, event.EventMessage, text("hello"))
	if m := sc.inbox.get(t, 0); !m.Private || m.Channel != line.String() || m.Text != "hello" {
		t.Errorf("heard %+v", m)
	}
	// One that is no line by its word, but has nobody else in it.
	other := sc.ada.invites(t, sc, false)
	sc.ada.says(t, other, event.EventMessage, text("hello again"))
	if m := sc.inbox.get(t, 1); !m.Private || m.Channel != other.String() {
		t.Errorf("heard %+v", m)
	}
	strange := wim.invites(t, sc, true)
	wim.says(t, strange, event.EventMessage, text("may I?"))
	time.Sleep(500 * time.Millisecond)
	if resp, err := wim.JoinedMembers(t.Context(), strange); err != nil || len(resp.Joined) != 1 {
		t.Errorf("the bot joined somebody it does not know: %v, %v", resp, err)
	}
	err := sc.store.Update(t.Context(), func(tx studio.Tx) error {
		return tx.PutMember(studio.Member{ID: "wim", Studio: "harbour-row", Name: "Wim", Role: studio.Student, Zone: "Europe/Lisbon", Lang: "en",
			Accounts: []studio.Account{{Platform: Platform, ID: wim.UserID.String()}}})
	})
	if err != nil {
		t.Fatal(err)
	}
	sc.restart(t)
	if m := sc.inbox.get(t, 2); m.Text != "may I?" || !m.Private {
		t.Errorf("heard %+v", m)
	}
}

func (p *person) invites(t testing.TB, sc *scene, direct bool) id.RoomID {
	t.Helper()
	resp, err := p.CreateRoom(t.Context(), &mautrix.ReqCreateRoom{
		Preset: "trusted_private_chat", IsDirect: direct, Invite: []id.UserID{id.UserID(sc.account.User)},
	})
	if err != nil {
		t.Fatal(err)
	}
	return resp.RoomID
}

// TestLine opens a private line once, and another only when it must.
func TestLine(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	n := 0
	post := func() id.RoomID {
		t.Helper()
		n++
		sent := sc.post(t, studio.Delivery{Post: studio.Post{
			Key: studio.Key(fmt.Sprint("post/", n)), Kind: studio.AlertPost, Studio: "harbour-row", To: sc.toAda(), Text: "Well done.",
		}})
		return sc.ada.sees(t, sent).RoomID
	}
	line := post()
	if post() != line {
		t.Error("a second line was opened")
	}
	sc.restart(t)
	if post() != line {
		t.Error("a second line was opened after a restart")
	}
	if _, err := sc.ada.InviteUser(t.Context(), line, &mautrix.ReqInviteUser{UserID: sc.odile.UserID}); err != nil {
		t.Fatal(err)
	}
	sc.odile.awaits(t, "the line", func(e *event.Event) bool { return e.RoomID == line })
	time.Sleep(300 * time.Millisecond)
	second := post()
	if second == line {
		t.Error("a post went to a line with somebody else in it")
	}
	if _, err := sc.ada.LeaveRoom(t.Context(), second); err != nil {
		t.Fatal(err)
	}
	time.Sleep(300 * time.Millisecond)
	_, err := sc.bot.Send(t.Context(), studio.Delivery{Post: studio.Post{Key: "post/left", Kind: studio.AlertPost, To: sc.toAda(), Text: "Are you there?"}})
	if blockedSentence(err) == "" || !strings.Contains(blockedSentence(err), "has left the private line") {
		t.Errorf("after she left: %v", err)
	}
	back := sc.ada.invites(t, sc, true)
	sc.ada.awaits(t, "the bot joining", func(e *event.Event) bool {
		return e.RoomID == back && e.GetStateKey() == sc.account.User && e.Content.AsMember().Membership == event.MembershipJoin
	})
	time.Sleep(300 * time.Millisecond)
	if post() != back {
		t.Error("the post did not go to the line that she opened")
	}
}
