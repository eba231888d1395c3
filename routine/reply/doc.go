// Package reply reads the short messages in which players say what they
// practised, against the routine they had:
//
//	1 96 clean, 2 skip, rest done 40m
//
// is, of a routine with four items, item 1 clean at 96, item 2 skipped, items 3
// and 4 done, 40 minutes in all. What can be meant in two ways is asked, never
// guessed: the reading then holds a [Question] whose choices are replies
// themselves, to be read like any other.
//
// Make one [Reader] and give it each message with its [Context]; [Reader.Read]
// returns a [Reading] for every day spoken of. Reading is pure: it knows no clock
// and keeps nothing between messages.
//
// # How a message is read
//
// Six steps, each in the files named after it, each leaving what the next one
// needs. [Reader.Explain] shows what became of every word.
//
//  1. Tokens (lex.go, fold.go): letters, digits, signs, with their places in the
//     message. Digits of all scripts are numbers; case and accents are folded.
//  2. Marks (mark.go, names.go): every token, or the longest phrase or title that
//     begins there, gets a sense: "skip" an outcome, "gulls at the lock" an item.
//     Senses are listed in sense.go. The words are in lang/, one plain file a
//     language, loaded by words.go, with other spellings of a word, as children,
//     haste and dialects write it, in lines of their own. One typing error in a
//     word is forgiven, in the first letter only two that are swapped, but the
//     words in lang/ordinary are none, and short or grave words must be spelled
//     right beside words that are not understood.
//  3. Units (join.go and the files of its rules: day.go, duration.go, tempo.go,
//     repeats.go, refs.go, place.go, key.go): numbers are joined to what makes
//     sense of them, "q", "=", "96" to a tempo, "2", "of", "4" to repeats. A
//     number that nothing explains stays bare.
//  4. Days (aside.go): words whose sense hangs on those beside them get it (beside.go),
//     questions to the teacher, plans for tomorrow, reasons and what others did are set
//     aside, so are clauses about something else (talk.go), clauses about a tempo that was
//     not played or what went wrong within an item are made remarks (remark.go), and the
//     rest is cut into one part for each day.
//  5. Sayings (scan.go, sheet.go): each part is read from left to right. A word
//     adds to the saying it belongs to, "1 and 2 at 92 clean", or to the day. The
//     handlers are in about.go (items), outcome.go, whole.go (the whole routine),
//     bare.go (bare numbers), body.go (feel and pain), correct.go, remark.go and
//     doubt.go; look.go has what they ask of the words around.
//  6. The reading (resolve.go, settle.go, ledger.go, ask.go): sayings are written
//     into a ledger by item, what was left open is settled against the routine,
//     and what can't be settled becomes a question.
//
// # Decisions
//
// A bare number is what it can be in this routine: an item's number where an
// item may stand, a tempo within reach of the item's, minutes in proportion to
// those planned (possible.go). Two readings within reach make a question.
//
// Every word and number is accounted for: it is understood, it is a small word, it
// belongs to a remark, or it is left over. What is left over and may change the
// reading is asked about, and not logged; doubt.go says when that is so. Other
// words that are left over are talk.
//
// Within one message a word of correction puts right the value before it: "40 min,
// no, 45". Only with something reported before, or at the head of a message, does it
// make a correction of the message.
//
// Pain is taken from what is plainly said, never from one misspelled or doubtful
// word: then it is asked. "No pain", "painless" and "a pain in the neck" are none.
//
// Remarks are the player's words, from the first to the last that nothing else
// claims, unchanged.
//
// A sentence that says nothing for the log leaves its day, and what it says of others,
// to itself: "the concert is on the 12th. 1-3 clean" is of today. But a day with a colon
// is a heading: "Yesterday: hectic. 1-3 clean".
//
// # Where to begin
//
// The way of a message from its text to its readings is in lex.go, mark.go, parse.go,
// scan.go, sheet.go, about.go, outcome.go, ledger.go and resolve.go, which can be read
// in an hour with [Reader.Explain] at hand. The other files hold many small forms, of
// numbers with their units (step 3) and of what is no report (step 4), each with an
// example: read them when a reply needs them. A reply that is read wrongly goes into
// testdata/replies first, with the reading it should give.
//
// # Limits
//
// The time is linear in the length of the message: nothing looks further than a
// few words ahead. A message can speak of 60 items and of about a week of days.
// Two languages are read at a time, the member's and English; where one word
// means different things in both, the member's language counts.
package reply
