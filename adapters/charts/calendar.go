package charts

import (
	"fmt"

	"ledgerline/streaks"
	"ledgerline/studio"
)

// Limits of one calendar picture.
const (
	MostWeeks = 16
	MostRows  = 40
)

// daySign returns the sign of a kind of day. A day that is open has none; ok is
// false for what is no kind of day.
func daySign(k streaks.Kind) (g glyph, ok bool) {
	switch k {
	case streaks.Kept:
		return filledHead, true
	case streaks.Extra:
		return ledgerHead, true
	case streaks.Missed:
		return ring, true
	case streaks.Excused:
		return restBar, true
	case streaks.Off:
		return speck, true
	case streaks.Open:
		return nil, true
	}
	return nil, false
}

// checkCalendar says what is wrong with a calendar.
func checkCalendar(p studio.CalendarPicture) error {
	if p.From.Monday() != p.From {
		return fmt.Errorf("calendar %q begins on %v, a %v: begin on the Monday, %v", p.Title, p.From, p.From.Weekday(), p.From.Monday())
	}
	if p.Weeks < 1 || p.Weeks > MostWeeks {
		return fmt.Errorf("calendar %q has %d weeks: draw 1 to %d", p.Title, p.Weeks, MostWeeks)
	}
	if len(p.Rows) > MostRows {
		return fmt.Errorf("calendar %q has %d rows: draw at most %d, and the rest in a second picture", p.Title, len(p.Rows), MostRows)
	}
	for _, row := range p.Rows {
		if err := checkRow(row, p.Weeks); err != nil {
			return fmt.Errorf("calendar %q, row of %s: %w", p.Title, row.Name, err)
		}
	}
	return nil
}

func checkRow(row studio.CalendarRow, weeks int) error {
	if len(row.Days) > 7*weeks {
		return fmt.Errorf("%d days in %d weeks: give at most %d", len(row.Days), weeks, 7*weeks)
	}
	if len(row.Weeks) > weeks {
		return fmt.Errorf("marks for %d weeks of %d: give one for each week at most", len(row.Weeks), weeks)
	}
	for i, k := range row.Days {
		if _, ok := daySign(k); !ok {
			return fmt.Errorf("day %d is %q: use kept, extra, missed, excused, off or open", i+1, k)
		}
	}
	return nil
}
