package forecast

import (
	"math"
	"math/rand/v2"
	"slices"

	"ledgerline/routine"
)

// A Forecast says when a line is likely to be clean at its goal for the first
// time.
type Forecast struct {
	// From and To bound the date, both included. Of such ranges four in five or
	// more hold it, if students learn by one of the laws; that the goal is never
	// reached counts as not holding it.
	From, To routine.Date

	// Curve is the law that told the student's own sessions best, in sessions.
	Curve Curve

	// None is why there is no forecast; empty if there is one.
	None Reason
}

// A Reason is why nothing is forecast.
type Reason string

// The reasons.
const (
	TooFew    Reason = "too few sessions"
	TooEasy   Reason = "too few sessions that were not clean"
	Stale     Reason = "not played lately"
	Reached   Reason = "the goal has been reached"
	NotRising Reason = "the tempo does not rise"
	TooFar    Reason = "it is too far off to say" // more than a year, or never
)

// What a forecast takes.
const (
	MinSessions = 10  // sessions that say something
	maxSessions = 150 // the latest that are looked at
	MinLimits   = 3   // sessions among them that were not clean, or are of a minute test: they show where the limit is
	StaleDays   = 28  // since the last session, at most, or three times the usual gap if that is more
	Horizon     = 365 // days ahead, at most
	doubt       = .2  // chance that the goal is not reached by then, at most
	draws       = 300 // ways to go on that are tried
)

// Reach forecasts when a line that was played in the given sessions, one a date
// and by date, will be clean at the goal, in beats a minute of the note the
// sessions are counted in.
//
// From everything the sessions leave open (the law, its parameters, how much the
// player's days differ, how many days pass between sessions) ways to go on are
// drawn and played to the goal. The range leaves out a fifth of them: the latest
// tenth, those that never come there among it, and the earliest. Where never, or
// not within a year, is more than a tenth, as much less of the earliest is left
// out; where it is more than a fifth there is no forecast.
func Reach(sessions []Session, goal float64, today routine.Date) Forecast {
	if why := unfit(sessions, goal, today); why != "" {
		return Forecast{None: why}
	}
	sessions = sessions[max(0, len(sessions)-maxSessions):]
	fits := append(grid(Exponential, sessions, triedSpreads), grid(Power, sessions, triedSpreads)...)
	c, err := choose(fits, sessions).polish(sessions)
	if err != nil {
		return Forecast{None: NotRising}
	}
	days := waits(fits, sessions, goal)
	slices.Sort(days)
	reached, _ := slices.BinarySearch(days, Horizon+1)
	if float64(draws-reached) > doubt*draws {
		return Forecast{Curve: c, None: TooFar}
	}
	late := min(draws*9/10, reached-1)
	early := max(0, late-draws*8/10)
	last := sessions[len(sessions)-1].Date
	return Forecast{
		Curve: c,
		From:  max(today, last+routine.Date(math.Floor(days[early]))),
		To:    max(today, last+routine.Date(math.Ceil(days[late]))),
	}
}

// unfit returns why the sessions allow no forecast, if so.
func unfit(sessions []Session, goal float64, today routine.Date) Reason {
	limits := 0
	for _, s := range sessions {
		if s.Clean() >= goal {
			return Reached
		}
		if !math.IsInf(s.High, 1) {
			limits++
		}
	}
	switch {
	case len(sessions) < MinSessions:
		return TooFew
	case limits < MinLimits:
		return TooEasy
	case float64(today-sessions[len(sessions)-1].Date) > max(StaleDays, 3*paceOf(sessions).mean):
		return Stale
	}
	return ""
}

// choose returns the likeliest fit of the law that would have told the later
// sessions better from the earlier ones; on a tie, of the exponential law.
func choose(fits []fixed, sessions []Session) *fixed {
	exponential, power := likeliest(fits[:len(fits)/2]), likeliest(fits[len(fits)/2:])
	if foretold(power, sessions) < foretold(exponential, sessions) {
		return power
	}
	return exponential
}

// foretold returns the surprise of the sessions in the later half of a history,
// each part told by fitting the law of f, with its spread, to the sessions
// before.
func foretold(f *fixed, sessions []Session) float64 {
	sum := 0.0
	part := max(3, len(sessions)/8)
	for k := len(sessions) / 2; k < len(sessions); k += part {
		c := likeliest(grid(f.law, sessions[:k], []float64{f.spread})).curve()
		for i := k; i < min(k+part, len(sessions)); i++ {
			cost, _, _ := sessions[i].surprise(c.At(float64(i)), f.spread)
			sum += cost
		}
	}
	return sum
}

