package studio_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// A line that stands still is for the teacher to know, with a suggestion from the
// trade. The student is told neither that nor what to do about it.
func TestOnlyTheTeacherHearsOfAPlateau(t *testing.T) {
	s := workshopStage(t)
	for day := 2; day <= 28; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		s.says("ada", "all shaky")
	}
	s.at("2026-03-29 18:00")
	digests := s.posts("odile", studio.DigestPost)
	text := pointsText(digests[len(digests)-1])
	for _, part := range []string{"Stuck: Ada: Daily Ground 1, pass 1, lines 1–4, most of them no faster since", "You might change the articulation."} {
		if !strings.Contains(text, part) {
			t.Errorf("the digest says %q, want %q in it", text, part)
		}
	}
	s.says("odile", "student Ada")
	if p := s.last("odile"); !strings.Contains(p.Text, "Stuck: Ada") || strings.Count(p.Text, "You might ") == 0 {
		t.Errorf("Ada's page says %q, want what is stuck, and a suggestion", p.Text)
	}
	for _, command := range []string{"progress", "progress 1", "week", "best", "today"} {
		s.says("ada", command)
	}
	for _, kind := range []studio.PostKind{studio.RoutinePost, studio.ReceiptPost, studio.AnswerPost, studio.ReminderPost} {
		for _, p := range s.posts("ada", kind) {
			all := fmt.Sprint(p.Title, p.Text, p.Items, p.Foot)
			for _, word := range []string{"tuck", "You might", "shorten", "leave it", "alternate fingering"} {
				if strings.Contains(all, word) {
					t.Errorf("Ada is told %q", all)
				}
			}
		}
	}
}

// pointsText is what a digest says in its points, one a line: the number, the
// head and the first line of the detail.
func pointsText(p studio.Post) string {
	var lines []string
	for _, it := range p.Items {
		lines = append(lines, fmt.Sprintf("%d. %s: %s", it.N, it.Head, it.Detail))
	}
	return strings.Join(lines, "\n")
}

// point returns the number of the first point whose head begins so.
func (s *stage) point(p studio.Post, head string) int {
	s.t.Helper()
	for _, it := range p.Items {
		if strings.HasPrefix(it.Head, head) {
			return it.N
		}
	}
	s.t.Fatalf("no point begins with %q in:\n%s", head, pointsText(p))
	return 0
}

// fullDigest is a stage on a Sunday evening with something of each kind to say.
func fullDigest(t *testing.T) (*stage, studio.Post) {
	r := studiotest.Roster()
	names := []string{"bea", "cleo", "dov", "eli"}
	for _, id := range names {
		r.Members = append(r.Members, studiotest.Member(id, studio.Student))
	}
	entry := func(book routine.BookID, n, test int) routine.PlanEntry {
		return routine.PlanEntry{Study: routine.StudyRef{Book: book, Study: n}, Pass: 1, Since: march(1), TestEvery: test}
	}
	r.Plans = map[studio.MemberID]routine.Plan{}
	for _, id := range append(names, "ada") {
		r.Plans[studio.MemberID(id)] = routine.Plan{Entries: []routine.PlanEntry{entry("daily-ground", 1, 0), entry("daily-ground", 2, 0)}}
	}
	r.Plans["eli"] = routine.Plan{Entries: []routine.PlanEntry{entry("articulate-hour", 1, 7)}}
	s := stageOf(t, workshop(), r)
	for day := 2; day <= 22; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		s.says("ada", "all shaky")
		s.says("eli", "all clean")
		if day < 16 {
			s.says("bea", "all shaky")
		}
		if day >= 9 && day <= 12 {
			s.says("dov", "1 60 clean, 2 60 clean")
		}
		if day == 20 {
			s.says("cleo", "done, my lip hurts")
			s.says("dov", "1 72 clean, 2 72 clean")
			s.says("ada", "how high should I hold my hand in 2?")
		}
	}
	s.at("2026-03-22 18:00")
	digests := s.posts("odile", studio.DigestPost)
	return s, digests[len(digests)-1]
}

