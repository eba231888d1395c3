package sqlite

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/database"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// TestStore runs the suite, and then asks how each statement was gone about
// that the suite made use of.
func TestStore(t *testing.T) {
	var stores []*Store
	dir := t.TempDir()
	studiotest.Store(t, func(t *testing.T) studio.Store {
		s, err := Open(t.Context(), filepath.Join(dir, fmt.Sprint(len(stores))))
		if err != nil {
			t.Fatal(err)
		}
		stores = append(stores, s)
		return s
	})
	t.Run("no scans", func(t *testing.T) { testNoScans(t, stores) })
	for _, s := range stores {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}

// openFile opens the store in a file until the test ends.
func openFile(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(t.Context(), path)
	return untilEnd(t, s, err)
}

// openUnclaimed does so without claiming the file.
func openUnclaimed(t testing.TB, path string) *Store {
	t.Helper()
	s, err := open(t.Context(), path)
	return untilEnd(t, s, err)
}

func untilEnd(t testing.TB, s *Store, err error) *Store {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

var day = routine.NewDate(2026, time.March, 2)

// settle puts a studio, its teacher and a student into the store, and a count.
func settle(tx studio.Tx) error {
	return errors.Join(
		tx.PutStudio(studio.Studio{ID: "harbour-row", Name: "Harbour Row Brass"}),
		tx.PutMember(studio.Member{ID: "odile", Studio: "harbour-row", Name: "Odile", Role: studio.Teacher}),
		tx.PutMember(studio.Member{ID: "wim", Studio: "harbour-row", Name: "Wim", Role: studio.Student}),
		tx.PutMark("count", "0"),
	)
}

func TestUnreadableRowIsNamed(t *testing.T) {
	path := filepath.Join(t.TempDir(), "studio.db")
	s := openFile(t, path)
	if err := s.Update(t.Context(), settle); err != nil {
		t.Fatal(err)
	}
	execute(t, path, `UPDATE member SET body = '{"id": 5}' WHERE id = 'wim'`)
	err := s.View(t.Context(), func(tx studio.Tx) error { _, err := tx.Members("harbour-row"); return err })
	const want = "listing the members of studio harbour-row: table member, row wim: the body can't be read: "
	if err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s…", err, want)
	}
}

func TestClosed(t *testing.T) {
	s := openFile(t, filepath.Join(t.TempDir(), "studio.db"))
	var kept studio.Tx
	if err := s.Update(t.Context(), func(tx studio.Tx) error { kept = tx; return settle(tx) }); err != nil {
		t.Fatal(err)
	}
	if err := kept.PutMark("count", "1"); !errors.Is(err, database.ErrOver) {
		t.Errorf("a transaction used after its end: %v", err)
	}
	for range 2 {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
	if err := s.Update(t.Context(), settle); !errors.Is(err, database.ErrClosed) {
		t.Errorf("update after closing: %v", err)
	}
	if err := s.View(t.Context(), func(studio.Tx) error { return nil }); !errors.Is(err, database.ErrClosed) {
		t.Errorf("view after closing: %v", err)
	}
}

// TestInterrupted ends the context while a transaction waits for its turn and
// while it works; the store must go on working.
func TestInterrupted(t *testing.T) {
	s := openFile(t, filepath.Join(t.TempDir(), "studio.db"))
	err := s.Update(t.Context(), func(tx studio.Tx) error {
		ctx, cancel := context.WithTimeout(t.Context(), time.Millisecond)
		defer cancel()
		if err := s.Update(ctx, settle); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("an update that could not begin: %v", err)
		}
		return settle(tx)
	})
	if err != nil {
		t.Fatal(err)
	}
	for n := range 40 {
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(n)*50*time.Microsecond)
		err := s.Update(ctx, func(tx studio.Tx) error {
			for range 20 {
				if err := studiotest.CountUp(tx); err != nil {
					return err
				}
			}
			return nil
		})
		cancel()
		if err != nil && !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("an update that was interrupted: %v", err)
		}
		if count := countOf(t, s); count%20 != 0 {
			t.Fatalf("count %d: an update was kept in part", count)
		}
	}
}

func countOf(t *testing.T, s *Store) (n int) {
	t.Helper()
	err := s.View(t.Context(), func(tx studio.Tx) error {
		value, err := tx.Mark("count")
		if err != nil {
			return err
		}
		n, err = strconv.Atoi(value)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}
