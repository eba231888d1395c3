package streaks

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

// shelf has a study of scales in three keys, 32 notes in 8 beats each, twice
// through in pass 2; and one of repeated notes, 16 of them in 4 beats.
func shelf() *routine.Catalogue {
	counted := func(repeats int) routine.Demands { return routine.Demands{To: quarter(120), Repeats: repeats} }
	scales := routine.Study{Number: 1, Passes: []routine.Pass{{Number: 1, Demands: counted(1)}, {Number: 2, Demands: counted(2)}}}
	for i, key := range []string{"C", "F# minor", "Gb minor", "Db", ""} {
		scales.Lines = append(scales.Lines, routine.Line{Number: i + 1, Key: key, Notes: 32, NotesPerBeat: 4, Beats: 8, Low: 60, High: 72})
	}
	tongue := routine.Study{Number: 2, Passes: []routine.Pass{{Number: 1, Demands: counted(1)}}}
	for n := range 2 {
		tongue.Lines = append(tongue.Lines, routine.Line{Number: n + 1, Key: "Bb", Notes: 16, NotesPerBeat: 4, Beats: 4, Low: 60, High: 60})
	}
	return &routine.Catalogue{Books: []routine.Book{{ID: "ground", Studies: []routine.Study{scales, tongue}}}}
}

func scale(n int) routine.LineRef  { return routine.LineRef{Book: "ground", Study: 1, Line: n} }
func tongue(n int) routine.LineRef { return routine.LineRef{Book: "ground", Study: 2, Line: n} }

// entry says that lines were clean at quarter=120 in pass 1.
func entry(day int, lines ...routine.LineRef) routine.Entry {
	return routine.Entry{Date: monday + routine.Date(day), Lines: lines, Pass: 1, Outcome: routine.Clean, To: quarter(120)}
}

func with(e routine.Entry, change func(*routine.Entry)) routine.Entry { change(&e); return e }

func testAt(day int, bpm float64, o routine.Outcome) routine.Entry {
	return with(entry(day, tongue(1)), func(e *routine.Entry) { e.Test, e.Outcome, e.To = true, o, quarter(bpm) })
}

// player is somebody with a log from monday on, all of it settled, and what she
// says she played.
func player(letters string, entries ...routine.Entry) Entrant {
	return Entrant{
		Calendar: Calendar{Joined: monday - 60}, Settled: monday + 13, Minutes: 30,
		Reports: reportsOf(monday, letters), Entries: entries,
	}
}

func scoreOf(c Challenge, entrants ...Entrant) Score {
	var parts []Part
	for i := range entrants {
		parts = append(parts, c.Part(shelf(), &entrants[i]))
	}
	return c.Score(parts)
}

func week1(m Measure, goal float64, eachDay bool) Challenge {
	return Challenge{From: monday, To: monday + 6, Measure: m, Goal: goal, EachDay: eachDay}
}

func TestDaysTogether(t *testing.T) {
	everyDay := Calendar{Joined: monday - 7}
	late := Calendar{Joined: monday + 5} // joins on Saturday
	got := scoreOf(week1(DaysKept, 10.0/13, false),
		Entrant{Calendar: everyDay, Reports: reportsOf(monday-7, "ppppppp pppip.p"), Settled: monday + 6},
		Entrant{Calendar: Calendar{Joined: monday, Off: []OffDays{{monday, weekend}}}, Reports: reportsOf(monday, "ppppppp"), Settled: monday + 6},
		Entrant{Calendar: late, Reports: reportsOf(monday, "ppppp.."), Settled: monday + 5},
	)
	if got.Kept != 10 || got.Missed != 2 || got.Open != 1 || got.Value != 10 || math.Abs(got.Goal-10) > 1e-12 {
		t.Errorf("score %+v, want 10 kept, 2 missed, 1 open and a goal of 10", got)
	}
	if !got.Reached() || got.Needed() != 0 || got.Reward != 10.0/12 {
		t.Errorf("reached %v, needed %d, share %v; want a tie to reach the goal", got.Reached(), got.Needed(), got.Reward)
	}
	for _, tt := range []struct {
		kept, missed, open int
		reached            bool
		needed             int
	}{
		{0, 0, 0, false, 0},
		{7, 2, 1, false, 1},
		{7, 3, 0, false, 1},
		{292, 73, 0, true, 0}, // 0.8 of 365, which no binary fraction is
	} {
		s := Score{Kept: tt.kept, Missed: tt.missed, Open: tt.open, Value: float64(tt.kept)}
		s.Goal = 0.8 * s.planned()
		if s.Reached() != tt.reached || s.Needed() != tt.needed {
			t.Errorf("%+v: reached %v, needed %d; want %v, %d", s, s.Reached(), s.Needed(), tt.reached, tt.needed)
		}
	}
}

