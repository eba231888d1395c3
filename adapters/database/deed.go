package database

import (
	"slices"

	"ledgerline/studio"
)

func (t *tx) PutDeed(d *studio.Deed) error {
	d.At = settled(d.At)
	body, err := encode(*d)
	if err != nil {
		return doing(err, "deed of %s", d.Member)
	}
	if d.ID != 0 {
		const put = `UPDATE deed SET studio = ?, body = ? WHERE id = ?`
		changed, err := t.exec(put, d.Studio, body, d.ID)
		if err == nil && changed == 0 {
			err = studio.ErrNotFound
		}
		return doing(err, "putting deed %d", d.ID)
	}
	const put = `INSERT INTO deed (studio, body) VALUES (?, ?) RETURNING id`
	id, err := one(t, scalar[int64], put, d.Studio, body)
	if err == nil {
		d.ID = id
	}
	return doing(err, "keeping a deed of %s", d.Member)
}

func (t *tx) Deeds(id studio.StudioID, limit int) ([]studio.Deed, error) {
	const query = `SELECT id, body FROM deed WHERE studio = ? ORDER BY id DESC LIMIT ?`
	scan := func(row scanner) (d studio.Deed, err error) {
		var id int64
		var body string
		if err := row.Scan(&id, &body); err != nil {
			return d, err
		}
		err = decode(body, &d, "deed", id)
		d.ID = id // the body was written before there was one
		return d, err
	}
	all, err := many(t, scan, query, id, max(0, limit))
	slices.Reverse(all)
	return all, doing(err, "deeds in studio %s", id)
}
