package discord_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/discord"
	"ledgerline/adapters/discord/discordtest"
	"ledgerline/studio"
)

func faulty(status int) discordtest.Fault { return discordtest.Fault{Status: status} }

// fails sends a post, which must fail, and returns the error.
func (s *stage) fails(d studio.Delivery) *studio.SendError {
	s.Helper()
	_, err := s.bot.Send(context.Background(), d)
	var e *studio.SendError
	if !errors.As(err, &e) {
		s.Fatalf("sending %s: error %v, want a SendError", d.Key, err)
	}
	return e
}

func TestSendFaults(t *testing.T) {
	for _, tc := range []struct {
		name      string
		fault     func(s *stage)
		permanent bool
		blocked   string // part of what the teacher is told
	}{
		{"500", func(s *stage) { s.discord.Fail("POST", "/messages", 1, faulty(500)) }, false, ""},
		{"502", func(s *stage) { s.discord.Fail("POST", "/messages", 1, faulty(502)) }, false, ""},
		{"504 in HTML", func(s *stage) { s.discord.Fail("POST", "/messages", 1, discordtest.Fault{Status: 504, HTML: true}) }, false, ""},
		{"connection cut", func(s *stage) { s.discord.Fail("POST", "/messages", 1, discordtest.Fault{Drop: true}) }, false, ""},
		{"server gone", func(s *stage) { s.discord.Close() }, false, ""},
		{"bad form", func(s *stage) { s.discord.Fail("POST", "/messages", 1, discordtest.Fault{Status: 400, Code: 50035}) }, true, ""},
		{"token revoked", func(s *stage) { s.discord.RevokeToken() }, false, "Reset Token"},
		{"kicked", func(s *stage) { s.discord.Kick(s.guild) }, false, "View Channel"},
		{"channel deleted", func(s *stage) { s.discord.DeleteChannel(s.channel) }, false, "channel is gone"},
		{"may not see", func(s *stage) { s.discord.Forbid(s.channel, discordtest.ViewChannel) }, false, "View Channel"},
		{"may not write", func(s *stage) { s.discord.Forbid(s.channel, discordtest.SendMessages) }, false, "Send Messages"},
		{"thread locked", func(s *stage) { s.discord.Fail("POST", "/messages", 1, discordtest.Fault{Status: 403, Code: 50083}) }, false, "thread is locked"},
		{"unknown refusal", func(s *stage) { s.discord.Fail("POST", "/messages", 1, discordtest.Fault{Status: 403, Code: 99999}) }, false, "Send Messages"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := newStage(t)
			tc.fault(s)
			d := s.plain("answer/1", "Hello.")
			d.To = studio.Address{Platform: "discord", Channel: s.channel}
			e := s.fails(d)
			if e.Permanent != tc.permanent || (e.Blocked.ID == "") != (tc.blocked == "") || !strings.Contains(e.Blocked.String(), tc.blocked) {
				t.Errorf("permanent %v, blocked %q, err %v", e.Permanent, e.Blocked.String(), e.Err)
			}
			if strings.Contains(e.Error(), s.discord.Token()) || strings.Contains(e.Error(), "Hello") {
				t.Errorf("the error tells too much: %v", e)
			}
		})
	}
}

func TestPrivateLineClosed(t *testing.T) {
	s := newStage(t)
	s.discord.CloseLine(s.pupil, true)
	if e := s.fails(s.routine()); !strings.Contains(e.Blocked.String(), "Direct Messages") {
		t.Errorf("blocked %q", e.Blocked.String())
	}
	s.discord.CloseLine(s.pupil, false)
	s.send(s.routine())
	d := s.plain("answer/1", "Hello.")
	d.To.Account = "42"
	if e := s.fails(d); !strings.Contains(e.Blocked.String(), "no account") {
		t.Errorf("blocked %q", e.Blocked.String())
	}
}

// The limit of one channel holds back that channel alone, and the bot does not
// run into it a second time.
func TestRateLimitOfOneChannel(t *testing.T) {
	s := newStage(t)
	s.discord.Limit("POST", "/messages", 2, 700*time.Millisecond)
	for n := range 2 {
		s.send(s.plain(studio.Key(fmt.Sprint("a/", n)), "one"))
	}
	e := s.fails(s.plain("a/2", "one"))
	if e.After <= 0 || e.After > time.Second || e.Permanent || e.Everywhere {
		t.Errorf("to wait %v, permanent %t, everywhere %t; want up to a second, in that channel", e.After, e.Permanent, e.Everywhere)
	}
	began := time.Now()
	other := s.plain("b/1", "other")
	other.To = s.to(s.pal)
	s.send(other)
	if d := time.Since(began); d > 300*time.Millisecond {
		t.Errorf("another channel waited %v", d)
	}
	time.Sleep(e.After)
	s.send(s.plain("a/2", "one"))
	if st := s.discord.Stats(); st.Limited != 0 {
		t.Errorf("%d requests were answered 429", st.Limited)
	}
}

