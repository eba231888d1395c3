package studiotest

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

func (s *store) unread(limit int) []studio.Stored {
	s.t.Helper()
	return get(s, func(tx studio.Tx) ([]studio.Stored, error) { return tx.UnreadMessages(limit) })
}

func testMessages(t *testing.T, s *store) {
	m1 := written("m1", "done 30", noon)
	m1.ReplyTo, m1.Private = "p9", true
	e1, e2, d1 := edited(m1, "1", "done 40", at(5)), edited(m1, "2", "done 45", at(6)), deleted(m1, at(7))
	elsewhere := m1
	elsewhere.Platform = "discord"
	all := []studio.Message{m1, e1, written("m2", "rest", at(1)), e2, d1, elsewhere}
	s.stores(all...)
	want := make([]studio.Stored, len(all))
	for i, got := range s.unread(100) {
		want[i] = studio.Stored{Message: all[i], Inbox: got.Inbox}
		if i > 0 && got.Inbox <= want[i-1].Inbox {
			t.Fatalf("message %d comes after %d", got.Inbox, want[i-1].Inbox)
		}
	}
	equal(t, "unread", s.unread(100), want)
	equal(t, "unread, two at most", s.unread(2), want[:2])
	equal(t, "unread, none at most", s.unread(0), nil)
	equal(t, "happenings", get(s, func(tx studio.Tx) ([]studio.Stored, error) { return tx.Happenings("room", "m1") }),
		[]studio.Stored{want[0], want[1], want[3], want[4]})
	equal(t, "happenings of no message", get(s, func(tx studio.Tx) ([]studio.Stored, error) { return tx.Happenings("room", "m9") }), nil)
	equal(t, "message by number", get(s, func(tx studio.Tx) (studio.Stored, error) { return tx.MessageAt(want[1].Inbox) }), want[1])
	notFound(s, "message by another number", func(tx studio.Tx) error { _, err := tx.MessageAt(4711); return err })
	testJudge(s, want)
	testStoredAgain(s, all)
}

// testJudge judges two of the messages.
func testJudge(s *store, all []studio.Stored) {
	s.update(func(tx studio.Tx) error { return tx.Judge(all[0].Inbox, studio.Logged) })
	s.update(func(tx studio.Tx) error { return tx.Judge(all[2].Inbox, studio.Chatter) })
	equal(s.t, "unread after two were read", s.unread(100), []studio.Stored{all[1], all[3], all[4], all[5]})
	read := get(s, func(tx studio.Tx) (studio.Stored, error) { return tx.MessageAt(all[0].Inbox) })
	equal(s.t, "verdict", read.Verdict, studio.Logged)
	s.update(func(tx studio.Tx) error { return tx.Judge(all[2].Inbox, studio.Unread) })
	equal(s.t, "number unread after one is to be read again", len(s.unread(100)), 5)
	err := s.refuses("judging no message", func(tx studio.Tx) error { return tx.Judge(4711, studio.Logged) })
	if !errors.Is(err, studio.ErrNotFound) {
		s.t.Errorf("judging no message: got %v, want ErrNotFound", err)
	}
}

// testStoredAgain stores messages that are there, as chats do.
func testStoredAgain(s *store, all []studio.Message) {
	before := s.unread(100)
	for _, m := range all {
		m.Text, m.At, m.Channel = "other", at(99), "other"
		s.update(func(tx studio.Tx) error {
			isNew, err := tx.StoreMessage(m)
			equal(s.t, "a message stored again is new", isNew, false)
			return err
		})
	}
	equal(s.t, "unread after all arrived again", s.unread(100), before)
}

