package database

import "ledgerline/studio"

func (t *tx) PutMember(m studio.Member) error {
	body, err := encode(m)
	if err != nil {
		return doing(err, "member %s", m.ID)
	}
	const put = `
		INSERT INTO member (id, studio, name, body) VALUES (?, ?, ?, ?)
		ON CONFLICT (id) DO UPDATE
		SET studio = excluded.studio, name = excluded.name, body = excluded.body`
	if _, err := t.exec(put, m.ID, m.Studio, m.Name, body); err != nil {
		return doing(err, "putting member %s", m.ID)
	}
	return t.putAccounts(m)
}

// putAccounts makes the member's accounts those of m.
func (t *tx) putAccounts(m studio.Member) error {
	const clear = `DELETE FROM member_account WHERE member = ?`
	if _, err := t.exec(clear, m.ID); err != nil {
		return doing(err, "clearing the accounts of member %s", m.ID)
	}
	for _, a := range m.Accounts {
		const put = `
			INSERT INTO member_account (platform, account, member) VALUES (?, ?, ?)
			ON CONFLICT DO NOTHING` // an account listed twice
		if _, err := t.exec(put, a.Platform, a.ID, m.ID); err != nil {
			return doing(err, "putting account %s of member %s", a.ID, m.ID)
		}
	}
	return nil
}

func (t *tx) Member(id studio.MemberID) (studio.Member, error) {
	const query = `SELECT id, body FROM member WHERE id = ?`
	m, err := one(t, bodies[studio.Member]("member"), query, id)
	return m, doing(err, "member %s", id)
}

func (t *tx) Members(of studio.StudioID) ([]studio.Member, error) {
	const query = `SELECT id, body FROM member WHERE studio = ? ORDER BY name, id`
	all, err := many(t, bodies[studio.Member]("member"), query, of)
	return all, doing(err, "listing the members of studio %s", of)
}

func (t *tx) MembersWith(a studio.Account) ([]studio.Member, error) {
	const query = `
		SELECT m.id, m.body FROM member_account a JOIN member m ON m.id = a.member
		WHERE a.platform = ? AND a.account = ? ORDER BY a.member`
	all, err := many(t, bodies[studio.Member]("member"), query, a.Platform, a.ID)
	return all, doing(err, "members with account %s %s", a.Platform, a.ID)
}

func (t *tx) AccountsOn(p studio.Platform) ([]studio.Account, error) {
	const query = `SELECT DISTINCT platform, account FROM member_account WHERE platform = ? ORDER BY account`
	scan := func(row scanner) (a studio.Account, err error) {
		err = row.Scan(&a.Platform, &a.ID)
		return a, err
	}
	all, err := many(t, scan, query, p)
	return all, doing(err, "accounts on %s", p)
}
