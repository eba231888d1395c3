package reply

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgerline/routine"
)

// A sense is what a word, a phrase or a sign can mean in a reply. The language
// files give words their senses; the names used there are in senseNames.
type sense uint8

const (
	unknown sense = iota

	// Senses of words, from the language files.
	outcomeSense  // clean, shaky, missed, skipped or done, said of an item
	wentSense     // clean, unless another outcome follows: "lief", "lief schlecht"; val 2: missed, right after an item, else "miss" calls the teacher
	fineSense     // clean, said of an item; small talk when it stands alone: "ok"
	doneSense     // the whole routine, when it stands alone: "done"; val 1: yes, 2: only the minutes beside it, if there are any, 3: said of an item rather than a day, 4: clean, said of items, 5: said of the day alone, "played everything"
	allSense      // everything
	noneSense     // nothing was played
	partlySense   // some of it; val 1: of the item beside it, too, "didn't finish 3"
	halfSense     // some of it, or a note value: "half", "half = 60"
	bothSense     // everything, where there are two items
	butSense      // a joint, or what follows is left out: "all but 4"
	exceptSense   // what follows is left out; val 1: or there is less of it
	onlySense     // what follows is all there was
	othersSense   // the items not named; val 1: before an outcome, with items named before, 2: before their number, or else 3, 3: the one not named
	restSense     // "rest": the others, or a day of rest
	excuseSense   // why nothing was played
	feelSense     // fresh or tired
	painSense     // pain, numbness, bleeding, ringing ears
	doubtSense    // may be pain, may be nothing
	jokeSense     // has the word pain in it and is none
	goneSense     // the pain is over
	bodySense     // a part of the body
	moodSense     // fresh, tired or pain, said of the body or after "feel"; besides its own sense
	notSense      // not, no, without; val 1: nor; val 2: denies how something was; val 3: by halves
	daySense      // val days from today: yesterday is -1; 2: this evening
	weekdaySense  // val is a time.Weekday; of a word that says something else, too, 7 more
	monthSense    // val is a time.Month
	agoSense      // days back, after a number
	onSense       // stands before a day of the month
	ordinalSense  // stands after a number: the 3rd
	laterSense    // what is still to be done: no report; val 1: a wish
	noSense       // not, nothing, or number: "no", "no 2"; val 1: "not" too
	itemSense     // stands before an item's number
	lineSense     // stands before a line's number
	studySense    // stands before a study's number
	skillSense    // val is an index of routine.Skills
	singleSense   // the same, of one item: "the etude"
	tongueSense   // the tongue: a body part, or the items of articulation
	keySense      // val is an index of keyNames
	weakKeySense  // the same of a word so short that more must say that it is one
	minorKeySense // a key with its mode
	majorKeySense
	majorSense    // after a key
	minorSense    // after a key
	nthSense      // val counts from the first item: "the second one"
	lastSense     // counts from the last item: "last two"; val 1: the one before the last
	minuteSense   // minutes, after a number
	secondsSense  // seconds, after a number
	hourSense     // hours, after a number
	timeSense     // val minutes: "half an hour"
	moreSense     // val minutes more, after hours: "and a half"
	quartersSense // quarters of an hour, after a number
	numberSense   // val as a word
	noteSense     // val is a routine.NoteValue
	dottedSense   // half as long again
	bpmSense      // marks the number beside it as a tempo
	clockSense    // a time of day, after a number
	aboutSense    // the number after it is approximate; val 1: almost, so that "clean" after it is shaky; 2: shaky, at the end of a clause
	ishSense      // the number before it is approximate
	upToSense     // the tempo reached follows
	fromSense     // the tempo begun at follows
	toSense       // stands between two tempi or two lines
	onwardSense   // the item before it and all after: "from 5 onwards"
	atSense       // a tempo follows
	inSense       // a key may follow
	thanSense     // the day after it is only compared with
	totalSense    // the minutes beside it are the day's
	forSense      // minutes follow
	timesSense    // repeats, after a number
	repsSense     // val repeats: "twice"
	ofSense       // stands between repeats and how many were tried
	partSense     // part of an item: "first half only"
	barSense      // the number after it is no item's: "bar 3"
	unclearSense  // what is quoted after it is asked about
	sureSense     // the tempo after it was played though it is out of reach
	sorrySense    // what follows corrects; val 1: it says so, 2: or another item, 3: minutes, 4: in the end, 5: what was said before, 6: between two values, 7: it was of another day
	undoSense     // take it back
	insteadSense  // the value after it was wrong
	askSense      // begins a question; val 1: even within a sentence, 2: only with a question mark, 3: or a condition, "when"
	youSense      // speaks to somebody else
	chatSense     // thanks, greetings, laughter; val 1: speaks of meeting, 2: greets
	personSense   // somebody else, or an opinion; a clause that begins so is talk; val 1: she, who may be the player, 2: an opinion anywhere in it
	hedgeSense    // what follows was not said to be so; val 1: before minutes, "i have"; 2: else "only"; 3: "instead"
	afterSense    // the item after it is only mentioned: "numb after 2"; val 1: it was the last played, "stopped after 2"
	offSense      // after a day: a day of rest
	thingSense    // what the number before it counts, and no item: "3 weeks"; val 1: "stuff", of any kind
	moneySense    // a currency, beside a number
	eachSense     // the minutes beside it are those of each item
	orSense       // between two values of which one is meant
	andSense      // joins; val 1: then
	oneSense      // "the Eb one"; val 2: "ones"
	tooSense      // at the end of a clause: like the items before; val 1: else an article, "too fast"
	fillerSense   // makes no remark and is never part of one's edge: "was"; val 1: may open a question, 2: an age follows, 3: I, 4: so, 5: that, 6: "at the end", 8: "I have"
	articleSense  // makes no remark, but belongs to one that follows: "very"; val 1: "feel", 2: "the", 3: "with", 4: "les", 5: "a", 7: "one of the", 8: begins a condition, "whenever"
	plainSense    // an ordinary word, known so as not to be taken for a misspelling

	// Senses that the reader finds in numbers, signs and the routine's names.
	numSense   // a bare number
	rangeSense // a bare pair of numbers: "1-3", "84-92"
	tempoSense
	minutesSense // minutes, with their unit
	countSense   // repeats, with what makes them so
	dateSense
	itemsSense // one or more items, by number or by name
	breakSense // ends a clause: a comma
	stopSense  // ends a sentence
	colonSense
	querySense // a question mark
	quoteSense // ⟦…⟧
	signSense  // any other sign
	asideSense // not part of the report: a question, a plan for tomorrow
	tagSense   // <…>: markup

	senses // how many there are
)

