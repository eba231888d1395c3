package studiotest

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"ledgerline/streaks"
	"ledgerline/studio"
)

// testModel does things at random to the store and to a model that keeps all
// in slices and looks through the whole of them for every answer, and wants the
// same answers of both. One update in eight is undone, and must leave no trace.
func testModel(t *testing.T, open func(t *testing.T) studio.Store) {
	rapid.Check(t, func(r *rapid.T) {
		m := &model{t: t, store: open(t), withdrawn: map[int64]bool{}, turns: map[studio.Platform][2]int{}}
		if err := m.store.Update(t.Context(), settle); err != nil {
			r.Fatal(err)
		}
		r.Repeat(map[string]func(*rapid.T){
			"message":  m.storeMessage,
			"judge":    m.judge,
			"queue":    m.queue,
			"sent":     m.postSent,
			"failed":   m.postFailed,
			"report":   m.appendReport,
			"withdraw": m.withdraw,
			"act":      m.appendAct,
			"":         m.check,
		})
	})
}

// A model is what the store should hold.
type model struct {
	t     *testing.T
	store studio.Store

	messages []studio.Stored
	posts    []modelPost
	turns    map[studio.Platform][2]int // the highest that was sent, by lane

	reports   []studio.Report
	withdrawn map[int64]bool // reports, by ID
	acts      []streaks.Act  // all of wim's
	lastSeq   int64
}

// update runs fn in an update and reports whether it was kept.
func (m *model) update(r *rapid.T, fn func(tx studio.Tx) error) (kept bool) {
	undo := rapid.IntRange(0, 7).Draw(r, "undo if 7") == 7
	err := m.store.Update(m.t.Context(), func(tx studio.Tx) error {
		if err := fn(tx); err != nil {
			return err
		}
		if undo {
			return errOurs
		}
		return nil
	})
	if undo && errors.Is(err, errOurs) {
		return false
	}
	if err != nil {
		r.Fatalf("update: %v", err)
	}
	return true
}

// check asks the store and the model everything.
func (m *model) check(r *rapid.T) {
	limit := rapid.IntRange(0, 9).Draw(r, "limit")
	when := at(rapid.IntRange(0, 20).Draw(r, "when"))
	err := m.store.View(m.t.Context(), func(tx studio.Tx) error {
		return errors.Join(
			m.checkInbox(r, tx, limit), m.checkOutbox(r, tx, when, limit), m.checkTranscripts(r, tx, limit),
			m.checkReports(r, tx), m.checkLines(r, tx), m.checkCounts(r, tx),
		)
	})
	if err != nil {
		r.Fatalf("view: %v", err)
	}
}

func (m *model) checkCounts(r *rapid.T, tx studio.Tx) error {
	got, err := tx.Counts()
	want := studio.Counts{Messages: len(m.messages), Unread: len(m.unread()), Sent: map[studio.PostKind]int{}}
	for _, p := range m.posts {
		switch {
		case !p.SentAt.IsZero():
			want.Sent[p.Kind]++
		case p.Failure != "":
			want.GivenUp++
		default:
			want.Waiting++
		}
	}
	equal(r, "counts", got, want)
	return err
}

// first returns at most limit of all.
func first[T any](all []T, limit int) []T { return all[:min(limit, len(all))] }

// last returns at most limit of all, from the end.
func last[T any](all []T, limit int) []T { return all[max(0, len(all)-limit):] }