// waits draws the days from the last session until the goal; +Inf is never, or
// not in two years.
//
// Each fit is drawn in proportion to how likely it makes the sessions, before
// which both laws, all rates and spreads tried, and all tempi at the first and
// the last session are taken to be equally likely.
func waits(fits []fixed, sessions []Session, goal float64) []float64 {
	likely := likelihoods(fits)
	pace := paceOf(sessions)
	most := int(2 * Horizon / pace.mean)
	last, measured := sessions[len(sessions)-1], slices.ContainsFunc(sessions, Session.exact)
	rnd := rand.New(rand.NewPCG(1, 2))
	days := make([]float64, draws)
	at, passed := 0, likely[0]
	for i := range days {
		for passed < (float64(i)+.5)/draws && at < len(fits)-1 {
			at++
			passed += likely[at]
		}
		f := fits[at].draw(rnd)
		days[i] = pace.days(f.play(last, measured, goal, most, rnd), rnd)
	}
	return days
}

// likelihoods returns how likely each fit is, all together 1. Start and gain are
// integrated out, by Laplace's method.
func likelihoods(fits []fixed) []float64 {
	likely := make([]float64, len(fits))
	for i, f := range fits {
		likely[i] = -f.cost - math.Log(max(1e-9, f.ss*f.gg-f.sg*f.sg))/2
	}
	top, sum := slices.Max(likely), 0.0
	for i := range likely {
		likely[i] = math.Exp(likely[i] - top)
		sum += likely[i]
	}
	for i := range likely {
		likely[i] /= sum
	}
	return likely
}

// draw moves start and gain by chance, as far as the sessions leave them open.
func (f fixed) draw(rnd *rand.Rand) fixed {
	a, b := rnd.NormFloat64(), rnd.NormFloat64()
	// The curvature is L L' with L lower triangular, and L'd = (a, b).
	l11 := math.Sqrt(max(1e-9, f.ss))
	l21 := f.sg / l11
	l22 := math.Sqrt(max(1e-9, f.gg-l21*l21))
	gain := b / l22
	f.gain += gain
	f.start += (a - l21*gain) / l11
	return f
}

// play returns how many sessions after the last one the line is first clean at
// the goal; +Inf is never, or not in the given number of sessions. The tempo asked
// for goes up the ladder of the trade: up a mark after clean, the same after shaky,
// down after missed twice in a row. Where the tempo is measured, it need not be
// asked for.
func (f fixed) play(last Session, measured bool, goal float64, most int, rnd *rand.Rand) float64 {
	if f.gain <= 0 {
		return math.Inf(1)
	}
	asked, missed := goal, false
	if !measured {
		asked = min(goal, last.next())
	}
	c := f.curve()
	if c.Limit+4*f.spread < goal {
		return math.Inf(1)
	}
	for n := 1; n <= most; n++ {
		switch can := c.At(f.last+float64(n)) + f.spread*rnd.NormFloat64(); {
		case can >= asked && asked == goal:
			return float64(n)
		case measured:
		case can >= asked:
			asked, missed = min(goal, up(asked, 1)), false
		case can >= up(asked, -1):
			missed = false
		case missed:
			asked, missed = up(asked, -1), false
		default:
			missed = true
		}
	}
	return math.Inf(1)
}

// next returns the tempo the ladder asks for after the session.
func (s Session) next() float64 {
	switch {
	case math.IsInf(s.High, 1):
		return up(s.Low, 1)
	case s.Low == 0:
		return up(s.High, 1)
	}
	return s.High
}

// A pace is how many days pass from session to session.
type pace struct{ mean, sd, gaps float64 }

// paceOf returns the pace of the last twelve gaps between sessions.
func paceOf(sessions []Session) pace {
	s := sessions[max(0, len(sessions)-13):]
	p := pace{gaps: float64(len(s) - 1)}
	p.mean = float64(s[len(s)-1].Date-s[0].Date) / p.gaps
	for i := 1; i < len(s); i++ {
		d := float64(s[i].Date-s[i-1].Date) - p.mean
		p.sd += d * d / (p.gaps - 1)
	}
	p.sd = math.Sqrt(p.sd)
	return p
}

// days draws how many days a number of sessions takes: at least one a session.
func (p pace) days(sessions float64, rnd *rand.Rand) float64 {
	if math.IsInf(sessions, 1) {
		return sessions
	}
	mean := p.mean + p.sd/math.Sqrt(p.gaps)*rnd.NormFloat64()
	return max(sessions, mean*sessions+p.sd*math.Sqrt(sessions)*rnd.NormFloat64())
}
