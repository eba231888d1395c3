package studio_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// workshop is a catalogue in which there is something to do for each means that
// teachers and students have: a study whose pass is over at half of its lines,
// one with demands that are not free from the start and lines of any height, and
// one of repeated notes.
func workshop() *routine.Catalogue {
	q := func(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }
	pass := func(n int, share float64, signOff bool, d routine.Demands) routine.Pass {
		d.Repeats, d.From, d.To = 1, q(60), q(60+12*float64(n))
		return routine.Pass{Number: n, CleanDays: 1, Share: share, SignOff: signOff, Demands: d}
	}
	study := func(n int, title string, skill routine.Skill, lines ...routine.Line) routine.Study {
		for i := range lines {
			lines[i].Number, lines[i].Beats = i+1, 16
		}
		return routine.Study{Number: n, Title: title, Skill: skill, Cycle: 4, Together: 2, Lines: lines}
	}
	line := func(high routine.Pitch) routine.Line {
		return routine.Line{Key: "C", Low: 60, High: high, Notes: 32, NotesPerBeat: 2}
	}
	note := routine.Line{Low: 67, High: 67, Notes: 33, NotesPerBeat: 4}
	steps := study(1, "First steps", routine.WarmUp, line(67), line(67), line(67), line(67))
	steps.Passes = []routine.Pass{pass(1, 0.5, false, routine.Demands{Articulation: routine.Slurred}), pass(2, 1, false, routine.Demands{Articulation: routine.SingleTongue, Dynamic: routine.Piano})}
	steps.Passes[1].CleanMeans = "soft, and every beginning still clear"
	scales := study(2, "Scales", routine.Technique, line(67), line(69), line(76), line(79))
	scales.First = map[routine.Demand]int{routine.ThirdValve: 2}
	scales.Passes = []routine.Pass{pass(1, 1, true, routine.Demands{Fingering: routine.Regular}), pass(2, 1, true, routine.Demands{Fingering: routine.ThirdValve})}
	notes := study(1, "One note", routine.Articulation, note, note, note)
	notes.Passes = []routine.Pass{pass(1, 1, false, routine.Demands{Articulation: routine.SingleTongue})}
	notes.Passes[0].CleanDays = 3
	return &routine.Catalogue{Books: []routine.Book{
		{ID: "daily-ground", Title: "Daily Ground", Studies: []routine.Study{steps, scales}},
		{ID: "articulate-hour", Title: "The Articulate Hour", Studies: []routine.Study{notes}},
	}}
}

// workshopStage is a stage with those books, a teacher, Ada with all of them on
// her plan, and Bea with nothing on hers, who goes up to A4 only.
func workshopStage(t *testing.T) *stage {
	t.Helper()
	r := studiotest.Roster()
	bea := studiotest.Member("bea", studio.Student)
	bea.Player.Highest, bea.Player.Level = 69, routine.Beginner
	r.Members = append(r.Members, bea)
	entry := func(book routine.BookID, n int) routine.PlanEntry {
		return routine.PlanEntry{Study: routine.StudyRef{Book: book, Study: n}, Pass: 1, Since: march(1)}
	}
	r.Plans = map[studio.MemberID]routine.Plan{"ada": {Entries: []routine.PlanEntry{
		entry("daily-ground", 1), entry("daily-ground", 2), entry("articulate-hour", 1),
	}}}
	r.Studio.Templates = []studio.Template{{Level: routine.Beginner, Plan: routine.Plan{Entries: []routine.PlanEntry{
		entry("daily-ground", 1), entry("daily-ground", 2),
	}}}}
	books := workshop()
	if problems := books.Validate(); len(problems) > 0 {
		t.Fatal(problems)
	}
	return stageOf(t, books, r)
}

// entry returns what is on a member's plan of a study.
func (s *stage) entry(who, study string) (e routine.PlanEntry) {
	s.t.Helper()
	s.view(func(tx studio.Tx) error {
		plan, err := tx.Plan(studio.MemberID(who))
		for _, x := range plan.Entries {
			if x.Study.String() == study {
				e = x
			}
		}
		return err
	})
	return e
}

