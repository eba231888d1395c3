package matrix

import (
	"fmt"
	"testing"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// newUnchecked sets a scene whose requests are not held against the document.
func newUnchecked(b *testing.B) *scene {
	b.Helper()
	h := serve(b, false)
	shield := h.Shield(b)
	sc := newScene(b, h, func(c *Config) { c.Homeserver = shield })
	sc.front.checked++ // there is nothing for it to check
	return sc
}

// BenchmarkSend sends posts to a homeserver on this machine, one after the
// other.
func BenchmarkSend(b *testing.B) {
	sc := newUnchecked(b)
	sc.enter(b)
	sc.joins(b)
	n := 0
	for b.Loop() {
		n++
		sc.send(b, studio.Delivery{Post: studio.Post{
			Key: studio.Key(fmt.Sprint("post/", n)), Kind: studio.AlertPost, To: sc.toRoom(), Text: "Well done.",
		}})
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "posts/s")
}

// BenchmarkReceipt measures from a person's writing a reply to her seeing its
// receipt: the homeserver, the bot and the homeserver again.
func BenchmarkReceipt(b *testing.B) {
	sc := newUnchecked(b)
	sc.enter(b)
	card := sc.post(b, studio.Delivery{Post: studio.Post{Key: "card", Kind: studio.RoutinePost, Studio: "harbour-row", To: sc.toAda(), Text: "Play."}})
	line := sc.ada.sees(b, card).RoomID
	n := 0
	for b.Loop() {
		said := sc.ada.says(b, line, event.EventMessage, reply(id.EventID(card), "1 done"))
		sc.inbox.get(b, n)
		n++
		receipt := sc.send(b, studio.Delivery{Post: studio.Post{
			Key: studio.Key(fmt.Sprint("receipt/", n)), Kind: studio.ReceiptPost, To: sc.toAda(), ReplyTo: said.String(), Brief: true,
		}})
		sc.ada.sees(b, receipt)
	}
}

// BenchmarkHear measures how fast the bot takes in what was written while it was
// away: 500 messages.
func BenchmarkHear(b *testing.B) {
	sc := newUnchecked(b)
	sc.enter(b)
	card := sc.post(b, studio.Delivery{Post: studio.Post{Key: "card", Kind: studio.RoutinePost, Studio: "harbour-row", To: sc.toAda(), Text: "Play."}})
	line := sc.ada.sees(b, card).RoomID
	const away = 500
	n := 0
	for b.Loop() {
		b.StopTimer()
		sc.leave()
		for range away {
			sc.ada.says(b, line, event.EventMessage, text("1 done"))
		}
		n += away
		sc.makeBot(b)
		b.StartTimer()
		sc.enter(b)
		sc.inbox.get(b, n-1)
	}
	b.ReportMetric(float64(away*b.N)/b.Elapsed().Seconds(), "messages/s")
}

// BenchmarkCard renders a card of ten items.
func BenchmarkCard(b *testing.B) {
	p := routine("k", studio.Address{})
	for len(p.Items) < 10 {
		p.Items = append(p.Items, studio.PostItem{N: len(p.Items) + 1, Head: p.Items[0].Head, Detail: p.Items[0].Detail})
	}
	for b.Loop() {
		parts(studio.Delivery{Post: p})
	}
}

// BenchmarkRestart measures from the start of the bot to its first post.
func BenchmarkRestart(b *testing.B) {
	sc := newUnchecked(b)
	sc.enter(b)
	sc.joins(b)
	n := 0
	for b.Loop() {
		n++
		sc.restart(b)
		sc.send(b, studio.Delivery{Post: studio.Post{
			Key: studio.Key(fmt.Sprint("post/", n)), Kind: studio.AlertPost, To: sc.toRoom(), Text: "Here again.",
		}})
	}
}
