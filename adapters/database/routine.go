package database

import (
	"fmt"

	"ledgerline/routine"
	"ledgerline/studio"
)

func (t *tx) PutRoutine(m studio.MemberID, r routine.Routine) error {
	body, err := encode(r)
	if err != nil {
		return doing(err, "routine of %s for %s", m, r.Date)
	}
	const put = `
		INSERT INTO routine (member, date, number, body) VALUES (?, ?, ?, ?)
		ON CONFLICT DO NOTHING`
	changed, err := t.exec(put, m, r.Date, r.Number, body)
	if err == nil && changed == 0 {
		return fmt.Errorf("routine %d of %s for %s is there already, and a routine never changes", r.Number, m, r.Date)
	}
	return doing(err, "putting routine %d of %s for %s", r.Number, m, r.Date)
}

func (t *tx) Routine(m studio.MemberID, d routine.Date) (routine.Routine, error) {
	const query = `
		SELECT member || ' ' || date || ' ' || number, body FROM routine
		WHERE member = ? AND date = ? ORDER BY number DESC LIMIT 1`
	r, err := one(t, bodies[routine.Routine]("routine"), query, m, d)
	return r, doing(err, "routine of %s for %s", m, d)
}
