package studio_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgerline/studio"
)

// in has somebody write in a channel or thread.
func (s *stage) in(channel, parent, who, text string, toUs bool) {
	s.t.Helper()
	s.serial++
	s.happens(studio.Message{
		Platform: "room", ID: fmt.Sprintf("m%d", s.serial), Happening: studio.Written,
		Author: studio.Account{Platform: "room", ID: who}, Channel: channel, Parent: parent,
		Text: text, At: s.now, ToUs: toUs,
	})
}

// said returns the texts posted in a channel or thread.
func (s *stage) said(channel string) (all []string) {
	for _, p := range s.chat.posts {
		if p.To.Channel == channel {
			all = append(all, p.Title+"\n"+p.Text)
		}
	}
	return all
}

func TestWordsToUsInAChannel(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.in("studio", "", "ada", "1 60 clean", false)
	s.wantEntries("ada", march(2))
	s.in("studio", "", "ada", "1 60 clean", true)
	s.wantEntries("ada", march(2), "1 clean quarter=60")
	s.wantLast("ada", "1 clean")
	s.in("talk", "studio", "ada", "2 skip", true) // in a thread of the channel
	s.wantEntries("ada", march(2), "1 clean quarter=60", "2 skipped")
	s.in("talk", "quay", "ada", "2 60 clean", true) // in one that is nobody's
	s.wantEntries("ada", march(2), "1 clean quarter=60", "2 skipped")
	s.in("studio", "", "odile", "minutes Ada 25", true)
	s.wantLast("odile", "Ada now has 25 minutes")
	s.in("studio", "", "odile", "minutes are long", false) // to the others
	s.wantLast("odile", "Ada now has 25 minutes")
	if said := s.said("studio"); said != nil {
		t.Errorf("said in the channel: %q, want nothing about a person there", said)
	}
}

func TestStudentsOwnThread(t *testing.T) {
	s := newStage(t)
	s.in("studio", "", "odile", "/thread Ada", false)
	s.wantLast("odile", "thread that is nobody else's")
	s.in("talk", "studio", "odile", "/thread Ada", false)
	s.wantLast("odile", "write to Ada in that thread")
	s.at("2026-03-02 07:00")
	if said := s.said("talk"); len(said) != 1 || !strings.Contains(said[0], "2 March") {
		t.Fatalf("said in the thread: %q, want the routine", said)
	}
	s.in("talk", "", "ada", "1 60 clean", false)
	s.wantEntries("ada", march(2), "1 clean quarter=60")
	s.in("talk", "", "odile", "well done, 2 next time", false)
	if said := s.said("talk"); len(said) != 2 || !strings.Contains(said[1], "1 clean") {
		t.Errorf("said in the thread: %q, want the receipt after the routine", said)
	}
	s.in("talk", "", "ada", "my lip hurts", false)
	s.wantLast("ada", "licensed health professional")
	if said := s.said("talk"); len(said) != 2 {
		t.Errorf("said in the thread: %q, want nothing about her health", said[2:])
	}
	s.says("odile", "thread Ada")
	s.at("2026-03-03 07:00")
	if said := s.said("talk"); len(said) != 2 {
		t.Errorf("said in the thread after it was given back: %q", said[2:])
	}
	if !slices.ContainsFunc(s.posts("ada", studio.RoutinePost), func(p studio.Post) bool { return strings.Contains(p.Title, "3 March") }) {
		t.Error("no routine on her private line after the thread was given back")
	}
}

func TestThreadOutlivesTheFiles(t *testing.T) {
	s := newStage(t)
	s.in("talk", "studio", "odile", "/thread Ada", false)
	s.view(func(tx studio.Tx) error {
		st, err := tx.Studio("harbour")
		if at, ok := st.ThreadOf("ada"); err != nil || !ok || at.Channel != "talk" {
			t.Errorf("Ada's thread is %v, %v", at, err)
		}
		return nil
	})
	s.in("talk", "studio", "odile", "/thread Mina", false)
	s.wantLast("odile", "nobody else's")
}
