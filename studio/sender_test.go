package studio_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A quayside is a chat of which the test says how many posts it takes at once
// and what becomes of each.
type quayside struct {
	atOnce int
	send   func(context.Context, studio.Post) error

	mu   sync.Mutex
	sent []studio.Post
}

func (q *quayside) Platform() studio.Platform { return "room" }

func (q *quayside) AtOnce() int { return q.atOnce }

func (q *quayside) Send(ctx context.Context, d studio.Delivery) (string, error) {
	if err := q.send(ctx, d.Post); err != nil {
		return "", err
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	q.sent = append(q.sent, d.Post)
	return "post-" + string(d.Key), nil
}

// to returns the texts that were sent to an account, in order.
func (q *quayside) to(account string) (texts []string) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, p := range q.sent {
		if p.To.Account == account {
			texts = append(texts, p.Text)
		}
	}
	return texts
}

// onQuay returns a stage whose chat is q.
func onQuay(t *testing.T, q *quayside) *stage {
	t.Helper()
	s := newStage(t)
	s.service = s.serviceOn(q)
	return s
}

// queues puts posts into the outbox: n to each of the accounts.
func (s *stage) queues(n int, accounts ...string) {
	s.t.Helper()
	err := s.store.Update(s.t.Context(), func(tx studio.Tx) error {
		for i := range n {
			for _, a := range accounts {
				_, err := tx.Queue(studio.Post{
					Key: studio.Key(fmt.Sprintf("test/%s/%d", a, i)), Kind: studio.AnnouncedPost, Studio: "harbour",
					To: studio.Address{Platform: "room", Account: a}, Text: fmt.Sprint(i),
				}, s.now)
				if err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		s.t.Fatal(err)
	}
}

func TestPostsGoOutSideBySide(t *testing.T) {
	accounts := []string{"w", "x", "y", "z"}
	under := map[studio.Address]int{}
	var mu sync.Mutex
	all := make(chan struct{})
	q := &quayside{atOnce: len(accounts)}
	q.send = func(ctx context.Context, p studio.Post) error {
		mu.Lock()
		under[p.To]++
		if under[p.To] > 1 {
			t.Errorf("two posts to %s are on their way at once", p.To.Account)
		}
		if len(under) == len(accounts) && p.Text == "0" {
			select {
			case <-all:
			default:
				close(all)
			}
		}
		mu.Unlock()
		select {
		case <-all: // all four are on their way
		case <-time.After(20 * time.Second):
			t.Error("posts to four addresses are not sent side by side")
		}
		mu.Lock()
		under[p.To]--
		mu.Unlock()
		return nil
	}
	s := onQuay(t, q)
	s.queues(3, accounts...)
	s.work()
	for _, a := range accounts {
		if got := q.to(a); !slices.Equal(got, []string{"0", "1", "2"}) {
			t.Errorf("sent to %s: %q, want three in order", a, got)
		}
	}
}

// TestWholePlatformAsksToWait has the platform limit everything: no post is
// tried, or counted as failed, before the time is up.
func TestWholePlatformAsksToWait(t *testing.T) {
	tries := 0
	q := &quayside{atOnce: 1}
	q.send = func(context.Context, studio.Post) error {
		tries++
		if tries == 1 {
			return &studio.SendError{After: 30 * time.Second, Everywhere: true, Err: errors.New("too many requests")}
		}
		return nil
	}
	s := onQuay(t, q)
	s.queues(1, "w", "x", "y")
	s.work()
	s.now = s.now.Add(29 * time.Second)
	s.work()
	if tries != 1 {
		t.Fatalf("%d attempts before the platform's time was up, want 1", tries)
	}
	if next, err := s.service.NextAt(t.Context()); err != nil || !next.Equal(monday.Add(30*time.Second)) {
		t.Errorf("next work at %s, %v; want after half a minute", next, err)
	}
	s.now = s.now.Add(time.Second)
	s.view(func(tx studio.Tx) error {
		due, err := tx.DuePosts("room", s.now, 9)
		for _, p := range due {
			if p.Attempts > 0 {
				t.Errorf("post %s counts as failed", p.Key)
			}
		}
		return err
	})
	s.work()
	if len(q.sent) != 3 {
		t.Errorf("%d posts sent, want 3", len(q.sent))
	}
}

// TestPlatformOutOfOrderIsGivenARest has every post fail: the platform is tried
// again after growing pauses, with a few posts at a time and not with all.
func TestPlatformOutOfOrderIsGivenARest(t *testing.T) {
	tries, broken := 0, true
	q := &quayside{atOnce: 1}
	q.send = func(context.Context, studio.Post) error {
		if tries++; broken {
			return errors.New("no network")
		}
		return nil
	}
	s := onQuay(t, q)
	var accounts []string
	for i := range 100 {
		accounts = append(accounts, fmt.Sprint("a", i))
	}
	s.queues(1, accounts...)
	for range 60 {
		s.work()
		s.now = s.now.Add(time.Second)
	}
	if tries > 30 {
		t.Errorf("%d attempts in a minute of outage, with 100 posts waiting", tries)
	}
	broken = false
	for range 400 {
		s.now = s.now.Add(10 * time.Second)
		s.work()
	}
	for _, a := range accounts {
		if got := q.to(a); len(got) != 1 {
			t.Errorf("after the outage %d posts went to %s, want 1", len(got), a)
		}
	}
}

// TestBlockedPostGoesOutSoonAfterTheRepair has a channel blocked for a day.
func TestBlockedPostGoesOutSoonAfterTheRepair(t *testing.T) {
	broken := true
	q := &quayside{atOnce: 1}
	q.send = func(_ context.Context, p studio.Post) error {
		if broken && p.To.Account == "w" {
			return &studio.SendError{Blocked: words.Plain("Put it right."), Err: errors.New("no permission")}
		}
		return nil
	}
	s := onQuay(t, q)
	s.queues(2, "w")
	for range 24 * 4 {
		s.work()
		s.now = s.now.Add(15 * time.Minute)
	}
	s.work()
	broken = false
	s.now = s.now.Add(5 * time.Minute)
	s.work()
	if got := q.to("w"); !slices.Equal(got, []string{"0", "1"}) {
		t.Errorf("five minutes after the repair %q went out, want both posts", got)
	}
	told := 0
	for _, p := range q.sent {
		if strings.Contains(p.Text, "Put it right.") {
			told++
		}
	}
	if told != 2 {
		t.Errorf("the teacher was told %d times in two dates, want once a date", told)
	}
}
