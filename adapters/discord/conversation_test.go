package discord_test

import (
	"context"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/adapters/discord"
	"ledgerline/adapters/discord/discordtest"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// stand is a Discord with the people of the test studio on it.
type stand struct {
	t       *testing.T
	discord *discordtest.Server
	bot     *discord.Bot
	people  map[string]discordtest.User
	channel string
}

func TestConversations(t *testing.T) {
	studiotest.Conversations(t, func(t *testing.T) studio.Store {
		store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "studio.db"))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { store.Close() })
		return store
	}, openStand)
}

func openStand(t *testing.T, set studiotest.Setting) studiotest.Stand {
	s := &stand{t: t, discord: discordtest.NewAt(set.Now), people: map[string]discordtest.User{}}
	t.Cleanup(s.discord.Close)
	watch(t, s.discord)
	for _, name := range []string{"odile", "ada", "mina", "petra"} {
		s.people[name] = s.discord.AddUser(name)
	}
	s.channel = s.discord.AddChannel(s.discord.AddGuild("Harbour Row Brass", s.people["odile"]), "practice")
	var err error
	s.bot, err = discord.New(discord.Config{
		Token: s.discord.Token(), API: s.discord.API(), Store: set.Store, Receiver: set.Receiver,
		Now: set.Now, Random: func() float64 { return 0 }, PerSecond: 1e6, Log: slog.New(slog.DiscardHandler),
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.bot.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	if !s.discord.Await(1, 10*time.Second) {
		t.Fatal("the bot did not connect")
	}
	return s
}

func (s *stand) Chat() studio.Chat { return s.bot }

func (s *stand) Account(who string) studio.Account {
	return studio.Account{Platform: discord.Platform, ID: s.people[who].ID}
}

func (s *stand) Channel() studio.Address {
	return studio.Address{Platform: discord.Platform, Channel: s.channel}
}

func (s *stand) line(who string) string { return s.discord.Line(s.people[who]) }

func (s *stand) Write(who, text, replyTo string) string {
	if strings.Contains(replyTo, "/") {
		replyTo = "" // to a mark
	}
	return s.discord.Reply(s.line(who), s.people[who], replyTo, text)
}

func (s *stand) Edit(who, id, text string) { s.discord.Edit(s.line(who), id, text) }

func (s *stand) Delete(who, id string) { s.discord.Delete(s.line(who), id) }

func (s *stand) Talk(who, text string) { s.discord.Say(s.channel, s.people[who], text) }

func (s *stand) Answer(who, post, text string) { s.discord.Reply(s.channel, s.people[who], post, text) }

func (s *stand) Name(who, text string) bool {
	s.discord.Say(s.channel, s.people[who], "<@"+s.discord.Bot().ID+"> "+text)
	return true
}

// Branch makes a thread from the post, whose id is the thread's.
func (s *stand) Branch(who, post, text string) bool {
	s.discord.Say(s.discord.StartThread(s.channel, post, "practice"), s.people[who], text)
	return true
}

// Choose gives the first answer by a reaction, which can be taken back, and any
// other by its button.
func (s *stand) Choose(who, post string, n int) func() {
	line := s.line(who)
	if slices.ContainsFunc(s.discord.Messages(s.channel), func(m discordtest.Message) bool { return m.ID == post }) {
		line = s.channel
	}
	if n == 0 {
		s.discord.React(line, post, s.people[who], "1️⃣")
		return func() { s.discord.Unreact(line, post, s.people[who], "1️⃣") }
	}
	for _, m := range s.discord.Messages(line) {
		if m.ID == post {
			if _, ok := s.discord.Press(line, post, s.people[who], m.Buttons[n].Label).Answer(); !ok {
				s.t.Error("the button was not answered in time")
			}
		}
	}
	return nil
}

func (s *stand) Line(who string) []studiotest.Said { return s.said(s.line(who)) }

func (s *stand) Hall() []studiotest.Said { return s.said(s.channel) }

// said returns what the bot said in a channel, with the marks it set, by time.
func (s *stand) said(channel string) (all []studiotest.Said) {
	at := map[string]string{}
	for _, m := range s.discord.Messages(channel) {
		if m.Author.Bot {
			all = append(all, studiotest.Said{ID: m.ID, Text: shown(m), Calls: len(m.Pinged) > 0})
			at[m.ID] = m.ID
		}
		for _, r := range m.Reactions {
			if slices.Contains(r.Users, s.discord.Bot().ID) {
				id := "mark/" + m.ID
				all = append(all, studiotest.Said{ID: id, Text: studiotest.Mark})
				at[id] = r.ID
			}
		}
	}
	slices.SortStableFunc(all, func(a, b studiotest.Said) int { return strings.Compare(at[a.ID], at[b.ID]) })
	return all
}

// shown returns all the words of a message as people see them.
func shown(m discordtest.Message) string {
	words := m.Words()
	for _, f := range m.Files {
		words = append(words, f.Description)
	}
	var b strings.Builder
	for text := strings.Join(words, "\n"); text != ""; {
		before, after, escaped := strings.Cut(text, "\\")
		b.WriteString(before)
		if text = after; escaped && text != "" {
			b.WriteByte(text[0])
			text = text[1:]
		}
	}
	return b.String()
}
