package postgres

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"ledgerline/adapters/database/postgres/postgrestest"
	"ledgerline/routine"
	"ledgerline/studio"
)

// A pier is a chat that shows a post once, whoever brings it and how often, as
// chats do by its key.
type pier struct {
	mu    sync.Mutex
	shown map[studio.Address][]string
	keys  map[studio.Key]bool
	again int
}

// A boat is a program's way to it.
type boat struct {
	*pier
	brought int
}

func (*boat) Platform() studio.Platform { return "pier" }
func (*boat) AtOnce() int               { return 4 }

func (b *boat) Send(ctx context.Context, d studio.Delivery) (string, error) {
	half := func() { time.Sleep(time.Duration(rand.IntN(4000)) * time.Microsecond) }
	half()
	if ctx.Err() != nil {
		return "", ctx.Err()
	}
	b.mu.Lock()
	if b.brought++; b.keys[d.Key] {
		b.again++
	} else {
		b.keys[d.Key] = true
		b.shown[d.To] = append(b.shown[d.To], d.Text)
	}
	b.mu.Unlock()
	half()
	return string(d.Key), ctx.Err()
}

// Two programs send, and again and again the one that does is cut off the database:
// each post is shown once, and those to one address in the order of queueing.
func TestTwoProgramsSend(t *testing.T) {
	const addresses, posts, cuts = 8, 40, 6
	address := postgrestest.Database(t)
	p := &pier{shown: map[studio.Address][]string{}, keys: map[studio.Key]bool{}}
	ctx, stop := context.WithCancel(t.Context())
	var programs sync.WaitGroup
	var boats []*boat
	for range 2 {
		s, b := openStore(t, address), &boat{pier: p}
		boats = append(boats, b)
		service := studio.New(studio.Config{
			Store: s, Chats: []studio.Chat{b}, Now: time.Now, Random: rand.Float64, Nap: 20 * time.Millisecond,
			Books: func(studio.StudioID) *routine.Catalogue { return &routine.Catalogue{} },
			Log:   slog.New(slog.NewTextHandler(io.Discard, nil)),
		})
		programs.Go(func() { service.Run(ctx) })
	}
	queue := openStore(t, address)
	for n := range posts {
		err := queue.Update(t.Context(), func(tx studio.Tx) error {
			for a := range addresses {
				_, err := tx.Queue(studio.Post{
					Key: studio.Key(fmt.Sprint(a, "/", n)), Kind: studio.ReceiptPost, Studio: "s", Text: fmt.Sprint(n),
					To: studio.Address{Platform: "pier", Account: fmt.Sprint(a)},
				}, time.Now())
				if err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		if n%(posts/cuts) == posts/cuts-1 {
			time.Sleep(50 * time.Millisecond)
			postgrestest.Cut(t, address, true)
		}
	}
	for end := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		left := 0
		queue.View(t.Context(), func(tx studio.Tx) error {
			c, err := tx.Counts()
			left = c.Waiting
			return err
		})
		p.mu.Lock()
		shown := len(p.keys)
		p.mu.Unlock()
		if left == 0 && shown == addresses*posts {
			break
		}
		if time.Now().After(end) {
			t.Fatalf("%d posts are shown, %d wait", shown, left)
		}
	}
	stop()
	programs.Wait()
	for to, texts := range p.shown {
		for n, text := range texts {
			if text != fmt.Sprint(n) {
				t.Errorf("at %s the order is %v", to.Account, texts)
				break
			}
		}
	}
	t.Logf("%d posts, brought by %d and %d, %d of them again", addresses*posts, boats[0].brought, boats[1].brought, p.again)
}
