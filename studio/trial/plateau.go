package trial

import (
	"maps"
	"math"
	"slices"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/streaks/forecast"
)

// A Finding says how lines that had stopped moving were found, and others taken
// for them.
type Finding struct {
	// Moving are days in question on which the line had truly gained two marks and
	// more in three weeks; the hits were called stuck.
	Moving Share

	// MovingLines are lines that had truly gained as much in the three weeks before
	// each of their days; the hits were called stuck on any of them.
	MovingLines Share

	// Found are lines that truly came to stand still below their goal and were
	// played on; the hits were called stuck within 21 days of it. Later are those
	// found within 42.
	Found, Later Share

	// Often are the lines of Found that were played on seven days or more of those
	// 21; the hits were called stuck within them.
	Often Share
}

// Plateaus asks every week which of each student's lines are stuck, as her teacher
// is told. The trial must have kept the logs.
func (r Result) Plateaus(policy string) Finding {
	n := len(r.Lives[policy])
	p := plateaus{newTally(n), newTally(n), newTally(n), newTally(n), newTally(n)}
	for i := range r.Lives[policy] {
		p.student(i, r, &r.Lives[policy][i])
	}
	return Finding{p.moving.share(), p.lines.share(), p.found.share(), p.later.share(), p.often.share()}
}

type plateaus struct{ moving, lines, found, later, often *tally }

// student asks about all lines of one student.
func (p *plateaus) student(n int, r Result, l *Life) {
	lines := map[routine.StandingKey]*history{}
	called := map[routine.StandingKey]map[int]bool{}
	for key := range l.Log {
		h := r.line(l, n, key)
		lines[key], called[key] = &h, map[int]bool{}
	}
	for day := forecast.Window; day < r.Trial.Days; day += 7 {
		for _, stuck := range streaks.StuckLines(record(lines, Begin+routine.Date(day)), Begin+routine.Date(day)) {
			for _, key := range stuck.Lines {
				called[key][day] = true
			}
		}
	}
	for _, key := range slices.SortedFunc(maps.Keys(lines), compareKeys) {
		p.line(n, lines[key], called[key], r.Trial.Days)
	}
}

// record is what is known of lines that have not been clean at their goal.
func record(lines map[routine.StandingKey]*history, today routine.Date) streaks.Record {
	r := streaks.Record{After: map[routine.StandingKey]routine.Standing{}}
	for key, h := range lines {
		if h.reached != 0 && h.reached <= today {
			continue
		}
		r.After[key] = routine.Standing{State: routine.Working, Mark: h.goal}
		for _, e := range h.upTo(today) {
			e.Lines = []routine.LineRef{key.Line}
			r.Entries = append(r.Entries, e)
		}
	}
	return r
}

// line goes through the days on which one line was asked about, from the first
// with three weeks behind it to the one on which it is clean at the goal.
func (p *plateaus) line(student int, h *history, called map[int]bool, days int) {
	last := days - 1
	if h.reached != 0 {
		last = int(h.reached-Begin) - 1
	}
	still := h.standstill(days)
	alarm, asked, moves, found := false, false, true, -1
	for day := forecast.Window; day <= last; day += 7 {
		if day < int(h.entries[0].Date-Begin)+forecast.Window {
			continue
		}
		gain := math.Log(h.could[day]/h.could[day-forecast.Window]) / mark
		if gain >= 2 {
			p.moving.add(student, called[day])
		}
		asked, moves, alarm = true, moves && gain >= 2, alarm || called[day]
		if still >= 0 && day >= still && called[day] && found < 0 {
			found = day - still
		}
	}
	if asked && moves {
		p.lines.add(student, alarm)
	}
	if still >= 0 && last >= still+42 {
		p.found.add(student, found >= 0 && found <= 21)
		p.later.add(student, found >= 0 && found <= 42)
		if h.playings(Begin+routine.Date(still), 21) >= 7 {
			p.often.add(student, found >= 0 && found <= 21)
		}
	}
}

// playings counts the days with the line in so many days after date.
func (h *history) playings(date routine.Date, days int) (n int) {
	for _, e := range h.entries {
		if e.Date > date && e.Date <= date+routine.Date(days) {
			n++
		}
	}
	return n
}

// standstill returns the first day from which she gains less than half a mark in
// six weeks, short of the goal, though she plays the line at least once in ten
// days; -1 if there is none.
func (h *history) standstill(days int) int {
	for day := int(h.entries[0].Date - Begin); day+42 < days; day++ {
		from, to := h.could[day], h.could[day+42]
		if to < h.goal.Sixteenths() && math.Abs(math.Log(to/from)) < mark/2 && h.playedOn(Begin+routine.Date(day), 42) {
			return day
		}
	}
	return -1
}

// playedOn reports whether no ten days after date, of so many, went by without
// the line.
func (h *history) playedOn(date routine.Date, days int) bool {
	const most = 10
	last := date
	for _, e := range h.entries {
		switch {
		case e.Date <= date || e.Date > date+routine.Date(days):
		case e.Date-last > most:
			return false
		default:
			last = e.Date
		}
	}
	return date+routine.Date(days)-last <= most
}