func TestDigestSaysTheMostUrgentFirst(t *testing.T) {
	s, p := fullDigest(t)
	last := 0
	for _, head := range []string{"Hurting: Cleo", "Gone quiet: Bea", "Ready to be heard: Dov", "Stuck: Ada", "Not answered: Ada", "Moved: ", "", "Pass through: Dov", "Minute test: Eli"} {
		n := s.point(p, head)
		if head == "" {
			continue
		}
		if n <= last {
			t.Errorf("“%s” is number %d, after %d:\n%s", head, n, last, pointsText(p))
		}
		last = n
	}
	parts := map[string]bool{}
	before := ""
	for i, it := range p.Items {
		if it.N != i+1 {
			t.Errorf("point %d has number %d", i+1, it.N)
		}
		if it.Part != before && parts[it.Part] {
			t.Errorf("the part %q comes twice", it.Part)
		}
		parts[it.Part], before = true, it.Part
		if len(it.Choices) == 0 {
			t.Errorf("nothing can be answered to “%s”", it.Head)
		}
		if i < len(p.Choices) && p.Choices[i].Label != it.Choices[0].Label {
			t.Errorf("button %d is %q, want that of point %d, %q", i+1, p.Choices[i].Label, i+1, it.Choices[0].Label)
		}
	}
	if len(parts) != 4 {
		t.Errorf("parts %v, want four", parts)
	}
	if it := p.Items[s.point(p, "Moved: ")-1]; it.Picture == 0 || p.Pictures[it.Picture-1].Tempo == nil {
		t.Errorf("who moved most comes with picture %d", it.Picture)
	}
}

func TestDigestIsAnsweredByNumbers(t *testing.T) {
	s, p := fullDigest(t)
	quiet, ready, through, test := s.point(p, "Gone quiet: Bea"), s.point(p, "Ready to be heard: Dov"), s.point(p, "Pass through: Dov"), s.point(p, "Minute test: Eli")
	s.says("odile", fmt.Sprintf("%d ok, %d hold, %d hold", ready, through, test))
	s.wantLast("odile", fmt.Sprintf("%d: Signed off for Dov", ready), fmt.Sprintf("%d: Dov stays in pass 1", through), "no minute test for Eli before")
	if e := s.entry("dov", "daily-ground/1"); !e.Stay || e.Opens != 0 {
		t.Errorf("after “hold” the plan says %+v", e)
	}
	s.says("odile", fmt.Sprintf("%d ok", quiet))
	s.wantLast("bea", "How are you?", "nothing to make up for", "From Odile")
	s.says("odile", fmt.Sprintf("%d", quiet))
	s.wantLast("odile", "Bea, the last 14 days")
	asks := s.point(p, "Not answered: Ada")
	s.says("odile", fmt.Sprintf("%d: level with your chin, 2 fingers lower", asks))
	s.wantLast("ada", "level with your chin, 2 fingers lower")
	s.says("odile", "digest")
	if got := pointsText(s.last("odile")); strings.Contains(got, "Not answered") || strings.Contains(got, "Ready to be heard: Dov") {
		t.Errorf("what was dealt with is there again:\n%s", got)
	}
	s.says("odile", "99 ok")
	s.wantLast("odile", "no number 99")
	s.says("odile", "2 bananas")
	s.wantLast("odile", "did not understand")
}

// What the digest announces happens on the day it names, once, and not after a
// word against it.
func TestPassOpensAsAnnounced(t *testing.T) {
	for _, held := range []bool{false, true} {
		s, p := fullDigest(t)
		n := s.point(p, "Pass through: Dov")
		if d := p.Items[n-1].Detail; !strings.Contains(d, "Pass 2 opens on Wednesday 25 March.") {
			t.Fatalf("the digest says %q", d)
		}
		if held {
			s.says("odile", fmt.Sprintf("%d hold", n))
		}
		s.at("2026-03-24 23:00")
		if e := s.entry("dov", "daily-ground/1"); e.Pass != 1 {
			t.Errorf("it is open on the day before: %+v", e)
		}
		s.restart()
		s.at("2026-03-25 07:00")
		s.at("2026-03-25 07:01")
		want := 2
		if held {
			want = 1
		}
		if e := s.entry("dov", "daily-ground/1"); e.Pass != want || e.Opens != 0 {
			t.Errorf("held %t: on the day the plan says %+v, want pass %d", held, e, want)
		}
		told := 0
		for _, post := range s.posts("dov", studio.AnswerPost) {
			if post.Title == "First steps, pass 2" {
				told++
			}
		}
		if told != want-1 {
			t.Errorf("held %t: the student was told %d times", held, told)
		}
	}
}

