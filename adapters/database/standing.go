package database

import (
	"errors"
	"slices"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

func (t *tx) PutStanding(m studio.MemberID, k routine.StandingKey, s routine.Standing) error {
	if s == (routine.Standing{}) {
		return t.removeStanding(m, k)
	}
	body, err := encode(s)
	if err != nil {
		return doing(err, "standing of %s in %s", m, k.Line)
	}
	const put = `
		INSERT INTO standing (member, book, study, line, pass, body) VALUES (?, ?, ?, ?, ?, ?)
		ON CONFLICT (member, book, study, line, pass) DO UPDATE SET body = excluded.body`
	_, err = t.exec(put, m, k.Line.Book, k.Line.Study, k.Line.Line, k.Pass, body)
	return doing(err, "putting the standing of %s in %s", m, k.Line)
}

// removeStanding makes a line new again.
func (t *tx) removeStanding(m studio.MemberID, k routine.StandingKey) error {
	const remove = `
		DELETE FROM standing WHERE member = ? AND book = ? AND study = ? AND line = ? AND pass = ?`
	_, err := t.exec(remove, m, k.Line.Book, k.Line.Study, k.Line.Line, k.Pass)
	return doing(err, "removing the standing of %s in %s", m, k.Line)
}

func (t *tx) Standing(m studio.MemberID, k routine.StandingKey) (routine.Standing, error) {
	const query = `
		SELECT member || ' ' || book || '/' || study || '/' || line, body FROM standing
		WHERE member = ? AND book = ? AND study = ? AND line = ? AND pass = ?`
	s, err := one(t, bodies[routine.Standing]("standing"), query, m, k.Line.Book, k.Line.Study, k.Line.Line, k.Pass)
	if errors.Is(err, studio.ErrNotFound) {
		return routine.Standing{}, nil
	}
	return s, doing(err, "standing of %s in %s", m, k.Line)
}

func (t *tx) Standings(m studio.MemberID) (map[routine.StandingKey]routine.Standing, error) {
	const query = `SELECT book, study, line, pass, body FROM standing WHERE member = ?`
	all := map[routine.StandingKey]routine.Standing{}
	scan := func(row scanner) (k routine.StandingKey, err error) {
		var body string
		if err := row.Scan(&k.Line.Book, &k.Line.Study, &k.Line.Line, &k.Pass, &body); err != nil {
			return k, err
		}
		var s routine.Standing
		err = decode(body, &s, "standing", string(m)+" "+k.Line.String())
		all[k] = s
		return k, err
	}
	if _, err := many(t, scan, query, m); err != nil {
		return nil, doing(err, "standings of %s", m)
	}
	return all, nil
}

func (t *tx) PutBests(m studio.MemberID, k routine.StandingKey, bests []streaks.Best) error {
	body, err := encode(append([]streaks.Best{}, bests...))
	if err != nil {
		return doing(err, "bests of %s in %s", m, k.Line)
	}
	const put = `
		UPDATE standing SET bests = ?
		WHERE member = ? AND book = ? AND study = ? AND line = ? AND pass = ?`
	changed, err := t.exec(put, body, m, k.Line.Book, k.Line.Study, k.Line.Line, k.Pass)
	if err == nil && changed == 0 && len(bests) > 0 {
		err = studio.ErrNotFound
	}
	return doing(err, "putting the bests of %s in %s", m, k.Line)
}

func (t *tx) LineBests(m studio.MemberID, k routine.StandingKey) ([]streaks.Best, error) {
	const query = `
		SELECT member || ' ' || book || '/' || study || '/' || line, bests FROM standing
		WHERE member = ? AND book = ? AND study = ? AND line = ? AND pass = ?`
	bests, err := one(t, bodies[[]streaks.Best]("standing"), query, m, k.Line.Book, k.Line.Study, k.Line.Line, k.Pass)
	if errors.Is(err, studio.ErrNotFound) {
		return nil, nil
	}
	return some(bests), doing(err, "bests of %s in %s", m, k.Line)
}

func (t *tx) Bests(m studio.MemberID) ([]streaks.Best, error) {
	const query = `
		SELECT member || ' ' || book || '/' || study || '/' || line, bests FROM standing
		WHERE member = ? ORDER BY book, study, line, pass`
	lines, err := many(t, bodies[[]streaks.Best]("standing"), query, m)
	return some(slices.Concat(lines...)), doing(err, "bests of %s", m)
}

// some returns bests, nil if there are none.
func some(bests []streaks.Best) []streaks.Best {
	if len(bests) == 0 {
		return nil
	}
	return bests
}

func (t *tx) PutStreak(m studio.MemberID, s streaks.State) error {
	body, err := encode(s)
	if err != nil {
		return doing(err, "streak of %s", m)
	}
	const put = `
		INSERT INTO streak (member, body) VALUES (?, ?)
		ON CONFLICT (member) DO UPDATE SET body = excluded.body`
	_, err = t.exec(put, m, body)
	return doing(err, "putting the streak of %s", m)
}

func (t *tx) Streak(m studio.MemberID) (streaks.State, error) {
	const query = `SELECT member, body FROM streak WHERE member = ?`
	s, err := one(t, bodies[streaks.State]("streak"), query, m)
	if errors.Is(err, studio.ErrNotFound) {
		return streaks.State{}, nil
	}
	return s, doing(err, "streak of %s", m)
}
