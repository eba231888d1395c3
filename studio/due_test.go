package studio_test

import (
	"context"
	"errors"
	"log/slog"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// A stumbling store fails every update after some.
type stumbling struct {
	studio.Store
	left int
}

var errStumbled = errors.New("the machine went off")

func (s *stumbling) Update(ctx context.Context, do func(studio.Tx) error) error {
	if s.left == 0 {
		return errStumbled
	}
	s.left--
	return s.Store.Update(ctx, do)
}

// serve makes the stage's service anew on a store.
func (s *stage) serve(t *testing.T, store studio.Store) {
	t.Helper()
	reader, err := reply.NewReader()
	if err != nil {
		t.Fatal(err)
	}
	books := studiotest.Catalogue()
	s.service = studio.New(studio.Config{
		Store: store, Chats: []studio.Chat{s.chat}, Drawer: noDrawer{}, Reader: reader,
		Books: func(studio.StudioID) *routine.Catalogue { return books },
		Now:   func() time.Time { return s.now }, Random: func() float64 { return 0 },
		Log: slog.New(slog.DiscardHandler),
	})
}

// count returns how many posts of a kind the chat was given.
func (s *stage) count(kind studio.PostKind) (n int) {
	for _, p := range s.chat.posts {
		if p.Kind == kind {
			n++
		}
	}
	return n
}

// sundayEvening is when all kinds of work of the first week have come due.
var sundayEvening = monday.AddDate(0, 0, 6).Add(14 * time.Hour)

// TestCutShortAnywhere has a program come back on a Sunday evening to a whole
// day's work, and go off again after each number of updates: what it had no
// time to do is done by the next.
func TestCutShortAnywhere(t *testing.T) {
	whole := newStage(t)
	whole.now = sundayEvening
	whole.work()
	if whole.count(studio.RoutinePost) == 0 || whole.count(studio.ReminderPost) == 0 || whole.count(studio.DigestPost) == 0 {
		t.Fatalf("the day's work was %v", whole.chat.posts)
	}
	for n := 0; ; n++ {
		s := newStage(t)
		s.now = sundayEvening
		store := &stumbling{s.store, n}
		s.serve(t, store)
		err := s.service.Work(t.Context())
		if err == nil {
			break
		}
		if !errors.Is(err, errStumbled) {
			t.Fatal(err)
		}
		s.serve(t, s.store)
		s.work()
		for _, kind := range []studio.PostKind{studio.RoutinePost, studio.ReminderPost, studio.DigestPost} {
			if got, want := s.count(kind), whole.count(kind); got != want {
				t.Errorf("cut short after %d updates: %d posts of kind %s, want %d", n, got, kind, want)
			}
		}
	}
}

// TestChangedWhileDue changes a member and the studio when their work is due
// and not done yet, as a program does that comes back after the hour of posting
// and first takes over its files and reads what was written meanwhile.
func TestChangedWhileDue(t *testing.T) {
	changes := map[string]func(t *testing.T, s *stage) error{
		"nothing": func(*testing.T, *stage) error { return nil },
		"by a command": func(t *testing.T, s *stage) error {
			return s.service.Receive(t.Context(), studio.Message{
				Platform: "room", ID: "1", Happening: studio.Written, Private: true, At: s.now,
				Author: studio.Account{Platform: "room", ID: "odile"}, Text: "minutes Ada 30",
			})
		},
		"in the files": func(t *testing.T, s *stage) error {
			changed := studiotest.Roster()
			changed.Studio.Name = "Harbour Row"
			for i := range changed.Members {
				changed.Members[i].Player.Minutes = 30
			}
			return s.service.Apply(t.Context(), changed)
		},
	}
	for name, change := range changes {
		t.Run(name, func(t *testing.T) {
			s := newStage(t)
			s.now = sundayEvening
			if err := change(t, s); err != nil {
				t.Fatal(err)
			}
			s.work()
			for _, kind := range []studio.PostKind{studio.RoutinePost, studio.ReminderPost, studio.DigestPost} {
				if s.count(kind) == 0 {
					t.Errorf("the %s that was due was not posted", kind)
				}
			}
		})
	}
}