// The figures are worked out by hand from the lines of the shelf: 32 notes in 8
// beats, which are 4 s at quarter=120; 16 notes in 2 s.
func TestMeasures(t *testing.T) {
	for _, tt := range []struct {
		what    string
		measure Measure
		players []Entrant
		value   float64
	}{
		{"a line twice, and one that two players share", LinesCovered, []Entrant{
			player("ppp", entry(0, scale(1), scale(2)), entry(1, scale(1))),
			player("p", entry(0, scale(2), tongue(1))),
		}, 3},
		{"a line that was tried is covered, one skipped is not", LinesCovered, []Entrant{player("p",
			with(entry(0, scale(1)), func(e *routine.Entry) { e.Outcome = routine.Missed }),
			with(entry(0, scale(2)), func(e *routine.Entry) { e.Outcome = routine.Skipped }),
		)}, 1},
		{"a line that the books no longer have", LinesCovered, []Entrant{player("p", entry(0, routine.LineRef{Book: "gone", Study: 1, Line: 1}))}, 1},
		{"keys, one under two spellings and one line without", KeysVisited, []Entrant{player("p", entry(0, scale(1), scale(2), scale(3), scale(4), scale(5), tongue(1)))}, 4},
		{"notes once through", NotesPlayed, []Entrant{player("p", entry(0, scale(1), scale(2)))}, 64},
		{"notes of a pass with repeats", NotesPlayed, []Entrant{player("p", with(entry(0, scale(1)), func(e *routine.Entry) { e.Pass = 2 }))}, 64},
		{"as often as was said, clean or not", NotesPlayed, []Entrant{player("p", with(entry(0, scale(1)), func(e *routine.Entry) { e.Pass, e.Reps, e.Of = 2, 3, 5 }))}, 160},
		{"missed: nobody knows how far", NotesPlayed, []Entrant{player("p", with(entry(0, scale(1)), func(e *routine.Entry) { e.Outcome = routine.Missed }))}, 0},
		{"no tempo: once", NotesPlayed, []Entrant{player("p", with(entry(0, scale(1)), func(e *routine.Entry) { e.To = routine.Tempo{} }))}, 32},
		{"a minute held at quarter=96, sixteenths", NotesPlayed, []Entrant{player("p", testAt(0, 96, routine.Clean))}, 384},
		{"the same in eighths", NotesPlayed, []Entrant{player("p", with(testAt(0, 0, routine.Clean), func(e *routine.Entry) { e.To = routine.Tempo{BPM: 192, Note: routine.Eighth} }))}, 384},
		{"a minute that broke: once through", NotesPlayed, []Entrant{player("p", testAt(0, 96, routine.Missed))}, 16},
		{"more notes than fit into 30 minutes: 30 min at 8 a second", NotesPlayed, []Entrant{player("p", with(entry(0, scale(1)), func(e *routine.Entry) { e.Of = 1000 }))}, 14400},
		{"and nothing after them", LinesCovered, []Entrant{player("p", with(entry(0, scale(1)), func(e *routine.Entry) { e.Of = 1000 }), with(entry(0, scale(2)), func(e *routine.Entry) { e.Seq = 1 }))}, 1},
		{"minutes of entries, up to 30 a day", MinutesPlayed, []Entrant{player("pp",
			with(entry(0, scale(1)), func(e *routine.Entry) { e.Minutes = 12 }),
			with(entry(1, scale(1)), func(e *routine.Entry) { e.Minutes = 50 }),
		)}, 42},
		{"ill, in pain and off: nothing", LinesCovered, []Entrant{player("i", entry(0, scale(1))), player("xh", entry(1, scale(2))), player("p.", entry(1, scale(3)))}, 0},
		{"the day of the report counts", LinesCovered, []Entrant{player("h", entry(0, scale(1)))}, 1},
		{"a gain over the best before", TestGain, []Entrant{player("ppp", testAt(-20, 90, routine.Clean), testAt(-9, 100, routine.Clean), testAt(0, 104, routine.Clean), testAt(1, 108, routine.Clean), testAt(2, 120, routine.Missed))}, 0.08},
		{"slower is no loss", TestGain, []Entrant{player("p", testAt(-9, 100, routine.Clean), testAt(0, 92, routine.Clean))}, 0},
		{"the first test is where she begins", TestGain, []Entrant{player("ppp", testAt(0, 50, routine.Clean), testAt(2, 60, routine.Clean))}, 0.2},
		{"the mean of those who tested twice", TestGain, []Entrant{
			player("pp", testAt(-1, 100, routine.Clean), testAt(1, 110, routine.Clean)),
			player("pp", testAt(-1, 60, routine.Clean), testAt(1, 78, routine.Clean)),
			player("pp", testAt(-1, 60, routine.Clean)),
			player(".."),
		}, 0.2},
	} {
		if got := scoreOf(week1(tt.measure, 0, false), tt.players...); math.Abs(got.Value-tt.value) > 1e-9 {
			t.Errorf("%s: %v, want %v", tt.what, got.Value, tt.value)
		}
	}
}

