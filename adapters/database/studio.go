package database

import (
	"fmt"

	"ledgerline/studio"
)

func (t *tx) PutStudio(s studio.Studio) error {
	body, err := encode(s)
	if err != nil {
		return doing(err, "studio %s", s.ID)
	}
	const put = `
		INSERT INTO studio (id, body) VALUES (?, ?)
		ON CONFLICT (id) DO UPDATE SET body = excluded.body`
	if _, err := t.exec(put, s.ID, body); err != nil {
		return doing(err, "putting studio %s", s.ID)
	}
	return t.putChannels(s)
}

// putChannels makes the studio's channels and threads those of s. One that
// another studio has is refused.
func (t *tx) putChannels(s studio.Studio) error {
	const clear = `DELETE FROM studio_channel WHERE studio = ?`
	if _, err := t.exec(clear, s.ID); err != nil {
		return doing(err, "clearing the channels of studio %s", s.ID)
	}
	for _, a := range s.Places() {
		const put = `
			INSERT INTO studio_channel (platform, channel, studio) VALUES (?, ?, ?)
			ON CONFLICT DO NOTHING`
		changed, err := t.exec(put, a.Platform, a.Channel, s.ID)
		if err != nil {
			return doing(err, "putting channel %s of studio %s", a.Channel, s.ID)
		}
		if changed == 0 {
			return fmt.Errorf("channel %s %s can't be studio %s's: it is listed twice, or another studio has it", a.Platform, a.Channel, s.ID)
		}
	}
	return nil
}

func (t *tx) Studio(id studio.StudioID) (studio.Studio, error) {
	const query = `SELECT id, body FROM studio WHERE id = ?`
	s, err := one(t, bodies[studio.Studio]("studio"), query, id)
	return s, doing(err, "studio %s", id)
}

func (t *tx) Studios() ([]studio.Studio, error) {
	const query = `SELECT id, body FROM studio ORDER BY id`
	all, err := many(t, bodies[studio.Studio]("studio"), query)
	return all, doing(err, "listing the studios")
}

func (t *tx) StudioAt(a studio.Address) (studio.Studio, error) {
	const query = `
		SELECT s.id, s.body FROM studio_channel c JOIN studio s ON s.id = c.studio
		WHERE c.platform = ? AND c.channel = ?`
	s, err := one(t, bodies[studio.Studio]("studio"), query, a.Platform, a.Channel)
	return s, doing(err, "studio at %s %s", a.Platform, a.Channel)
}
