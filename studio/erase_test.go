package studio_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
	"ledgerline/studio/studiotest"
	"ledgerline/studio/words"
)

// files returns all that the store has on the disk, in lower case.
func (s *stage) files() []byte {
	s.t.Helper()
	var all []byte
	for _, name := range []string{s.file, s.file + "-wal"} {
		data, err := os.ReadFile(name)
		if err != nil && !os.IsNotExist(err) {
			s.t.Fatal(err)
		}
		all = append(all, bytes.ToLower(data)...)
	}
	return all
}

// lived returns a stage on which a student with an unmistakable name, account
// and way of writing has had a few weeks.
func lived(t *testing.T) *stage {
	t.Helper()
	r := studiotest.Roster()
	zed := studiotest.Member("zedekiah", studio.Student)
	zed.Name, zed.Accounts = "Zedekiah", []studio.Account{{Platform: "room", ID: "zedaccount77"}}
	r.Members = append(r.Members, zed)
	r.Members[3].Wards = append(r.Members[3].Wards, "zedekiah")
	r.Plans["zedekiah"] = r.Plans["ada"]
	s := stageOf(t, studiotest.Catalogue(), r)
	s.says("odile", "challenge team-days 12 teams 2 tell 2 For zedekiah")
	s.says("odile", "challenge minute-test 9 tell 2 A minute")
	s.says("zedaccount77", "/take-part A minute")
	for day := 2; day <= 9; day++ {
		s.at(march(day).String() + " 07:00")
		s.says("zedaccount77", "1 60 clean smooth like quicksilver, 2 hmpf")
		s.says("ada", "done 30")
		s.work()
	}
	s.says("zedaccount77", "stopped after 1, my lip hurts quicksilver")
	s.says("zedaccount77", "short 15")
	s.says("zedaccount77", "how do I tongue quicksilver faster?")
	for _, words := range []string{"minutes Zedekiah 60", "tell zedekiah quicksilver, not lead", "student Zedekiah", "invite Zedekiah", "digest"} {
		s.says("odile", words)
	}
	said := s.says("zedaccount77", "1 60 clean")
	err := s.store.Update(t.Context(), func(tx studio.Tx) error {
		all, err := tx.Happenings("room", said.ID)
		if err != nil {
			return err
		}
		for _, name := range []string{"interview/zedekiah", "room/line/zedaccount77", "room/password/zedekiah", "wish/zedekiah/2026-03-10"} {
			if err := tx.PutMark(name, `{"instrument":"quicksilver"}`); err != nil {
				return err
			}
		}
		return tx.PutSound(all[0].Inbox, "take", "zedekiah", []byte("RIFF quicksilver in a recording"))
	})
	if err != nil {
		t.Fatal(err)
	}
	s.says("petra", "week Zedekiah")
	s.says("ada", "progress")
	s.work()
	s.at("2026-03-15 18:00") // the digest of a week with her
	s.chat.fail = func(p studio.Post) error {
		if p.To.Account != "zedaccount77" {
			return nil
		}
		return &studio.SendError{Blocked: words.Plain("The line is closed."), Err: errors.New("closed")}
	}
	s.says("zedaccount77", "help")
	s.work()
	s.chat.fail = nil
	return s
}

