package routine

import (
	"math/bits"
	"slices"
)

// A day is what one date allows before any line is looked at.
type day struct {
	budget int     // playing and rest, in minutes
	top    Pitch   // highest pitch of the player in health
	limit  Pitch   // highest pitch today
	soft   bool    // nothing strenuous
	light  bool    // shorter or softer than usual
	note   Reason  // why
	away   absence // the lay-off she is coming back from, if any
	missed bool    // nothing was played on the playing day before
	strain int     // most strenuous minutes
}

// dailyCap is the most playing and rest in one day by level, in minutes
// (common practice; a teacher who wants less gives the player a smaller budget).
var dailyCap = map[Level]int{Beginner: 40, Growing: 90, Advanced: 180}

// A constraint is what one rule makes of a day: the share of the minutes in
// percent, whether nothing strenuous is played, and the reason. A zero reason
// means that the rule does not apply.
type constraint struct {
	share int
	soft  bool
	note  Reason
}

// dayOf applies the rules of the day. The smallest share counts, one soft rule
// makes the day soft, and the gravest rule has the word. lastPlayed returns the
// last date before the given one on which any line was played.
func dayOf(in *Input, lastPlayed func(before Date) Date) day {
	d := day{away: absenceOf(in, lastPlayed), top: in.Player.top()}
	d.limit = d.top
	share := 100
	for _, c := range []constraint{
		whileHurting(in), afterPain(in), aroundPerformance(in), afterAbsence(d.away), afterHardDays(in), inShortTime(in),
		afterHardWeek(in),
	} {
		if c.note.IsZero() {
			continue
		}
		d.light = true
		d.soft = d.soft || c.soft
		share = min(share, c.share)
		if d.note.IsZero() {
			d.note = c.note
		}
	}
	if d.away.days > 0 {
		d.limit -= Pitch(ceilDiv(100-d.away.share(), 10))
	}
	d.budget = budgetOf(in, share)
	d.missed = missedBefore(in)
	d.strain = strainLeft(in)
	if d.note.IsZero() && in.Quiet {
		d.note.Kind = NothingLoud
	}
	return d
}

// budgetOf returns the minutes of the day, given the share the rules leave.
func budgetOf(in *Input, share int) int {
	minutes := ordinary(in) * share / 100
	if in.Minutes > 0 {
		minutes = min(minutes, in.Minutes)
	}
	return max(0, minutes-in.History.on(in.Date).Minutes)
}

// ordinary returns the minutes of a day like any other: the player's, as far as
// her level bears them.
func ordinary(in *Input) int {
	level := in.Player.Level
	if dailyCap[level] == 0 {
		level = Growing
	}
	return min(in.Player.Minutes, dailyCap[level])
}

// top returns the highest written pitch the player may be given.
func (p *Player) top() Pitch {
	inst, ok := InstrumentNamed(p.Instrument)
	if !ok {
		_, inst.Highest = widest(instruments)
	}
	if p.Highest == 0 {
		return inst.Highest
	}
	return min(p.Highest, inst.Highest)
}

// playingDays returns how many of the given number of days have a routine, at
// least 1.
func (p *Player) playingDays(days int) int {
	const week = 7
	on := week - bits.OnesCount8(uint8(p.Off)&(1<<week-1))
	return max(1, days*on/week)
}

// plays reports whether the date's weekday is not one of the player's days off.
func (p *Player) plays(d Date) bool { return p.Off&(1<<d.Weekday()) == 0 }

// on returns what the log says of a date; the zero DayLog if nothing.
func (h *History) on(d Date) DayLog {
	for i := len(h.Days) - 1; i >= 0 && h.Days[i].Date >= d; i-- {
		if h.Days[i].Date == d {
			return h.Days[i]
		}
	}
	return DayLog{}
}

// missedBefore reports whether nothing was played on the last day before the
// date that is not a day off, though something was played earlier.
func missedBefore(in *Input) bool {
	d := in.Date - 1
	for d > in.Date-7 && !in.Player.plays(d) {
		d--
	}
	before := func(l DayLog) bool { return l.Kept && l.Date < d }
	return !in.History.on(d).Kept && slices.ContainsFunc(in.History.Days, before)
}

