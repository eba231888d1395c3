package database

import "ledgerline/studio"

func (t *tx) PutChallenge(c studio.Challenge) error {
	body, err := encode(c)
	if err != nil {
		return doing(err, "challenge %s", c.ID)
	}
	const put = `
		INSERT INTO challenge (id, studio, from_date, body) VALUES (?, ?, ?, ?)
		ON CONFLICT (id) DO UPDATE
		SET studio = excluded.studio, from_date = excluded.from_date, body = excluded.body`
	_, err = t.exec(put, c.ID, c.Studio, c.From, body)
	return doing(err, "putting challenge %s", c.ID)
}

func (t *tx) Challenges(of studio.StudioID) ([]studio.Challenge, error) {
	const query = `SELECT id, body FROM challenge WHERE studio = ? ORDER BY from_date, id`
	all, err := many(t, bodies[studio.Challenge]("challenge"), query, of)
	return all, doing(err, "challenges of studio %s", of)
}
