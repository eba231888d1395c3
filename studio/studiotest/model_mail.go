package studiotest

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"pgregory.net/rapid"

	"ledgerline/studio"
)

// A modelPost is a post, when it may be sent, and whose turn it is then.
type modelPost struct {
	studio.Queued
	ready time.Time
	lane  int // 0: an answer
	turn  int
}

var (
	modelPlatforms = []studio.Platform{"room", "discord"}
	modelAddresses = []studio.Address{{Channel: "square"}, {Channel: "quay"}, {Account: string(wim)}}
)

// drawMessage draws one happening to one of a few messages. Where a message was
// said and who said it follow from its id.
func drawMessage(r *rapid.T) studio.Message {
	n := rapid.IntRange(0, 3).Draw(r, "id")
	p := rapid.SampledFrom(modelPlatforms).Draw(r, "platform")
	m := studio.Message{
		Platform: p, ID: fmt.Sprint("m", n),
		Happening: rapid.SampledFrom([]studio.Happening{studio.Written, studio.Edited, studio.Deleted}).Draw(r, "happening"),
		Author:    studio.Account{Platform: p, ID: string([]studio.MemberID{wim, tove}[n%2])},
		Channel:   []string{"square", "square", "quay", "@wim"}[n],
		Private:   n == 3,
		At:        at(rapid.IntRange(0, 20).Draw(r, "at")),
	}
	if m.Private {
		m.Author.ID = string(wim)
	}
	if m.Happening == studio.Edited {
		m.Revision = rapid.SampledFrom([]string{"1", "2"}).Draw(r, "revision")
	}
	if m.Happening != studio.Deleted {
		m.Text = rapid.String().Draw(r, "text")
	}
	return m
}

func same(x, y studio.Message) bool {
	return x.Platform == y.Platform && x.ID == y.ID && x.Happening == y.Happening && x.Revision == y.Revision
}

func (m *model) storeMessage(r *rapid.T) {
	msg := drawMessage(r)
	there := slices.ContainsFunc(m.messages, func(x studio.Stored) bool { return same(x.Message, msg) })
	var stored studio.Stored
	kept := m.update(r, func(tx studio.Tx) error {
		isNew, err := tx.StoreMessage(msg)
		equal(r, "message is new", isNew, !there)
		if err != nil {
			return err
		}
		all, err := tx.Happenings(msg.Platform, msg.ID)
		stored = all[len(all)-1]
		return err
	})
	if !kept || there {
		return
	}
	if n := len(m.messages); n > 0 && stored.Inbox <= m.messages[n-1].Inbox {
		r.Fatalf("message %d came after %d", stored.Inbox, m.messages[n-1].Inbox)
	}
	m.messages = append(m.messages, studio.Stored{Message: msg, Inbox: stored.Inbox})
}

func (m *model) judge(r *rapid.T) {
	if len(m.messages) == 0 {
		r.Skip("no messages")
	}
	n := rapid.IntRange(0, len(m.messages)-1).Draw(r, "message")
	v := rapid.SampledFrom([]studio.Verdict{studio.Unread, studio.Logged, studio.Asked}).Draw(r, "verdict")
	if m.update(r, func(tx studio.Tx) error { return tx.Judge(m.messages[n].Inbox, v) }) {
		m.messages[n].Verdict = v
	}
}

func (m *model) unread() (all []studio.Stored) {
	for _, x := range m.messages {
		if x.Verdict == studio.Unread {
			all = append(all, x)
		}
	}
	return all
}

// happenings returns all that happened to each message, by platform and id.
func (m *model) happenings() map[studio.Account][]studio.Stored {
	all := map[studio.Account][]studio.Stored{}
	for _, x := range m.messages {
		k := studio.Account{Platform: x.Platform, ID: x.ID}
		all[k] = append(all[k], x)
	}
	return all
}

func (m *model) checkInbox(r *rapid.T, tx studio.Tx, limit int) error {
	got, err := tx.UnreadMessages(limit)
	if err != nil {
		return err
	}
	equal(r, "unread messages", got, first(m.unread(), limit))
	for k, want := range m.happenings() {
		got, err := tx.Happenings(k.Platform, k.ID)
		if err != nil {
			return err
		}
		equal(r, "happenings of "+k.ID, got, want)
	}
	return nil
}

