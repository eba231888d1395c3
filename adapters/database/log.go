package database

import (
	"errors"
	"fmt"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

// count takes n numbers from the count of the log and returns the first. Programs
// that share a database do not wait for one another's: theirs come from a
// sequence, in steps that are larger than any report.
func (t *tx) count(n int) (first int64, err error) {
	take := `UPDATE log_count SET last = last + ? RETURNING last`
	if t.conn.store.dialect.Shared {
		take = `SELECT nextval('log_number') - 1 + ?`
	}
	last, err := one(t, scalar[int64], take, n)
	return last - int64(n) + 1, doing(err, "counting on in the log")
}

// AppendReport numbers the report with its day, and then its entries.
func (t *tx) AppendReport(r *studio.Report) error {
	if r.ID != 0 {
		return fmt.Errorf("report %d is in the log already", r.ID)
	}
	first, err := t.count(1 + len(r.Entries))
	if err != nil {
		return err
	}
	r.ID, r.Day.Seq = first, first
	body, err := encode(r.Day)
	if err != nil {
		return doing(err, "report of %s for %s", r.Member, r.Day.Date)
	}
	const put = `
		INSERT INTO report (seq, member, inbox, at, date, body) VALUES (?, ?, ?, ?, ?, ?)`
	_, err = t.exec(put, r.ID, r.Member, orNull(r.Inbox), r.At.UnixMicro(), r.Day.Date, body)
	if err != nil {
		return doing(err, "appending the report of %s for %s", r.Member, r.Day.Date)
	}
	for i := range r.Entries {
		r.Entries[i].Seq = first + 1 + int64(i)
		if err := t.appendEntry(r, &r.Entries[i]); err != nil {
			return doing(err, "appending entry %d of %s for %s", i+1, r.Member, r.Day.Date)
		}
	}
	return nil
}

// appendEntry adds an entry, and a row to look it up by for each of its lines.
func (t *tx) appendEntry(r *studio.Report, e *routine.Entry) error {
	body, err := encode(*e)
	if err != nil {
		return err
	}
	const put = `INSERT INTO entry (seq, report, supersedes, body) VALUES (?, ?, ?, ?)`
	if _, err := t.exec(put, e.Seq, r.ID, orNull(e.Supersedes), body); err != nil {
		return err
	}
	for _, l := range e.Lines {
		const put = `
			INSERT INTO entry_line (member, book, study, line, pass, date, entry)
			VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING` // a line listed twice
		if _, err := t.exec(put, r.Member, l.Book, l.Study, l.Line, e.Pass, e.Date, e.Seq); err != nil {
			return err
		}
	}
	return nil
}

func (t *tx) WithdrawReports(inbox, by int64) ([]studio.Report, error) {
	const query = `
		SELECT r.seq, r.member, r.inbox, r.at, r.body, e.seq, e.body
		FROM report r LEFT JOIN entry e ON e.report = r.seq
		WHERE r.inbox = ? AND NOT EXISTS (SELECT 1 FROM withdrawal w WHERE w.report = r.seq)
		ORDER BY r.seq, e.seq`
	reports, err := t.reports(query, inbox)
	if err != nil {
		return nil, doing(err, "finding the reports of message %d", inbox)
	}
	return reports, t.void(reports, by)
}

func (t *tx) WithdrawMessage(p studio.Platform, id string, by int64) ([]studio.Report, error) {
	const query = `
		SELECT r.seq, r.member, r.inbox, r.at, r.body, e.seq, e.body
		FROM inbox i CROSS JOIN report r ON r.inbox = i.inbox LEFT JOIN entry e ON e.report = r.seq
		WHERE i.platform = ? AND i.id = ? AND i.inbox < ?
		AND NOT EXISTS (SELECT 1 FROM withdrawal w WHERE w.report = r.seq)
		ORDER BY r.seq, e.seq`
	reports, err := t.reports(query, p, id, by)
	if err != nil {
		return nil, doing(err, "finding the reports of message %s of %s", id, p)
	}
	return reports, t.void(reports, by)
}

// void notes that reports no longer hold, by reason of a message.
func (t *tx) void(reports []studio.Report, by int64) error {
	for _, r := range reports {
		const put = `INSERT INTO withdrawal (report, reason) VALUES (?, ?)`
		if _, err := t.exec(put, r.ID, orNull(by)); err != nil {
			return doing(err, "withdrawing report %d", r.ID)
		}
	}
	return nil
}

func (t *tx) Reports(m studio.MemberID, from, to routine.Date) ([]studio.Report, error) {
	const query = `
		SELECT r.seq, r.member, r.inbox, r.at, r.body, e.seq, e.body
		FROM report r LEFT JOIN entry e ON e.report = r.seq
			AND NOT EXISTS (SELECT 1 FROM entry n WHERE n.supersedes = e.seq
				AND NOT EXISTS (SELECT 1 FROM withdrawal w WHERE w.report = n.report))
		WHERE r.member = ? AND r.date BETWEEN ? AND ?
		AND NOT EXISTS (SELECT 1 FROM withdrawal w WHERE w.report = r.seq)
		ORDER BY r.seq, e.seq`
	all, err := t.reports(query, m, from, to)
	return all, doing(err, "reports of %s from %s to %s", m, from, to)
}

// reports gathers rows, each a report with one of its entries or with none.
func (t *tx) reports(query string, args ...any) (all []studio.Report, err error) {
	rows, err := many(t, scanReport, query, args...)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		if last := len(all) - 1; last >= 0 && all[last].ID == r.ID {
			all[last].Entries = append(all[last].Entries, r.Entries...)
			continue
		}
		all = append(all, r)
	}
	return all, nil
}