// senseNames are the names of the senses, as the language files have them if they do.
var senseNames = [senses]string{
	unknown: "not understood", outcomeSense: "outcome", wentSense: "went", fineSense: "fine", doneSense: "done",
	allSense: "all", noneSense: "none", partlySense: "partly", halfSense: "half", bothSense: "both", butSense: "but",
	exceptSense: "except", onlySense: "only", othersSense: "others", restSense: "rest", excuseSense: "excused",
	feelSense: "feel", painSense: "pain", doubtSense: "pain?", jokeSense: "no pain", goneSense: "pain gone", bodySense: "body",
	moodSense: "mood", notSense: "not", daySense: "day", weekdaySense: "weekday", monthSense: "month", agoSense: "ago",
	onSense: "on", ordinalSense: "ordinal", laterSense: "later", noSense: "no", itemSense: "item", lineSense: "line",
	studySense: "study", skillSense: "skill", singleSense: "single", tongueSense: "tongue", keySense: "key",
	weakKeySense: "weak key", minorKeySense: "minor key", majorKeySense: "major key", majorSense: "major", minorSense: "minor",
	nthSense: "nth", lastSense: "last", minuteSense: "minutes", secondsSense: "seconds", hourSense: "hours", timeSense: "time",
	moreSense: "more", quartersSense: "quarter hours", numberSense: "number", noteSense: "note", dottedSense: "dotted",
	bpmSense: "bpm", clockSense: "clock", aboutSense: "about", ishSense: "ish", upToSense: "up to", fromSense: "from",
	toSense: "to", onwardSense: "onward", atSense: "at", inSense: "in", thanSense: "than", totalSense: "total", forSense: "for",
	timesSense: "times", repsSense: "reps", ofSense: "of", partSense: "part", barSense: "bar", unclearSense: "unclear",
	sureSense: "sure", sorrySense: "sorry", undoSense: "undo", insteadSense: "instead", askSense: "ask", youSense: "you",
	chatSense: "chat", personSense: "person", hedgeSense: "hedge", afterSense: "after", offSense: "off", thingSense: "things",
	moneySense: "money", eachSense: "each", orSense: "or", andSense: "and", oneSense: "one", tooSense: "too",
	fillerSense: "filler", articleSense: "article", plainSense: "plain",
	// Senses that no language file names, but for "comma" and "stop".
	numSense: "number", rangeSense: "range", tempoSense: "tempo", minutesSense: "minutes", countSense: "repeats",
	dateSense: "day", itemsSense: "item", breakSense: "comma", stopSense: "stop", colonSense: "colon",
	querySense: "question mark", quoteSense: "quotation", signSense: "sign", asideSense: "set aside", tagSense: "markup",
}

// A meaning is a sense and its value, and how one feels of whom it is said.
type meaning struct {
	sense sense
	mood  mood
	val   int16
}

// A mood is 1 more than an index of moods, or 0 for none.
type mood int8

var (
	outcomes = []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Skipped, routine.Done}
	excuses  = []routine.Excuse{routine.Ill, routine.Travel, routine.RestDay, routine.Lesson, routine.Performance}
	feels    = []routine.Feel{routine.Fresh, routine.Tired}
	moods    = []string{"fresh", "tired", "pain", "pain?"}
	keyNames = []string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}
)