func testLastNumbered(t *testing.T, s *store) {
	said := func(id, channel string, second int) studio.Message {
		return studio.Message{
			Platform: "discord", ID: id, Happening: studio.Written, Channel: channel, At: at(second),
			Author: studio.Account{Platform: "discord", ID: "7"}, Text: "done",
		}
	}
	s.stores(said("100", "a", 1), said("90", "a", 3), said("tap/95", "a", 4), said("300", "b", 9))
	last := func(channel string) func(tx studio.Tx) (string, error) {
		return func(tx studio.Tx) (string, error) { return tx.LastNumbered("discord", channel) }
	}
	equal(t, "last numbered message of a", get(s, last("a")), "90")
	equal(t, "last numbered message of b", get(s, last("b")), "300")
	notFound(s, "last numbered message of c", func(tx studio.Tx) error { _, err := last("c")(tx); return err })
}

func testMessageTexts(t *testing.T, s *store) {
	texts := []string{"", " ", "3: 84→92 ♩=♪ 🎺👩🏽‍🎤", "e\u0301 é", "\x00", "'; DROP TABLE inbox; --", "%_?\\", "\u202edone\n\r\n\t", strings.Repeat("ä", 20000)}
	for i, text := range texts {
		m := written(fmt.Sprint("m", i), text, time.Date(1999+20*i, 1, 2, 3, 4, 5, 999_999_000, time.UTC))
		if len(text) < 1000 && text != "\x00" { // as much as an id may have
			m.Author.ID, m.Channel, m.ReplyTo, m.Revision = text, text, text, text
		}
		s.stores(m)
		all := s.unread(100)
		equal(t, "message", all[i].Message, m)
	}
	elsewhere := written("zone", "x", noon.In(time.FixedZone("", 3600)).Add(789*time.Nanosecond))
	s.stores(elsewhere)
	equal(t, "instant", s.unread(100)[len(texts)].At, noon)
}

func (s *store) queues(posts ...studio.Post) {
	s.t.Helper()
	s.update(func(tx studio.Tx) error {
		for i, p := range posts {
			isNew, err := tx.Queue(p, at(i))
			if err != nil {
				return err
			}
			equal(s.t, "post "+string(p.Key)+" is new", isNew, true)
		}
		return nil
	})
}

func (s *store) duePosts(p studio.Platform, when time.Time, limit int) []studio.Queued {
	s.t.Helper()
	return get(s, func(tx studio.Tx) ([]studio.Queued, error) { return tx.DuePosts(p, when, limit) })
}

// fullPost returns a post with every field set.
func fullPost() studio.Post {
	return studio.Post{
		Key: studio.RoutineKey(wim, monday, 1), Kind: studio.RoutinePost, Studio: harbour, Member: wim,
		To: studio.Address{Platform: "room", Account: string(wim)}, ReplyTo: "m1", Title: "Monday", Text: "a\nb <&> 🎺",
		Items: []studio.PostItem{{N: 1, Head: "Slur Atlas 3, line 4", Detail: "♩=84"}}, Foot: "rest",
		Choices: []studio.Choice{{Label: "Done", Text: "done"}},
		Pictures: []studio.Picture{
			{Alt: "tempo", Tempo: &studio.TempoPicture{Title: "line 4", Goal: quarter(96), Points: []studio.TempoPoint{{Date: monday, Tempo: quarter(84), Outcome: routine.Clean}}}},
			{Alt: "days", Calendar: &studio.CalendarPicture{Title: "March", From: monday, Weeks: 1, Rows: []studio.CalendarRow{{Name: "Wim", Days: []streaks.Kind{streaks.Kept}, Weeks: []bool{true}}}}},
		},
		NotBefore: at(60),
	}
}

