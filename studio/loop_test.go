package studio_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
	"ledgerline/studio/words"
)

// A stage is a studio on a real database file, with a clock that the test sets
// and a chat that remembers what it was given.
type stage struct {
	t        *testing.T
	file     string
	now      time.Time
	store    *sqlite.Store
	service  *studio.Service
	chat     *fakeChat
	books    *routine.Catalogue
	serial   int
	keep     time.Duration // of words
	listener studio.Ear    // nil: none
}

// fakeChat is a chat that shows each key once, as a platform with a nonce does.
type fakeChat struct {
	posts   []studio.Post
	attempt map[studio.Key]int
	fail    func(studio.Post) error // nil: never fails
}

func (c *fakeChat) Platform() studio.Platform { return "room" }

func (c *fakeChat) AtOnce() int { return 1 }

func (c *fakeChat) Send(_ context.Context, d studio.Delivery) (string, error) {
	c.attempt[d.Key]++
	if c.fail != nil {
		if err := c.fail(d.Post); err != nil {
			return "", err
		}
	}
	if c.attempt[d.Key] == 1 || c.fail != nil {
		c.posts = append(c.posts, d.Post)
	}
	return "post-" + string(d.Key), nil
}

type noDrawer struct{}

func (noDrawer) Draw(studio.Picture) ([]byte, error) { return []byte("png"), nil }
func (noDrawer) Describe(p studio.Picture) string    { return "a picture" }

// monday is when stages begin: 2 March 2026, six in the morning in London.
var monday = time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)

func newStage(t *testing.T) *stage {
	t.Helper()
	return stageOf(t, studiotest.Catalogue(), studiotest.Roster())
}

// stageOf returns a stage for a studio with books of its own.
func stageOf(t *testing.T, books *routine.Catalogue, roster studio.Roster) *stage {
	t.Helper()
	return stageAt(t, books, roster, monday)
}

// stageAt returns a stage whose clock begins at another moment.
func stageAt(t *testing.T, books *routine.Catalogue, roster studio.Roster, now time.Time) *stage {
	t.Helper()
	s := &stage{t: t, books: books, file: filepath.Join(t.TempDir(), "studio.db"), now: now, chat: &fakeChat{attempt: map[studio.Key]int{}}}
	s.open()
	if err := s.service.Apply(t.Context(), roster); err != nil {
		t.Fatal(err)
	}
	return s
}

// open starts the service on the stage's file, as after a restart.
func (s *stage) open() {
	s.t.Helper()
	store, err := sqlite.Open(s.t.Context(), s.file)
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { store.Close() })
	s.store = store
	s.service = s.serviceOn(s.chat)
}

// serviceOn returns a service on the stage's store that speaks over chats.
func (s *stage) serviceOn(chats ...studio.Chat) *studio.Service {
	s.t.Helper()
	reader, err := reply.NewReader()
	if err != nil {
		s.t.Fatal(err)
	}
	return studio.New(studio.Config{
		Store: s.store, Chats: chats, Drawer: noDrawer{}, Reader: reader,
		Books: func(studio.StudioID) *routine.Catalogue { return s.books },
		Now:   func() time.Time { return s.now }, Random: func() float64 { return 0 },
		Log: slog.New(slog.DiscardHandler), Keep: s.keep, Ear: s.listener,
	})
}

func (s *stage) restart() {
	s.t.Helper()
	if err := s.store.Close(); err != nil {
		s.t.Fatal(err)
	}
	s.open()
}

// at sets the clock and lets the service work.
func (s *stage) at(when string) {
	s.t.Helper()
	now, err := time.Parse("2006-01-02 15:04", when)
	if err != nil {
		s.t.Fatal(err)
	}
	s.now = now
	s.work()
}

func (s *stage) work() {
	s.t.Helper()
	if err := s.service.Work(s.t.Context()); err != nil {
		s.t.Fatal(err)
	}
}

// says has a member write on the private line, and returns the message.
func (s *stage) says(who, text string) studio.Message {
	s.t.Helper()
	s.serial++
	m := studio.Message{
		Platform: "room", ID: fmt.Sprintf("m%d", s.serial), Happening: studio.Written,
		Author: studio.Account{Platform: "room", ID: who}, Private: true, Text: text, At: s.now,
	}
	s.happens(m)
	return m
}

func (s *stage) happens(m studio.Message) {
	s.t.Helper()
	if err := s.service.Receive(s.t.Context(), m); err != nil {
		s.t.Fatal(err)
	}
	s.work()
}

// posts returns what was posted to a member's private line, of a kind.
func (s *stage) posts(who string, kind studio.PostKind) []studio.Post {
	var posts []studio.Post
	for _, p := range s.chat.posts {
		if p.To.Account == who && p.Kind == kind {
			posts = append(posts, p)
		}
	}
	return posts
}

