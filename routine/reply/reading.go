package reply

import "ledgerline/routine"

// A Kind says what a message is.
type Kind string

// The kinds.
const (
	Report     Kind = "report"     // says what became of a day's practice
	Correction Kind = "correction" // changes what was reported
	Chat       Kind = "chat"       // talk; nothing to log, nothing to answer
	Asked      Kind = "question"   // a question to the teacher; to be passed on
)

// An Extent says how much of the whole routine was played, when the reply
// speaks of the whole. It is empty when the reply goes item by item.
type Extent string

// The extents.
const (
	All    Extent = "done"   // the whole routine
	Partly Extent = "partly" // some of it
	None   Extent = "none"   // nothing, and no reason that excuses it
)

// A Reading is what a message says about one day.
type Reading struct {
	Text    string         `json:"text"` // the message, whole and as written
	Kind    Kind           `json:"kind"`
	Day     routine.Date   `json:"day,omitzero"` // none for chat and questions
	Excused routine.Excuse `json:"excused,omitempty"`
	All     Extent         `json:"all,omitempty"`
	Minutes int            `json:"minutes,omitempty"` // of the day; 0: not said
	Items   []Item         `json:"items,omitempty"`   // by item number; each at most once
	Feel    routine.Feel   `json:"feel,omitempty"`
	Pain    bool           `json:"pain,omitempty"`
	Ask     []Question     `json:"ask,omitempty"` // what must be asked before it can be logged

	PainGone bool   `json:"-"` // an earlier pain is said to be over
	Undo     bool   `json:"-"` // take back the last report
	Question string `json:"-"` // a question to the teacher, word for word
}

// An Item is what a message says about one item of the routine.
type Item struct {
	N       int             `json:"n"`
	Outcome routine.Outcome `json:"outcome,omitempty"` // empty only in a correction that leaves it
	Tempo   *Tempo          `json:"tempo,omitempty"`   // nil: not said
	Reps    int             `json:"reps,omitempty"`    // playings; of them clean, if Of is set
	Of      int             `json:"of,omitempty"`
	Minutes int             `json:"minutes,omitempty"`
	Remark  string          `json:"remark,omitempty"` // word for word
}

// A Tempo is a tempo as it was said, with the item's own note value if none
// was said.
type Tempo struct {
	From   float64           `json:"from,omitempty"` // 0: no path was said
	To     float64           `json:"to"`
	Note   routine.NoteValue `json:"note,omitzero"`
	Approx bool              `json:"approx,omitempty"` // "96ish"
	Sure   bool              `json:"-"`                // out of the item's reach, and confirmed by the player
}

// Reached returns the tempo arrived at.
func (t Tempo) Reached() routine.Tempo { return routine.Tempo{BPM: t.To, Note: t.Note} }

// Began returns the tempo begun at, or the zero Tempo if no path was said.
func (t Tempo) Began() routine.Tempo {
	if t.From == 0 {
		return routine.Tempo{}
	}
	return routine.Tempo{BPM: t.From, Note: t.Note}
}

// A Question is one thing in a message that can be read in more than one way.
// Nothing of that part is in the reading it belongs to.
type Question struct {
	About   string   `json:"about"`   // "item 2", "item ?", "minutes", "day" or "pain"
	Choices []Choice `json:"choices"` // at most three, the likeliest first
}

// A Choice is one possible answer to a [Question]. In JSON it is its label.
type Choice struct {
	Label string // a few words for people
	Text  string // a reply that reads as this choice and as nothing more
}

// MarshalText implements [encoding.TextMarshaler].
func (c Choice) MarshalText() ([]byte, error) { return []byte(c.Label), nil }

// UnmarshalText implements [encoding.TextUnmarshaler]. The text that the choice
// stands for is not in its label, and stays empty.
func (c *Choice) UnmarshalText(text []byte) error {
	c.Label = string(text)
	return nil
}

// A Context is what a message is read against.
type Context struct {
	Routine  *routine.Routine // of today; nil if there is none
	Today    routine.Date     // in the member's zone
	Lang     string           // the member's language, such as "de"; English is always read too
	Last     *Reading         // what was read before of the same day, if anything
	Previous *routine.Routine // of yesterday; nil if there is none

	// Yesterday is the date before today on the member's calendar, where that is
	// not the date before: who crosses the date line leaves one out. Today itself
	// says that it can't be known, because she crossed back; then it is asked.
	Yesterday routine.Date
}

// yesterday returns the date that the member calls so.
func (c Context) yesterday() routine.Date {
	if c.Yesterday == 0 {
		return c.Today - 1
	}
	return c.Yesterday
}

// on returns the routine of the given day, as far as it is known: a day before
// yesterday is read against today's.
func (c Context) on(day routine.Date) *routine.Routine {
	r := c.Routine
	if c.Previous != nil && (day == c.yesterday() || day == c.Previous.Date) {
		r = c.Previous
	}
	if r == nil {
		return &routine.Routine{}
	}
	return r
}
