package studiotest

import (
	"cmp"
	"slices"

	"pgregory.net/rapid"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

// The lines and dates that the model plays with.
var (
	modelLines = []routine.LineRef{slurs.Line(1), slurs.Line(2), ground.Line(1)}
	modelDates = []routine.Date{monday, monday + 1, monday + 2}
)

func byDate(x, y routine.Entry) int {
	return cmp.Or(cmp.Compare(x.Date, y.Date), cmp.Compare(x.Seq, y.Seq))
}

// nextSeq notes a number of the log, which must come after all before it.
func (m *model) nextSeq(r *rapid.T, seq int64) {
	if seq <= m.lastSeq {
		r.Fatalf("the log counted %d after %d", seq, m.lastSeq)
	}
	m.lastSeq = seq
}

func (m *model) appendReport(r *rapid.T) {
	report := m.drawReport(r)
	kept := m.update(r, func(tx studio.Tx) error { return tx.AppendReport(&report) })
	if !kept {
		return
	}
	equal(r, "report ID", report.ID, report.Day.Seq)
	m.nextSeq(r, report.Day.Seq)
	for _, e := range report.Entries {
		m.nextSeq(r, e.Seq)
	}
	m.reports = append(m.reports, report)
}

func (m *model) drawReport(r *rapid.T) studio.Report {
	day := rapid.SampledFrom(modelDates).Draw(r, "date")
	report := studio.Report{Member: rapid.SampledFrom([]studio.MemberID{wim, tove}).Draw(r, "member"), At: noon}
	report.Day = routine.DayReport{Date: day, Minutes: rapid.IntRange(0, 60).Draw(r, "minutes")}
	if len(m.messages) > 0 {
		report.Inbox = rapid.SampledFrom(m.messages).Draw(r, "message").Inbox
	}
	for range rapid.IntRange(0, 3).Draw(r, "entries") {
		report.Entries = append(report.Entries, routine.Entry{
			Date: day, Pass: rapid.IntRange(1, 2).Draw(r, "pass"), Outcome: routine.Shaky,
			Lines:      rapid.SliceOfNDistinct(rapid.SampledFrom(modelLines), 1, 2, rapid.ID).Draw(r, "lines"),
			Remark:     rapid.String().Draw(r, "remark"),
			Supersedes: m.drawSuperseded(r),
		})
	}
	return report
}

// drawSuperseded returns the Seq of some entry in the log, or none.
func (m *model) drawSuperseded(r *rapid.T) int64 {
	seqs := []int64{0, 0}
	for _, report := range m.reports {
		for _, e := range report.Entries {
			seqs = append(seqs, e.Seq)
		}
	}
	return rapid.SampledFrom(seqs).Draw(r, "supersedes")
}

func (m *model) withdraw(r *rapid.T) {
	if len(m.messages) == 0 {
		r.Skip("no messages")
	}
	inbox := rapid.SampledFrom(m.messages).Draw(r, "message").Inbox
	var want, got []studio.Report
	for _, report := range m.reports {
		if report.Inbox == inbox && !m.withdrawn[report.ID] {
			want = append(want, report)
		}
	}
	kept := m.update(r, func(tx studio.Tx) (err error) {
		got, err = tx.WithdrawReports(inbox, inbox)
		return err
	})
	equal(r, "withdrawn reports", got, want)
	for _, report := range want {
		m.withdrawn[report.ID] = kept
	}
}

func (m *model) appendAct(r *rapid.T) {
	act := streaks.Act{
		Date: rapid.SampledFrom(modelDates).Draw(r, "date"), Line: rapid.SampledFrom(modelLines).Draw(r, "line"),
		Pass: rapid.IntRange(1, 2).Draw(r, "pass"), Kind: streaks.SignOff,
	}
	if m.update(r, func(tx studio.Tx) error { return tx.AppendAct(wim, odile, &act) }) {
		m.nextSeq(r, act.Seq)
		m.acts = append(m.acts, act)
	}
}

// standing returns the member's reports and entries that hold.
func (m *model) standing(of studio.MemberID) (reports []studio.Report) {
	gone := map[int64]bool{} // entries, by Seq
	for _, report := range m.reports {
		for _, e := range report.Entries {
			gone[e.Supersedes] = gone[e.Supersedes] || !m.withdrawn[report.ID]
		}
	}
	for _, report := range m.reports {
		if report.Member != of || m.withdrawn[report.ID] {
			continue
		}
		var left []routine.Entry
		for _, e := range report.Entries {
			if !gone[e.Seq] {
				left = append(left, e)
			}
		}
		report.Entries = left
		reports = append(reports, report)
	}
	return reports
}

func (m *model) checkReports(r *rapid.T, tx studio.Tx) error {
	from, to := rapid.SampledFrom(modelDates).Draw(r, "from"), rapid.SampledFrom(modelDates).Draw(r, "to")
	for _, of := range []studio.MemberID{wim, tove} {
		var want []studio.Report
		for _, report := range m.standing(of) {
			if from <= report.Day.Date && report.Day.Date <= to {
				want = append(want, report)
			}
		}
		got, err := tx.Reports(of, from, to)
		if err != nil {
			return err
		}
		equal(r, "reports of "+string(of), got, want)
	}
	return nil
}

func (m *model) checkLines(r *rapid.T, tx studio.Tx) error {
	of := rapid.SampledFrom([]studio.MemberID{wim, tove}).Draw(r, "member")
	line, pass := rapid.SampledFrom(modelLines).Draw(r, "line"), rapid.IntRange(1, 2).Draw(r, "pass")
	var want []routine.Entry
	for _, report := range m.standing(of) {
		for _, e := range report.Entries {
			if e.Pass == pass && slices.Contains(e.Lines, line) {
				want = append(want, e)
			}
		}
	}
	slices.SortFunc(want, byDate)
	got, err := tx.LineEntries(of, line, pass)
	equal(r, "entries of "+line.String(), got, want)
	if err != nil {
		return err
	}
	return m.checkActs(r, tx, line, pass)
}

func (m *model) checkActs(r *rapid.T, tx studio.Tx, line routine.LineRef, pass int) error {
	var want []streaks.Act
	for _, a := range m.acts {
		if a.Line == line && a.Pass == pass {
			want = append(want, a)
		}
	}
	slices.SortStableFunc(want, func(x, y streaks.Act) int { return cmp.Compare(x.Date, y.Date) })
	got, err := tx.LineActs(wim, line, pass)
	equal(r, "acts on "+line.String(), got, want)
	return err
}