// last returns the last thing posted to a member's private line.
func (s *stage) last(who string) studio.Post {
	s.t.Helper()
	for _, p := range slices.Backward(s.chat.posts) {
		if p.To.Account == who {
			return p
		}
	}
	s.t.Fatalf("nothing was posted to %s", who)
	return studio.Post{}
}

func (s *stage) wantLast(who string, parts ...string) {
	s.t.Helper()
	p := s.last(who)
	all := p.Title + "\n" + p.Text + "\n" + p.Foot
	for _, part := range parts {
		if !strings.Contains(all, part) {
			s.t.Errorf("the last post to %s is %q, want it to say %q", who, all, part)
		}
	}
}

func (s *stage) view(fn func(studio.Tx) error) {
	s.t.Helper()
	if err := s.store.View(s.t.Context(), fn); err != nil {
		s.t.Fatal(err)
	}
}

// entries returns the log of a member for a date, as "item outcome tempo".
func (s *stage) entries(who string, d routine.Date) []string {
	s.t.Helper()
	var got []string
	s.view(func(tx studio.Tx) error {
		reports, err := tx.Reports(studio.MemberID(who), d, d)
		for _, r := range reports {
			for _, e := range r.Entries {
				got = append(got, strings.TrimSpace(fmt.Sprintf("%d %s %s", e.Item, e.Outcome, e.To)))
			}
		}
		return err
	})
	slices.Sort(got)
	return got
}

func (s *stage) wantEntries(who string, d routine.Date, want ...string) {
	s.t.Helper()
	if got := s.entries(who, d); !slices.Equal(got, want) {
		s.t.Errorf("the log of %s for %s is %q, want %q", who, d, got, want)
	}
}

func march(day int) routine.Date { return routine.NewDate(2026, 3, day) }

func TestRoutineIsPostedOnceAtItsTime(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 06:59")
	if n := len(s.posts("ada", studio.RoutinePost)); n != 0 {
		t.Fatalf("%d routines before seven", n)
	}
	s.at("2026-03-02 07:00")
	s.work()
	s.restart()
	s.at("2026-03-02 07:01")
	if n := len(s.posts("ada", studio.RoutinePost)); n != 1 {
		t.Fatalf("%d routines for the day, want 1", n)
	}
	if n := len(s.posts("mina", studio.RoutinePost)); n != 0 {
		t.Errorf("%d routines for a minor without consent, want none", n)
	}
	s.at("2026-03-03 07:00")
	if n := len(s.posts("ada", studio.RoutinePost)); n != 2 {
		t.Errorf("%d routines after two mornings, want 2", n)
	}
}

func TestMissedRoutineComesLateTheSameDayOnly(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 15:30") // the machine was off at seven
	posts := s.posts("ada", studio.RoutinePost)
	if len(posts) != 1 || !strings.Contains(posts[0].Title, "2 March") {
		t.Fatalf("posted in the afternoon: %v, want the routine of 2 March", posts)
	}
	s.at("2026-03-05 03:00") // and for two days after
	if n := len(s.posts("ada", studio.RoutinePost)); n != 1 {
		t.Errorf("%d routines, want none for days gone by", n)
	}
	s.at("2026-03-05 07:00")
	if posts := s.posts("ada", studio.RoutinePost); len(posts) != 2 || !strings.Contains(posts[1].Title, "5 March") {
		t.Errorf("the next morning brings %v, want the routine of 5 March", posts)
	}
}

func TestDaysTheProgramWasAwayCostNothing(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "all done 30m")
	s.at("2026-03-05 09:30") // away since Monday night, back on Thursday after seven
	posts := s.posts("ada", studio.RoutinePost)
	if len(posts) != 2 || !strings.Contains(posts[1].Title, "5 March") {
		t.Fatalf("posted %v, want Thursday's routine on Thursday", posts)
	}
	s.says("ada", "all done 30m")
	place, err := s.service.Place(t.Context(), "ada")
	if err != nil {
		t.Fatal(err)
	}
	if place.Tally.Streak != 2 {
		t.Errorf("the streak is %d, want 2: no routine was posted on Tuesday and Wednesday", place.Tally.Streak)
	}
}

func TestReplyIsLoggedExactlyOnce(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.at("2026-03-02 18:00")
	m := s.says("ada", "1 60 clean, rest done 30m")
	s.happens(m)
	s.restart()
	s.happens(m)
	entries := s.entries("ada", march(2))
	items := len(s.posts("ada", studio.RoutinePost)[0].Items)
	if len(entries) != items || entries[0] != "1 clean quarter=60" {
		t.Errorf("log %q, want one entry for each of the %d items, the first clean at 60", entries, items)
	}
	if n := len(s.posts("ada", studio.ReceiptPost)); n != 1 {
		t.Errorf("%d receipts, want 1", n)
	}
	s.wantLast("ada", "1 clean at quarter=60", "30 min", "This week: 1 of 7 days")
}

