package routine

import (
	"testing"

	"pgregory.net/rapid"
)

func quarter(bpm float64) Tempo { return Tempo{bpm, Quarter} }

// The marks below are those of the traditional metronome (common practice):
// 63 follows 60, 76 follows 72, 126 follows 120.
func TestTempoOfTheDay(t *testing.T) {
	pass := Demands{From: quarter(60), To: quarter(120)}
	working := func(bpm float64, o Outcome) Standing {
		return Standing{State: Working, Plays: 9, Mark: quarter(bpm), LastOutcome: o}
	}
	missed := func(bpm float64, times int) Standing {
		s := working(bpm, Missed)
		s.Misses = times
		return s
	}
	done := func(bpm float64, times int) Standing {
		s := working(bpm, Done)
		s.Dones = times
		return s
	}
	state := func(s Standing, st State) Standing { s.State = st; return s }
	tests := []struct {
		name     string
		l        ladder
		s        Standing
		from, to float64
	}{
		{"a new line", ladder{}, Standing{}, 60, 60},
		{"clean", ladder{}, working(72, Clean), 72, 76},
		{"clean off the marks", ladder{}, working(85, Clean), 84, 88},
		{"clean at the goal", ladder{}, state(working(120, Clean), AtTempo), 116, 120},
		{"clean above the goal", ladder{}, working(132, Clean), 116, 120},
		{"shaky", ladder{}, working(72, Shaky), 69, 72},
		{"shaky above the goal", ladder{}, working(138, Shaky), 116, 120},
		{"missed once", ladder{}, missed(72, 1), 69, 72},
		{"missed twice", ladder{}, missed(72, 2), 66, 69},
		{"missed again after going down", ladder{}, missed(69, 3), 66, 69},
		{"missed four times", ladder{}, missed(69, 4), 63, 66},
		{"missed below where the pass begins", ladder{}, missed(60, 2), 58, 58},
		{"missed at the end of the metronome", ladder{}, missed(40, 2), 40, 40},
		{"done", ladder{}, done(72, 1), 69, 72},
		{"done twice at a mark", ladder{}, done(72, 2), 72, 76},
		{"done twice at the goal", ladder{}, done(120, 2), 116, 120},
		{"slipped", ladder{}, state(missed(120, 1), Slipped), 108, 112},
		{"slipped, far above the goal", ladder{}, state(missed(144, 1), Slipped), 108, 112},
		{"passed", ladder{}, state(working(100, Clean), Passed), 116, 120},
		{"passed, after 20 days away", ladder{idle: 20}, state(working(120, Clean), Passed), 112, 120},
		{"13 days away", ladder{idle: 13}, working(96, Shaky), 92, 96},
		{"14 days away", ladder{idle: 14}, working(96, Shaky), 84, 88},
		{"42 days away", ladder{idle: 42}, working(96, Shaky), 76, 80},
		{"42 days away, near the beginning", ladder{idle: 42}, working(63, Shaky), 60, 60},
		{"42 days away, below the beginning", ladder{idle: 42}, working(50, Shaky), 50, 50},
		{"locked", ladder{lock: quarter(80)}, working(96, Clean), 80, 80},
		{"locked above the goal", ladder{lock: quarter(144)}, working(96, Clean), 120, 120},
		{"locked, new", ladder{lock: quarter(80)}, Standing{}, 80, 80},
	}
	for _, tt := range tests {
		tt.l.demands = pass
		from, to := tt.l.today(tt.s)
		if from != quarter(tt.from) || to != quarter(tt.to) {
			t.Errorf("%s: from %v to %v, want %v and %v", tt.name, from, to, quarter(tt.from), quarter(tt.to))
		}
	}
}

func TestTempoOfTheDayInOtherNotes(t *testing.T) {
	l := ladder{demands: Demands{From: quarter(60), To: quarter(96)}}
	// Eighth=144 is quarter=72 (arithmetic); the mark after 72 is 76.
	s := Standing{State: Working, Plays: 1, Mark: Tempo{144, Eighth}, LastOutcome: Clean}
	if _, to := l.today(s); to != quarter(76) {
		t.Errorf("after eighth=144 clean: %v, want quarter=76", to)
	}
}

func TestTempoWithoutGoal(t *testing.T) {
	if from, to := (ladder{}).today(Standing{Plays: 3, LastOutcome: Clean}); from != to || !to.IsZero() {
		t.Errorf("no tempo asked for: from %v to %v", from, to)
	}
	l := ladder{demands: Demands{From: quarter(60)}}
	if _, to := l.today(Standing{Plays: 3, Mark: quarter(72), LastOutcome: Clean}); to != quarter(60) {
		t.Errorf("without a goal: %v, want to stay where the pass begins", to)
	}
}

// TestDoneStillMoves says nothing but "done" for as long as it takes.
func TestDoneStillMoves(t *testing.T) {
	l := ladder{demands: Demands{From: quarter(60), To: quarter(80)}}
	var s Standing
	days := 0
	for ; s.Mark != quarter(80) && days < 100; days++ {
		_, to := l.today(s)
		if s.Mark != to {
			s.Dones = 0
		}
		s = Standing{State: Working, Plays: s.Plays + 1, Mark: to, LastOutcome: Done, Dones: s.Dones + 1}
	}
	// Seven marks (60 63 66 69 72 76 80), two days on each, and the first on the last.
	if want := 13; days != want {
		t.Errorf("the goal is reached after %d days of done, want %d", days, want)
	}
}

func TestTempoNeverAboveTheGoal(t *testing.T) {
	notes := []NoteValue{Eighth, Quarter, DottedQuarter, Half}
	tempo := func(t *rapid.T, name string) Tempo {
		return Tempo{rapid.Float64Range(40, 208).Draw(t, name), rapid.SampledFrom(notes).Draw(t, name+" note")}
	}
	rapid.Check(t, func(t *rapid.T) {
		l := ladder{demands: Demands{To: tempo(t, "to")}, idle: rapid.IntRange(0, 100).Draw(t, "idle")}
		l.demands.From = slower(tempo(t, "from"), l.demands.To)
		if rapid.Bool().Draw(t, "locks") {
			l.lock = tempo(t, "lock")
		}
		s := Standing{
			State: rapid.SampledFrom([]State{New, Working, AtTempo, Ready, Passed, Slipped}).Draw(t, "state"),
			Plays: rapid.IntRange(0, 3).Draw(t, "plays"), Mark: tempo(t, "mark"),
			LastOutcome: rapid.SampledFrom([]Outcome{Clean, Shaky, Missed, Done}).Draw(t, "outcome"),
			Misses:      rapid.IntRange(0, 5).Draw(t, "misses"), Dones: rapid.IntRange(0, 5).Draw(t, "dones"),
		}
		from, to := l.today(s)
		if to.Compare(l.demands.To) > 0 || from.Compare(to) > 0 || to.IsZero() {
			t.Errorf("from %v to %v with the goal %v", from, to, l.demands.To)
		}
	})
}