func (m *model) queue(r *rapid.T) {
	n := rapid.IntRange(0, 9).Draw(r, "key")
	p := studio.Post{
		Key: studio.Key(fmt.Sprint("k", n)), Kind: rapid.SampledFrom([]studio.PostKind{studio.ReceiptPost, studio.DigestPost}).Draw(r, "kind"),
		Studio: rapid.SampledFrom([]studio.StudioID{harbour, "quay"}).Draw(r, "studio"),
		To:     rapid.SampledFrom(modelAddresses).Draw(r, "to"), Text: rapid.String().Draw(r, "text"),
	}
	p.To.Platform = rapid.SampledFrom(modelPlatforms).Draw(r, "platform")
	when := at(rapid.IntRange(0, 20).Draw(r, "at"))
	ready := when
	if rapid.Bool().Draw(r, "held") {
		p.NotBefore = at(rapid.IntRange(0, 20).Draw(r, "not before"))
		ready = p.NotBefore
	}
	there := slices.ContainsFunc(m.posts, func(x modelPost) bool { return x.Key == p.Key })
	var queued studio.Queued
	kept := m.update(r, func(tx studio.Tx) error {
		isNew, err := tx.Queue(p, when)
		equal(r, "post is new", isNew, !there)
		if err != nil || there {
			return err
		}
		due, err := tx.DuePosts(p.To.Platform, at(9999), 99) // when nothing waits
		queued = slices.MaxFunc(due, func(x, y studio.Queued) int { return cmp.Compare(x.Outbox, y.Outbox) })
		return err
	})
	if kept && !there {
		lane, turn := m.turnOf(&p)
		m.posts = append(m.posts, modelPost{studio.Queued{Post: p, Outbox: queued.Outbox, QueuedAt: when}, ready, lane, turn})
	}
}

// turnOf returns the lane and turn of a new post.
func (m *model) turnOf(p *studio.Post) (lane, turn int) {
	lane = 1
	if p.Kind == studio.ReceiptPost {
		lane, turn = 0, -1
		for _, x := range m.posts {
			if x.waiting() && x.lane == 1 && x.To == p.To {
				turn = max(turn, x.turn)
			}
		}
		if turn >= 0 {
			return 1, turn
		}
		turn = 0
	}
	turn = max(turn, m.turns[p.To.Platform][lane])
	for _, x := range m.posts {
		if x.waiting() && x.lane == lane && x.Studio == p.Studio && x.To.Platform == p.To.Platform {
			turn = max(turn, x.turn+1)
		}
	}
	return lane, turn
}

// drawPost returns the index of one of the posts.
func (m *model) drawPost(r *rapid.T) int {
	if len(m.posts) == 0 {
		r.Skip("no posts")
	}
	return rapid.IntRange(0, len(m.posts)-1).Draw(r, "post")
}

func (m *model) postSent(r *rapid.T) {
	p := &m.posts[m.drawPost(r)]
	id := rapid.SampledFrom([]string{"", "p1", "p2"}).Draw(r, "platform id")
	when := at(rapid.IntRange(0, 20).Draw(r, "at"))
	if !m.update(r, func(tx studio.Tx) error { return tx.PostSent(p.Outbox, id, when) }) {
		return
	}
	p.Failure = ""
	if p.SentAt.IsZero() {
		p.SentAt, p.PlatformID = when, id
	}
	turns := m.turns[p.To.Platform]
	turns[p.lane] = max(turns[p.lane], p.turn)
	m.turns[p.To.Platform] = turns
}

func (m *model) postFailed(r *rapid.T) {
	p := &m.posts[m.drawPost(r)]
	giveUp := rapid.Bool().Draw(r, "give up")
	next := at(rapid.IntRange(0, 20).Draw(r, "next"))
	if !m.update(r, func(tx studio.Tx) error { return tx.PostFailed(p.Outbox, next, "gone", giveUp) }) {
		return
	}
	p.Attempts++
	p.ready, p.Failure = next, ""
	if giveUp && p.SentAt.IsZero() {
		p.Failure = "gone"
	}
}

func (p *modelPost) waiting() bool { return p.SentAt.IsZero() && p.Failure == "" }

