package database

import (
	"time"
	"unicode/utf8"

	"ledgerline/routine"
	"ledgerline/studio"
)

func (t *tx) RoutinesOf(m studio.MemberID) ([]routine.Routine, error) {
	const query = `
		SELECT member || ' ' || date || ' ' || number, body FROM routine
		WHERE member = ? ORDER BY date, number`
	all, err := many(t, bodies[routine.Routine]("routine"), query, m)
	return all, doing(err, "routines of %s", m)
}

func (t *tx) MessagesBy(a studio.Account, after int64, limit int) ([]studio.Stored, error) {
	const query = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE author_platform = ? AND author = ? AND inbox > ? ORDER BY inbox LIMIT ?`
	all, err := many(t, scanMessage, query, a.Platform, a.ID, after, max(0, limit))
	return all, doing(err, "messages of an account")
}

func (t *tx) PostsIn(id studio.StudioID, after int64, limit int) ([]studio.Queued, error) {
	const query = `
		SELECT outbox, body, queued_at, attempts, sent_at, platform_id, failure
		FROM outbox WHERE studio = ? AND outbox > ? ORDER BY outbox LIMIT ?`
	all, err := many(t, scanPost, query, id, after, max(0, limit))
	return all, doing(err, "posts of studio %s", id)
}

func (t *tx) Marks(prefix string) (map[string]string, error) {
	// The names that begin with the prefix lie between it and itself followed by
	// the last character there is.
	const query = `SELECT name, value FROM mark WHERE name >= ? AND name < ?`
	all := map[string]string{}
	scan := func(row scanner) (name string, err error) {
		var value string
		err = row.Scan(&name, &value)
		all[name] = value
		return name, err
	}
	_, err := many(t, scan, query, prefix, prefix+string(utf8.MaxRune))
	return all, doing(err, "marks that begin with %q", prefix)
}

func (t *tx) RemoveMark(name string) error {
	const remove = `DELETE FROM mark WHERE name = ?`
	_, err := t.exec(remove, name)
	return doing(err, "removing a mark")
}

func (t *tx) RewordMessage(inbox int64, text string) error {
	const put = `UPDATE inbox SET text = ? WHERE inbox = ?`
	changed, err := t.exec(put, t.text(text), inbox)
	if err == nil && changed == 0 {
		err = studio.ErrNotFound
	}
	return doing(err, "rewording message %d", inbox)
}

func (t *tx) RemoveMessage(inbox int64) error {
	if _, err := t.exec(`DELETE FROM sound WHERE inbox = ?`, inbox); err != nil {
		return doing(err, "removing the files of message %d", inbox)
	}
	// LastNumbered must not forget the last message of a channel, or the chat
	// would read the channel again. What is left of it is an id that is a number.
	const blank = `
		UPDATE inbox SET text = '', author = '', reply_to = '', files = ''
		WHERE inbox = ? AND NOT private AND ltrim(id, '0123456789') = ''`
	changed, err := t.exec(blank, inbox)
	if err == nil && changed == 0 {
		const remove = `DELETE FROM inbox WHERE inbox = ?`
		changed, err = t.exec(remove, inbox)
	}
	if err == nil && changed == 0 {
		err = studio.ErrNotFound
	}
	return doing(err, "removing message %d", inbox)
}

func (t *tx) RewordPost(outbox int64, p studio.Post) error {
	const find = `SELECT CAST(outbox AS TEXT), body FROM outbox WHERE outbox = ?`
	old, err := one(t, bodies[studio.Post]("outbox"), find, outbox)
	if err != nil {
		return doing(err, "rewording post %d", outbox)
	}
	p.Key, p.Kind, p.To = old.Key, old.Kind, old.To
	body, err := encode(p)
	if err != nil {
		return doing(err, "post %d", outbox)
	}
	const put = `UPDATE outbox SET body = ? WHERE outbox = ?`
	_, err = t.exec(put, body, outbox)
	return doing(err, "rewording post %d", outbox)
}

func (t *tx) RemovePost(outbox int64) error {
	const remove = `DELETE FROM outbox WHERE outbox = ?`
	changed, err := t.exec(remove, outbox)
	if err == nil && changed == 0 {
		err = studio.ErrNotFound
	}
	return doing(err, "removing post %d", outbox)
}

// What is kept of a member, in an order in which nothing refers to a row that is
// gone. Rows are looked for in whole tables: nobody waits for it.
var forgetting = [...]string{
	`DELETE FROM plan WHERE member = ?`,
	`DELETE FROM routine WHERE member = ?`,
	`DELETE FROM entry_line WHERE member = ?`,
	`DELETE FROM entry WHERE report IN (SELECT seq FROM report WHERE member = ?)`,
	`DELETE FROM withdrawal WHERE report IN (SELECT seq FROM report WHERE member = ?)`,
	`DELETE FROM report WHERE member = ?`,
	`DELETE FROM act WHERE member = ?`,
	`DELETE FROM standing WHERE member = ?`,
	`DELETE FROM streak WHERE member = ?`,
	`DELETE FROM due WHERE member = ? -- nobody waits`,
	`DELETE FROM question WHERE member = ?`,
	`DELETE FROM hearing WHERE member = ?`,
	`DELETE FROM sound WHERE keeper = ?`,
	`DELETE FROM outbox WHERE member = ? -- nobody waits`,
	`DELETE FROM member_account WHERE member = ?`,
	`DELETE FROM member WHERE id = ?`,
}

func (t *tx) RemoveMember(m studio.MemberID) error {
	if _, err := t.Member(m); err != nil {
		return err
	}
	for _, remove := range forgetting {
		if _, err := t.exec(remove, m); err != nil {
			return doing(err, "removing member %s", m)
		}
	}
	return nil
}

func (t *tx) PurgeWords(before time.Time) (purged int, err error) {
	for _, purge := range []string{
		`DELETE FROM sound WHERE inbox IN (SELECT inbox FROM inbox WHERE at < ? AND verdict <> '') -- nobody waits`,
		`UPDATE inbox SET text = '', files = '' WHERE at < ? AND (text <> '' OR files <> '') AND verdict <> '' -- nobody waits`,
		`DELETE FROM outbox WHERE coalesce(sent_at, CASE WHEN failure <> '' THEN queued_at END) < ? -- nobody waits`,
	} {
		n, err := t.exec(purge, before.UnixMicro())
		if err != nil {
			return purged, doing(err, "removing old words")
		}
		purged += int(n)
	}
	return purged, doing(t.forgetQuestions(before), "removing old questions")
}

// forgetQuestions removes the words of closed questions asked before a time.
func (t *tx) forgetQuestions(before time.Time) error {
	const find = `SELECT id, body FROM question WHERE closed = ? -- nobody waits`
	closed, err := many(t, scanQuestion, find, true)
	for _, q := range closed {
		if err == nil && q.Raw != "" && q.AskedAt.Before(before) {
			q.Raw, q.Choices = "", nil
			err = t.PutQuestion(&q)
		}
	}
	return err
}
