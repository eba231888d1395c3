package reply

import (
	"slices"

	"ledgerline/routine"
)

// A who says which items a saying is about.
type who uint8

const (
	named    who = iota // the items in its set
	theRest             // those that no other saying names
	wholeDay            // all of them
)

// A saying is what a message says about some items in one go: "1 and 2 at 92
// clean". It is filled in from left to right.
type saying struct {
	who        who
	items      itemSet
	vague      bool    // names several items where one is meant: "the etude"
	one        bool    // of the rest: there is one other item
	ofBook     bool    // named by the title of a book
	outcome    int     // an index of outcomes, or -1
	weak       bool    // outcome is "done" and a better word may replace it
	led        bool    // outcome stood before the items: "skipped 3 and 4"
	settled    bool    // outcome stood after the items
	excluded   bool    // left out of a whole day: "all but 4"
	against    itemSet // items of which another saying says otherwise
	tempo      mark    // sense is tempoSense if one was said
	count      mark    // sense is countSense if repeats were said
	minutes    int
	other      int  // a number that may be a tempo or minutes
	part       bool // "first half only"
	remark     span // of the message, from the first word not understood to the last
	quoted     bool // the remark is in ⟦…⟧ and complete
	only       bool // "only" stood before the items
	valueFirst bool // a tempo or a number stood before the items
	odd        bool // "that piece", or a bare number with a word that was not understood right after
	counted    bool // "the" stood before its number: "the 4 hymns"
	wordy      bool // words that weren't understood stood before the items in their clause
	bodily     bool // the items were named in a clause about how the player is
	clause     int  // in which it last got something
	sentence   int  // in which it began
	other2     int  // 1 more than the other outcome, if two were said
	tempo2     mark // the other tempo, if two were said
	count2     mark // the other repeats, if two were said
}

// named reports whether there is such a saying and it names its items.
func (s *saying) named() bool { return s != nil && s.who == named }

// clash reports whether two outcomes, tempi or repeats were said.
func (s *saying) clash() bool {
	return s.other2 > 0 || s.tempo2.sense != unknown || s.count2.sense != unknown
}

// bare reports whether nothing has been said of the items yet.
func (s *saying) bare() bool {
	return s.outcome < 0 && s.empty()
}

// empty reports whether nothing but an outcome has been said of the items.
func (s *saying) empty() bool {
	return s.tempo.sense == unknown && s.count.sense == unknown && s.minutes == 0 && s.other == 0 &&
		!s.part && s.remark == span{}
}

// listing reports whether no more has been said of the items than what stands before
// them: "skipped 3".
func (s *saying) listing() bool { return s.led && !s.settled && s.empty() }

// judgedSo reports whether it is said that the items went well or badly.
func (s *saying) judgedSo() bool {
	return s.outcome == clean || s.outcome == shaky || s.outcome == missed
}

// judged reports whether it is said what became of the items, by more than that they were played.
func (s *saying) judged() bool { return s != nil && (s.outcome >= 0 && !s.weak || s.settled) }

// mentioned reports whether the items were no more than named, with nothing to
// say that they were played: "3" in "I don't understand 3" and "lips numb after 3".
func (s *saying) mentioned() bool {
	only := *s
	only.remark = span{}
	return only.bare() && !s.quoted && !s.only && !s.excluded && (s.wordy || s.bodily && s.remark == span{})
}

// unlikely reports whether the saying may be about something else altogether: "2
// tickets".
func (s *saying) unlikely() bool {
	only := *s
	only.remark = span{}
	if only.weak && only.led && s.counted {
		only.outcome = -1
	}
	return s.odd && only.bare()
}

