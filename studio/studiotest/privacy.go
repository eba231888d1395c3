package studiotest

import (
	"errors"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

func testDeeds(t *testing.T, s *store) {
	s.update(settle)
	deeds := func(limit int) []studio.Deed {
		return get(s, func(tx studio.Tx) ([]studio.Deed, error) { return tx.Deeds(harbour, limit) })
	}
	equal(t, "no deeds", deeds(9), nil)
	var done []studio.Deed
	for i, command := range []string{"minutes", "tell", "pause"} {
		d := studio.Deed{Studio: harbour, Member: odile, Role: studio.Teacher, At: at(i), Command: command, Words: "Wim"}
		s.update(func(tx studio.Tx) error { return tx.PutDeed(&d) })
		done = append(done, d)
	}
	equal(t, "deeds", deeds(9), done)
	equal(t, "last deeds", deeds(2), done[1:])
	equal(t, "no deeds at most", deeds(0), nil)
	done[1].Words = ""
	s.update(func(tx studio.Tx) error { return tx.PutDeed(&done[1]) })
	equal(t, "deeds after one was reworded", deeds(9), done)
	s.refuses("a deed with an ID never given", func(tx studio.Tx) error { return tx.PutDeed(&studio.Deed{ID: 4711, Studio: harbour}) })
	s.refuses("a deed in no studio", func(tx studio.Tx) error { return tx.PutDeed(&studio.Deed{Studio: "nowhere"}) })
}

func testMarksByPrefix(t *testing.T, s *store) {
	s.update(func(tx studio.Tx) error {
		return errors.Join(tx.PutMark("wish/wim/1", "a"), tx.PutMark("wish/wim/2", "b"), tx.PutMark("wish/wimke/1", "c"), tx.PutMark("wisp", "d"))
	})
	marks := func(prefix string) map[string]string {
		return get(s, func(tx studio.Tx) (map[string]string, error) { return tx.Marks(prefix) })
	}
	equal(t, "marks", marks("wish/wim/"), map[string]string{"wish/wim/1": "a", "wish/wim/2": "b"})
	equal(t, "marks of no name", marks("tide"), map[string]string{})
	s.update(func(tx studio.Tx) error { return errors.Join(tx.RemoveMark("wish/wim/1"), tx.RemoveMark("tide")) })
	equal(t, "marks after one went", marks("wish/wim/"), map[string]string{"wish/wim/2": "b"})
}

func testMessagesBy(t *testing.T, s *store) {
	s.update(settle)
	private := written("room/1", "help", at(2))
	private.Private = true
	s.stores(written("100", "1 clean", at(0)), edited(written("100", "", at(0)), "1", "1 shaky", at(1)), private)
	by := func(after int64, limit int) (texts []string) {
		all := get(s, func(tx studio.Tx) ([]studio.Stored, error) {
			return tx.MessagesBy(studio.Account{Platform: "room", ID: string(wim)}, after, limit)
		})
		for _, m := range all {
			texts = append(texts, m.Text)
		}
		return texts
	}
	equal(t, "messages of an account", by(0, 9), []string{"1 clean", "1 shaky", "help"})
	equal(t, "messages after the first", by(1, 1), []string{"1 shaky"})
	s.update(func(tx studio.Tx) error { return tx.RewordMessage(1, "reworded") })
	equal(t, "a reworded message", by(0, 1), []string{"reworded"})
	s.update(func(tx studio.Tx) error {
		return errors.Join(tx.RemoveMessage(1), tx.RemoveMessage(2), tx.RemoveMessage(3))
	})
	equal(t, "messages once removed", by(0, 9), nil)
	last := get(s, func(tx studio.Tx) (string, error) { return tx.LastNumbered("room", "square") })
	equal(t, "the last numbered message, removed", last, "100")
	left := get(s, func(tx studio.Tx) ([]studio.Stored, error) { return tx.Happenings("room", "100") })
	for _, m := range left {
		equal(t, "what is left of a message", m.Text+m.Author.ID+m.ReplyTo, "")
	}
	equal(t, "a private message that was removed", get(s, func(tx studio.Tx) ([]studio.Stored, error) { return tx.Happenings("room", "room/1") }), nil)
	for what, change := range map[string]func(studio.Tx) error{
		"rewording": func(tx studio.Tx) error { return tx.RewordMessage(4711, "") },
		"removing":  func(tx studio.Tx) error { return tx.RemoveMessage(4711) },
	} {
		if err := s.refuses(what+" no message", change); !errors.Is(err, studio.ErrNotFound) {
			t.Errorf("%s no message: got %v, want ErrNotFound", what, err)
		}
	}
}

func testPostsIn(t *testing.T, s *store) {
	s.queues(receipt("receipt/1", square), receipt("receipt/2", square))
	posts := func(after int64, limit int) []studio.Queued {
		return get(s, func(tx studio.Tx) ([]studio.Queued, error) { return tx.PostsIn(harbour, after, limit) })
	}
	all := posts(0, 9)
	equal(t, "posts", len(all), 2)
	equal(t, "posts after the first", posts(all[0].Outbox, 9), all[1:])
	s.update(func(tx studio.Tx) error {
		return tx.RewordPost(all[0].Outbox, studio.Post{Key: "other", Kind: studio.AlertPost, Studio: harbour, Text: "Erased."})
	})
	want := all[0]
	want.Post = studio.Post{Key: all[0].Key, Kind: all[0].Kind, Studio: harbour, To: square, Text: "Erased."}
	equal(t, "a reworded post", posts(0, 1), []studio.Queued{want})
	s.update(func(tx studio.Tx) error { return tx.RemovePost(all[1].Outbox) })
	equal(t, "posts after one was removed", len(posts(0, 9)), 1)
	s.update(func(tx studio.Tx) error {
		isNew, err := tx.Queue(all[1].Post, at(9))
		equal(t, "a removed post is new when queued again", isNew, true)
		return err
	})
	s.refuses("rewording no post", func(tx studio.Tx) error { return tx.RewordPost(4711, studio.Post{}) })
	s.refuses("removing no post", func(tx studio.Tx) error { return tx.RemovePost(4711) })
}

// testRemoveMember removes one of two students who have everything, and wants
// nothing left of her and all of the other.
func testRemoveMember(t *testing.T, s *store) {
	s.update(settle)
	s.stores(written("m1", "1 clean", noon), written("m2", "1 shaky", at(1)))
	for _, who := range []studio.MemberID{wim, tove} {
		first := report(1, monday, 1)
		first.Member = who
		s.appends(first)
		second := report(2, monday, 1)
		second.Member = who
		second.Entries[0].Supersedes = get(s, func(tx studio.Tx) (int64, error) {
			all, err := tx.Reports(who, monday, monday)
			return all[0].Entries[0].Seq, err
		})
		s.appends(second)
		key := routine.StandingKey{Line: slurs.Line(1), Pass: 1}
		s.update(func(tx studio.Tx) error {
			q := studio.Question{Studio: harbour, Member: who, Inbox: 1, AskedAt: noon, Raw: "1 hm"}
			p := receipt(studio.Key("receipt/"+who), square)
			p.Member = who
			_, err := tx.Queue(p, noon)
			return errors.Join(err, tx.PutQuestion(&q),
				tx.PutPlan(who, routine.Plan{}), tx.PutRoutine(who, routine.Routine{Date: monday, Number: 1}),
				tx.AppendAct(who, odile, &streaks.Act{Date: monday, Line: key.Line, Pass: 1, Kind: streaks.SignOff}),
				tx.PutStanding(who, key, routine.Standing{State: routine.Working}), tx.PutStreak(who, streaks.State{Through: monday}),
				tx.PutDue(studio.Due{Kind: studio.DueRoutine, Studio: harbour, Member: who, At: noon}))
		})
	}
	s.update(func(tx studio.Tx) error {
		_, err := tx.WithdrawReports(2, 2)
		return err
	})
	before := s.heldOf(tove)
	if before == (held{}) || s.heldOf(wim) == (held{}) {
		t.Fatal("there is nothing to remove")
	}
	s.refuses("removing a teacher who has acted", func(tx studio.Tx) error { return tx.RemoveMember(odile) })
	s.refuses("removing nobody", func(tx studio.Tx) error { return tx.RemoveMember("nobody") })
	s.update(func(tx studio.Tx) error { return tx.RemoveMember(wim) })
	equal(t, "what is left of her", s.heldOf(wim), held{})
	equal(t, "what is left of the other", s.heldOf(tove), before)
	notFound(s, "a removed member", func(tx studio.Tx) error { _, err := tx.Member(wim); return err })
	if err := s.Scrub(t.Context()); err != nil {
		t.Fatalf("scrubbing: %v", err)
	}
	equal(t, "what is left of the other, scrubbed", s.heldOf(tove), before)
}

// held counts what is kept of a member.
type held struct{ routines, reports, entries, acts, standings, questions, posts, due, accounts, streak int }

func (s *store) heldOf(m studio.MemberID) (h held) {
	s.t.Helper()
	err := s.View(s.t.Context(), func(tx studio.Tx) error {
		routines, err1 := tx.RoutinesOf(m)
		reports, err2 := tx.Reports(m, monday, monday)
		entries, err3 := tx.LineEntries(m, slurs.Line(1), 1)
		acts, err4 := tx.LineActs(m, slurs.Line(1), 1)
		standings, err5 := tx.Standings(m)
		questions, err6 := tx.OpenQuestions(m)
		posts, err7 := tx.PostsIn(harbour, 0, 99)
		due, err8 := tx.DueBy(at(9), 99)
		accounts, err9 := tx.MembersWith(studio.Account{Platform: "room", ID: string(m)})
		streak, err10 := tx.Streak(m)
		h = held{routines: len(routines), reports: len(reports), entries: len(entries), acts: len(acts),
			standings: len(standings), questions: len(questions), accounts: len(accounts), streak: int(streak.Through)}
		for _, p := range posts {
			if p.Member == m {
				h.posts++
			}
		}
		for _, d := range due {
			if d.Member == m {
				h.due++
			}
		}
		return errors.Join(err1, err2, err3, err4, err5, err6, err7, err8, err9, err10)
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return h
}

func testPurgeWords(t *testing.T, s *store) {
	s.update(settle)
	s.stores(written("m1", "old and read", at(0)), written("m2", "old and unread", at(0)), written("m3", "new and read", at(60)))
	s.queues(receipt("receipt/sent", square), receipt("receipt/waits", square), receipt("receipt/late", square))
	posts := s.duePosts("room", at(60), 9)
	asked := studio.Question{Studio: harbour, Member: wim, Inbox: 1, Raw: "2 hm", AskedAt: at(0), Closed: true}
	s.update(func(tx studio.Tx) error {
		return errors.Join(tx.Judge(1, studio.Logged), tx.Judge(3, studio.Logged), tx.PutQuestion(&asked),
			tx.PostSent(posts[0].Outbox, "p0", at(1)), tx.PostSent(posts[2].Outbox, "p2", at(60)))
	})
	purged := 0
	s.update(func(tx studio.Tx) (err error) { purged, err = tx.PurgeWords(at(30)); return err })
	equal(t, "purged", purged, 2)
	for inbox, want := range map[int64]string{1: "", 2: "old and unread", 3: "new and read"} {
		m := get(s, func(tx studio.Tx) (studio.Stored, error) { return tx.MessageAt(inbox) })
		equal(t, "text of message "+m.ID, m.Text, want)
	}
	notFound(s, "an old post", func(tx studio.Tx) error { _, err := tx.PostKnownAs("room", "p0"); return err })
	equal(t, "a new post", get(s, func(tx studio.Tx) (studio.Queued, error) { return tx.PostKnownAs("room", "p2") }).Key, "receipt/late")
	equal(t, "posts that wait", len(s.duePosts("room", at(99), 9)), 1)
	s.stores(written("m4", "after the purge", at(61)))
	s.update(func(tx studio.Tx) error {
		isNew, err := tx.StoreMessage(written("m1", "old and read", at(0)))
		equal(t, "a purged message told again is new", isNew, false)
		return err
	})
}

func testBacklog(t *testing.T, s *store) {
	s.update(settle)
	backlog := func(when time.Time) studio.Backlog {
		return get(s, func(tx studio.Tx) (studio.Backlog, error) { return tx.Backlog(when) })
	}
	if b := backlog(at(0)); b.Unread != 0 || len(b.Queues) != 0 {
		t.Errorf("backlog of nothing: %+v", b)
	}
	s.stores(written("m1", "1 clean", noon), written("m2", "2 clean", at(1)))
	s.update(func(tx studio.Tx) error { return tx.Judge(1, studio.Logged) })
	later := receipt("receipt/later", square)
	later.NotBefore = at(50)
	elsewhere := receipt("receipt/elsewhere", studio.Address{Platform: "matrix", Channel: "!row:example.org"})
	s.queues(receipt("receipt/fails", square), receipt("receipt/sent", square), later, elsewhere)
	posts := s.duePosts("room", at(20), 9)
	s.update(func(tx studio.Tx) error {
		return errors.Join(tx.PostFailed(posts[0].Outbox, at(40), "no network", false), tx.PostSent(posts[1].Outbox, "p", at(20)))
	})
	b := backlog(at(30))
	if b.Unread != 1 || len(b.Queues) != 2 {
		t.Fatalf("backlog: %+v", b)
	}
	matrix, room := b.Queues[0], b.Queues[1]
	if matrix.Platform != "matrix" || matrix.Waiting != 1 || matrix.Failing != 0 {
		t.Errorf("a queue of one: %+v", matrix)
	}
	if room.Platform != "room" || room.Waiting != 1 || room.Failing != 1 || !room.Oldest.Equal(posts[0].QueuedAt) {
		t.Errorf("a queue with one that failed, one that waits for its time and one sent: %+v, want the oldest of %v", room, posts[0].QueuedAt)
	}
	if n := backlog(at(60)).Queues[1].Waiting; n != 2 {
		t.Errorf("%d wait once the time of one has come, want 2", n)
	}
}
