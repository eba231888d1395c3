package studiotest

import (
	"errors"
	"testing"

	"ledgerline/studio"
)

// testClaims has one program claim what there is to do; two are tried where a
// store can be shared.
func testClaims(t *testing.T, s *store) {
	s.update(settle)
	author := written("m0", "", noon).Author
	message := func(tx studio.Tx) (string, error) {
		m, err := tx.ClaimMessage()
		return m.ID, err
	}
	due := func(tx studio.Tx) (studio.Due, error) { return tx.ClaimDue(at(20)) }
	refused := func(what string, err error) {
		t.Helper()
		if !errors.Is(err, studio.ErrNotFound) {
			t.Errorf("%s: %v, want ErrNotFound", what, err)
		}
	}
	refused("no message", s.refuses("no message", func(tx studio.Tx) error { _, err := message(tx); return err }))
	refused("nothing due", s.refuses("nothing due", func(tx studio.Tx) error { _, err := due(tx); return err }))

	s.update(func(tx studio.Tx) error {
		m, err := tx.Member(wim)
		m.Accounts = append(m.Accounts, author)
		return errors.Join(err, tx.PutMember(m))
	})
	first := studio.Due{Kind: studio.DueRoutine, Studio: harbour, Member: tove, At: at(10), Date: monday + 1}
	second := studio.Due{Kind: studio.DueRoutine, Studio: harbour, Member: wim, At: at(20), Date: monday}
	s.stores(written("m1", "done", noon), written("m2", "rest", at(1)))
	s.update(func(tx studio.Tx) error { return errors.Join(tx.PutDue(second), tx.PutDue(first)) })
	equal(t, "due work", get(s, func(tx studio.Tx) (studio.Due, error) { return tx.Due(studio.DueRoutine, harbour, wim) }), second)
	notFound(s, "other due work", func(tx studio.Tx) error { _, err := tx.Due(studio.DueReminder, harbour, wim); return err })
	s.update(func(tx studio.Tx) error {
		id, err := message(tx)
		equal(t, "message claimed", id, "m1")
		d, err2 := due(tx)
		equal(t, "work claimed", d, first)
		d.At = at(30)
		return errors.Join(err, err2, tx.Claim(harbour), tx.Claim("no studio"), tx.PutDue(d))
	})
	equal(t, "unread after a claim that came to nothing", len(s.unread(9)), 2)
	s.update(func(tx studio.Tx) error {
		m, err := tx.ClaimMessage()
		return errors.Join(err, tx.Judge(m.Inbox, studio.Logged))
	})
	s.update(func(tx studio.Tx) error {
		id, err := message(tx)
		equal(t, "next message claimed", id, "m2")
		d, err2 := due(tx)
		equal(t, "next work claimed", d, second)
		return errors.Join(err, err2)
	})
	testHold(s)
}

// testHold takes a name twice and gives it up.
func testHold(s *store) {
	held := func(want bool) {
		s.t.Helper()
		equal(s.t, "held", get(s, func(tx studio.Tx) (bool, error) { return tx.Held("pier") }), want)
	}
	held(false)
	ctx, release, err := s.Hold(s.t.Context(), "pier")
	_, again, err2 := s.Hold(s.t.Context(), "pier")
	if err := errors.Join(err, err2, ctx.Err()); err != nil {
		s.t.Fatal(err)
	}
	release()
	release() // is of no effect
	held(true)
	again()
	held(false)
	if n, err := s.Programs(s.t.Context(), "pier"); n != 1 || err != nil {
		s.t.Errorf("%d programs, %v, want 1", n, err)
	}
}
