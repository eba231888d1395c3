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
	// Moving are days in question on which the line had truly gained a mark and a
	// half or more in three weeks; the hits were called stuck.
	Moving Share

	// MovingLines are lines that had truly gained a mark or more in the three
	// weeks before each of their days; the hits were called stuck on any of them.
	MovingLines Share

	// Found are lines that truly came to stand still below their goal and were
	// played on; the hits were called stuck within 21 days of it. Later are those
	// found within 42.
	Found, Later Share

	// Judged are the lines of Found that had the sessions that [forecast.Judge]
	// wants on some day of those 21.
	Judged Share
}

// Plateaus asks every day of every line that has not passed whether it is stuck.
// The trial must have kept the logs.
func (r Result) Plateaus(policy string) Finding {
	n := len(r.Lives[policy])
	p := plateaus{newTally(n), newTally(n), newTally(n), newTally(n), newTally(n)}
	for i := range r.Lives[policy] {
		l := &r.Lives[policy][i]
		for _, key := range slices.SortedFunc(maps.Keys(l.Log), compareKeys) {
			h := r.line(l, i, key)
			p.line(i, &h, r.Trial.Days)
		}
	}
	return Finding{p.moving.share(), p.lines.share(), p.found.share(), p.later.share(), p.judged.share()}
}

type plateaus struct{ moving, lines, found, later, judged *tally }

// line asks about one line on all its days: from the first day with three weeks
// behind it to the one on which it is clean at the goal.
func (p *plateaus) line(student int, h *history, days int) {
	last := days - 1
	if h.reached != 0 {
		last = int(h.reached-Begin) - 1
	}
	still := h.standstill(days)
	alarm, asked, moves, found, judged := false, false, true, -1, false
	for day := int(h.entries[0].Date-Begin) + forecast.Window; day <= last; day++ {
		today := Begin + routine.Date(day)
		flat, known := h.judge(today)
		gain := math.Log(h.could[day]/h.could[day-forecast.Window]) / mark
		if gain >= 1.5 {
			p.moving.add(student, flat)
		}
		asked, moves, alarm = true, moves && gain >= 1, alarm || flat
		if still >= 0 && day >= still {
			judged = judged || known && day <= still+21
			if flat && found < 0 {
				found = day - still
			}
		}
	}
	if asked && moves {
		p.lines.add(student, alarm)
	}
	if still >= 0 && last >= still+42 {
		p.found.add(student, found >= 0 && found <= 21)
		p.later.add(student, found >= 0 && found <= 42)
		p.judged.add(student, judged)
	}
}

// judge says whether the line is called stuck, and whether there were sessions
// enough to say either.
func (h *history) judge(today routine.Date) (flat, known bool) {
	entries := h.upTo(today)
	from := slices.IndexFunc(entries, func(e routine.Entry) bool { return e.Date > today-forecast.Window })
	if from < 0 {
		return false, false
	}
	_, flat = streaks.StuckOf(h.key, routine.Standing{Mark: h.goal}, entries, today)
	s := streaks.Sessions(entries[from:], h.goal.Note)
	return flat, len(s) >= 7 && s[len(s)-1].Date-s[0].Date >= 17
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
