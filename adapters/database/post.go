package database

import (
	"database/sql"
	"time"

	"ledgerline/studio"
)

func (t *tx) Queue(p studio.Post, at time.Time) (isNew bool, err error) {
	ready := at
	if !p.NotBefore.IsZero() {
		p.NotBefore = settled(p.NotBefore)
		ready = p.NotBefore
	}
	body, err := encode(p)
	if err != nil {
		return false, doing(err, "post %s", p.Key)
	}
	lane, turn, err := t.turnOf(&p)
	if err != nil {
		return false, doing(err, "turn of post %s", p.Key)
	}
	const put = `
		INSERT INTO outbox (key, kind, platform, channel, account, studio, member, body, queued_at, ready_at, lane, turn)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (key) DO NOTHING`
	changed, err := t.exec(put, p.Key, p.Kind, p.To.Platform, p.To.Channel, p.To.Account, p.Studio, p.Member, body,
		at.UnixMicro(), ready.UnixMicro(), lane, turn)
	return changed > 0, doing(err, "queueing post %s", p.Key)
}

// Answers have a lane of their own.
const (
	answers = 0
	theRest = 1
)

// turnOf returns the lane and the turn of a new post. It is start-time fair
// queueing (Goyal, Vin and Cheng, "Start-time fair queuing", 1997): the posts of
// a studio take one turn each, beginning at that of what was sent last, so that
// a studio with one post does not wait behind another's forty. An answer behind
// other posts to its address stays behind them.
func (t *tx) turnOf(p *studio.Post) (lane, turn int64, err error) {
	const behind = `
		SELECT coalesce(max(turn), -1) FROM outbox
		WHERE sent_at IS NULL AND failure = '' AND platform = ? AND channel = ? AND account = ? AND lane = 1`
	const next = `
		SELECT coalesce((SELECT turn FROM outbox_turn WHERE platform = ?1 AND lane = ?2), 0),
			coalesce((SELECT max(turn) + 1 FROM outbox
				WHERE sent_at IS NULL AND failure = '' AND platform = ?1 AND lane = ?2 AND studio = ?3), 0)`
	lane = theRest
	if p.Kind.Answers() {
		turn, err = one(t, scalar[int64], behind, p.To.Platform, p.To.Channel, p.To.Account)
		if err != nil || turn >= 0 {
			return lane, turn, err
		}
		lane = answers
	}
	later := func(row scanner) (turn int64, err error) {
		var sent, queued int64
		err = row.Scan(&sent, &queued)
		return max(sent, queued), err
	}
	turn, err = one(t, later, next, p.To.Platform, lane, p.Studio)
	return lane, turn, err
}

func (t *tx) DuePosts(p studio.Platform, at time.Time, limit int) ([]studio.Queued, error) {
	const query = `
		SELECT outbox, body, queued_at, attempts, sent_at, platform_id, failure
		FROM outbox AS o INDEXED BY outbox_waiting -- which has them in turn
		WHERE sent_at IS NULL AND failure = '' AND platform = ?1 AND ready_at <= ?2
			AND NOT EXISTS (
				SELECT 1 FROM outbox AS failed
				WHERE failed.sent_at IS NULL AND failed.failure = '' AND failed.attempts > 0
					AND failed.platform = o.platform AND failed.channel = o.channel AND failed.account = o.account
					AND failed.outbox < o.outbox AND failed.ready_at > ?2)
		ORDER BY lane, turn, outbox LIMIT ?3`
	all, err := many(t, scanPost, query, p, at.UnixMicro(), max(0, limit))
	return all, doing(err, "looking for posts to send to %s", p)
}

func (t *tx) NextPost(p studio.Platform) (time.Time, error) {
	const query = `
		SELECT ready_at FROM outbox AS o
		WHERE sent_at IS NULL AND failure = '' AND platform = ?
			AND NOT EXISTS (
				SELECT 1 FROM outbox AS failed
				WHERE failed.sent_at IS NULL AND failed.failure = '' AND failed.attempts > 0
					AND failed.platform = o.platform AND failed.channel = o.channel AND failed.account = o.account
					AND failed.outbox < o.outbox)
		ORDER BY ready_at LIMIT 1`
	at, err := one(t, scalar[int64], query, p)
	if err != nil {
		return time.Time{}, doing(err, "next post to send to %s", p)
	}
	return instant(at), nil
}

func (t *tx) PostSent(outbox int64, platformID string, at time.Time) error {
	const put = `
		UPDATE outbox SET sent_at = coalesce(sent_at, ?1),
			platform_id = CASE WHEN sent_at IS NULL THEN ?2 ELSE platform_id END, failure = ''
		WHERE outbox = ?3`
	changed, err := t.exec(put, at.UnixMicro(), platformID, outbox)
	if err == nil && changed == 0 {
		err = studio.ErrNotFound
	}
	if err == nil {
		const passed = `
			INSERT INTO outbox_turn (platform, lane, turn) SELECT platform, lane, turn FROM outbox AS o WHERE outbox = ?
				AND NOT EXISTS (SELECT 1 FROM outbox_turn AS t WHERE t.platform = o.platform AND t.lane = o.lane AND t.turn >= o.turn)
			ON CONFLICT (platform, lane) DO UPDATE
				SET turn = CASE WHEN excluded.turn > outbox_turn.turn THEN excluded.turn ELSE outbox_turn.turn END`
		_, err = t.exec(passed, outbox)
	}
	return doing(err, "recording that post %d was sent", outbox)
}

func (t *tx) PostFailed(outbox int64, next time.Time, reason string, giveUp bool) error {
	failure := ""
	if giveUp {
		failure = reason
		if reason == "" {
			failure = "no reason was given"
		}
	}
	const put = `
		UPDATE outbox SET attempts = attempts + 1, ready_at = ?,
			failure = CASE WHEN sent_at IS NULL THEN ? ELSE '' END
		WHERE outbox = ?`
	changed, err := t.exec(put, next.UnixMicro(), failure, outbox)
	if err == nil && changed == 0 {
		err = studio.ErrNotFound
	}
	return doing(err, "recording that post %d failed", outbox)
}

func (t *tx) HastenPosts(from, to time.Time) error {
	const put = `
		UPDATE outbox SET ready_at = ?
		WHERE sent_at IS NULL AND failure = '' AND ready_at > ? -- nobody waits`
	_, err := t.exec(put, to.UnixMicro(), from.UnixMicro())
	return doing(err, "letting posts be sent earlier")
}

func (t *tx) PostKnownAs(p studio.Platform, id string) (studio.Queued, error) {
	const query = `
		SELECT outbox, body, queued_at, attempts, sent_at, platform_id, failure FROM outbox
		WHERE platform = ? AND platform_id = ? AND platform_id <> ''
		ORDER BY outbox DESC LIMIT 1`
	q, err := one(t, scanPost, query, p, id)
	return q, doing(err, "post that %s knows as %q", p, id)
}

// scanPost scans a row of outbox.
func scanPost(row scanner) (q studio.Queued, err error) {
	var (
		body   string
		queued int64
		sent   sql.Null[int64]
	)
	if err := row.Scan(&q.Outbox, &body, &queued, &q.Attempts, &sent, &q.PlatformID, &q.Failure); err != nil {
		return q, err
	}
	q.QueuedAt = instant(queued)
	if sent.Valid {
		q.SentAt = instant(sent.V)
	}
	return q, decode(body, &q.Post, "outbox", q.Outbox)
}