func scanReport(row scanner) (r studio.Report, err error) {
	var (
		at         int64
		day        string
		inbox, seq *int64
		entry      *string
	)
	if err := row.Scan(&r.ID, &r.Member, &inbox, &at, &day, &seq, &entry); err != nil {
		return r, err
	}
	if inbox != nil {
		r.Inbox = *inbox
	}
	r.At = instant(at)
	err = decode(day, &r.Day, "report", r.ID)
	if entry != nil {
		r.Entries = make([]routine.Entry, 1)
		err = errors.Join(err, decode(*entry, &r.Entries[0], "entry", *seq))
	}
	return r, err
}

func (t *tx) LineEntries(m studio.MemberID, l routine.LineRef, pass int) ([]routine.Entry, error) {
	const query = `
		SELECT e.seq, e.body FROM entry_line l JOIN entry e ON e.seq = l.entry
		WHERE l.member = ? AND l.book = ? AND l.study = ? AND l.line = ? AND l.pass = ?
		AND NOT EXISTS (SELECT 1 FROM withdrawal w WHERE w.report = e.report)
		AND NOT EXISTS (SELECT 1 FROM entry n WHERE n.supersedes = e.seq
			AND NOT EXISTS (SELECT 1 FROM withdrawal w WHERE w.report = n.report))
		ORDER BY l.date, l.entry`
	all, err := many(t, bodies[routine.Entry]("entry"), query, m, l.Book, l.Study, l.Line, pass)
	return all, doing(err, "entries of %s about %s", m, l)
}

func (t *tx) AppendAct(m, by studio.MemberID, a *streaks.Act) (err error) {
	if a.Seq != 0 {
		return fmt.Errorf("act %d is in the log already", a.Seq)
	}
	if a.Seq, err = t.count(1); err != nil {
		return err
	}
	body, err := encode(*a)
	if err != nil {
		return doing(err, "act on %s of %s", a.Line, m)
	}
	const put = `
		INSERT INTO act (seq, member, teacher, book, study, line, pass, date, body)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`
	_, err = t.exec(put, a.Seq, m, by, a.Line.Book, a.Line.Study, a.Line.Line, a.Pass, a.Date, body)
	return doing(err, "appending an act on %s of %s", a.Line, m)
}

func (t *tx) LineActs(m studio.MemberID, l routine.LineRef, pass int) ([]streaks.Act, error) {
	const query = `
		SELECT seq, body FROM act
		WHERE member = ? AND book = ? AND study = ? AND line = ? AND pass = ?
		ORDER BY date, seq`
	all, err := many(t, bodies[streaks.Act]("act"), query, m, l.Book, l.Study, l.Line, pass)
	return all, doing(err, "acts on %s of %s", l, m)
}
