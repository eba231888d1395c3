package routine

// A Plan is what one student is working on, most important first.
type Plan struct {
	Entries []PlanEntry `json:"entries"`
}

// A PlanEntry puts one study at one pass on a student's plan.
type PlanEntry struct {
	Study  StudyRef `json:"study"`
	Pass   int      `json:"pass"`
	Since  Date     `json:"since,omitzero"`
	Target Date     `json:"target,omitzero"` // none: no date to be ready by

	// Lines are the lines in work; none means all of the study's.
	Lines []int `json:"lines,omitempty"`

	// Pinned lines come every day until the teacher unpins them.
	Pinned []int `json:"pinned,omitempty"`

	// Add asks for demands beyond the pass's own. None may be one that the
	// study first allows in a later pass.
	Add Demands `json:"add,omitzero"`

	// Lock holds the tempo whatever the ladder says; zero leaves the ladder.
	Lock Tempo `json:"lock,omitzero"`

	// Hold keeps the study off the routine until the teacher lets it back.
	Hold bool `json:"hold,omitempty"`

	// Instrument is the one the study is for; empty: any she plays.
	Instrument string `json:"instrument,omitempty"`

	// Interleave lets the study's items take turns with those of the other studies
	// that ask for it too and are played at the same place of the day, two or
	// three at a time, instead of following one another.
	Interleave bool `json:"interleave,omitempty"`

	// Together is how many neighbouring lines make one item for this student; 0:
	// as many as the study says.
	Together int `json:"together,omitempty"`

	// Skips leave lines out of the routine for a while.
	Skips []Skip `json:"skips,omitempty"`

	// Ladder is the step in which the tempo goes up and down; none: from mark to
	// mark of the metronome.
	Ladder Percent `json:"ladder,omitzero"`

	// TestEvery is the number of days from one minute test of the study to the
	// next, from 2 to 60; 0: it has none.
	TestEvery int `json:"test_every,omitempty"`

	// TestFrom is the first date for a minute test; none: any.
	TestFrom Date `json:"test_from,omitzero"`

	// Stay says that the teacher was told that the share of the pass has passed
	// and lets it go on all the same.
	Stay bool `json:"stay,omitempty"`

	// Opens is the date on which the next pass opens, as the teacher was told,
	// unless something else is said until then; none: it waits for a word.
	Opens Date `json:"opens,omitzero"`

	Source Source `json:"-"`
}

// A Skip leaves a line out of the routine up to the day before a date.
type Skip struct {
	Line  int  `json:"line"`
	Until Date `json:"until"`
}

// skipped returns the date until which a line is left out as of d; none if it
// is not.
func (e *PlanEntry) skipped(line int, d Date) (until Date) {
	for _, s := range e.Skips {
		if s.Line == line && d < s.Until {
			until = max(until, s.Until)
		}
	}
	return until
}

// A Level is how far a player has come; it caps the minutes of a day.
type Level string

// The levels.
const (
	Beginner Level = "beginner" // first two years or so
	Growing  Level = "growing"
	Advanced Level = "advanced"
)

// A Player is what Build must know of the person: nothing that names her.
type Player struct {
	Instrument   string  // a name that [InstrumentNamed] knows, such as "trumpet"
	Level        Level   //
	Minutes      int     // budget of playing and rest on one day, above 0
	Highest      Pitch   // never assign above this written pitch; 0: the instrument's own top
	Performances []Date  // days on which she plays in public; music with the same target date is what she plays
	Off          Weekday // days of the week with no routine

	// Rise is by how many percent the strenuous minutes of seven days may exceed
	// the fullest of the four weeks before; 0: [UsualRise], negative: no limit.
	Rise int
}

// Range returns the lowest and the highest written pitch that the player may be
// given.
func (p *Player) Range() (low, high Pitch) {
	inst, ok := InstrumentNamed(p.Instrument)
	if !ok {
		inst.Lowest, _ = widest(instruments)
	}
	return inst.Lowest, p.top()
}

// A Weekday is a set of days of the week; bit n is [time.Weekday] n.
type Weekday uint8
