package streaks

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"ledgerline/routine"

	"pgregory.net/rapid"
)

func quarter(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }

func date(s string) routine.Date {
	d, err := routine.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

var line14 = routine.LineRef{Book: "daily-ground", Study: 2, Line: 14}

// say returns an entry about line 14, n days into March 2026.
func say(day int, o routine.Outcome, t routine.Tempo) routine.Entry {
	return routine.Entry{Date: date("2026-03-01") + routine.Date(day-1), Lines: []routine.LineRef{line14}, Pass: 1, Outcome: o, To: t}
}

func TestApplyStates(t *testing.T) {
	goal := quarter(96)
	onTwoDays := Rule{Goal: goal, CleanDays: 2}
	heard := Rule{Goal: goal, CleanDays: 2, SignOff: true}
	atOnce := Rule{Goal: goal, CleanDays: 1}
	march := func(day int) routine.Date { return date("2026-03-01") + routine.Date(day-1) }
	tests := []struct {
		what    string
		rule    Rule
		entries []routine.Entry
		state   routine.State
		clean   int
		due     routine.Date
		review  int
	}{
		{"nothing said", onTwoDays, nil, "", 0, 0, 0},
		{"skipped says nothing", onTwoDays, []routine.Entry{say(1, routine.Skipped, goal)}, "", 0, 0, 0},
		{"missed is a beginning", onTwoDays, []routine.Entry{say(1, routine.Missed, quarter(60))}, routine.Working, 0, 0, 0},
		{"clean below the goal", onTwoDays, []routine.Entry{say(1, routine.Clean, quarter(92))}, routine.Working, 0, 0, 0},
		{"done at the goal is not clean", atOnce, []routine.Entry{say(1, routine.Done, goal)}, routine.Working, 0, 0, 0},
		{"clean once of two days", onTwoDays, []routine.Entry{say(1, routine.Clean, goal)}, routine.AtTempo, 1, 0, 0},
		{"clean in another note value", onTwoDays, []routine.Entry{say(1, routine.Clean, routine.Tempo{BPM: 192, Note: routine.Eighth})}, routine.AtTempo, 1, 0, 0},
		{"clean with no tempo said", onTwoDays, []routine.Entry{say(1, routine.Clean, routine.Tempo{})}, routine.Working, 0, 0, 0},
		{"clean twice on one day", onTwoDays, []routine.Entry{say(1, routine.Clean, goal), say(1, routine.Clean, goal)}, routine.AtTempo, 1, 0, 0},
		{"clean days need not follow", onTwoDays, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Shaky, goal), say(5, routine.Clean, goal)}, routine.Passed, 2, march(8), 0},
		{"clean faster than the goal", atOnce, []routine.Entry{say(1, routine.Clean, quarter(100))}, routine.Passed, 1, march(4), 0},
		{"the teacher hears it first", heard, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Clean, goal)}, routine.Ready, 2, 0, 0},
		{"one miss at tempo", onTwoDays, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Missed, goal)}, routine.AtTempo, 1, 0, 0},
		{"two misses at tempo", onTwoDays, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Missed, goal), say(3, routine.Missed, goal)}, routine.Working, 0, 0, 0},
		{"two misses when ready", heard, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Clean, goal), say(3, routine.Missed, goal), say(4, routine.Missed, goal)}, routine.Working, 0, 0, 0},
		{"two misses above the goal", onTwoDays, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Missed, quarter(104)), say(3, routine.Missed, quarter(104))}, routine.AtTempo, 1, 0, 0},
		{"a pass without a tempo", Rule{CleanDays: 1}, []routine.Entry{say(1, routine.Clean, routine.Tempo{})}, routine.Passed, 1, march(4), 0},

		{"played before it is due", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(3, routine.Clean, goal)}, routine.Passed, 1, march(4), 0},
		{"review kept on the day", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(4, routine.Clean, goal)}, routine.Passed, 1, march(11), 1},
		{"done keeps a review", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(5, routine.Done, goal)}, routine.Passed, 1, march(12), 1},
		{"a slower review repeats the gap", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(4, routine.Clean, quarter(88))}, routine.Passed, 1, march(7), 0},
		{"shaky comes back the next day", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(4, routine.Shaky, goal)}, routine.Passed, 1, march(5), 0},
		{"shaky, then kept", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(4, routine.Shaky, goal), say(5, routine.Clean, goal)}, routine.Passed, 1, march(12), 1},
		{"shaky twice slips", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(4, routine.Shaky, goal), say(5, routine.Shaky, goal)}, routine.Slipped, 0, 0, 0},
		{"missed slips", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(4, routine.Missed, quarter(92))}, routine.Slipped, 0, 0, 0},
		{"missed before it is due slips", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Missed, goal)}, routine.Slipped, 0, 0, 0},
		{"missed above the goal does not", atOnce, []routine.Entry{say(1, routine.Clean, goal), say(4, routine.Missed, quarter(108))}, routine.Passed, 1, march(4), 0},
		{"slipped works again", onTwoDays, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Clean, goal), say(5, routine.Missed, goal), say(6, routine.Clean, quarter(80))}, routine.Working, 0, 0, 0},
		{"slipped and straight back", onTwoDays, []routine.Entry{say(1, routine.Clean, goal), say(2, routine.Clean, goal), say(5, routine.Missed, goal), say(5, routine.Clean, goal)}, routine.AtTempo, 1, 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.what, func(t *testing.T) {
			s := Stand(tt.entries, nil, tt.rule)
			if s.State != tt.state || s.CleanDays != tt.clean || s.Due != tt.due || s.Review != tt.review {
				t.Errorf("got %q, %d clean days, due %v, %d reviews; want %q, %d, %v, %d",
					s.State, s.CleanDays, s.Due, s.Review, tt.state, tt.clean, tt.due, tt.review)
			}
		})
	}
}

