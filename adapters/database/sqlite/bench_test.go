package sqlite

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

const (
	benchStudents = 10
	benchLines    = 70 // of each student, five a day
)

var benchLine = studio.Address{Platform: "room", Account: "student-0"}

func benchStudent(n int) studio.MemberID { return studio.MemberID(fmt.Sprint("student-", n)) }

func benchKey(day, item int) routine.StandingKey {
	n := (5*day + item) % benchLines
	return routine.StandingKey{Line: routine.LineRef{Book: "slur-atlas", Study: 1 + n/10, Line: 1 + n%10}, Pass: 1}
}

// receive stores a student's reply of one day.
func receive(tx studio.Tx, student studio.MemberID, day int) error {
	id := fmt.Sprint(student, "/", day)
	_, err := tx.StoreMessage(studio.Message{
		Platform: "room", ID: id, Happening: studio.Written, Author: studio.Account{Platform: "room", ID: string(student)},
		Channel: "@" + string(student), Private: true, Text: "1 96 clean, 2 skip, 3 shaky, rest done 40m", At: benchTime(day),
	})
	return err
}

func benchTime(day int) time.Time { return time.Unix(int64(day)*86400+68_400, 0) }

// read reads the oldest reply into the log, as the studio does: five entries,
// five standings, the streak and a receipt.
func read(tx studio.Tx, day int) error {
	unread, err := tx.UnreadMessages(1)
	if err != nil {
		return err
	}
	msg := unread[0]
	members, err := tx.MembersWith(msg.Author)
	if err != nil {
		return err
	}
	who := members[0].ID
	date := routine.Date(day)
	r := studio.Report{Member: who, Inbox: msg.Inbox, At: msg.At, Day: routine.DayReport{Date: date, Played: true, Minutes: 40}}
	for item := range 5 {
		k := benchKey(day, item)
		standing, err := tx.Standing(who, k)
		if err != nil {
			return err
		}
		standing.State, standing.Last, standing.Plays = routine.Working, date, standing.Plays+1
		if err := tx.PutStanding(who, k, standing); err != nil {
			return err
		}
		r.Entries = append(r.Entries, routine.Entry{
			Date: date, Item: item + 1, Lines: []routine.LineRef{k.Line}, Pass: 1,
			Outcome: routine.Clean, To: routine.Tempo{BPM: 96, Note: routine.Quarter}, Minutes: 8,
		})
	}
	if err := tx.AppendReport(&r); err != nil {
		return err
	}
	streak, err := tx.Streak(who)
	if err != nil {
		return err
	}
	streak.Through, streak.Current = date, streak.Current+1
	if err := tx.PutStreak(who, streak); err != nil {
		return err
	}
	_, err = tx.Queue(studio.Post{
		Key: studio.Key(fmt.Sprint("receipt/", msg.Inbox)), Kind: studio.ReceiptPost, Studio: "harbour-row", Member: who,
		To: studio.Address{Platform: "room", Account: string(who)}, ReplyTo: msg.ID, Text: "Logged: 40 minutes, 5 items. 12 days in a row.",
	}, msg.At)
	return errors.Join(err, tx.Judge(msg.Inbox, studio.Logged))
}

// sendAll records that what was queued was sent.
func sendAll(tx studio.Tx, day int) error {
	due, err := tx.DuePosts("room", benchTime(day), 1000)
	for _, p := range due {
		err = errors.Join(err, tx.PostSent(p.Outbox, fmt.Sprint("p", p.Outbox), benchTime(day)))
	}
	return err
}

// A history is a file in which ten students have replied every day.
type history struct {
	store *Store
	days  int
}

// fill makes the file.
func (h *history) fill(b *testing.B) {
	b.Helper()
	h.store = openFile(b, filepath.Join(b.TempDir(), "studio.db"))
	must(b, h.store, settle)
	must(b, h.store, putStudents)
	for day := range h.days {
		must(b, h.store, func(tx studio.Tx) error {
			for n := range benchStudents {
				if err := errors.Join(receive(tx, benchStudent(n), day), read(tx, day)); err != nil {
					return err
				}
			}
			return sendAll(tx, day)
		})
	}
}

func putStudents(tx studio.Tx) (err error) {
	for n := range benchStudents {
		id := benchStudent(n)
		err = errors.Join(err, tx.PutMember(studio.Member{
			ID: id, Studio: "harbour-row", Name: string(id), Role: studio.Student,
			Accounts: []studio.Account{{Platform: "room", ID: string(id)}},
		}))
	}
	return err
}

func must(b *testing.B, s *Store, fn func(tx studio.Tx) error) {
	b.Helper()
	if err := s.Update(b.Context(), fn); err != nil {
		b.Fatal(err)
	}
}