func TestGoals(t *testing.T) {
	ill, kept := player("p.ii..."), player("p......")
	each := week1(NotesPlayed, 40, true)
	if got := scoreOf(each, ill).Goal; got != 5*40 {
		t.Errorf("with two days of seven ill, the goal of 40 a day is %v, want 200", got)
	}
	if got := scoreOf(each, ill, kept).Goal; got != 12*40 {
		t.Errorf("of two players it is %v, want 480", got)
	}
	if got := scoreOf(week1(KeysVisited, 12, false), ill).Goal; got != 12 {
		t.Errorf("a plain goal of 12 is %v", got)
	}
	if scoreOf(week1(KeysVisited, 0, false), kept).Reached() {
		t.Error("a challenge without a goal reached it")
	}
}

func TestCourse(t *testing.T) {
	c := week1(LinesCovered, 0, false)
	e := player("p.pp", entry(0, scale(1)), entry(2, scale(1), scale(2)), entry(3, scale(3)))
	if got := c.Course([]Part{c.Part(shelf(), &e)}, monday+4); !slices.Equal(got, []float64{1, 1, 2, 3, 3}) {
		t.Errorf("course %v", got)
	}
}

func TestPlaces(t *testing.T) {
	got := Places([]float64{0.05, 0, 0.08, 0.05004, 0.0002, 0.01})
	want := []Place{{0, []int{2}}, {1, []int{0, 3}}, {3, []int{5}}}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("places %v, want %v", got, want)
	}
}

// someLog draws a week and a half of a player of whom anything may be true.
func someLog(t *rapid.T) Entrant {
	letters := make([]byte, 10)
	var entries []routine.Entry
	for day := range letters {
		letters[day] = rapid.SampledFrom([]byte("pppp..irtxhgG")).Draw(t, "day")
		for range rapid.IntRange(0, 3).Draw(t, "entries") {
			e := entry(day, scale(rapid.IntRange(1, 5).Draw(t, "line")))
			e.Test = rapid.Bool().Draw(t, "test")
			e.To = quarter(float64(rapid.IntRange(40, 160).Draw(t, "bpm")))
			e.Of = rapid.IntRange(0, 4).Draw(t, "of")
			e.Minutes = rapid.IntRange(0, 30).Draw(t, "minutes")
			e.Outcome = rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Done}).Draw(t, "outcome")
			e.Seq = int64(len(entries) + 1)
			entries = append(entries, e)
		}
	}
	e := player(string(letters), entries...)
	e.Minutes = rapid.IntRange(0, 40).Draw(t, "most")
	return e
}

func someChallenge(t *rapid.T) Challenge {
	m := rapid.SampledFrom(Measures()).Draw(t, "measure")
	return Challenge{From: monday + 1, To: monday + 9, Measure: m, Goal: 0.5, EachDay: rapid.Bool().Draw(t, "each day") && !m.IsShare()}
}

// Neither the order of the players nor that in which the log is read matters.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := someChallenge(t)
		all := []Entrant{someLog(t), someLog(t), someLog(t)}
		want := scoreOf(c, all...)
		other := rapid.Permutation(all).Draw(t, "players")
		for i := range other {
			other[i].Reports = rapid.Permutation(other[i].Reports).Draw(t, "reports")
			other[i].Entries = rapid.Permutation(other[i].Entries).Draw(t, "entries")
		}
		if got := scoreOf(c, other...); fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", want) {
			t.Errorf("in another order %+v, want %+v", got, want)
		}
	})
}

// A day on which nothing was played lowers no figure by being excused, and none
// by being a day on which pain is reported: not the value, not the way to the
// goal, not the reward.
func TestExcusesCostNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := someChallenge(t)
		e, other := someLog(t), someLog(t)
		missed := slices.Index(Kinds(e.Calendar, Days(e.Reports), monday, monday+9, e.Settled), Missed)
		if missed < 0 {
			return
		}
		before, beforeAll := scoreOf(c, e), scoreOf(c, e, other)
		excused := e
		excused.Reports = append(slices.Clone(e.Reports), routine.DayReport{
			Seq: 99, Date: monday + routine.Date(missed),
			Excuse: rapid.SampledFrom([]routine.Excuse{routine.Ill, routine.Travel, routine.RestDay}).Draw(t, "excuse"),
		})
		for _, pair := range [][2]Score{{before, scoreOf(c, excused)}, {beforeAll, scoreOf(c, excused, other)}} {
			was, is := pair[0], pair[1]
			if is.Value < was.Value || is.Reward < was.Reward || is.Goal > was.Goal || was.Reached() && !is.Reached() && is.Goal > 0 {
				t.Errorf("excused on day %d: %+v, before %+v", missed, is, was)
			}
		}
	})
}

