package studiotest

import (
	"strings"

	"ledgerline/routine"
	"ledgerline/studio"
)

// Catalogue returns a small book: two studies of four lines, two passes each.
func Catalogue() *routine.Catalogue {
	q := func(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }
	study := func(n int, title string, skill routine.Skill) routine.Study {
		st := routine.Study{Number: n, Title: title, Skill: skill, Cycle: 4, Together: 1}
		for i := 1; i <= 4; i++ {
			st.Lines = append(st.Lines, routine.Line{
				Number: i, Key: []string{"C", "G", "F", "Bb"}[i-1], Low: 60, High: 67, Notes: 32, NotesPerBeat: 2, Beats: 16,
			})
		}
		for i := 1; i <= 2; i++ {
			st.Passes = append(st.Passes, routine.Pass{
				Number: i, CleanDays: 1, Share: 1, SignOff: i == 1,
				Demands: routine.Demands{Articulation: routine.Slurred, Repeats: 1, From: q(60), To: q(60 + 12*float64(i))},
			})
		}
		return st
	}
	return &routine.Catalogue{Books: []routine.Book{{ID: "daily-ground", Title: "Daily Ground", Studies: []routine.Study{
		study(1, "First steps", routine.WarmUp), study(2, "Scales", routine.Technique),
	}}}}
}

// Member returns a member of the test studio, with an account of her name in the
// room.
func Member(id string, role studio.Role) studio.Member {
	name := strings.ToUpper(id[:1]) + id[1:]
	m := studio.Member{
		ID: studio.MemberID(id), Studio: "harbour", Name: name, Role: role, Zone: "Europe/London", Lang: "en",
		Age: studio.Adult, Accounts: []studio.Account{{Platform: "room", ID: id}},
	}
	if role == studio.Student {
		m.Joined = routine.NewDate(2026, 3, 1)
		m.Player = routine.Player{Instrument: "trumpet", Level: routine.Growing, Minutes: 40}
	}
	return m
}

// Roster returns a studio of a teacher and two students, one of them a minor with
// a guardian.
func Roster() studio.Roster {
	kid := Member("mina", studio.Student)
	kid.Age = studio.Under13
	guardian := Member("petra", studio.Guardian)
	guardian.Wards = []studio.MemberID{"mina"}
	plan := routine.Plan{Entries: []routine.PlanEntry{
		{Study: routine.StudyRef{Book: "daily-ground", Study: 1}, Pass: 1},
		{Study: routine.StudyRef{Book: "daily-ground", Study: 2}, Pass: 1},
	}}
	return studio.Roster{
		Studio: studio.Studio{
			ID: "harbour", Name: "Harbour Row Brass", Zone: "Europe/London", Lang: "en",
			Channels: []studio.Address{{Platform: "room", Channel: "studio"}},
			PostAt:   "0 7 * * *", RemindAt: "0 19 * * *", DigestAt: "0 18 * * 0",
			CutOff: 12, ConsentUnder: []studio.AgeBand{studio.Under13},
		},
		Members: []studio.Member{Member("odile", studio.Teacher), Member("ada", studio.Student), kid, guardian},
		Plans:   map[studio.MemberID]routine.Plan{"ada": plan, "mina": plan},
	}
}
