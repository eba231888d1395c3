package studio_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/sound"
	"ledgerline/studio"
)

// A hearingChat is a chat whose files are kept in a map.
type hearingChat struct {
	*fakeChat
	files   map[string][]byte
	broken  int // fetches that fail yet
	fetched int
	last    studio.Delivery // the last that was sent
}

func (c *hearingChat) Send(ctx context.Context, d studio.Delivery) (string, error) {
	c.last = d
	return c.fakeChat.Send(ctx, d)
}

func (c *hearingChat) Fetch(_ context.Context, f studio.File, limit int) ([]byte, error) {
	c.fetched++
	if c.broken > 0 {
		c.broken--
		return nil, errors.New("no line")
	}
	file, ok := c.files[f.Ref]
	switch {
	case !ok:
		return nil, &studio.SendError{Permanent: true, Err: errors.New("404")}
	case len(file) > limit:
		return nil, &studio.UnfitError{Why: studio.TooLarge, Err: errors.New("large")}
	}
	return file, nil
}

// An ear hears what is written in the file.
type ear struct{ asked []sound.Ask }

func (e *ear) Hear(_ context.Context, file []byte, ask sound.Ask) (sound.Measurement, error) {
	e.asked = append(e.asked, ask)
	switch string(file) {
	case "slurs":
		return sound.Measurement{CouldNotTell: sound.Legato}, nil
	case "rubbish":
		return sound.Measurement{}, &studio.UnfitError{Why: studio.Damaged, Err: errors.New("rubbish")}
	}
	m := sound.Measurement{Onsets: 384, Seconds: 60, NotesPerSecond: 6.4, BPM: 95.8, Beat: routine.Quarter, LongestUnbroken: 60,
		Held: sound.Yes, Evenness: 4.2, Confidence: 0.97}
	for i := range m.Onsets {
		m.Times = append(m.Times, 1+float64(i)/6.4)
	}
	if string(file) == "broke" {
		m.Held, m.LongestUnbroken, m.Breaks = sound.No, 31.4, []sound.Break{{At: 31.4, Length: 0.4}}
	}
	return m, nil
}

// hearingStage is a stage on which today has a minute test, and its number.
func hearingStage(t *testing.T) (s *stage, chat *hearingChat, e *ear, item routine.Item) {
	s = workshopStage(t)
	s.says("odile", "test Ada articulate-hour/1 5")
	s.at("2026-03-02 07:00")
	s.says("ada", "all clean 60")
	for day := 3; day < 14 && !item.Test; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		if item = s.minuteTest(); !item.Test {
			s.says("ada", "rest done")
		}
	}
	if !item.Test {
		t.Fatal("no minute test in twelve days")
	}
	chat = &hearingChat{fakeChat: s.chat, files: map[string][]byte{"f1": []byte("held"), "f2": []byte("broke"), "f3": []byte("slurs"), "f4": []byte("rubbish")}}
	e = &ear{}
	s.listener = e
	s.service = s.serviceOn(chat)
	return s, chat, e, item
}

