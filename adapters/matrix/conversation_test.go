package matrix

import (
	"bytes"
	"image"
	"image/png"
	"reflect"
	"strings"
	"testing"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// TestConversation goes through all that a student does on her private line.
func TestConversation(t *testing.T) {
	sc := newScene(t, serve(t, false), nil)
	sc.enter(t)
	converse(t, sc)
}

func converse(t *testing.T, sc *scene) {
	card := sc.post(t, studio.Delivery{Post: routine("routine/ada/2026-03-02/1", sc.toAda())})
	got := sc.ada.sees(t, card)
	line := got.RoomID
	c := got.Content.AsMessage()
	for _, want := range []string{
		"<p><strong>Monday 2 March</strong></p>",
		`<ol start="1"><li><strong>Daily Ground 2 · line 14 · B flat</strong><br>quarter=84 to 92 · slurred · 8 min, then rest 8<br>Up one mark after two clean days.</li><li><strong>Slur Atlas 3`,
		"</li></ol><p><em>About 30 min with rests.",
		"Ⓐ Played it all  ·  Ⓑ Part of it  ·  Ⓒ Rest day  ·  Ⓓ I can&#39;t today",
	} {
		if !strings.Contains(c.FormattedBody, want) {
			t.Errorf("the card lacks %q:\n%s", want, c.FormattedBody)
		}
	}
	if !strings.Contains(c.Body, "\n1. Daily Ground 2 · line 14 · B flat\n   quarter=84 to 92") || strings.Contains(c.Body, "<") {
		t.Errorf("plain body:\n%s", c.Body)
	}
	if c.Mentions == nil || len(c.Mentions.UserIDs) > 0 || c.Mentions.Room {
		t.Errorf("mentions %+v, want present and empty", c.Mentions)
	}
	for _, key := range choiceKeys[:4] {
		sc.ada.awaits(t, "the mark "+key, func(e *event.Event) bool {
			r := e.Content.AsReaction().RelatesTo
			return e.Type == event.EventReaction && r.EventID == got.ID && r.Key == key
		})
	}

	// A reply, an edit of it, and its end.
	said := sc.ada.says(t, line, event.EventMessage, reply(got.ID, "1 96 clean, 2 skip"))
	m := sc.inbox.get(t, 0)
	want := studio.Message{
		Platform: Platform, ID: said.String(), Happening: studio.Written,
		Author: studio.Account{Platform: Platform, ID: sc.ada.UserID.String()}, Channel: line.String(), Private: true,
		Text: "1 96 clean, 2 skip", ReplyTo: card, At: m.At,
	}
	if !reflect.DeepEqual(m, want) || m.At.IsZero() {
		t.Errorf("reply\n got %+v\nwant %+v", m, want)
	}
	changed := sc.ada.says(t, line, event.EventMessage, edit(said, "1 92 clean, 2 skip"))
	m = sc.inbox.get(t, 1)
	want.Happening, want.Revision, want.Text, want.At = studio.Edited, changed.String(), "1 92 clean, 2 skip", m.At
	if !reflect.DeepEqual(m, want) {
		t.Errorf("edit\n got %+v\nwant %+v", m, want)
	}
	if _, err := sc.ada.RedactEvent(t.Context(), line, said); err != nil {
		t.Fatal(err)
	}
	m = sc.inbox.get(t, 2)
	want.Happening, want.Revision, want.Text, want.At = studio.Deleted, "", "", m.At
	if !reflect.DeepEqual(m, want) {
		t.Errorf("redaction\n got %+v\nwant %+v", m, want)
	}

	// A quick answer, its receipt without words, and its end.
	tapped := sc.ada.says(t, line, event.EventReaction, reaction(got.ID, "Ⓐ"))
	m = sc.inbox.get(t, 3)
	want = studio.Message{
		Platform: Platform, ID: tapped.String(), Happening: studio.Written,
		Author: want.Author, Channel: line.String(), Private: true, Text: "all done", ReplyTo: card, At: m.At,
	}
	if !reflect.DeepEqual(m, want) {
		t.Errorf("quick answer\n got %+v\nwant %+v", m, want)
	}
	sc.post(t, studio.Delivery{Post: studio.Post{
		Key: "receipt/4", Kind: studio.ReceiptPost, Studio: "harbour-row", To: sc.toAda(), ReplyTo: tapped.String(), Brief: true, Text: "Logged.",
	}})
	sc.ada.awaits(t, "the receipt's mark below the card", func(e *event.Event) bool {
		r := e.Content.AsReaction().RelatesTo
		return e.Type == event.EventReaction && r.EventID == got.ID && r.Key == receiptMark
	})
	if _, err := sc.ada.RedactEvent(t.Context(), line, tapped); err != nil {
		t.Fatal(err)
	}
	m = sc.inbox.get(t, 4)
	want.Happening, want.Text, want.At = studio.Deleted, "", m.At
	if !reflect.DeepEqual(m, want) {
		t.Errorf("quick answer taken back\n got %+v\nwant %+v", m, want)
	}

	answerInWords(t, sc, line)
	sendPicture(t, sc)
}

func answerInWords(t *testing.T, sc *scene, line id.RoomID) {
	said := sc.ada.says(t, line, event.EventMessage, text("how am I doing"))
	sc.inbox.get(t, 5)
	answer := sc.post(t, studio.Delivery{Post: studio.Post{
		Key: "answer/6", Kind: studio.AnswerPost, Studio: "harbour-row", To: sc.toAda(), ReplyTo: said.String(), Text: "Five days in a row.\nWell done.",
	}})
	e := sc.ada.sees(t, answer)
	if c := e.Content.AsMessage(); c.RelatesTo.GetReplyTo() != said || c.FormattedBody != "<p>Five days in a row.<br>Well done.</p>" || e.RoomID != line {
		t.Errorf("answer %+v in %s", c, e.RoomID)
	}
}

func sendPicture(t *testing.T, sc *scene) {
	var drawn bytes.Buffer
	if err := png.Encode(&drawn, image.NewRGBA(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	sc.post(t, studio.Delivery{
		Post: studio.Post{
			Key: "answer/7", Kind: studio.AnswerPost, Studio: "harbour-row", To: sc.toAda(), Text: "Line 14:",
			Pictures: []studio.Picture{{Alt: "Line 14 rose from 72 to 92."}, {Alt: "The second was not drawn."}},
		},
		Images: [][]byte{drawn.Bytes(), nil},
	})
	e := sc.ada.awaits(t, "the picture", func(e *event.Event) bool { return e.Content.AsMessage().MsgType == event.MsgImage })
	c := e.Content.AsMessage()
	if c.Body != "Line 14 rose from 72 to 92." || c.Info.Width != 40 || c.Info.Height != 30 || c.Info.Size != drawn.Len() || c.Info.MimeType != "image/png" {
		t.Errorf("picture %+v, info %+v", c, c.Info)
	}
	if got := sc.ada.downloads(t, c); !bytes.Equal(got, drawn.Bytes()) {
		t.Errorf("%d bytes came back, want the %d sent", len(got), drawn.Len())
	}
	sc.ada.awaits(t, "the words of the other picture", func(e *event.Event) bool {
		return strings.Contains(e.Content.AsMessage().Body, "Line 14:\nThe second was not drawn.")
	})
}
