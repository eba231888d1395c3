package discord_test

import (
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"ledgerline/adapters/discord/discordtest"
	"ledgerline/studio"
)

// resumed waits until the bot has connected again.
func (s *stage) resumed(before discordtest.Stats) discordtest.Stats {
	s.Helper()
	var now discordtest.Stats
	s.until("the bot has connected again", func() bool {
		now = s.discord.Stats()
		return now.Resumes+now.Identifies > before.Resumes+before.Identifies && s.discord.Await(1, time.Millisecond)
	})
	return now
}

// Whatever ends the connection, all that is said meanwhile and after is heard
// once, in order.
func TestReconnect(t *testing.T) {
	for _, tc := range []struct {
		name   string
		lose   func(*discordtest.Server)
		resume bool // the same session goes on
	}{
		{"cut", (*discordtest.Server).Sever, false}, // the library says goodbye, which ends the session
		{"asked to reconnect", (*discordtest.Server).Reconnect, true},
		{"session invalid", (*discordtest.Server).Invalidate, false},
		{"server restarts", func(s *discordtest.Server) { s.Drop(4000) }, false},
		{"session forgotten", func(s *discordtest.Server) { s.Forget(); s.Drop(4000) }, false},
		{"sequence wrong", func(s *discordtest.Server) { s.Refuse(4007); s.Reconnect() }, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := newStage(t).run()
			var want []string
			say := func(n int) {
				for range n {
					want = append(want, s.discord.Say(s.line, s.pupil, fmt.Sprint(len(want)+1, " clean")))
				}
			}
			say(3)
			s.heard(3)
			before := s.discord.Stats()
			tc.lose(s.discord)
			say(120) // more than a page of history
			after := s.resumed(before)
			say(3)
			all := s.heard(len(want))
			for i, m := range all {
				if m.ID != want[i] {
					t.Fatalf("message %d is %s, want %s", i, m.ID, want[i])
				}
			}
			if tc.resume && after.Identifies != before.Identifies {
				t.Errorf("identified again; the session could have gone on")
			}
		})
	}
}

// The program is killed after some messages were stored and before others were,
// and starts again.
func TestRestart(t *testing.T) {
	s := newStage(t).run()
	a := s.discord.Say(s.line, s.pupil, "1 clean")
	s.heard(1)
	s.office.breakFor(1 << 30)
	b := s.discord.Say(s.line, s.pupil, "2 clean")
	time.Sleep(50 * time.Millisecond)
	s.end()
	s.office.breakFor(0)
	c := s.discord.Say(s.line, s.pupil, "3 clean")
	me := "<@" + s.discord.Bot().ID + "> "
	s.discord.Say(s.channel, s.pal, "chatter")
	d := s.discord.Say(s.channel, s.pal, me+"4 clean")
	first := s.discord.Say(s.discord.Line(s.pal), s.pal, "5 clean") // on a line never seen before
	s.newBot()
	s.run()
	s.until("all is stored", func() bool { return len(s.office.inbox()) >= 5 })
	var got []string
	for _, m := range s.office.inbox() {
		got = append(got, m.ID)
	}
	slices.Sort(got)
	want := []string{a, b, c, d, first}
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("heard %v, want %v", got, want)
	}
	s.quiet(5)
}

// What is said on the line while history is still to be read comes after it, so
// that the last stored id has nothing unstored before it.
func TestHistoryBeforeNews(t *testing.T) {
	s := newStage(t)
	var want []string
	for n := range 5 {
		want = append(want, s.discord.Say(s.line, s.pupil, fmt.Sprint(n, " clean")))
	}
	s.discord.Fail("GET", "/messages", 3, faulty(503))
	s.connect()
	want = append(want, s.discord.Say(s.line, s.pupil, "now"))
	for i, m := range s.heard(6) {
		if m.ID != want[i] {
			t.Fatalf("message %d is %q", i, m.Text)
		}
	}
}

func TestEditsAndReactionsWhileAway(t *testing.T) {
	s := newStage(t).run()
	card := s.send(s.routine())
	a := s.discord.Say(s.line, s.pupil, "1 clean")
	s.heard(1)
	s.end()
	s.discord.Edit(s.line, a, "1 shaky")
	b := s.discord.Say(s.line, s.pupil, "2 clean")
	s.discord.Edit(s.line, b, "2 shaky")
	s.discord.React(s.line, card, s.pupil, "😴")
	s.newBot()
	s.run()
	s.want(
		told{a, studio.Written, s.pupil.ID, "1 clean", "", true},
		told{"react/" + card + "/" + s.pupil.ID + "/😴/0", studio.Written, s.pupil.ID, "rest day", card, true},
		told{a, studio.Edited, s.pupil.ID, "1 shaky", "", true},
		told{b, studio.Written, s.pupil.ID, "2 shaky", "", true},
	)
	s.quiet(4)
}