func (m *model) checkOutbox(r *rapid.T, tx studio.Tx, when time.Time, limit int) error {
	next := map[studio.Platform]time.Time{}
	due := map[studio.Platform][]modelPost{}
	for i, p := range m.posts {
		if !p.waiting() {
			continue
		}
		failed := func(until time.Time) bool {
			return slices.ContainsFunc(m.posts[:i], func(q modelPost) bool {
				return q.waiting() && q.Attempts > 0 && q.To == p.To && q.ready.After(until)
			})
		}
		if !p.ready.After(when) && !failed(when) {
			due[p.To.Platform] = append(due[p.To.Platform], p)
		}
		soonest := next[p.To.Platform]
		if !failed(time.Time{}) && (soonest.IsZero() || p.ready.Before(soonest)) {
			next[p.To.Platform] = p.ready
		}
	}
	for _, p := range modelPlatforms {
		got, err := tx.DuePosts(p, when, limit)
		if err != nil {
			return err
		}
		equal(r, "due posts of "+string(p), got, first(inTurn(due[p]), limit))
		soonest, err := tx.NextPost(p)
		if err != nil && !errors.Is(err, studio.ErrNotFound) {
			return err
		}
		equal(r, "next post of "+string(p), soonest, next[p])
	}
	return m.checkKnown(r, tx)
}

// inTurn returns posts in the order in which they are to be sent.
func inTurn(posts []modelPost) (all []studio.Queued) {
	slices.SortFunc(posts, func(x, y modelPost) int {
		return cmp.Or(cmp.Compare(x.lane, y.lane), cmp.Compare(x.turn, y.turn), cmp.Compare(x.Outbox, y.Outbox))
	})
	for _, p := range posts {
		all = append(all, p.Queued)
	}
	return all
}

func (m *model) checkKnown(r *rapid.T, tx studio.Tx) error {
	for _, id := range []string{"p1", "p2"} {
		var want studio.Queued
		for _, p := range m.posts {
			if p.To.Platform == "room" && p.PlatformID == id {
				want = p.Queued
			}
		}
		got, err := tx.PostKnownAs("room", id)
		if err != nil && !errors.Is(err, studio.ErrNotFound) {
			return err
		}
		equal(r, "post known as "+id, got, want)
	}
	return nil
}

func (m *model) checkTranscripts(r *rapid.T, tx studio.Tx, limit int) error {
	a := rapid.SampledFrom(modelAddresses).Draw(r, "address")
	a.Platform = rapid.SampledFrom(modelPlatforms).Draw(r, "platform")
	got, err := tx.Transcript(a, limit)
	if err != nil {
		return err
	}
	equal(r, "transcript", got, last(m.transcript(a), limit))
	return nil
}

// transcript returns all that was said at an address.
func (m *model) transcript(a studio.Address) (all []studio.Said) {
	for _, happened := range m.happenings() {
		if opened := happened[0]; saidAt(opened, a) {
			all = append(all, saidOf(happened))
		}
	}
	for _, p := range m.posts {
		if p.To == a && !p.SentAt.IsZero() {
			all = append(all, studio.Said{At: p.SentAt, Post: &p.Queued})
		}
	}
	slices.SortFunc(all, inOrder)
	return all
}

func saidAt(m studio.Stored, a studio.Address) bool {
	if a.Account != "" {
		return m.Private && m.Author == studio.Account{Platform: a.Platform, ID: a.Account}
	}
	return !m.Private && m.Platform == a.Platform && m.Channel == a.Channel
}

// saidOf returns a message with the text that the latest of its happenings left.
func saidOf(happened []studio.Stored) studio.Said {
	opened := happened[0]
	said := studio.Said{At: opened.At, Message: &opened}
	latest := time.Time{}
	for _, h := range happened {
		said.Edited = said.Edited || h.Happening == studio.Edited
		said.Deleted = said.Deleted || h.Happening == studio.Deleted
		if h.Happening != studio.Deleted && !h.At.Before(latest) {
			latest, opened.Text = h.At, h.Text
		}
	}
	if said.Deleted {
		opened.Text = ""
	}
	return said
}

// inOrder puts messages before posts of the same instant.
func inOrder(x, y studio.Said) int {
	number := func(s studio.Said) (int, int64) {
		if s.Message != nil {
			return 0, s.Message.Inbox
		}
		return 1, s.Post.Outbox
	}
	xKind, xNumber := number(x)
	yKind, yNumber := number(y)
	return cmp.Or(x.At.Compare(y.At), cmp.Compare(xKind, yKind), cmp.Compare(xNumber, yNumber))
}
