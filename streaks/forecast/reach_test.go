package forecast

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ledgerline/routine"
)

// Closed forms: exponential from 60 to a limit of 140 at .05 comes to 120 after
// ln 4/.05 sessions, the power law with span 80 and rate one half to 20 below
// its limit after 15.
func TestCurveReach(t *testing.T) {
	for _, tt := range []struct {
		c    Curve
		goal float64
		want float64
		ok   bool
	}{
		{Curve{Exponential, 140, 80, .05}, 120, math.Log(4) / .05, true},
		{Curve{Power, 140, 80, .5}, 120, 15, true},
		{Curve{Exponential, 140, 80, .05}, 140, 0, false},
		{Curve{Power, 140, 80, .5}, 150, 0, false},
		{Curve{Exponential, 140, 80, .05}, 60, 0, true},
		{Curve{Power, 140, 80, .5}, 50, 0, true},
	} {
		n, ok := tt.c.reach(tt.goal)
		if ok != tt.ok || math.Abs(n-tt.want) > 1e-9 {
			t.Errorf("%+v to %v: %v, %v; want %v, %v", tt.c, tt.goal, n, ok, tt.want, tt.ok)
		}
		if ok && n > 0 && math.Abs(tt.c.At(n)-tt.goal) > 1e-9 {
			t.Errorf("%+v after %v sessions is at %v, want %v", tt.c, n, tt.c.At(n), tt.goal)
		}
	}
}

// coverage is how often a forecast held the date.
type coverage struct{ asked, given, in, early, late int }

func (c *coverage) share() float64 { return float64(c.in) / float64(c.given) }

// report logs the coverage with its 95 % interval.
func (c *coverage) report(t *testing.T, what string) {
	low, high := wilson(c.in, c.given, 1.96)
	t.Logf("%s: %d learners, %d forecasts, %.1f %% held the date (95 %% interval %.1f to %.1f), it came before in %.1f %%, after or never in %.1f %%",
		what, c.asked, c.given, 100*c.share(), 100*low, 100*high,
		100*float64(c.early)/float64(c.given), 100*float64(c.late)/float64(c.given))
}

// measure asks about learners at some point on their way until so many forecasts
// are given.
func measure(seed uint64, forecasts int, play func(learner, *rand.Rand, []routine.Date) []Session) (all, reachable coverage) {
	rnd := rand.New(rand.NewPCG(seed, seed))
	for all.given < forecasts {
		l := aLearner(rnd)
		_, within := l.curve.reach(l.goal)
		whole := play(l, rnd, l.dates(rnd, 500))
		first := slices.IndexFunc(whole, func(s Session) bool { return s.Clean() >= l.goal })
		if first < 0 {
			first = len(whole) - 1
		}
		if first < 12 {
			continue
		}
		now := 10 + int(rnd.Float64()*float64(min(first, 80)-10))
		f := Reach(whole[:now], l.goal, whole[now-1].Date)
		if f.None == TooFew || f.None == Reached || f.None == TooEasy {
			continue
		}
		reached := first < len(whole)-1
		all.count(f, reached, whole[first].Date)
		if within {
			reachable.count(f, reached, whole[first].Date)
		}
	}
	return all, reachable
}

func (c *coverage) count(f Forecast, reachable bool, date routine.Date) {
	c.asked++
	if f.None != "" {
		return
	}
	c.given++
	switch {
	case !reachable || date > f.To:
		c.late++
	case date < f.From:
		c.early++
	default:
		c.in++
	}
}

// TestCoverage measures how often the 80 % range holds the date on which the
// goal is first clean, for learners with known curves, asked once each at some
// point on the way. A learner who never gets there and is given a range all the
// same counts as a miss.
func TestCoverage(t *testing.T) {
	for _, tt := range []struct {
		what      string
		forecasts int
		play      func(learner, *rand.Rand, []routine.Date) []Session
		low, high float64
	}{
		{"in minute tests", 1000, learner.tell, .78, .90},
		{"on the ladder", 1000, learner.ladder, .78, .90},
		{"on the ladder, shaky up to two marks away", 400, learner.otherwise, .75, .90},
	} {
		t.Run(tt.what, func(t *testing.T) {
			t.Parallel()
			all, reachable := measure(7, tt.forecasts, tt.play)
			all.report(t, "all learners")
			reachable.report(t, "goal within the limit")
			if s := all.share(); s < tt.low || s > tt.high {
				t.Errorf("%.3f of the ranges hold the date, want .80 or a little more", s)
			}
		})
	}
}

func sessionsOf(gap routine.Date, tempi ...float64) []Session {
	sessions := make([]Session, len(tempi))
	for i, v := range tempi {
		sessions[i] = Measured(firstDay+routine.Date(i)*gap, v)
	}
	return sessions
}

// A noiseless learner's date is known: her own pace brings her there.
func TestReachWithoutNoise(t *testing.T) {
	for _, c := range []Curve{{Exponential, 140, 80, .05}, {Power, 140, 80, .5}} {
		var tempi []float64
		for n := range 24 {
			tempi = append(tempi, c.At(float64(n)))
		}
		goal := c.At(40)
		sessions := sessionsOf(2, tempi...)
		f := Reach(sessions, goal, sessions[23].Date)
		date := firstDay + 80
		if f.None != "" || f.From < date-21 || f.To > date+21 {
			t.Errorf("%s: %v to %v (%s), want three weeks at most before and after %v", c.Law, f.From, f.To, f.None, date)
		}
		if f.Curve.Law != c.Law || math.Abs(f.Curve.Limit-140) > 1 || math.Abs(f.Curve.Rate/c.Rate-1) > .05 {
			t.Errorf("fitted %+v, want about %+v", f.Curve, c)
		}
	}
}