func testPosts(t *testing.T, s *store) {
	notFound(s, "next post", func(tx studio.Tx) error { _, err := tx.NextPost("room"); return err })
	held, soon := fullPost(), receipt("receipt/1", square)
	elsewhere := receipt("receipt/2", studio.Address{Platform: "discord", Channel: "9"})
	s.queues(held, soon, elsewhere)
	s.update(func(tx studio.Tx) error {
		again := soon
		again.Text = "other"
		isNew, err := tx.Queue(again, at(9))
		equal(t, "a post queued again is new", isNew, false)
		return err
	})
	next := func(tx studio.Tx) (time.Time, error) { return tx.NextPost("room") }
	equal(t, "next post", get(s, next), at(1))
	equal(t, "due before it was queued", s.duePosts("room", at(0), 9), nil)
	due := s.duePosts("room", at(60), 9)
	equal(t, "due at the end of the hold", due, []studio.Queued{
		{Post: soon, Outbox: due[0].Outbox, QueuedAt: at(1)}, {Post: held, Outbox: due[1].Outbox, QueuedAt: at(0)},
	})
	equal(t, "due during the hold", s.duePosts("room", at(59), 9), due[:1])
	equal(t, "due, one at most", s.duePosts("room", at(60), 1), due[:1])
	equal(t, "due, none at most", s.duePosts("room", at(60), 0), nil)
	equal(t, "due elsewhere", s.duePosts("discord", at(60), 9)[0].Post, elsewhere)

	sent := func(outbox int64, id string, when time.Time) {
		s.update(func(tx studio.Tx) error { return tx.PostSent(outbox, id, when) })
	}
	sent(due[0].Outbox, "p1", at(2))
	sent(due[0].Outbox, "p1 again", at(8))
	equal(t, "due after one was sent", s.duePosts("room", at(60), 9), due[1:])
	equal(t, "next post after one was sent", get(s, next), at(60))
	known := get(s, func(tx studio.Tx) (studio.Queued, error) { return tx.PostKnownAs("room", "p1") })
	equal(t, "time of sending", known.SentAt, at(2))
	equal(t, "next post elsewhere", get(s, func(tx studio.Tx) (time.Time, error) { return tx.NextPost("discord") }), at(2))
	sent(s.duePosts("discord", at(60), 9)[0].Outbox, "x", at(3))
	equal(t, "next post with only the held one left", get(s, next), at(60))
	err := s.refuses("sending no post", func(tx studio.Tx) error { return tx.PostSent(4711, "p", noon) })
	if !errors.Is(err, studio.ErrNotFound) {
		t.Errorf("sending no post: got %v, want ErrNotFound", err)
	}
}

func testFailedPosts(t *testing.T, s *store) {
	s.queues(receipt("receipt/1", square))
	due := s.duePosts("room", at(0), 9)
	fail := func(next time.Time, reason string, giveUp bool) {
		s.update(func(tx studio.Tx) error { return tx.PostFailed(due[0].Outbox, next, reason, giveUp) })
	}
	fail(at(10), "no network", false)
	equal(t, "due before the next attempt", s.duePosts("room", at(9), 9), nil)
	due[0].Attempts = 1
	equal(t, "due for the next attempt", s.duePosts("room", at(10), 9), due)
	equal(t, "next post", get(s, func(tx studio.Tx) (time.Time, error) { return tx.NextPost("room") }), at(10))
	s.update(func(tx studio.Tx) error { return tx.HastenPosts(at(10), at(3)) })
	equal(t, "due before what is not hastened", s.duePosts("room", at(9), 9), nil)
	s.update(func(tx studio.Tx) error { return tx.HastenPosts(at(9), at(3)) })
	equal(t, "due once hastened", s.duePosts("room", at(3), 9), due)
	fail(at(20), "", true)
	equal(t, "due after giving up", s.duePosts("room", at(999), 9), nil)
	notFound(s, "next post", func(tx studio.Tx) error { _, err := tx.NextPost("room"); return err })
	s.update(func(tx studio.Tx) error {
		isNew, err := tx.Queue(due[0].Post, at(30))
		equal(t, "a post given up is new when queued again", isNew, false)
		return err
	})
	err := s.refuses("failing no post", func(tx studio.Tx) error { return tx.PostFailed(4711, noon, "x", false) })
	if !errors.Is(err, studio.ErrNotFound) {
		t.Errorf("failing no post: got %v, want ErrNotFound", err)
	}
}

