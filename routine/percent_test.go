package routine

import (
	"testing"

	"pgregory.net/rapid"
)

// The wanted tempi are worked out by hand: 5 in the hundred of 80 are 4, of 96
// are 4.8, and 100.8 rounds to 101.
func TestTempoOfTheDayByPercent(t *testing.T) {
	pass := Demands{From: quarter(60), To: quarter(120)}
	working := func(bpm float64, o Outcome, misses int) Standing {
		return Standing{State: Working, Plays: 9, Mark: quarter(bpm), LastOutcome: o, Misses: misses}
	}
	slipped := working(120, Missed, 1)
	slipped.State = Slipped
	for _, c := range []struct {
		name     string
		l        ladder
		s        Standing
		from, to float64
	}{
		{"a new line", ladder{}, Standing{}, 60, 60},
		{"clean", ladder{}, working(80, Clean, 0), 80, 84},
		{"clean, rounded", ladder{}, working(96, Clean, 0), 96, 101},
		{"clean, near the goal", ladder{}, working(118, Clean, 0), 114, 120},
		{"shaky", ladder{}, working(84, Shaky, 0), 80, 84},
		{"missed twice", ladder{}, working(84, Missed, 2), 76, 80},
		{"slipped", ladder{}, slipped, 104, 109},
		{"14 days away", ladder{idle: 14}, working(84, Shaky, 0), 72, 76},
	} {
		c.l.demands, c.l.step = pass, 5
		if from, to := c.l.today(c.s); from != quarter(c.from) || to != quarter(c.to) {
			t.Errorf("%s: %v to %v, want %v to %v", c.name, from, to, c.from, c.to)
		}
	}
}

// TestStepsByPercent holds for any step and any tempo on the metronome: up is
// faster and down slower, in whole beats and within the metronome, and a step up
// and down again ends where it began, give or take the rounding.
func TestStepsByPercent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Percent(rapid.Float64Range(float64(SmallestStep), float64(LargestStep)).Draw(t, "step"))
		from := quarter(float64(rapid.IntRange(SlowestMark, FastestMark).Draw(t, "bpm")))
		up, down := from.UpBy(p), from.DownBy(p)
		if from.BPM < FastestMark && up.Compare(from) <= 0 || from.BPM > SlowestMark && down.Compare(from) >= 0 {
			t.Errorf("%v goes up to %v and down to %v", from, up, down)
		}
		if up.BPM > FastestMark || down.BPM < SlowestMark || up.BPM != float64(int(up.BPM)) {
			t.Errorf("%v goes up to %v and down to %v, off the metronome or off the beat", from, up, down)
		}
		if again := up.DownBy(p); up.BPM < FastestMark && (again.BPM < from.BPM-1 || again.BPM > from.BPM+1) {
			t.Errorf("%v goes up to %v and down again to %v", from, up, again)
		}
	})
}

func TestPercentIsReadAsWritten(t *testing.T) {
	for _, text := range []string{"5%", "2.5%", "25%", ""} {
		var p Percent
		if err := p.UnmarshalText([]byte(text)); err != nil || p.String() != text {
			t.Errorf("%q is read as %q, %v", text, p, err)
		}
	}
	for _, text := range []string{"5", "0%", "26%", "-3%", "five%", "NaN%"} {
		var p Percent
		if err := p.UnmarshalText([]byte(text)); err == nil {
			t.Errorf("%q is read as %q, want an error", text, p)
		}
	}
}