// routineOf returns a member's routine of today.
func (s *stage) routineOf(who string) (r routine.Routine) {
	s.t.Helper()
	s.view(func(tx studio.Tx) error {
		m, err := tx.Member(studio.MemberID(who))
		if err != nil {
			return err
		}
		r, err = tx.Routine(m.ID, routine.DateOf(s.now, m.Location()))
		return err
	})
	return r
}

// standing returns how a line stands, such as "daily-ground/1/2".
func (s *stage) standing(who, line string, pass int) (st routine.Standing) {
	s.t.Helper()
	var ref routine.LineRef
	if err := ref.UnmarshalText([]byte(line)); err != nil {
		s.t.Fatal(err)
	}
	s.view(func(tx studio.Tx) (err error) {
		st, err = tx.Standing(studio.MemberID(who), routine.StandingKey{Line: ref, Pass: pass})
		return err
	})
	return st
}

// play has Ada say that some lines of today's routine went some way, and reports
// whether they were on it.
func (s *stage) play(study, how string) (lines []int) {
	s.t.Helper()
	for _, it := range s.routineOf("ada").Items {
		if it.Study.String() == study {
			s.says("ada", fmt.Sprintf("%d %s", it.N, how))
			for _, l := range it.Lines {
				lines = append(lines, l.Line)
			}
		}
	}
	return lines
}

// passFirst has Ada pass two of the four lines of the first study.
func passFirst(t *testing.T, s *stage) {
	t.Helper()
	s.at("2026-03-02 07:00")
	if lines := s.play("daily-ground/1", "72 clean"); !slices.Equal(lines, []int{1, 2}) {
		t.Fatalf("the routine has lines %v of daily-ground/1, want 1 and 2", lines)
	}
}

func TestTeacherIsToldOnceThatAPassIsThrough(t *testing.T) {
	s := workshopStage(t)
	passFirst(t, s)
	told := func() (posts []studio.Post) {
		for _, p := range s.posts("odile", studio.AnswerPost) {
			if strings.Contains(p.Title, "is through pass") {
				posts = append(posts, p)
			}
		}
		return posts
	}
	posts := told()
	if len(posts) != 1 || posts[0].Title != "Ada is through pass 1 of Daily Ground 1" || !strings.Contains(posts[0].Text, "2 of 4 lines passed in pass 1") {
		t.Fatalf("the teacher was told %+v, want once that pass 1 is through", posts)
	}
	if c := posts[0].Choices; len(c) != 2 || c[0].Text != "open Ada daily-ground/1 2" || c[1].Text != "stay Ada daily-ground/1" {
		t.Errorf("choices %+v", c)
	}
	s.says("ada", "undo")
	s.says("ada", "1 72 clean") // and passes again
	s.restart()
	s.at("2026-03-03 07:00")
	s.play("daily-ground/1", "72 clean")
	if n := len(told()); n != 1 {
		t.Errorf("told %d times, want once", n)
	}
}

func TestPassIsNotThroughBeforeItsShare(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "together Ada daily-ground/1 1")
	s.at("2026-03-02 07:00")
	s.says("ada", "1 72 clean")
	if st := s.standing("ada", "daily-ground/1/1", 1); st.State != routine.Passed {
		t.Fatalf("line 1 stands at %+v", st)
	}
	if p := s.last("odile"); strings.Contains(p.Title, "through") {
		t.Errorf("with one line of four passed the teacher is told %q: %q", p.Title, p.Text)
	}
	s.says("odile", "digest")
	if p := s.last("odile"); strings.Contains(pointsText(p), "Pass through") {
		t.Errorf("with one line of four passed the digest says %q", pointsText(p))
	}
}

func TestPassIsNotThroughInQuietHours(t *testing.T) {
	s := workshopStage(t)
	r := studiotest.Roster()
	r.Members[0].Quiet = studio.Hours{From: 6 * 60, To: 9 * 60}
	r.Plans = nil
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	passFirst(t, s)
	if n := len(s.posts("odile", studio.AnswerPost)); n != 0 {
		t.Errorf("%d posts to the teacher in her quiet hours", n)
	}
	s.at("2026-03-02 09:00")
	if n := len(s.posts("odile", studio.AnswerPost)); n != 1 {
		t.Errorf("%d posts when her quiet hours are over, want 1", n)
	}
}