func TestApplyCounts(t *testing.T) {
	r := Rule{Goal: quarter(120), CleanDays: 3}
	s := Stand([]routine.Entry{
		say(1, routine.Clean, quarter(80)),
		say(2, routine.Done, quarter(84)),
		say(3, routine.Done, routine.Tempo{BPM: 168, Note: routine.Eighth}),
		say(4, routine.Skipped, routine.Tempo{}),
		say(5, routine.Done, routine.Tempo{}),
	}, nil, r)
	want := routine.Standing{
		State: routine.Working, Mark: routine.Tempo{BPM: 168, Note: routine.Eighth}, Best: quarter(80),
		Last: date("2026-03-05"), LastOutcome: routine.Done, Plays: 4, Dones: 3,
	}
	if s != want {
		t.Errorf("after clean and three times done:\n got %+v\nwant %+v", s, want)
	}
	s = Apply(s, say(6, routine.Done, quarter(88)), r)
	if s.Dones != 1 || s.Mark != quarter(88) {
		t.Errorf("done at a new tempo: Dones %d at %v, want 1 at quarter=88", s.Dones, s.Mark)
	}
	s = Apply(Apply(s, say(7, routine.Missed, quarter(88)), r), say(8, routine.Missed, quarter(84)), r)
	if s.Misses != 2 || s.Dones != 0 {
		t.Errorf("after two misses: Misses %d, Dones %d, want 2 and 0", s.Misses, s.Dones)
	}
	if s = Apply(s, say(9, routine.Shaky, quarter(84)), r); s.Misses != 0 {
		t.Errorf("after a shaky playing: Misses %d, want 0", s.Misses)
	}
}

// The gaps are the ones a teacher gives, and the last repeats.
func TestReviewGaps(t *testing.T) {
	r := Rule{Goal: quarter(96), CleanDays: 1}
	s := Apply(routine.Standing{}, say(1, routine.Clean, quarter(96)), r)
	var gaps []int
	for range 7 {
		on := s.Due
		gaps = append(gaps, int(on-s.Last))
		s = Apply(s, routine.Entry{Date: on, Outcome: routine.Clean, To: quarter(96)}, r)
	}
	if want := []int{3, 7, 16, 35, 70, 70, 70}; !slices.Equal(gaps, want) {
		t.Errorf("days between reviews %v, want %v", gaps, want)
	}
	if s.Review != 7 {
		t.Errorf("%d reviews kept, want 7", s.Review)
	}
}