// TestEraseLeavesNothing erases a student, by the service and by the teacher's
// command, and looks through every byte of the files for her name, her id, her
// account and her words. What is others' must still be there.
func TestEraseLeavesNothing(t *testing.T) {
	hers := []string{"zedekiah", "zedaccount77", "quicksilver", "hmpf"}
	for _, how := range []string{"service", "command"} {
		t.Run(how, func(t *testing.T) {
			s := lived(t)
			for _, word := range hers {
				if !bytes.Contains(s.files(), []byte(word)) {
					t.Fatalf("%q is not in the files before, so nothing is tested", word)
				}
			}
			ada := s.entries("ada", march(5))
			digests := s.count(studio.DigestPost)
			if how == "service" {
				if err := s.service.Erase(t.Context(), "zedekiah"); err != nil {
					t.Fatal(err)
				}
			} else {
				s.says("odile", "erase Zedekiah")
				s.wantLast("odile", "erase Zedekiah for good")
				s.says("odile", "erase Zedekiah for good")
				s.wantLast("odile", "Erased")
			}
			for _, word := range hers {
				if i := bytes.Index(s.files(), []byte(word)); i >= 0 {
					around := s.files()
					t.Errorf("%q is still in the files: %q", word, around[max(0, i-150):min(len(around), i+80)])
				}
			}
			s.wantEntries("ada", march(5), ada...)
			if len(ada) == 0 || digests == 0 {
				t.Error("the other student has no log, or there was no digest")
			}
			s.at("2026-03-16 07:00")
			s.says("odile", "digest")
			if p := s.last("odile"); !strings.Contains(pointsText(p), "Ada ") {
				t.Errorf("the digest after that: %+v", p.Items)
			}
			s.restart()
			s.at("2026-03-17 07:00")
			if v := s.verdictOf("zedaccount77", "done 20"); v != studio.Refused {
				t.Errorf("a reply of somebody who was erased: verdict %q", v)
			}
			if n := s.routinesFor("zedekiah", march(17)); n != 0 {
				t.Errorf("somebody who was erased got %d routines", n)
			}
		})
	}
}

// Whoever was erased does not come back because the file still lists her.
func TestErasedStaysErased(t *testing.T) {
	s := newStage(t)
	if err := s.service.Erase(t.Context(), "ada"); err != nil {
		t.Fatal(err)
	}
	r := studiotest.Roster()
	r.Members[1].Name = "Ada Again"
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	if v := s.verdictOf("ada", "done 20"); v != studio.Refused {
		t.Errorf("verdict %q, want it refused", v)
	}
	if err := s.service.Erase(t.Context(), "odile"); err == nil {
		t.Error("the teacher was erased")
	}
}

// Two of a family share an account: what the other wrote stays.
func TestEraseOnASharedAccount(t *testing.T) {
	r := studiotest.Roster()
	r.Members[2].Age = studio.Adult
	r.Members[2].Accounts = r.Members[1].Accounts // Mina writes from Ada's account
	s := stageOf(t, studiotest.Catalogue(), r)
	s.at("2026-03-02 07:00")
	s.says("ada", "Ada: done 30m pelican")
	s.says("ada", "Mina: done 20m cormorant")
	s.work()
	if err := s.service.Erase(t.Context(), "mina"); err != nil {
		t.Fatal(err)
	}
	if all := s.files(); bytes.Contains(all, []byte("cormorant")) || !bytes.Contains(all, []byte("pelican")) {
		t.Errorf("hers left: %t; the other's left: %t", bytes.Contains(all, []byte("cormorant")), bytes.Contains(all, []byte("pelican")))
	}
	if len(s.entries("ada", march(2))) == 0 {
		t.Error("the other's log is lost")
	}
}

func TestExportHoldsEverything(t *testing.T) {
	s := lived(t)
	e, err := s.service.Export(t.Context(), "zedekiah")
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Zedekiah", "zedaccount77", "quicksilver", "my lip hurts", "not lead", "short 15", `"minutes":15`, "daily-ground/1"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the export lacks %q", want)
		}
	}
	for name, n := range map[string]int{"routines": len(e.Routines), "reports": len(e.Log), "standings": len(e.Standings),
		"questions": len(e.Questions), "messages": len(e.Messages), "posts": len(e.Posts), "wishes": len(e.Wishes)} {
		if n == 0 {
			t.Errorf("the export has no %s", name)
		}
	}
	for _, m := range e.Messages {
		if m.Author.ID != "zedaccount77" {
			t.Errorf("the export has a message of %s", m.Author.ID)
		}
	}
	if slices.ContainsFunc(e.Posts, func(p studio.ExportedPost) bool { return p.To.Account == "ada" }) {
		t.Error("the export has what was said to somebody else")
	}
	var back studio.Export
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if again, err := json.Marshal(back); err != nil || !bytes.Equal(again, text) {
		t.Errorf("read back and written again the export is another one: %v", err)
	}
	if _, err := s.service.Export(t.Context(), "nobody"); err == nil {
		t.Error("an export of nobody")
	}
}

