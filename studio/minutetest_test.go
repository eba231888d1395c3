package studio_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/studio"
)

// minuteTest returns the number of today's minute test on Ada's routine, 0 if
// there is none.
func (s *stage) minuteTest() routine.Item {
	for _, it := range s.routineOf("ada").Items {
		if it.Test {
			return it
		}
	}
	return routine.Item{}
}

func TestMinuteTestIsSetHeldAndDueAgain(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "test Ada articulate-hour/1 5")
	s.wantLast("odile", "a minute test every 5 days")
	s.at("2026-03-02 07:00")
	if it := s.minuteTest(); it.Test {
		t.Fatalf("a minute test before anything was clean: %+v", it)
	}
	s.says("ada", "all clean 60")
	var on []routine.Date
	for day := 3; day <= 14; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		if it := s.minuteTest(); it.Test {
			on = append(on, march(day))
			want := fmt.Sprintf("minute test: %d notes without a break", int(it.To.BPM)*4) // four notes a beat
			if it.Notes != int(it.To.BPM)*4 || it.Reason != (routine.Reason{Kind: routine.MinuteTest, N: it.Notes}) {
				t.Errorf("on 2026-03-%02d the test is %d notes at %v, and says %q", day, it.Notes, it.To, it.Reason)
			}
			card := s.posts("ada", studio.RoutinePost)
			if d := card[len(card)-1].Items[it.N-1].Detail; !strings.Contains(d, want) {
				t.Errorf("the card says %q", d)
			}
			s.says("ada", fmt.Sprintf("%d %v clean", it.N, it.To.BPM))
		}
		s.says("ada", "rest done")
	}
	if len(on) < 2 {
		t.Fatalf("minute tests on %v, want at least two in twelve days", on)
	}
	for i := 1; i < len(on); i++ {
		if on[i]-on[i-1] < 5 {
			t.Errorf("minute tests on %v, nearer than 5 days", on)
		}
	}
	s.says("odile", "test Ada articulate-hour/1 none")
	s.says("odile", "test Ada daily-ground/1 14")
	s.wantLast("odile", "a study with a line of repeated notes")
	s.says("odile", "test Ada articulate-hour/1 100")
	s.wantLast("odile", "from 2 to 60")
	if e := s.entry("ada", "articulate-hour/1"); e.TestEvery != 0 {
		t.Errorf("test every %d days", e.TestEvery)
	}
}

// beginTest brings Ada to the first day with a minute test.
func beginTest(t *testing.T, s *stage) routine.Item {
	t.Helper()
	s.says("odile", "test Ada articulate-hour/1 14")
	s.at("2026-03-02 07:00")
	s.says("ada", "all clean 60")
	for day := 3; day <= 6; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		if it := s.minuteTest(); it.Test {
			return it
		}
	}
	t.Fatal("no minute test in four days")
	return routine.Item{}
}

func TestMinuteTestNotHeldIsDoneButCostsTheLineNothing(t *testing.T) {
	s := workshopStage(t)
	it := beginTest(t, s)
	before := s.standing("ada", it.Lines[0].String(), 1)
	s.says("ada", fmt.Sprintf("%d missed", it.N))
	after := s.standing("ada", it.Lines[0].String(), 1)
	before.Last = after.Last
	if after != before {
		t.Errorf("a test that was not held moved the line from\n%+v to\n%+v", before, after)
	}
	s.now = s.now.AddDate(0, 0, 1)
	s.work()
	if it := s.minuteTest(); it.Test {
		t.Errorf("the next day has a minute test again: %+v", it)
	}
	s.rederive("ada")
}

func TestMinuteTestSkippedIsDueTheNextDay(t *testing.T) {
	s := workshopStage(t)
	it := beginTest(t, s)
	s.says("ada", fmt.Sprintf("%d skip, rest done", it.N))
	s.now = s.now.AddDate(0, 0, 1)
	s.work()
	if it := s.minuteTest(); !it.Test {
		t.Error("a test that was skipped is not set again")
	}
}

