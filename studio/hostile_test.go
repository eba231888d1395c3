package studio_test

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

// TestHostileMessages writes what nobody would: each must be dealt with in no
// time, with a handful of posts and questions at most.
func TestHostileMessages(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	for name, text := range map[string]string{
		"endless items":      strings.Repeat("1 96 clean, ", 2000),
		"endless doubts":     strings.Repeat("1 96 or 92, ", 2000),
		"all kinds of doubt": strings.Repeat("1 96 or 92? 2 hm, 7 foo, ", 1000),
		"one number":         strings.Repeat("9", 100_000),
		"numbers":            strings.Repeat("1 ", 20_000),
		"ranges":             strings.Repeat("1-9999999 clean ", 2000),
		"nesting":            strings.Repeat("(", 20_000) + strings.Repeat(")", 20_000),
		"accents":            "1 " + strings.Repeat("e\u0301\u0302\u0303", 5000),
		"nothing visible":    strings.Repeat("\u200b\u202e", 5000),
		"no letters":         strings.Repeat("\xff\xfe", 8000),
		"null":               strings.Repeat("\x00", 16_000),
		"lines":              strings.Repeat("\n", 16_000),
		"command":            "/progress " + strings.Repeat("x/", 8000),
		"arguments":          "/" + strings.Repeat("week ", 3000),
		"markup":             strings.Repeat("@everyone <script>alert(1)</script> ", 400),
		"formulas":           strings.Repeat("=cmd|' /C calc'!A0 ", 800),
	} {
		t.Run(name, func(t *testing.T) {
			before := len(s.chat.posts)
			questions := len(s.openQuestions("ada"))
			began := time.Now()
			s.says("ada", text)
			if took := time.Since(began); took > 3*time.Second {
				t.Errorf("took %v", took)
			}
			if n := len(s.chat.posts) - before; n > 12 {
				t.Errorf("%d posts in answer to one message", n)
			}
			if n := len(s.openQuestions("ada")) - questions; n > 10 {
				t.Errorf("%d questions about one message", n)
			}
			for _, p := range s.chat.posts[before:] {
				if n := len(p.Text); n > 20_000 {
					t.Errorf("an answer of %d bytes", n)
				}
			}
		})
	}
}

func (s *stage) openQuestions(who studio.MemberID) (open []studio.Question) {
	s.view(func(tx studio.Tx) (err error) { open, err = tx.OpenQuestions(who); return err })
	return open
}

// TestManyEdits edits one message again and again, as fast as the store takes it:
// the last text counts, once, and the last edit is read about as fast as the
// first. LEDGERLINE_EDITS=10000 for more.
func TestManyEdits(t *testing.T) {
	edits := 1000
	if n, err := strconv.Atoi(os.Getenv("LEDGERLINE_EDITS")); err == nil {
		edits = n
	}
	s := newStage(t)
	s.at("2026-03-02 07:00")
	m := s.says("ada", "1 60 clean")
	m.Happening = studio.Edited
	edited := func(i int) studio.Message {
		m.Revision, m.Text = fmt.Sprint(i), fmt.Sprintf("1 %d clean", 60+i%30)
		return m
	}
	oneByOne := func(from, to int) time.Duration {
		began := time.Now()
		for i := from; i < to; i++ {
			s.happens(edited(i))
		}
		return time.Since(began) / time.Duration(to-from)
	}
	first := oneByOne(0, 50)
	err := s.store.Update(t.Context(), func(tx studio.Tx) (err error) {
		for i := 50; i < edits-50 && err == nil; i++ {
			_, err = tx.StoreMessage(edited(i))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	s.work()
	overtaken := time.Since(began) / time.Duration(edits-100)
	last := oneByOne(edits-50, edits)
	s.wantEntries("ada", march(2), fmt.Sprintf("1 clean quarter=%d", 60+(edits-1)%30))
	t.Logf("an edit took %v at first, %v while overtaken, %v after %d", first, overtaken, last, edits)
	if last > 10*first+100*time.Millisecond {
		t.Errorf("an edit takes %v after %d, and took %v at first", last, edits, first)
	}
}
