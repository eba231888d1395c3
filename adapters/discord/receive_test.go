package discord_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

func TestPrivateLine(t *testing.T) {
	s := newStage(t).run()
	before := time.Now()
	id := s.discord.Say(s.line, s.pupil, "1 96 clean, 2 skip")
	m := s.heard(1)[0]
	want := studio.Message{
		Platform: "discord", ID: id, Happening: studio.Written, Author: studio.Account{Platform: "discord", ID: s.pupil.ID},
		Channel: s.line, Private: true, Text: "1 96 clean, 2 skip", At: m.At,
	}
	if !reflect.DeepEqual(m, want) {
		t.Errorf("heard %+v, want %+v", m, want)
	}
	if d := m.At.Sub(before); d < -time.Second || d > time.Minute {
		t.Errorf("written at %v, %v after it was said", m.At, d)
	}
}

// told describes what was stored, for comparing.
type told struct {
	id      string
	h       studio.Happening
	author  string
	text    string
	replyTo string
	private bool
}

func tell(all []studio.Message) (list []told) {
	for _, m := range all {
		list = append(list, told{m.ID, m.Happening, m.Author.ID, m.Text, m.ReplyTo, m.Private})
	}
	return list
}

func (s *stage) want(want ...told) {
	s.Helper()
	if got := tell(s.heard(len(want))); !slices.Equal(got, want) {
		s.Errorf("heard %+v,\nwant %+v", got, want)
	}
}

func TestChannel(t *testing.T) {
	s := newStage(t)
	elsewhere := s.discord.AddChannel(s.guild, "chatter")
	far := s.discord.AddThread(elsewhere, "far")
	d := s.routine()
	d.To = studio.Address{Platform: "discord", Channel: s.channel}
	card := s.send(d)
	s.run()
	thread := s.discord.AddThread(s.channel, "wim")
	me := "<@" + s.discord.Bot().ID + ">"
	theirs := s.discord.Say(s.channel, s.pal, "who plays on Friday?")
	s.discord.Reply(s.channel, s.pupil, theirs, "I do") // to somebody else
	s.discord.Say(elsewhere, s.pupil, me+" hello")      // not the studio's
	s.discord.Say(far, s.pupil, "hello")
	s.discord.SayAs(s.channel, s.pal, me+" from a webhook", map[string]any{"webhook_id": "77"})
	s.discord.SayAs(s.channel, s.pal, me+" joined", map[string]any{"type": 7})
	bot := s.pal
	bot.Bot = true
	s.discord.SayAs(s.channel, bot, me+" from a bot", nil)

	named := s.discord.Say(s.channel, s.pupil, me+", 1 clean")
	reply := s.discord.Reply(s.channel, s.pupil, card, "2 clean")
	inThread := s.discord.Say(thread, s.pupil, "3 clean")
	odd := s.discord.SayAs(s.channel, s.pupil, me+" 4 clean", map[string]any{
		"mentions":   []any{map[string]any{"id": s.discord.Bot().ID, "username": "ledgerline"}},
		"components": []any{map[string]any{"type": 99, "novelty": true}}, // nobody knows it
	})
	role := s.discord.Say(s.channel, s.pupil, "<@&"+s.guild+"9> 5 clean")
	s.want(
		told{named, studio.Written, s.pupil.ID, "1 clean", "", false},
		told{reply, studio.Written, s.pupil.ID, "2 clean", card, false},
		told{inThread, studio.Written, s.pupil.ID, "3 clean", "", false},
		told{odd, studio.Written, s.pupil.ID, "4 clean", "", false},
		told{role, studio.Written, s.pupil.ID, "5 clean", "", false},
	)
	for i, m := range s.office.inbox() {
		if named := i != 1 && i != 2; m.ToUs != named {
			t.Errorf("%q names the bot: %t, want %t", m.Text, m.ToUs, named)
		}
		if inThread := i == 2; (m.Parent == s.channel) != inThread {
			t.Errorf("%q was said in a thread of %q", m.Text, m.Parent)
		}
	}
	s.quiet(5)
}

func TestEditAndDelete(t *testing.T) {
	s := newStage(t).run()
	id := s.discord.Say(s.line, s.pupil, "1 clean")
	s.discord.Unfold(s.line, id) // no edit
	s.discord.Edit(s.line, id, "1 shaky")
	s.discord.Unfold(s.line, id) // that edit again
	s.discord.Edit(s.line, id, "1 missed")
	s.discord.Delete(s.line, id)
	s.want(
		told{id, studio.Written, s.pupil.ID, "1 clean", "", true},
		told{id, studio.Edited, s.pupil.ID, "1 shaky", "", true},
		told{id, studio.Edited, s.pupil.ID, "1 missed", "", true},
		told{id, studio.Deleted, s.pupil.ID, "", "", true},
	)
	if m := s.office.inbox(); m[1].Revision == m[2].Revision || m[1].Revision == "" {
		t.Errorf("revisions %q and %q", m[1].Revision, m[2].Revision)
	}
	s.quiet(4)
}

func TestDeleteMany(t *testing.T) {
	s := newStage(t).run()
	a := s.discord.Say(s.line, s.pupil, "1 clean")
	b := s.discord.Say(s.line, s.pupil, "2 clean")
	chat := s.discord.Say(s.channel, s.pal, "hello all")
	s.heard(2)
	s.discord.Delete(s.channel, chat) // never stored
	s.discord.Delete(s.line, a, b)
	s.heard(4)
	got := tell(s.office.inbox()[2:])
	for _, id := range []string{a, b} {
		if !slices.Contains(got, told{id, studio.Deleted, s.pupil.ID, "", "", true}) {
			t.Errorf("heard %+v, want %s deleted", got, id)
		}
	}
	s.quiet(4)
}

