package studio_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

// TestRandomLogDerivesTheSame has a student live through random weeks: answers
// of all kinds, late, edited, deleted, undone and told twice, and a teacher who
// signs off and moves back. Whatever happened, folding the log again from
// nothing must give the standings and the streak that are stored.
func TestRandomLogDerivesTheSame(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newStage(t)
		var told []studio.Message
		days := rapid.IntRange(3, 12).Draw(rt, "days")
		for day := range days {
			s.now = monday.AddDate(0, 0, day).Add(2 * time.Hour)
			s.work()
			for range rapid.IntRange(0, 3).Draw(rt, "happenings") {
				s.now = s.now.Add(time.Duration(rapid.IntRange(1, 300).Draw(rt, "minutes")) * time.Minute)
				told = s.randomly(rt, told)
			}
		}
		s.rederiveAll("ada")
	})
}

// randomly lets one thing happen.
func (s *stage) randomly(rt *rapid.T, told []studio.Message) []studio.Message {
	texts := []string{
		"all done 30m", "1 60 clean, 2 60 shaky", "1 72 clean", "2 missed", "1 missed, 2 missed", "rest", "ill", "nothing today",
		"yesterday: done 30", "yesterday: 1 72 clean", "my lip hurts", "pain gone", "undo", "1 skip", "sorry 2 was shaky", "thanks!", "99 clean", "short 20", "soft", "usual", "all done",
	}
	text := rapid.SampledFrom(texts).Draw(rt, "text")
	what := rapid.SampledFrom([]string{"say", "say", "say", "twice", "edit", "delete", "sign", "back", "again"}).Draw(rt, "what")
	if len(told) == 0 && (what == "edit" || what == "delete" || what == "twice") {
		what = "say"
	}
	switch what {
	case "say":
		return append(told, s.says("ada", text))
	case "sign":
		s.says("odile", fmt.Sprintf("sign-off Ada daily-ground/1/%d", rapid.IntRange(1, 4).Draw(rt, "line")))
	case "again":
		s.says("odile", "again Ada")
	case "back":
		s.says("odile", fmt.Sprintf("move-back Ada daily-ground/1/%d quarter=60", rapid.IntRange(1, 4).Draw(rt, "line")))
	default:
		m := told[rapid.IntRange(0, len(told)-1).Draw(rt, "which")]
		if what == "edit" {
			s.serial++
			m.Happening, m.Revision, m.Text = studio.Edited, fmt.Sprint(s.serial), text
		}
		if what == "delete" {
			m.Happening = studio.Deleted
		}
		s.happens(m)
	}
	return told
}

// rederiveAll folds a member's whole log again, standings and streak.
func (s *stage) rederiveAll(who studio.MemberID) {
	s.t.Helper()
	place, err := s.service.Place(s.t.Context(), who)
	if err != nil {
		s.t.Fatal(err)
	}
	s.view(func(tx studio.Tx) error {
		reports, err := tx.Reports(who, 1, march(31))
		if err != nil {
			return err
		}
		if err := s.sameStandings(tx, who, reports); err != nil {
			return err
		}
		return s.sameStreak(tx, who, reports, place.Tally)
	})
}

// sameStandings folds each line again that the reports speak of or that is stored,
// its bests too.
func (s *stage) sameStandings(tx studio.Tx, who studio.MemberID, reports []studio.Report) error {
	entries := map[routine.StandingKey][]routine.Entry{}
	for _, r := range reports {
		for _, e := range r.Entries {
			for _, line := range e.Lines {
				key := routine.StandingKey{Line: line, Pass: e.Pass}
				entries[key] = append(entries[key], e)
			}
		}
	}
	stored, err := tx.Standings(who)
	if err != nil {
		return err
	}
	for key := range stored {
		entries[key] = append(entries[key], nil...)
	}
	for key, some := range entries {
		acts, err := tx.LineActs(who, key.Line, key.Pass)
		if err != nil {
			return err
		}
		rule := streaks.RuleOf(*s.books.Study(key.Line.StudyRef()).Pass(key.Pass))
		if fresh := streaks.Stand(some, acts, rule); stored[key] != fresh {
			s.t.Errorf("%v is stored as\n%+v; the log says\n%+v", key.Line, stored[key], fresh)
		}
		bests, err := tx.LineBests(who, key)
		if err != nil {
			return err
		}
		if fresh := streaks.Bests(some, key.Line); !slices.Equal(bests, fresh) {
			s.t.Errorf("the bests of %v are stored as\n%+v; the log says\n%+v", key.Line, bests, fresh)
		}
	}
	return nil
}

// sameStreak counts the streak again from the days of the log, with a calendar
// written out by hand: nobody is off, and every date from Monday counts.
func (s *stage) sameStreak(tx studio.Tx, who studio.MemberID, reports []studio.Report, got streaks.Tally) error {
	var days []routine.DayReport
	for _, r := range reports {
		days = append(days, r.Day)
	}
	m, err := tx.Member(who)
	if err != nil {
		return err
	}
	cal := streaks.Calendar{Joined: m.Joined, Pauses: m.Pauses}
	today := routine.DateOf(s.now, m.Location())
	settled := today - 1
	if s.now.Hour() < 12 { // before the cut-off of yesterday; London is on UTC all these weeks
		settled--
	}
	all := streaks.Days(days)
	state := streaks.Advance(streaks.State{}, cal, all, settled)
	tail := slices.DeleteFunc(slices.Clone(all), func(d streaks.Day) bool { return d.Date <= settled })
	if want := state.Tally(cal, tail, today); got != want {
		s.t.Errorf("the streak is stored as\n%+v; the log says\n%+v", got, want)
	}
	return nil
}