func TestDecide(t *testing.T) {
	r := Rule{Goal: quarter(96), CleanDays: 2, SignOff: true}
	clean := []routine.Entry{say(1, routine.Clean, quarter(96)), say(2, routine.Clean, quarter(96))}
	clean[0].Seq, clean[1].Seq = 1, 2
	signed := Act{Seq: 3, Date: date("2026-03-03"), Line: line14, Pass: 1, Kind: SignOff}
	back := Act{Seq: 4, Date: date("2026-03-05"), Line: line14, Pass: 1, Kind: MoveBack, Mark: quarter(84)}

	s := Stand(clean, []Act{signed}, r)
	if s.State != routine.Passed || s.PassedOn != signed.Date || s.Due != date("2026-03-06") {
		t.Errorf("signed off: %q on %v, due %v; want passed on 2026-03-03, due 2026-03-06", s.State, s.PassedOn, s.Due)
	}
	if again := Decide(s, Act{Date: date("2026-03-04"), Kind: SignOff}, r); again != s {
		t.Errorf("signed off twice: %+v, want it to stay %+v", again, s)
	}
	s = Stand(clean, []Act{back, signed}, r)
	if s.State != routine.Working || s.Mark != quarter(84) || s.CleanDays != 0 || s.PassedOn != 0 || s.Due != 0 {
		t.Errorf("moved back: %+v, want working from quarter=84 with nothing passed", s)
	}
	if s := Decide(routine.Standing{}, back, r); s != (routine.Standing{}) {
		t.Errorf("a new line moved back: %+v, want a new line", s)
	}

	// Monday's clean is corrected to shaky on Wednesday; the teacher has heard
	// the line on Tuesday.
	clean[1].Outcome = routine.Shaky
	if s := Stand(clean, []Act{signed}, r); s.State != routine.Passed {
		t.Errorf("a correction before a sign-off: %q, want passed", s.State)
	}
	for state, want := range map[routine.State]bool{
		"": false, routine.New: false, routine.Working: false, routine.AtTempo: true,
		routine.Ready: true, routine.Passed: false, routine.Slipped: false,
	} {
		if got := MaySignOff(routine.Standing{State: state}); got != want {
			t.Errorf("MaySignOff(%q) = %v, want %v", state, got, want)
		}
	}
}

// genEntries makes a log of one line over a few weeks, out of order.
func genEntries(t *rapid.T) []routine.Entry {
	outcomes := []routine.Outcome{routine.Clean, routine.Clean, routine.Clean, routine.Shaky, routine.Missed, routine.Skipped, routine.Done}
	tempi := []routine.Tempo{{}, quarter(92), quarter(96), quarter(96), {BPM: 192, Note: routine.Eighth}, quarter(100)}
	entries := make([]routine.Entry, rapid.IntRange(0, 40).Draw(t, "entries"))
	for i := range entries {
		entries[i] = say(rapid.IntRange(1, 60).Draw(t, "day"), rapid.SampledFrom(outcomes).Draw(t, "outcome"), rapid.SampledFrom(tempi).Draw(t, "tempo"))
		entries[i].Seq = int64(i + 1)
	}
	return entries
}

func genActs(t *rapid.T) []Act {
	acts := make([]Act, rapid.IntRange(0, 4).Draw(t, "acts"))
	for i := range acts {
		acts[i] = Act{
			Seq: int64(100 + i), Date: date("2026-03-01") + routine.Date(rapid.IntRange(0, 60).Draw(t, "act day")), Line: line14, Pass: 1,
			Kind: rapid.SampledFrom([]ActKind{SignOff, MoveBack}).Draw(t, "act"),
			Mark: rapid.SampledFrom([]routine.Tempo{{}, quarter(80)}).Draw(t, "mark"),
		}
	}
	return acts
}

// TestStandAgainstHistory compares the fold with a reading of the whole history
// that keeps no running state: every figure is found by looking back.
func TestStandAgainstHistory(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		entries, acts := genEntries(t), genActs(t)
		r := Rule{
			Goal:      rapid.SampledFrom([]routine.Tempo{{}, quarter(96)}).Draw(t, "goal"),
			CleanDays: rapid.IntRange(0, 3).Draw(t, "clean days"),
			SignOff:   rapid.Bool().Draw(t, "sign-off"),
			Gaps:      rapid.SampledFrom([][]int{nil, {2, 5}, {1}}).Draw(t, "gaps"),
		}
		got := Stand(entries, acts, r)
		want := historyOf(entries, acts, r).stand()
		if got != want {
			t.Fatalf("folded  %+v\nlooked up %+v", got, want)
		}
	})
}

