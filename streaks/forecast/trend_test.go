package forecast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ledgerline/routine"
)

// The example of Sen, "Estimates of the regression coefficient based on
// Kendall's tau", 1968; S, its variance and Z were computed by hand from the
// definition.
func TestSenExample(t *testing.T) {
	x := []float64{1, 2, 3, 4, 10, 12, 18}
	y := []float64{9, 15, 19, 20, 45, 55, 78}
	if got := TheilSen(x, y); math.Abs(got-4) > 1e-12 {
		t.Errorf("slope %v, want 4", got)
	}
	got := MannKendall(y)
	if got.S != 21 || math.Abs(got.Var-44.3333333333) > 1e-9 || math.Abs(got.Z-3.003757) > 1e-6 {
		t.Errorf("S %d, variance %v, Z %v; want 21, 44.3333, 3.003757", got.S, got.Var, got.Z)
	}
}

func TestTrendEdges(t *testing.T) {
	if got := TheilSen(nil, nil); got != 0 {
		t.Errorf("slope of nothing %v, want 0", got)
	}
	if got := TheilSen([]float64{3, 3}, []float64{1, 9}); got != 0 {
		t.Errorf("slope of one date %v, want 0", got)
	}
	for _, y := range [][]float64{nil, {5}, {5, 5, 5, 5}} {
		if got := MannKendall(y); got.S != 0 || got.Z != 0 {
			t.Errorf("trend of %v is %+v, want none", y, got)
		}
	}
	down := MannKendall([]float64{78, 55, 45, 20, 19, 15, 9})
	if down.S != -21 || math.Abs(down.Z+3.003757) > 1e-6 {
		t.Errorf("trend downwards %+v, want that upwards with its sign changed", down)
	}
	// With ties the variance is that of all orders of the values. Two fives,
	// two sixes and a nine have 30 orders.
	if got, want := MannKendall([]float64{5, 5, 6, 6, 9}).Var, varianceOfOrders([]float64{5, 5, 6, 6, 9}); math.Abs(got-want) > 1e-9 {
		t.Errorf("variance %v, over all orders %v", got, want)
	}
}

// varianceOfOrders returns the variance of S over all 5! orders of five values.
func varianceOfOrders(y []float64) float64 {
	sum, count := 0.0, 0.0
	var permute func(k int)
	permute = func(k int) {
		if k == len(y) {
			s := float64(MannKendall(y).S)
			sum += s * s
			count++
			return
		}
		for i := k; i < len(y); i++ {
			y[k], y[i] = y[i], y[k]
			permute(k + 1)
			y[k], y[i] = y[i], y[k]
		}
	}
	permute(0)
	return sum / count
}

// The examples of Newcombe, "Two-sided confidence intervals for the single
// proportion", 1998, method 3, and two more computed from the formula.
func TestWilson(t *testing.T) {
	for _, tt := range []struct {
		k, n      int
		low, high float64
	}{
		{81, 263, .2553, .3662},
		{15, 148, .0624, .1605},
		{0, 20, 0, .1611},
		{18, 20, .6990, .9721},
		{20, 20, 1 - .1611, 1},
		{0, 0, 0, 1},
	} {
		low, high := Wilson(tt.k, tt.n, 1.959964)
		if math.Abs(low-tt.low) > 5e-5 || math.Abs(high-tt.high) > 5e-5 {
			t.Errorf("%d of %d: %.4f to %.4f, want %.4f to %.4f", tt.k, tt.n, low, high, tt.low, tt.high)
		}
	}
}

func TestJudgeEdges(t *testing.T) {
	flat := sessionsOf(2, 80, 84, 80, 80, 84, 80, 80, 84, 80, 80, 80)
	today := flat[len(flat)-1].Date
	if p := Judge(flat, today); !p.Flat || p.Since != firstDay+2 || math.Abs(p.Gain) > .5 {
		t.Errorf("three flat weeks: %+v, want flat since %v", p, firstDay+2)
	}
	if p := Judge(flat, today+5); p.Flat {
		t.Error("flat, with nothing played in the last days of the window")
	}
	if p := Judge(flat[5:], today); p.Flat {
		t.Error("flat, by six sessions")
	}
	if p := Judge(sessionsOf(3, 60, 63, 66, 69, 72, 76, 80, 84), firstDay+21); p.Flat || math.Abs(p.Gain-7) > 1 {
		t.Errorf("a mark a session: %+v, want not flat, and a gain of about 7 marks", p)
	}
	if p := Judge(nil, today); p != (Plateau{}) {
		t.Errorf("of nothing: %+v", p)
	}
}

