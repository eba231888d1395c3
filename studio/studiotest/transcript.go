package studiotest

import (
	"fmt"
	"testing"
	"time"

	"ledgerline/studio"
)

// lines returns what was said at an address in short: "12:00:01 Wim: text",
// with + after an edit and - after a deletion, or "> key" for a post.
func (s *store) lines(a studio.Address, limit int) (lines []string) {
	s.t.Helper()
	said := get(s, func(tx studio.Tx) ([]studio.Said, error) { return tx.Transcript(a, limit) })
	for _, x := range said {
		line := x.At.Format(time.TimeOnly)
		switch {
		case (x.Message == nil) == (x.Post == nil):
			s.t.Fatalf("said is not one of message and post: %+v", x)
		case x.Post != nil:
			line += " > " + string(x.Post.Key)
		default:
			line += " " + x.Message.Author.ID + ": " + x.Message.Text
		}
		if x.Edited {
			line += "+"
		}
		if x.Deleted {
			line += "-"
		}
		lines = append(lines, line)
	}
	return lines
}

// sends queues posts and records that they were sent, one at each of the times.
func (s *store) sends(to studio.Address, seconds ...int) {
	s.t.Helper()
	for _, n := range seconds {
		p := receipt(studio.Key(fmt.Sprintf("%s/%s%s/%d", to.Platform, to.Channel, to.Account, n)), to)
		s.queues(p)
		due := s.duePosts(to.Platform, at(0), 99)
		s.update(func(tx studio.Tx) error { return tx.PostSent(due[len(due)-1].Outbox, string(p.Key), at(n)) })
	}
}

func testTranscript(t *testing.T, s *store) {
	equal(t, "transcript at first", s.lines(square, 10), nil)
	m1, m2, m3 := written("m1", "one", at(1)), written("m2", "two", at(2)), written("m3", "three", at(4))
	s.stores(m1, m3, m2)
	s.sends(square, 2, 3)
	s.queues(receipt("receipt/unsent", square))
	elsewhere, whispered := written("m4", "elsewhere", at(2)), written("m5", "whispered", at(2))
	elsewhere.Channel, whispered.Private = "quay", true
	s.stores(elsewhere, whispered)
	s.sends(studio.Address{Platform: "room", Channel: "quay"}, 2)
	s.sends(studio.Address{Platform: "discord", Channel: "square"}, 2)
	equal(t, "transcript", s.lines(square, 10), []string{
		"12:00:01 wim: one", "12:00:02 wim: two", "12:00:02 > room/square/2", "12:00:03 > room/square/3", "12:00:04 wim: three",
	})

	s.stores(edited(m1, "2", "ONE!", at(9)), edited(m1, "1", "ONE", at(8)), deleted(m2, at(9)))
	s.stores(edited(m3, "1", "III", at(9)), deleted(m3, at(10)))
	orphan := edited(written("m6", "", noon), "1", "six", at(6))
	s.stores(orphan, written("m6", "6", at(5)))
	equal(t, "transcript after edits and deletions", s.lines(square, 10), []string{
		"12:00:01 wim: ONE!+", "12:00:02 wim: -", "12:00:02 > room/square/2", "12:00:03 > room/square/3", "12:00:04 wim: +-", "12:00:06 wim: six+",
	})
}

func testPrivateTranscript(t *testing.T, s *store) {
	line := studio.Address{Platform: "room", Account: string(wim)}
	mine, public, hers := written("m1", "mine", at(1)), written("m2", "public", at(2)), written("m3", "hers", at(2))
	mine.Private, hers.Private = true, true
	mine.Channel, hers.Channel = "@wim", "@tove"
	hers.Author.ID = string(tove)
	elsewhere := mine
	elsewhere.ID, elsewhere.Platform, elsewhere.Author.Platform = "m4", "discord", "discord"
	s.stores(mine, public, hers, elsewhere)
	s.sends(line, 2)
	s.sends(studio.Address{Platform: "room", Account: string(tove)}, 3)
	s.sends(studio.Address{Platform: "room", Channel: string(wim)}, 3)
	equal(t, "transcript", s.lines(line, 10), []string{"12:00:01 wim: mine", "12:00:02 > room/wim/2"})
	channel := studio.Address{Platform: "room", Channel: "@wim"}
	equal(t, "transcript of a channel with private messages", s.lines(channel, 10), nil)
}

func testTranscriptLimit(t *testing.T, s *store) {
	for n := range 6 {
		s.stores(written(fmt.Sprint("m", n), fmt.Sprint(n), at(2*n)))
		s.sends(square, 2*n+1)
	}
	equal(t, "last three", s.lines(square, 3), []string{"12:00:09 > room/square/9", "12:00:10 wim: 5", "12:00:11 > room/square/11"})
	equal(t, "number of all", len(s.lines(square, 99)), 12)
	equal(t, "none at most", s.lines(square, 0), nil)
}