// testTurns has one studio queue many posts before another queues one.
func testTurns(t *testing.T, s *store) {
	post := func(kind studio.PostKind, st studio.StudioID, to string, n int) studio.Post {
		return studio.Post{
			Key: studio.Key(fmt.Sprint(kind, st, to, n)), Kind: kind, Studio: st,
			To: studio.Address{Platform: "room", Account: to}, Text: fmt.Sprint(kind, " ", st, " ", to, " ", n),
		}
	}
	order := func() (all []string) {
		for _, p := range s.duePosts("room", at(60), 99) {
			all = append(all, p.Text)
		}
		return all
	}
	s.queues(
		post(studio.RoutinePost, harbour, "wim", 1), post(studio.RoutinePost, harbour, "tove", 2), post(studio.RoutinePost, harbour, "ola", 3),
		post(studio.RoutinePost, "quay", "ada", 1), post(studio.ReceiptPost, harbour, "wim", 4), post(studio.ReceiptPost, "quay", "bo", 2),
	)
	equal(t, "order", order(), []string{
		"receipt quay bo 2", "routine harbour-row wim 1", "routine quay ada 1", "receipt harbour-row wim 4", "routine harbour-row tove 2", "routine harbour-row ola 3",
	})
	due := s.duePosts("room", at(60), 99)
	s.update(func(tx studio.Tx) error { return tx.PostSent(due[4].Outbox, "p5", at(1)) })
	s.queues(post(studio.RoutinePost, "pier", "kai", 1))
	equal(t, "order after the second turn began", order(), []string{
		"receipt quay bo 2", "routine harbour-row wim 1", "routine quay ada 1", "receipt harbour-row wim 4", "routine pier kai 1", "routine harbour-row ola 3",
	})
}

func testPostKnownAs(t *testing.T, s *store) {
	s.queues(receipt("receipt/1", square), receipt("receipt/2", square))
	due := s.duePosts("room", at(60), 9)
	s.update(func(tx studio.Tx) error { return tx.PostSent(due[0].Outbox, "p1", at(2)) })
	s.update(func(tx studio.Tx) error { return tx.PostSent(due[1].Outbox, "", at(2)) })
	known := func(p studio.Platform, id string) func(tx studio.Tx) error {
		return func(tx studio.Tx) error { _, err := tx.PostKnownAs(p, id); return err }
	}
	want := due[0]
	want.SentAt, want.PlatformID = at(2), "p1"
	equal(t, "post", get(s, func(tx studio.Tx) (studio.Queued, error) { return tx.PostKnownAs("room", "p1") }), want)
	notFound(s, "post by another id", known("room", "p2"))
	notFound(s, "post by no id", known("room", ""))
	notFound(s, "post by the id on another platform", known("discord", "p1"))
}

func testCounts(t *testing.T, s *store) {
	counts := func(tx studio.Tx) (studio.Counts, error) { return tx.Counts() }
	equal(t, "number of kinds sent at first", len(get(s, counts).Sent), 0)
	m := written("m1", "done", noon)
	s.stores(m, written("m2", "rest", noon), edited(m, "1", "done 30", at(1)))
	s.queues(receipt("receipt/1", square), receipt("receipt/2", square), fullPost(), receipt("receipt/3", square), receipt("receipt/4", square))
	due, unread := s.duePosts("room", at(60), 9), s.unread(9)
	s.update(func(tx studio.Tx) error {
		return errors.Join(
			tx.Judge(unread[1].Inbox, studio.Logged),
			tx.PostSent(due[0].Outbox, "p1", at(60)), tx.PostSent(due[1].Outbox, "p2", at(60)), tx.PostSent(due[2].Outbox, "p3", at(60)),
			tx.PostFailed(due[3].Outbox, at(60), "gone", true), tx.PostFailed(due[4].Outbox, at(60), "no network", false),
		)
	})
	equal(t, "counts", get(s, counts), studio.Counts{
		Messages: 3, Unread: 2, Sent: map[studio.PostKind]int{studio.ReceiptPost: 3}, Waiting: 1, GivenUp: 1,
	})
}
