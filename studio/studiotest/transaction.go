package studiotest

import (
	"context"
	"errors"
	"strconv"
	"sync"
	"testing"

	"ledgerline/studio"
)

var errOurs = errors.New("ours")

func testKeptAndUndone(t *testing.T, s *store) {
	err := s.Update(t.Context(), func(tx studio.Tx) error {
		if err := settle(tx); err != nil {
			return err
		}
		if _, err := tx.Member(wim); err != nil {
			t.Errorf("a transaction does not see what it did: %v", err)
		}
		return errOurs
	})
	if !errors.Is(err, errOurs) {
		t.Fatalf("update returned %v, want the error of fn", err)
	}
	equal(t, "studios after an error", get(s, studio.Tx.Studios), nil)
	s.update(settle)
	equal(t, "studios", get(s, studio.Tx.Studios), []studio.Studio{harbourRow()})
}

func testPanic(t *testing.T, s *store) {
	func() {
		defer func() { equal[any](t, "what update panics with", recover(), "ours") }()
		_ = s.Update(t.Context(), func(tx studio.Tx) error {
			if err := settle(tx); err != nil {
				t.Error(err)
			}
			panic("ours")
		})
	}()
	equal(t, "studios after a panic", get(s, studio.Tx.Studios), nil)
	s.update(settle)
}

func testFailureSticks(t *testing.T, s *store) {
	s.refuses("a failure that fn hides", func(tx studio.Tx) error {
		if err := tx.PutMark("before", "1"); err != nil {
			return err
		}
		nobody := person("nobody", "Nobody", studio.Student)
		nobody.Studio = "nowhere"
		if err := tx.PutMember(nobody); err == nil {
			t.Error("a member of no studio was kept")
		}
		_ = tx.PutMark("after", "1")
		return nil
	})
	for _, name := range []string{"before", "after"} {
		notFound(s, "mark "+name, func(tx studio.Tx) error { _, err := tx.Mark(name); return err })
	}
}

func testContext(t *testing.T, s *store) {
	ctx, cancel := context.WithCancel(t.Context())
	err := s.Update(ctx, func(tx studio.Tx) error {
		if err := settle(tx); err != nil {
			return err
		}
		cancel()
		return nil
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("update with a context that ended in it returned %v", err)
	}
	equal(t, "studios after a context ended", get(s, studio.Tx.Studios), nil)
	for name, run := range map[string]func(context.Context, func(studio.Tx) error) error{"update": s.Update, "view": s.View} {
		err := run(ctx, func(studio.Tx) error { t.Errorf("%s ran with an ended context", name); return nil })
		if !errors.Is(err, context.Canceled) {
			t.Errorf("%s with an ended context returned %v", name, err)
		}
	}
}

func testView(t *testing.T, s *store) {
	s.update(settle)
	s.update(func(tx studio.Tx) error { return tx.PutMark("tide", "low") })
	err := s.View(t.Context(), func(tx studio.Tx) error {
		before, err := tx.Mark("tide")
		if err != nil {
			return err
		}
		s.update(func(tx studio.Tx) error { return tx.PutMark("tide", "high") })
		after, err := tx.Mark("tide")
		equal(t, "a mark put while viewing", after, before)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	err = s.View(t.Context(), func(tx studio.Tx) error { return tx.PutMark("tide", "ebbing") })
	if err == nil {
		t.Error("a view may write")
	}
	equal(t, "mark", get(s, func(tx studio.Tx) (string, error) { return tx.Mark("tide") }), "high")
	if err := s.View(t.Context(), func(studio.Tx) error { return errOurs }); !errors.Is(err, errOurs) {
		t.Errorf("view returned %v, want the error of fn", err)
	}
}

func testUpdatesAtOnce(t *testing.T, s *store) {
	const workers, rounds = 8, 10
	s.update(settle)
	s.update(func(tx studio.Tx) error { return tx.PutMark("count", "0") })
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for range rounds {
				if err := s.Update(t.Context(), CountUp); err != nil {
					t.Error(err)
				}
				if err := s.View(t.Context(), func(tx studio.Tx) error { _, err := tx.Mark("count"); return err }); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	count := get(s, func(tx studio.Tx) (string, error) { return tx.Mark("count") })
	equal(t, "count", count, strconv.Itoa(workers*rounds))
}

// CountUp counts the mark "count" up by one, in the studio of the tests.
func CountUp(tx studio.Tx) error {
	if err := tx.Claim(harbour); err != nil {
		return err
	}
	value, err := tx.Mark("count")
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(value)
	if err != nil {
		return err
	}
	return tx.PutMark("count", strconv.Itoa(n+1))
}

// notFound fails unless fn, in a View, returns ErrNotFound.
func notFound(s *store, what string, fn func(tx studio.Tx) error) {
	s.t.Helper()
	if err := s.View(s.t.Context(), fn); !errors.Is(err, studio.ErrNotFound) {
		s.t.Fatalf("%s: got %v, want ErrNotFound", what, err)
	}
}
