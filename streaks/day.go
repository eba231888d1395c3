package streaks

import (
	"cmp"
	"iter"
	"slices"

	"ledgerline/routine"
)

// A Day is what the log says of one date, as far as the streak is concerned.
type Day struct {
	Date     routine.Date
	Played   bool           // something was played
	Late     bool           // and all of it was said after the studio's cut-off
	Excused  routine.Excuse // as the student gave it
	Pain     bool           // pain was reported
	PainGone bool           // the day's last word about pain is that it is gone
}

// Days returns the days that reports speak of, by date. Reports may come in any
// order; within a date Seq decides.
//
// What comes after the cut-off does not count for the streak, except illness
// and pain, which do whenever they are told.
func Days(reports []routine.DayReport) []Day {
	var days []Day
	for _, r := range sortedReports(reports) {
		if n := len(days); n == 0 || days[n-1].Date != r.Date {
			days = append(days, Day{Date: r.Date, Late: true})
		}
		days[len(days)-1].add(r)
	}
	for i := range days {
		days[i].Late = days[i].Late && days[i].Played
	}
	return days
}

// add counts one report more. Until all are in, Late means that no playing has
// been reported in time.
func (d *Day) add(r routine.DayReport) {
	if r.Played {
		d.Played = true
		d.Late = d.Late && r.Late
	}
	if r.Excuse != "" && (!r.Late || r.Excuse == routine.Ill) {
		d.Excused = r.Excuse
	}
	if r.Pain {
		d.Pain, d.PainGone = true, false
	} else if r.PainGone {
		d.PainGone = true
	}
}

func sortedReports(reports []routine.DayReport) []routine.DayReport {
	return slices.SortedStableFunc(slices.Values(reports), func(a, b routine.DayReport) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.Seq, b.Seq))
	})
}

// inTime reports whether something was played and said before the cut-off.
func (d Day) inTime() bool { return d.Played && !d.Late }

// HurtsAfter reports whether the player still hurts when the day is over, if she
// did, or did not, when it began.
func (d Day) HurtsAfter(before bool) bool { return (before || d.Pain) && !d.PainGone }

// Hurting reports whether the last word about pain in reports is that there is
// some.
func Hurting(reports []routine.DayReport) bool {
	hurts := false
	for _, d := range Days(reports) {
		hurts = d.HurtsAfter(hurts)
	}
	return hurts
}

// A Kind is what a date was for one student's streak.
type Kind string

// The kinds of day.
const (
	Kept    Kind = "kept"    // a scheduled day, played
	Extra   Kind = "extra"   // not scheduled or paused, and played all the same
	Missed  Kind = "missed"  // a scheduled day, not played
	Excused Kind = "excused" // ill, in pain, a pause, travel, rest and the like
	Off     Kind = "off"     // not scheduled
	Open    Kind = "open"    // a scheduled day not over yet, or in the future
)

// kind says what d is for the streak of someone who did, or did not, hurt when
// the day began.
//
//   - A day off or in a pause asks for nothing, and playing on it gains nothing.
//   - A day that began in pain is excused, whatever was played, unless on it the
//     pain is said to be gone and something is played. So a streak can't be
//     lengthened by playing hurt. The day of the report itself counts if
//     something was played, so that to report pain never costs anything.
//   - A day of illness is excused, whatever was played.
//   - On any other excused day what was played counts: the excuse was not needed.
func (c *Calendar) kind(d Day, hurting bool) Kind {
	_, paused := c.Paused(d.Date)
	scheduled := c.Scheduled(d.Date)
	switch {
	case !c.belongs(d.Date):
		return Off
	case (paused || !scheduled) && d.inTime():
		return Extra
	case !scheduled:
		return Off
	case paused:
		return Excused
	case hurting && !(d.PainGone && d.inTime()):
		return Excused
	case d.Excused == routine.Ill:
		return Excused
	case d.inTime():
		return Kept
	case d.Excused != "" || d.Pain:
		return Excused
	}
	return Missed
}

// Kinds returns what each date from from to to, both included, was for the
// streak. Dates after settled, the last date whose cut-off has passed, are open
// instead of missed. Days are by date; to know whether from began in pain, they
// reach back to the last word about it.
func Kinds(c Calendar, days []Day, from, to, settled routine.Date) []Kind {
	kinds := make([]Kind, 0, max(0, to-from+1))
	days = since(days, c.Joined)
	hurting := false
	for len(days) > 0 && days[0].Date < from {
		hurting = days[0].HurtsAfter(hurting)
		days = days[1:]
	}
	for day := range datesOf(days, from, to) {
		k := c.kind(day, hurting)
		hurting = day.HurtsAfter(hurting)
		if k == Missed && day.Date > settled {
			k = Open
		}
		kinds = append(kinds, k)
	}
	return kinds
}

// since returns the days, which are by date, from the given date on.
func since(days []Day, from routine.Date) []Day {
	i, _ := slices.BinarySearchFunc(days, from, func(d Day, date routine.Date) int { return cmp.Compare(d.Date, date) })
	return days[i:]
}

// datesOf yields a day for each date from from to to: the one in days, which
// are by date, or an empty one.
func datesOf(days []Day, from, to routine.Date) iter.Seq[Day] {
	return func(yield func(Day) bool) {
		days := since(days, from)
		for date := from; date <= to; date++ {
			day := Day{Date: date}
			if len(days) > 0 && days[0].Date == date {
				day, days = days[0], days[1:]
			}
			if !yield(day) {
				return
			}
		}
	}
}

// DayLog returns what the log says of one date, all its reports and entries
// together; those of other dates are passed over.
//
// Of minutes for the whole day the last ones said stand, and where none were
// said, the minutes of the entries together. Of excuse and feel the last one
// said stands. Late reports count: this is what was played, not what the streak
// makes of it.
func DayLog(reports []routine.DayReport, entries []routine.Entry, date routine.Date) routine.DayLog {
	log := routine.DayLog{Date: date}
	said, summed := 0, 0
	for _, r := range sortedReports(reports) {
		if r.Date != date {
			continue
		}
		log.Kept = log.Kept || r.Played
		log.Pain = log.Pain || r.Pain
		log.PainGone = !r.Pain && (log.PainGone || r.PainGone)
		log.Excuse = cmp.Or(r.Excuse, log.Excuse)
		log.Feel = cmp.Or(r.Feel, log.Feel)
		said = cmp.Or(r.Minutes, said)
	}
	for _, e := range entries {
		if e.Date != date || !e.Outcome.Played() {
			continue
		}
		log.Kept = true
		if e.Hard {
			log.Hard = true
			log.Strenuous += cmp.Or(e.Minutes, e.Given)
		}
		summed += e.Minutes
	}
	log.Minutes = cmp.Or(said, summed)
	return log
}
