package studiotest

import (
	"cmp"
	"context"
	"fmt"
	"log/slog"
	"strings"
	"sync/atomic"
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
	// Choose gives the n-th quick answer, from 0, of a post on her private line or
	// in the studio channel, and returns how it is taken back; nil if the chat has no way to.
	Choose(who, post string, n int) (takeBack func())
	// Talk has a person write in the studio channel, and Answer do so in reply to
	// a post there.
	Talk(who, text string)
	Answer(who, post, text string)
	// Name has a person write there naming the bot, as her app does it, and Branch
	// in a thread that begins at a post there. They report false where a chat has
	// no such thing.
	Name(who, text string) bool
	Branch(who, post, text string) bool

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

	// Calls says that somebody is called by it: a mention that makes a sound.
	Calls bool
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
			p := newPlay(t, store(t), c.names, open)
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
	clock   atomic.Pointer[time.Time]
	last    string // id of the message written last
	undo    func() // takes the last quick answer back
	heard   map[string]int
}

// patience is how long a chat may take to pass something on.
const patience = 15 * time.Second

// playBegins is on a Monday, a minute before routines are due in London.
var playBegins = time.Date(2026, 3, 2, 6, 59, 0, 0, time.UTC)

func (p *play) now() time.Time { return *p.clock.Load() }

func (p *play) pass(d time.Duration) {
	then := p.now().Add(d)
	p.clock.Store(&then)
}

// newPlay begins a conversation in which some members have other names.
func newPlay(t *testing.T, store studio.Store, names map[studio.MemberID]string, open func(*testing.T, Setting) Stand) *play {
	t.Helper()
	p := &play{t: t, store: store, heard: map[string]int{}}
	begin := playBegins
	p.clock.Store(&begin)
	p.stand = open(t, Setting{Store: store, Now: p.now, Receiver: later{p}})
	reader, err := reply.NewReader()
	if err != nil {
		t.Fatal(err)
	}
	books := Catalogue()
	p.service = studio.New(studio.Config{
		Store: store, Chats: []studio.Chat{p.stand.Chat()}, Drawer: blank{}, Reader: reader,
		Books: func(studio.StudioID) *routine.Catalogue { return books },
		Now:   p.now, Random: func() float64 { return 0 }, Log: slog.New(slog.NewTextHandler(t.Output(), nil)),
	})
	roster := Roster()
	roster.Studio.Channels = []studio.Address{p.stand.Channel()}
	for i := range roster.Members {
		m := &roster.Members[i]
		m.Accounts = []studio.Account{p.stand.Account(string(m.ID))}
		m.Name = cmp.Or(names[m.ID], m.Name)
	}
	if err := p.service.Apply(t.Context(), roster); err != nil {
		t.Fatal(err)
	}
	p.pass(time.Minute)
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
			p.t.Fatalf("never came about: %s\nAda's line: %q\nOdile's line: %q\nthe channel: %q\nposts waiting: %q",
				what, joined(p.stand.Line("ada")), joined(p.stand.Line("odile")), joined(p.stand.Hall()), p.waiting())
		}
	}
}

// waiting returns the posts of the next day that were not sent, and how often each failed.
func (p *play) waiting() (all []string) {
	err := p.store.View(p.t.Context(), func(tx studio.Tx) error {
		posts, err := tx.DuePosts(p.stand.Chat().Platform(), p.now().Add(24*time.Hour), 1000)
		for _, q := range posts {
			all = append(all, fmt.Sprintf("%s, failed %d times", q.Key, q.Attempts))
		}
		return err
	})
	if err != nil {
		p.t.Error(err)
	}
	return all
}
