package sqlite

import "ledgerline/studio"

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
