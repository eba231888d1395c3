package database

import (
	"cmp"
	"fmt"
	"slices"

	"ledgerline/studio"
)

func (t *tx) Transcript(a studio.Address, limit int) ([]studio.Said, error) {
	limit = max(0, limit)
	heard, err := t.heard(a, limit)
	if err != nil {
		return nil, doing(err, "messages at %v", a)
	}
	told, err := t.told(a, limit)
	if err != nil {
		return nil, doing(err, "posts at %v", a)
	}
	all := append(heard, told...)
	// Stable, so that of one instant the messages come before the posts, which
	// are the answers to them, and each kind stays in its own order.
	slices.SortStableFunc(all, func(x, y studio.Said) int { return x.At.Compare(y.At) })
	return all[max(0, len(all)-limit):], nil
}

// heard returns the last messages at an address, oldest first.
func (t *tx) heard(a studio.Address, limit int) ([]studio.Said, error) {
	const inChannel = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE opens AND NOT private AND platform = ? AND channel = ?
		ORDER BY at DESC, inbox DESC LIMIT ?`
	const onLine = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE opens AND private AND author_platform = ? AND author = ?
		ORDER BY at DESC, inbox DESC LIMIT ?`
	query, where := inChannel, a.Channel
	if a.Account != "" {
		query, where = onLine, a.Account
	}
	opened, err := many(t, scanMessage, query, a.Platform, where, limit)
	if err != nil {
		return nil, err
	}
	var all []studio.Said
	for _, m := range slices.Backward(opened) {
		s, err := t.asItStands(m)
		if err != nil {
			return nil, fmt.Errorf("message %d: %w", m.Inbox, err)
		}
		all = append(all, s)
	}
	return all, nil
}

// asItStands returns a message with what happened to it since.
func (t *tx) asItStands(m studio.Stored) (studio.Said, error) {
	s := studio.Said{At: m.At, Message: &m}
	all, err := t.Happenings(m.Platform, m.ID)
	if err != nil {
		return s, err
	}
	// By the platform's clock: an edit may arrive before the original.
	slices.SortStableFunc(all, func(x, y studio.Stored) int {
		return cmp.Or(x.At.Compare(y.At), cmp.Compare(x.Inbox, y.Inbox))
	})
	for _, h := range all {
		switch h.Happening {
		case studio.Edited:
			s.Edited = true
			m.Text = h.Text
		case studio.Deleted:
			s.Deleted = true
		default:
			m.Text = h.Text
		}
	}
	if s.Deleted {
		m.Text = ""
	}
	return s, nil
}

// told returns the last posts at an address, in the order of sending.
func (t *tx) told(a studio.Address, limit int) ([]studio.Said, error) {
	const query = `
		SELECT outbox, body, queued_at, attempts, sent_at, platform_id, failure FROM outbox
		WHERE sent_at IS NOT NULL AND platform = ? AND channel = ? AND account = ?
		ORDER BY sent_at DESC, outbox DESC LIMIT ?`
	posts, err := many(t, scanPost, query, a.Platform, a.Channel, a.Account, limit)
	if err != nil {
		return nil, err
	}
	var all []studio.Said
	for _, p := range slices.Backward(posts) {
		all = append(all, studio.Said{At: p.SentAt, Post: &p})
	}
	return all, nil
}