func TestEditSupersedesAndDeletionWithdraws(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	m := s.says("ada", "1 60 clean")
	m.Happening, m.Revision, m.Text = studio.Edited, "1", "1 60 shaky"
	s.happens(m)
	s.wantEntries("ada", march(2), "1 shaky quarter=60")
	s.wantStanding("ada", 1, func(st routine.Standing) bool { return st.Plays == 1 && st.LastOutcome == routine.Shaky })

	m.Happening, m.Revision, m.Text = studio.Deleted, "", ""
	s.happens(m)
	s.wantEntries("ada", march(2))
	s.wantStanding("ada", 1, func(st routine.Standing) bool { return st.Plays == 0 })
	s.wantLast("ada", "Taken back")

	m.Happening, m.Revision, m.Text = studio.Edited, "2", "1 60 clean" // overtaken by the deletion
	s.happens(m)
	s.wantEntries("ada", march(2))
}

// wantStanding checks how the first line of an item of today's routine stands.
func (s *stage) wantStanding(who string, item int, ok func(routine.Standing) bool) {
	s.t.Helper()
	s.view(func(tx studio.Tx) error {
		r, err := tx.Routine(studio.MemberID(who), routine.DateOf(s.now, time.UTC))
		if err != nil {
			return err
		}
		it := r.Item(item)
		st, err := tx.Standing(studio.MemberID(who), routine.StandingKey{Line: it.Lines[0], Pass: it.Pass})
		if err == nil && !ok(st) {
			s.t.Errorf("item %d of %s stands at %+v", item, who, st)
		}
		return err
	})
}

func TestCorrectionKeepsTheOldEntryUntilItIsTakenBack(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "1 60 clean")
	m := s.says("ada", "item 1 was shaky actually")
	s.wantEntries("ada", march(2), "1 shaky quarter=60")
	m.Happening = studio.Deleted
	s.happens(m)
	s.wantEntries("ada", march(2), "1 clean quarter=60")
}

func TestUndoTakesTheLastReportBack(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "1 60 clean")
	s.says("ada", "2 60 missed")
	s.says("ada", "undo")
	s.wantEntries("ada", march(2), "1 clean quarter=60")
	s.wantLast("ada", "2 60 missed")
}

func TestReportIsMovedToTheDayItWasOf(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.at("2026-03-03 20:00")
	s.says("ada", "2 60 shaky")
	s.says("ada", "1 60 clean, 40 min")
	s.says("ada", "that was yesterday, not today")
	s.wantEntries("ada", march(2), "1 clean quarter=60")
	s.wantEntries("ada", march(3), "2 shaky quarter=60")
	s.wantLast("ada", "Logged for yesterday: 1 clean at quarter=60; 40 min.")
	s.says("ada", "undo")
	s.wantLast("ada", "1 60 clean, 40 min")
	s.wantEntries("ada", march(2))
	s.wantEntries("ada", march(3), "2 shaky quarter=60")
}

// On an account of several players the moved message is read without the name.
func TestReportOnASharedAccountIsMoved(t *testing.T) {
	r := studiotest.Roster()
	r.Members[2].Age = studio.Adult
	r.Members[2].Accounts = r.Members[1].Accounts // Mina writes from Ada's account
	s := stageOf(t, studiotest.Catalogue(), r)
	s.at("2026-03-03 20:00")
	s.says("ada", "Mina: 40")
	s.says("ada", "Mina: that was yesterday, not today")
	s.wantLast("ada", "Logged for yesterday: 40 min.")
}

// What is said of several days is not moved, and stays.
func TestReportThatIsUnclearElsewhereStays(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.at("2026-03-03 20:00")
	s.says("ada", "yesterday 2 60 shaky, today 1 60 clean")
	s.says("ada", "that was yesterday, not today")
	s.wantLast("ada", "I can't move")
	s.wantEntries("ada", march(2), "2 shaky quarter=60")
	s.wantEntries("ada", march(3), "1 clean quarter=60")
}

func TestUnclearPartIsAskedAndLoggedOnlyWhenAnswered(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "99 clean")
	asked := s.posts("ada", studio.QuestionPost)
	if len(asked) != 1 {
		t.Fatalf("%d questions about an item that is not there, want 1", len(asked))
	}
	s.wantEntries("ada", march(2))
	if len(asked[0].Choices) == 0 {
		return
	}
	s.says("ada", "1")
	if n := len(s.entries("ada", march(2))); n == 0 {
		t.Errorf("after the answer the log is empty; the choice was %+v", asked[0].Choices[0])
	}
}

