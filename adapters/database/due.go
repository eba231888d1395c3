package database

import (
	"time"

	"ledgerline/studio"
)

func (t *tx) PutDue(d studio.Due) error {
	const put = `
		INSERT INTO due (kind, studio, member, at, date) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (kind, studio, member) DO UPDATE SET at = excluded.at, date = excluded.date`
	_, err := t.exec(put, d.Kind, d.Studio, d.Member, d.At.UnixMicro(), d.Date)
	return doing(err, "putting the next %s of %s %s", d.Kind, d.Studio, d.Member)
}

func (t *tx) RemoveDue(k studio.DueKind, s studio.StudioID, m studio.MemberID) error {
	const remove = `DELETE FROM due WHERE kind = ? AND studio = ? AND member = ?`
	_, err := t.exec(remove, k, s, m)
	return doing(err, "removing the next %s of %s %s", k, s, m)
}

func (t *tx) Due(k studio.DueKind, s studio.StudioID, m studio.MemberID) (studio.Due, error) {
	const query = `SELECT kind, studio, member, at, date FROM due WHERE kind = ? AND studio = ? AND member = ?`
	d, err := one(t, scanDue, query, k, s, m)
	return d, doing(err, "next %s of %s %s", k, s, m)
}

// scanDue scans a row of due.
func scanDue(row scanner) (d studio.Due, err error) {
	var micros int64
	err = row.Scan(&d.Kind, &d.Studio, &d.Member, &micros, &d.Date)
	d.At = instant(micros)
	return d, err
}

func (t *tx) DueBy(at time.Time, limit int) ([]studio.Due, error) {
	const query = `
		SELECT kind, studio, member, at, date FROM due WHERE at <= ?
		ORDER BY at, kind, studio, member LIMIT ?`
	all, err := many(t, scanDue, query, at.UnixMicro(), max(0, limit))
	return all, doing(err, "looking for due work")
}

func (t *tx) NextDue() (time.Time, error) {
	const query = `SELECT at FROM due ORDER BY at LIMIT 1`
	at, err := one(t, scalar[int64], query)
	if err != nil {
		return time.Time{}, doing(err, "next due work")
	}
	return instant(at), nil
}
