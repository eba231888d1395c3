package room

import (
	"bufio"
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

// listen opens the live updates of a member and returns their lines of data, each
// with the name of its event before it.
func (s *scene) listen(t *testing.T, as string) <-chan string {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	t.Cleanup(stop)
	req, err := http.NewRequestWithContext(ctx, "GET", s.server.URL+"/api/events?studio=harbour-row&as="+as, nil)
	if err != nil {
		t.Fatal(err)
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	if got := resp.Header.Get("Content-Type"); got != "text/event-stream" {
		t.Fatalf("status %d, type %s", resp.StatusCode, got)
	}
	events := make(chan string, 100)
	go func() {
		defer close(events)
		defer resp.Body.Close()
		name := ""
		for lines := bufio.NewScanner(resp.Body); lines.Scan(); {
			if n, ok := strings.CutPrefix(lines.Text(), "event: "); ok {
				name = n
			} else if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				events <- name + " " + data
			}
		}
	}()
	return events
}

func next(t *testing.T, events <-chan string) string {
	t.Helper()
	select {
	case e, ok := <-events:
		if !ok {
			t.Fatal("the stream ended")
		}
		return e
	case <-time.After(10 * time.Second):
		t.Fatal("no event came")
	}
	return ""
}

// silent fails the test if an event comes within a short while.
func silent(t *testing.T, events <-chan string, why string) {
	t.Helper()
	select {
	case e := <-events:
		t.Fatalf("%s: %s", why, e)
	case <-time.After(150 * time.Millisecond):
	}
}

func TestEvents(t *testing.T) {
	s := newScene(t, nil)
	ada, ilo := s.listen(t, "ada"), s.listen(t, "ilo")
	for _, events := range []<-chan string{ada, ilo} {
		if got := next(t, events); got != `clock {"now":"2026-03-04T07:02:00Z","moving":false}` {
			t.Fatalf("the first event is %s", got)
		}
	}
	s.do(t, "POST", "/api/say", `{"studio":"harbour-row","as":"ada","where":"line","text":"done"}`)
	if got := next(t, ada); got != `changed {"where":"line"}` {
		t.Errorf("after a message on her line: %s", got)
	}
	silent(t, ilo, "Ilo hears of Ada's private line")
	s.do(t, "POST", "/api/say", `{"studio":"harbour-row","as":"ilo","where":"channel","text":"hello"}`)
	for _, events := range []<-chan string{ada, ilo} {
		if got := next(t, events); got != `changed {"where":"channel"}` {
			t.Errorf("after a message in the channel: %s", got)
		}
	}
}

// A post is announced only once the outbox says it was sent, since a page that
// looks earlier does not find it.
func TestEventAfterSending(t *testing.T) {
	s := newScene(t, nil)
	ada := s.listen(t, "ada")
	next(t, ada)
	post := studio.Post{Key: "receipt/9", Studio: "harbour-row", To: lineOfAda}
	if _, err := s.room.Send(t.Context(), studio.Delivery{Post: post}); err != nil {
		t.Fatal(err)
	}
	silent(t, ada, "announced before it was recorded")
	s.store.posted(post, s.clock.Now())
	if got := next(t, ada); got != `changed {"where":"line"}` {
		t.Errorf("after it was recorded: %s", got)
	}
}

func TestEventsWhileTheClockMoves(t *testing.T) {
	s := newScene(t, nil)
	ada := s.listen(t, "ada")
	next(t, ada)
	s.do(t, "POST", "/api/step", `{"hours":1}`)
	heard := map[string]bool{}
	for !heard[`clock {"now":"2026-03-04T08:02:00Z","moving":false}`] || !heard[`changed {"where":"line"}`] || !heard[`changed {"where":"channel"}`] {
		heard[next(t, ada)] = true
	}
}

func TestClose(t *testing.T) {
	s := newScene(t, nil)
	ada := s.listen(t, "ada")
	next(t, ada)
	s.room.Close()
	s.room.Close()
	select {
	case _, open := <-ada:
		if open {
			t.Error("an event after closing")
		}
	case <-time.After(10 * time.Second):
		t.Error("the stream goes on")
	}
}

func TestTooManyPages(t *testing.T) {
	h := newHub()
	s := seat{line: lineOfAda}
	var last *page
	for range maxPages {
		if last = h.join(&s); last == nil {
			t.Fatal("refused too early")
		}
	}
	if h.join(&s) != nil {
		t.Error("one page too many was let in")
	}
	h.leave(last)
	if h.join(&s) == nil {
		t.Error("a place that was left is not given again")
	}
}
