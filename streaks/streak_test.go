package streaks

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

const weekend = routine.Weekday(1<<time.Saturday | 1<<time.Sunday)

// monday begins ISO week 2026-W10.
var monday = date("2026-03-02")

// logOf reads one letter a day, from first on: p played, . nothing, i ill,
// r rest, t travel, l played but said late, x pain and nothing played, h pain
// and played, g pain gone and nothing played, G pain gone and played.
func logOf(first routine.Date, letters string) []Day { return Days(reportsOf(first, letters)) }

func reportsOf(first routine.Date, letters string) (reports []routine.DayReport) {
	for i, letter := range strings.ReplaceAll(letters, " ", "") {
		r := routine.DayReport{Seq: int64(i), Date: first + routine.Date(i)}
		r.Played = strings.ContainsRune("plhG", letter)
		r.Late = letter == 'l'
		r.Pain = strings.ContainsRune("xh", letter)
		r.PainGone = strings.ContainsRune("gG", letter)
		r.Excuse = map[rune]routine.Excuse{'i': routine.Ill, 'r': routine.RestDay, 't': routine.Travel}[letter]
		if letter != '.' {
			reports = append(reports, r)
		}
	}
	return reports
}

// recount settles all dates from nothing.
func recount(c Calendar, days []Day, through routine.Date) State {
	return Advance(State{}, c, days, through)
}

func TestStreak(t *testing.T) {
	everyDay := Calendar{Joined: monday}
	weekdays := Calendar{Joined: monday, Off: []OffDays{{monday, weekend}}}
	twoDays := Calendar{Joined: monday, Off: []OffDays{{monday, ^routine.Weekday(1<<time.Tuesday | 1<<time.Thursday)}}}
	holiday := Calendar{Joined: monday, Pauses: []Pause{{monday + 2, monday + 8, routine.Holiday}}}
	minor := Calendar{Joined: monday + 3}
	left := Calendar{Joined: monday, Left: monday + 2}
	changed := Calendar{Joined: monday, Off: []OffDays{{monday, weekend}, {monday + 7, 1 << time.Monday}}}
	tests := []struct {
		what                    string
		calendar                Calendar
		log                     string // settled days from Monday on
		current, longest, weeks int
	}{
		{"nothing yet", everyDay, "", 0, 0, 0},
		{"a whole week", everyDay, "ppppppp", 7, 7, 1},
		{"one miss breaks the streak, not the week", everyDay, "pppp.pp", 2, 4, 1},
		{"two misses break both", everyDay, "ppppppp pp.p.pp", 2, 9, 0},
		{"days off neither break nor lengthen", weekdays, "ppppp.. ppppp..", 10, 10, 2},
		{"a day played on a day off does not lengthen", weekdays, "pppppp.", 5, 5, 1},
		{"a day played on a day off makes up for nothing", weekdays, "ppp..pp", 0, 3, 0},
		{"illness", everyDay, "ppiiiip", 3, 3, 1},
		{"a week of illness", everyDay, "ppppppp iiiiiii ppppppp", 14, 14, 2},
		{"rest and travel", everyDay, "pprttpp", 4, 4, 1},
		{"late does not count", everyDay, "pplpppp", 4, 4, 1},
		{"two days a week, both kept", twoDays, ".p.p... .p.p...", 4, 4, 2},
		{"two days a week, one kept", twoDays, ".p..... ...p...", 1, 1, 2},
		{"two days a week, none kept", twoDays, ".p.p... .......", 0, 2, 0},
		{"a holiday of the studio", holiday, "pp..... ..ppppp", 7, 7, 2},
		{"played in the holiday", holiday, "ppppppp ppppppp", 7, 7, 2},
		{"before consent", minor, "ppppppp", 4, 4, 1},
		{"after leaving", left, "ppp....", 3, 3, 1},
		{"a change of schedule", changed, "ppppp.. .pppppp", 11, 11, 2},
		{"pain on a day that was played counts", everyDay, "pph", 3, 3, 0},
		{"pain on a day that was not played excuses", everyDay, "ppx", 2, 2, 0},
		{"days in pain are excused", everyDay, "pph....", 3, 3, 1},
		{"playing hurt gains nothing", everyDay, "pphpppp", 3, 3, 1},
		{"the day pain is gone counts", everyDay, "pph.Gpp", 6, 6, 1},
		{"the day pain is gone is excused", everyDay, "pph.gpp", 5, 5, 1},
		{"after pain is gone a miss is a miss", everyDay, "pph.g.p", 1, 3, 1},
	}
	for _, tt := range tests {
		t.Run(tt.what, func(t *testing.T) {
			through := monday + routine.Date(len(strings.ReplaceAll(tt.log, " ", ""))) - 1
			st := recount(tt.calendar, logOf(monday, tt.log), through)
			if st.Current != tt.current || st.Longest != tt.longest || st.Weeks != tt.weeks {
				t.Errorf("streak %d, longest %d, weeks %d; want %d, %d, %d",
					st.Current, st.Longest, st.Weeks, tt.current, tt.longest, tt.weeks)
			}
		})
	}
}

