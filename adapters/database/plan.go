package database

import (
	"ledgerline/routine"
	"ledgerline/studio"
)

func (t *tx) PutPlan(m studio.MemberID, p routine.Plan) error {
	body, err := encode(p)
	if err != nil {
		return doing(err, "plan of %s", m)
	}
	const put = `
		INSERT INTO plan (member, body) VALUES (?, ?)
		ON CONFLICT (member) DO UPDATE SET body = excluded.body`
	_, err = t.exec(put, m, body)
	return doing(err, "putting the plan of %s", m)
}

func (t *tx) Plan(m studio.MemberID) (routine.Plan, error) {
	const query = `SELECT member, body FROM plan WHERE member = ?`
	p, err := one(t, bodies[routine.Plan]("plan"), query, m)
	return p, doing(err, "plan of %s", m)
}
