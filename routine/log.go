package routine

// An Outcome is what a reply says became of an item.
type Outcome string

// The outcomes.
const (
	Clean   Outcome = "clean"   // as the pass wants it
	Shaky   Outcome = "shaky"   // got through, not as wanted
	Missed  Outcome = "missed"  // tried, did not get through
	Skipped Outcome = "skipped" // not tried
	Done    Outcome = "done"    // played; nothing said of how
)

// Played reports whether the item was played at all.
func (o Outcome) Played() bool { return o != Skipped && o != "" }

// An Excuse is why a day without playing costs nothing.
type Excuse string

// The excuses. Every one of them keeps a streak as it is.
const (
	Ill         Excuse = "ill"
	Travel      Excuse = "travel"
	RestDay     Excuse = "rest"
	Lesson      Excuse = "lesson"
	Performance Excuse = "performance"
	Holiday     Excuse = "holiday"    // of the whole studio
	NoRoutine   Excuse = "no routine" // none was posted, which was not her doing
)

// A Feel is how the player says she was.
type Feel string

// The feels.
const (
	Fresh Feel = "fresh"
	Tired Feel = "tired"
)

// An Entry is what one reply says about one item. Entries are appended and
// never changed; Seq gives their order within a date.
type Entry struct {
	Seq     int64     `json:"seq"` // order in which the log took them
	Date    Date      `json:"date"`
	Item    int       `json:"item"` // number of the item in the routine of that date
	Lines   []LineRef `json:"lines"`
	Pass    int       `json:"pass"`
	Outcome Outcome   `json:"outcome"`
	From    Tempo     `json:"from,omitzero"` // first tempo said, if a path was said
	To      Tempo     `json:"to,omitzero"`   // tempo reached; the routine's own if none was said
	Approx  bool      `json:"approx,omitempty"`
	Reps    int       `json:"reps,omitempty"` // clean playings, or playings, that were said
	Of      int       `json:"of,omitempty"`   // of how many
	Minutes int       `json:"minutes,omitempty"`
	Given   int       `json:"given,omitempty"`  // minutes that the routine gave the item
	Remark  string    `json:"remark,omitempty"` // word for word
	Hard    bool      `json:"hard,omitempty"`   // the item was strenuous
	Test    bool      `json:"test,omitempty"`   // the item was a minute test; clean means that it was held

	// Articulation and Fingering are what the item asked for.
	Articulation Demand `json:"articulation,omitempty"`
	Fingering    Demand `json:"fingering,omitempty"`

	// Supersedes is the Seq of the entry that this one corrects; 0 for none.
	Supersedes int64 `json:"supersedes,omitempty"`
}

// A DayReport is what one reply says about a whole day.
type DayReport struct {
	Seq      int64  `json:"seq"`
	Date     Date   `json:"date"`
	Played   bool   `json:"played"`            // something was played
	Minutes  int    `json:"minutes,omitempty"` // 0: not said
	Feel     Feel   `json:"feel,omitempty"`
	Pain     bool   `json:"pain,omitempty"`
	PainGone bool   `json:"pain_gone,omitempty"`
	Excuse   Excuse `json:"excuse,omitempty"`
	Late     bool   `json:"late,omitempty"` // came after the studio's cut-off for that date
}

// A State is how far a line has come in a pass.
type State string

// The states, in order of advance; Slipped is a passed line that failed its
// review.
const (
	New     State = "new"
	Working State = "working"
	AtTempo State = "at tempo"
	Ready   State = "ready for sign-off"
	Passed  State = "passed"
	Slipped State = "slipped"
)

// A StandingKey names one line in one pass.
type StandingKey struct {
	Line LineRef
	Pass int
}

// A Standing is how one line stands in one pass for one student. It is derived
// from entries, and always can be again. The zero Standing is a new line's.
type Standing struct {
	State       State   `json:"state"`
	Mark        Tempo   `json:"mark,omitzero"` // tempo last played at
	Best        Tempo   `json:"best,omitzero"` // fastest that was clean
	Last        Date    `json:"last,omitzero"` // last date it was played
	LastOutcome Outcome `json:"last_outcome,omitempty"`
	Plays       int     `json:"plays"`               // entries that say it was played
	Misses      int     `json:"misses,omitempty"`    // missed in a row, up to the last entry
	Dones       int     `json:"dones,omitempty"`     // done in a row at Mark, up to the last entry
	CleanDays   int     `json:"clean,omitempty"`     // distinct dates clean at the goal, since it last slipped or fell back
	LastClean   Date    `json:"last_clean,omitzero"` // last of those dates
	PassedOn    Date    `json:"passed,omitzero"`
	Review      int     `json:"review,omitempty"` // reviews kept since it passed
	Due         Date    `json:"due,omitzero"`     // date the next review falls due, if passed
}