func TestPainReachesTheTeacherAtOnce(t *testing.T) {
	s := newStage(t)
	r := studiotest.Roster()
	r.Members[0].Quiet = studio.Hours{From: 0, To: 23*60 + 59}
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	s.at("2026-03-02 07:00")
	s.says("ada", "1 clean, then stopped, my lip hurts")
	if n := len(s.posts("odile", studio.AlertPost)); n != 1 {
		t.Fatalf("%d alerts to the teacher, want 1, quiet hours or not", n)
	}
	s.wantLast("ada", "Your teacher has been told", "licensed health professional", "not medical advice")
	for _, p := range s.chat.posts {
		if p.To.Channel != "" {
			t.Errorf("pain was spoken of in a channel: %+v", p)
		}
	}
	s.at("2026-03-03 07:00")
	s.wantLast("ada", "nothing strenuous")
	s.says("ada", "pain gone")
	s.wantLast("ada", "Good to hear")
	s.at("2026-03-04 07:00")
	if p := s.last("ada"); strings.Contains(p.Text, "While something hurts") {
		t.Errorf("the routine after the pain is gone still says %q", p.Text)
	}
}

func TestQuietHoursHoldPostsBack(t *testing.T) {
	s := newStage(t)
	r := studiotest.Roster()
	r.Members[1].Quiet = studio.Hours{From: 22 * 60, To: 8 * 60}
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	s.at("2026-03-02 07:30")
	if n := len(s.posts("ada", studio.RoutinePost)); n != 0 {
		t.Fatalf("%d routines in quiet hours", n)
	}
	s.says("ada", "help") // her own message is answered at any hour
	if n := len(s.posts("ada", studio.AnswerPost)); n != 1 {
		t.Errorf("%d answers to her own message in quiet hours, want 1", n)
	}
	s.at("2026-03-02 08:00")
	if n := len(s.posts("ada", studio.RoutinePost)); n != 1 {
		t.Errorf("%d routines when quiet hours end, want 1", n)
	}
}

func TestReminderOnlyWhenNothingWasHeard(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.at("2026-03-02 19:00")
	if n := len(s.posts("ada", studio.ReminderPost)); n != 1 {
		t.Fatalf("%d reminders on a silent day, want 1", n)
	}
	s.at("2026-03-03 07:00")
	s.says("ada", "rest")
	s.at("2026-03-03 19:00")
	if n := len(s.posts("ada", studio.ReminderPost)); n != 1 {
		t.Errorf("%d reminders after a rest day was reported, want no new one", n)
	}
}

func TestMinorIsLoggedOnlyAfterConsent(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 10:00")
	s.says("mina", "done 20")
	s.wantLast("mina", "a guardian has to agree first")
	s.view(func(tx studio.Tx) error {
		reports, err := tx.Reports("mina", march(1), march(9))
		if len(reports) > 0 {
			t.Errorf("%d reports were logged before consent", len(reports))
		}
		return err
	})
	s.says("petra", "consent Mina")
	s.wantLast("petra", "Consent recorded")
	if n := len(s.posts("mina", studio.RoutinePost)); n != 1 {
		t.Errorf("%d routines at once after consent, want 1: the day would count as missed without", n)
	}
	s.at("2026-03-03 07:00")
	if n := len(s.posts("mina", studio.RoutinePost)); n != 2 {
		t.Errorf("%d routines on the day after, want 2", n)
	}
	s.says("mina", "done 20")
	if len(s.entries("mina", march(3))) == 0 {
		t.Error("nothing is logged after consent")
	}
}

func TestStudentCantActAsTeacher(t *testing.T) {
	s := newStage(t)
	for _, text := range []string{"/minutes Ada 90", "/digest", "/student Mina", "/tell Mina hello", "/sign-off Ada daily-ground/1/1", "/holiday 2026-03-04 2026-03-05"} {
		s.says("ada", text)
		s.wantLast("ada", "is not yours to give")
	}
	s.says("petra", "week Ada")
	s.wantLast("petra", "guardian of")
	s.view(func(tx studio.Tx) error {
		m, err := tx.Member("ada")
		if m.Player.Minutes != 40 {
			t.Errorf("a student has set her minutes to %d", m.Player.Minutes)
		}
		return err
	})
}

func TestWrongCommandIsAnsweredInWholeLetters(t *testing.T) {
	s := newStage(t)
	for text, want := range map[string]string{
		"zone Ada Mars/Base":   "“Mars/Base” is no time zone",
		"excuse Ada 2026-03-4": "“2026-03-4” is no date; write it as year-month-day",
		"minutes Ada éclair":   "Minutes of a day are a number",
	} {
		s.says("odile", text)
		s.wantLast("odile", want)
		if got := s.last("odile").Text; !utf8.ValidString(got) {
			t.Errorf("the answer to %q is no UTF-8: %q", text, got)
		}
	}
}