// A history is a log in order, with the state after each step found so far.
type history struct {
	rule  Rule
	steps []step
}

type step struct {
	day    int
	entry  routine.Entry
	act    ActKind
	mark   routine.Tempo
	state  routine.State // after the step
	due    int           // after the step, if passed
	review int
	reset  bool // clean days start over after this step
}

func historyOf(entries []routine.Entry, acts []Act, r Rule) *history {
	h := &history{rule: r}
	for _, e := range entries {
		if e.Outcome != routine.Skipped {
			h.steps = append(h.steps, step{day: int(e.Date), entry: e})
		}
	}
	for _, a := range acts {
		h.steps = append(h.steps, step{day: int(a.Date), act: a.Kind, mark: a.Mark, entry: routine.Entry{Seq: a.Seq}})
	}
	slices.SortFunc(h.steps, func(a, b step) int {
		return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(a.entry.Seq, b.entry.Seq))
	})
	for i := range h.steps {
		h.judge(i)
	}
	return h
}

// judge finds the state after step i from the steps before it.
func (h *history) judge(i int) {
	s := &h.steps[i]
	was := routine.State("")
	if i > 0 {
		was, s.due, s.review = h.steps[i-1].state, h.steps[i-1].due, h.steps[i-1].review
	}
	s.state = was
	at := h.rule.Goal.IsZero() || s.entry.To.Sixteenths() >= 384-1e-6
	over := !h.rule.Goal.IsZero() && s.entry.To.Sixteenths() > 384+1e-6
	gaps := h.rule.Gaps
	if gaps == nil {
		gaps = []int{3, 7, 16, 35, 70}
	}
	gap := func(n int) int { return gaps[min(n, len(gaps)-1)] }
	passNow := func() { s.state, s.due, s.review = routine.Passed, s.day+gap(0), 0 }
	switch {
	case s.act == SignOff && was != routine.Passed:
		passNow()
	case s.act == MoveBack && (was == routine.Passed || h.plays(i) > 0):
		s.state, s.reset = routine.Working, true
	case s.act != "":
	case was == routine.Passed && s.entry.Outcome == routine.Missed && !over,
		was == routine.Passed && s.entry.Outcome == routine.Shaky && !over && h.outcomeBefore(i) == routine.Shaky:
		s.state, s.reset = routine.Slipped, true
	case was == routine.Passed && s.entry.Outcome == routine.Shaky && !over:
		s.due = s.day + 1
	case was == routine.Passed && s.day >= s.due && slices.Contains([]routine.Outcome{routine.Clean, routine.Done}, s.entry.Outcome):
		if at {
			s.review++
		}
		s.due = s.day + gap(s.review)
	case was == routine.Passed:
	case s.entry.Outcome == routine.Clean && at && len(h.cleanDays(i)) < max(h.rule.CleanDays, 1):
		s.state = routine.AtTempo
	case s.entry.Outcome == routine.Clean && at && h.rule.SignOff:
		s.state = routine.Ready
	case s.entry.Outcome == routine.Clean && at:
		passNow()
	case was == routine.AtTempo || was == routine.Ready:
		if h.missesUpTo(i) >= 2 && !over {
			s.state, s.reset = routine.Working, true
		}
	default:
		s.state = routine.Working
	}
	if s.state != routine.Passed {
		s.due, s.review = 0, 0
	}
}

// plays counts the playings before step i.
func (h *history) plays(i int) (n int) {
	for _, s := range h.steps[:i] {
		if s.act == "" {
			n++
		}
	}
	return n
}

// outcomeBefore is that of the last playing before step i; moving a played line
// back makes it forgotten.
func (h *history) outcomeBefore(i int) routine.Outcome {
	for _, s := range slices.Backward(h.steps[:i]) {
		switch {
		case s.act == "":
			return s.entry.Outcome
		case s.act == MoveBack && s.reset:
			return ""
		}
	}
	return ""
}

// missesUpTo counts the misses in a row that end with step i; moving a played
// line back ends a run.
func (h *history) missesUpTo(i int) (n int) {
	for _, s := range slices.Backward(h.steps[:i+1]) {
		switch {
		case s.act == MoveBack && s.reset, s.act == "" && s.entry.Outcome != routine.Missed:
			return n
		case s.act == "":
			n++
		}
	}
	return n
}