// A limit that the headers did not announce is obeyed once it is met.
func TestRateLimitMet(t *testing.T) {
	s := newStage(t)
	s.send(s.plain("a/0", "one"))
	s.discord.Fail("POST", "/messages", 1, discordtest.Fault{Status: 429, HTML: true, RetryAfter: "1"})
	e := s.fails(s.plain("a/1", "one"))
	if e.After < 900*time.Millisecond || e.After > time.Second || !e.Everywhere {
		t.Errorf("to wait %v, everywhere: %t; want a second, everywhere", e.After, e.Everywhere)
	}
	other := s.plain("b/1", "other")
	other.To = s.to(s.pal)
	if e := s.fails(other); e.After <= 0 || e.After > time.Second {
		t.Errorf("to wait %v: such an answer concerns everything", e.After)
	}
	time.Sleep(e.After)
	s.send(s.plain("a/1", "one"))
}

func TestGlobalRateLimit(t *testing.T) {
	s := newStage(t)
	s.send(s.plain("a/0", "one"))
	s.discord.Halt(600 * time.Millisecond)
	e := s.fails(s.plain("a/1", "one"))
	if e.After <= 0 || e.After > 700*time.Millisecond || !e.Everywhere {
		t.Errorf("to wait %v, everywhere: %t", e.After, e.Everywhere)
	}
	before := s.discord.Stats().Requests
	for n := range 5 {
		d := s.plain(studio.Key(fmt.Sprint("b/", n)), "other")
		d.To = studio.Address{Platform: "discord", Channel: s.channel}
		if e := s.fails(d); e.After <= 0 {
			t.Errorf("to wait %v", e.After)
		}
	}
	if after := s.discord.Stats().Requests; after != before {
		t.Errorf("%d requests while everything was limited", after-before)
	}
	time.Sleep(e.After)
	s.send(s.plain("a/1", "one"))
}

// The bot keeps to the limit on all its requests of its own accord.
func TestPace(t *testing.T) {
	s := newStage(t)
	s.config.PerSecond = 20
	s.newBot()
	began := time.Now()
	for n := range 11 {
		s.send(s.plain(studio.Key(fmt.Sprint("a/", n)), "one"))
	}
	if d := time.Since(began); d < 500*time.Millisecond {
		t.Errorf("eleven requests in %v, want 20 a second at most", d)
	}
}

// A private line is opened once, however often the program is started, and again
// only if Discord no longer knows it.
func TestPrivateLineIsKept(t *testing.T) {
	s := newStage(t)
	s.send(s.plain("a/1", "one"))
	before := s.discord.Stats().Requests
	s.newBot()
	s.send(s.plain("a/2", "two"))
	if n := s.discord.Stats().Requests - before; n != 1 {
		t.Errorf("%d requests for one post after a restart, want 1", n)
	}
	for name := range s.office.marks {
		s.office.marks[name] = "4711" // a channel that is not there
	}
	s.newBot()
	s.send(s.plain("a/3", "three"))
	if got := s.discord.Posts(s.line); len(got) != 3 || got[2].Content != "three" {
		t.Errorf("on the line: %+v", got)
	}
}

// The answer to a request is lost, and by the time it is sent again Discord has
// forgotten the nonce.
func TestAnswerLost(t *testing.T) {
	for name, f := range map[string]discordtest.Fault{
		"cut":  {Drop: true, Done: true},
		"500":  {Status: 500, Done: true},
		"HTML": {Status: 502, HTML: true, Done: true},
	} {
		t.Run(name, func(t *testing.T) {
			s := newStage(t)
			s.send(s.plain("answer/0", "Logged: 1 clean.")) // the same words, another post
			for _, d := range []studio.Delivery{s.routine(), s.plain("answer/1", "Logged: 1 clean.")} {
				s.discord.Fail("POST", "/messages", 1, f)
				s.fails(d)
				s.discord.ForgetNonces()
				id := s.send(d)
				posts := s.discord.Posts(s.line)
				if last := posts[len(posts)-1]; last.ID != id {
					t.Errorf("sent as %s, want %s", id, last.ID)
				}
			}
			if n := len(s.discord.Posts(s.line)); n != 3 {
				t.Errorf("%d posts, want 3", n)
			}
		})
	}
}

