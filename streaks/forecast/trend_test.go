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
	if got := TheilSen(Series{x, y}); math.Abs(got-4) > 1e-12 {
		t.Errorf("slope %v, want 4", got)
	}
	got := MannKendall(Series{Y: y})
	if got.S != 21 || math.Abs(got.Var-44.3333333333) > 1e-9 || math.Abs(got.Z-3.003757) > 1e-6 {
		t.Errorf("S %d, variance %v, Z %v; want 21, 44.3333, 3.003757", got.S, got.Var, got.Z)
	}
}

func TestTrendEdges(t *testing.T) {
	if got := TheilSen(); got != 0 {
		t.Errorf("slope of nothing %v, want 0", got)
	}
	if got := TheilSen(Series{[]float64{3, 3}, []float64{1, 9}}); got != 0 {
		t.Errorf("slope of one date %v, want 0", got)
	}
	for _, y := range [][]float64{nil, {5}, {5, 5, 5, 5}} {
		if got := MannKendall(Series{Y: y}); got.S != 0 || got.Z != 0 {
			t.Errorf("trend of %v is %+v, want none", y, got)
		}
	}
	down := MannKendall(Series{Y: []float64{78, 55, 45, 20, 19, 15, 9}})
	if down.S != -21 || math.Abs(down.Z+3.003757) > 1e-6 {
		t.Errorf("trend downwards %+v, want that upwards with its sign changed", down)
	}
	// With ties the variance is that of all orders of the values. Two fives,
	// two sixes and a nine have 30 orders.
	if got, want := MannKendall(Series{Y: []float64{5, 5, 6, 6, 9}}).Var, varianceOfOrders([]float64{5, 5, 6, 6, 9}); math.Abs(got-want) > 1e-9 {
		t.Errorf("variance %v, over all orders %v", got, want)
	}
}