// cleanDays are the days clean at the goal, up to step i, since the last reset
// and, for a line that passed, up to the step that passed it.
func (h *history) cleanDays(i int) (days []int) {
	from := 0
	for j, s := range h.steps[:i] {
		if s.reset {
			from = j + 1
		}
	}
	for j := from; j <= i; j++ {
		s := h.steps[j]
		passed := j > 0 && h.steps[j-1].state == routine.Passed
		at := h.rule.Goal.IsZero() || s.entry.To.Sixteenths() >= 384-1e-6
		if s.act == "" && !passed && s.entry.Outcome == routine.Clean && at && !slices.Contains(days, s.day) {
			days = append(days, s.day)
		}
	}
	return days
}

// stand collects the figures of the whole history.
func (h *history) stand() routine.Standing {
	n := len(h.steps)
	if n == 0 {
		return routine.Standing{}
	}
	last := h.steps[n-1]
	s := routine.Standing{State: last.state, Due: routine.Date(last.due), Review: last.review}
	s.Plays = h.plays(n)
	s.LastOutcome = h.outcomeBefore(n)
	s.Misses = h.missesUpTo(n - 1)
	if !last.reset {
		days := h.cleanDays(n - 1)
		s.CleanDays = len(days)
		if len(days) > 0 {
			s.LastClean = routine.Date(days[len(days)-1])
		}
	}
	h.tempi(&s)
	for i, st := range h.steps {
		if last.state == routine.Passed && st.state == routine.Passed && (i == 0 || h.steps[i-1].state != routine.Passed) {
			s.PassedOn = routine.Date(st.day)
		}
	}
	return s
}

// tempi finds the last and best tempo, the last date, and the run of dones.
func (h *history) tempi(s *routine.Standing) {
	for _, st := range h.steps {
		moved := st.act == MoveBack && st.reset
		same := st.entry.To.IsZero() || s.Mark.Compare(st.entry.To) == 0
		switch {
		case moved, st.act == "" && st.entry.Outcome != routine.Done:
			s.Dones = 0
		case st.act == "" && same:
			s.Dones++
		case st.act == "":
			s.Dones = 1
		}
		if moved && !st.mark.IsZero() {
			s.Mark = st.mark
		}
		if st.act != "" {
			continue
		}
		s.Last = routine.Date(st.day)
		if !st.entry.To.IsZero() {
			s.Mark = st.entry.To
		}
		if st.entry.Outcome == routine.Clean && st.entry.To.Sixteenths() > s.Best.Sixteenths()+1e-6 {
			s.Best = st.entry.To
		}
	}
}

func ExampleApply() {
	r := Rule{Goal: routine.Tempo{BPM: 96, Note: routine.Quarter}, CleanDays: 2}
	monday := routine.NewDate(2026, 3, 2)
	var s routine.Standing
	for day, o := range []routine.Outcome{routine.Shaky, routine.Clean, routine.Clean} {
		s = Apply(s, routine.Entry{Date: monday + routine.Date(day), Outcome: o, To: r.Goal}, r)
		fmt.Println(s.State, s.CleanDays)
	}
	fmt.Println("review on", s.Due)
	// Output:
	// working 0
	// at tempo 1
	// passed 2
	// review on 2026-03-07
}

// BenchmarkStandTenYears folds 40 lines that came every fourth day for ten years.
func BenchmarkStandTenYears(b *testing.B) {
	r := Rule{Goal: quarter(96), CleanDays: 3}
	var entries []routine.Entry
	for day := range 3650 / 4 {
		o := []routine.Outcome{routine.Clean, routine.Shaky, routine.Clean, routine.Done}[day%4]
		e := say(1, o, quarter(float64(60+day%40)))
		e.Date, e.Seq = monday+routine.Date(4*day), int64(day)
		entries = append(entries, e)
	}
	b.ReportAllocs()
	for b.Loop() {
		for range 40 {
			if Stand(entries, nil, r).Plays != len(entries) {
				b.Fatal("not all is played")
			}
		}
	}
}

func BenchmarkApply(b *testing.B) {
	r := Rule{Goal: quarter(96), CleanDays: 3}
	e := say(1, routine.Clean, quarter(92))
	var s routine.Standing
	b.ReportAllocs()
	for b.Loop() {
		e.Date++
		s = Apply(s, e, r)
	}
	if s.Plays == 0 {
		b.Fatal("nothing was played")
	}
}
