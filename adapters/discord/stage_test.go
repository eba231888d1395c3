package discord_test

import (
	"context"
	"testing"
	"time"

	"ledgerline/adapters/discord"
	"ledgerline/adapters/discord/discordtest"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// A stage is a Discord, a bot on it, and the harbour studio with its people.
type stage struct {
	testing.TB
	discord *discordtest.Server
	reader  *reader
	office  *office
	bot     *discord.Bot
	config  discord.Config

	guild, channel      string
	teacher, pupil, pal discordtest.User
	line                string // private line of the pupil
	stop                context.CancelFunc
	ended               chan error
}

// newStage sets the stage; nothing runs yet.
func newStage(t testing.TB) *stage {
	s := &stage{TB: t, discord: discordtest.New(), office: newOffice(), ended: make(chan error, 1), stop: func() {}}
	t.Cleanup(s.discord.Close)
	s.reader = watch(t, s.discord)
	s.teacher, s.pupil, s.pal = s.discord.AddUser("odile"), s.discord.AddUser("wim"), s.discord.AddUser("ada")
	s.guild = s.discord.AddGuild("Harbour Row Brass", s.teacher)
	s.channel = s.discord.AddChannel(s.guild, "practice")
	s.line = s.discord.Line(s.pupil)
	s.office.studios = []studio.Studio{{ID: "harbour", Channels: []studio.Address{{Platform: "discord", Channel: s.channel}}}}
	for _, u := range []discordtest.User{s.teacher, s.pupil, s.pal} {
		s.office.members = append(s.office.members, studio.Member{
			ID: studio.MemberID(u.Name), Accounts: []studio.Account{{Platform: "discord", ID: u.ID}, {Platform: "room", ID: u.Name}},
		})
	}
	s.config = discord.Config{
		Token: s.discord.Token(), Store: s.office, Receiver: s.office, API: s.discord.API(),
		Now: time.Now, Random: func() float64 { return 0 }, PerSecond: 1e6,
		Log: studiotest.QuietLog(t, s.secrets),
	}
	s.newBot()
	return s
}

// secrets returns what the bot's log may not hold.
func (s *stage) secrets() []string {
	all := []string{s.config.Token, s.discord.Token()}
	for _, u := range []discordtest.User{s.teacher, s.pupil, s.pal} {
		all = append(all, u.ID)
	}
	for _, at := range []string{s.line, s.channel} {
		for _, m := range s.discord.Messages(at) {
			all = append(all, m.Content)
		}
	}
	return all
}

// newBot puts a bot that knows nothing in the place of the one before.
func (s *stage) newBot() {
	bot, err := discord.New(s.config)
	if err != nil {
		s.Fatal(err)
	}
	s.bot = bot
}

// run has the bot connect and waits until it has read back all places, so that
// what happens next is news.
func (s *stage) run() *stage {
	s.Helper()
	want := s.discord.Stats().Histories + len(s.office.members) + 1
	s.connect()
	s.until("all places are read back", func() bool { return s.discord.Stats().Histories >= want })
	return s
}

// connect has the bot connect and waits until it is there.
func (s *stage) connect() {
	s.Helper()
	ctx, stop := context.WithCancel(context.Background())
	s.stop = stop
	bot, ended := s.bot, make(chan error, 1)
	s.ended = ended
	go func() { ended <- bot.Run(ctx) }()
	s.Cleanup(func() { s.end() })
	if !s.discord.Await(1, 10*time.Second) {
		s.Fatal("the bot did not connect")
	}
}

// end stops the bot and waits until it has ended.
func (s *stage) end() {
	s.stop()
	select {
	case err := <-s.ended:
		s.ended <- err
	case <-time.After(10 * time.Second):
		s.Error("the bot did not stop")
	}
}

// until waits until ok holds.
func (s *stage) until(what string, ok func() bool) {
	s.Helper()
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		if ok() {
			return
		}
	}
	s.Fatalf("waited in vain until %s; the inbox holds %+v", what, s.office.inbox())
}

// heard waits until n messages are stored, and returns them.
func (s *stage) heard(n int) []studio.Message {
	s.Helper()
	s.until("messages are stored", func() bool { return len(s.office.inbox()) >= n })
	all := s.office.inbox()
	if len(all) != n {
		s.Fatalf("%d messages are stored, want %d: %+v", len(all), n, all)
	}
	return all
}

// quiet waits a little and sees that no more than n messages are stored. What is
// said last in a test is said again on the pupil's line, so that the wait is no
// guess: events are heard in order.
func (s *stage) quiet(n int) {
	s.Helper()
	id := s.discord.Say(s.line, s.pupil, "the end")
	s.until("the end is stored", func() bool {
		all := s.office.inbox()
		return len(all) > 0 && all[len(all)-1].ID == id
	})
	if all := s.office.inbox(); len(all) != n+1 {
		s.Fatalf("%d messages are stored, want %d: %+v", len(all)-1, n, all)
	}
}

// send sends a post and has the outbox know it.
func (s *stage) send(d studio.Delivery) string {
	s.Helper()
	id, err := s.bot.Send(context.Background(), d)
	if err != nil {
		s.Fatalf("sending %s: %v", d.Key, err)
	}
	s.office.knows(id, d.Post)
	return id
}

// routine returns a card to the pupil.
func (s *stage) routine() studio.Delivery {
	return studio.Delivery{Post: studio.Post{
		Key: "routine/wim/2026-03-04/1", Kind: studio.RoutinePost, To: s.to(s.pupil),
		Title: "Wednesday 4 March", Text: "A light day.", Foot: "About 40 min with rests.",
		Items: []studio.PostItem{
			{N: 1, Head: "Daily Ground 2 · lines 14–16 · Eb", Detail: "quarter=84 to 92 · 6 min, then rest 6\nlast time shaky"},
			{N: 2, Head: "Slur Atlas 1 · line 3", Detail: "quarter=72 · 4 min"},
		},
		Choices: []studio.Choice{
			{Label: "Played it all", Text: "all done"}, {Label: "Part of it", Text: "some of it"},
			{Label: "Rest day", Text: "rest day"}, {Label: "I can't today", Text: "nothing today"},
		},
	}}
}

func (s *stage) to(u discordtest.User) studio.Address {
	return studio.Address{Platform: "discord", Account: u.ID}
}

func (s *stage) plain(key studio.Key, text string) studio.Delivery {
	return studio.Delivery{Post: studio.Post{Key: key, Kind: studio.AnswerPost, To: s.to(s.pupil), Text: text}}
}