// Words go when they have been kept long enough, by the clock of the service;
// the log, the standings and the streak stay.
func TestWordsArePurged(t *testing.T) {
	s := newStage(t)
	s.keep = 90 * 24 * time.Hour
	s.restart()
	s.at("2026-03-02 07:00")
	s.says("ada", "1 60 clean, done 30 quicksilver")
	s.work()
	s.at("2026-05-30 07:00")
	if !bytes.Contains(s.files(), []byte("quicksilver")) {
		t.Fatal("words went before their time")
	}
	log, place := s.entries("ada", march(2)), s.longest("ada")
	s.at("2026-06-02 07:00")
	var texts []string
	s.view(func(tx studio.Tx) error {
		all, err := tx.MessagesBy(studio.Account{Platform: "room", ID: "ada"}, 0, 99)
		for _, m := range all {
			texts = append(texts, m.Text)
		}
		return err
	})
	if len(texts) != 1 || texts[0] != "" {
		t.Errorf("messages after 92 days: %q, want one without words", texts)
	}
	s.view(func(tx studio.Tx) error {
		posts, err := tx.PostsIn("harbour", 0, 999)
		for _, p := range posts {
			if p.SentAt.Before(s.now.Add(-s.keep)) {
				t.Errorf("post %s of %s is still kept", p.Key, p.SentAt)
			}
		}
		return err
	})
	s.wantEntries("ada", march(2), log...)
	if len(log) == 0 || s.longest("ada") != place {
		t.Errorf("log %q, longest streak %d, want %d", log, s.longest("ada"), place)
	}
}

func (s *stage) longest(who studio.MemberID) int {
	s.t.Helper()
	place, err := s.service.Place(s.t.Context(), who)
	if err != nil {
		s.t.Fatal(err)
	}
	return place.Tally.Longest
}

// What a teacher, an assistant and a guardian did can be read afterwards; what a
// teacher told a student can't, and students have no account kept of them.
func TestDeeds(t *testing.T) {
	s := manned(t)
	for _, d := range []struct{ who, words string }{
		{"odile", "minutes Ada 60"}, {"odile", "tell Ada a secret"}, {"anselm", "excuse Ada 2026-03-05 ill"},
		{"petra", "consent Mina"}, {"petra", "consent Ada"}, {"ada", "/minutes Ada 10"}, {"ada", "today"},
	} {
		s.says(d.who, d.words)
	}
	s.work()
	s.says("odile", "deeds")
	p := s.last("odile")
	for _, want := range []string{"Odile: minutes Ada 60", "Odile: tell Ada", "Anselm: excuse Ada 2026-03-05 ill", "Petra: consent Mina", "2026-03-02 07:00"} {
		if !strings.Contains(p.Text, want) {
			t.Errorf("the account of deeds lacks %q:\n%s", want, p.Text)
		}
	}
	for _, not := range []string{"secret", "Ada 10", "today", "consent Ada"} {
		if strings.Contains(p.Text, not) {
			t.Errorf("the account of deeds has %q:\n%s", not, p.Text)
		}
	}
}

func TestConsentTakenBack(t *testing.T) {
	s := newStage(t)
	s.says("petra", "consent Mina")
	s.at("2026-03-02 07:00")
	if v := s.verdictOf("mina", "done 20"); v != studio.Logged {
		t.Fatalf("with consent: verdict %q", v)
	}
	s.says("petra", "consent Mina no")
	s.at("2026-03-03 07:00")
	if v := s.verdictOf("mina", "done 20"); v != studio.Refused {
		t.Errorf("after it was taken back: verdict %q", v)
	}
	if n := s.routinesFor("mina", march(3)); n != 0 {
		t.Errorf("%d routines after it was taken back", n)
	}
}