// view measures a View.
func view(b *testing.B, s *Store, fn func(tx studio.Tx) error) {
	b.Helper()
	b.ReportAllocs()
	for b.Loop() {
		if err := s.View(b.Context(), fn); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkHistory asks the frequent questions, and takes replies from their
// arrival to the receipt in the outbox, on a file of a month and on one of ten
// years.
func BenchmarkHistory(b *testing.B) {
	month, years := &history{days: 30}, &history{days: 3652}
	month.fill(b)
	years.fill(b)
	b.Run("month", month.bench)
	b.Run("ten years", years.bench)
	b.Run("ten years against a month", func(b *testing.B) { compare(b, month, years) })
}

// compare takes a reply on either file in turn, so that both suffer alike from
// what else the machine does, and reports the ratio of the medians.
func compare(b *testing.B, month, years *history) {
	var short, long []time.Duration
	for b.Loop() {
		short = append(short, month.reply(b))
		long = append(long, years.reply(b))
	}
	slices.Sort(short)
	slices.Sort(long)
	m, y := short[len(short)/2], long[len(long)/2]
	b.ReportMetric(float64(m.Microseconds()), "µs/month")
	b.ReportMetric(float64(y.Microseconds()), "µs/ten-years")
	b.ReportMetric(float64(y)/float64(m), "ratio")
}

func (h *history) bench(b *testing.B) {
	b.Run("reply", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			h.reply(b)
		}
	})
	must(b, h.store, func(tx studio.Tx) error { return sendAll(tx, h.days) })
	b.Run("due posts", func(b *testing.B) { benchDuePosts(b, h.store) })
	b.Run("unread", func(b *testing.B) {
		view(b, h.store, func(tx studio.Tx) error { _, err := tx.UnreadMessages(1); return err })
	})
	b.Run("reports of 30 days", func(b *testing.B) {
		view(b, h.store, func(tx studio.Tx) error { _, err := tx.Reports("student-0", 0, 29); return err })
	})
	b.Run("entries of a line", func(b *testing.B) {
		k := benchKey(0, 0)
		view(b, h.store, func(tx studio.Tx) error { _, err := tx.LineEntries("student-0", k.Line, k.Pass); return err })
	})
	b.Run("transcript of 50", func(b *testing.B) {
		view(b, h.store, func(tx studio.Tx) error { _, err := tx.Transcript(benchLine, 50); return err })
	})
}

// reply takes one reply and returns how long that took.
func (h *history) reply(b *testing.B) time.Duration {
	b.Helper()
	start := time.Now()
	must(b, h.store, func(tx studio.Tx) error { return receive(tx, benchStudent(h.days%benchStudents), h.days) })
	must(b, h.store, func(tx studio.Tx) error { return read(tx, h.days) })
	h.days++
	return time.Since(start)
}

// benchDuePosts looks for twenty posts that wait behind all that were sent.
func benchDuePosts(b *testing.B, s *Store) {
	const later = 1_000_000
	must(b, s, func(tx studio.Tx) (err error) {
		for n := range 20 {
			p := studio.Post{Key: studio.Key(fmt.Sprint("due/", n)), To: benchLine, Text: "Logged."}
			_, queueErr := tx.Queue(p, benchTime(later))
			err = errors.Join(err, queueErr)
		}
		return err
	})
	view(b, s, func(tx studio.Tx) error {
		due, err := tx.DuePosts("room", benchTime(later), 100)
		if len(due) != 20 {
			b.Fatalf("%d posts are due, want 20", len(due))
		}
		return err
	})
}

// BenchmarkUnreadMessages looks for the one unread message behind 100,000 that
// are read.
func BenchmarkUnreadMessages(b *testing.B) {
	s := openFile(b, filepath.Join(b.TempDir(), "studio.db"))
	must(b, s, func(tx studio.Tx) error {
		for n := range 100_001 {
			if err := receive(tx, "student-0", n); err != nil {
				return err
			}
			if n < 100_000 {
				if err := tx.Judge(int64(n+1), studio.Logged); err != nil {
					return err
				}
			}
		}
		return nil
	})
	view(b, s, func(tx studio.Tx) error {
		unread, err := tx.UnreadMessages(100)
		if len(unread) != 1 {
			b.Fatalf("%d messages are unread, want 1", len(unread))
		}
		return err
	})
}

// BenchmarkStandings reads how 500 lines of one student stand.
func BenchmarkStandings(b *testing.B) {
	s := openFile(b, filepath.Join(b.TempDir(), "studio.db"))
	must(b, s, settle)
	must(b, s, func(tx studio.Tx) (err error) {
		tempo := routine.Tempo{BPM: 96, Note: routine.Quarter}
		for n := range 500 {
			k := routine.StandingKey{Line: routine.LineRef{Book: "slur-atlas", Study: 1 + n/20, Line: 1 + n%20}, Pass: 1}
			err = errors.Join(err, tx.PutStanding("wim", k, routine.Standing{
				State: routine.Passed, Mark: tempo, Best: tempo, Last: day, LastOutcome: routine.Clean, Plays: 12,
				CleanDays: 3, LastClean: day, PassedOn: day, Review: 2, Due: day + 16,
			}))
		}
		return err
	})
	view(b, s, func(tx studio.Tx) error {
		all, err := tx.Standings("wim")
		if len(all) != 500 {
			b.Fatalf("%d standings, want 500", len(all))
		}
		return err
	})
}

// BenchmarkUpdate makes the smallest update; most of it is the flush to disk.
func BenchmarkUpdate(b *testing.B) {
	s := openFile(b, filepath.Join(b.TempDir(), "studio.db"))
	must(b, s, settle)
	b.ReportAllocs()
	for n := 0; b.Loop(); n++ { // SQLite does not write what is the same
		must(b, s, func(tx studio.Tx) error { return tx.PutStreak("wim", streaks.State{Current: n}) })
	}
}