func TestNextPassOpensByTheChoiceAndAnOldOneKeepsItsStandings(t *testing.T) {
	s := workshopStage(t)
	passFirst(t, s)
	choice := s.last("odile").Choices[0].Text
	s.says("odile", choice)
	if e := s.entry("ada", "daily-ground/1"); e.Pass != 2 || e.Since != march(2) {
		t.Fatalf("after “%s” the plan says %+v", choice, e)
	}
	opened := s.last("ada")
	if opened.Title != "First steps, pass 2" || !strings.Contains(opened.Text, "single-tongued") || !strings.Contains(opened.Text, "every beginning still clear") || strings.Count(strings.TrimSuffix(opened.Text, "."), ". ") != 1 {
		t.Errorf("the student reads %q: %q, want the demands in two sentences", opened.Title, opened.Text)
	}
	s.says("odile", "add Ada daily-ground/1 one-breath")
	s.says("odile", choice) // pressed again by mistake
	s.wantLast("odile", "already")
	if e := s.entry("ada", "daily-ground/1"); e.Add.Breath != routine.OneBreath {
		t.Errorf("a second press has undone what was added: %+v", e)
	}
	before := s.standing("ada", "daily-ground/1/1", 1)
	s.says("odile", "open Ada daily-ground/1 1")
	if st := s.standing("ada", "daily-ground/1/1", 1); st != before || st.State != routine.Passed {
		t.Errorf("back in pass 1 line 1 stands at %+v, want %+v", st, before)
	}
	if e := s.entry("ada", "daily-ground/1"); e.Pass != 1 || e.Add != (routine.Demands{}) {
		t.Errorf("back in pass 1 the plan says %+v, want none of what was added in pass 2", e)
	}
	s.says("odile", "digest")
	if p := s.last("odile"); strings.Contains(pointsText(p), "Pass through") {
		t.Errorf("the digest has news of a pass revisited: %q", p.Text)
	}
	s.says("odile", "student Ada")
	if d := s.last("odile").Items[0].Detail; !strings.Contains(d, "passed 1, 2") {
		t.Errorf("back in pass 1 the lines are shown as %q", d)
	}
}

func TestDigestNamesPassesThatAreThroughUntilTheTeacherStays(t *testing.T) {
	s := workshopStage(t)
	passFirst(t, s)
	s.says("odile", "digest")
	if got, want := pointsText(s.last("odile")), "Pass through: Ada: Daily Ground 1: 2 of 4 lines passed in pass 1. Pass 2 waits for your word."; !strings.Contains(got, want) {
		t.Errorf("the digest says %q, want %q in it", got, want)
	}
	s.says("odile", "stay Ada daily-ground/1")
	s.wantLast("odile", "stays in pass 1")
	s.says("odile", "digest")
	if p := s.last("odile"); strings.Contains(pointsText(p), "Pass through") {
		t.Errorf("the digest still says %q", pointsText(p))
	}
}

func TestDigestOffersSignOff(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	lines := s.play("daily-ground/2", "72 clean")
	if len(lines) == 0 {
		t.Fatal("no line of daily-ground/2 today")
	}
	s.says("odile", "digest")
	choices := s.last("odile").Choices
	if len(choices) == 0 || choices[0].Text != "sign-off Ada daily-ground/2/1,2 1" || choices[0].Label != "Sign off Ada: lines 1, 2" {
		t.Fatalf("choices %+v", choices)
	}
	s.says("odile", choices[0].Text)
	s.wantLast("odile", "Signed off for Ada")
	if st := s.standing("ada", "daily-ground/2/1", 1); st.State != routine.Passed {
		t.Errorf("after the choice line 1 stands at %+v", st)
	}
	s.says("odile", choices[0].Text)
	s.wantLast("odile", "passed already")
	s.says("odile", "digest")
	for _, c := range s.last("odile").Choices {
		if strings.HasPrefix(c.Text, "sign-off") {
			t.Errorf("a choice when nothing is ready: %+v", c)
		}
	}
}

