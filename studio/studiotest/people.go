package studiotest

import (
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

func testStudios(t *testing.T, s *store) {
	notFound(s, "studio", func(tx studio.Tx) error { _, err := tx.Studio(harbour); return err })
	notFound(s, "studio at a channel", func(tx studio.Tx) error { _, err := tx.StudioAt(square); return err })
	other := studio.Studio{ID: "bell-wharf", Name: "Bell Wharf “Low” Brass ♩", Zone: "America/Halifax"}
	s.update(func(tx studio.Tx) error { return tx.PutStudio(harbourRow()) })
	s.update(func(tx studio.Tx) error { return tx.PutStudio(other) })
	equal(t, "studios", get(s, studio.Tx.Studios), []studio.Studio{other, harbourRow()})

	moved := harbourRow()
	elsewhere := studio.Address{Platform: "matrix", Channel: "!row:example.org"}
	moved.Channels = []studio.Address{elsewhere}
	s.update(func(tx studio.Tx) error { return tx.PutStudio(moved) })
	got := get(s, func(tx studio.Tx) (studio.Studio, error) { return tx.StudioAt(elsewhere) })
	equal(t, "studio at its new channel", got, moved)
	notFound(s, "studio at its old channel", func(tx studio.Tx) error { _, err := tx.StudioAt(square); return err })

	other.Channels = moved.Channels
	s.refuses("another studio's channel", func(tx studio.Tx) error { return tx.PutStudio(other) })
}

func testMembers(t *testing.T, s *store) {
	s.update(settle)
	notFound(s, "member", func(tx studio.Tx) error { _, err := tx.Member("nobody"); return err })
	full := studio.Member{
		ID: "zoe", Studio: harbour, Name: "Zoë", Role: studio.Student, Zone: "Asia/Tokyo", Lang: "fr",
		Age: studio.Under13, Public: true, Quiet: studio.Hours{From: 1290, To: 420},
		Accounts: []studio.Account{{Platform: "discord", ID: "4711"}, {Platform: "room", ID: string(wim)}},
		Player: routine.Player{
			Instrument: "trumpet", Level: routine.Beginner, Minutes: 25, Highest: 79,
			Performances: []routine.Date{monday + 20}, Off: 1, Rise: 40,
		},
		Joined: monday, Consent: monday - 3, Paused: true, Soft: studio.Hours{From: 1260, To: 420}, PostAt: "30 6 * * *", RemindAt: "never",
		Off:    []streaks.OffDays{{From: monday, Off: 65}},
		Pauses: []streaks.Pause{{From: monday + 9, To: monday + 12, Excuse: routine.Travel}},
		Wards:  []studio.MemberID{wim},
	}
	s.update(func(tx studio.Tx) error { return tx.PutMember(full) })
	got := get(s, func(tx studio.Tx) (studio.Member, error) { return tx.Member("zoe") })
	equal(t, "member", got, full)

	names := func(all []studio.Member) (ids []studio.MemberID) {
		for _, m := range all {
			ids = append(ids, m.ID)
		}
		return ids
	}
	members := func(of studio.StudioID) []studio.MemberID {
		return names(get(s, func(tx studio.Tx) ([]studio.Member, error) { return tx.Members(of) }))
	}
	with := func(p studio.Platform, id string) []studio.MemberID {
		a := studio.Account{Platform: p, ID: id}
		return names(get(s, func(tx studio.Tx) ([]studio.Member, error) { return tx.MembersWith(a) }))
	}
	equal(t, "members by name", members(harbour), []studio.MemberID{odile, tove, wim, "zoe"})
	equal(t, "members of no studio", members("nowhere"), nil)
	equal(t, "members of a shared account", with("room", string(wim)), []studio.MemberID{wim, "zoe"})
	equal(t, "members of the same id elsewhere", with("discord", string(wim)), nil)

	full.Name, full.Accounts = "Ada", []studio.Account{{Platform: "discord", ID: "0815"}}
	s.update(func(tx studio.Tx) error { return tx.PutMember(full) })
	equal(t, "members after a change of name", members(harbour), []studio.MemberID{"zoe", odile, tove, wim})
	equal(t, "members of an account given up", with("discord", "4711"), nil)
	equal(t, "members of a new account", with("discord", "0815"), []studio.MemberID{"zoe"})
	equal(t, "accounts on a platform", get(s, func(tx studio.Tx) ([]studio.Account, error) { return tx.AccountsOn("discord") }), full.Accounts)
	equal(t, "accounts elsewhere", get(s, func(tx studio.Tx) ([]studio.Account, error) { return tx.AccountsOn("nowhere") }), nil)
}

func testMembersNeedStudio(t *testing.T, s *store) {
	s.refuses("a member of no studio", func(tx studio.Tx) error { return tx.PutMember(person(wim, "Wim", studio.Student)) })
	s.refuses("a plan of nobody", func(tx studio.Tx) error { return tx.PutPlan(wim, routine.Plan{}) })
	s.refuses("a report of nobody", func(tx studio.Tx) error { r := report(0, monday, 1); return tx.AppendReport(&r) })
	s.refuses("due work of no studio", func(tx studio.Tx) error {
		return tx.PutDue(studio.Due{Kind: studio.DueDigest, Studio: harbour, At: noon})
	})
}

func testPlans(t *testing.T, s *store) {
	s.update(settle)
	plan := func(tx studio.Tx) (routine.Plan, error) { return tx.Plan(wim) }
	notFound(s, "plan", func(tx studio.Tx) error { _, err := plan(tx); return err })
	want := routine.Plan{Entries: []routine.PlanEntry{
		{Study: slurs, Pass: 2, Since: monday, Target: monday + 60, Lines: []int{1, 4}, Pinned: []int{4}},
		{Study: ground, Pass: 1, Add: routine.Demands{Breath: routine.OneBreath, To: quarter(112.5)}, Lock: quarter(66), Hold: true},
	}}
	s.update(func(tx studio.Tx) error { return tx.PutPlan(wim, want) })
	equal(t, "plan", get(s, plan), want)
	s.update(func(tx studio.Tx) error { return tx.PutPlan(wim, routine.Plan{}) })
	equal(t, "emptied plan", get(s, plan), routine.Plan{})
	notFound(s, "another's plan", func(tx studio.Tx) error { _, err := tx.Plan(tove); return err })
}

func testRoutines(t *testing.T, s *store) {
	s.update(settle)
	today := func(tx studio.Tx) (routine.Routine, error) { return tx.Routine(wim, monday) }
	notFound(s, "routine", func(tx studio.Tx) error { _, err := today(tx); return err })
	first := routine.Routine{
		Date: monday, Number: 1, Minutes: 30, Light: true, Note: routine.Reason{Kind: routine.PlaysTomorrow}, Caution: true,
		Items: []routine.Item{{
			N: 1, Book: "Slur Atlas", Title: "Fourths & fifths <open>", Study: slurs, Lines: []routine.LineRef{slurs.Line(3), slurs.Line(4)},
			Key: "Eb", Skill: routine.Flexibility, Pass: 2, Demands: routine.Demands{Dynamic: routine.Piano, Repeats: 2},
			From: quarter(84), To: routine.Tempo{BPM: 144, Note: routine.Eighth}, Minutes: 5, Rest: 5, Reason: routine.Reason{Kind: routine.BackSoon, Outcome: routine.Shaky, N: 2}, Review: true, Hard: true,
		}},
	}
	second := first
	second.Number, second.Note = 2, routine.Reason{Kind: routine.DayOff}
	s.update(func(tx studio.Tx) error { return tx.PutRoutine(wim, first) })
	equal(t, "routine", get(s, today), first)
	s.update(func(tx studio.Tx) error { return tx.PutRoutine(wim, second) })
	equal(t, "latest routine", get(s, today), second)
	changed := first
	changed.Note = routine.Reason{Kind: routine.NothingDue}
	s.refuses("a routine that is there already", func(tx studio.Tx) error { return tx.PutRoutine(wim, changed) })
	equal(t, "latest routine after that", get(s, today), second)
	s.update(func(tx studio.Tx) error { return tx.PutRoutine(tove, first) })
	notFound(s, "another date's routine", func(tx studio.Tx) error { _, err := tx.Routine(tove, monday+1); return err })
}

func testQuestions(t *testing.T, s *store) {
	s.update(settle)
	open := func(tx studio.Tx) ([]studio.Question, error) { return tx.OpenQuestions(wim) }
	equal(t, "no questions", get(s, open), nil)
	s.stores(written("m1", "2 hm", noon))
	asked := []studio.Question{
		{Studio: harbour, Member: wim, Inbox: 1, Day: monday, About: "item 2", Raw: "2 hm", AskedAt: noon,
			Choices: []studio.Choice{{Label: "clean", Text: "2 clean"}, {Label: "shaky", Text: "2 shaky"}}},
		{Studio: harbour, Member: wim, Inbox: 1, Day: monday, About: "item 3", Raw: "2 hm", AskedAt: noon},
		{Studio: harbour, Member: tove, Day: monday, AskedAt: noon},
	}
	s.update(func(tx studio.Tx) error {
		for i := range asked {
			if err := tx.PutQuestion(&asked[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if asked[0].ID == 0 || asked[0].ID >= asked[1].ID {
		t.Fatalf("ids of two questions: %d, %d", asked[0].ID, asked[1].ID)
	}
	equal(t, "open questions", get(s, open), asked[:2])
	asked[0].Closed = true
	s.update(func(tx studio.Tx) error { return tx.PutQuestion(&asked[0]) })
	equal(t, "open questions after an answer", get(s, open), asked[1:2])
	s.refuses("a question with an ID never given", func(tx studio.Tx) error {
		q := asked[1]
		q.ID = 4711
		return tx.PutQuestion(&q)
	})
}

func testChallenges(t *testing.T, s *store) {
	s.update(settle)
	all := func(tx studio.Tx) ([]studio.Challenge, error) { return tx.Challenges(harbour) }
	equal(t, "no challenges", get(s, all), nil)
	spring := studio.Challenge{ID: "spring", Studio: harbour, Title: "High water", From: monday, To: monday + 27, Kind: studio.Kinds()[0], Teams: [][]studio.MemberID{{wim}, {}}, Told: []string{"opening"}, Closes: at(9)}
	winter := studio.Challenge{ID: "winter", Studio: harbour, Title: "Fog horn", From: monday - 60, To: monday - 30, Kind: studio.Kinds()[1], Joined: []studio.MemberID{tove}, Off: true}
	s.update(func(tx studio.Tx) error { return tx.PutChallenge(spring) })
	s.update(func(tx studio.Tx) error { return tx.PutChallenge(winter) })
	equal(t, "challenges", get(s, all), []studio.Challenge{winter, spring})
	spring.From = monday - 90
	s.update(func(tx studio.Tx) error { return tx.PutChallenge(spring) })
	equal(t, "challenges after a change", get(s, all), []studio.Challenge{spring, winter})
}

func testMarks(t *testing.T, s *store) {
	mark := func(tx studio.Tx) (string, error) { return tx.Mark("roster ♭") }
	notFound(s, "mark", func(tx studio.Tx) error { _, err := mark(tx); return err })
	for _, value := range []string{"7", "", "Grüße\x00\n'; --"} {
		s.update(func(tx studio.Tx) error { return tx.PutMark("roster ♭", value) })
		equal(t, "mark", get(s, mark), value)
	}
}

func testDue(t *testing.T, s *store) {
	s.update(settle)
	next := func(tx studio.Tx) (time.Time, error) { return tx.NextDue() }
	by := func(when time.Time, limit int) []studio.Due {
		return get(s, func(tx studio.Tx) ([]studio.Due, error) { return tx.DueBy(when, limit) })
	}
	notFound(s, "next due work", func(tx studio.Tx) error { _, err := next(tx); return err })
	ofWim := studio.Due{Kind: studio.DueRoutine, Studio: harbour, Member: wim, At: at(20), Date: monday}
	ofTove := studio.Due{Kind: studio.DueRoutine, Studio: harbour, Member: tove, At: at(10), Date: monday + 1}
	digest := studio.Due{Kind: studio.DueDigest, Studio: harbour, At: at(30), Date: monday}
	s.update(func(tx studio.Tx) error {
		for _, d := range []studio.Due{ofWim, ofTove, digest} {
			if err := tx.PutDue(d); err != nil {
				return err
			}
		}
		return nil
	})
	equal(t, "next due work", get(s, next), at(10))
	equal(t, "due before the first", by(at(9), 10), nil)
	equal(t, "due by the second", by(at(20), 10), []studio.Due{ofTove, ofWim})
	equal(t, "due, one at most", by(at(60), 1), []studio.Due{ofTove})
	equal(t, "due, none at most", by(at(60), 0), nil)

	ofTove.At, ofTove.Date = at(40), monday+2
	s.update(func(tx studio.Tx) error { return tx.PutDue(ofTove) })
	equal(t, "due after one moved", by(at(60), 10), []studio.Due{ofWim, digest, ofTove})
	s.update(func(tx studio.Tx) error { return tx.RemoveDue(studio.DueRoutine, harbour, wim) })
	s.update(func(tx studio.Tx) error { return tx.RemoveDue(studio.DueDigest, harbour, "") })
	s.update(func(tx studio.Tx) error { return tx.RemoveDue(studio.DueReminder, harbour, wim) })
	equal(t, "due after two went", by(at(60), 10), []studio.Due{ofTove})
}
