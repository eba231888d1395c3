package studiotest

import (
	"errors"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

func (s *store) reports(m studio.MemberID, from, to routine.Date) []studio.Report {
	s.t.Helper()
	return get(s, func(tx studio.Tx) ([]studio.Report, error) { return tx.Reports(m, from, to) })
}

func (s *store) lineEntries(m studio.MemberID, l routine.LineRef, pass int) []routine.Entry {
	s.t.Helper()
	return get(s, func(tx studio.Tx) ([]routine.Entry, error) { return tx.LineEntries(m, l, pass) })
}

// fullReport returns a report with every field set.
func fullReport() studio.Report {
	r := report(1, monday, 1, 2)
	r.At = at(7)
	r.Day = routine.DayReport{
		Date: monday, Played: true, Minutes: 25, Feel: routine.Tired, Pain: true, PainGone: true,
		Excuse: routine.Ill, Late: true,
	}
	r.Entries[0] = routine.Entry{
		Date: monday, Item: 1, Lines: []routine.LineRef{slurs.Line(1), ground.Line(14)}, Pass: 2, Outcome: routine.Shaky,
		From: quarter(84), To: routine.Tempo{BPM: 132.25, Note: routine.Eighth}, Approx: true, Reps: 2, Of: 3,
		Minutes: 12, Remark: "höher geht’s nicht \"<&>\" 🎺\n", Hard: true,
	}
	return r
}

func testReports(t *testing.T, s *store) {
	s.update(settle)
	s.stores(written("m1", "done", noon))
	bare := studio.Report{Member: wim, At: noon, Day: routine.DayReport{Date: monday - 1, Excuse: routine.Travel}}
	kept := s.appends(fullReport(), bare, report(1, monday+1, 3))
	seq := int64(0)
	for _, r := range kept {
		if r.ID == 0 || r.Day.Seq <= seq {
			t.Fatalf("report %d has day %d after %d", r.ID, r.Day.Seq, seq)
		}
		seq = r.Day.Seq
		for _, e := range r.Entries {
			if e.Seq <= seq {
				t.Fatalf("entry %d comes after %d", e.Seq, seq)
			}
			seq = e.Seq
		}
	}
	equal(t, "all reports", s.reports(wim, monday-1, monday+1), kept)
	equal(t, "reports of a date", s.reports(wim, monday, monday), kept[:1])
	equal(t, "reports of no date", s.reports(wim, monday+1, monday), nil)
	equal(t, "another's reports", s.reports(tove, monday-1, monday+1), nil)
	s.refuses("a report that is in the log", func(tx studio.Tx) error { return tx.AppendReport(&kept[0]) })
}

func testWithdrawal(t *testing.T, s *store) {
	s.update(settle)
	s.stores(written("m1", "1 clean", noon), written("m2", "1 2 clean", at(1)))
	kept := s.appends(report(1, monday, 1), report(1, monday-1, 1), report(2, monday, 1, 2))
	withdraw := func(inbox, by int64) (gone []studio.Report) {
		s.update(func(tx studio.Tx) (err error) {
			gone, err = tx.WithdrawReports(inbox, by)
			return err
		})
		return gone
	}
	equal(t, "withdrawn by an update that failed", s.undone(func(tx studio.Tx) ([]studio.Report, error) {
		return tx.WithdrawReports(1, 2)
	}), kept[:2])
	equal(t, "reports after that", s.reports(wim, monday-9, monday+9), kept)
	equal(t, "withdrawn", withdraw(1, 2), kept[:2])
	equal(t, "reports left", s.reports(wim, monday-9, monday+9), kept[2:])
	equal(t, "line entries left", s.lineEntries(wim, slurs.Line(1), 1), kept[2].Entries[:1])
	equal(t, "withdrawn a second time", withdraw(1, 2), nil)
	equal(t, "withdrawn of a message with no reports", withdraw(4711, 2), nil)
	again := s.appends(report(1, monday, 1))
	if again[0].ID <= kept[2].ID {
		t.Errorf("report %d was appended after report %d", again[0].ID, kept[2].ID)
	}
	equal(t, "reports after another", s.reports(wim, monday-9, monday+9), append(kept[2:], again...))
	equal(t, "withdrawn by its own message", withdraw(2, 2), kept[2:3])
}

// undone returns what fn returns in an Update that is then undone.
func (s *store) undone(fn func(tx studio.Tx) ([]studio.Report, error)) (v []studio.Report) {
	s.t.Helper()
	s.refuses("an update that is undone", func(tx studio.Tx) (err error) {
		if v, err = fn(tx); err != nil {
			s.t.Fatal(err)
		}
		return errOurs
	})
	return v
}

func testSupersession(t *testing.T, s *store) {
	s.update(settle)
	s.stores(written("m1", "1 2 clean", noon), written("m2", "1 shaky", at(1)), written("m3", "1 clean", at(2)))
	kept := s.appends(report(1, monday, 1, 2))
	correction := func(inbox int64, of routine.Entry) studio.Report {
		r := report(inbox, monday, 1)
		r.Entries[0].Supersedes = of.Seq
		return s.appends(r)[0]
	}
	second := correction(2, kept[0].Entries[0])
	left := kept[0]
	left.Entries = left.Entries[1:]
	line := func() []routine.Entry { return s.lineEntries(wim, slurs.Line(1), 1) }
	equal(t, "reports with a corrected entry", s.reports(wim, monday, monday), []studio.Report{left, second})
	equal(t, "line with a corrected entry", line(), second.Entries)
	third := correction(3, second.Entries[0])
	equal(t, "line with an entry corrected twice", line(), third.Entries)
	emptied := second
	emptied.Entries = nil
	equal(t, "reports with an entry corrected twice", s.reports(wim, monday, monday), []studio.Report{left, emptied, third})

	s.update(func(tx studio.Tx) error { _, err := tx.WithdrawReports(3, 3); return err })
	equal(t, "line without the last correction", line(), second.Entries)
	s.update(func(tx studio.Tx) error {
		gone, err := tx.WithdrawReports(2, 2)
		equal(t, "withdrawn correction", gone, []studio.Report{second})
		return err
	})
	equal(t, "reports without corrections", s.reports(wim, monday, monday), kept)
	equal(t, "line without corrections", line(), kept[0].Entries[:1])

	correction(2, kept[0].Entries[0])
	s.update(func(tx studio.Tx) error {
		gone, err := tx.WithdrawReports(1, 1)
		equal(t, "withdrawn report with a corrected entry", gone, kept)
		return err
	})
}

func testLineEntries(t *testing.T, s *store) {
	s.update(settle)
	late, early := report(0, monday+5, 1), report(0, monday, 1)
	twice := report(0, monday+5, 1, 1)
	twice.Entries[1].Lines = append(twice.Entries[1].Lines, slurs.Line(1), slurs.Line(2))
	otherPass, other := report(0, monday, 1), report(0, monday, 1)
	otherPass.Entries[0].Pass = 2
	other.Member = tove
	kept := s.appends(late, early, twice, otherPass, other)
	want := []routine.Entry{kept[1].Entries[0], kept[0].Entries[0], kept[2].Entries[0], kept[2].Entries[1]}
	equal(t, "entries by date, then in the order of the log", s.lineEntries(wim, slurs.Line(1), 1), want)
	equal(t, "entries of the other line", s.lineEntries(wim, slurs.Line(2), 1), want[3:])
	equal(t, "entries of the other pass", s.lineEntries(wim, slurs.Line(1), 2), kept[3].Entries)
	equal(t, "another's entries", s.lineEntries(tove, slurs.Line(1), 1), kept[4].Entries)
	equal(t, "entries of a line not played", s.lineEntries(wim, ground.Line(1), 1), nil)
}

func testActs(t *testing.T, s *store) {
	s.update(settle)
	acts := func() []streaks.Act {
		return get(s, func(tx studio.Tx) ([]streaks.Act, error) { return tx.LineActs(wim, slurs.Line(1), 1) })
	}
	equal(t, "no acts", acts(), nil)
	before := s.appends(report(0, monday, 1))
	signed := streaks.Act{Date: monday + 1, Line: slurs.Line(1), Pass: 1, Kind: streaks.SignOff}
	back := streaks.Act{Date: monday, Line: slurs.Line(1), Pass: 1, Kind: streaks.MoveBack, Mark: quarter(72)}
	otherLine, otherPass := back, back
	otherLine.Line, otherPass.Pass = slurs.Line(2), 2
	s.update(func(tx studio.Tx) error {
		for _, a := range []*streaks.Act{&signed, &back, &otherLine, &otherPass} {
			if err := tx.AppendAct(wim, odile, a); err != nil {
				return err
			}
		}
		return nil
	})
	after := s.appends(report(0, monday, 1))
	if !(before[0].Entries[0].Seq < signed.Seq && signed.Seq < back.Seq && back.Seq < after[0].Day.Seq) {
		t.Errorf("acts %d and %d are not counted with the entries around them, %d and %d",
			signed.Seq, back.Seq, before[0].Entries[0].Seq, after[0].Day.Seq)
	}
	equal(t, "acts", acts(), []streaks.Act{back, signed})
	s.refuses("an act that is in the log", func(tx studio.Tx) error { return tx.AppendAct(wim, odile, &signed) })
}

func testStandings(t *testing.T, s *store) {
	s.update(settle)
	all := func() map[routine.StandingKey]routine.Standing {
		return get(s, func(tx studio.Tx) (map[routine.StandingKey]routine.Standing, error) { return tx.Standings(wim) })
	}
	first := routine.StandingKey{Line: slurs.Line(1), Pass: 1}
	second := routine.StandingKey{Line: slurs.Line(1), Pass: 2}
	standing := func(m studio.MemberID, k routine.StandingKey) routine.Standing {
		return get(s, func(tx studio.Tx) (routine.Standing, error) { return tx.Standing(m, k) })
	}
	equal(t, "number of standings at first", len(all()), 0)
	equal(t, "standing of a new line", standing(wim, first), routine.Standing{})
	full := routine.Standing{
		State: routine.Passed, Mark: quarter(96), Best: routine.Tempo{BPM: 66.5, Note: routine.DottedQuarter},
		Last: monday, LastOutcome: routine.Shaky, Plays: 12, Misses: 1, Dones: 2, CleanDays: 3, LastClean: monday - 1,
		PassedOn: monday - 1, Review: 2, Due: monday + 16,
	}
	working := routine.Standing{State: routine.Working, Plays: 1}
	s.update(func(tx studio.Tx) error { return tx.PutStanding(wim, first, working) })
	s.update(func(tx studio.Tx) error { return tx.PutStanding(wim, first, full) })
	s.update(func(tx studio.Tx) error { return tx.PutStanding(wim, second, working) })
	s.update(func(tx studio.Tx) error { return tx.PutStanding(tove, first, working) })
	equal(t, "standings", all(), map[routine.StandingKey]routine.Standing{first: full, second: working})
	equal(t, "standing", standing(wim, first), full)
	equal(t, "another's standing", standing(tove, first), working)
	testBests(t, s, first, second)
	s.update(func(tx studio.Tx) error { return tx.PutStanding(wim, second, routine.Standing{}) })
	equal(t, "bests after the line is new again", s.bests(wim), []streaks.Best{best(first, routine.Slurred, 96)})
	equal(t, "standings after one is new again", all(), map[routine.StandingKey]routine.Standing{first: full})
	equal(t, "standing that is new again", standing(wim, second), routine.Standing{})
}

// testBests keeps bests of two lines of Wim that are not new.
func testBests(t *testing.T, s *store, first, second routine.StandingKey) {
	t.Helper()
	equal(t, "bests at first", s.bests(wim), nil)
	two := []streaks.Best{best(second, routine.SingleTongue, 84), best(second, routine.DoubleTongue, 120)}
	two[1].Key.Fingering, two[1].Key.Test = routine.ThirdValve, true
	put := func(m studio.MemberID, k routine.StandingKey, bests []streaks.Best) {
		s.update(func(tx studio.Tx) error { return tx.PutBests(m, k, bests) })
	}
	put(wim, second, two[:1])
	put(wim, second, two)
	put(wim, first, []streaks.Best{best(first, routine.Slurred, 96)})
	put(tove, first, two[:1])
	put(tove, first, nil)
	put(tove, second, nil)
	equal(t, "bests", s.bests(wim), []streaks.Best{best(first, routine.Slurred, 96), two[0], two[1]})
	equal(t, "bests of a line", get(s, func(tx studio.Tx) ([]streaks.Best, error) { return tx.LineBests(wim, second) }), two)
	equal(t, "bests of a new line", get(s, func(tx studio.Tx) ([]streaks.Best, error) { return tx.LineBests(tove, second) }), nil)
	equal(t, "another's bests", s.bests(tove), nil)
	err := s.refuses("bests of a line that is new", func(tx studio.Tx) error { return tx.PutBests(tove, second, two) })
	if !errors.Is(err, studio.ErrNotFound) {
		t.Errorf("bests of a line that is new: %v, want ErrNotFound", err)
	}
	s.update(func(tx studio.Tx) error {
		st, err := tx.Standing(wim, first)
		if err != nil {
			return err
		}
		return tx.PutStanding(wim, first, st)
	})
	equal(t, "bests after the standing is put again", len(s.bests(wim)), 3)
}

func (s *store) bests(m studio.MemberID) []streaks.Best {
	s.t.Helper()
	return get(s, func(tx studio.Tx) ([]streaks.Best, error) { return tx.Bests(m) })
}

func best(k routine.StandingKey, d routine.Demand, bpm float64) streaks.Best {
	return streaks.Best{Key: streaks.BestKey{Line: k.Line, Pass: k.Pass, Articulation: d}, Tempo: quarter(bpm), Date: monday}
}

func testStreaks(t *testing.T, s *store) {
	s.update(settle)
	streak := func(m studio.MemberID) streaks.State {
		return get(s, func(tx studio.Tx) (streaks.State, error) { return tx.Streak(m) })
	}
	equal(t, "streak at first", streak(wim), streaks.State{})
	full := streaks.State{
		Through: monday, Current: 4, Longest: 11, Weeks: 2, LongestWeeks: 5, TotalWeeks: 9,
		Week: streaks.Week{Planned: 5, Kept: 3}, Hurting: true,
	}
	s.update(func(tx studio.Tx) error { return tx.PutStreak(wim, streaks.State{Through: monday - 1}) })
	s.update(func(tx studio.Tx) error { return tx.PutStreak(wim, full) })
	equal(t, "streak", streak(wim), full)
	equal(t, "another's streak", streak(tove), streaks.State{})
}

// testUnreadable puts what has no text form, and would make the store
// unreadable for good.
func testUnreadable(t *testing.T, s *store) {
	s.update(settle)
	bare := routine.Tempo{BPM: 96}
	s.refuses("an entry with a tempo without note value", func(tx studio.Tx) error {
		r := report(0, monday, 1)
		r.Entries[0].To = bare
		return tx.AppendReport(&r)
	})
	s.refuses("a standing with a tempo without note value", func(tx studio.Tx) error {
		return tx.PutStanding(wim, routine.StandingKey{Line: slurs.Line(1), Pass: 1}, routine.Standing{State: routine.Working, Mark: bare})
	})
	equal(t, "reports after that", s.reports(wim, monday, monday), nil)
}

// testWithdrawMessage withdraws all that was read from a message that was edited
// twice, before the second edit.
func testWithdrawMessage(t *testing.T, s *store) {
	s.update(settle)
	first := written("m1", "1 clean", noon)
	s.stores(first, edited(first, "1", "2 clean", at(1)), written("m2", "3 clean", at(2)), edited(first, "2", "4 clean", at(3)))
	kept := s.appends(report(1, monday, 1), report(2, monday, 2), report(3, monday, 3), report(4, monday, 4))
	withdraw := func(id string, by int64) (gone []studio.Report) {
		s.update(func(tx studio.Tx) (err error) {
			gone, err = tx.WithdrawMessage("room", id, by)
			return err
		})
		return gone
	}
	equal(t, "withdrawn before the message itself", withdraw("m1", 1), nil)
	equal(t, "withdrawn of no message", withdraw("m9", 9), nil)
	equal(t, "withdrawn before the second edit", withdraw("m1", 4), kept[:2])
	equal(t, "reports left", s.reports(wim, monday, monday), kept[2:])
	equal(t, "withdrawn a second time", withdraw("m1", 4), nil)
}

func testObeyedBefore(t *testing.T, s *store) {
	first := written("m1", "note", noon)
	s.stores(first, edited(first, "1", "note again", at(1)), edited(first, "2", "no note", at(2)), written("m2", "x", at(3)))
	judge := func(inbox int64, v studio.Verdict) {
		s.update(func(tx studio.Tx) error { return tx.Judge(inbox, v) })
	}
	before := func(inbox int64) func(studio.Tx) (studio.Stored, error) {
		return func(tx studio.Tx) (studio.Stored, error) { return tx.ObeyedBefore("room", "m1", inbox) }
	}
	judge(1, studio.Obeyed)
	judge(3, studio.Refused)
	judge(4, studio.Obeyed)
	equal(t, "obeyed before all but the first", get(s, before(9)).Text, "note")
	judge(2, studio.Obeyed)
	equal(t, "obeyed before the second edit", get(s, before(3)).Text, "note again")
	equal(t, "obeyed before the first edit", get(s, before(2)).Text, "note")
	notFound(s, "what was obeyed before it was written", func(tx studio.Tx) error { _, err := before(1)(tx); return err })
}

func testOvertaken(t *testing.T, s *store) {
	s.update(settle)
	first := written("m1", "1 clean", noon)
	s.stores(first, edited(first, "1", "2 clean", at(1)), edited(first, "2", "3 clean", at(2)), written("m2", "x", at(3)), edited(written("m3", "", at(4)), "1", "late", at(5)))
	overtaken := func(id string, after int64) bool {
		return get(s, func(tx studio.Tx) (bool, error) { return tx.Overtaken("room", id, after) })
	}
	equal(t, "the first text is overtaken", overtaken("m1", 1), true)
	equal(t, "the first edit is overtaken", overtaken("m1", 2), true)
	equal(t, "the second edit is overtaken", overtaken("m1", 3), false)
	equal(t, "another message is overtaken", overtaken("m2", 0), false)
	for id, want := range map[string]string{"m1": "1 clean", "m3": "late"} {
		equal(t, "the first of "+id, get(s, func(tx studio.Tx) (studio.Stored, error) { return tx.FirstOf("room", id) }).Text, want)
	}
	notFound(s, "the first of no message", func(tx studio.Tx) error { _, err := tx.FirstOf("room", "m9"); return err })
	s.stores(deleted(first, at(6)))
	equal(t, "an edit of a deleted message is overtaken", overtaken("m1", 99), true)
}