func TestNotJoined(t *testing.T) {
	st := recount(Calendar{}, logOf(monday, "ppppppp"), monday+6)
	if st != (State{}) {
		t.Errorf("without consent: %+v, want nothing counted", st)
	}
	if got := st.Tally(Calendar{}, logOf(monday, "ppp"), monday+2); got != (Tally{}) {
		t.Errorf("without consent: %+v, want nothing tallied", got)
	}
}

// Open days are counted on top of the settled ones, and break nothing.
func TestTally(t *testing.T) {
	c := Calendar{Joined: monday}
	tests := []struct {
		what    string
		log     string
		settled int // days settled; the rest are open
		want    Tally
	}{
		{"today not played", "pp.", 2, Tally{Streak: 2, Longest: 2, ThisWeek: Week{7, 2}}},
		{"today played", "ppp", 2, Tally{Streak: 3, Longest: 3, ThisWeek: Week{7, 3}}},
		{"yesterday may still be told", "pp.p", 2, Tally{Streak: 3, Longest: 3, ThisWeek: Week{7, 3}}},
		{"yesterday is settled", "pp.p", 3, Tally{Streak: 1, Longest: 2, ThisWeek: Week{7, 3}}},
		{"the week is met before it ends", "pppppp", 5, Tally{Weeks: 1, LongestWeeks: 1, TotalWeeks: 1, Streak: 6, Longest: 6, ThisWeek: Week{7, 6}}},
		{"excused days are not planned", "ppii", 3, Tally{Streak: 2, Longest: 2, ThisWeek: Week{5, 2}}},
		{"pain that is not gone plans nothing", "ph", 1, Tally{Weeks: 1, LongestWeeks: 1, TotalWeeks: 1, Streak: 2, Longest: 2, ThisWeek: Week{2, 2}}},
		{"last week is open and not met: it breaks nothing", "ppppppp ppppp.. .", 12, Tally{Weeks: 1, LongestWeeks: 1, TotalWeeks: 1, Streak: 12, Longest: 12, ThisWeek: Week{7, 0}}},
		{"last week is settled", "ppppppp ppppp.. .", 14, Tally{Weeks: 0, LongestWeeks: 1, TotalWeeks: 1, Streak: 0, Longest: 12, ThisWeek: Week{7, 0}}},
	}
	for _, tt := range tests {
		t.Run(tt.what, func(t *testing.T) {
			n := len(strings.ReplaceAll(tt.log, " ", ""))
			settled := monday + routine.Date(tt.settled) - 1
			days := logOf(monday, tt.log)
			tail := slices.DeleteFunc(slices.Clone(days), func(d Day) bool { return d.Date <= settled })
			st := recount(c, days, settled)
			if got := st.Tally(c, tail, monday+routine.Date(n)-1); got != tt.want {
				t.Errorf("got  %+v\nwant %+v", got, tt.want)
			}
		})
	}
}

