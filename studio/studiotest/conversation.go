package studiotest

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio"
)

// A Stand is one chat in a test, with people of the test studio on it and the
// bot among them.
type Stand interface {
	// Chat returns the chat, which gives what it hears to the receiver that the
	// stand was set up with.
	Chat() studio.Chat
	// Account returns the account of a person of the test studio: "odile",
	// "ada", "mina" or "petra".
	Account(who string) studio.Account
	// Channel returns the studio channel.
	Channel() studio.Address

	// Write has a person write on her private line, in reply to a post if one
	// is given by its id, and returns the message's id.
	Write(who, text, replyTo string) (id string)
	// Edit and Delete do so with a message of hers.
	Edit(who, id, text string)
	Delete(who, id string)
	// Choose gives the n-th quick answer, from 0, of a post on her private line,
	// and returns how it is taken back; nil if the chat has no way to.
	Choose(who, post string, n int) (takeBack func())
	// Talk has a person write in the studio channel.
	Talk(who, text string)

	// Line returns what the bot has said on a person's private line, oldest
	// first; a mark on a message of hers is there with the text [Mark].
	Line(who string) []Said
	// Hall returns what the bot has said in the studio channel.
	Hall() []Said
}

// Said is something the bot said, as a person sees it.
type Said struct {
	ID   string // the platform's
	Text string // all its words
}

// Mark is the text of a mark that stands for a receipt.
const Mark = "(mark)"

// A Setting is what a [Stand] is set up with.
type Setting struct {
	Store    studio.Store
	Receiver studio.Receiver
	Now      func() time.Time
}

// Conversations runs the same conversations over any chat: open sets it up for
// the test studio, with an empty store that store makes.
func Conversations(t *testing.T, store func(t *testing.T) studio.Store, open func(t *testing.T, s Setting) Stand) {
	for _, c := range conversations {
		t.Run(strings.ReplaceAll(c.name, " ", "_"), func(t *testing.T) {
			p := newPlay(t, store(t), open)
			for _, step := range c.steps {
				step(p)
			}
		})
	}
}

// A play is one conversation under way.
type play struct {
	t       *testing.T
	stand   Stand
	store   studio.Store
	service *studio.Service
	now     time.Time
	last    string // id of the message written last
	undo    func() // takes the last quick answer back
	heard   map[string]int
}

// patience is how long a chat may take to pass something on.
const patience = 15 * time.Second

// playBegins is on a Monday, a minute before routines are due in London.
var playBegins = time.Date(2026, 3, 2, 6, 59, 0, 0, time.UTC)

func newPlay(t *testing.T, store studio.Store, open func(*testing.T, Setting) Stand) *play {
	t.Helper()
	p := &play{t: t, store: store, now: playBegins, heard: map[string]int{}}
	clock := func() time.Time { return p.now }
	p.stand = open(t, Setting{Store: store, Now: clock, Receiver: later{p}})
	reader, err := reply.NewReader()
	if err != nil {
		t.Fatal(err)
	}
	books := Catalogue()
	p.service = studio.New(studio.Config{
		Store: store, Chats: []studio.Chat{p.stand.Chat()}, Drawer: blank{}, Reader: reader,
		Books: func(studio.StudioID) *routine.Catalogue { return books },
		Now:   clock, Random: func() float64 { return 0 }, Log: slog.New(slog.DiscardHandler),
	})
	roster := Roster()
	roster.Studio.Channels = []studio.Address{p.stand.Channel()}
	for i := range roster.Members {
		m := &roster.Members[i]
		m.Accounts = []studio.Account{p.stand.Account(string(m.ID))}
	}
	if err := p.service.Apply(t.Context(), roster); err != nil {
		t.Fatal(err)
	}
	p.now = p.now.Add(time.Minute)
	return p
}

// later lets a stand be set up before the service that hears it.
type later struct{ p *play }

func (l later) Receive(ctx context.Context, m studio.Message) error {
	return l.p.service.Receive(ctx, m)
}

// blank draws nothing.
type blank struct{}

func (blank) Draw(studio.Picture) ([]byte, error) { return []byte(onePixel), nil }
func (blank) Describe(p studio.Picture) string    { return "a picture" }

// onePixel is a PNG of one white pixel.
const onePixel = "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00:~\x9bU\x00\x00\x00\nIDATx\x9cc\xf8\x0f\x00\x01\x01\x01\x00\x1b\xb6\xeeV\x00\x00\x00\x00IEND\xaeB`\x82"

// await works until ok holds.
func (p *play) await(what string, ok func() bool) {
	p.t.Helper()
	for deadline := time.Now().Add(patience); ; time.Sleep(10 * time.Millisecond) {
		if err := p.service.Work(p.t.Context()); err != nil {
			p.t.Fatal(err)
		}
		if ok() {
			return
		}
		if time.Now().After(deadline) {
			p.t.Fatalf("never came about: %s\nAda's line: %q\nOdile's line: %q\nthe channel: %q",
				what, p.stand.Line("ada"), p.stand.Line("odile"), p.stand.Hall())
		}
	}
}

// A step is one thing that happens in a conversation.
type step func(p *play)

// says has somebody write on her private line.
func says(who, text string) step {
	return func(p *play) { p.last = p.stand.Write(who, text, "") }
}

// replies has her reply to what the bot said last.
func replies(who, text string) step {
	return func(p *play) {
		line := p.stand.Line(who)
		p.last = p.stand.Write(who, text, line[len(line)-1].ID)
	}
}

// edits and deletes do so with the message written last.
func edits(who, text string) step { return func(p *play) { p.stand.Edit(who, p.last, text) } }
func deletes(who string) step     { return func(p *play) { p.stand.Delete(who, p.last) } }