// A student's abilities by day, in marks above 60.
type ability func(day int) float64

// flatAfter returns the first day from the given one on which a student on the
// ladder, asked about each day, is called flat; -1 for never. Sessions come every
// gap days in the mean; spread is that of a day's ability, in marks.
func flatAfter(rnd *rand.Rand, can ability, spread, gap float64, days int) int {
	l := learner{gap: gap}
	played := l.dates(rnd, days)
	set, misses := 0.0, 0
	var sessions []Session
	for day := range days {
		if len(played) > 0 && played[0] == firstDay+routine.Date(day) {
			played = played[1:]
			o := routine.Missed
			switch now := can(day) + spread*rnd.NormFloat64(); {
			case set <= now:
				o = routine.Clean
			case set-1 <= now:
				o = routine.Shaky
			}
			s, _ := Played(firstDay+routine.Date(day), up(60, set), o)
			switch o {
			case routine.Clean:
				set, misses = set+1, 0
			case routine.Shaky:
				misses = 0
			case routine.Missed:
				misses++
			}
			if misses == 2 {
				set, misses = set-1, 0
			}
			sessions = append(sessions, s)
		}
		if Judge(sessions, firstDay+routine.Date(day)).Flat {
			return day
		}
	}
	return -1
}

// TestJudgeOnLearners measures false alarms on students who gain steadily for
// twelve weeks, asked about every day, and how many who gain a mark a week for
// six weeks and then nothing are found within 21 days.
func TestJudgeOnLearners(t *testing.T) {
	const learners = 400
	for _, spread := range []float64{.5, 1} {
		for _, gain := range []float64{.75, 1, 1.5} { // marks a week
			alarms := 0
			rnd := rand.New(rand.NewPCG(11, 11))
			for i := range learners {
				can := func(day int) float64 { return .3 + gain*float64(day)/7 }
				if flatAfter(rnd, can, spread, 1+float64(i%3)/2, 84) >= 0 {
					alarms++
				}
			}
			low, high := Wilson(alarms, learners, 1.96)
			what := fmt.Sprintf("spread of %v marks, %v marks a week: %d of %d called flat in twelve weeks (95 %% interval %.1f to %.1f %%)", spread, gain, alarms, learners, 100*low, 100*high)
			t.Log(what)
			if limit := map[float64]float64{.5: .05, 1: .15}[spread]; gain >= 1 && float64(alarms)/learners >= limit {
				t.Errorf("%s, want under %v", what, limit)
			}
		}
		found, early := 0, 0
		rnd := rand.New(rand.NewPCG(12, 12))
		for i := range learners {
			can := func(day int) float64 { return .3 + float64(min(day, 42))/7 }
			switch day := flatAfter(rnd, can, spread, 1+float64(i%3)/2, 42+21); {
			case day >= 42:
				found++
			case day >= 0:
				early++
			}
		}
		low, high := Wilson(found, learners-early, 1.96)
		t.Logf("spread of %v marks: %d of %d found within 21 days of the last gain (95 %% interval %.1f to %.1f %%), %d called flat before", spread, found, learners-early, 100*low, 100*high, early)
		if share := float64(found) / float64(learners-early); share < map[float64]float64{.5: .8, 1: .7}[spread] {
			t.Errorf("%.3f found with a spread of %v marks", share, spread)
		}
	}
}

func BenchmarkJudge(b *testing.B) {
	rnd := rand.New(rand.NewPCG(5, 5))
	l := learner{Curve{Exponential, 140, 80, .03}, 125, 3, 1.5}
	s := l.ladder(rnd, l.dates(rnd, 2000))
	b.ReportAllocs()
	for b.Loop() {
		Judge(s, s[len(s)-1].Date)
	}
}