// ISO weeks that begin in one year and end in the next (ISO 8601: 2004-W53 ends on
// 2005-01-02, 2009-W01 begins on 2008-12-29, 2009-W53 ends on 2010-01-03, 2020-W53
// on 2021-01-03, and 2026-W53 is 2026-12-28 to 2027-01-03).
func TestWeekAcrossNewYear(t *testing.T) {
	for _, first := range []routine.Date{date("2026-12-28"), date("2020-12-28"), date("2009-12-28"), date("2008-12-29"), date("2004-12-27")} {
		c := Calendar{Joined: first}
		if st := recount(c, logOf(first, "ppp...."), first+6); st.TotalWeeks != 0 || st.Week != (Week{7, 3}) {
			t.Errorf("week of %v, three days before New Year only: %+v, want the week not kept", first, st)
		}
		if st := recount(c, logOf(first, "ppp.ppp"), first+6); st.TotalWeeks != 1 || st.Weeks != 1 {
			t.Errorf("week of %v, one day missed: %d weeks, want 1", first, st.TotalWeeks)
		}
		if st := recount(c, logOf(first, "ppppppp pp"), first+8); st.TotalWeeks != 1 || st.Week != (Week{2, 2}) {
			t.Errorf("week of %v and two days: %+v, want one week and two days of the next", first, st)
		}
	}
}

// Samoa went from 2011-12-29 to 2011-12-31 (tzdata 2025b, zone Pacific/Apia).
func TestDateThatNeverWas(t *testing.T) {
	apia, err := time.LoadLocation("Pacific/Apia")
	if err != nil {
		t.Skip("no time zone data here: ", err)
	}
	first := date("2011-12-26")
	missing := MissingDates(first, first+20, apia)
	if want := []routine.Date{date("2011-12-30")}; !slices.Equal(missing, want) {
		t.Fatalf("missing dates %v, want %v", missing, want)
	}
	days := logOf(first, "pppp.pp")
	if st := recount(Calendar{Joined: first, Missing: missing}, days, first+6); st.Current != 6 || st.TotalWeeks != 1 {
		t.Errorf("streak %d, weeks %d; want 6 and 1", st.Current, st.TotalWeeks)
	}
	if st := recount(Calendar{Joined: first}, days, first+6); st.Current != 2 {
		t.Errorf("streak %d with the date expected; want 2", st.Current)
	}
	for _, day := range []string{"2011-12-29", "2011-12-31"} {
		if got := MissingDates(date(day), date(day), apia); got != nil {
			t.Errorf("%s alone: %v said to be missing", day, got)
		}
	}
	if got := MissingDates(missing[0], missing[0], apia); !slices.Equal(got, missing) {
		t.Errorf("asked about it alone: %v, want %v", got, missing)
	}
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	if missing := MissingDates(first, first+400, london); missing != nil {
		t.Errorf("London is said to miss %v", missing)
	}
}

// Nights on which clocks change, midnight included, have their date like any
// other: gaps and folds of tzdata 2025b.
func TestClockChangesMissNoDate(t *testing.T) {
	for zone, on := range map[string][]string{
		"America/New_York":    {"2026-03-08", "2026-11-01"},
		"Europe/London":       {"2026-03-29", "2026-10-25"},
		"Australia/Lord_Howe": {"2026-04-05", "2026-10-04"},
		"Africa/Casablanca":   {"2026-02-15", "2026-03-22"},
		"Asia/Beirut":         {"2026-03-29"},
		"Africa/Cairo":        {"2026-04-24", "2026-10-29"},
		"America/Sao_Paulo":   {"2018-11-04"},
	} {
		loc, err := time.LoadLocation(zone)
		if err != nil {
			t.Skip("no time zone data here: ", err)
		}
		for _, day := range on {
			if missing := MissingDates(date(day)-2, date(day)+2, loc); missing != nil {
				t.Errorf("%s: %v said to be missing", zone, missing)
			}
		}
	}
}

