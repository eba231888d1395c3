package studio_test

import (
	"strings"
	"testing"

	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// codeFor has the teacher invite a member and returns the code.
func (s *stage) codeFor(name string) string {
	s.t.Helper()
	s.says("odile", "invite "+name)
	_, rest, _ := strings.Cut(s.last("odile").Text, "this code: ")
	code, _, ok := strings.Cut(rest, "\n")
	if !ok {
		s.t.Fatalf("the answer to invite is %q", s.last("odile").Text)
	}
	return code
}

// newcomer returns a stage on which Ada has no account yet.
func newcomer(t *testing.T) *stage {
	t.Helper()
	roster := studiotest.Roster()
	for i := range roster.Members {
		if roster.Members[i].ID == "ada" {
			roster.Members[i].Accounts = nil
		}
	}
	return stageOf(t, studiotest.Catalogue(), roster)
}

// TestWhoJoinsIsAskedFiveQuestions answers each in its own way: by the label of
// a button, by a city, in German words, by a number, by a time.
func TestWhoJoinsIsAskedFiveQuestions(t *testing.T) {
	s := newcomer(t)
	s.says("phone", "join "+s.codeFor("Ada"))
	q := s.last("phone")
	if q.Title != "Question 1 of 5" || len(q.Choices) != 5 || q.Choices[1].Label != "Deutsch" {
		t.Fatalf("the first question is %+v", q)
	}
	s.says("phone", "Deutsch")
	s.wantLast("phone", "Frage 2 von 5", "Wo bist du")
	s.says("phone", "berlin")
	s.wantLast("phone", "Frage 3 von 5", "übefrei")
	s.says("phone", "Sonntag")
	s.wantLast("phone", "Frage 4 von 5", "Jetzt: 40 min")
	s.says("phone", "30")
	s.wantLast("phone", "Frage 5 von 5")
	s.says("phone", "6:30")
	s.wantLast("phone", "Sprache: Deutsch. Ort: Europe/Berlin. Freie Tage: Sonntag. Am Tag: 30 min. Das Tagesprogramm kommt um 06:30.")
	s.wantLast("odile", "Ada has joined", "Place: Europe/Berlin. Free days: Sunday. On a day: 30 min.")
	m := s.member("ada")
	if m.Lang != "de" || m.Zone != "Europe/Berlin" || m.Player.Minutes != 30 || m.PostAt != "30 6 * * *" {
		t.Errorf("she is set down as %+v", m)
	}
	if off := (&streaks.Calendar{Off: m.Off}).OffOn(march(3)); off != 1 {
		t.Errorf("her days off are %b, want Sunday", off)
	}
	// It is seven in Berlin: the routine's time has gone by, so it is there.
	if got := s.posts("phone", studio.RoutinePost); len(got) != 1 || got[0].Title != "Montag, 2. März" {
		t.Errorf("her routines are %+v", got)
	}
}

// TestInterviewIsNeverInTheWay gives no answers, and replies as on any day.
func TestInterviewIsNeverInTheWay(t *testing.T) {
	s := newcomer(t)
	s.says("phone", "join "+s.codeFor("Ada"))
	s.at("2026-03-02 07:00")
	s.says("phone", "1 60 clean")
	s.wantEntries("ada", march(2), "1 clean quarter=60")
	s.says("phone", "skip")
	s.wantLast("phone", "Question 2 of 5")
	s.at("2026-03-02 09:00") // two hours later a word is no answer any more
	s.says("phone", "all done 40")
	if got := s.member("ada"); got.Zone != "Europe/London" || got.Player.Minutes != 40 {
		t.Errorf("she is set down as %+v", got)
	}
	s.says("phone", "setup")
	for range 5 {
		s.says("phone", "skip")
	}
	s.wantLast("phone", "Thank you, that is all", "The routine comes at 07:00")
	s.says("phone", "skip")
	if got := s.last("phone").Text; strings.Contains(got, "Thank you, that is all") {
		t.Error("the interview does not end")
	}
}

// A chat of another platform.
type otherChat struct {
	fakeChat
	platform studio.Platform
}

func (c *otherChat) Platform() studio.Platform { return c.platform }

// TestMovingToAnotherChatLosesNoDay has Ada go from Discord to Matrix in the
// middle of a streak: each day has one routine, wherever it comes, and counts.
func TestMovingToAnotherChatLosesNoDay(t *testing.T) {
	roster := studiotest.Roster()
	for i := range roster.Members {
		if roster.Members[i].ID == "ada" {
			roster.Members[i].Accounts = []studio.Account{{Platform: "discord", ID: "4711"}}
		}
	}
	s := stageOf(t, studiotest.Catalogue(), roster)
	discord := &otherChat{fakeChat{attempt: map[studio.Key]int{}}, "discord"}
	matrix := &otherChat{fakeChat{attempt: map[studio.Key]int{}}, "matrix"}
	s.service = s.serviceOn(s.chat, discord, matrix)
	serial := 0
	says := func(account studio.Account, text string) {
		serial++
		s.happens(studio.Message{Platform: account.Platform, ID: string(rune('a' + serial)), Happening: studio.Written, Private: true, Author: account, Text: text, At: s.now})
	}
	old, new := studio.Account{Platform: "discord", ID: "4711"}, studio.Account{Platform: "matrix", ID: "@ada:example.org"}
	s.at("2026-03-02 07:00")
	says(old, "done 30")
	s.at("2026-03-03 07:00")
	says(new, "join "+s.codeFor("Ada"))
	says(new, "here")
	says(new, "done 30")
	s.at("2026-03-04 07:00")
	says(new, "done 30")
	on := func(c *otherChat) (titles []string) {
		for _, p := range c.posts {
			if p.Kind == studio.RoutinePost {
				titles = append(titles, p.Title)
			}
		}
		return titles
	}
	if got := strings.Join(on(discord), ", "); got != "Monday 2 March, Tuesday 3 March" {
		t.Errorf("on Discord she was posted %s", got)
	}
	if got := strings.Join(on(matrix), ", "); got != "Wednesday 4 March" {
		t.Errorf("on Matrix she was posted %s", got)
	}
	s.wantStreak("ada", 3, streaks.Week{Kept: 3, Planned: 7})
	var routines int
	s.view(func(tx studio.Tx) error {
		for d := march(2); d <= march(4); d++ {
			if r, err := tx.Routine("ada", d); err == nil && r.Number == 1 {
				routines++
			}
		}
		return nil
	})
	if routines != 3 {
		t.Errorf("%d routines in three days", routines)
	}
}

// TestTwoTeachersShareAStudent has a second teacher come into the studio, and
// the first one go: both are told at once, either may sign off, and with the
// change of teacher nothing of the student's is lost.
func TestTwoTeachersShareAStudent(t *testing.T) {
	roster := studiotest.Roster()
	second := roster.Members[0]
	second.ID, second.Name, second.Lang = "renaud", "Renaud", "fr"
	second.Accounts = []studio.Account{{Platform: "room", ID: "renaud"}}
	roster.Members = append(roster.Members, second)
	s := stageOf(t, studiotest.Catalogue(), roster)
	s.at("2026-03-02 07:00")
	s.says("ada", "all done, my lip hurts")
	s.wantLast("odile", "Ada reports pain")
	s.wantLast("renaud", "Ada signale une douleur")
	s.says("renaud", "minutes Ada 25")
	s.says("odile", "plan Ada")
	before := s.last("odile")
	roster.Members = roster.Members[1:]
	if err := s.service.Apply(t.Context(), roster); err != nil {
		t.Fatal(err)
	}
	s.says("odile", "plan Ada")
	s.wantLast("odile", "I do not know this account")
	s.says("renaud", "plan Ada")
	if after := s.last("renaud"); len(after.Items) != len(before.Items) || len(after.Items) == 0 {
		t.Errorf("her plan had %d studies and has %d", len(before.Items), len(after.Items))
	}
	s.at("2026-03-03 07:00")
	s.says("ada", "pain gone, done 20")
	s.wantStreak("ada", 2, streaks.Week{Kept: 2, Planned: 7})
	if got := s.member("ada").Player.Minutes; got != 25 {
		t.Errorf("she has %d minutes, want what the second teacher set", got)
	}
}

// TestSisterAndBrotherOnOnePhone joins two students with one account. Their posts
// say whose they are, a button is that of the post's student, and so is what is
// deleted; words that say no name are asked about.
func TestSisterAndBrotherOnOnePhone(t *testing.T) {
	roster := studiotest.Roster()
	for i := range roster.Members {
		if m := &roster.Members[i]; m.Role == studio.Student {
			m.Accounts = nil
			m.Age = studio.Adult
		}
	}
	s := stageOf(t, studiotest.Catalogue(), roster)
	s.says("phone", "join "+s.codeFor("Ada"))
	s.says("phone", "join "+s.codeFor("Mina"))
	var welcome string
	for _, p := range s.posts("phone", studio.AnswerPost) {
		welcome = p.Title + "|" + p.Text
	}
	if !strings.HasPrefix(welcome, "Mina") || !strings.Contains(welcome, "“Mina: done 30”") {
		t.Errorf("the second is welcomed by %q", welcome)
	}
	s.says("odile", "join "+s.codeFor("Ada"))
	s.wantLast("odile", "This account is a teacher's")
	s.at("2026-03-02 07:00")
	s.work()
	routines := map[studio.MemberID]studio.Post{}
	for _, p := range s.posts("phone", studio.RoutinePost) {
		routines[p.Member] = p
	}
	if ada, mina := routines["ada"], routines["mina"]; ada.Title != "Ada: Monday 2 March" || mina.Title != "Mina: Monday 2 March" {
		t.Fatalf("the routines are called %q and %q", ada.Title, mina.Title)
	}
	s.says("phone", "1 60 clean")
	s.wantLast("phone", "Several players share this account")
	s.says("phone", "Mina 1 60 clean")
	s.wantEntries("mina", march(2), "1 clean quarter=60")
	s.wantEntries("ada", march(2))
	press := studio.Message{
		Platform: "room", ID: "press", Happening: studio.Written, Author: studio.Account{Platform: "room", ID: "phone"}, Private: true,
		ReplyTo: "post-" + string(routines["ada"].Key), Text: routines["ada"].Choices[0].Text, At: s.now,
	}
	s.happens(press)
	if n := len(s.entries("ada", march(2))); n == 0 {
		t.Error("the button on Ada's routine has logged nothing of hers")
	}
	press.Happening, press.Text, press.ReplyTo = studio.Deleted, "", ""
	s.happens(press)
	s.wantEntries("ada", march(2))
	s.wantEntries("mina", march(2), "1 clean quarter=60")
}
