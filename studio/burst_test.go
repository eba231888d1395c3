package studio_test

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"golang.org/x/time/rate"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// Limits of Discord on one bot, by its documentation ("Rate Limits"): 50 requests
// a second in all; and of one channel, as its answers say: 5 messages in 5 s.
const (
	platformLimit = 50
	channelLimit  = 5
	channelSpan   = 5 * time.Second
)

// A platform is a chat with the limits of Discord, and with the time that one of
// its answers takes. It notes when what was sent.
type platform struct {
	pace *rate.Limiter // what the adapter keeps to
	now  func() time.Time

	mu       sync.Mutex
	requests []time.Time
	asked    []time.Time // when replies were made
	to       map[studio.Address][]time.Time
	sent     map[studio.Key]time.Time
	refused  int // requests that the platform would have answered 429
}

// roundTrip is how long the platform takes for an answer.
const roundTrip = 150 * time.Millisecond

func (p *platform) Platform() studio.Platform { return "room" }

func (p *platform) AtOnce() int { return 16 }

func (p *platform) Send(ctx context.Context, d studio.Delivery) (string, error) {
	if err := p.pace.Wait(ctx); err != nil {
		return "", err
	}
	if !p.takes(d.To, p.now()) {
		return "", &studio.SendError{After: channelSpan, Err: context.DeadlineExceeded}
	}
	time.Sleep(roundTrip)
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sent[d.Key] = p.now()
	return "post-" + string(d.Key), nil
}

// takes reports whether a request is within the limits.
func (p *platform) takes(to studio.Address, now time.Time) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.requests = append(p.requests, now)
	p.to[to] = append(p.to[to], now)
	if within(p.requests, time.Second, now) > platformLimit || within(p.to[to], channelSpan, now) > channelLimit {
		p.refused++
		return false
	}
	return true
}

// within counts the last of times that are less than span before now.
func within(times []time.Time, span time.Duration, now time.Time) (n int) {
	for _, at := range slices.Backward(times) {
		if now.Sub(at) >= span {
			break
		}
		n++
	}
	return n
}

// TestBurst posts the routines of many studios of 25 students that all fall due
// at the same minute, in simulated time, under the limits of the platform, with
// a reply to be answered every second. LEDGERLINE_STUDIOS sets how many
// studios there are; 20 otherwise. With -v it tells its figures.
func TestBurst(t *testing.T) {
	studios := 20
	if n, err := strconv.Atoi(os.Getenv("LEDGERLINE_STUDIOS")); err == nil {
		studios = n
	}
	synctest.Test(t, func(t *testing.T) { burst(t, studios) })
}

// burstBegins is ten seconds before the routines are due.
var burstBegins = time.Date(2026, 3, 2, 6, 59, 50, 0, time.UTC)

const perStudio = 25

func burst(t *testing.T, studios int) {
	started := time.Now() // of the simulated clock
	now := func() time.Time { return burstBegins.Add(time.Since(started)) }
	p := &platform{
		pace: rate.NewLimiter(platformLimit, 1), to: map[studio.Address][]time.Time{}, sent: map[studio.Key]time.Time{}, now: now,
	}
	service := burstService(t, p, now)
	for i := range studios {
		if err := service.Apply(t.Context(), burstStudio(i)); err != nil {
			t.Fatal(err)
		}
	}
	ctx, stop := context.WithCancel(t.Context())
	var running sync.WaitGroup
	running.Go(func() { service.Run(ctx) })
	replies := 0
	for {
		time.Sleep(time.Second)
		if p.routines() == studios*perStudio {
			break
		}
		if time.Since(started) > 24*time.Hour {
			t.Fatalf("%d routines in a day", p.routines())
		}
		p.reply(t, service, replies)
		replies++
	}
	time.Sleep(time.Minute)
	stop()
	running.Wait()
	p.report(t, studios)
}

func burstService(t *testing.T, p *platform, now func() time.Time) *studio.Service {
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "burst.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	reader, err := reply.NewReader()
	if err != nil {
		t.Fatal(err)
	}
	books := studiotest.Catalogue()
	return studio.New(studio.Config{
		Store: store, Chats: []studio.Chat{p}, Drawer: noDrawer{}, Reader: reader,
		Books: func(studio.StudioID) *routine.Catalogue { return books },
		Now:   now, Random: func() float64 { return 0 }, Log: slog.New(slog.DiscardHandler),
	})
}

// burstStudio returns the i-th studio.
func burstStudio(i int) studio.Roster {
	r := studiotest.Roster()
	r.Studio.ID = studio.StudioID(fmt.Sprintf("s%04d", i))
	r.Studio.Channels = nil
	plan := r.Plans["ada"]
	r.Members, r.Plans = nil, map[studio.MemberID]routine.Plan{}
	for k := range perStudio {
		m := studiotest.Member(fmt.Sprintf("%s-%02d", r.Studio.ID, k), studio.Student)
		r.Members = append(r.Members, m)
		r.Plans[m.ID] = plan
	}
	return r
}

// routines returns how many routines were sent.
func (p *platform) routines() (n int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for k := range p.sent {
		if strings.HasPrefix(string(k), "routine/") {
			n++
		}
	}
	return n
}

// reply has a student who got a routine answer it.
func (p *platform) reply(t *testing.T, service *studio.Service, n int) {
	p.mu.Lock()
	var who string
	for k := range p.sent {
		if m, ok := strings.CutPrefix(string(k), "routine/"); ok {
			who, _, _ = strings.Cut(m, "/")
			break
		}
	}
	p.mu.Unlock()
	if who == "" {
		return
	}
	at := p.now()
	err := service.Receive(t.Context(), studio.Message{
		Platform: "room", ID: fmt.Sprint("reply", n), Happening: studio.Written, Private: true,
		Author: studio.Account{Platform: "room", ID: who}, Text: "1 60 clean", At: at,
	})
	if err != nil {
		t.Error(err)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.asked = append(p.asked, at)
}

// report tells how long it all took, and checks it against what the limits
// allow.
func (p *platform) report(t *testing.T, studios int) {
	t.Helper()
	var last time.Time
	var receipts []time.Time
	for k, at := range p.sent {
		switch {
		case strings.HasPrefix(string(k), "routine/"):
			last = newest(last, at)
		case strings.HasPrefix(string(k), "receipt/"):
			receipts = append(receipts, at)
		}
	}
	slices.SortFunc(receipts, time.Time.Compare)
	if len(receipts) != len(p.asked) || len(receipts) == 0 {
		t.Fatalf("%d receipts for %d replies", len(receipts), len(p.asked))
	}
	var longest time.Duration
	for i, at := range receipts {
		longest = max(longest, at.Sub(p.asked[i]))
	}
	took := last.Sub(burstBegins.Add(10 * time.Second))
	least := time.Duration(len(p.requests)) * time.Second / platformLimit
	t.Logf("%d studios of %d: the last routine after %.1f s; the limits allow %.1f s for %d requests; %d refused; a receipt after at most %.2f s",
		studios, perStudio, took.Seconds(), least.Seconds(), len(p.requests), p.refused, longest.Seconds())
	if p.refused > 0 {
		t.Errorf("the platform would have refused %d requests", p.refused)
	}
	if took > least*11/10+time.Second {
		t.Errorf("the last routine came after %s, more than a tenth above the least time of %s", took, least)
	}
	if longest > time.Second {
		t.Errorf("a receipt came %s after its reply", longest)
	}
}

func newest(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
