package database

import (
	"time"

	"ledgerline/studio"
)

// Counts goes through the whole inbox and outbox.
func (t *tx) Counts() (studio.Counts, error) {
	const totals = `
		SELECT (SELECT count(*) FROM inbox),
			(SELECT count(*) FROM inbox WHERE verdict = ''),
			(SELECT count(*) FROM outbox WHERE sent_at IS NULL AND failure = ''),
			(SELECT count(*) FROM outbox WHERE sent_at IS NULL AND failure <> '')`
	scan := func(row scanner) (c studio.Counts, err error) {
		err = row.Scan(&c.Messages, &c.Unread, &c.Waiting, &c.GivenUp)
		return c, err
	}
	c, err := one(t, scan, totals)
	if err != nil {
		return c, doing(err, "counting messages and posts")
	}
	c.Sent, err = t.sentByKind()
	return c, doing(err, "counting posts by kind")
}

// Backlog goes through what is not done yet, which is as much as there is of it.
func (t *tx) Backlog(at time.Time) (b studio.Backlog, err error) {
	const unread = `SELECT count(*) FROM inbox WHERE verdict = ''`
	if b.Unread, err = one(t, scalar[int], unread); err != nil {
		return b, doing(err, "counting unread messages")
	}
	const waiting = `
		SELECT platform, count(*), sum(CASE WHEN attempts > 0 THEN 1 ELSE 0 END),
			min(CASE WHEN attempts = 0 AND ready_at > queued_at THEN ready_at ELSE queued_at END) FROM outbox
		WHERE sent_at IS NULL AND failure = '' AND (ready_at <= ? OR attempts > 0)
		GROUP BY platform ORDER BY platform`
	scan := func(row scanner) (q studio.Queue, err error) {
		var oldest int64
		err = row.Scan(&q.Platform, &q.Waiting, &q.Failing, &oldest)
		q.Oldest = instant(oldest)
		return q, err
	}
	b.Queues, err = many(t, scan, waiting, at.UnixMicro())
	return b, doing(err, "counting posts that wait")
}

func (t *tx) sentByKind() (map[studio.PostKind]int, error) {
	const query = `SELECT kind, count(*) FROM outbox WHERE sent_at IS NOT NULL GROUP BY kind`
	sent := map[studio.PostKind]int{}
	scan := func(row scanner) (n int, err error) {
		var kind studio.PostKind
		err = row.Scan(&kind, &n)
		sent[kind] = n
		return n, err
	}
	_, err := many(t, scan, query)
	return sent, err
}