func TestKinds(t *testing.T) {
	c := Calendar{Joined: monday, Off: []OffDays{{monday, weekend}}, Pauses: []Pause{{monday + 7, monday + 8, routine.Travel}}}
	days := logOf(monday, "pp.xppp p.Gp")
	got := Kinds(c, days, monday-1, monday+13, monday+9)
	want := []Kind{Off, Kept, Kept, Missed, Excused, Excused, Extra, Extra, Extra, Excused, Kept, Kept, Open, Off, Off}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
	left := Calendar{Joined: monday + 1, Left: monday + 2}
	if got, want := Kinds(left, logOf(monday, "pppp"), monday, monday+3, monday+3), []Kind{Off, Kept, Kept, Off}; !slices.Equal(got, want) {
		t.Errorf("played before joining and after leaving: %v, want %v", got, want)
	}
	// From the middle of the pain, with the days before it known.
	if got := Kinds(c, days, monday+4, monday+4, monday+9); got[0] != Excused {
		t.Errorf("a day that began in pain is %q, want excused", got[0])
	}
	if got, want := Weeks(want[1:]), []Week{{3, 2}, {3, 2}}; !slices.Equal(got, want) {
		t.Errorf("weeks %v, want %v", got, want)
	}
}

func TestDays(t *testing.T) {
	reports := []routine.DayReport{
		{Seq: 4, Date: monday, Played: true},                                 // in time after all
		{Seq: 1, Date: monday, Excuse: routine.Ill},                          //
		{Seq: 2, Date: monday, Played: true, Late: true},                     //
		{Seq: 5, Date: monday + 1, Late: true, Excuse: routine.Travel},       // too late an excuse
		{Seq: 6, Date: monday + 2, Late: true, Excuse: routine.Ill},          // illness may be told late
		{Seq: 7, Date: monday + 3, Pain: true},                               //
		{Seq: 8, Date: monday + 3, PainGone: true},                           //
		{Seq: 10, Date: monday + 4, Pain: true},                              // the last word, though
		{Seq: 9, Date: monday + 4, PainGone: true, Played: true, Late: true}, // written first
	}
	want := []Day{
		{Date: monday, Played: true, Excused: routine.Ill},
		{Date: monday + 1},
		{Date: monday + 2, Excused: routine.Ill},
		{Date: monday + 3, Pain: true, PainGone: true},
		{Date: monday + 4, Pain: true, Played: true, Late: true},
	}
	if got := Days(reports); !slices.Equal(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	if !Hurting(reports) || Hurting(reports[:7]) {
		t.Error("hurting at the last word only")
	}
}

func TestDayLog(t *testing.T) {
	reports := []routine.DayReport{
		{Seq: 2, Date: monday, Played: true, Minutes: 25, Feel: routine.Tired},
		{Seq: 1, Date: monday, Played: true, Minutes: 40, Feel: routine.Fresh},
		{Seq: 3, Date: monday, Pain: true},
		{Seq: 4, Date: monday + 1, Excuse: routine.Travel},
		{Seq: 5, Date: monday + 4, Pain: true},
		{Seq: 6, Date: monday + 4, Played: true, PainGone: true},
		{Seq: 8, Date: monday + 5, Pain: true},
		{Seq: 7, Date: monday + 5, PainGone: true},
	}
	entries := []routine.Entry{
		{Date: monday, Item: 1, Outcome: routine.Clean, Minutes: 5},
		{Date: monday + 1, Item: 2, Outcome: routine.Skipped, Minutes: 9, Hard: true},
		{Date: monday + 2, Item: 1, Outcome: routine.Done, Minutes: 5},
		{Date: monday + 2, Item: 3, Outcome: routine.Shaky, Minutes: 7, Hard: true},
	}
	for _, want := range []routine.DayLog{
		{Date: monday, Kept: true, Minutes: 25, Feel: routine.Tired, Pain: true}, // the last minutes said stand
		{Date: monday + 1, Excuse: routine.Travel},
		{Date: monday + 2, Kept: true, Minutes: 12, Hard: true, Strenuous: 7}, // the items' minutes
		{Date: monday + 3},
		{Date: monday + 4, Kept: true, Pain: true, PainGone: true},
		{Date: monday + 5, Pain: true}, // back by the end of the day
	} {
		if got := DayLog(reports, entries, want.Date); got != want {
			t.Errorf("got  %+v\nwant %+v", got, want)
		}
	}
}

// A date is missing exactly if no instant of it can be found.
func TestMissingDatesAgainstAt(t *testing.T) {
	zones := []string{"Pacific/Apia", "Pacific/Fakaofo", "Pacific/Kwajalein", "Pacific/Kiritimati", "Asia/Manila", "America/Sao_Paulo", "Africa/Cairo", "Australia/Lord_Howe", "UTC"}
	for _, zone := range zones {
		loc, err := time.LoadLocation(zone)
		if err != nil {
			t.Skip("no time zone data here: ", err)
		}
		var want []routine.Date
		from, to := date("1840-01-01"), date("2030-12-31")
		for d := from; d <= to; d++ {
			if _, ok := d.At(0, 0, loc); !ok {
				want = append(want, d)
			}
		}
		got := MissingDates(from, to, loc)
		if !slices.Equal(got, want) {
			t.Errorf("%s: missing %v, one by one %v", zone, got, want)
		}
		t.Logf("%s misses %v", zone, got)
	}
}

// genCalendar makes a member's calendar over some weeks from monday on.
func genCalendar(t *rapid.T) Calendar {
	day := func(name string) routine.Date { return monday + routine.Date(rapid.IntRange(0, 50).Draw(t, name)) }
	c := Calendar{Joined: monday + routine.Date(rapid.IntRange(0, 10).Draw(t, "joined"))}
	if rapid.IntRange(0, 4).Draw(t, "leaves") == 0 {
		c.Left = day("left")
	}
	for range rapid.IntRange(0, 3).Draw(t, "schedules") {
		c.Off = append(c.Off, OffDays{day("off from"), routine.Weekday(rapid.IntRange(0, 127).Draw(t, "off"))})
	}
	slices.SortStableFunc(c.Off, func(a, b OffDays) int { return int(a.From - b.From) })
	for range rapid.IntRange(0, 2).Draw(t, "pauses") {
		from := day("pause")
		c.Pauses = append(c.Pauses, Pause{from, from + routine.Date(rapid.IntRange(0, 9).Draw(t, "pause days")), routine.Holiday})
	}
	if rapid.IntRange(0, 5).Draw(t, "misses a date") == 0 {
		c.Missing = []routine.Date{day("missing")}
	}
	return c
}

// genReports makes reports over the same weeks, out of order.
func genReports(t *rapid.T) []routine.DayReport {
	reports := make([]routine.DayReport, rapid.IntRange(0, 70).Draw(t, "reports"))
	for i := range reports {
		r := &reports[i]
		r.Seq = int64(i)
		r.Date = monday + routine.Date(rapid.IntRange(-3, 50).Draw(t, "date"))
		r.Late = rapid.IntRange(0, 5).Draw(t, "late") == 0
		switch rapid.IntRange(0, 15).Draw(t, "says") {
		case 0:
			r.Excuse = routine.Ill
		case 1:
			r.Excuse = routine.RestDay
		case 2:
			r.Pain = true
		case 3:
			r.PainGone = true
		case 4:
			r.Played, r.Pain = true, true
		case 5:
			r.Played, r.PainGone = true, true
		default:
			r.Played = true
		}
	}
	return reports
}

// TestAdvanceAgainstNaive settles the log in random steps, and compares with
// counting that walks the dates and the raw reports again for each question.
func TestAdvanceAgainstNaive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, reports := genCalendar(t), genReports(t)
		days := Days(reports)
		through := monday + routine.Date(rapid.IntRange(0, 50).Draw(t, "through"))
		var st State
		for st.Through < through {
			next := max(st.Through, monday) + routine.Date(rapid.IntRange(0, 20).Draw(t, "step"))
			st = Advance(st, c, days, min(next, through))
		}
		if again := recount(c, days, through); st != again {
			t.Fatalf("in steps  %+v\nrecounted %+v", st, again)
		}
		n := naive{c, reports}
		from := monday + routine.Date(rapid.IntRange(-3, 30).Draw(t, "from"))
		for i, k := range Kinds(c, days, from, through, through) {
			worth := map[Kind]int{Kept: 1, Missed: -1, Off: 0, Extra: 0, Excused: 0}
			if want := n.worth(from + routine.Date(i)); worth[k] != want {
				t.Fatalf("%v is %q, naively %d", from+routine.Date(i), k, want)
			}
		}
		want := [5]int{n.streak(through), n.longest(through), n.weeks(through), n.longestWeeks(through), n.totalWeeks(through)}
		if got := [5]int{st.Current, st.Longest, st.Weeks, st.LongestWeeks, st.TotalWeeks}; got != want {
			t.Fatalf("streak, longest, weeks, longest, total: %v, counted naively %v", got, want)
		}
	})
}

