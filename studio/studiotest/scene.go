package studiotest

import (
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
)

// The scene that the tests play in.
const (
	harbour studio.StudioID = "harbour-row"
	odile   studio.MemberID = "odile" // the teacher
	wim     studio.MemberID = "wim"
	tove    studio.MemberID = "tove"
)

var (
	monday = routine.NewDate(2026, time.March, 2)
	noon   = time.Date(2026, time.March, 2, 12, 0, 0, 123_456_000, time.UTC)
	slurs  = routine.StudyRef{Book: "slur-atlas", Study: 3}
	ground = routine.StudyRef{Book: "daily-ground", Study: 2}
	square = studio.Address{Platform: "room", Channel: "square"}
)

// at returns the instant so many seconds after noon.
func at(seconds int) time.Time { return noon.Add(time.Duration(seconds) * time.Second) }

func quarter(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }

func harbourRow() studio.Studio {
	return studio.Studio{
		ID: harbour, Name: "Harbour Row Brass", Zone: "Europe/Lisbon", Lang: "en",
		Channels: []studio.Address{square},
		PostAt:   "0 7 * * *", RemindAt: "0 19 * * *", DigestAt: "0 18 * * 0", CutOff: 12,
		ConsentUnder: []studio.AgeBand{studio.Under13},
		Holidays:     []studio.Span{{From: monday + 30, To: monday + 37}},
	}
}

func person(id studio.MemberID, name string, role studio.Role) studio.Member {
	return studio.Member{
		ID: id, Studio: harbour, Name: name, Role: role, Zone: "Europe/Lisbon", Lang: "en", Age: studio.Adult,
		Accounts: []studio.Account{{Platform: "room", ID: string(id)}},
	}
}

// settle puts the studio, its teacher and two students into the store.
func settle(tx studio.Tx) error {
	if err := tx.PutStudio(harbourRow()); err != nil {
		return err
	}
	for _, m := range []studio.Member{
		person(odile, "Odile", studio.Teacher), person(wim, "Wim", studio.Student), person(tove, "Tove", studio.Student),
	} {
		if err := tx.PutMember(m); err != nil {
			return err
		}
	}
	return nil
}

func written(id, text string, sent time.Time) studio.Message {
	return studio.Message{
		Platform: "room", ID: id, Happening: studio.Written,
		Author: studio.Account{Platform: "room", ID: string(wim)}, Channel: "square", Text: text, At: sent,
	}
}

func edited(m studio.Message, revision, text string, sent time.Time) studio.Message {
	m.Happening, m.Revision, m.Text, m.At = studio.Edited, revision, text, sent
	return m
}

func deleted(m studio.Message, sent time.Time) studio.Message {
	m.Happening, m.Text, m.At = studio.Deleted, "", sent
	return m
}

func receipt(key studio.Key, to studio.Address) studio.Post {
	return studio.Post{Key: key, Kind: studio.ReceiptPost, Studio: harbour, Member: wim, To: to, Text: "Logged: 40 minutes."}
}

// report returns a report of wim's with one entry for each of the lines of
// study 3 of the slur atlas.
func report(inbox int64, d routine.Date, lines ...int) studio.Report {
	r := studio.Report{Member: wim, Inbox: inbox, At: noon, Day: routine.DayReport{Date: d, Played: true, Minutes: 40}}
	for i, n := range lines {
		r.Entries = append(r.Entries, routine.Entry{
			Date: d, Item: i + 1, Lines: []routine.LineRef{slurs.Line(n)}, Pass: 1,
			Outcome: routine.Clean, To: quarter(96),
		})
	}
	return r
}

// stores stores messages and fails unless each is new.
func (s *store) stores(messages ...studio.Message) {
	s.t.Helper()
	s.update(func(tx studio.Tx) error {
		for _, m := range messages {
			isNew, err := tx.StoreMessage(m)
			if err != nil {
				return err
			}
			equal(s.t, "message "+m.ID+" "+string(m.Happening)+" is new", isNew, true)
		}
		return nil
	})
}

// appends appends reports to the log and returns them as they are in it.
func (s *store) appends(reports ...studio.Report) []studio.Report {
	s.t.Helper()
	s.update(func(tx studio.Tx) error {
		for i := range reports {
			if err := tx.AppendReport(&reports[i]); err != nil {
				return err
			}
		}
		return nil
	})
	return reports
}