func TestStudiosDoNotSeeEachOther(t *testing.T) {
	s := newStage(t)
	other := studiotest.Roster()
	other.Studio.ID, other.Studio.Name = "quay", "Quay Lane"
	other.Studio.Channels[0].Channel = "quay"
	for i := range other.Members {
		m := &other.Members[i]
		m.ID, m.Accounts = "q-"+m.ID, []studio.Account{{Platform: "room", ID: "q-" + string(m.ID)}}
		m.Name = "Q" + m.Name
		m.Wards = nil
	}
	other.Plans = nil
	if err := s.service.Apply(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	s.says("q-odile", "student Ada")
	s.wantLast("q-odile", "no student “Ada”")
	s.says("q-odile", "digest")
	for _, it := range s.last("q-odile").Items {
		if strings.HasPrefix(it.Head, "Ada ") {
			t.Errorf("the digest of another studio shows %q", it.Head)
		}
	}
	s.at("2026-03-02 07:00")
	s.says("ada", "1 clean, my lip hurts")
	if n := len(s.posts("q-odile", studio.AlertPost)); n != 0 {
		t.Errorf("%d alerts went to another studio's teacher", n)
	}
}

func TestDigestOnceAndEvenLate(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "1 60 clean, rest done 30m")
	s.at("2026-03-08 18:00")
	s.restart()
	s.at("2026-03-08 18:01")
	digests := s.posts("odile", studio.DigestPost)
	if len(digests) != 1 || !strings.HasPrefix(digests[0].Title, "Week 10,") { // ISO 8601: 8 March 2026 is in week 10
		t.Fatalf("digests %+v, want one, of week 10", digests)
	}
	s.at("2026-03-24 09:00") // away on Sunday the 15th and the 22nd
	digests = s.posts("odile", studio.DigestPost)
	if len(digests) != 3 || !strings.HasPrefix(digests[1].Title, "Week 11,") || !strings.HasPrefix(digests[2].Title, "Week 12,") {
		t.Errorf("digests after an outage %+v, want those of weeks 11 and 12 as well", digests)
	}
}

func TestFailedPostIsTriedAgainInOrder(t *testing.T) {
	s := newStage(t)
	down := true
	s.chat.fail = func(p studio.Post) error {
		if down && p.To.Account == "ada" {
			return errors.New("the platform is away")
		}
		return nil
	}
	s.at("2026-03-02 07:00")
	s.says("ada", "help")
	if len(s.posts("ada", studio.RoutinePost)) != 0 {
		t.Fatal("posted while the platform was away")
	}
	down = false
	s.now = s.now.Add(10 * time.Second)
	s.work()
	s.now = s.now.Add(10 * time.Second)
	s.work()
	var kinds []studio.PostKind
	for _, p := range s.chat.posts {
		if p.To.Account == "ada" {
			kinds = append(kinds, p.Kind)
		}
	}
	if want := []studio.PostKind{studio.RoutinePost, studio.AnswerPost}; !slices.Equal(kinds, want) {
		t.Errorf("posted %v, want %v", kinds, want)
	}
}

func TestChallengeIsAnnouncedFourTimes(t *testing.T) {
	s := newStage(t)
	s.says("odile", "challenge 6 50 Six days together")
	s.wantLast("odile", "Six days together", "Tuesday 3 March", "Sunday 8 March")
	for day := 3; day <= 12; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		if day <= 8 && day%2 == 1 {
			s.says("ada", "all done 30m")
		}
	}
	var texts []string
	for _, p := range s.chat.posts {
		if p.Kind == studio.AnnouncedPost {
			texts = append(texts, p.Text)
		}
	}
	want := []string{"From today to Sunday 8 March", "So far together: 2 of 3 days kept.", "The last day.", "Together: 3 of 6 days kept.\nThe goal: 50 of every 100 scheduled days. Reached."}
	if len(texts) != len(want) {
		t.Fatalf("announced %q, want %d announcements", texts, len(want))
	}
	for i := range want {
		if !strings.Contains(texts[i], want[i]) {
			t.Errorf("announcement %d is %q, want it to say %q", i+1, texts[i], want[i])
		}
	}
}

func TestSignOffPassesALine(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.says("odile", "sign-off Ada daily-ground/2/1")
	s.wantLast("odile", "clean at its goal")
	var line routine.LineRef
	s.view(func(tx studio.Tx) error {
		r, err := tx.Routine("ada", march(2))
		line = r.Items[0].Lines[0]
		return err
	})
	s.says("ada", "1 72 clean")
	s.says("odile", "sign-off Ada "+line.String())
	s.wantLast("odile", "Signed off for Ada")
	s.wantStanding("ada", 1, func(st routine.Standing) bool { return st.State == routine.Passed && st.Due > march(2) })
}