// naive counts without keeping anything.
type naive struct {
	c       Calendar
	reports []routine.DayReport
}

// lastPain is the last word about pain up to and including d: +1 hurts, -1
// gone, 0 nothing said.
func (n naive) lastPain(d routine.Date) int {
	word, at, seq := 0, routine.Date(-1<<30), int64(-1)
	for _, r := range n.reports {
		if (r.Pain || r.PainGone) && r.Date >= n.c.Joined && r.Date <= d && (r.Date > at || r.Date == at && r.Seq > seq) {
			at, seq, word = r.Date, r.Seq, -1
			if r.Pain {
				word = 1
			}
		}
	}
	return word
}

// any reports whether a report of d has the property.
func (n naive) any(d routine.Date, has func(routine.DayReport) bool) bool {
	return slices.ContainsFunc(n.reports, func(r routine.DayReport) bool { return r.Date == d && has(r) })
}

// worth is +1 for a day kept, -1 for one missed, 0 for one that neither breaks
// nor lengthens.
func (n naive) worth(d routine.Date) int {
	if d < n.c.Joined || n.c.Left > 0 && n.c.Left < d {
		return 0
	}
	for _, m := range n.c.Missing {
		if m == d {
			return 0
		}
	}
	var off routine.Weekday
	for _, o := range n.c.Off {
		if o.From <= d {
			off = o.Off
		}
	}
	if off>>(int(d+4)%7)&1 == 1 { // 1970-01-01 was a Thursday
		return 0
	}
	for _, p := range n.c.Pauses {
		if d >= p.From && d <= p.To {
			return 0
		}
	}
	played := n.any(d, func(r routine.DayReport) bool { return r.Played && !r.Late })
	if n.lastPain(d-1) == 1 {
		gone := n.any(d, func(r routine.DayReport) bool { return r.PainGone }) && n.lastPain(d) == -1
		if !gone || !played {
			return 0
		}
	}
	if n.lastExcuse(d) == routine.Ill {
		return 0
	}
	if played {
		return 1
	}
	if n.lastExcuse(d) != "" || n.any(d, func(r routine.DayReport) bool { return r.Pain }) {
		return 0
	}
	return -1
}