func TestBestsFollowTheLog(t *testing.T) {
	s := workshopStage(t)
	it := beginTest(t, s)
	s.says("ada", "best")
	p := s.last("ada")
	if len(p.Items) != 3 || p.Items[1].Head != "Daily Ground 1, pass 1 · slurred" || p.Items[1].Detail != "line 1 quarter=60 on 2 March 2026 · line 2 quarter=60 on 2 March 2026" {
		t.Fatalf("bests are %+v", p.Items)
	}
	m := s.says("ada", fmt.Sprintf("%d 66 clean", it.N))
	held := func() string {
		s.says("ada", "best articulate-hour/1")
		for _, it := range s.last("ada").Items {
			if strings.Contains(it.Head, "minute test · single-tongued") {
				return it.Detail
			}
		}
		return ""
	}
	if got, want := held(), fmt.Sprintf("line %d quarter=66, 264 notes on %s", it.Lines[0].Line, "4 March 2026"); got != want { // 4 x 66
		t.Errorf("the minute held is %q, want %q", got, want)
	}
	s.says("ada", fmt.Sprintf("sorry, %d was 63", it.N))
	if got := held(); !strings.Contains(got, "quarter=63, 252 notes") { // 4 x 63
		t.Errorf("after a correction the minute held is %q", got)
	}
	s.says("ada", "undo")
	m.Happening, m.Revision, m.Text = studio.Edited, "1", fmt.Sprintf("%d 66 shaky", it.N)
	s.happens(m)
	if got := held(); got != "" {
		t.Errorf("after an edit to shaky the minute held is %q", got)
	}
	s.says("ada", "best daily-ground/2")
	s.wantLast("ada", "Personal bests, Ada")
	for _, it := range s.last("ada").Items {
		if !strings.HasPrefix(it.Head, "Daily Ground 2") {
			t.Errorf("bests of daily-ground/2 show %q", it.Head)
		}
	}
}

func TestTeacherSeesNewBests(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "1 60 clean")
	s.says("odile", "student Ada")
	if p := s.last("odile"); strings.Contains(p.Foot, "New bests") {
		t.Errorf("a first playing is shown as a new best: %q", p.Foot)
	}
	for day := 3; day <= 25; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		s.says("ada", "all clean")
	}
	s.says("odile", "student Ada")
	s.wantLast("odile", "New bests: The Articulate Hour 1, pass 1 · single-tongued, line 3 quarter=72 on 12 March 2026")
	s.says("odile", "best Ada daily-ground/1")
	if p := s.last("odile"); p.Title != "Personal bests, Ada" || len(p.Items) == 0 || slices.ContainsFunc(p.Items, func(it studio.PostItem) bool { return !strings.HasPrefix(it.Head, "Daily Ground 1") }) {
		t.Errorf("the teacher sees %q with %+v", p.Title, p.Items)
	}
	s.says("ada", "best")
	if n := len(s.last("ada").Items); n < 3 {
		t.Errorf("%d groups of bests after three weeks of all three studies", n)
	}
}

// What players write of a minute test, and what is logged of it.
func TestMinuteTestInWords(t *testing.T) {
	s := workshopStage(t)
	it := beginTest(t, s)
	day := s.routineOf("ada").Date
	for reply, want := range map[string]string{
		"held 66":                   "clean quarter=66",
		"held":                      "clean quarter=63",
		"66 clean":                  "clean quarter=66",
		"broke at 40 s":             "missed quarter=63",
		"broke at 40 seconds":       "missed quarter=63",
		"broke after 40 sec at 66":  "missed quarter=66",
		"held 40 s at 66":           "missed quarter=66",
		"held it for 60 s at 66":    "clean quarter=66",
		"made it to 45 sec":         "missed quarter=63",
		"abgebrochen nach 40 s":     "missed quarter=63",
		"interrompu après 40 s":     "missed quarter=63",
		"se cortó a los 40 s":       "missed quarter=63",
		"66 clean, first 10 s airy": "clean quarter=66",
		"skip":                      "skipped",
	} {
		m := s.memberOf("ada")
		m.Lang = map[byte]string{'a': "de", 'i': "fr", 's': "es"}[reply[0]]
		if m.Lang == "" || reply == "skip" {
			m.Lang = "en"
		}
		if err := s.store.Update(t.Context(), func(tx studio.Tx) error { return tx.PutMember(m) }); err != nil {
			t.Fatal(err)
		}
		s.says("ada", fmt.Sprintf("%d %s", it.N, reply))
		got := s.entries("ada", day)
		if want = fmt.Sprintf("%d %s", it.N, want); len(got) != 1 || strings.TrimSpace(got[0]) != want {
			t.Errorf("%q is logged as %q, want %q", reply, got, want)
		}
		s.says("ada", "undo")
	}
}