func TestNoForecast(t *testing.T) {
	rising := []float64{60, 63, 66, 69, 72, 76, 80, 84, 88, 88, 92, 92}
	last := func(s []Session) routine.Date { return s[len(s)-1].Date }
	played := func(sessions int, tempo float64, o routine.Outcome) (s []Session) {
		for i := range sessions {
			one, _ := Played(firstDay+routine.Date(i), tempo, o)
			s = append(s, one)
		}
		return s
	}
	for _, tt := range []struct {
		what     string
		sessions []Session
		goal     float64
		wait     routine.Date
		want     Reason
	}{
		{"nine", sessionsOf(2, rising[:9]...), 120, 0, TooFew},
		{"always clean", played(20, 80, routine.Clean), 120, 0, TooEasy},
		{"never clean", played(20, 80, routine.Missed), 120, 0, NotRising},
		{"a month ago", sessionsOf(2, rising...), 120, 29, Stale},
		{"there", sessionsOf(2, rising...), 92, 0, Reached},
		{"falls", sessionsOf(2, 92, 88, 84, 84, 80, 76, 76, 72, 69, 66, 66, 63), 120, 0, NotRising},
		{"flat", sessionsOf(2, 80, 84, 80, 80, 76, 84, 80, 76, 80, 84, 80, 80, 76, 80), 120, 0, NotRising},
		{"levels off", sessionsOf(2, 60, 72, 80, 84, 88, 88, 92, 92, 92, 96, 92, 96, 96, 96, 92, 96, 96, 96, 96, 92, 96, 96), 120, 0, TooFar},
		{"slow", sessionsOf(7, 60, 60, 60, 60, 60, 60, 63, 60, 60, 60, 60, 63, 60, 60, 63, 60, 63, 60, 63, 63, 63, 63, 63, 66, 63), 120, 0, TooFar},
	} {
		if f := Reach(tt.sessions, tt.goal, last(tt.sessions)+tt.wait); f.None != tt.want || f.From != 0 || f.To != 0 {
			t.Errorf("%s: %q, %v to %v; want %q", tt.what, f.None, f.From, f.To, tt.want)
		}
	}
	if f := Reach(nil, 120, firstDay); f.None != TooFew {
		t.Errorf("of nothing: %+v", f)
	}
}

// The same log gives the same forecast, and a range never begins in the past.
func TestReachIsRepeatable(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 3))
	for range 50 {
		l := aLearner(rnd)
		s := l.tell(rnd, l.dates(rnd, 30))
		today := s[29].Date + 5
		a, b := Reach(s, l.goal, today), Reach(s, l.goal, today)
		if a != b {
			t.Fatalf("%+v, then %+v", a, b)
		}
		if a.None == "" && (a.From < today || a.To < a.From) {
			t.Fatalf("from %v to %v, today is %v", a.From, a.To, today)
		}
	}
}

// A player who comes now after one day, now after five, needs 60 days for twenty
// sessions, give or take what gaps of that spread add up to and what twelve of
// them leave open about the mean.
func TestPace(t *testing.T) {
	var sessions []Session
	date := firstDay
	for i := range 25 {
		sessions = append(sessions, Measured(date, 80))
		date += routine.Date(1 + 4*(i%2))
	}
	rnd := rand.New(rand.NewPCG(9, 9))
	p := paceOf(sessions)
	var sum, squares float64
	const tries = 20_000
	for range tries {
		d := p.days(20, rnd)
		sum += d
		squares += d * d
	}
	mean := sum / tries
	sd := math.Sqrt(squares/tries - mean*mean)
	gap := math.Sqrt(12.0 / 11 * 4) // of twelve gaps, 2 days from the mean each
	if want := math.Hypot(gap*math.Sqrt(20), 20*gap/math.Sqrt(12)); math.Abs(mean-60) > .5 || math.Abs(sd-want) > .5 {
		t.Errorf("%.1f days give or take %.1f, want 60 give or take %.1f", mean, sd, want)
	}
	if d := p.days(math.Inf(1), rnd); !math.IsInf(d, 1) {
		t.Errorf("never takes %v days", d)
	}
}

// BenchmarkStudio makes all forecasts of a studio of 40 with 15 lines each, of 40
// sessions.
func BenchmarkStudio(b *testing.B) {
	rnd := rand.New(rand.NewPCG(5, 5))
	var lines []learner
	var logs [][]Session
	for range 40 * 15 {
		l := aLearner(rnd)
		lines = append(lines, l)
		logs = append(logs, l.ladder(rnd, l.dates(rnd, 40)))
	}
	b.ReportAllocs()
	for b.Loop() {
		given := 0
		for i, l := range lines {
			if f := Reach(logs[i], l.goal, logs[i][39].Date); f.None == "" {
				given++
			}
		}
		b.ReportMetric(float64(given), "forecasts")
	}
}

func BenchmarkReach(b *testing.B) {
	rnd := rand.New(rand.NewPCG(5, 5))
	l := learner{Curve{Exponential, 140, 80, .03}, 125, 3, 2}
	for _, n := range []int{20, 40, 160, 640} {
		s := l.tell(rnd, l.dates(rnd, n))
		b.Run(itoa(n)+"-sessions", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Reach(s, 1000, s[n-1].Date)
			}
		})
	}
}
