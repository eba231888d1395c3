package database

import (
	"fmt"

	"ledgerline/studio"
)

func (t *tx) StoreMessage(m studio.Message) (isNew bool, err error) {
	const put = `
		INSERT INTO inbox (platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, opens)
		VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14,
			NOT EXISTS (SELECT 1 FROM inbox WHERE platform = ?1 AND id = ?2))
		ON CONFLICT (platform, id, happening, revision) DO NOTHING`
	files := ""
	if len(m.Files) > 0 {
		if files, err = encode(m.Files); err != nil {
			return false, doing(err, "files of message %s of %s", m.ID, m.Platform)
		}
	}
	changed, err := t.exec(put, m.Platform, m.ID, m.Happening, m.Revision, m.Author.Platform, m.Author.ID,
		m.Channel, m.Parent, m.Private, t.text(m.Text), m.ReplyTo, m.ToUs, files, m.At.UnixMicro())
	if changed > 0 && err == nil {
		err = t.putFiles(&m)
	}
	return changed > 0, doing(err, "storing message %s of %s", m.ID, m.Platform)
}

// putFiles keeps the files that came with a new message as they are.
func (t *tx) putFiles(m *studio.Message) error {
	const put = `
		INSERT INTO sound (inbox, file, data) VALUES (
			(SELECT inbox FROM inbox WHERE platform = ? AND id = ? AND happening = ? AND revision = ?), ?, ?)`
	for _, f := range m.Files {
		if f.Data == nil {
			continue
		}
		if _, err := t.exec(put, m.Platform, m.ID, m.Happening, m.Revision, f.ID, f.Data); err != nil {
			return err
		}
	}
	return nil
}

func (t *tx) UnreadMessages(limit int) ([]studio.Stored, error) {
	const query = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE verdict = '' ORDER BY inbox LIMIT ?`
	all, err := many(t, scanMessage, query, max(0, limit))
	return all, doing(err, "looking for unread messages")
}

func (t *tx) Judge(inbox int64, v studio.Verdict) error {
	const put = `UPDATE inbox SET verdict = ? WHERE inbox = ?`
	changed, err := t.exec(put, v, inbox)
	if err == nil && changed == 0 {
		err = studio.ErrNotFound
	}
	return doing(err, "judging message %d", inbox)
}

func (t *tx) Happenings(p studio.Platform, id string) ([]studio.Stored, error) {
	const query = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE platform = ? AND id = ? ORDER BY inbox`
	all, err := many(t, scanMessage, query, p, id)
	return all, doing(err, "happenings of message %s of %s", id, p)
}

func (t *tx) FirstOf(p studio.Platform, id string) (studio.Stored, error) {
	const query = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE inbox = (SELECT min(inbox) FROM inbox WHERE platform = ? AND id = ?)`
	m, err := one(t, scanMessage, query, p, id)
	return m, doing(err, "first happening of message %s of %s", id, p)
}

func (t *tx) ObeyedBefore(p studio.Platform, id string, before int64) (studio.Stored, error) {
	const query = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE inbox = (SELECT max(inbox) FROM inbox WHERE platform = ? AND id = ? AND inbox < ? AND verdict = ?)`
	m, err := one(t, scanMessage, query, p, id, before, studio.Obeyed)
	return m, doing(err, "when message %s of %s was obeyed", id, p)
}

func (t *tx) Overtaken(p studio.Platform, id string, after int64) (bool, error) {
	const query = `
		SELECT EXISTS (SELECT 1 FROM inbox WHERE platform = ?1 AND id = ?2 AND happening = 'deleted')
			OR EXISTS (SELECT 1 FROM inbox WHERE platform = ?1 AND id = ?2 AND happening = 'edited' AND inbox > ?3)`
	yes, err := one(t, scalar[bool], query, p, id, after)
	return yes, doing(err, "whether message %s of %s was overtaken", id, p)
}

func (t *tx) LastNumbered(p studio.Platform, channel string) (string, error) {
	const query = `
		SELECT id FROM inbox
		WHERE platform = ? AND channel = ? AND opens AND ltrim(id, '0123456789') = ''
		ORDER BY at DESC, inbox DESC LIMIT 1`
	id, err := one(t, scalar[string], query, p, channel)
	return id, doing(err, "last numbered message of %s %s", p, channel)
}

func (t *tx) MessageAt(inbox int64) (studio.Stored, error) {
	const query = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE inbox = ?`
	m, err := one(t, scanMessage, query, inbox)
	return m, doing(err, "message %d", inbox)
}

// scanMessage scans a row of inbox, whose columns come first in the order of
// the table.
func scanMessage(row scanner) (m studio.Stored, err error) {
	var at int64
	var files string
	err = row.Scan(&m.Inbox, &m.Platform, &m.ID, &m.Happening, &m.Revision, &m.Author.Platform, &m.Author.ID,
		&m.Channel, &m.Parent, &m.Private, &m.Text, &m.ReplyTo, &m.ToUs, &files, &at, &m.Verdict)
	if err != nil {
		return m, fmt.Errorf("table inbox, row %d: %w", m.Inbox, err)
	}
	m.At = instant(at)
	if files != "" {
		return m, decode(files, &m.Files, "inbox", m.Inbox)
	}
	return m, nil
}
