package studiotest

import (
	"reflect"
	"testing"

	"ledgerline/studio"
)

// Store checks that a store keeps all that [studio.Store] promises. open
// returns a store that holds nothing, and sees to it that it is closed when the
// test ends. It is called once and more for each test.
func Store(t *testing.T, open func(t *testing.T) studio.Store) {
	for _, test := range []struct {
		name string
		run  func(*testing.T, *store)
	}{
		{"kept and undone", testKeptAndUndone},
		{"panic", testPanic},
		{"failure sticks", testFailureSticks},
		{"context", testContext},
		{"view", testView},
		{"updates at once", testUpdatesAtOnce},
		{"studios", testStudios},
		{"members", testMembers},
		{"members need a studio", testMembersNeedStudio},
		{"plans", testPlans},
		{"routines", testRoutines},
		{"questions", testQuestions},
		{"hearings", testHearings},
		{"sounds", testSounds},
		{"challenges", testChallenges},
		{"marks", testMarks},
		{"due work", testDue},
		{"claims", testClaims},
		{"deeds", testDeeds},
		{"marks by prefix", testMarksByPrefix},
		{"messages of an account", testMessagesBy},
		{"posts in a studio", testPostsIn},
		{"removing a member", testRemoveMember},
		{"purging words", testPurgeWords},
		{"backlog", testBacklog},
		{"reports", testReports},
		{"withdrawal", testWithdrawal},
		{"withdrawal of a message", testWithdrawMessage},
		{"overtaken", testOvertaken},
		{"obeyed before", testObeyedBefore},
		{"supersession", testSupersession},
		{"line entries", testLineEntries},
		{"acts", testActs},
		{"standings", testStandings},
		{"streaks", testStreaks},
		{"unreadable bodies", testUnreadable},
		{"messages", testMessages},
		{"message texts", testMessageTexts},
		{"last numbered message", testLastNumbered},
		{"posts", testPosts},
		{"posts that fail", testFailedPosts},
		{"posts in turn", testTurns},
		{"posts by platform id", testPostKnownAs},
		{"counts", testCounts},
		{"transcript", testTranscript},
		{"transcript of a private line", testPrivateTranscript},
		{"transcript limit", testTranscriptLimit},
	} {
		t.Run(test.name, func(t *testing.T) { test.run(t, &store{t, open(t)}) })
	}
	t.Run("model", func(t *testing.T) { testModel(t, open) })
}

// A fatal is a test, be it of package testing or rapid.
type fatal interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// A store is the store under test, whose transactions must succeed.
type store struct {
	t *testing.T
	studio.Store
}

// update runs fn in an Update that must succeed.
func (s *store) update(fn func(tx studio.Tx) error) {
	s.t.Helper()
	if err := s.Update(s.t.Context(), fn); err != nil {
		s.t.Fatalf("update: %v", err)
	}
}

// refuses runs fn in an Update that must fail, and returns the error.
func (s *store) refuses(what string, fn func(tx studio.Tx) error) error {
	s.t.Helper()
	err := s.Update(s.t.Context(), fn)
	if err == nil {
		s.t.Fatalf("%s: no error", what)
	}
	return err
}

// get returns what a View reads.
func get[T any](s *store, fn func(tx studio.Tx) (T, error)) (v T) {
	s.t.Helper()
	err := s.View(s.t.Context(), func(tx studio.Tx) (err error) {
		v, err = fn(tx)
		return err
	})
	if err != nil {
		s.t.Fatalf("view: %v", err)
	}
	return v
}

// equal fails unless got is want; nothing and an empty list are the same.
func equal[T any](t fatal, what string, got, want T) {
	t.Helper()
	g, w := reflect.ValueOf(got), reflect.ValueOf(want)
	if g.Kind() == reflect.Slice && g.Len() == 0 && w.Len() == 0 {
		return
	}
	if !reflect.DeepEqual(got, want) {
		t.Fatalf("%s:\n got %+v\nwant %+v", what, got, want)
	}
}
