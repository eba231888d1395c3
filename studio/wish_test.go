package studio_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio"
)

func TestShortDay(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	before := s.routineOf("ada")
	s.says("ada", "short 15")
	r := s.routineOf("ada")
	if r.Number != 2 || r.Minutes > 15 || len(r.Items) == 0 || before.Minutes <= 15 {
		t.Fatalf("the routine of %d min became number %d of %d min with %d items", before.Minutes, r.Number, r.Minutes, len(r.Items))
	}
	p := s.last("ada")
	if p.Kind != studio.RoutinePost || !strings.Contains(p.Foot, "write “done 15”") || !strings.Contains(p.Title, "replaces number 1") {
		t.Errorf("she is answered with %+v", p)
	}
	s.wantEntries("ada", march(2)) // nothing was logged by it
	s.says("ada", "all done")
	if n := len(s.entries("ada", march(2))); n != len(r.Items) {
		t.Errorf("%d entries for %d items of the new routine", n, len(r.Items))
	}
	s.at("2026-03-03 07:00")
	if r := s.routineOf("ada"); r.Minutes <= 15 {
		t.Errorf("the next day has %d min, as if it were short too", r.Minutes)
	}
}

// What was reported of the first routine belongs to its items; those of the next
// that have the same numbers are others.
func TestReplyToASecondRoutineOfTheDay(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "1 72 clean")
	first := s.routineOf("ada").Items[0].Lines
	s.says("ada", "short 30")
	r := s.routineOf("ada")
	if r.Number != 2 {
		t.Fatalf("routine number %d", r.Number)
	}
	if slices.ContainsFunc(r.Items, func(it routine.Item) bool { return slices.Contains(it.Lines, first[0]) }) {
		t.Fatalf("lines %v were played and are set again: %+v", first, r.Items)
	}
	s.says("ada", "all done")
	if n := len(s.entries("ada", march(2))); n != 1+len(r.Items) {
		t.Errorf("%d entries, want 1 of the first routine and %d of the second", n, len(r.Items))
	}
	s.rederive("ada")
}

// rederive checks that what is stored of a member's lines is what her log says.
func (s *stage) rederive(who studio.MemberID) {
	s.t.Helper()
	s.view(func(tx studio.Tx) error {
		reports, err := tx.Reports(who, 1, routine.DateOf(s.now, time.UTC)+1)
		if err != nil {
			return err
		}
		return s.sameStandings(tx, who, reports)
	})
}

func TestSoftDayAndWishesTogether(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "add Ada daily-ground/2 f")
	s.at("2026-03-02 07:00")
	loud := func() bool {
		return slices.ContainsFunc(s.routineOf("ada").Items, func(it routine.Item) bool { return it.Demands.Dynamic == routine.Forte })
	}
	if !loud() {
		t.Fatal("nothing is loud on an ordinary day")
	}
	s.says("ada", "Soft")
	if loud() || s.routineOf("ada").Number != 2 {
		t.Errorf("after soft the routine is %+v", s.routineOf("ada"))
	}
	s.says("ada", "short 20")
	if r := s.routineOf("ada"); loud() || r.Minutes > 20 {
		t.Errorf("short after soft is loud, or longer than 20 min: %+v", r)
	}
	s.says("odile", "again Ada")
	if r := s.routineOf("ada"); loud() || r.Minutes > 20 || r.Number != 4 {
		t.Errorf("a new routine from the teacher forgets what she has said of today: %+v", r)
	}
	s.says("ada", "usual")
	s.says("ada", "usual") // nothing new, and no new routine
	if r := s.routineOf("ada"); !loud() || r.Number != 5 {
		t.Errorf("after usual the routine is %+v", r)
	}
}

func TestInstrumentAtHand(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "with cornet")
	s.wantLast("ada", "the same for every instrument")
	if r := s.routineOf("ada"); r.Number != 1 {
		t.Errorf("routine number %d for a plan that knows no instruments", r.Number)
	}
	err := s.store.Update(t.Context(), func(tx studio.Tx) error {
		plan, err := tx.Plan("ada")
		if err != nil {
			return err
		}
		plan.Entries[1].Instrument = "Cornet"
		return tx.PutPlan("ada", plan)
	})
	if err != nil {
		t.Fatal(err)
	}
	scales := func() bool {
		return slices.ContainsFunc(s.routineOf("ada").Items, func(it routine.Item) bool { return it.Study.Study == 2 })
	}
	s.says("odile", "again Ada")
	if scales() {
		t.Error("a study for the cornet comes on the trumpet")
	}
	s.says("ada", "with cornet")
	if !scales() {
		t.Error("the study for the cornet does not come with the cornet at hand")
	}
	s.says("ada", "/with banjo")
	s.wantLast("ada", "trumpet, cornet")
}

func TestWishThatLeavesNothingChangesNothing(t *testing.T) {
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "all done 38m")
	s.says("ada", "short 10")
	s.wantLast("ada", "Nothing more of your plan fits")
	if r := s.routineOf("ada"); r.Number != 1 {
		t.Errorf("routine number %d, want the first", r.Number)
	}
	s.says("ada", "/short 500")
	s.wantLast("ada", "from 5 to 240")
}

func TestMinorWithoutConsentWishesNothing(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "template Mina beginner")
	s.at("2026-03-02 07:00")
	s.says("mina", "short 15")
	s.wantLast("mina", "a guardian has to agree first")
	if n := len(s.posts("mina", studio.RoutinePost)); n != 0 {
		t.Errorf("%d routines before consent", n)
	}
}

// A student's words without a slash are a command only if they can hardly be
// meant as a reply: but for “short 15”, none of them would be logged, and around
// it nearly anything still is a reply.
func TestStudentsCommandsAreNoReplies(t *testing.T) {
	reader, err := reply.NewReader()
	if err != nil {
		t.Fatal(err)
	}
	s := workshopStage(t)
	s.at("2026-03-02 07:00")
	r := s.routineOf("ada")
	for _, lang := range []string{"en", "de", "fr", "es"} {
		for _, text := range []string{"soft", "usual", "best", "best daily-ground/1", "with cornet", "with tenor horn", "help", "progress"} {
			for _, rd := range reader.Read(text, reply.Context{Routine: &r, Today: march(2), Lang: lang}) {
				if len(rd.Items) > 0 || rd.Minutes > 0 || rd.All != "" || rd.Excused != "" || rd.Feel != "" || rd.Pain {
					t.Errorf("%q is a command, but would be logged as a reply in %s: %+v", text, lang, rd)
				}
			}
		}
	}
	for _, text := range []string{"short session 15", "short 15m", "short, 15", "with some trouble: 1 shaky", "best day yet, all done"} {
		before := len(s.posts("ada", studio.RoutinePost))
		s.says("ada", text)
		if n := len(s.posts("ada", studio.RoutinePost)); n != before {
			t.Errorf("%q was taken as a command", text)
		}
	}
}
