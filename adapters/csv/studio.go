package csv

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

// MemberColumns and PlanColumns are the columns that a studio can be set down in.
func MemberColumns() []string {
	return []string{
		"id", "name", "role", "age", "zone", "lang", "accounts", "public", "quiet", "wards",
		"instrument", "level", "minutes", "strain-rise", "soft", "highest", "off", "joined", "consent", "performances", "post-at", "remind-at",
	}
}

// PlanColumns are described with [MemberColumns].
func PlanColumns() []string {
	return []string{
		"member", "study", "pass", "since", "target", "lines", "pinned", "add", "lock", "hold", "interleave",
		"instrument", "together", "ladder", "test-every",
	}
}

// A Table is a list of a studio's, with the name of its file.
type Table struct {
	Name    string
	Columns []string
	Rows    []map[string]string
}

// Tables returns all tables of a studio.
func Tables(e *studio.StudioExport) []Table {
	t := []Table{
		{Name: "members.csv", Columns: MemberColumns()},
		{Name: "plans.csv", Columns: PlanColumns()},
		{Name: "days.csv", Columns: []string{"member", "said", "date", "played", "minutes", "feel", "pain", "pain-gone", "excuse", "late"}},
		{Name: "log.csv", Columns: []string{"member", "seq", "date", "item", "lines", "pass", "outcome", "from", "to", "approx", "reps", "of", "minutes", "test", "remark", "supersedes"}},
		{Name: "standings.csv", Columns: []string{"member", "line", "pass", "state", "mark", "best", "plays", "clean-days", "last", "last-outcome", "due"}},
	}
	for i := range e.Members {
		m := &e.Members[i]
		t[0].Rows = append(t[0].Rows, memberRow(m))
		t[1].Rows = append(t[1].Rows, planRows(m)...)
		t[2].Rows = append(t[2].Rows, dayRows(m)...)
		t[3].Rows = append(t[3].Rows, entryRows(m)...)
		t[4].Rows = append(t[4].Rows, standingRows(m)...)
	}
	return t
}

func memberRow(x *studio.MemberExport) map[string]string {
	m := &x.Member
	row := map[string]string{
		"id": string(m.ID), "name": m.Name, "role": string(m.Role), "age": string(m.Age), "zone": m.Zone, "lang": m.Lang,
		"wards": joined(m.Wards), "instrument": m.Player.Instrument, "level": string(m.Player.Level), "minutes": number(m.Player.Minutes),
		"joined": date(m.Joined), "consent": date(m.Consent), "performances": joined(m.Player.Performances),
		"post-at": m.PostAt, "remind-at": m.RemindAt, "off": off(m.Off), "public": yes(m.Public),
	}
	if m.Withdrawn != 0 {
		row["consent"] = ""
	}
	var accounts []string
	for _, a := range m.Accounts {
		accounts = append(accounts, string(a.Platform)+":"+a.ID)
	}
	row["accounts"] = strings.Join(accounts, " ")
	row["quiet"], row["soft"], row["strain-rise"] = hours(m.Quiet), hours(m.Soft), rise(m.Player.Rise)
	if m.Player.Highest != 0 {
		row["highest"] = m.Player.Highest.String()
	}
	return row
}

// rise writes how far strain may rise, in percent; below 0 there is no limit.
func rise(percent int) string {
	if percent < 0 {
		return "none"
	}
	return number(percent)
}

// hours writes a stretch of the day; none is empty.
func hours(h studio.Hours) string {
	if h == (studio.Hours{}) {
		return ""
	}
	return fmt.Sprintf("%02d:%02d-%02d:%02d", h.From/60, h.From%60, h.To/60, h.To%60)
}

// off names the days off that hold last.
func off(all []streaks.OffDays) string {
	if len(all) == 0 {
		return ""
	}
	var names []string
	for d := time.Sunday; d <= time.Saturday; d++ {
		if all[len(all)-1].Off&(1<<d) != 0 {
			names = append(names, strings.ToLower(d.String()))
		}
	}
	return strings.Join(names, " ")
}

func planRows(x *studio.MemberExport) (rows []map[string]string) {
	for _, e := range x.Plan.Entries {
		rows = append(rows, map[string]string{
			"member": string(x.Member.ID), "study": e.Study.String(), "pass": number(e.Pass), "since": date(e.Since), "target": date(e.Target),
			"lines": runs(e.Lines), "pinned": runs(e.Pinned), "add": joined(e.Add.List()), "lock": e.Lock.String(), "hold": yes(e.Hold), "interleave": yes(e.Interleave),
			"instrument": e.Instrument, "together": number(e.Together), "ladder": e.Ladder.String(), "test-every": number(e.TestEvery),
		})
	}
	return rows
}

func dayRows(x *studio.MemberExport) (rows []map[string]string) {
	for _, r := range x.Log {
		d := &r.Day
		rows = append(rows, map[string]string{
			"member": string(x.Member.ID), "said": r.At.UTC().Format(time.RFC3339), "date": d.Date.String(), "played": yes(d.Played),
			"minutes": number(d.Minutes), "feel": string(d.Feel), "pain": yes(d.Pain), "pain-gone": yes(d.PainGone),
			"excuse": string(d.Excuse), "late": yes(d.Late),
		})
	}
	return rows
}

func entryRows(x *studio.MemberExport) (rows []map[string]string) {
	for _, r := range x.Log {
		for _, e := range r.Entries {
			rows = append(rows, map[string]string{
				"member": string(x.Member.ID), "seq": strconv.FormatInt(e.Seq, 10), "date": e.Date.String(), "item": number(e.Item),
				"lines": joined(e.Lines), "pass": number(e.Pass), "outcome": string(e.Outcome), "from": e.From.String(), "to": e.To.String(),
				"approx": yes(e.Approx), "reps": number(e.Reps), "of": number(e.Of), "minutes": number(e.Minutes), "test": yes(e.Test),
				"remark": e.Remark, "supersedes": number(int(e.Supersedes)),
			})
		}
	}
	return rows
}

func standingRows(x *studio.MemberExport) (rows []map[string]string) {
	for _, l := range x.Standings {
		s := &l.Standing
		rows = append(rows, map[string]string{
			"member": string(x.Member.ID), "line": l.Line, "pass": number(l.Pass), "state": string(s.State), "mark": s.Mark.String(),
			"best": s.Best.String(), "plays": number(s.Plays), "clean-days": number(s.CleanDays), "last": date(s.Last),
			"last-outcome": string(s.LastOutcome), "due": date(s.Due),
		})
	}
	return rows
}

func joined[T any](values []T) string {
	parts := make([]string, len(values))
	for i, v := range values {
		parts[i] = fmt.Sprint(v)
	}
	return strings.Join(parts, " ")
}

// runs writes numbers as "1-6 9".
func runs(ns []int) string {
	var parts []string
	for i := 0; i < len(ns); {
		j := i
		for j+1 < len(ns) && ns[j+1] == ns[j]+1 {
			j++
		}
		if j == i {
			parts = append(parts, strconv.Itoa(ns[i]))
		} else {
			parts = append(parts, fmt.Sprintf("%d-%d", ns[i], ns[j]))
		}
		i = j + 1
	}
	return strings.Join(parts, " ")
}

// number writes a number; 0 is none.
func number(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func yes(b bool) string {
	if b {
		return "true"
	}
	return ""
}

func date(d routine.Date) string {
	if d == 0 {
		return ""
	}
	return d.String()
}