func TestDigestOfAnySpan(t *testing.T) {
	s, _ := fullDigest(t)
	s.says("odile", "holiday 2026-04-24 2026-04-26")
	s.at("2026-05-02 12:00")
	s.says("odile", "digest 2026-03-20 2026-03-22")
	p := s.last("odile")
	if p.Title != "From 20 March 2026 to 22 March 2026" || len(p.Choices) != 0 {
		t.Errorf("%q with choices %+v, want the span, and nothing to answer so long after", p.Title, p.Choices)
	}
	if got := pointsText(p); !strings.Contains(got, "Hurting: Cleo") || !strings.Contains(got, "Ready to be heard: Dov") {
		t.Errorf("as it was then:\n%s", got)
	}
	s.says("odile", "digest 2026-03-02 2026-03-08")
	if got := pointsText(s.last("odile")); strings.Contains(got, "Hurting") || strings.Contains(got, "Dov: Daily") {
		t.Errorf("in the first week nothing of that had happened:\n%s", got)
	}
	s.says("odile", "digest 2026-04-20 2026-04-22")
	if p := s.last("odile"); slices.ContainsFunc(p.Items, func(it studio.PostItem) bool { return strings.Contains(it.Head+it.Detail, "week") }) {
		t.Errorf("a span whose next week is over too looks ahead, or counts weeks in a row up to today:\n%s", pointsText(p))
	}
	s.says("odile", "digest 2026-05-03 2026-05-10")
	s.wantLast("odile", "3 May is still to come")
	s.says("odile", "digest 2026-03-08 2026-03-02")
	s.wantLast("odile", "2026-03-02 is before 2026-03-08")
	s.says("odile", "digest 2025-01-01 2025-01-31")
	s.wantLast("odile", "nothing to say of 1 January 2025")
}

// A week in which nobody was to play and nobody did is passed over in silence.
func TestNoDigestOfAHoliday(t *testing.T) {
	s := newStage(t)
	s.says("odile", "holiday 2026-03-02 2026-03-15")
	s.at("2026-03-08 18:00")
	if n := len(s.posts("odile", studio.DigestPost)); n != 1 {
		t.Errorf("%d digests, want one: it tells of the holiday to come", n)
	}
	s.at("2026-03-15 18:00")
	if n := len(s.posts("odile", studio.DigestPost)); n != 1 {
		t.Errorf("%d digests after the second week, want none for it:\n%s", n, pointsText(s.last("odile")))
	}
}

// ISO 8601: the week from 28 December 2026 to 3 January 2027 is week 53 of 2026.
// In London the clocks go forward on 29 March 2026 and back on 25 October (IANA).
func TestDigestAtTheEndsOfYearAndSummer(t *testing.T) {
	for _, tt := range []struct{ from, at, title, key string }{
		{"2026-12-28 06:00", "2027-01-03 18:00", "Week 53,", "digest/harbour/2026-W53@odile"},
		{"2026-03-23 06:00", "2026-03-29 17:00", "Week 13,", "digest/harbour/2026-W13@odile"},
		{"2026-10-19 05:00", "2026-10-25 18:00", "Week 43,", "digest/harbour/2026-W43@odile"},
	} {
		s := newStage(t)
		s.at(tt.from)
		before := len(s.posts("odile", studio.DigestPost))
		s.says("ada", "all done 30m")
		due, err := time.Parse("2006-01-02 15:04", tt.at)
		if err != nil {
			t.Fatal(err)
		}
		s.now = due.Add(-time.Minute)
		s.work()
		early := len(s.posts("odile", studio.DigestPost))
		s.at(tt.at)
		s.now = due.Add(time.Hour)
		s.work()
		posts := s.posts("odile", studio.DigestPost)
		if early != before || len(posts) != before+1 {
			t.Fatalf("%s: %d digests, then %d, then %d; want one more, at the time", tt.at, before, early, len(posts))
		}
		if p := posts[len(posts)-1]; !strings.HasPrefix(p.Title, tt.title) || string(p.Key) != tt.key {
			t.Errorf("%s: %q under %q, want %q under %q", tt.at, p.Title, p.Key, tt.title, tt.key)
		}
	}
}
