package studiotest

import (
	"errors"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/sound"
	"ledgerline/studio"
)

func testHearings(t *testing.T, s *store) {
	s.update(settle)
	next := func(tx studio.Tx) (*studio.Hearing, error) { return tx.NextHearing() }
	notFound(s, "next hearing", func(tx studio.Tx) error { _, err := next(tx); return err })
	m1 := written("m1", "3 96 clean", noon)
	m1.Files = []studio.File{{ID: "f1", Name: "voice.ogg", Type: "audio/ogg", Size: 120000, Seconds: 61.5, Ref: "https://files.example/f1?x=1&y=“2”"}}
	s.stores(m1, written("m2", "", at(1)))
	equal(t, "message with a file", s.unread(1)[0].Message, m1)
	late := studio.Hearing{
		Member: wim, Inbox: s.unread(1)[0].Inbox, Date: monday, File: m1.Files[0], Item: 3, PerBeat: 4, Waiting: true, NextAt: at(90),
		Lines: []routine.LineRef{{Book: "articulate-hour", Study: 1, Line: 3}}, Goal: routine.Tempo{BPM: 96, Note: routine.Quarter},
		Answer: studio.Post{Kind: studio.ReceiptPost, To: studio.Address{Platform: "room", Account: string(wim)}},
	}
	soon := late
	soon.Inbox, soon.NextAt, soon.Date = s.unread(2)[1].Inbox, at(10), monday+1
	for _, h := range []*studio.Hearing{&late, &soon} {
		s.update(func(tx studio.Tx) error { return tx.PutHearing(h) })
	}
	if late.ID == 0 || soon.ID <= late.ID {
		t.Fatalf("ids %d, %d", late.ID, soon.ID)
	}
	equal(t, "next hearing", get(s, next), &soon)
	soon.Waiting, soon.Heard = false, &sound.Measurement{Onsets: 384, BPM: 96, Beat: routine.Quarter, Held: sound.Yes, Breaks: []sound.Break{}}
	s.update(func(tx studio.Tx) error { return tx.PutHearing(&soon) })
	equal(t, "next hearing after one is done", get(s, next), &late)
	equal(t, "hearing", get(s, func(tx studio.Tx) (*studio.Hearing, error) { return tx.Hearing(soon.ID) }), &soon)
	of := func(from, to routine.Date) []studio.Hearing {
		return get(s, func(tx studio.Tx) ([]studio.Hearing, error) { return tx.Hearings(wim, from, to) })
	}
	equal(t, "hearings", of(monday, monday+1), []studio.Hearing{late, soon})
	equal(t, "hearings of a day", of(monday+1, monday+7), []studio.Hearing{soon})
	s.update(func(tx studio.Tx) error { return tx.TakeBackHearings("room", "m1", late.Inbox+1) })
	equal(t, "hearings after one was taken back", of(monday, monday+1), []studio.Hearing{soon})
	if err := s.refuses("a hearing that is gone", func(tx studio.Tx) error { return tx.PutHearing(&late) }); !errors.Is(err, studio.ErrNotFound) {
		t.Errorf("putting a hearing that is gone: %v, want ErrNotFound", err)
	}
}

func testSounds(t *testing.T, s *store) {
	s.update(settle)
	m := written("m1", "", noon)
	m.Files = []studio.File{{ID: "f1", Name: "take.wav", Data: []byte("RIFF\x00\xff")}, {ID: "f2", Ref: "elsewhere"}}
	s.stores(m, written("m2", "", at(1)))
	one, two := s.unread(2)[0].Inbox, s.unread(2)[1].Inbox
	sound := func(inbox int64, file string) func(studio.Tx) ([]byte, error) {
		return func(tx studio.Tx) ([]byte, error) { return tx.Sound(inbox, file) }
	}
	gone := func(what string, inbox int64, file string) {
		t.Helper()
		notFound(s, what, func(tx studio.Tx) error { _, err := tx.Sound(inbox, file); return err })
	}
	kept := func(tx studio.Tx) ([]studio.KeptSound, error) { return tx.KeptSounds(wim) }
	equal(t, "a file that came with its message", get(s, sound(one, "f1")), m.Files[0].Data)
	gone("a file that its chat has", one, "f2")
	equal(t, "kept of one that waits", len(get(s, kept)), 0)

	hold := func(inbox int64, file, data string) {
		s.update(func(tx studio.Tx) error { return tx.PutSound(inbox, file, wim, []byte(data)) })
	}
	hold(one, "f1", "louder")
	hold(two, "f9", "soft")
	equal(t, "kept", get(s, kept), []studio.KeptSound{{Inbox: one, File: "f1", Bytes: 6}, {Inbox: two, File: "f9", Bytes: 4}})
	equal(t, "a file that was put again", get(s, sound(one, "f1")), []byte("louder"))
	for range 2 {
		s.update(func(tx studio.Tx) error { return tx.RemoveSound(two, "f9") })
	}
	gone("a file that was removed", two, "f9")
	s.update(func(tx studio.Tx) error { return tx.TakeBackHearings("room", "m1", one+1) })
	gone("a file of a message that was taken back", one, "f1")

	hold(one, "f1", "again")
	hold(two, "f9", "again")
	s.update(func(tx studio.Tx) error {
		if err := tx.Judge(one, studio.Heard); err != nil {
			return err
		}
		_, err := tx.PurgeWords(at(2))
		return err
	})
	gone("a file of long ago", one, "f1")
	equal(t, "a file of a message that is not read yet", get(s, sound(two, "f9")), []byte("again"))
	s.update(func(tx studio.Tx) error { return tx.RemoveMessage(two) })
	gone("a file of a message that was removed", two, "f9")
	hold(one, "f1", "hers")
	s.update(func(tx studio.Tx) error { return tx.RemoveMember(wim) })
	gone("a file of a member who was removed", one, "f1")
}