// The program is killed after a post was sent and before that was known, and by
// the time it starts again Discord has forgotten the nonce.
func TestKilledAfterSending(t *testing.T) {
	s := newStage(t)
	long := s.plain("help", strings.Repeat("words and words\n", 500))
	cut := s.plain("help/2", strings.Repeat("and more words\n", 500))
	known := s.plain("answer/0", "Logged: 1 clean.")
	s.send(known) // and that is known
	same := s.plain("answer/1", known.Text)
	card := s.routine()
	queued := time.Now()
	var want []string
	for _, d := range []studio.Delivery{card, long} {
		id, err := s.bot.Send(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		want = append(want, id)
	}
	time.Sleep(time.Second) // the span of the usual limit
	s.discord.Limit("POST", "/messages", 1, 300*time.Millisecond)
	s.fails(cut) // after its first message
	s.discord.Limit("POST", "/messages", 1000, time.Second)
	time.Sleep(300 * time.Millisecond)
	n := len(s.discord.Posts(s.line))
	s.discord.ForgetNonces()
	time.Sleep(5 * time.Millisecond)
	s.newBot()
	for i, d := range []studio.Delivery{card, long} {
		d.QueuedAt, d.Again = queued, true
		if id := s.send(d); id != want[i] {
			t.Errorf("%s was sent as %s, and again as %s", d.Key, want[i], id)
		}
	}
	if got := len(s.discord.Posts(s.line)); got != n {
		t.Errorf("%d messages are there, want %d", got, n)
	}
	same.QueuedAt, cut.QueuedAt, same.Again, cut.Again = queued, queued, true, true
	first := s.send(cut)
	last := s.discord.Posts(s.line)
	if last[n-1].ID != first || len(last) <= n {
		t.Errorf("the post that was cut short was begun anew: %d messages, want it to go on after the first", len(last)-n)
	}
	s.send(same)
	if got := len(s.discord.Posts(s.line)); got != len(last)+1 {
		t.Errorf("a post with the words of another one was taken for it")
	}
}

// A post of several messages goes on where it stopped.
func TestSendGoesOn(t *testing.T) {
	s := newStage(t)
	d := s.plain("help", strings.Repeat("words and words\n", 500))
	s.discord.Limit("POST", "/messages", 2, 300*time.Millisecond)
	e := s.fails(d)
	if n := len(s.discord.Posts(s.line)); n != 2 || e.After <= 0 {
		t.Fatalf("%d parts sent, to wait %v", n, e.After)
	}
	s.discord.ForgetNonces()
	time.Sleep(e.After)
	first := s.send(d)
	posts := s.discord.Posts(s.line)
	var words int
	for _, p := range posts {
		words += len(strings.Fields(p.Content))
	}
	if posts[0].ID != first || words != 1500 {
		t.Errorf("sent as %s with %d words, want %s with 1500", first, words, posts[0].ID)
	}
}

func TestFatalCloses(t *testing.T) {
	for code, said := range map[int]string{4004: "Reset Token", 4013: "intents", 4014: "Message Content Intent"} {
		t.Run(fmt.Sprint(code), func(t *testing.T) {
			s := newStage(t)
			switch code {
			case 4004:
				s.discord.RevokeToken()
			case 4014:
				s.discord.ForbidContent()
			default:
				s.discord.Refuse(code)
			}
			ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
			defer stop()
			err := s.bot.Run(ctx)
			var e *discord.StoppedError
			if !errors.As(err, &e) || e.Code != code || !strings.Contains(e.Error(), said) {
				t.Errorf("stopped with %v", err)
			}
		})
	}
}

// The token is revoked while the bot is connected.
func TestTokenRevoked(t *testing.T) {
	s := newStage(t).run()
	s.discord.RevokeToken()
	select {
	case err := <-s.ended:
		var e *discord.StoppedError
		if !errors.As(err, &e) || e.Code != 4004 {
			t.Errorf("stopped with %v", err)
		}
		s.ended <- nil
	case <-time.After(10 * time.Second):
		t.Error("the bot goes on without a token")
	}
}
