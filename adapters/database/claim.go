package database

import (
	"context"
	"sync"
	"time"

	"ledgerline/studio"
)

// Programs that share a database claim what they work on by locking the row of its
// studio until the transaction ends, however it ends, and leave out what is locked.
// A program that has the database for itself has every claim already.

// ClaimMessage claims a studio first, and then looks what its members wrote
// first: what was seen before the claim may have been read meanwhile.
func (t *tx) ClaimMessage() (studio.Stored, error) {
	if !t.conn.store.dialect.Shared {
		return first(t.UnreadMessages(1))
	}
	const claim = `
		SELECT s.id, i.inbox FROM inbox AS i
			JOIN member_account AS a ON a.platform = i.author_platform AND a.account = i.author
			JOIN member AS m ON m.id = a.member
			JOIN studio AS s ON s.id = m.studio
		WHERE i.verdict = '' ORDER BY i.inbox LIMIT 1 FOR NO KEY UPDATE OF s SKIP LOCKED`
	const oldest = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox WHERE verdict = '' AND inbox <= ? AND EXISTS (
			SELECT 1 FROM member_account AS a JOIN member AS m ON m.id = a.member
			WHERE a.platform = author_platform AND a.account = author AND m.studio = ?)
		ORDER BY inbox LIMIT 1`
	type found struct {
		studio studio.StudioID
		inbox  int64
	}
	scan := func(row scanner) (f found, err error) {
		err = row.Scan(&f.studio, &f.inbox)
		return f, err
	}
	for {
		f, err := one(t, scan, claim)
		if isNotFound(err) {
			return t.claimStrange()
		}
		if err != nil {
			return studio.Stored{}, doing(err, "claiming a message")
		}
		m, err := one(t, scanMessage, oldest, f.inbox, f.studio)
		if isNotFound(err) {
			continue // it was read just now
		}
		if err == nil {
			err = t.claimAllOf(m.Author)
		}
		return m, doing(err, "claiming a message in studio %s", f.studio)
	}
}

// claimAllOf claims all studios of an account, mostly one, without waiting.
func (t *tx) claimAllOf(a studio.Account) error {
	const query = `
		SELECT DISTINCT m.studio FROM member_account AS a JOIN member AS m ON m.id = a.member
		WHERE a.platform = ? AND a.account = ?`
	const claim = `
		SELECT id FROM studio WHERE id IN (
			SELECT m.studio FROM member_account AS a JOIN member AS m ON m.id = a.member
			WHERE a.platform = ? AND a.account = ?)
		FOR NO KEY UPDATE SKIP LOCKED`
	all, err := many(t, scalar[studio.StudioID], query, a.Platform, a.ID)
	if err != nil || len(all) < 2 {
		return err
	}
	got, err := many(t, scalar[studio.StudioID], claim, a.Platform, a.ID)
	if err == nil && len(got) < len(all) {
		err = studio.ErrNotFound
	}
	return err
}

// claimStrange claims what somebody wrote who is no member.
func (t *tx) claimStrange() (studio.Stored, error) {
	const query = `
		SELECT inbox, platform, id, happening, revision, author_platform, author,
			channel, parent, private, text, reply_to, to_us, files, at, verdict
		FROM inbox AS i WHERE verdict = ''
			AND NOT EXISTS (SELECT 1 FROM member_account AS a WHERE a.platform = i.author_platform AND a.account = i.author)
			AND NOT EXISTS (SELECT 1 FROM inbox AS e
				WHERE e.verdict = '' AND e.author_platform = i.author_platform AND e.author = i.author AND e.inbox < i.inbox)
		ORDER BY inbox LIMIT 1 FOR NO KEY UPDATE SKIP LOCKED`
	m, err := one(t, scanMessage, query)
	return m, doing(err, "claiming a stranger's message")
}

// ClaimDue claims a studio first, as ClaimMessage does.
func (t *tx) ClaimDue(at time.Time) (studio.Due, error) {
	if !t.conn.store.dialect.Shared {
		return first(t.DueBy(at, 1))
	}
	const claim = `
		SELECT s.id FROM due AS d JOIN studio AS s ON s.id = d.studio
		WHERE d.at <= ? ORDER BY d.at, d.kind, d.studio, d.member LIMIT 1 FOR NO KEY UPDATE OF s SKIP LOCKED`
	const earliest = `
		SELECT kind, studio, member, at, date FROM due WHERE at <= ? AND studio = ?
		ORDER BY at, kind, studio, member LIMIT 1`
	for {
		id, err := one(t, scalar[studio.StudioID], claim, at.UnixMicro())
		if err != nil {
			return studio.Due{}, doing(err, "claiming due work")
		}
		d, err := one(t, scanDue, earliest, at.UnixMicro(), id)
		if isNotFound(err) {
			continue // it was done just now
		}
		return d, doing(err, "claiming due work of studio %s", id)
	}
}

func (t *tx) Claim(id studio.StudioID) error {
	if !t.conn.store.dialect.Shared {
		return nil
	}
	const claim = `SELECT id FROM studio WHERE id = ? FOR NO KEY UPDATE`
	_, err := many(t, scalar[studio.StudioID], claim, id)
	return doing(err, "claiming studio %s", id)
}

// names are what a program that has the database for itself has taken, and how
// often each.
type names struct {
	mu    sync.Mutex
	taken map[string]int
}

func (n *names) add(name string, times int) {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.taken == nil {
		n.taken = map[string]int{}
	}
	if n.taken[name] += times; n.taken[name] == 0 {
		delete(n.taken, name)
	}
}

// Hold implements [studio.Store] for a program that has the database for itself.
func (s *Store) Hold(_ context.Context, name string) (held context.Context, release func(), err error) {
	s.names.add(name, 1)
	return context.Background(), sync.OnceFunc(func() { s.names.add(name, -1) }), nil
}

// Programs implements [studio.Store] for a program that has the database for
// itself.
func (s *Store) Programs(context.Context, string) (int, error) { return 1, nil }

func (t *tx) Held(name string) (bool, error) {
	if n := &t.conn.store.names; !t.conn.store.dialect.Shared {
		n.mu.Lock()
		defer n.mu.Unlock()
		return n.taken[name] > 0, nil
	}
	// Who holds it holds it alone: it is free if it can be shared for a moment.
	const query = `
		SELECT CASE WHEN pg_try_advisory_lock_shared(hashtextextended(?1, 0))
			THEN NOT pg_advisory_unlock_shared(hashtextextended(?1, 0)) ELSE true END`
	held, err := one(t, scalar[bool], query, name)
	return held, doing(err, "looking whether %s is held", name)
}