// talks has somebody write in the studio channel.
func talks(who, text string) step { return func(p *play) { p.stand.Talk(who, text) } }

// chooses gives a quick answer to the last post that has the text.
func chooses(who, post string, n int) step {
	return func(p *play) {
		for _, s := range slices.Backward(p.stand.Line(who)) {
			if strings.Contains(s.Text, post) {
				p.undo = p.stand.Choose(who, s.ID, n)
				return
			}
		}
		p.t.Fatalf("no post on %s's line says %q", who, post)
	}
}

// takesBack takes the last quick answer back, where that can be done.
func takesBack(then ...step) step {
	return func(p *play) {
		if p.undo == nil {
			return
		}
		p.undo()
		for _, s := range then {
			s(p)
		}
	}
}

// passes moves the clock.
func passes(d time.Duration) step { return func(p *play) { p.now = p.now.Add(d) } }

// sees waits until the last thing on somebody's line, that was not there when it
// was looked at before, says all the parts.
func sees(who string, parts ...string) step {
	return func(p *play) {
		p.t.Helper()
		p.await(fmt.Sprintf("%s sees %q", who, parts), func() bool {
			line := p.stand.Line(who)
			if len(line) <= p.heard[who] {
				return false
			}
			last := line[len(line)-1].Text
			for _, part := range parts {
				if !strings.Contains(last, part) && last != Mark {
					return false
				}
			}
			p.heard[who] = len(line)
			return true
		})
	}
}

// marked waits for a receipt that needs no words: a mark, or the words.
func marked(who string) step { return sees(who, "Logged") }

// everybodySees waits for words in the studio channel.
func everybodySees(part string) step {
	return func(p *play) {
		p.t.Helper()
		p.await(fmt.Sprintf("the channel shows %q", part), func() bool {
			return slices.ContainsFunc(p.stand.Hall(), func(s Said) bool { return strings.Contains(s.Text, part) })
		})
	}
}

// logs waits until the log of today holds just these entries, as "1 clean".
func logs(who string, want ...string) step {
	return func(p *play) {
		p.t.Helper()
		p.await(fmt.Sprintf("the log of %s is %q", who, want), func() bool { return slices.Equal(p.entries(who), want) })
	}
}

func (p *play) entries(who string) []string {
	p.t.Helper()
	var got []string
	err := p.store.View(p.t.Context(), func(tx studio.Tx) error {
		today := routine.DateOf(p.now, time.UTC)
		reports, err := tx.Reports(studio.MemberID(who), today, today)
		for _, r := range reports {
			for _, e := range r.Entries {
				got = append(got, fmt.Sprintf("%d %s", e.Item, e.Outcome))
			}
		}
		return err
	})
	if err != nil {
		p.t.Fatal(err)
	}
	slices.Sort(got)
	return got
}

// conversations are held over every chat.
var conversations = []struct {
	name  string
	steps []step
}{
	{"a routine, a reply and its receipt", []step{
		sees("ada", "Daily Ground", "line"),
		says("ada", "1 60 clean, 2 skip, 30m"),
		sees("ada", "1 clean at quarter=60", "2 skipped", "30 min"),
		logs("ada", "1 clean", "2 skipped"),
	}},
	{"a reply to the card", []step{
		sees("ada", "Daily Ground"),
		replies("ada", "1 60 shaky"),
		sees("ada", "1 shaky"),
		logs("ada", "1 shaky"),
	}},
	{"an edit and a deletion", []step{
		sees("ada", "Daily Ground"),
		says("ada", "1 60 clean"),
		logs("ada", "1 clean"),
		edits("ada", "1 60 missed"),
		logs("ada", "1 missed"),
		deletes("ada"),
		logs("ada"),
	}},
	{"a quick answer, and taking it back", []step{
		sees("ada", "Daily Ground"),
		chooses("ada", "Daily Ground", 0),
		marked("ada"),
		logs("ada", "1 done", "2 done"),
		takesBack(logs("ada")),
	}},
	{"a question answered by a choice", []step{
		sees("ada", "Daily Ground"),
		says("ada", "60"),
		sees("ada", "not sure about"),
		logs("ada"),
		chooses("ada", "not sure about", 1),
		sees("ada", "Logged"),
		logs("ada", "1 done"),
	}},
	{"pain reaches the teacher", []step{
		sees("ada", "Daily Ground"),
		says("ada", "my lip hurts"),
		sees("odile", "Ada reports pain", "my lip hurts"),
		sees("ada", "licensed health professional"),
	}},
	{"words that would be markup change nothing", []step{
		sees("ada", "Daily Ground"),
		says("ada", "can you hear @everyone and @room, *so* [x](y) <b>bold</b> `code`, in my tone?"),
		sees("odile", "@everyone", "@room", "*so*", "[x](y)", "<b>bold</b>", "`code`"),
	}},
	{"a command of the teacher and one that is not hers to give", []step{
		says("odile", "minutes Ada 25"),
		sees("odile", "Ada now has 25 minutes"),
		sees("ada", "Daily Ground"),
		says("ada", "/minutes Ada 90"),
		sees("ada", "not yours to give"),
	}},
	{"an announcement in the channel, and talk left alone", []step{
		says("odile", "challenge 3 50 Three days together"),
		sees("odile", "Three days together"),
		sees("ada", "Daily Ground"),
		talks("ada", "1 96 clean"),
		passes(24 * time.Hour),
		everybodySees("From today to Thursday 5 March"),
		logs("ada"),
	}},
	{"a picture", []step{
		sees("ada", "Daily Ground"),
		says("ada", "1 60 clean"),
		sees("ada", "1 clean"),
		says("ada", "week"),
		sees("ada", "Days kept, Ada"),
	}},
}