// A line may be ready in a pass that the plan has left; the choice names it.
func TestSignOffInAPassLeftBehind(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	s.play("daily-ground/2", "72 clean")
	s.says("odile", "open Ada daily-ground/2 2")
	s.says("odile", "sign-off Ada daily-ground/2/1")
	s.wantLast("odile", "is new for Ada")
	s.says("odile", "sign-off Ada daily-ground/2/1 1")
	if st := s.standing("ada", "daily-ground/2/1", 1); st.State != routine.Passed {
		t.Errorf("line 1 stands at %+v in pass 1", st)
	}
	s.says("odile", "sign-off Ada daily-ground/2/1 9")
	s.wantLast("odile", "passes 1 to 2")
}

func TestDemandsStayForbiddenUntilTheirPass(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "add Ada daily-ground/2 third-valve")
	s.wantLast("odile", "asks for third-valve fingerings from pass 2 on")
	if e := s.entry("ada", "daily-ground/2"); e.Add != (routine.Demands{}) {
		t.Errorf("it was added all the same: %+v", e.Add)
	}
	s.says("odile", "open Ada daily-ground/2 2")
	s.says("odile", "add Ada daily-ground/2 third-valve")
	s.says("odile", "add Ada daily-ground/2 P")
	if e := s.entry("ada", "daily-ground/2"); e.Add.Fingering != routine.ThirdValve || e.Add.Dynamic != routine.Piano {
		t.Errorf("added: %+v", e.Add)
	}
	s.says("odile", "add Ada daily-ground/2 loudly")
	s.wantLast("odile", "the demands are pp, p")
	s.says("odile", "add Ada daily-ground/2 none")
	if e := s.entry("ada", "daily-ground/2"); e.Add != (routine.Demands{}) {
		t.Errorf("after none there is %+v", e.Add)
	}
}

func TestSkippedLinesComeBackOnTheirDate(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "skip Ada daily-ground/1/1-2 2026-03-04")
	s.wantLast("odile", "Lines 1, 2 of daily-ground/1", "Wednesday 4 March")
	has := func(n int) bool {
		return slices.ContainsFunc(s.routineOf("ada").Items, func(it routine.Item) bool {
			return slices.Contains(it.Lines, routine.LineRef{Book: "daily-ground", Study: 1, Line: n})
		})
	}
	for day := 2; day <= 3; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		if has(1) {
			t.Errorf("line 1 on 2026-03-%02d: it was left out until the 4th", day)
		}
	}
	s.at("2026-03-04 07:00")
	if !has(1) {
		t.Error("line 1 does not come on the date it was left out until")
	}
	s.says("odile", "skip Ada daily-ground/1/1 2026-04-01")
	s.says("odile", "skip Ada daily-ground/1/1 2026-03-04")
	s.wantLast("odile", "may come again")
	if e := s.entry("ada", "daily-ground/1"); len(e.Skips) != 0 {
		t.Errorf("still left out: %+v", e.Skips)
	}
	for _, text := range []string{"skip Ada daily-ground/1/1", "skip Ada daily-ground/1/1 soon", "skip Ada daily-ground/1/1 2030-01-01"} {
		s.says("odile", text)
		if e := s.entry("ada", "daily-ground/1"); len(e.Skips) != 0 {
			t.Errorf("“%s” left out %+v", text, e.Skips)
		}
	}
}

func TestSwapMakesANewRoutine(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	old := s.routineOf("ada")
	i := slices.IndexFunc(old.Items, func(it routine.Item) bool { return it.Study.Study == 2 })
	if i < 0 {
		t.Fatal("no scale today")
	}
	s.says("odile", fmt.Sprintf("swap Ada %d daily-ground/2/3", i+1))
	r := s.routineOf("ada")
	want := []routine.LineRef{{Book: "daily-ground", Study: 2, Line: 3}}
	if r.Number != 2 || !slices.Equal(r.Items[i].Lines, want) || r.Items[i].Reason.Kind != routine.PutIn {
		t.Fatalf("after the swap the routine has number %d and item %+v", r.Number, r.Items[i])
	}
	if n := len(s.posts("ada", studio.RoutinePost)); n != 2 {
		t.Errorf("%d routines were posted, want 2", n)
	}
	s.says("ada", fmt.Sprintf("%d 60 clean", i+1))
	if st := s.standing("ada", "daily-ground/2/3", 1); st.Plays != 1 {
		t.Errorf("the reply about the item moved the line to %+v", st)
	}
	s.says("odile", fmt.Sprintf("swap Ada %d daily-ground/2/4", i+1))
	s.wantLast("odile", "has told about item")
	s.says("odile", "swap Ada 1 daily-ground/2/9")
	s.wantLast("odile", "has lines 1 to 4")
	if r := s.routineOf("ada"); r.Number != 2 {
		t.Errorf("a refused swap made routine number %d", r.Number)
	}
}