func TestLateReplyIsLoggedButDoesNotCount(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.at("2026-03-03 13:00") // an hour after the cut-off
	s.says("ada", "yesterday: all done 30")
	s.wantLast("ada", "after the studio's cut-off")
	if len(s.entries("ada", march(2))) == 0 {
		t.Error("a late reply is not in the log")
	}
	place, err := s.service.Place(t.Context(), "ada")
	if err != nil {
		t.Fatal(err)
	}
	if place.Tally.ThisWeek.Kept != 0 {
		t.Errorf("the week counts %d days, want 0", place.Tally.ThisWeek.Kept)
	}
}

func TestChatIsLeftAlone(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	before := len(s.chat.posts)
	s.says("ada", "thanks, see you on Friday!")
	if n := len(s.chat.posts) - before; n != 0 {
		t.Errorf("%d posts in answer to chat, the last %+v", n, s.last("ada"))
	}
	m := studio.Message{
		Platform: "room", ID: "c1", Happening: studio.Written, Author: studio.Account{Platform: "room", ID: "ada"},
		Channel: "studio", Text: "1 96 clean", At: s.now,
	}
	s.happens(m)
	if got := s.entries("ada", march(2)); len(got) != 0 {
		t.Errorf("talk in the channel was logged: %q", got)
	}
	before = len(s.chat.posts)
	m.ID, m.Author.ID, m.Text = "c2", "odile", "Plan for Friday: together we are louder"
	s.happens(m)
	if n := len(s.chat.posts) - before; n != 0 {
		t.Errorf("talk of the teacher in the channel was taken as a command: %+v", s.last("odile"))
	}
	m.ID, m.Text = "c3", "/digest"
	s.happens(m)
	if n := len(s.chat.posts) - before; n != 1 {
		t.Errorf("%d answers to a command in the channel, want 1", n)
	}
}

func TestAnotherStudentsCardIsNotAnswered(t *testing.T) {
	s := newStage(t)
	s.says("petra", "consent Mina")
	s.at("2026-03-02 07:00")
	card := s.posts("ada", studio.RoutinePost)[0]
	for i, tt := range []struct {
		who    string
		logged bool
	}{{"mina", false}, {"ada", true}} {
		s.happens(studio.Message{
			Platform: "room", ID: fmt.Sprint("tap", i), Happening: studio.Written, Channel: "studio",
			Author: studio.Account{Platform: "room", ID: tt.who}, Text: "all done", ReplyTo: "post-" + string(card.Key), At: s.now,
		})
		if got := len(s.entries(tt.who, march(2))) > 0; got != tt.logged {
			t.Errorf("%s answers Ada's card in the channel: logged %t, want %t", tt.who, got, tt.logged)
		}
	}
}

func TestInvitationJoinsAnAccountOnce(t *testing.T) {
	s := newStage(t)
	s.says("odile", "invite Ada")
	_, rest, ok := strings.Cut(s.last("odile").Text, "this code: ")
	code, _, _ := strings.Cut(rest, "\n")
	if !ok || len(code) != 9 {
		t.Fatalf("the answer to invite is %q, want a code of 9 letters", s.last("odile").Text)
	}
	s.says("stranger", "hello")
	s.wantLast("stranger", "do not know this account")
	s.says("stranger", "join "+strings.ToUpper(code))
	s.wantLast("stranger", "Welcome, Ada")
	s.says("another", "join "+code)
	s.wantLast("another", "was used")
	s.at("2026-03-02 07:00")
	s.says("stranger", "1 60 clean")
	s.wantEntries("ada", march(2), "1 clean quarter=60")
}

func TestOldInvitationIsRefused(t *testing.T) {
	s := newStage(t)
	s.says("odile", "invite Ada")
	_, rest, _ := strings.Cut(s.last("odile").Text, "this code: ")
	code, _, _ := strings.Cut(rest, "\n")
	s.at("2026-03-09 06:01")
	s.says("stranger", "join "+code)
	s.wantLast("stranger", "more than a week old")
}

func TestReplyAboutAnEarlierDayIsReadAgainstThatDaysRoutine(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.at("2026-03-03 07:00")
	s.at("2026-03-05 07:00")
	s.says("ada", "Monday: 1 60 clean")
	s.wantEntries("ada", march(2), "1 clean quarter=60")
	s.wantEntries("ada", march(5))
	s.rederiveAll("ada")
}

