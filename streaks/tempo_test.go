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

func TestStuckOf(t *testing.T) {
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
		s := Stand(tt.entries, nil, Rule{Goal: quarter(120)})
		last := tt.entries[len(tt.entries)-1].Date
		got, ok := StuckOf(key, s, tt.entries, last)
		if ok != (tt.try != "") || got.Try != tt.try {
			t.Errorf("%s: %v, %q; want %q", tt.what, ok, got.Try, tt.try)
		}
		if ok && (got.Since != date("2026-03-01") || got.Best != quarter(84)) {
			t.Errorf("%s: %v since %v, want quarter=84 since 2026-03-01", tt.what, got.Best, got.Since)
		}
		r := Record{Entries: tt.entries, After: map[routine.StandingKey]routine.Standing{key: s}}
		if f := Sum(r, last-6, last); (len(f.Stuck) == 1) != ok {
			t.Errorf("%s: the week has %d lines stuck", tt.what, len(f.Stuck))
		}
		r.Locked = map[routine.StandingKey]bool{key: true}
		if f := Sum(r, last-6, last); len(f.Stuck) != 0 {
			t.Errorf("%s: stuck although its tempo is locked", tt.what)
		}
	}
}

// Of a line that was never clean, the first entry is what it is stuck since.
func TestStuckNeverClean(t *testing.T) {
	var entries []routine.Entry
	for day := 1; day <= 23; day++ {
		entries = append(entries, say(day, routine.Missed, quarter(60)))
	}
	slices.Reverse(entries)
	got, ok := StuckOf(routine.StandingKey{Line: line14, Pass: 1}, Stand(entries, nil, Rule{}), entries, date("2026-03-23"))
	if !ok || got.Since != date("2026-03-01") || !got.Best.IsZero() || got.Try != DropAndShorten {
		t.Errorf("got %+v, %v", got, ok)
	}
}