// whileHurting halves the minutes and keeps everything soft until the player
// says that the pain is gone. The caution that goes with it is the chat's.
func whileHurting(in *Input) constraint {
	if !in.History.Hurting {
		return constraint{}
	}
	return constraint{50, true, Reason{Kind: WhileHurting}}
}

// afterPain makes a day light within two days of a report of pain, and of the
// word that it is gone.
func afterPain(in *Input) constraint {
	for back := Date(0); back <= 2; back++ {
		if d := in.History.on(in.Date - back); d.Pain || d.PainGone {
			return constraint{60, true, Reason{Kind: AfterPain}}
		}
	}
	return constraint{}
}

// aroundPerformance makes the day of a performance and the one before light.
func aroundPerformance(in *Input) constraint {
	for _, p := range in.Player.Performances {
		switch p - in.Date {
		case 0:
			return constraint{60, true, Reason{Kind: PlaysToday}}
		case 1:
			return constraint{60, true, Reason{Kind: PlaysTomorrow}}
		}
	}
	return constraint{}
}

// afterHardDays allows at most two hard days in a row. The third is as long as
// any other, but soft.
func afterHardDays(in *Input) constraint {
	for back := Date(1); back <= 2; back++ {
		if d := in.History.on(in.Date - back); !d.Kept || !d.Hard {
			return constraint{}
		}
	}
	return constraint{100, true, Reason{Kind: AfterHardDays}}
}

// inShortTime keeps a day soft that is cut down to less than twenty minutes: too
// little to warm up for anything strenuous and to rest after it.
func inShortTime(in *Input) constraint {
	const enough = 20
	if in.Minutes == 0 || in.Minutes >= min(enough, in.Player.Minutes) {
		return constraint{}
	}
	return constraint{100, true, Reason{Kind: ShortTime}}
}

// An absence is a lay-off from which the player is coming back.
type absence struct {
	since Date // last date she played before it
	days  int  // from then to the date she came back, or today; 0: none
	back  int  // dates she has played since
}

// A returning says how the player comes back after so many days away: the first
// day's share of the minutes in percent, the days until all of them are back,
// and how many marks slower lines begin.
type returning struct{ after, share, over, marks int }

// returns are the ways back, longest absence first (common practice: no
// published percentage is known to us).
var returns = [...]returning{
	{after: 42, share: 40, over: 10, marks: 4},
	{after: 14, share: 60, over: 5, marks: 2},
	{after: 10, share: 75, over: 2, marks: 0},
}

func returnAfter(days int) returning {
	for _, r := range returns {
		if days >= r.after {
			return r
		}
	}
	return returning{}
}

// share returns the percentage of the minutes that today has.
func (a absence) share() int {
	r := returnAfter(a.days)
	return r.share + (100-r.share)*a.back/r.over
}

// historyDays is how far back the history counts.
const historyDays = 60

// absenceOf finds the lay-off that still shows today. Before the days that the
// history holds, the dates on which lines were last played tell of one.
func absenceOf(in *Input, lastPlayed func(before Date) Date) absence {
	a := absence{since: in.Date}
	for i := len(in.History.Days) - 1; i >= 0; i-- {
		d := in.History.Days[i]
		if !d.Kept || d.Date >= in.Date || d.Date < in.Date-historyDays {
			continue
		}
		if a.backTo(d.Date) {
			return a.showing()
		}
	}
	if last := lastPlayed(a.since); last != 0 {
		a.backTo(last)
	}
	return a.showing()
}

// backTo goes back to an earlier date that was played, and reports whether a
// lay-off lies between.
func (a *absence) backTo(d Date) bool {
	a.days = int(a.since - d)
	a.since = d
	if returnAfter(a.days).after > 0 {
		return true
	}
	a.days = 0
	a.back++
	return false
}

// showing returns a, or none if the player has come all the way back.
func (a absence) showing() absence {
	if a.days == 0 || a.back >= returnAfter(a.days).over {
		return absence{}
	}
	return a
}

// afterAbsence shortens the first days after a lay-off, and keeps them soft
// until four fifths of the minutes are back.
func afterAbsence(a absence) constraint {
	if a.days == 0 {
		return constraint{}
	}
	share := a.share()
	note := Reason{Kind: FirstDayBack, N: a.days}
	if a.back > 0 {
		note = Reason{Kind: DayBack, N: a.back + 1, Of: a.days}
	}
	return constraint{share, share < 80, note}
}