// varianceOfOrders returns the variance of S over all 5! orders of five values.
func varianceOfOrders(y []float64) float64 {
	sum, count := 0.0, 0.0
	var permute func(k int)
	permute = func(k int) {
		if k == len(y) {
			s := float64(MannKendall(Series{Y: y}).S)
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

// wilson returns the score interval of a share of k in n, where z is 1.96 for
// 95 % and 1.2816 for 80 % (Wilson 1927, as method 3 in Newcombe 1998). With n
// 0 nothing is known: 0 to 1.
func wilson(k, n int, z float64) (low, high float64) {
	if n == 0 {
		return 0, 1
	}
	p, m := float64(k)/float64(n), float64(n)
	mid := p + z*z/(2*m)
	half := z * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	whole := 1 + z*z/m
	return max(0, (mid-half)/whole), min(1, (mid+half)/whole)
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
		low, high := wilson(tt.k, tt.n, 1.959964)
		if math.Abs(low-tt.low) > 5e-5 || math.Abs(high-tt.high) > 5e-5 {
			t.Errorf("%d of %d: %.4f to %.4f, want %.4f to %.4f", tt.k, tt.n, low, high, tt.low, tt.high)
		}
	}
}

// Over several series the counts and variances add up, and no pair is made of two
// series: computed by hand from the definition.
func TestTrendOfSeveralSeries(t *testing.T) {
	up, down := Series{[]float64{0, 1, 2}, []float64{10, 12, 14}}, Series{[]float64{0, 1, 2, 3}, []float64{9, 8, 7, 6}}
	if got := MannKendall(up, down); got.S != 3-6 || math.Abs(got.Var-(66+156)/18.0) > 1e-12 || math.Abs(got.Z+2/math.Sqrt(222/18.0)) > 1e-12 {
		t.Errorf("got %+v, want S 3 less 6 and variance 66/18 and 156/18", got)
	}
	if got := TheilSen(up, down); got != -1 { // 2, 2, 2 and six times -1
		t.Errorf("slope %v, want -1", got)
	}
	one := MannKendall(up)
	if got := MannKendall(up, Series{[]float64{5}, []float64{99}}, Series{}); got != one {
		t.Errorf("with series of one and none %+v, without %+v", got, one)
	}
}

func TestJudgeEdges(t *testing.T) {
	judge := func(today routine.Date, lines ...[]Session) Plateau { return Judge(lines, today) }
	flat := sessionsOf(2, 80, 84, 80, 80, 84, 80, 80, 84, 80, 80, 80)
	today := flat[len(flat)-1].Date
	if p := judge(today, flat); !p.Flat || p.Since != firstDay+2 || math.Abs(p.Gain) > .5 {
		t.Errorf("three flat weeks: %+v, want flat since %v", p, firstDay+2)
	}
	if p := judge(today+10, flat); !p.Flat {
		t.Error("not flat, ten days later")
	}
	if p := judge(today+11, flat); p.Flat {
		t.Error("flat, with nothing played for eleven days")
	}
	if p := judge(today, flat[4:]); p.Flat {
		t.Error("flat, by twelve days")
	}
	if p := judge(today, sessionsOf(6, 80, 80, 80, 80)); p.Flat {
		t.Error("flat, by four sessions")
	}
	if p := judge(firstDay+64, sessionsOf(1, 80, 80, 80, 80, 80, 80, 80, 80)); p.Flat {
		t.Error("flat, by sessions of two months ago")
	}
	if p := judge(today, append(flat[:10:10], Measured(today, 88))); p.Flat || p.Since != today {
		t.Errorf("faster than ever today: %+v", p)
	}
	if p := judge(firstDay+21, sessionsOf(3, 60, 63, 66, 69, 72, 76, 80, 84)); p.Flat || math.Abs(p.Gain-7) > 1 {
		t.Errorf("a mark a session: %+v, want not flat, and a gain of about 7 marks", p)
	}
	if p := judge(today); p != (Plateau{}) {
		t.Errorf("of no lines: %+v", p)
	}
	if p := judge(today, nil, nil); p != (Plateau{}) {
		t.Errorf("of lines without sessions: %+v", p)
	}
}

// Three lines that are each too seldom played to tell are told together, unless
// one of them climbs.
func TestJudgeTogether(t *testing.T) {
	line := func(shift routine.Date, tempi ...float64) []Session {
		s := sessionsOf(7, tempi...)
		for i := range s {
			s[i].Date += shift
		}
		return s
	}
	lines := [][]Session{line(0, 80, 80, 80, 80), line(2, 92, 92, 92, 92), line(4, 66, 63, 66, 66)}
	today := firstDay + 26
	for i, l := range lines {
		if p := Judge([][]Session{l}, today); p.Flat {
			t.Errorf("line %d is flat by four sessions", i+1)
		}
	}
	if p := Judge(lines, today); !p.Flat || p.Since != firstDay+2 {
		t.Errorf("together: %+v, want flat since %v", p, firstDay+2)
	}
	lines[1] = line(2, 92, 96, 100, 104)
	lines[2] = line(4, 66, 69, 72, 76)
	if p := Judge(lines, today); p.Flat {
		t.Errorf("with two that climb: %+v, want not flat", p)
	}
}

// A student's abilities by day, in marks above 60.
type ability func(day int) float64

// onLadder plays one line for so many days, with sessions every gap days in the
// mean: spread is that of a day's ability, in marks, shaky is up to one or two
// marks too fast, and one answer in fifty is a slip.
func onLadder(rnd *rand.Rand, can ability, spread, gap float64, days int) (sessions []Session) {
	set, misses, shaky := 0.0, 0, 1+rnd.Float64()
	for _, date := range (learner{gap: gap}).dates(rnd, days) {
		day := int(date - firstDay)
		if day >= days {
			break
		}
		o := routine.Missed
		switch now := can(day) + spread*rnd.NormFloat64(); {
		case rnd.IntN(50) == 0:
			o = []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed}[rnd.IntN(3)]
		case set <= now:
			o = routine.Clean
		case set-shaky <= now:
			o = routine.Shaky
		}
		s, _ := Played(date, up(60, set), o)
		sessions = append(sessions, s)
		switch o {
		case routine.Clean:
			set, misses = set+1, 0
		case routine.Shaky:
			misses = 0
		case routine.Missed:
			if misses++; misses == 2 {
				set, misses = set-1, 0
			}
		}
	}
	return sessions
}

// A practice is how a simulated student plays.
type practice struct {
	lines  int     // of one study, alike in what becomes of them
	gap    float64 // days from one session of a line to the next, in the mean
	spread float64 // of a day's ability, in marks
}

func (p practice) play(rnd *rand.Rand, can ability, days int) (lines [][]Session) {
	for range p.lines {
		begins := rnd.Float64()
		lines = append(lines, onLadder(rnd, func(day int) float64 { return begins + can(day) }, p.spread, p.gap, days))
	}
	return lines
}

// alarms returns how many of so many who gain steadily for twelve weeks are called
// flat when asked every week, and on how many of all the looks.
func (p practice) alarms(learners int, gain float64) (called, looks, all int) {
	rnd := rand.New(rand.NewPCG(11, 11))
	for range learners {
		lines := p.play(rnd, func(day int) float64 { return .3 + gain*float64(day)/7 }, 84)
		before := looks
		for day := routine.Date(21); day < 84; day += 7 {
			all++
			if Judge(lines, firstDay+day).Flat {
				looks++
			}
		}
		if looks > before {
			called++
		}
	}
	return called, looks, all
}

// found returns how many of so many who gain a mark a week for six weeks and then
// nothing are called flat within 21 and within 42 days of the last gain, asked
// every week.
func (p practice) found(learners int) (in21, in42 int) {
	rnd := rand.New(rand.NewPCG(12, 12))
	for range learners {
		lines := p.play(rnd, func(day int) float64 { return .3 + float64(min(day, 42))/7 }, 85)
		for day := routine.Date(7); day <= 42; day += 7 {
			if Judge(lines, firstDay+42+day).Flat {
				in42++
				if day <= 21 {
					in21++
				}
				break
			}
		}
	}
	return in21, in42
}

// TestJudgeOnLearners measures false alarms and finds on simulated students of
// whom the truth is known. The goals are under 5 % false alarms on those who gain a
// mark a week, and over 80 % found within 21 days; goal is the least found that is
// held, and where it is less than .8 the goal is not reached.
func TestJudgeOnLearners(t *testing.T) {
	const learners = 400
	for _, tt := range []struct {
		practice
		goal float64
	}{
		{practice{1, 1, .5}, .90}, {practice{1, 2, .5}, .80}, {practice{1, 4, .5}, .30},
		{practice{1, 1, 1}, .80}, {practice{1, 2, 1}, .70}, {practice{1, 4, 1}, .12},
		{practice{3, 4, .5}, .75}, {practice{6, 4, .5}, .80}, {practice{3, 4, 1}, .35}, {practice{6, 4, 1}, .55},
	} {
		words := fmt.Sprintf("%d lines, each every %v days, spread of %v marks:", tt.lines, tt.gap, tt.spread)
		for _, gain := range []float64{.5, .75, 1, 1.5} {
			called, looks, all := tt.alarms(learners, gain)
			words += fmt.Sprintf("\n  %v marks a week: %.1f %% of looks, %.1f %% of students in twelve weeks, called flat", gain, percent(looks, all), percent(called, learners))
			if gain >= 1 && percent(called, learners) >= 5 {
				t.Errorf("%+v: %d of %d who gain %v marks a week called flat in twelve weeks", tt.practice, called, learners, gain)
			}
		}
		in21, in42 := tt.found(learners)
		low, high := wilson(in21, learners, 1.96)
		t.Logf("%s\n  standing still: found within 21 days %.1f %% (95 %% interval %.1f to %.1f), within 42 %.1f %%", words, percent(in21, learners), 100*low, 100*high, percent(in42, learners))
		if float64(in21)/learners < tt.goal {
			t.Errorf("%+v: %d of %d found within 21 days, want %.0f %%", tt.practice, in21, learners, 100*tt.goal)
		}
	}
}

func percent(k, n int) float64 { return 100 * float64(k) / float64(n) }

func BenchmarkJudge(b *testing.B) {
	rnd := rand.New(rand.NewPCG(5, 5))
	l := learner{Curve{Exponential, 140, 80, .03}, 125, 3, 1.5}
	s := l.ladder(rnd, l.dates(rnd, 2000))
	b.ReportAllocs()
	for b.Loop() {
		Judge([][]Session{s}, s[len(s)-1].Date)
	}
}
