// Package words is what the bot says, in the languages of its members: English,
// German, French and Spanish.
//
// A message has an id, such as "routine.foot", and a text in each language, in
// lang/*.yaml. A text has placeholders in braces, the same ones in every
// language, and where a number in it matters, one text for each plural form
// that the language has (CLDR):
//
//	week:
//	  so-far:
//	    one: "This week: {kept} of {n} day."
//	    other: "This week: {kept} of {n} days."
//
// A [Lexicon] holds all of it; [Lexicon.In] gives the [Voice] of one language,
// which says a message with the values of its placeholders:
//
//	voice.Count("week.so-far", 5, words.With{"kept": 3})
//
// Values are put into the language too: dates, tempi, numbers, and the words of
// the trade that other packages hold as constants (an outcome, a state, a
// demand), whose texts are messages under the name of their type.
//
// Something said before it is known to whom is a [Phrase]: an id with values. A
// phrase may be a value of another.
//
// A studio says it its own way with a file that [Lexicon.Override] reads.
package words
