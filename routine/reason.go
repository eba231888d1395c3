package routine

import (
	"encoding/json"
	"fmt"
	"strings"
)

// A ReasonKind says what a [Reason] is about.
type ReasonKind string

// Why an item is on a routine. What stands behind a kind are the fields of the
// reason that go with it.
const (
	Pinned           ReasonKind = "pinned"         // by the teacher
	MinuteTest       ReasonKind = "minute-test"    // N notes
	BackSoon         ReasonKind = "again"          // Outcome, N days ago
	ReviewedAgain    ReasonKind = "review-again"   // Outcome, N days ago
	Reviewed         ReasonKind = "review"         // after N days
	SlippedSince     ReasonKind = "slipped-since"  // pass N
	NewInKey         ReasonKind = "new-in"         // Keys
	NewLine          ReasonKind = "new"            //
	ReadyToHear      ReasonKind = "ready"          // for the teacher
	SlippedLower     ReasonKind = "slipped"        // so a little slower
	BackFromAway     ReasonKind = "back"           // after N days
	AtTheGoal        ReasonKind = "at-goal"        // clean on N of Of days
	KeptUp           ReasonKind = "kept-up"        // passed
	UpToGoal         ReasonKind = "up-to-goal"     //
	UpAfterClean     ReasonKind = "up-clean"       // by Step
	UpAfterTwo       ReasonKind = "up-played"      // played twice, by Step
	DownAfterTwo     ReasonKind = "down-missed"    // missed twice, by Step
	WasLastTime      ReasonKind = "last-time"      // Outcome
	ComesRound       ReasonKind = "round"          //
	ForPieceToday    ReasonKind = "piece-today"    // which is in Keys
	ForPieceTomorrow ReasonKind = "piece-tomorrow" // likewise
	PutIn            ReasonKind = "put-in"         // by the teacher
)

// Why a candidate is not on it.
const (
	EnoughOfStudy    ReasonKind = "enough"           // for one day
	NoMinutesLeft    ReasonKind = "no-minutes"       //
	BesideStrenuous  ReasonKind = "beside-strenuous" //
	NotNeededYet     ReasonKind = "not-needed"       // the cycle closes in time
	NotInCatalogue   ReasonKind = "no-such-study"    //
	StudyIncomplete  ReasonKind = "study-incomplete" // no skill, cycle or lines together
	TwiceOnPlan      ReasonKind = "twice-on-plan"    //
	NoSuchPass       ReasonKind = "no-such-pass"     //
	Held             ReasonKind = "held"             // by the teacher
	NeedsInstrument  ReasonKind = "needs"            // Text
	NotInWork        ReasonKind = "not-in-work"      //
	ReviewNotDue     ReasonKind = "review-not-due"   //
	AnotherComes     ReasonKind = "another-comes"    // a warm-up or warm-down that has passed
	WaitsForOthers   ReasonKind = "waits-for-others" // new, until a line in work has passed
	LeftOutUntil     ReasonKind = "left-out"         // Until
	AboveRange       ReasonKind = "above-range"      //
	TooHighYet       ReasonKind = "too-high-yet"     // so soon after a lay-off
	StrenuousToday   ReasonKind = "strenuous-today"  // on a day that must be soft
	NotQuiet         ReasonKind = "not-quiet"        //
	PlayedToday      ReasonKind = "played-today"     //
	PlayedYesterday  ReasonKind = "played-yesterday" //
	OthersComeFirst  ReasonKind = "others-first"     // new lines come in order
	NoSuchItem       ReasonKind = "no-such-item"     // N
	NotOnPlan        ReasonKind = "not-on-plan"      //
	OnRoutineAlready ReasonKind = "on-routine"       //
	TakesTooLong     ReasonKind = "takes-too-long"   // Of minutes with its rest, N are free
	StrenuousEnough  ReasonKind = "strenuous-enough" // for this week
	StrenuousBeside  ReasonKind = "strenuous-beside" // there would be such items, or one to begin with
)

// What is special about a whole day.
const (
	WhileHurting  ReasonKind = "day-hurting"          // only a little, and only soft
	AfterPain     ReasonKind = "day-after-pain"       //
	PlaysToday    ReasonKind = "day-perform-today"    //
	PlaysTomorrow ReasonKind = "day-perform-tomorrow" //
	FirstDayBack  ReasonKind = "day-first-back"       // after N days away
	DayBack       ReasonKind = "day-back"             // day N after Of days away
	AfterHardDays ReasonKind = "day-after-hard"       //
	AfterHardWeek ReasonKind = "day-after-hard-week"  // of N strenuous minutes
	ShortTime     ReasonKind = "day-short"            //
	NothingLoud   ReasonKind = "day-quiet"            //
	NothingDue    ReasonKind = "day-nothing-due"      //
	DayOff        ReasonKind = "day-off"              //
	FreeDay       ReasonKind = "day-free"             // Excuse
	InWords       ReasonKind = "words"                // Text, from before reasons had kinds
)

// A Reason says why an item comes, why a line does not, or what is special about
// a day: a kind, and those figures that go with it. It is no text, because the
// player reads it in her own language. The zero Reason says nothing.
type Reason struct {
	Kind    ReasonKind `json:"kind"`
	N       int        `json:"n,omitempty"`
	Of      int        `json:"of,omitempty"`
	Outcome Outcome    `json:"outcome,omitempty"`
	Excuse  Excuse     `json:"excuse,omitempty"`
	Step    Percent    `json:"step,omitempty"` // of the tempo; 0: one mark
	Keys    string     `json:"keys,omitempty"` // such as "C, Eb"
	Until   Date       `json:"until,omitempty"`
	Text    string     `json:"text,omitempty"`
}

// IsZero reports whether there is no reason.
func (r Reason) IsZero() bool { return r.Kind == "" }

// String returns the kind and the figures, for a log and for tests:
// "up-clean 5%".
func (r Reason) String() string {
	parts := []string{string(r.Kind)}
	for _, n := range []int{r.N, r.Of} {
		if n != 0 {
			parts = append(parts, fmt.Sprint(n))
		}
	}
	for _, s := range []string{string(r.Outcome), string(r.Excuse), r.Step.String(), r.Keys, r.Text} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	if r.Until != 0 {
		parts = append(parts, r.Until.String())
	}
	return strings.Join(parts, " ")
}

// UnmarshalJSON reads a reason, or the words of a routine that was kept before
// reasons had kinds.
func (r *Reason) UnmarshalJSON(data []byte) error {
	if len(data) > 0 && data[0] == '"' {
		*r = Reason{Kind: InWords}
		if err := json.Unmarshal(data, &r.Text); err != nil {
			return err
		}
		if r.Text == "" {
			*r = Reason{}
		}
		return nil
	}
	type plain Reason
	return json.Unmarshal(data, (*plain)(r))
}
