package matrix

import (
	"errors"
	"testing"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"

	"ledgerline/studio"
)

// TestRecording has a student send recordings, in the clear and locked, and
// fetches them from the homeserver.
func TestRecording(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	card := sc.post(t, studio.Delivery{Post: routine("routine/ada/1", sc.toAda())})
	line := sc.ada.sees(t, card).RoomID
	sound := []byte("OggS, as it were")

	up, err := sc.ada.UploadMedia(t.Context(), mautrix.ReqUploadMedia{ContentBytes: sound, ContentType: "audio/ogg"})
	if err != nil {
		t.Fatal(err)
	}
	sc.ada.says(t, line, event.EventMessage, &event.MessageEventContent{
		MsgType: event.MsgAudio, Body: "voice.ogg", URL: up.ContentURI.CUString(),
		Info: &event.FileInfo{MimeType: "audio/ogg", Size: len(sound), Duration: 61250},
	})
	m := sc.inbox.get(t, 0)
	if len(m.Files) != 1 || m.Text != "" || !m.Files[0].IsSound() || m.Files[0].Seconds != 61.25 {
		t.Fatalf("heard %+v, want a recording of 61.25 s without words", m)
	}
	if got, err := sc.bot.Fetch(t.Context(), m.Files[0], 1000); err != nil || string(got) != string(sound) {
		t.Errorf("fetched %q, %v", got, err)
	}
	var unfit *studio.UnfitError
	if _, err := sc.bot.Fetch(t.Context(), studio.File{Ref: m.Files[0].Ref}, 5); !errors.As(err, &unfit) || unfit.Why != studio.TooLarge {
		t.Errorf("a file of more than 5 bytes: %v", err)
	}
	if _, err := sc.bot.Fetch(t.Context(), studio.File{Ref: "mxc://localhost/none"}, 1000); err == nil {
		t.Error("a file that is not there was fetched")
	}

	locked := append([]byte(nil), sound...)
	info := lockFile(locked)
	up, err = sc.ada.UploadMedia(t.Context(), mautrix.ReqUploadMedia{ContentBytes: locked, ContentType: "application/octet-stream"})
	if err != nil {
		t.Fatal(err)
	}
	info.URL = up.ContentURI.CUString()
	sc.ada.says(t, line, event.EventMessage, &event.MessageEventContent{
		MsgType: event.MsgAudio, Body: "3 96 clean", FileName: "voice.ogg", File: info, Info: &event.FileInfo{MimeType: "audio/ogg"},
	})
	m = sc.inbox.get(t, 1)
	if m.Text != "3 96 clean" || len(m.Files) != 1 {
		t.Fatalf("heard %+v, want words and a recording", m)
	}
	if got, err := sc.bot.Fetch(t.Context(), m.Files[0], 1000); err != nil || string(got) != string(sound) {
		t.Errorf("fetched %q, %v", got, err)
	}
}
