package streaks

import (
	"math"
	"slices"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks/forecast"
)

func TestSessions(t *testing.T) {
	entries := []routine.Entry{
		say(5, routine.Clean, routine.Tempo{BPM: 160, Note: routine.Eighth}),
		say(2, routine.Shaky, quarter(84)),
		say(2, routine.Clean, quarter(76)),
		say(2, routine.Clean, quarter(72)),
		say(3, routine.Done, quarter(80)),
		say(4, routine.Skipped, quarter(80)),
		say(6, routine.Missed, quarter(88)),
		say(6, routine.Shaky, quarter(84)),
		say(7, routine.Clean, routine.Tempo{}),
	}
	got := Sessions(entries, routine.Quarter)
	shaky, _ := forecast.Played(date("2026-03-06"), 84, routine.Shaky)
	want := []forecast.Session{
		{Date: date("2026-03-02"), Low: 76, High: math.Inf(1)},
		{Date: date("2026-03-05"), Low: 80, High: math.Inf(1)},
		shaky,
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

// climbing is a log in which the tempo goes up a mark every third playing and is
// shaky in between.
func climbing(days int) []routine.Entry {
	var entries []routine.Entry
	at := quarter(60)
	for day := 1; day <= days; day++ {
		o := routine.Shaky
		if day%3 == 0 {
			o = routine.Clean
		}
		entries = append(entries, say(day, o, at))
		if o == routine.Clean {
			at = at.Up()
		}
	}
	return entries
}

func TestForecastOf(t *testing.T) {
	log := climbing(30)
	today := log[29].Date
	f := ForecastOf(log, routine.Tempo{BPM: 208, Note: routine.Eighth}, today)
	// Ten marks in 30 days, to quarter=92; 104 is three marks more.
	if f.None != "" || f.From < today || f.To > today+40 {
		t.Errorf("%v to %v (%s), want a range in the next weeks", f.From, f.To, f.None)
	}
	if f := ForecastOf(log[:4], quarter(104), today); f.None != forecast.TooFew {
		t.Errorf("of four entries: %+v", f)
	}
	if f := ForecastOf(log, quarter(92), today); f.None != forecast.Reached {
		t.Errorf("past the goal: %+v", f)
	}
}

// judged is what is stuck on the day of the last entry of one line.
func judged(entries []routine.Entry, change func(*Record)) ([]Stuck, routine.Date) {
	key := routine.StandingKey{Line: line14, Pass: 1}
	r := Record{Entries: entries, After: map[routine.StandingKey]routine.Standing{key: Stand(entries, nil, Rule{Goal: quarter(120)})}}
	if change != nil {
		change(&r)
	}
	last := slices.MaxFunc(entries, func(a, b routine.Entry) int { return int(a.Date - b.Date) }).Date
	return Sum(r, last-6, last).Stuck, last
}

func TestStuckLines(t *testing.T) {
	key := routine.StandingKey{Line: line14, Pass: 1}
	flat := func(days int, pattern ...routine.Outcome) []routine.Entry {
		entries := []routine.Entry{say(1, routine.Clean, quarter(84))}
		for day := 2; day <= days; day++ {
			at := quarter(84)
			if pattern[day%len(pattern)] == routine.Clean {
				at = quarter(80)
			}
			entries = append(entries, say(day, pattern[day%len(pattern)], at))
		}
		return entries
	}
	for _, tt := range []struct {
		what    string
		entries []routine.Entry
		try     Remedy
	}{
		{"shaky for three weeks", flat(23, routine.Shaky, routine.Clean), ChangeArticulation},
		{"shaky for a month", flat(30, routine.Shaky, routine.Clean), AlternateFingering},
		{"missed for three weeks", flat(23, routine.Missed, routine.Missed, routine.Clean), DropAndShorten},
		{"shaky for six weeks", flat(44, routine.Shaky, routine.Clean), LeaveAWeek},
		{"moving", climbing(23), ""},
		{"a few days", flat(10, routine.Shaky, routine.Clean), ""},
	} {
		got, _ := judged(tt.entries, nil)
		if (len(got) == 1) != (tt.try != "") || len(got) > 0 && got[0].Try != tt.try {
			t.Errorf("%s: %+v; want %q", tt.what, got, tt.try)
		}
		if len(got) > 0 && (got[0].Since != date("2026-03-01") || got[0].Best != quarter(84) || !slices.Equal(got[0].Lines, []routine.StandingKey{key})) {
			t.Errorf("%s: %+v, want quarter=84 since 2026-03-01", tt.what, got)
		}
		if got, _ := judged(tt.entries, func(r *Record) { r.Locked = map[routine.StandingKey]bool{key: true} }); len(got) != 0 {
			t.Errorf("%s: stuck although its tempo is locked", tt.what)
		}
		if got, _ := judged(tt.entries, func(r *Record) {
			s := r.After[key]
			s.State = routine.AtTempo
			r.After[key] = s
		}); len(got) != 0 {
			t.Errorf("%s: stuck although it is at tempo", tt.what)
		}
	}
	slurs := func(r *Record) { r.Skills = map[routine.StudyRef]routine.Skill{line14.StudyRef(): routine.Flexibility} }
	if got, _ := judged(flat(23, routine.Shaky, routine.Clean), slurs); len(got) != 1 || got[0].Try != AlternateFingering {
		t.Errorf("slurs, shaky for three weeks: %+v, want another fingering, since they stay slurred", got)
	}
}

// Lines of one study that are each played once a week are found stuck together,
// and named together; lines of another study, or pass, are not among them.
func TestStuckTogether(t *testing.T) {
	var entries []routine.Entry
	after := map[routine.StandingKey]routine.Standing{}
	play := func(study, line, pass int, tempi ...float64) {
		l := routine.LineRef{Book: "slur-atlas", Study: study, Line: line}
		for week, bpm := range tempi {
			entries = append(entries, routine.Entry{Date: monday + routine.Date(7*week+line), Lines: []routine.LineRef{l}, Pass: pass, Outcome: routine.Clean, To: quarter(bpm)})
		}
		after[routine.StandingKey{Line: l, Pass: pass}] = routine.Standing{State: routine.Working, Best: quarter(80), Mark: quarter(80)}
	}
	for line := range 3 {
		play(1, line, 1, 80, 80, 80, 80)
		play(2, line, 1, 80, 84, 88, 92)
	}
	play(1, 4, 2, 80, 80, 80, 80)
	got := StuckLines(Record{Entries: entries, After: after}, monday+26)
	if len(got) != 1 || len(got[0].Lines) != 3 || got[0].Lines[0].Line.Study != 1 || got[0].Lines[2].Pass != 1 || !got[0].Best.IsZero() || got[0].Since != monday+1 {
		t.Errorf("stuck are %+v, want lines 0 to 2 of study 1 since the second day", got)
	}
}

// Of a line that was never clean, the first entry is what it is stuck since.
func TestStuckNeverClean(t *testing.T) {
	var entries []routine.Entry
	for day := 1; day <= 23; day++ {
		entries = append(entries, say(day, routine.Missed, quarter(60)))
	}
	slices.Reverse(entries)
	got, _ := judged(entries, nil)
	if len(got) != 1 || got[0].Since != date("2026-03-01") || !got[0].Best.IsZero() || got[0].Try != DropAndShorten {
		t.Errorf("got %+v", got)
	}
}

func TestMinuteTests(t *testing.T) {
	test := func(day int, o routine.Outcome, at routine.Tempo) routine.Entry {
		e := say(day, o, at)
		e.Test = true
		return e
	}
	entries := []routine.Entry{
		test(9, routine.Clean, routine.Tempo{BPM: 160, Note: routine.Eighth}),
		test(2, routine.Missed, quarter(84)),
		test(2, routine.Clean, quarter(76)),
		test(2, routine.Clean, quarter(72)),
		test(3, routine.Shaky, quarter(84)),
		test(3, routine.Missed, quarter(80)),
		test(4, routine.Done, quarter(84)),
		test(4, routine.Skipped, quarter(84)),
		test(5, routine.Clean, routine.Tempo{}),
		say(6, routine.Clean, quarter(100)), // the line, not the minute
	}
	want := []forecast.Session{
		forecast.Measured(date("2026-03-02"), 76),
		{Date: date("2026-03-03"), High: 80},
		forecast.Measured(date("2026-03-09"), 80),
	}
	if got := MinuteTests(entries, routine.Quarter); !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

func TestMinuteForecastOf(t *testing.T) {
	var entries []routine.Entry
	at := quarter(72)
	for week := range 14 { // a mark a week, but for every third, when it was not held
		e := say(1+7*week, routine.Clean, at)
		e.Date, e.Test = monday+routine.Date(7*week), true
		if week%3 == 2 {
			e.Outcome = routine.Missed
		} else {
			at = at.Up()
		}
		entries = append(entries, e)
	}
	today := entries[len(entries)-1].Date // ten marks in thirteen weeks, to quarter=112
	f := MinuteForecastOf(entries, quarter(126), today)
	if f.None != "" || f.From < today || f.From > today+60 || f.To > today+300 {
		t.Errorf("%v to %v (%s), want a range that begins in the next two months", f.From, f.To, f.None)
	}
	if f := MinuteForecastOf(entries, quarter(100), today); f.None != forecast.Reached {
		t.Errorf("held already: %+v", f)
	}
	for i := range entries {
		entries[i].Test = false
	}
	if f := MinuteForecastOf(entries, quarter(126), today); f.None != forecast.TooFew {
		t.Errorf("without a test: %+v", f)
	}
}