// A sheet is what a message says about one day, as far as it has been read.
type sheet struct {
	says     []saying
	cur      int  // the saying that words are added to, or -1
	lead     int  // an outcome waiting for its items, or -1
	leadWeak bool // it is "done"
	leadNew  bool // no items have followed it yet
	leadNot  bool // it was said by "not": "neither 1 nor 2"
	except   bool // the items that follow are left out
	only     bool // the items that are named are all there was
	clause   int  // counts clauses
	sentence int  // counts sentences

	whole       Extent // what was said of the whole routine
	allSaid     bool   // by "all" or "everything"
	yes         bool   // by "yes" alone
	wholeClause int    // the clause it was said in
	excuse      routine.Excuse
	aside       bool // the excuse is part of a story
	minutes     int
	each        int // minutes of each item
	feel        routine.Feel
	pain        bool
	doubt       bool // it may be pain
	gone        bool
	rest        bool    // "rest" was said with nothing that tells which
	stray       float64 // a number that nothing was made of
	bareMinutes bool    // the day's minutes were a bare number
	minutesLead bool    // minutes stand before their items
	further     bool    // the minutes add to those told before
	held        int     // minutes waiting for their item
	unsure2     int     // the other number that unsure may be
	unsure      int     // a bare number that may be minutes or something else
	loose       saying
	strong      bool    // loose holds an outcome that is more than small talk
	sum         int     // the first of the sayings that "both" or "all" sums up, or -1
	softNo      bool    // whole is None for a "no" that may only begin a correction
	asked       itemSet // items that a question is about
	told        itemSet // items that a saying names and does more than mention
	noItem      bool    // an item was spoken of, and which is not known
	badDay      bool
	dated       bool            // the day was said
	sorry       bool            // a word of correction was said
	sure        bool            // by a word that is used for nothing else: "correction"
	unclear     []string        // what is asked about, as a canonical text has it
	filled      routine.Outcome // of the items that are not named, if whole tells
	sorryAt     bool            // it came first
	mending     bool            // the next value replaces the one of its kind
	mendItem    bool            // so does the next item
	undo        bool
	wrong       mark // the value that was said to be wrong
	wordy       bool // words that were not understood stand in the clause so far
	strange     bool // words that were not understood and are no remark stand anywhere
	hedged      bool // what was said may not be a report of the player's own
	tagged      bool // there is markup
	place       span // bars or pages named before their item: "bars 5-8 of 4"
	inPart      bool // place is a part that was all there was: "half of 4"
	leading     int  // 1 more than the unit of a bare number that stands before its item
	counted     int  // the clause in which repeats were said of no item yet
}

// clear empties the sheet for another day.
func (s *sheet) clear() {
	says := s.says[:0]
	*s = sheet{says: says, cur: -1, lead: -1, sum: -1}
	s.loose = saying{outcome: -1}
}

// hold keeps an outcome for the items that follow.
func (s *sheet) hold(outcome int) {
	s.lead, s.leadWeak, s.leadNew, s.leadNot = outcome, outcome == done, true, false
}

// current returns the saying that words are added to, or nil.
func (s *sheet) current() *saying {
	if s.cur < 0 {
		return nil
	}
	return &s.says[s.cur]
}

// leadsOut reports whether the outcome before the items says that they were left out or did not
// come off: "skipped 1, 2 and 3".
func (s *sheet) leadsOut() bool { return s.lead == skipped || s.lead == missed }

// content reports whether anything was said that is worth a report.
func (s *sheet) content() bool {
	return len(s.says) > 0 || s.whole != "" || s.noItem || s.minutes > 0 || s.each > 0 || s.unsure > 0 ||
		s.loose.tempo.sense != unknown || s.loose.count.sense != unknown || len(s.unclear) > 0 ||
		s.feel != "" || s.pain || s.doubt || s.gone || s.excuse != "" || s.undo
}

// wholeSettled reports whether an outcome was said of the whole routine: "all shaky".
func (s *sheet) wholeSettled() bool {
	return slices.ContainsFunc(s.says, func(y saying) bool { return y.who == wholeDay && y.outcome >= 0 })
}

// begin adds a saying and makes it the current one.
func (s *sheet) begin(w who, items itemSet) *saying {
	s.says = append(s.says, saying{
		who: w, items: items, outcome: -1, clause: s.clause, sentence: s.sentence, excluded: s.except,
	})
	s.cur = len(s.says) - 1
	now := s.current()
	s.leadNew = false
	if items.only() != 0 {
		now.minutes, s.held = s.held, 0
	}
	if s.counted == s.clause {
		now.count, s.loose.count = s.loose.count, mark{}
	}
	s.minutes, s.held = s.minutes+s.held, 0
	if s.lead >= 0 {
		now.outcome, now.weak, now.led = s.lead, s.leadWeak, true
	}
	return now
}
