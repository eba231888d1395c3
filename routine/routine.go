package routine

// A Routine is what one student plays on one local date. Once posted it never
// changes; a new one for the same date has the next number.
type Routine struct {
	Date    Date   `json:"date"`
	Number  int    `json:"number"` // from 1 within the date
	Items   []Item `json:"items"`
	Minutes int    `json:"minutes"`           // playing and rest together
	Light   bool   `json:"light,omitempty"`   // a light day
	Note    Reason `json:"note,omitzero"`     // what is special about the day, such as why it is light
	Caution bool   `json:"caution,omitempty"` // show the caution about pain
}

// An Item is one numbered thing to play.
type Item struct {
	N       int       `json:"n"` // from 1, in playing order
	Book    string    `json:"book"`
	Title   string    `json:"title"`
	Study   StudyRef  `json:"study"`
	Lines   []LineRef `json:"lines"`
	Key     string    `json:"key,omitempty"`
	Skill   Skill     `json:"skill"`
	Pass    int       `json:"pass"`
	Demands Demands   `json:"demands"`
	From    Tempo     `json:"from,omitzero"` // today's tempo to begin with
	To      Tempo     `json:"to,omitzero"`   // today's tempo to reach
	Minutes int       `json:"minutes"`       // playing, at least 1
	Rest    int       `json:"rest"`          // minutes of rest after it
	Reason  Reason    `json:"reason"`        // why it comes today
	Review  bool      `json:"review,omitempty"`
	Hard    bool      `json:"hard,omitempty"` // strenuous
	Loud    bool      `json:"loud,omitempty"` // not for an hour at which it must be quiet

	// With are the numbers of the items that it takes turns with: a minute or two
	// of each, until the minutes of all are over.
	With []int `json:"with,omitempty"`

	// Test says that the item is a minute test: the line over and over for 60
	// seconds, without a break, at the tempo of the day. Notes is how many notes
	// that makes; 0 for other items.
	Test  bool `json:"test,omitempty"`
	Notes int  `json:"notes,omitempty"`
}

// Item returns the item with number n, or nil.
func (r *Routine) Item(n int) *Item {
	if n < 1 || n > len(r.Items) {
		return nil
	}
	return &r.Items[n-1]
}

// A DayLog is what the log says of one date, all its reports together.
type DayLog struct {
	Date    Date
	Kept    bool // something was played
	Minutes int
	Hard    bool // something strenuous was played

	// Strenuous is how many of the minutes were strenuous; where a reply does not
	// say, those that the routine gave.
	Strenuous int
	Excuse    Excuse
	Feel      Feel
	Pain      bool

	// PainGone says that on this date she said the pain was gone.
	PainGone bool
}

// A History is the recent past that Build looks at.
type History struct {
	// Days are the dates with reports, oldest first. Build looks no further
	// back than 60 days.
	Days []DayLog

	// Hurting says that pain was reported and not yet said to be gone.
	Hurting bool
}

// An Input is all that a day's routine depends on.
type Input struct {
	Date      Date
	Number    int    // which routine of the date, from 1
	Seed      uint64 // of the student; breaks ties, with the date
	Catalogue *Catalogue
	Player    Player
	Plan      Plan
	Standings map[StandingKey]Standing
	History   History

	// Minutes is what she has today if that is less than her budget ("only 15
	// minutes today"); 0 leaves the budget. It never raises it.
	Minutes int

	// Quiet says that nothing loud may be played, as late in the evening.
	Quiet bool

	// Instrument is the one at hand today; empty: her own.
	Instrument string

	// Tested are the dates of the last minute tests, by study, as far as they
	// are no longer ago than 60 days.
	Tested map[StudyRef]Date

	// Free are dates without a routine that Preview is to know of, besides the
	// player's days off.
	Free []Date
}