// To report pain at the end of a day that did not begin in it costs that day
// nothing, whatever was played.
func TestReportingPainCostsItsDayNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := someChallenge(t)
		e := someLog(t)
		day := rapid.IntRange(0, 9).Draw(t, "day")
		c.To = monday + routine.Date(day) // later days are excused from then on
		c.From = min(c.From, c.To)
		before := slices.DeleteFunc(slices.Clone(e.Reports), func(r routine.DayReport) bool { return r.Date >= c.To })
		if Hurting(before) {
			return
		}
		was := scoreOf(c, e)
		e.Reports = append(slices.Clone(e.Reports), routine.DayReport{Seq: 99, Date: c.To, Pain: true})
		if is := scoreOf(c, e); is.Value < was.Value-1e-9 || is.Reward < was.Reward-1e-9 {
			t.Errorf("with pain %+v, without %+v", is, was)
		}
	})
}

// A beginner who gains as much of her own tempo as a virtuoso of his has the same
// figure.
func TestGainIsRelative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := someLog(t)
		e.Entries = append(e.Entries, testAt(-3, 80, routine.Clean))
		c := week1(TestGain, 0, false)
		want := scoreOf(c, e)
		factor := rapid.Float64Range(0.2, 5).Draw(t, "factor")
		scaled := e
		scaled.Entries = slices.Clone(e.Entries)
		for i := range scaled.Entries {
			scaled.Entries[i].To.BPM *= factor
		}
		if got := scoreOf(c, scaled); math.Abs(got.Value-want.Value) > 1e-9 || got.Of != want.Of {
			t.Errorf("at %v times the tempo %+v, want %+v", factor, got, want)
		}
	})
}

func TestDraw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var players []Player
		for i := range rapid.IntRange(0, 40).Draw(t, "players") {
			players = append(players, Player{fmt.Sprintf("p%02d", i), rapid.Float64Range(0, 1).Draw(t, "habit")})
		}
		teams, seed := rapid.IntRange(1, 6).Draw(t, "teams"), rapid.Uint64().Draw(t, "seed")
		drawn := Draw(players, teams, seed)
		if again := Draw(rapid.Permutation(players).Draw(t, "order"), teams, seed); fmt.Sprint(again) != fmt.Sprint(drawn) {
			t.Fatalf("another order draws %v, want %v", again, drawn)
		}
		least, most, all := len(players), 0, map[string]bool{}
		for _, team := range drawn {
			least, most = min(least, len(team)), max(most, len(team))
			for _, id := range team {
				all[id] = true
			}
		}
		if most-least > 1 || len(all) != len(players) || len(drawn) != teams {
			t.Errorf("%d players in %v", len(players), drawn)
		}
	})
}

// Dealing back and forth leaves the teams' habits no further apart than the two
// ends of what was dealt: the sums of full rounds differ by one habit at most.
func TestDrawIsBalanced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		teams := rapid.IntRange(2, 4).Draw(t, "teams")
		habits := map[string]float64{}
		var players []Player
		for i := range teams * rapid.IntRange(1, 6).Draw(t, "rounds") {
			p := Player{fmt.Sprintf("p%02d", i), rapid.Float64Range(0, 1).Draw(t, "habit")}
			players, habits[p.ID] = append(players, p), p.Habit
		}
		least, most := math.Inf(1), 0.0
		for _, team := range Draw(players, teams, rapid.Uint64().Draw(t, "seed")) {
			sum := 0.0
			for _, id := range team {
				sum += habits[id]
			}
			least, most = min(least, sum), max(most, sum)
		}
		if most-least > 1+1e-9 {
			t.Errorf("the habits of teams add up to between %v and %v", least, most)
		}
	})
}

// BenchmarkChallenge scores the longest challenge of forty players who log ten
// lines a day, with its course.
func BenchmarkChallenge(b *testing.B) {
	c := Challenge{From: monday, To: monday + 91, Measure: NotesPlayed, Goal: 300, EachDay: true}
	e := Entrant{Calendar: Calendar{Joined: monday - 60}, Settled: c.To, Minutes: 40}
	for day := range 92 {
		e.Reports = append(e.Reports, routine.DayReport{Seq: int64(day), Date: monday + routine.Date(day), Played: true})
		for i := range 10 {
			e.Entries = append(e.Entries, entry(day, scale(i%5+1)))
		}
	}
	books := shelf()
	for b.Loop() {
		var parts []Part
		for range 40 {
			parts = append(parts, c.Part(books, &e))
		}
		c.Course(parts, c.To)
		if s := c.Score(parts); s.Value != 40*92*320 {
			b.Fatal(s.Value)
		}
	}
}
