package forecast

import (
	"math"
	"slices"

	"ledgerline/routine"
)

// A Plateau says whether lines have stopped moving.
type Plateau struct {
	Flat  bool
	Since routine.Date // half of the lines, or more, were not clean faster since then
	Gain  float64      // marks gained in three weeks, by the sessions looked at
}

// What it takes to call lines flat. The numbers were chosen by simulation, and
// TestJudgeOnLearners measures what they do.
const (
	Window       = 21    // days that a gain is counted in
	lookBack     = 28    // days whose sessions are looked at,
	lookFurther  = 63    // or up to so many,
	lookSessions = 8     // until there are so many sessions
	minLooked    = 5     // sessions, at least
	minSpan      = 14    // days from the first to the last of them, at least
	idleDays     = 10    // days since the last, at most
	smallGain    = 2     // marks in a window: who gains so much is moving
	surely       = 1.645 // Mann-Kendall's Z of a fall behind that: 5 %, one-sided
	freshDays    = 7     // days in which most lines were no faster than ever before
)

// Judge says whether lines have stopped moving by the day called today. Each line
// is given by its sessions, one a date and by date: a single line, or those of
// one study in one pass, which are often stuck together and tell it sooner.
//
// They have if the sessions of the last four weeks (or of up to nine, where there
// are few) rule out that the lines gain two marks in three weeks: once such a gain
// is taken off, what is left must fall by the Mann-Kendall test, with each line a
// stratum of its own. That is to say that the upper limit of Sen's slope, at 95 %,
// is below two marks. And most lines must have been no faster this week than ever
// before. With few sessions, or of few days only, nothing is called flat.
func Judge(lines [][]Session, today routine.Date) Plateau {
	p := Plateau{Since: bestsOf(lines, today)}
	looked := lookAt(lines, today)
	sessions := 0
	first, last := math.Inf(1), math.Inf(-1)
	for _, l := range looked {
		sessions += len(l.X)
		first, last = min(first, l.X[0]), max(last, l.X[len(l.X)-1])
	}
	if sessions < minLooked || last-first < minSpan || last < -idleDays {
		return p
	}
	p.Gain = TheilSen(looked...) * Window
	for _, l := range looked {
		for i := range l.Y {
			l.Y[i] -= smallGain * l.X[i] / Window
		}
	}
	p.Flat = MannKendall(looked...).Z <= -surely && p.Since <= today-freshDays
	return p
}

// bestsOf returns the date since which half of the lines, or more, were not clean
// faster: the median of the dates on which each was at its fastest, or was first
// played if it never was clean.
func bestsOf(lines [][]Session, today routine.Date) routine.Date {
	var dates []routine.Date
	for _, l := range lines {
		l = upTo(l, today)
		if len(l) == 0 {
			continue
		}
		date, best := l[0].Date, 0.0
		for _, s := range l {
			if s.Clean() > best {
				date, best = s.Date, s.Clean()
			}
		}
		dates = append(dates, date)
	}
	if len(dates) == 0 {
		return 0
	}
	slices.Sort(dates)
	return dates[len(dates)/2]
}

// lookAt returns the sessions that tell of today, as marks by days from today.
// Lines with a single one say nothing of a trend and are left out.
func lookAt(lines [][]Session, today routine.Date) []Series {
	from := today - lookBack
	for from > today-lookFurther && countSince(lines, from, today) < lookSessions {
		from--
	}
	var looked []Series
	for _, l := range lines {
		var s Series
		for _, v := range upTo(l, today) {
			if v.Date > from {
				s.X = append(s.X, float64(v.Date-today))
				s.Y = append(s.Y, math.Log(v.level())/mark)
			}
		}
		if len(s.X) > 1 {
			looked = append(looked, s)
		}
	}
	return looked
}

// countSince counts the sessions after one date and up to another.
func countSince(lines [][]Session, from, to routine.Date) (n int) {
	for _, l := range lines {
		n += len(upTo(l, to)) - len(upTo(l, from))
	}
	return n
}

// upTo returns the sessions up to a date.
func upTo(sessions []Session, date routine.Date) []Session {
	n, _ := slices.BinarySearchFunc(sessions, date+1, func(s Session, d routine.Date) int { return int(s.Date - d) })
	return sessions[:n]
}

func median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	mid := len(s) / 2
	if len(s)%2 == 1 {
		return s[mid]
	}
	return (s[mid-1] + s[mid]) / 2
}