func TestReplyToLaterPart(t *testing.T) {
	s := newStage(t)
	asked := s.discord.Say(s.line, s.pupil, "help")
	d := s.plain("help", strings.Repeat("words and words\n", 300))
	d.ReplyTo = asked
	first := s.send(d)
	posts := s.discord.Posts(s.line)
	s.newBot() // which does not remember having sent them
	s.run()
	s.heard(1) // the question of before
	id := s.discord.Reply(s.line, s.pupil, posts[1].ID, "thanks")
	other := s.discord.Reply(s.line, s.pupil, posts[0].ID, "really")
	got := tell(s.heard(3))
	if want := (told{id, studio.Written, s.pupil.ID, "thanks", first, true}); got[1] != want {
		t.Errorf("heard %+v, want %+v", got[1], want)
	}
	if want := (told{other, studio.Written, s.pupil.ID, "really", first, true}); got[2] != want {
		t.Errorf("heard %+v, want %+v", got[2], want)
	}
}

func TestReactions(t *testing.T) {
	s := newStage(t).run()
	card := s.send(s.routine())
	question := s.plain("question/1", "Which is it?")
	question.Kind, question.Choices = studio.QuestionPost, []studio.Choice{{Label: "Clean", Text: "2 clean"}, {Label: "Shaky", Text: "2 shaky"}}
	asked := s.send(question)

	s.discord.React(s.line, card, s.pupil, "👍🏽")
	s.discord.Unreact(s.line, card, s.pupil, "👍🏽")
	s.discord.React(s.line, card, s.pupil, "👍")
	s.discord.React(s.line, card, s.pupil, "🎺")  // means nothing
	s.discord.React(s.line, asked, s.pupil, "👍") // means nothing here
	s.discord.React(s.line, asked, s.pupil, "2️⃣")
	s.discord.React(s.line, asked, s.pupil, "9️⃣")

	of := func(message, emoji string, n int) string {
		return fmt.Sprintf("react/%s/%s/%s/%d", message, s.pupil.ID, emoji, n)
	}
	s.want(
		told{of(card, "👍", 0), studio.Written, s.pupil.ID, "all done", card, true},
		told{of(card, "👍", 0), studio.Deleted, s.pupil.ID, "", card, true},
		told{of(card, "👍", 1), studio.Written, s.pupil.ID, "all done", card, true},
		told{of(asked, "2⃣", 0), studio.Written, s.pupil.ID, "2 shaky", asked, true},
	)
	s.quiet(4)
}

// A reaction may come before the outbox knows under which id the card went out.
func TestReactionToCardNotYetKnown(t *testing.T) {
	s := newStage(t).run()
	card, err := s.bot.Send(t.Context(), s.routine())
	if err != nil {
		t.Fatal(err)
	}
	s.discord.React(s.line, card, s.pupil, "3️⃣")
	if m := s.heard(1)[0]; m.Text != "rest day" || m.ReplyTo != card {
		t.Errorf("heard %+v", m)
	}
}

func TestReceiverFails(t *testing.T) {
	s := newStage(t).run()
	s.office.breakFor(3)
	a := s.discord.Say(s.line, s.pupil, "1 clean")
	b := s.discord.Say(s.line, s.pupil, "2 clean")
	s.want(
		told{a, studio.Written, s.pupil.ID, "1 clean", "", true},
		told{b, studio.Written, s.pupil.ID, "2 clean", "", true},
	)
}

// Two bots in one program, each on a Discord of its own.
func TestTwoBots(t *testing.T) {
	a, b := newStage(t).run(), newStage(t).run()
	a.discord.Say(a.line, a.pupil, "to the first")
	b.discord.Say(b.line, b.pupil, "to the second")
	a.send(a.plain("answer", "from the first"))
	if m := a.heard(1)[0]; m.Text != "to the first" {
		t.Errorf("the first heard %q", m.Text)
	}
	if m := b.heard(1)[0]; m.Text != "to the second" {
		t.Errorf("the second heard %q", m.Text)
	}
	if n := len(b.discord.Posts(b.line)); n != 0 {
		t.Errorf("the second posted %d times", n)
	}
}

// TestVoiceMessage has a pupil send one; its shape is that of the platform's
// document (flag 8192, a content type, the length in seconds).
func TestVoiceMessage(t *testing.T) {
	s := newStage(t).run()
	s.discord.SayAs(s.line, s.pupil, "", map[string]any{"flags": 8192, "attachments": []any{map[string]any{
		"id": "900", "filename": "voice-message.ogg", "content_type": "audio/ogg", "size": 120345,
		"url": "https://cdn.discordapp.com/attachments/1/900/voice-message.ogg?ex=1", "duration_secs": 61.25, "waveform": "AAAA",
	}}})
	m := s.heard(1)[0]
	want := studio.File{
		ID: "900", Name: "voice-message.ogg", Type: "audio/ogg", Size: 120345, Seconds: 61.25,
		Ref: "https://cdn.discordapp.com/attachments/1/900/voice-message.ogg?ex=1",
	}
	if len(m.Files) != 1 || !reflect.DeepEqual(m.Files[0], want) || m.Text != "" || !m.Files[0].IsSound() {
		t.Errorf("heard %+v, want a message without words that brings %+v", m, want)
	}
}