func (n naive) lastExcuse(d routine.Date) (x routine.Excuse) {
	seq := int64(-1)
	for _, r := range n.reports {
		if r.Date == d && r.Excuse != "" && r.Seq > seq && (r.Excuse == routine.Ill || !r.Late) {
			x, seq = r.Excuse, r.Seq
		}
	}
	return x
}

// streak walks back from through to the last miss.
func (n naive) streak(through routine.Date) (kept int) {
	for d := through; d >= n.c.Joined && n.worth(d) >= 0; d-- {
		kept += n.worth(d)
	}
	return kept
}

func (n naive) longest(through routine.Date) (longest int) {
	for d := monday; d <= through; d++ {
		longest = max(longest, n.streak(d))
	}
	return longest
}

// week judges the ISO week that ends on the given Sunday: +1 kept, -1 not, 0
// nothing planned.
func (n naive) week(sunday routine.Date) int {
	kept, planned := 0, 0
	for d := sunday - 6; d <= sunday; d++ {
		switch n.worth(d) {
		case 1:
			kept, planned = kept+1, planned+1
		case -1:
			planned++
		}
	}
	switch {
	case planned == 0:
		return 0
	case kept > 0 && planned-kept <= 1:
		return 1
	}
	return -1
}

// sundays are the ends of the ISO weeks that are over by through.
func (n naive) sundays(through routine.Date) (ends []routine.Date) {
	for d := monday; d <= through; d++ {
		y, w := d.ISOWeek()
		if y2, w2 := (d + 1).ISOWeek(); y != y2 || w != w2 {
			ends = append(ends, d)
		}
	}
	return ends
}