func TestGroupsMergedAndSplit(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "together Ada daily-ground/1 4")
	s.wantLast("odile", "4 lines to an item")
	s.at("2026-03-02 07:00")
	if n := len(s.routineOf("ada").Items[0].Lines); n != 4 {
		t.Errorf("%d lines in the first item, want 4", n)
	}
	s.says("odile", "together Ada daily-ground/1 0")
	s.wantLast("odile", "2 lines to an item")
	s.says("odile", "together Ada daily-ground/1 40")
	s.wantLast("odile", "from 1 to 12")
	if e := s.entry("ada", "daily-ground/1"); e.Together != 0 {
		t.Errorf("together is %d", e.Together)
	}
}

func TestPlanIsCopiedAsFarAsItFits(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "lock Ada daily-ground/2 quarter=66")
	s.says("odile", "open Bea daily-ground/1 2")
	s.says("odile", "copy-plan Ada Bea")
	s.wantLast("odile", "Put on Bea's plan: daily-ground/2, pass 1; articulate-hour/1, pass 1",
		"daily-ground/1: it is on the plan already, in pass 2", "daily-ground/2: lines 3, 4, outside Bea's range")
	if e := s.entry("bea", "daily-ground/2"); e.Pass != 1 || !e.Lock.IsZero() || e.Since != march(2) {
		t.Errorf("copied as %+v, want without the lock, since today", e)
	}
	if e := s.entry("bea", "daily-ground/1"); e.Pass != 2 {
		t.Errorf("what was on the plan is now %+v", e)
	}
	s.says("odile", "copy-plan Ada Ada")
	s.wantLast("odile", "two students")
	s.says("odile", "copy-plan Mina Bea")
	s.wantLast("odile", "nothing on Mina's plan")
}

func TestCopyLeavesOutOtherInstruments(t *testing.T) {
	s := workshopStage(t)
	r := studiotest.Roster()
	r.Plans = map[studio.MemberID]routine.Plan{"ada": {Entries: []routine.PlanEntry{
		{Study: routine.StudyRef{Book: "daily-ground", Study: 1}, Pass: 1, Instrument: "cornet"},
		{Study: routine.StudyRef{Book: "daily-ground", Study: 2}, Pass: 1, Lines: []int{3, 4}},
	}}}
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	s.says("odile", "copy-plan Ada Bea")
	s.wantLast("odile", "Nothing was put on", "daily-ground/1: it is for the cornet", "daily-ground/2: its lines are outside Bea's range")
}

func TestTemplate(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "template Bea beginner")
	s.wantLast("odile", "Put on Bea's plan: daily-ground/1, pass 1; daily-ground/2, pass 1", "lines 3, 4, outside")
	s.at("2026-03-03 07:00")
	if n := len(s.posts("bea", studio.RoutinePost)); n != 1 {
		t.Errorf("%d routines from the template, want 1", n)
	}
	s.says("odile", "template Bea advanced")
	s.wantLast("odile", "there are: beginner")
}

func TestLadderByPercent(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "ladder Ada daily-ground/1 5%")
	s.wantLast("odile", "goes by 5%")
	s.at("2026-03-02 07:00")
	s.play("daily-ground/1", "60 clean")
	found := false
	for day := 3; day <= 8; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		for _, it := range s.routineOf("ada").Items {
			if !found && it.Lines[0].String() == "daily-ground/1/1" {
				found = true
				if it.To.BPM != 63 || it.Reason != (routine.Reason{Kind: routine.UpAfterClean, Step: 5}) {
					t.Errorf("after clean at 60 line 1 comes at %v because %q, want 63, five in the hundred more", it.To, it.Reason)
				}
			}
		}
		s.says("ada", "all done")
	}
	if !found {
		t.Error("line 1 has not come round in a week")
	}
	s.says("odile", "ladder Ada daily-ground/1 80%")
	s.wantLast("odile", "from 1% to 25%")
	s.says("odile", "ladder Ada daily-ground/1 marks")
	if e := s.entry("ada", "daily-ground/1"); e.Ladder != 0 {
		t.Errorf("the ladder is %v", e.Ladder)
	}
}