func TestBlockedChannelIsToldByAnotherWayAndLosesNothing(t *testing.T) {
	s := newStage(t)
	blocked := true
	s.chat.fail = func(p studio.Post) error {
		if blocked && p.To.Channel != "" {
			return &studio.SendError{Blocked: words.Plain("The channel is gone: make it again and invite the bot."), Err: errors.New("unknown channel")}
		}
		return nil
	}
	s.says("odile", "challenge 6 50 Six days together")
	s.at("2026-03-03 07:00")
	s.wantLast("odile", "can't post on room (studio)", "make it again", "Nothing is lost")
	for range 80 {
		s.now = s.now.Add(time.Hour)
		s.work()
	}
	alerts := s.posts("odile", studio.AlertPost)
	if len(alerts) != 4 { // once on each of the four dates
		t.Errorf("the teacher was told %d times, want once a date", len(alerts))
	}
	blocked = false
	s.now = s.now.Add(90 * time.Minute)
	s.work()
	var opened int
	for _, p := range s.chat.posts {
		if p.Kind == studio.AnnouncedPost && strings.Contains(p.Text, "From today") {
			opened++
		}
	}
	if opened != 1 {
		t.Errorf("the opening was announced %d times once the channel was back, want 1", opened)
	}
}

func TestAskedToWaitIsNoFailure(t *testing.T) {
	s := newStage(t)
	s.chat.fail = func(studio.Post) error {
		return &studio.SendError{After: time.Second, Err: errors.New("too many requests")}
	}
	s.says("ada", "help")
	for range 100 {
		s.now = s.now.Add(2 * time.Second)
		s.work()
	}
	s.view(func(tx studio.Tx) error {
		n, err := tx.Counts()
		if n.GivenUp != 0 || n.Waiting != 1 {
			t.Errorf("counts %+v after being asked to wait a hundred times, want the post still waiting", n)
		}
		return err
	})
}

func TestPostThatCanNeverGoIsGivenUpVisibly(t *testing.T) {
	s := newStage(t)
	s.chat.fail = func(studio.Post) error {
		return &studio.SendError{Permanent: true, Err: errors.New("too long")}
	}
	s.says("ada", "help")
	s.view(func(tx studio.Tx) error {
		n, err := tx.Counts()
		if n.GivenUp != 1 || n.Waiting != 0 {
			t.Errorf("counts %+v, want one post given up and none waiting", n)
		}
		return err
	})
}

