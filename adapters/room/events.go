package room

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"time"

	"ledgerline/studio"
)

// How often a page hears the time, and how often the outbox is asked whether an
// announced post has been recorded as sent.
const (
	beat       = 15 * time.Second
	movingBeat = time.Second
	sharedLook = 3 * time.Second // between two looks for what another program said
	askAgain   = 20 * time.Millisecond
	askAtMost  = 1500 // times; then the page looks anyway
)

// A stream is one page's live updates.
type stream struct {
	room    *Room
	page    *page
	w       http.ResponseWriter
	rc      *http.ResponseController
	awaited map[string]string
	asked   int
}

func (r *Room) streamEvents(w http.ResponseWriter, req *http.Request) error {
	var s seat
	err := r.cfg.Store.View(req.Context(), func(tx studio.Tx) (err error) {
		s, err = takeSeat(req.Context(), tx, studio.StudioID(req.FormValue("studio")), studio.MemberID(req.FormValue("as")))
		return err
	})
	if err != nil {
		return err
	}
	page := r.hub.join(&s)
	if page == nil {
		return fail(http.StatusServiceUnavailable, "room.too-many-pages", nil)
	}
	defer r.hub.leave(page)
	w.Header().Set("Content-Type", "text/event-stream")
	st := stream{room: r, page: page, w: w, rc: http.NewResponseController(w), awaited: map[string]string{}}
	if err := st.rc.SetReadDeadline(time.Time{}); err != nil {
		r.cfg.Log.Debug("no read deadline to lift", "err", err)
	}
	if err := st.run(req.Context()); err != nil && req.Context().Err() == nil {
		r.cfg.Log.Debug("live updates ended", "err", err)
	}
	return nil
}

// run writes events until the page or the room goes away.
func (st *stream) run(ctx context.Context) error {
	if err := st.event("clock", st.room.clock()); err != nil {
		return err
	}
	beats := time.NewTicker(beat)
	defer beats.Stop()
	moves := time.NewTicker(movingBeat)
	defer moves.Stop()
	var looks <-chan time.Time
	if st.room.cfg.Shared {
		ticker := time.NewTicker(sharedLook)
		defer ticker.Stop()
		looks = ticker.C
	}
	for {
		var again <-chan time.Time
		if len(st.awaited) > 0 {
			again = time.After(askAgain)
		}
		var err error
		select {
		case <-ctx.Done():
			return nil
		case <-st.room.hub.closed:
			return nil
		case <-beats.C:
			err = st.event("clock", st.room.clock())
		case <-moves.C:
			if c := st.room.clock(); c.Moving {
				err = st.event("clock", c)
			}
		case <-looks:
			err = st.tell(ctx, news{changed: map[string]bool{whereLine: true, whereChannel: true}})
		case <-st.page.woken:
			err = st.tell(ctx, st.room.hub.take(st.page))
		case <-again:
			err = st.tell(ctx, news{changed: map[string]bool{}})
		}
		if err != nil {
			return err
		}
	}
}

// tell passes on news: conversations that changed, together with those whose
// awaited posts have arrived.
func (st *stream) tell(ctx context.Context, n news) error {
	if n.clock {
		if err := st.event("clock", st.room.clock()); err != nil {
			return err
		}
	}
	if len(n.awaited) > 0 {
		maps.Copy(st.awaited, n.awaited)
		st.asked = 0
	}
	if err := st.collect(ctx, n.changed); err != nil {
		return err
	}
	for _, where := range slices.Sorted(maps.Keys(n.changed)) {
		if err := st.event("changed", map[string]string{"where": where}); err != nil {
			return err
		}
	}
	return nil
}

// collect moves the awaited posts that the outbox now has as sent over to
// changed; all of them, if they were waited for too long.
func (st *stream) collect(ctx context.Context, changed map[string]bool) error {
	if len(st.awaited) == 0 {
		return nil
	}
	st.asked++
	return st.room.cfg.Store.View(ctx, func(tx studio.Tx) error {
		for id, where := range st.awaited {
			p, err := tx.PostKnownAs(Platform, id)
			if err != nil && !errors.Is(err, studio.ErrNotFound) {
				return err
			}
			if err == nil && !p.SentAt.IsZero() || st.asked >= askAtMost {
				changed[where] = true
				delete(st.awaited, id)
			}
		}
		return nil
	})
}

func (st *stream) event(name string, data any) error {
	body, err := json.Marshal(data)
	if err != nil {
		return err
	}
	// A page that takes nothing is let go; a writer that has no deadlines has no page.
	_ = st.rc.SetWriteDeadline(time.Now().Add(replyTime))
	if _, err := fmt.Fprintf(st.w, "event: %s\ndata: %s\n\n", name, body); err != nil {
		return err
	}
	return st.rc.Flush()
}
