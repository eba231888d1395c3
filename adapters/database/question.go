package database

import (
	"ledgerline/studio"
)

func (t *tx) PutQuestion(q *studio.Question) error {
	q.AskedAt = settled(q.AskedAt)
	body, err := encode(*q)
	if err != nil {
		return doing(err, "question about message %d", q.Inbox)
	}
	if q.ID != 0 {
		return t.replaceQuestion(q, body)
	}
	const put = `
		INSERT INTO question (studio, member, inbox, closed, body) VALUES (?, ?, ?, ?, ?)
		RETURNING id`
	id, err := one(t, scalar[int64], put, q.Studio, q.Member, orNull(q.Inbox), q.Closed, body)
	if err == nil {
		q.ID = id
	}
	return doing(err, "asking %s about message %d", q.Member, q.Inbox)
}

func (t *tx) replaceQuestion(q *studio.Question, body string) error {
	const put = `
		UPDATE question SET studio = ?, member = ?, inbox = ?, closed = ?, body = ?
		WHERE id = ?`
	changed, err := t.exec(put, q.Studio, q.Member, orNull(q.Inbox), q.Closed, body, q.ID)
	if err == nil && changed == 0 {
		err = studio.ErrNotFound
	}
	return doing(err, "putting question %d", q.ID)
}

func (t *tx) OpenQuestions(m studio.MemberID) ([]studio.Question, error) {
	const query = `SELECT id, body FROM question WHERE member = ? AND closed = ? ORDER BY id`
	all, err := many(t, scanQuestion, query, m, false)
	return all, doing(err, "open questions of %s", m)
}

// scanQuestion scans the number and the body of a question.
func scanQuestion(row scanner) (q studio.Question, err error) {
	var id int64
	var body string
	if err := row.Scan(&id, &body); err != nil {
		return q, err
	}
	err = decode(body, &q, "question", id)
	q.ID = id // the body was written before there was one
	return q, err
}
