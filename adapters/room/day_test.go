package room

import (
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
)

// furnish fills the scene with a day of every kind of post, and long words.
func (s *scene) furnish() {
	now := s.clock.Now()
	at := func(minutes int) time.Time { return now.Add(time.Duration(minutes) * time.Minute) }
	post := func(minutes int, p studio.Post) {
		p.Studio = "harbour-row"
		if p.To == (studio.Address{}) {
			p.To = lineOfAda
		}
		s.store.posted(p, at(minutes))
	}
	say := func(minutes int, id, author, text, replyTo string, public bool) {
		m := studio.Message{
			Platform: Platform, ID: id, Happening: studio.Written, Author: studio.Account{Platform: Platform, ID: author},
			Channel: author, Private: true, Text: text, ReplyTo: replyTo, At: at(minutes),
		}
		if public {
			m.Channel, m.Private = channel.Channel, false
		}
		s.store.put(m)
	}
	day := -24 * 60
	post(day-60*24*2, studio.Post{Key: "digest/harbour-row/2026-03-02", Kind: studio.DigestPost,
		Title: "Week of 23 February 2026", Text: "Five students, 27 of 31 scheduled days kept.",
		Items: []studio.PostItem{
			{N: 1, Head: "Ada – 6 of 6 days, 214 minutes", Detail: "streak 19 · Slur Atlas 4 ready for sign-off, lines 3 and 5"},
			{N: 2, Head: "Ilo – 3 of 5 days, 96 minutes", Detail: "ill since Thursday · Daily Ground 2 stuck at ♩ = 84 for 12 days"},
		},
		Foot: "One question of Ilo's is still open: item 2 on 26 February.",
		Pictures: []studio.Picture{
			{Alt: "Days kept, 23 February to 1 March.\nAda: kept Monday to Saturday, Sunday off.\nIlo: kept Monday to Wednesday, excused Thursday and Friday."},
			{Alt: "Daily Ground 2, line 14, pass 1: from quarter = 72 on 2 February to quarter = 92 on 1 March; the goal is 104."},
		}})
	post(day, studio.Post{Key: routineKey(3), Kind: studio.ReminderPost, Title: "Nothing from you yet today",
		Text: "If the horn stayed in its case, that is an answer too: write “rest”."})
	say(day+40, "ada/m1", "ada", "done 35m, 2 felt heavy but the top of line 14 finally spoke", "", false)
	post(day+40, studio.Post{Key: "receipt/1", Kind: studio.ReceiptPost, ReplyTo: "ada/m1", Text: "Logged for Tuesday: all four done, 35 minutes. Streak 20."})
	say(day+50, "ada/m2", "ada", "sorry, wrong day", "", false)
	s.store.put(studio.Message{Platform: Platform, ID: "ada/m2", Happening: studio.Deleted, Author: studio.Account{Platform: Platform, ID: "ada"}, Private: true, At: at(day + 51)})
	post(-2, studio.Post{Key: routineKey(4), Kind: studio.RoutinePost, Title: "Ada, Wednesday 4 March",
		Text: "A light day: you play in public on Friday.",
		Items: []studio.PostItem{
			{N: 1, Head: "Slur Atlas 1, line 3 in E flat", Detail: "♩ = 72 · whole line in one breath · p · 5 min · rest 3 min\nWarm-up; not played since Saturday."},
			{N: 2, Head: "Daily Ground 2, lines 14–16", Detail: "♩ = 88 → 92 · single tongue · twice through · 8 min · rest 8 min\nClean at 88 yesterday, so up one mark."},
			{N: 3, Head: "The Articulate Hour 5, line 2", Detail: "♪ = 144 · K tongue · mf · 6 min · rest 6 min\nShaky twice: same tempo again."},
			{N: 4, Head: "Twelve Harbour Pieces 7, “Fog Signal”, bars 1 to 24", Detail: "♩ = 60 · by phrase · 9 min\nFor Friday."},
		},
		Foot:    "45 minutes with rests. Stop if anything hurts: rest, tell your teacher, and see a licensed health professional; this is not medical advice.",
		Choices: []studio.Choice{{Label: "All done", Text: "done"}, {Label: "Resting today", Text: "rest"}, {Label: "Ill", Text: "sick"}}})
	say(1, "ada/m3", "ada", "1 clean, 2 at 90ish, 4 done 30m", "post:"+string(routineKey(4)), false)
	s.store.put(studio.Message{Platform: Platform, ID: "ada/m3", Happening: studio.Edited, Revision: "2", Author: studio.Account{Platform: Platform, ID: "ada"}, Private: true, At: at(1), Text: "1 clean, 2 at 90ish, 4 done\n30m"})
	post(1, studio.Post{Key: "receipt/2", Kind: studio.ReceiptPost, ReplyTo: "ada/m3", Text: "Logged: 1 clean at ♩ = 72; 4 done; 30 minutes. Streak 21."})
	post(1, studio.Post{Key: "question/1", Kind: studio.QuestionPost, ReplyTo: "ada/m3",
		Text:    "Item 2: which tempo did you reach?",
		Choices: []studio.Choice{{Label: "♩ = 88", Text: "2: 88"}, {Label: "♩ = 92", Text: "2: 92"}, {Label: "did not get through", Text: "2: missed"}}})
	post(2, studio.Post{Key: "alert/1", Kind: studio.AlertPost, Member: "ilo", Title: "Pain reported",
		Text: "Ilo wrote: “lip hurts after item 3”. Nothing strenuous is assigned until this is said to be gone.",
		Foot: "Stop; rest; tell your teacher; see a licensed health professional. This is not medical advice."})

	post(day-200, studio.Post{Key: "challenge/1/open", Kind: studio.AnnouncedPost, To: channel, Title: "Sixty days by the equinox",
		Text: "From Monday 2 March to Friday 20 March we keep sixty days, all of us together.\nEvery scheduled day that somebody plays counts one."})
	say(day-100, "odile/c1", "odile", "The hall is ours on Thursday from six. Bring pencils.", "", true)
	say(-30, "ilo/c1", "ilo", "Could we start with the slow one? My lip is not what it was in the summer, and the second valve of the school cornet sticks: https://example.invalid/a-very-long-address-without-any-break/that-goes-on-and-on-and-on/and-on", "", true)
	say(-20, "ada/c1", "ada", "I have oil", "", true)

	s.clock.mu.Lock()
	defer s.clock.mu.Unlock()
	s.clock.t = at(10)
}

func routineKey(day int) studio.Key {
	return studio.RoutineKey("ada", routine.NewDate(2026, 3, day), 1)
}

// crowd gives the scene names that are as long as names may be.
func (s *scene) crowd() {
	s.store.mu.Lock()
	defer s.store.mu.Unlock()
	s.store.studios[0].Name = "The Harbour Row and Lower Quay Brass Band Association for Youth, Returners and Friends"
	for i := range s.store.members {
		if s.store.members[i].ID == "ilo" {
			s.store.members[i].Name = "Ilomarianthelisandrovskaja-Featherstonehaugh-Brandenburgh the Younger"
		}
	}
}