// The values that senses may have, as the list above tells them.
const (
	managed   = 2 // done: of the minutes beside it no more than that they were played
	allWell   = 4 // done: the items were clean, "1-3 all good"
	allPlayed = 5 // done: tells of the day however and wherever it was played, "played everything by heart"

	weakWeekday = 7 // added to the value of weekdays whose words say something else, too: "So" is Sunday only beside another weekday

	anything    = 1 // things: of any kind
	severalOnes = 2 // one: "ones"

	definite      = 2 // article: "the"
	withArticle   = 3 // article: "with"
	pluralArticle = 4 // article: of several things, "les"
	indefinite    = 5 // article: of one that is not known yet, "a"
	reasonArticle = 6 // article: begins a reason, "because of"
	oneOfThem     = 7 // article: "one of the"
	conditional   = 8 // article: begins a condition, "whenever"
	askOrWhen     = 3 // ask: or begins a condition, "when"

	replaced     = 3 // hedge: "instead", which after a value corrects another
	inTheEnd     = 4 // sorry: of an item's end, at the end of what is said of it
	retold       = 5 // sorry: tells again what was wrong
	hesitation   = 6 // sorry: only between two values
	ofAnotherDay = 7 // sorry: puts right the day and nothing else

	beforeCount = 2 // others: "the other", before how many they are, or else as otherOne
	otherOne    = 3 // others: only one is left, "the other one"
	wasNot      = 2 // not: denies how something was, "3 wasn't"
	scarcely    = 3 // not: denies only by halves, "hardly"
	unfinished  = 1 // partly: said of the item beside it
	less        = 1 // except: compares too, "3 moins fragile"
	almost      = 1 // about: takes something from a "clean" after it
	alsoNot     = 1 // no: is a "not" too
	greeting    = 2 // chat: a report may begin with it
	lastPlayed  = 1 // after: the item was the last
	opinion     = 2 // person: makes talk of a clause it stands in

	reasonFiller = 4  // filler: begins a reason
	copula       = 6  // filler: an "is" that opens no question
	endFiller    = 7  // filler: a remark after what went badly
	haveFiller   = 8  // filler: "I have", a wish of minutes with nothing to say that they were played
	already      = 9  // filler: after an item and with nothing more says that it was played
	pronoun      = 10 // filler: like "I", may open what happens to the player, "me trabo en el compás 12"
)

// parseMeaning reads what stands before the colon in a language file, such as
// "outcome clean" or "weekday monday".
func parseMeaning(name, value string) (meaning, error) {
	s := sense(max(0, slices.Index(senseNames[:], name))) // of two senses with one name the first is that of the files
	if s == unknown {
		return meaning{}, fmt.Errorf("%q is no sense", name)
	}
	val, ok := senseValue(s, value)
	if !ok {
		return meaning{}, fmt.Errorf("%q is no value of %q", value, name)
	}
	return meaning{sense: s, val: int16(val)}, nil
}

// senseValue reads the value of a sense, and reports whether it may have it.
func senseValue(s sense, value string) (val int, ok bool) {
	switch s {
	case outcomeSense, fineSense:
		val = slices.Index(outcomes, routine.Outcome(value))
	case excuseSense:
		val = slices.Index(excuses, routine.Excuse(value))
	case moodSense:
		val = slices.Index(moods, value)
	case feelSense:
		val = slices.Index(feels, routine.Feel(value))
	case skillSense, singleSense:
		val = slices.Index(routine.Skills(), routine.Skill(value))
	case keySense, weakKeySense, minorKeySense, majorKeySense:
		val = slices.Index(keyNames, value)
	case noteSense:
		note, err := routine.ParseNoteValue(value)
		return int(note), err == nil
	case weekdaySense:
		name, weak := strings.CutSuffix(value, "?")
		for val = 6; val >= 0 && time.Weekday(val).String() != name; {
			val--
		}
		if weak && val >= 0 {
			val += weakWeekday
		}
	case monthSense:
		for val = 12; val >= 1 && time.Month(val).String() != value; {
			val--
		}
		return val, val > 0
	case noSense, onSense, atSense, sorrySense, doneSense, wentSense, oneSense, thingSense, laterSense, fillerSense, articleSense, personSense, askSense, hedgeSense, andSense, chatSense, notSense, tooSense, othersSense, lastSense, afterSense, aboutSense, exceptSense, partlySense:
		n, err := strconv.Atoi(value)
		return n, value == "" || err == nil
	case daySense, numberSense, timeSense, moreSense, repsSense, nthSense:
		n, err := strconv.Atoi(value)
		return n, err == nil
	default:
		return 0, value == ""
	}
	return val, val >= 0
}

// String returns the name of the sense.
func (s sense) String() string { return senseNames[s] }
