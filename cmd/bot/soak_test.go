package main

import (
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

// soakVariable asks for the soak, and says for how many days: 365 for a year,
// which takes a quarter of an hour.
const soakVariable = "LEDGERLINE_SOAK"

// A soak is the life of a studio of forty students at full speed, on one file.
type soak struct {
	t       *testing.T
	house   *house
	file    string
	now     time.Time
	random  *rand.Rand
	pupils  []studio.Member
	teacher studio.Account
	serial  int
	took    []time.Duration // of each reply of the day, from its arrival to the receipt sent
}

// TestSoak lets forty students practise and answer day after day, edit and ask;
// the teacher reads her digests and looks at students. Memory and goroutines must
// stay what they were, and a reply at the end must be dealt with about as fast as
// one at the beginning.
func TestSoak(t *testing.T) {
	days, err := strconv.Atoi(os.Getenv(soakVariable))
	if err != nil {
		t.Skipf("a simulated year takes a while; set %s=365 for it", soakVariable)
	}
	s := newSoak(t)
	var first, last []time.Duration
	var heap []uint64
	goroutines := 0
	for day := range days {
		s.took = nil
		s.day(day)
		switch {
		case day >= 7 && day < 35:
			first = append(first, s.took...)
		case day >= days-28:
			last = append(last, s.took...)
		}
		if day%28 != 27 {
			continue
		}
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		heap = append(heap, m.HeapAlloc)
		if day == 27 {
			goroutines = runtime.NumGoroutine()
		}
		t.Logf("day %3d: heap %5.1f MB, file %6.1f MB, %d goroutines, a reply %v (median), %v (99 %%)",
			day+1, float64(m.HeapAlloc)/1e6, float64(s.size())/1e6, runtime.NumGoroutine(), rank(s.took, 50), rank(s.took, 99))
	}
	if n := runtime.NumGoroutine(); n > goroutines+2 {
		t.Errorf("%d goroutines after four weeks, %d at the end", goroutines, n)
	}
	if len(heap) > 1 && heap[len(heap)-1] > 2*heap[0]+10<<20 {
		t.Errorf("the heap had %d bytes after four weeks and has %d at the end", heap[0], heap[len(heap)-1])
	}
	ratio := float64(rank(last, 50)) / float64(rank(first, 50))
	t.Logf("%d days, %d students: a reply took %v at first and %v at the end (medians), a ratio of %.2f; %v and %v (99 %%); the file has %.1f MB, %.1f kB for each student and day",
		days, len(s.pupils), rank(first, 50), rank(last, 50), ratio, rank(first, 99), rank(last, 99),
		float64(s.size())/1e6, float64(s.size())/1e3/float64(days*len(s.pupils)))
	if ratio > 3 {
		t.Errorf("a reply takes %.1f times as long at the end", ratio)
	}
	s.checkNothingIsLeft()
}

// newSoak makes a studio of forty out of the students of the demo.
func newSoak(t *testing.T) *soak {
	t.Helper()
	roster, books, wrong := readFolder(harbour.Files, "harbour")
	if len(wrong) > 0 {
		t.Fatal(wrong)
	}
	s := &soak{t: t, file: filepath.Join(t.TempDir(), "soak.db"), now: harbour.Begin, random: rand.New(rand.NewPCG(1, 1)), teacher: roster.Members[0].Accounts[0]}
	var models []studio.Member
	forty := []studio.Member{roster.Members[0]}
	plans := map[studio.MemberID]routine.Plan{}
	for _, m := range roster.Members {
		if m.Role == studio.Student {
			models = append(models, m)
		}
	}
	for i := range 40 {
		m := models[i%len(models)]
		plan := roster.Plans[m.ID]
		m.ID, m.Name, m.Zone, m.Age = studio.MemberID(fmt.Sprint("s", i)), fmt.Sprint("Student", i), roster.Studio.Zone, studio.Adult
		m.Accounts = []studio.Account{{Platform: "room", ID: string(m.ID)}}
		m.PostAt, m.RemindAt = "", ""
		forty, plans[m.ID], s.pupils = append(forty, m), plan, append(s.pupils, m)
	}
	roster.Members, roster.Plans, roster.Studio.Threads = forty, plans, nil
	var err error
	s.house, err = build(t.Context(), blueprint{
		database: s.file, books: map[studio.StudioID]*routine.Catalogue{roster.Studio.ID: books},
		now: func() time.Time { return s.now }, log: slog.New(slog.DiscardHandler), keep: 90 * 24 * time.Hour,
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.house.store.Close() })
	if err := s.house.apply(t.Context(), []studio.Roster{roster}); err != nil {
		t.Fatal(err)
	}
	return s
}

// day lets one day go by.
func (s *soak) day(day int) {
	s.at(day, 7, 1)
	for i := range s.pupils {
		if s.random.Float64() < 0.85 {
			s.at(day, 10, i)
			s.reply(&s.pupils[i])
		}
	}
	s.at(day, 18, 31) // the digest, on Sundays, and reminders
	if day%7 == 2 {
		s.says(s.teacher, studio.Written, "", "student "+s.pupils[day%len(s.pupils)].Name)
		s.says(s.teacher, studio.Written, "", "digest")
	}
	s.at(day, 23, 0)
}

// at moves the clock, and has done what falls due.
func (s *soak) at(day, hour, minute int) {
	s.now = harbour.Begin.AddDate(0, 0, day).Add(time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute)
	s.work()
}

func (s *soak) work() {
	s.t.Helper()
	if err := s.house.service.Work(context.Background()); err != nil {
		s.t.Fatal(err)
	}
}

// reply answers a student's routine, now and then unclearly, and edits one reply
// in twenty.
func (s *soak) reply(m *studio.Member) {
	texts := []string{
		"1 96 clean, 2 skip, rest done 40m", "all done", "done 35", "1 clean, 2 shaky, 3 missed", "1-3 clean, rest shaky 45m",
		"rest", "1 84->92 shaky tired, 2 clean", "1 96 or 92", "yesterday: done 30", "2 72 clean, rest skip 20m",
	}
	began := time.Now()
	id := s.says(m.Accounts[0], studio.Written, "", texts[s.random.IntN(len(texts))])
	s.took = append(s.took, time.Since(began))
	if s.random.IntN(20) == 0 {
		s.says(m.Accounts[0], studio.Edited, id, "1 92 clean, rest done")
	}
}

// says has somebody write or edit a message, which is dealt with at once.
func (s *soak) says(who studio.Account, what studio.Happening, id, text string) string {
	s.t.Helper()
	s.serial++
	revision := ""
	if what == studio.Edited {
		revision = strconv.Itoa(s.serial)
	} else {
		id = fmt.Sprint("soak-", s.serial)
	}
	err := s.house.service.Receive(context.Background(), studio.Message{
		Platform: who.Platform, ID: id, Happening: what, Revision: revision, Author: who, Private: true, Text: text, At: s.now,
	})
	if err != nil {
		s.t.Fatal(err)
	}
	s.work()
	return id
}

// size returns the bytes of the database's files.
func (s *soak) size() (n int64) {
	for _, name := range []string{s.file, s.file + "-wal"} {
		if info, err := os.Stat(name); err == nil {
			n += info.Size()
		}
	}
	return n
}

func (s *soak) checkNothingIsLeft() {
	s.t.Helper()
	err := s.house.store.View(context.Background(), func(tx studio.Tx) error {
		n, err := tx.Counts()
		if n.Unread+n.Waiting+n.GivenUp > 0 {
			s.t.Errorf("%d messages unread, %d posts waiting, %d given up", n.Unread, n.Waiting, n.GivenUp)
		}
		s.t.Logf("%d happenings kept, posts kept by kind: %v", n.Messages, n.Sent)
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
}

// rank returns the duration below which a share of all lies, in percent.
func rank(all []time.Duration, percent int) time.Duration {
	if len(all) == 0 {
		return 0
	}
	sorted := slices.Clone(all)
	slices.Sort(sorted)
	return sorted[min(len(sorted)-1, len(sorted)*percent/100)].Round(10 * time.Microsecond)
}
