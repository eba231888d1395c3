package streaks

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
)

func TestSum(t *testing.T) {
	sunday := monday + 6
	r := Record{
		Calendar: Calendar{Joined: monday - 60, Off: []OffDays{{monday - 60, weekend}}},
		Settled:  monday + 3,
		Reports: []routine.DayReport{
			{Seq: 1, Date: monday - 3, Pain: true},
			{Seq: 2, Date: monday - 2, PainGone: true},
			{Seq: 3, Date: monday, Played: true, Minutes: 30, Feel: routine.Fresh},
			{Seq: 4, Date: monday + 2, Excuse: routine.Ill, Feel: routine.Tired},
			{Seq: 5, Date: monday + 3, Played: true, Feel: routine.Tired},
			{Seq: 6, Date: monday + 5, Played: true, Pain: true},
			{Seq: 7, Date: monday + 7, PainGone: true}, // next week
		},
		Entries: []routine.Entry{
			{Date: monday, Item: 1, Outcome: routine.Clean, Minutes: 4},
			{Date: monday + 3, Item: 1, Outcome: routine.Clean, Minutes: 4},
			{Date: monday + 3, Item: 2, Outcome: routine.Done, Minutes: 8},
			{Date: monday + 8, Item: 2, Outcome: routine.Done, Minutes: 8},
		},
	}
	f := Sum(r, monday, sunday)
	// Monday, Thursday and Friday remain: Tuesday was missed, Wednesday excused;
	// Friday is open, Saturday extra.
	want := map[Kind]int{Kept: 2, Missed: 1, Excused: 1, Open: 1, Extra: 1, Off: 1}
	if !maps.Equal(f.Days, want) {
		t.Errorf("days %v, want %v", f.Days, want)
	}
	if f.Scheduled() != 4 {
		t.Errorf("%d days scheduled, want 4", f.Scheduled())
	}
	if f.Minutes != 30+12 || f.Fresh != 1 || f.Tired != 2 || f.Pain != 1 || !f.Hurting {
		t.Errorf("minutes %d, fresh %d, tired %d, pain %d, hurting %v; want 42, 1, 2, 1, true",
			f.Minutes, f.Fresh, f.Tired, f.Pain, f.Hurting)
	}
	if f := Sum(r, monday, sunday+1); f.Hurting {
		t.Error("still hurting on the day the pain is gone")
	}
}

func TestMoves(t *testing.T) {
	key := func(line, pass int) routine.StandingKey {
		return routine.StandingKey{Line: routine.LineRef{Book: "slur-atlas", Study: 1, Line: line}, Pass: pass}
	}
	before := map[routine.StandingKey]routine.Standing{
		key(2, 1):  {State: routine.Working, Best: quarter(80)},
		key(3, 1):  {State: routine.Working, Best: quarter(80)},
		key(10, 1): {State: routine.Working},
		key(4, 1):  {State: routine.Passed, Best: quarter(96)},
	}
	after := map[routine.StandingKey]routine.Standing{
		key(2, 1):  {State: routine.Working, Best: routine.Tempo{BPM: 184, Note: routine.Eighth}}, // 168, 176, 184
		key(3, 1):  {State: routine.Working, Best: quarter(80), Plays: 3},
		key(10, 1): {State: routine.Ready, Best: quarter(60)},
		key(10, 2): {State: routine.Working},
		key(4, 1):  {State: routine.Slipped, Best: quarter(96)},
	}
	want := []Move{
		{key(2, 1), routine.Working, routine.Working, routine.Tempo{BPM: 184, Note: routine.Eighth}, 3},
		{key(4, 1), routine.Passed, routine.Slipped, quarter(96), 0},
		{key(10, 1), routine.Working, routine.Ready, quarter(60), 0},
		{key(10, 2), routine.New, routine.Working, routine.Tempo{}, 0},
	}
	if got := Moves(before, after); !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
	f := Sum(Record{Before: before, After: after}, monday, monday+6)
	if want := []routine.StandingKey{key(10, 1)}; !slices.Equal(f.Ready, want) {
		t.Errorf("ready %v, want %v", f.Ready, want)
	}
}

// The marks of the traditional metronome series between two tempi.
func TestMarksGained(t *testing.T) {
	for _, tt := range []struct {
		from, to routine.Tempo
		want     int
	}{
		{quarter(60), quarter(63), 1},
		{quarter(72), quarter(96), 6}, // 76 80 84 88 92 96
		{quarter(118), quarter(138), 4},
		{quarter(96), quarter(92), 0},
		{quarter(96), quarter(96), 0},
		{routine.Tempo{}, quarter(96), 0},
		{quarter(96), routine.Tempo{}, 0},
		{quarter(72), routine.Tempo{BPM: 144, Note: routine.Eighth}, 0},
		{quarter(200), quarter(220), 1}, // 208 is the last
	} {
		if got := marksGained(tt.from, tt.to); got != tt.want {
			t.Errorf("from %v to %v: %d marks, want %d", tt.from, tt.to, got, tt.want)
		}
	}
}

// Silence is judged against the student's own habit; the wanted days follow
// from (1-p)^m < 1/50 with p = (kept+1)/(days+2).
func TestQuiet(t *testing.T) {
	week := strings.Repeat
	for _, tt := range []struct {
		what   string
		log    string
		missed int
		gone   bool
	}{
		{"a daily player after one day", week("p", 40) + ".", 1, false},
		{"a daily player after two days", week("p", 40) + "..", 2, true},
		{"two days of illness are no silence", week("p", 40) + "ii", 0, false},
		{"every other day, after five", week("p.", 20) + "p.....", 5, false}, // p = 22/43
		{"every other day, after six", week("p.", 20) + "p......", 6, true},
		{"one day of seven, after a fortnight", week("p......", 5) + "p" + week(".", 14), 14, false},
		{"a student who never played", week(".", 50), 50, false},
		{"a student of two days", "pp...", 3, true},
		{"a student of one day", "p..", 2, false},
	} {
		days := logOf(monday, tt.log)
		last := monday + routine.Date(len(tt.log)) - 1
		q := quiet(Kinds(Calendar{Joined: monday}, days, last-HabitDays+1, last, last))
		if q.Missed != tt.missed || q.Gone != tt.gone {
			t.Errorf("%s: %d missed, gone %v; want %d, %v", tt.what, q.Missed, q.Gone, tt.missed, tt.gone)
		}
	}
}

// BenchmarkSum makes the week of a student with eight weeks of reports and ten
// entries a day, on 40 lines in work.
func BenchmarkSum(b *testing.B) {
	r := Record{Calendar: Calendar{Joined: monday - 100}, Settled: monday + 6, After: map[routine.StandingKey]routine.Standing{}}
	for day := monday - HabitDays; day < monday+7; day++ {
		r.Reports = append(r.Reports, routine.DayReport{Seq: int64(day), Date: day, Played: true})
		for i := range 10 {
			line := routine.LineRef{Book: "daily-ground", Study: 1, Line: (int(day)*10 + i) % 40}
			r.Entries = append(r.Entries, routine.Entry{Date: day, Lines: []routine.LineRef{line}, Pass: 1, Outcome: routine.Clean, To: quarter(80), Minutes: 4})
			r.After[routine.StandingKey{Line: line, Pass: 1}] = routine.Standing{State: routine.Working, Mark: quarter(80)}
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if f := Sum(r, monday, monday+6); f.Days[Kept] != 7 {
			b.Fatal(f.Days)
		}
	}
}
