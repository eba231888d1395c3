package database

import (
	"ledgerline/routine"
	"ledgerline/studio"
)

func (t *tx) PutHearing(h *studio.Hearing) error {
	h.NextAt = settled(h.NextAt)
	body, err := encode(*h)
	if err != nil {
		return doing(err, "hearing of message %d", h.Inbox)
	}
	due := orNull(int64(0))
	if h.Waiting {
		due = orNull(h.NextAt.UnixMicro())
	}
	if h.ID == 0 {
		const put = `INSERT INTO hearing (member, inbox, date, due_at, body) VALUES (?, ?, ?, ?, ?) RETURNING id`
		h.ID, err = one(t, scalar[int64], put, h.Member, h.Inbox, h.Date, due, body)
		return doing(err, "hearing of message %d", h.Inbox)
	}
	const put = `UPDATE hearing SET member = ?, inbox = ?, date = ?, due_at = ?, body = ? WHERE id = ?`
	changed, err := t.exec(put, h.Member, h.Inbox, h.Date, due, body, h.ID)
	if err == nil && changed == 0 {
		err = studio.ErrNotFound
	}
	return doing(err, "putting hearing %d", h.ID)
}

func scanHearing(row scanner) (h studio.Hearing, err error) {
	var id int64
	var body string
	if err := row.Scan(&id, &body); err != nil {
		return h, err
	}
	err = decode(body, &h, "hearing", id)
	h.ID = id // the body was written before there was one
	return h, err
}

func (t *tx) Hearing(id int64) (*studio.Hearing, error) {
	const query = `SELECT id, body FROM hearing WHERE id = ?`
	h, err := one(t, scanHearing, query, id)
	return &h, doing(err, "hearing %d", id)
}

func (t *tx) NextHearing() (*studio.Hearing, error) {
	const query = `SELECT id, body FROM hearing WHERE due_at IS NOT NULL ORDER BY due_at, id LIMIT 1`
	h, err := one(t, scanHearing, query)
	return &h, doing(err, "next hearing")
}

func (t *tx) Hearings(m studio.MemberID, from, to routine.Date) ([]studio.Hearing, error) {
	const query = `SELECT id, body FROM hearing WHERE member = ? AND date BETWEEN ? AND ? ORDER BY id`
	all, err := many(t, scanHearing, query, m, from, to)
	return all, doing(err, "hearings of %s", m)
}

func (t *tx) TakeBackHearings(p studio.Platform, id string, by int64) error {
	for _, remove := range []string{
		`DELETE FROM hearing WHERE inbox IN (SELECT inbox FROM inbox WHERE platform = ? AND id = ? AND inbox < ?)`,
		`DELETE FROM sound WHERE inbox IN (SELECT inbox FROM inbox WHERE platform = ? AND id = ? AND inbox < ?)`,
	} {
		if _, err := t.exec(remove, p, id, by); err != nil {
			return doing(err, "taking back the hearings of message %s of %s", id, p)
		}
	}
	return nil
}

func (t *tx) Sound(inbox int64, file string) ([]byte, error) {
	const query = `SELECT data FROM sound WHERE inbox = ? AND file = ?`
	data, err := one(t, scalar[[]byte], query, inbox, file)
	return data, doing(err, "sound of message %d", inbox)
}

func (t *tx) PutSound(inbox int64, file string, keeper studio.MemberID, data []byte) error {
	const put = `
		INSERT INTO sound (inbox, file, keeper, data) VALUES (?, ?, ?, ?)
		ON CONFLICT (inbox, file) DO UPDATE SET keeper = excluded.keeper, data = excluded.data`
	_, err := t.exec(put, inbox, file, keeper, data)
	return doing(err, "keeping sound of message %d", inbox)
}

func (t *tx) RemoveSound(inbox int64, file string) error {
	const remove = `DELETE FROM sound WHERE inbox = ? AND file = ?`
	_, err := t.exec(remove, inbox, file)
	return doing(err, "removing sound of message %d", inbox)
}

func (t *tx) KeptSounds(m studio.MemberID) ([]studio.KeptSound, error) {
	const query = `SELECT inbox, file, length(data) FROM sound WHERE keeper = ? ORDER BY inbox, file`
	scan := func(row scanner) (k studio.KeptSound, err error) {
		err = row.Scan(&k.Inbox, &k.File, &k.Bytes)
		return k, err
	}
	all, err := many(t, scan, query, m)
	return all, doing(err, "recordings kept for %s", m)
}
