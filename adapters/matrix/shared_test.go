package matrix

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/studio"
)

// A sharedStore is one that another program shares.
type sharedStore struct {
	studio.Store
	mu       sync.Mutex
	theirs   bool // the other program holds the account
	lose     context.CancelFunc
	released int
}

func (s *sharedStore) Hold(_ context.Context, name string) (context.Context, func(), error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.theirs || name != string(Platform) {
		return nil, nil, studio.ErrHeld
	}
	var held context.Context
	held, s.lose = context.WithCancel(context.Background())
	return held, func() { s.mu.Lock(); s.released++; s.mu.Unlock() }, nil
}

// Of two programs one follows the account: the other waits until it is gone, and
// stops when it has lost the account.
func TestOneProgramFollows(t *testing.T) {
	var asked atomic.Int64
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked.Add(1)
		http.Error(w, "{}", http.StatusServiceUnavailable)
	}))
	t.Cleanup(server.Close)
	file, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "studio.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { file.Close() })
	store := &sharedStore{Store: file, theirs: true}
	bot, err := New(Config{
		Homeserver: server.URL, User: "@bot:example.org", Token: "t", Store: store, Receiver: &ear{},
		Now: time.Now, Random: func() float64 { return 0 }, Log: slog.New(slog.NewTextHandler(io.Discard, nil)),
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- bot.Run(ctx) }()
	time.Sleep(1500 * time.Millisecond)
	if n := asked.Load(); n != 0 {
		t.Errorf("%d requests while another program follows", n)
	}
	store.mu.Lock()
	store.theirs = false
	store.mu.Unlock()
	until := func(what string, ok func() bool) {
		t.Helper()
		for end := time.Now().Add(soon); !ok(); time.Sleep(10 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatal("waited in vain until " + what)
			}
		}
	}
	until("the bot connects", func() bool { return asked.Load() > 0 })
	store.mu.Lock()
	store.theirs = true
	store.lose()
	store.mu.Unlock()
	until("the account is given up", func() bool { store.mu.Lock(); defer store.mu.Unlock(); return store.released == 1 })
	before := asked.Load()
	time.Sleep(1500 * time.Millisecond)
	if n := asked.Load(); n != before {
		t.Errorf("%d requests after the account was lost", n-before)
	}
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// An ear takes what is heard.
type ear struct{}

func (ear) Receive(context.Context, studio.Message) error { return nil }