func (n naive) weeks(through routine.Date) (kept int) {
	for _, sunday := range slices.Backward(n.sundays(through)) {
		if n.week(sunday) < 0 {
			break
		}
		kept += n.week(sunday)
	}
	return kept
}

func (n naive) longestWeeks(through routine.Date) (longest int) {
	for _, sunday := range n.sundays(through) {
		longest = max(longest, n.weeks(sunday))
	}
	return longest
}

func (n naive) totalWeeks(through routine.Date) (total int) {
	for _, sunday := range n.sundays(through) {
		total += max(0, n.week(sunday))
	}
	return total
}

// TestTallyAgreesWithSettled compares the figures of today, with some days
// still open, with those once every day is settled.
func TestTallyAgreesWithSettled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, days := genCalendar(t), Days(genReports(t))
		today := c.Joined + routine.Date(rapid.IntRange(0, 40).Draw(t, "today"))
		days = slices.DeleteFunc(days, func(d Day) bool { return d.Date > today })
		st := recount(c, days, today)
		settled := st.Tally(c, nil, today)
		if settled.Streak != st.Current || settled.Longest != st.Longest {
			t.Fatalf("tally %+v of a settled %+v", settled, st)
		}
		through := today - routine.Date(rapid.IntRange(1, 15).Draw(t, "open"))
		tail := since(days, through+1)
		open := recount(c, days, through).Tally(c, tail, today)
		if open.Streak < settled.Streak || open.Weeks < settled.Weeks || open.ThisWeek != settled.ThisWeek {
			t.Fatalf("with open days %+v, settled %+v: open days may only help, and plan the same", open, settled)
		}
	})
}

func ExampleAdvance() {
	c := Calendar{Joined: monday, Off: []OffDays{{monday, 1 << time.Sunday}}}
	st := recount(c, logOf(monday, "pppp.p."), monday+6)
	fmt.Println("streak", st.Current, "longest", st.Longest, "weeks kept", st.Weeks)
	st = Advance(st, c, []Day{{Date: monday + 7, Played: true}}, monday+7)
	fmt.Println("streak", st.Current)
	// Output:
	// streak 1 longest 4 weeks kept 1
	// streak 2
}

// tenYears is a log of ten years in which nine days of ten are played.
func tenYears() (Calendar, []Day) {
	rnd := rand.New(rand.NewPCG(1, 2))
	c := Calendar{Joined: monday, Off: []OffDays{{monday, 1 << time.Sunday}, {monday + 1000, weekend}}}
	for year := range routine.Date(10) {
		c.Pauses = append(c.Pauses, Pause{monday + 365*year + 150, monday + 365*year + 170, routine.Holiday})
	}
	var days []Day
	for d := monday; d < monday+3652; d++ {
		if rnd.Float64() < .9 {
			days = append(days, Day{Date: d, Played: true})
		}
	}
	return c, days
}

func BenchmarkMissingDatesTenYears(b *testing.B) {
	loc, err := time.LoadLocation("Europe/London")
	if err != nil {
		b.Skip("no time zone data here: ", err)
	}
	for b.Loop() {
		if MissingDates(monday-3652, monday, loc) != nil {
			b.Fatal("London misses a date")
		}
	}
}

func BenchmarkAdvance(b *testing.B) {
	c, days := tenYears()
	last := days[len(days)-1].Date
	st := recount(c, days, last-1)
	tail := days[len(days)-1:]
	b.ReportAllocs()
	for b.Loop() {
		if Advance(st, c, tail, last).Through != last {
			b.Fatal("did not advance")
		}
	}
}

func BenchmarkRecountTenYears(b *testing.B) {
	c, days := tenYears()
	b.ReportAllocs()
	for b.Loop() {
		if recount(c, days, days[len(days)-1].Date).TotalWeeks == 0 {
			b.Fatal("no week kept in ten years")
		}
	}
}
