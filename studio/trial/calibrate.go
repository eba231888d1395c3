package trial

import (
	"maps"
	"math/rand/v2"
	"slices"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/streaks/forecast"
)

// A Share is how many of how many, with the interval that holds it in 95 of 100
// samples of as many students: lines of one student are alike, so students are
// drawn, not lines.
type Share struct {
	Of, Hits  int
	Low, High float64
}

// Value returns the share, NaN if there is nothing to share.
func (s Share) Value() float64 { return float64(s.Hits) / float64(s.Of) }

// A tally counts hits by student.
type tally struct{ of, hits []int }

func newTally(students int) *tally { return &tally{make([]int, students), make([]int, students)} }

func (t *tally) add(student int, hit bool) {
	t.of[student]++
	if hit {
		t.hits[student]++
	}
}

func (t *tally) share() Share {
	const draws = 2000
	s := Share{Of: sum(t.of), Hits: sum(t.hits)}
	rnd := rand.New(rand.NewPCG(2, 2))
	var shares []float64
	for range draws {
		of, hits := 0, 0
		for range t.of {
			i := rnd.IntN(len(t.of))
			of, hits = of+t.of[i], hits+t.hits[i]
		}
		if of > 0 {
			shares = append(shares, float64(hits)/float64(of))
		}
	}
	if len(shares) > 0 {
		slices.Sort(shares)
		s.Low, s.High = shares[len(shares)*25/1000], shares[max(0, len(shares)*975/1000-1)]
	}
	return s
}

func sum(x []int) (n int) {
	for _, v := range x {
		n += v
	}
	return n
}

// A Calibration says how forecasts came out.
type Calibration struct {
	Asked int
	None  map[forecast.Reason]int
	Lines int   // with a forecast
	Held  Share // how often the range held the date
	Early int   // the goal was clean before the range
	Late  int   // after it, or never

	// Far are the lines that were told that it is more than a year off, or too far
	// to say; the hits were clean at their goal within a year.
	Far Share
}

// askEvery is the number of days from one look at all forecasts to the next.
const askEvery = 21

// Forecasts asks every three weeks for a forecast of every line of a policy's
// lives that has not been clean at its goal, and looks in the log when it was after
// all. It asks only as long as there is a whole year to come: later on just the
// ranges that end soon could be judged, and those are the hasty ones. The trial must
// have kept the logs.
func (r Result) Forecasts(policy string) Calibration {
	c := Calibration{None: map[forecast.Reason]int{}}
	held, far := newTally(len(r.Lives[policy])), newTally(len(r.Lives[policy]))
	for n := range r.Lives[policy] {
		l := &r.Lives[policy][n]
		for _, key := range slices.SortedFunc(maps.Keys(l.Log), compareKeys) {
			h, before := r.line(l, n, key), sum(held.of)
			for day := askEvery; day+forecast.Horizon < r.Trial.Days; day += askEvery {
				c.ask(held, far, n, h, Begin+routine.Date(day))
			}
			if sum(held.of) > before {
				c.Lines++
			}
		}
	}
	c.Held, c.Far = held.share(), far.share()
	return c
}

// A history is the log of one line, and what it was a log of.
type history struct {
	key     routine.StandingKey
	goal    routine.Tempo
	entries []routine.Entry
	could   []float64
	reached routine.Date // first clean at the goal; 0: never
}

func (r Result) line(l *Life, n int, key routine.StandingKey) history {
	s := &r.Trial.Scenarios[n%len(r.Trial.Scenarios)]
	h := history{key: key, entries: l.Log[key], could: l.Could[key]}
	h.goal = s.Catalogue.Study(key.Line.StudyRef()).Pass(key.Pass).Demands.To
	for _, e := range h.entries {
		if e.Outcome == routine.Clean && e.To.Compare(h.goal) >= 0 {
			h.reached = e.Date
			break
		}
	}
	return h
}

// upTo returns the entries up to a date.
func (h *history) upTo(date routine.Date) []routine.Entry {
	n := slices.IndexFunc(h.entries, func(e routine.Entry) bool { return e.Date > date })
	if n < 0 {
		return h.entries
	}
	return h.entries[:n]
}

func (c *Calibration) ask(held, far *tally, student int, h history, today routine.Date) {
	entries := h.upTo(today)
	if len(entries) == 0 || h.reached != 0 && h.reached <= today {
		return
	}
	c.Asked++
	f := streaks.ForecastOf(entries, h.goal, today)
	if f.None == forecast.TooFar {
		far.add(student, h.reached != 0 && h.reached <= today+forecast.Horizon)
	}
	switch {
	case f.None != "":
		c.None[f.None]++
	case h.reached == 0 || h.reached > f.To:
		c.Late++
		held.add(student, false)
	case h.reached < f.From:
		c.Early++
		held.add(student, false)
	default:
		held.add(student, true)
	}
}