// reports returns what stands in a member's log.
func (s *stage) reports(who studio.MemberID) (all []studio.Report) {
	s.t.Helper()
	err := s.store.View(s.t.Context(), func(tx studio.Tx) (err error) {
		all, err = tx.Reports(who, march(1), march(31))
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return all
}

// sends has Ada send a recording, with words or without.
func (s *stage) sends(ref, text string) studio.Message {
	s.serial++
	m := studio.Message{
		Platform: "room", ID: fmt.Sprintf("m%d", s.serial), Happening: studio.Written, Author: studio.Account{Platform: "room", ID: "ada"},
		Private: true, Text: text, At: s.now, Files: []studio.File{{ID: ref, Name: "voice-message.ogg", Type: "audio/ogg", Ref: ref}},
	}
	s.happens(m)
	return m
}

func TestRecordingIsHeardBesideWhatWasTyped(t *testing.T) {
	s, _, e, item := hearingStage(t)
	s.sends("f1", fmt.Sprintf("%d %v clean", item.N, item.To.BPM))
	s.wantLast("ada", "Heard: quarter=96, 384 notes in 60 s.", "Without a break.", "Even to 4 ms.", "You wrote "+item.To.String())
	post := s.last("ada")
	if len(post.Pictures) != 1 || post.Pictures[0].Minute == nil || len(post.Pictures[0].Minute.Onsets) != 384 {
		t.Errorf("pictures %+v, want one of the minute", post.Pictures)
	}
	if e.asked[0].PerBeat != 4 || e.asked[0].Assigned != item.To {
		t.Errorf("asked %+v, want four notes a beat at %v", e.asked[0], item.To)
	}
	reports := s.reports("ada")
	last := reports[len(reports)-1]
	if len(last.Entries) != 1 || last.Entries[0].To != item.To {
		t.Errorf("what was typed is logged as %+v", last.Entries)
	}
	s.says("odile", "digest")
	all := s.last("odile")
	said := ""
	for _, it := range all.Items {
		said += it.Detail + "\n"
	}
	if !strings.Contains(said, "wrote "+item.To.String()+"; heard quarter=96; Without a break.") {
		t.Errorf("the digest says %q", said)
	}
}

func TestRecordingWithoutWords(t *testing.T) {
	s, _, _, _ := hearingStage(t)
	before := len(s.reports("ada"))
	s.sends("f2", "")
	s.wantLast("ada", "Longest stretch without a break 31 s; the first break after 31 s.")
	s.sends("f3", "")
	s.wantLast("ada", "could not tell how it went: the notes run into one another")
	s.sends("f4", "")
	s.wantLast("ada", "the file is damaged")
	s.sends("f9", "")
	s.wantLast("ada", "no longer there")
	if n := len(s.reports("ada")); n != before {
		t.Errorf("%d reports came of recordings alone", n-before)
	}
}

// TestRecordingIsHeardOnce delivers it again, fails to fetch it, and restarts.
func TestRecordingIsHeardOnce(t *testing.T) {
	s, chat, _, _ := hearingStage(t)
	chat.broken = 2
	m := s.sends("f1", "")
	heard := func() (n int) {
		for _, p := range s.posts("ada", studio.ReceiptPost) {
			if strings.HasPrefix(p.Text, "Heard:") {
				n++
			}
		}
		return n
	}
	if n := heard(); n != 0 {
		t.Fatalf("%d answers before it could be fetched", n)
	}
	for range 3 {
		s.now = s.now.Add(20 * time.Minute)
		s.happens(m)
		s.restart()
		s.service = s.serviceOn(chat)
		s.work()
	}
	if n := heard(); n != 1 || chat.fetched != 3 {
		t.Errorf("%d answers after %d fetches, want one after three", n, chat.fetched)
	}
}

func TestRecordingTakenBackIsForgotten(t *testing.T) {
	s, chat, _, _ := hearingStage(t)
	chat.broken = 1
	m := s.sends("f1", "")
	m.Happening, m.Text, m.Files = studio.Deleted, "", nil
	s.happens(m)
	s.now = s.now.Add(time.Hour)
	s.work()
	for _, p := range s.posts("ada", studio.ReceiptPost) {
		if strings.HasPrefix(p.Text, "Heard:") {
			t.Errorf("a recording that was taken back is answered: %q", p.Text)
		}
	}
}

// TestRecordingThatNeverComes is given up, and says so.
func TestRecordingThatNeverComes(t *testing.T) {
	s, chat, _, _ := hearingStage(t)
	chat.broken = 1000
	s.sends("f1", "")
	for range 10 {
		s.now = s.now.Add(12 * time.Hour)
		s.work()
	}
	if chat.fetched != 5 {
		t.Errorf("fetched %d times, want 5", chat.fetched)
	}
	found := false
	for _, p := range s.posts("ada", studio.ReceiptPost) {
		found = found || strings.Contains(p.Text, "could not be fetched")
	}
	if !found {
		t.Error("nobody was told")
	}
}

// TestClickGoesWithTheAnswer asks for clicks, of a minute test and of others.
func TestClickGoesWithTheAnswer(t *testing.T) {
	s, chat, _, item := hearingStage(t)
	s.says("ada", fmt.Sprintf("click %d", item.N))
	p := s.last("ada")
	if p.Click == nil || p.Click.From != item.To || !p.Click.To.IsZero() || p.Click.Seconds != 60 {
		t.Errorf("a click of %+v, want a minute at %v", p.Click, item.To)
	}
	files := chat.last.Files
	if len(files) != 2 || string(files[0].Data[:4]) != "RIFF" || string(files[1].Data[:4]) != "MThd" {
		t.Errorf("%d files went with it, want a WAV and a MIDI file", len(files))
	}
	s.wantLast("ada", fmt.Sprintf("A click for item %d, 1 bar counted in: quarter at", item.N))
	other := 1
	for _, it := range s.routineOf("ada").Items {
		if !it.Test && !it.To.IsZero() {
			other = it.N
		}
	}
	s.says("ada", fmt.Sprintf("click %d", other))
	if p := s.last("ada"); p.Click == nil || p.Click.To.IsZero() || len(p.Click.Marks()) < 2 {
		t.Errorf("a click of %+v, want one that climbs to the goal", p.Click)
	}
	s.says("ada", fmt.Sprintf("click %d 6/8", item.N))
	s.wantLast("ada", "2 beats a bar")
	if p := s.last("ada"); p.Click == nil || p.Click.From.Note != routine.DottedQuarter || p.Click.Divide != 3 || p.Click.From.Compare(item.To) != 0 {
		t.Errorf("in six eighths %+v, want dotted quarters divided in three, as fast as %v", p.Click, item.To)
	}
	s.says("ada", "click 3/4")
	if p := s.last("ada"); p.Click == nil || p.Click.Meter != 3 || p.Click.Divide != 0 {
		t.Errorf("in three quarters %+v", p.Click)
	}
	s.says("ada", "/click 1 3/7")
	s.wantLast("ada", "Write a measure")
	s.says("ada", "click 99")
	s.wantLast("ada", "write click and a number of today’s list")
}

// kept returns what is kept of Ada's recordings, and of the one that was said last.
func (s *stage) kept() (all []studio.KeptSound) {
	s.view(func(tx studio.Tx) (err error) {
		all, err = tx.KeptSounds("ada")
		return err
	})
	return all
}

// TestRecordingIsKeptWhenItsStudentSaysSo, beside it or afterwards, until she lets
// it go; nobody else but who may see her log hears it.
func TestRecordingIsKeptWhenItsStudentSaysSo(t *testing.T) {
	s, chat, _, item := hearingStage(t)
	s.sends("f1", "")
	if n := len(s.kept()); n != 0 {
		t.Fatalf("%d recordings are kept that nobody asked to keep", n)
	}
	first := s.last("ada").Choices
	s.sends("f2", fmt.Sprintf("%d %v clean, keep", item.N, item.To.BPM))
	s.wantLast("ada", "the first break after 31 s", "kept as number 2")
	if len(s.kept()) != 1 || len(s.reports("ada")) == 0 {
		t.Fatalf("kept %+v", s.kept())
	}
	s.says("ada", first[0].Text) // of the first, by its button
	s.wantLast("ada", "kept as number 1")
	s.sends("f4", "keep")
	s.wantLast("ada", "the file is damaged")
	if n := len(s.kept()); n != 2 {
		t.Fatalf("%d recordings are kept, want the two that can be heard", n)
	}

	s.says("ada", "recordings")
	s.wantLast("ada", "1: ", "2: ")
	s.says("odile", "recordings Ada 2")
	handed := s.last("odile")
	if f := chat.last.Files; len(f) != 1 || string(f[0].Data) != "broke" {
		t.Errorf("%d files went to the teacher, want the recording", len(f))
	}
	s.says("odile", "digest")
	if said := pointsText(s.last("odile")); !strings.Contains(said, "(recording 2 is kept)") {
		t.Errorf("the digest says %q", said)
	}
	s.view(func(tx studio.Tx) error {
		for who, may := range map[studio.MemberID]bool{"odile": true, "ada": true, "petra": false, "mina": false} {
			m, err := tx.Member(who)
			if err != nil {
				return err
			}
			files, err := studio.FilesOf(tx, &handed, &m)
			if may != (err == nil && len(files) == 1) || !may && !errors.Is(err, studio.ErrNotFound) {
				t.Errorf("%s gets %d files, %v", who, len(files), err)
			}
		}
		return nil
	})
	e, err := s.service.Export(t.Context(), "ada")
	if err != nil || string(e.Kept["1"]) != "held" || string(e.Kept["2"]) != "broke" {
		t.Errorf("exported %q, %v", e.Kept, err)
	}

	s.says("ada", "discard 2")
	s.wantLast("ada", "Recording 2 is removed")
	s.says("ada", "discard 2")
	s.wantLast("ada", "Write the number of a recording that is kept")
	s.says("odile", "recordings Ada 2")
	s.wantLast("odile", "No recording of that number")
	if k := s.kept(); len(k) != 1 || k[0].Bytes != len("held") {
		t.Errorf("kept %+v, want the first alone", k)
	}
	s.says("petra", "recordings Ada")
	s.wantLast("petra", "only your own students")
}

// TestRecordingThatTheStudioHas comes with its bytes, as from the room: it is let
// go once it was listened to, or if nobody will.
func TestRecordingThatTheStudioHas(t *testing.T) {
	s, _, _, _ := hearingStage(t)
	s.service = s.serviceOn(s.chat) // that can fetch nothing
	brings := func(account, text string, data []byte) (left bool) {
		s.serial++
		m := studio.Message{
			Platform: "room", ID: fmt.Sprintf("m%d", s.serial), Happening: studio.Written, Author: studio.Account{Platform: "room", ID: account},
			Private: true, Text: text, At: s.now, Files: []studio.File{{ID: "take", Name: "take.wav", Type: "audio/wav", Data: data}},
		}
		s.happens(m)
		s.view(func(tx studio.Tx) error {
			all, err := tx.Happenings("room", m.ID)
			if err != nil {
				return err
			}
			_, err = tx.Sound(all[0].Inbox, "take")
			left = err == nil
			return nil
		})
		return left
	}
	if brings("ada", "", []byte("held")) {
		t.Error("the recording is there still")
	}
	s.wantLast("ada", "Heard: quarter=96")
	if c := s.last("ada").Choices; len(c) != 0 {
		t.Errorf("it is gone, and %v are offered", c)
	}
	s.says("ada", "keep")
	s.wantLast("ada", "That recording is gone already")
	if brings("odile", "today", []byte("held")) || brings("stranger", "", []byte("held")) {
		t.Error("a recording of somebody who is not listened to is there still")
	}
	if !brings("ada", "keep", []byte("broke")) {
		t.Error("the recording is not kept")
	}
	if brings("ada", "keep", make([]byte, 33<<20)) {
		t.Error("more is kept than a student may keep")
	}
	s.wantLast("ada", "you keep 32 MB already")
}