func TestTroubleIsToldOnceADateByAnotherWay(t *testing.T) {
	s := newStage(t)
	r := studiotest.Roster()
	r.Studio.Channels = append(r.Studio.Channels, studio.Address{Platform: "harp", Channel: "9"})
	r.Members[0].Accounts = append([]studio.Account{{Platform: "harp", ID: "7"}}, r.Members[0].Accounts...)
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	trouble := studio.ToDo("The token was revoked.", "Make a new one.")
	for range 3 {
		if err := s.service.Trouble(t.Context(), "harp", trouble); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.service.Trouble(t.Context(), "lute", trouble); err != nil { // nobody is there
		t.Fatal(err)
	}
	s.work()
	if alerts := s.posts("odile", studio.AlertPost); len(alerts) != 1 || !strings.Contains(alerts[0].Text, "Make a new one.") {
		t.Errorf("told in the room: %+v, want it once", alerts)
	}
}

// TestTroubleIsToldInTheTeachersLanguage has a chat's own advice put into French.
func TestTroubleIsToldInTheTeachersLanguage(t *testing.T) {
	s := manyTongues(t)
	advice := words.Phrase{ID: "matrix.alias", With: words.With{"room": "#brass:harbour"}}
	if err := s.service.Trouble(t.Context(), "room", studio.Finding{What: words.Phrase{ID: "matrix.not-connected"}, Do: advice}); err != nil {
		t.Fatal(err)
	}
	s.work()
	s.wantLast("odile", "Un souci avec room", "Le bot n'est pas connecté à Matrix.", "Il n'y a pas de salon Matrix #brass:harbour")
}

func TestReportWithoutARoutineSaysWhatWasLogged(t *testing.T) {
	s := newStage(t) // before the first routine is posted
	s.says("ada", "1 60 clean, 2 skip, 40m")
	s.wantEntries("ada", march(2))
	s.wantLast("ada", "40 min", "no routine that day")
	s.says("ada", "1 60 clean")
	s.wantLast("ada", "not sure about the item")
	s.at("2026-03-03 07:00")
	s.says("ada", "1 60 clean, 40m")
	if got := s.last("ada").Text; strings.Contains(got, "no routine that day") {
		t.Errorf("the receipt on a day with a routine is %q", got)
	}
}

// TestDayThatIsNone asks which day was meant and logs nothing until it is said, but
// for pain, which does not wait.
func TestDayThatIsNone(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 10:00")
	s.says("ada", "2026-02-31: done 30")
	if n := len(s.posts("ada", studio.ReceiptPost)); n != 0 {
		t.Errorf("%q", s.posts("ada", studio.ReceiptPost)[0].Text)
	}
	s.wantLast("ada", "I am not sure about the day")
	s.view(func(tx studio.Tx) error {
		reports, err := tx.Reports("ada", 0, march(9))
		if len(reports) > 0 {
			t.Errorf("logged: %+v", reports)
		}
		return err
	})
	s.says("ada", "1")
	s.wantLast("ada", "Logged: ")
	if len(s.entries("ada", march(2))) == 0 {
		t.Error("nothing is logged after the answer")
	}
	s.says("ada", "2026-02-31: done 30, my lip hurts")
	s.wantLast("odile", "Ada reports pain")
}

// reply has a member answer a post on her private line, and returns the message.
func (s *stage) reply(who string, to studio.Post, text string) studio.Message {
	s.t.Helper()
	s.serial++
	m := studio.Message{
		Platform: "room", ID: fmt.Sprintf("m%d", s.serial), Happening: studio.Written, Private: true,
		Author: studio.Account{Platform: "room", ID: who}, Text: text, ReplyTo: "post-" + string(to.Key), At: s.now,
	}
	s.happens(m)
	return m
}

// TestReplyToYesterdaysRoutine counts what answers a card, or its reminder, for the
// day of the card.
func TestReplyToYesterdaysRoutine(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.at("2026-03-02 19:00")
	s.at("2026-03-03 08:00")
	cards := s.posts("ada", studio.RoutinePost)
	s.reply("ada", cards[0], "Played it all")
	s.wantLast("ada", "Logged for yesterday")
	if a, b := len(s.entries("ada", march(2))), len(s.entries("ada", march(3))); a == 0 || b != 0 {
		t.Errorf("%d entries for the day of the card, %d for today", a, b)
	}
	s.reply("ada", s.posts("ada", studio.ReminderPost)[0], "tired")
	s.wantLast("ada", "Logged for yesterday")
	s.reply("ada", cards[1], "1 clean")
	if len(s.entries("ada", march(3))) != 1 {
		t.Errorf("today has %d entries, want the one that answers today's card", len(s.entries("ada", march(3))))
	}
}

// TestReplyToAReplacedRoutine reads the numbers of a reply on the card it answers.
func TestReplyToAReplacedRoutine(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	first, card := s.routineOf("ada"), s.posts("ada", studio.RoutinePost)[0]
	s.says("odile", "pin Ada daily-ground/2/1")
	s.says("ada", "short 15")
	n := 0
	for i, it := range s.routineOf("ada").Items {
		if i < len(first.Items) && !slices.Equal(it.Lines, first.Items[i].Lines) {
			n = it.N
			break
		}
	}
	if n == 0 {
		t.Fatal("the two routines have the same lines under the same numbers")
	}
	s.reply("ada", card, fmt.Sprintf("%d clean", n))
	s.view(func(tx studio.Tx) error {
		reports, err := tx.Reports("ada", march(2), march(2))
		if len(reports) != 1 || !slices.Equal(reports[0].Entries[0].Lines, first.Item(n).Lines) {
			t.Errorf("logged %+v, want lines %v", reports, first.Item(n).Lines)
		}
		return err
	})
	s.rederive("ada")
}

// TestNearlyACommand says what a command takes where it was given something else,
// rather than log it or keep silent.
func TestNearlyACommand(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	for text, want := range map[string]string{
		"short": "write the minutes you have today", "short 999": "write the minutes you have today",
		"with banjo": "ame the instrument", "click 1 13/16": "rite a measure", "books": "Books and studies",
	} {
		s.says("ada", text)
		if p := s.last("ada"); !strings.Contains(strings.ToLower(p.Title+p.Text), strings.ToLower(want)) {
			t.Errorf("%s: %q, want %q", text, p.Title+p.Text, want)
		}
	}
	if got := s.entries("ada", march(2)); len(got) > 0 {
		t.Errorf("logged: %+v", got)
	}
}

// TestNoneOfTheChoices closes a question without logging a day on which nothing was
// played.
func TestNoneOfTheChoices(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "99 clean")
	s.reply("ada", s.posts("ada", studio.QuestionPost)[0], "None of these.")
	s.wantLast("ada", "Please write it again")
	s.view(func(tx studio.Tx) error {
		reports, err := tx.Reports("ada", march(2), march(2))
		open, err2 := tx.OpenQuestions("ada")
		if len(reports) > 0 || len(open) > 0 {
			t.Errorf("logged %+v, open %+v", reports, open)
		}
		return errors.Join(err, err2)
	})
}