func TestPinOfALineThatIsNotHersIsRefused(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "template Bea beginner")
	s.says("odile", "pin Bea daily-ground/2/4")
	s.wantLast("odile", "outside Bea's range")
	if e := s.entry("bea", "daily-ground/2"); len(e.Pinned) != 0 {
		t.Errorf("pinned: %v", e.Pinned)
	}
}

func TestPlanCommandShowsThePlanAndTomorrow(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "test Ada articulate-hour/1 14")
	s.at("2026-03-02 07:00")
	s.says("odile", "plan Ada")
	p := s.last("odile")
	if len(p.Items) != 3 || !strings.Contains(p.Items[2].Head, "minute test every 14 days") || !strings.Contains(p.Foot, "Tomorrow: Daily Ground 1 · lines 3, 4") {
		t.Errorf("the plan is shown as %+v with %q", p.Items, p.Foot)
	}
	s.at("2026-03-03 07:00")
	first := s.routineOf("ada").Items[0]
	if lines := first.Lines; len(lines) == 0 || lines[0].Line == 3 {
		t.Errorf("nothing was played on Monday, and Tuesday begins with lines %v, as if it had been", lines)
	}
	s.says("odile", "off Ada wed")
	s.says("odile", "plan Ada")
	s.wantLast("odile", "Tomorrow: A day off")
	s.says("odile", "plan Bea")
	s.wantLast("odile", "nothing on Bea's plan")
}

// Three books at three passes: each study goes on in its own, under the demands of
// its own pass.
func TestThreeBooksInThreePasses(t *testing.T) {
	books := workshop()
	slurs := books.Books[0].Studies[1]
	slurs.Number, slurs.Title, slurs.Skill = 1, "Slurs", routine.Flexibility
	slurs.Passes = slices.Clone(slurs.Passes)
	third := slurs.Passes[1]
	third.Number, third.Demands.Dynamic = 3, routine.Pianissimo
	slurs.Passes = append(slurs.Passes, third)
	books.Books = append(books.Books, routine.Book{ID: "slur-atlas", Title: "Slur Atlas", Studies: []routine.Study{slurs}})
	if problems := books.Validate(); len(problems) > 0 {
		t.Fatal(problems)
	}
	r := studiotest.Roster()
	r.Plans = nil
	s := stageOf(t, books, r)
	s.says("odile", "close Ada daily-ground/2")
	want := map[string]int{"articulate-hour/1": 1, "daily-ground/1": 2, "slur-atlas/1": 3}
	for study, pass := range want {
		s.says("odile", fmt.Sprintf("open Ada %s %d", study, pass))
	}
	s.at("2026-03-02 07:00")
	came := map[string]bool{}
	for _, it := range s.routineOf("ada").Items {
		study := it.Study.String()
		came[study] = true
		if it.Pass != want[study] || it.Demands.Articulation == routine.Slurred ||
			(study == "slur-atlas/1") != (it.Demands.Dynamic == routine.Pianissimo) || (study == "daily-ground/1") != (it.Demands.Dynamic == routine.Piano) {
			t.Errorf("%s comes in pass %d with %v, want pass %d", study, it.Pass, it.Demands.List(), want[study])
		}
	}
	if len(came) != 3 {
		t.Errorf("the day has %v, want all three books", came)
	}
}

func TestInterleaveByCommand(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "interleave Ada daily-ground/2")
	s.says("odile", "interleave Ada articulate-hour/1")
	s.wantLast("odile", "takes turns with other studies")
	s.at("2026-03-02 07:00")
	turns := 0
	for _, it := range s.last("ada").Items {
		if strings.Contains(it.Detail, "turn about with") {
			turns++
		}
	}
	if turns < 2 {
		t.Errorf("%d items say that they take turns: %+v", turns, s.last("ada").Items)
	}
	s.says("odile", "interleave Ada daily-ground/2 none")
	if s.entry("ada", "daily-ground/2").Interleave || !s.entry("ada", "articulate-hour/1").Interleave {
		t.Error("the plan does not have what the commands said")
	}
}
