package room

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"ledgerline/studio"
)

// A fakeStore keeps in memory the little that the room reads. Methods of the
// transaction that the room has no business calling are missing, and panic.
type fakeStore struct {
	studio.Store // what the room has no business calling panics

	mu      sync.Mutex
	studios []studio.Studio
	members []studio.Member
	said    []studio.Stored
	posts   []studio.Queued
	marks   map[string]string

	hearings map[int64]*studio.Hearing
	sounds   map[string][]byte // by message and file: "3/f"
}

type fakeTx struct {
	studio.Tx
	*fakeStore
}

func (s *fakeStore) View(_ context.Context, fn func(studio.Tx) error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return fn(fakeTx{fakeStore: s})
}

func (s *fakeStore) Update(ctx context.Context, fn func(studio.Tx) error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return fn(fakeTx{fakeStore: s})
}

func (s *fakeStore) Scrub(context.Context) error { panic("the room erases nobody") }

func (tx fakeTx) Mark(name string) (string, error) {
	value, ok := tx.marks[name]
	if !ok {
		return "", fmt.Errorf("mark %s: %w", name, studio.ErrNotFound)
	}
	return value, nil
}

func (tx fakeTx) PutMark(name, value string) error {
	if tx.marks == nil {
		tx.fakeStore.marks = map[string]string{}
	}
	tx.marks[name] = value
	return nil
}

func (tx fakeTx) PutMember(m studio.Member) error {
	for i := range tx.members {
		if tx.members[i].ID == m.ID {
			tx.members[i] = m
		}
	}
	return nil
}

func (tx fakeTx) Hearing(id int64) (*studio.Hearing, error) {
	if h := tx.hearings[id]; h != nil {
		return h, nil
	}
	return nil, studio.ErrNotFound
}

func (tx fakeTx) Sound(inbox int64, file string) ([]byte, error) {
	if data, ok := tx.sounds[fmt.Sprint(inbox, "/", file)]; ok {
		return data, nil
	}
	return nil, studio.ErrNotFound
}

func (tx fakeTx) Studios() ([]studio.Studio, error) { return tx.studios, nil }

func (tx fakeTx) Studio(id studio.StudioID) (studio.Studio, error) {
	for _, st := range tx.studios {
		if st.ID == id {
			return st, nil
		}
	}
	return studio.Studio{}, studio.ErrNotFound
}

func (tx fakeTx) Members(id studio.StudioID) ([]studio.Member, error) {
	var list []studio.Member
	for _, m := range tx.members {
		if m.Studio == id {
			list = append(list, m)
		}
	}
	slices.SortFunc(list, func(a, b studio.Member) int { return strings.Compare(a.Name, b.Name) })
	return list, nil
}

func (tx fakeTx) Member(id studio.MemberID) (studio.Member, error) {
	for _, m := range tx.members {
		if m.ID == id {
			return m, nil
		}
	}
	return studio.Member{}, fmt.Errorf("member %s: %w", id, studio.ErrNotFound)
}

func (tx fakeTx) Happenings(p studio.Platform, id string) ([]studio.Stored, error) {
	var list []studio.Stored
	for _, m := range tx.said {
		if m.Platform == p && m.ID == id {
			list = append(list, m)
		}
	}
	return list, nil
}

func (tx fakeTx) PostKnownAs(_ studio.Platform, id string) (studio.Queued, error) {
	for _, p := range tx.posts {
		if p.PlatformID == id {
			return p, nil
		}
	}
	return studio.Queued{}, fmt.Errorf("post %s: %w", id, studio.ErrNotFound)
}

func (tx fakeTx) Transcript(a studio.Address, limit int) ([]studio.Said, error) {
	var list []studio.Said
	byID := map[string]int{}
	for _, m := range tx.said {
		private := m.Private && a.Account != "" && m.Author.ID == a.Account
		public := !m.Private && a.Channel != "" && m.Channel == a.Channel
		if !private && !public {
			continue
		}
		if i, ok := byID[m.ID]; ok {
			was := *list[i].Message
			was.Text, was.Verdict = m.Text, m.Verdict
			list[i].Message = &was
			list[i].Edited = list[i].Edited || m.Happening == studio.Edited
			list[i].Deleted = list[i].Deleted || m.Happening == studio.Deleted
			continue
		}
		byID[m.ID] = len(list)
		list = append(list, studio.Said{At: m.At, Message: &m})
	}
	for _, p := range tx.posts {
		if p.To == a && !p.SentAt.IsZero() {
			list = append(list, studio.Said{At: p.SentAt, Post: &p})
		}
	}
	slices.SortStableFunc(list, func(x, y studio.Said) int { return x.At.Compare(y.At) })
	return list[max(0, len(list)-limit):], nil
}

// put adds a message as the inbox does, unless that happening is there.
func (s *fakeStore) put(m studio.Message) (isNew bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.said {
		if x.ID == m.ID && x.Happening == m.Happening && x.Revision == m.Revision {
			return false
		}
	}
	s.said = append(s.said, studio.Stored{Message: m, Inbox: int64(len(s.said) + 1)})
	return true
}

// posted adds a post that was sent at t.
func (s *fakeStore) posted(p studio.Post, t time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.posts = append(s.posts, studio.Queued{Post: p, SentAt: t, PlatformID: postID(p.Key)})
}

func (s *fakeStore) messages() []studio.Stored {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.said)
}

// A fakeClock stands until it is moved.
type fakeClock struct {
	mu   sync.Mutex
	t    time.Time
	err  error
	hold chan struct{} // if set, Step waits for it
}

func (c *fakeClock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.t
}

func (c *fakeClock) Step(ctx context.Context, d time.Duration) error {
	if c.hold != nil {
		select {
		case <-c.hold:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.err != nil {
		return c.err
	}
	c.t = c.t.Add(d)
	return nil
}

// A fakeBot takes messages, and answers each on the private line with a receipt:
// it sends first and has it recorded as sent only a while later, as the outbox
// does.
type fakeBot struct {
	store *fakeStore
	clock *fakeClock
	chat  studio.Chat
	err   error
}

func (b *fakeBot) Receive(ctx context.Context, m studio.Message) error {
	if b.err != nil {
		return b.err
	}
	if !b.store.put(m) || b.chat == nil || !m.Private {
		return nil
	}
	go func() {
		time.Sleep(20 * time.Millisecond)
		post := studio.Post{
			Key: studio.Key(fmt.Sprintf("receipt/%s/%s/%s", m.ID, m.Happening, m.Revision)), Kind: studio.ReceiptPost,
			Studio: "harbour-row", To: studio.Address{Platform: Platform, Account: m.Author.ID}, ReplyTo: m.ID,
			Text: "Logged (" + string(m.Happening) + "): " + m.Text,
		}
		if _, err := b.chat.Send(context.WithoutCancel(ctx), studio.Delivery{Post: post}); err != nil {
			panic(err)
		}
		time.Sleep(60 * time.Millisecond)
		b.store.posted(post, b.clock.Now())
	}()
	return nil
}

func (fakeTx) Claim(studio.StudioID) error { return nil }