func TestTakenBackWhileAway(t *testing.T) {
	s := newStage(t).run()
	card := s.send(s.routine())
	a := s.discord.Say(s.line, s.pupil, "1 clean")
	b := s.discord.Say(s.line, s.pupil, "2 clean")
	s.discord.React(s.line, card, s.pupil, "😴")
	s.discord.React(s.line, card, s.pupil, "✅")
	s.heard(4)
	s.end()
	s.discord.Delete(s.line, a)
	s.discord.Delete(s.line, b)
	s.discord.Unreact(s.line, card, s.pupil, "😴")
	s.newBot()
	s.run()
	s.until("what is gone is taken back", func() bool { return len(s.office.inbox()) >= 7 })
	got := tell(s.office.inbox()[4:])
	for _, want := range []told{
		{a, studio.Deleted, s.pupil.ID, "", "", true},
		{b, studio.Deleted, s.pupil.ID, "", "", true},
		{"react/" + card + "/" + s.pupil.ID + "/😴/0", studio.Deleted, s.pupil.ID, "", card, true},
	} {
		if !slices.Contains(got, want) {
			t.Errorf("heard %+v, want %+v among it", got, want)
		}
	}
	s.quiet(7)
}

// Where the bot may not read what was said before, Discord shows nothing at all:
// that takes nothing back.
func TestHistoryForbidden(t *testing.T) {
	s := newStage(t).run()
	s.discord.Say(s.channel, s.pupil, "<@"+s.discord.Bot().ID+"> 1 clean")
	s.heard(1)
	s.end()
	s.discord.Forbid(s.channel, discordtest.ReadHistory)
	s.newBot()
	s.run()
	s.quiet(1)
}

func TestThreadsWhileAway(t *testing.T) {
	s := newStage(t).run()
	d := s.plain("news/1", "A challenge begins on Monday.")
	d.To = studio.Address{Platform: "discord", Channel: s.channel}
	card := s.send(d)
	s.office.knows(card, d.Post)
	own := s.discord.StartThread(s.channel, card, "about it")
	other := s.discord.AddThread(s.channel, "wim")
	s.end()
	a := s.discord.Say(own, s.pupil, "join")
	b := s.discord.Say(other, s.pupil, "<@"+s.discord.Bot().ID+"> 1 clean")
	s.newBot()
	s.run()
	s.until("the threads are read back", func() bool { return len(s.office.inbox()) >= 2 })
	for _, m := range s.office.inbox() {
		want := studio.Message{
			Platform: "discord", ID: a, Happening: studio.Written, Author: studio.Account{Platform: "discord", ID: s.pupil.ID},
			Channel: own, Parent: s.channel, Text: "join", ReplyTo: card, At: m.At,
		}
		if m.ID == b {
			want.ID, want.Channel, want.Text, want.ReplyTo, want.ToUs = b, other, "1 clean", "", true
		}
		if !reflect.DeepEqual(m, want) {
			t.Errorf("heard %+v,\nwant  %+v", m, want)
		}
	}
	s.quiet(2)
}

// A place that can't be read any more holds up nothing.
func TestPlacesGone(t *testing.T) {
	s := newStage(t)
	s.discord.DeleteChannel(s.channel)
	s.office.members = append(s.office.members, studio.Member{ID: "gone", Accounts: []studio.Account{{Platform: "discord", ID: "42"}}})
	s.connect()
	id := s.discord.Say(s.line, s.pupil, "1 clean")
	s.want(told{id, studio.Written, s.pupil.ID, "1 clean", "", true})
}

// The server takes the connection and then says nothing, or no longer answers
// signs of life.
func TestSilentServer(t *testing.T) {
	s := newStage(t)
	s.discord.Heartbeat(20*time.Millisecond, false)
	s.connect()
	before := s.discord.Stats()
	s.resumed(before)
	s.discord.Heartbeat(time.Minute, true)
	s.discord.Say(s.line, s.pupil, "1 clean")
	s.heard(1)
	if n := s.discord.Stats().Heartbeats; n < 2 {
		t.Errorf("%d signs of life", n)
	}
}

func TestGatewayUnavailable(t *testing.T) {
	s := newStage(t)
	s.discord.Fail("GET", "/gateway", 2, faulty(503))
	s.run()
	s.discord.Say(s.line, s.pupil, "1 clean")
	s.heard(1)
}
