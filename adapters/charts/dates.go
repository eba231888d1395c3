package charts

import (
	"strconv"
	"time"

	"ledgerline/routine"
	"ledgerline/studio/words"
)

// dateWidth is the width of a wide date without its year.
func dateWidth(v *words.Voice) float64 {
	return figureFace().width(v.Short(routine.NewDate(2026, time.March, 28)))
}

// A dateTick is a date named on an axis; year says whether its year is too.
type dateTick struct {
	date routine.Date
	year bool
}

// dateTicks returns at most most dates from first to last: days at equal
// distance, else Mondays, else first days of months. The first of them and the
// first of every year have the year.
func dateTicks(first, last routine.Date, most int) []dateTick {
	var ticks []dateTick
	year := 0
	for _, d := range spaced(first, last, most) {
		y, _, _ := d.Calendar()
		ticks = append(ticks, dateTick{d, y != year})
		year = y
	}
	return ticks
}

// spaced chooses the dates of an axis.
func spaced(first, last routine.Date, most int) []routine.Date {
	for _, days := range []routine.Date{1, 2, 3} {
		if dates := every(first, last, days); len(dates) <= most {
			return dates
		}
	}
	monday := (first + 6).Monday()
	for _, days := range []routine.Date{7, 14} {
		if dates := every(monday, last, days); len(dates) <= most {
			return dates
		}
	}
	for _, months := range []int{1, 2, 3, 6, 12} {
		if dates := monthly(first, last, months); len(dates) <= most {
			return dates
		}
	}
	return yearly(first, last, most)
}

// every returns each days-th date.
func every(from, last, days routine.Date) (dates []routine.Date) {
	for d := from; d <= last; d += days {
		dates = append(dates, d)
	}
	return dates
}

// monthly returns the first days of every months-th month, counted from January.
func monthly(first, last routine.Date, months int) (dates []routine.Date) {
	year, month, _ := first.Calendar()
	for m := (int(month) - 1) / months * months; ; m += months {
		d := routine.NewDate(year, time.January+time.Month(m), 1)
		if d > last {
			return dates
		}
		if d >= first {
			dates = append(dates, d)
		}
	}
}

// yearly returns the first days of years, evenly left out to be at most most.
func yearly(first, last routine.Date, most int) (dates []routine.Date) {
	all := monthly(first, last, 12)
	step := (len(all) + most - 1) / most
	for i := 0; i < len(all); i += step {
		dates = append(dates, all[i])
	}
	return dates
}

// yearText writes the year of a date.
func yearText(d routine.Date) string {
	y, _, _ := d.Calendar()
	return strconv.Itoa(y)
}
