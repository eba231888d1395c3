package reply

import (
	"slices"

	"ledgerline/routine"
)

// A parser reads one message. It is reused from message to message, so that its
// slices are made only once.
type parser struct {
	lexer              // the tokens of the message
	names    lexer     // the tokens of the routine's titles
	titles   []name    // the titles themselves
	initials uint64    // the letters that their words may begin with, by the last six bits
	marks    []mark    // what the tokens mean one by one
	units    []mark    // what they mean together: numbers with their units
	unread   []mark    // the same, as they were before any part was read
	read     int       // how many units have been read
	spans    []dayPart // the parts that speak of one day each
	sheet    sheet     // what the part being read says so far
	table    *table
	text     string
	ctx      Context
	routine  *routine.Routine // of the day being read
	pairs    int              // glued pairs of numbers like 1:70
	later    itemSet          // what is put off
	meant    itemSet          // what was to be played: "wanted to do 4"
	earlier  itemSet          // said to have been played on a day before in the message
	passed   int              // minutes set aside as talk
	agrees   bool             // the message says no more than "yes"
	question span             // the question to the teacher; empty if none
}

// parse cuts the message into tokens, gives them senses, joins numbers to their
// units and finds the days spoken of. What is said of each day is worked out
// by readings.
func (p *parser) parse(text string, c Context, t *table) {
	p.text, p.ctx, p.table = text, c, t
	p.toks, p.buf = p.toks[:0], p.buf[:0]
	p.routine = c.on(c.Today)
	p.lex(text)
	p.identify(&p.lexer)
	p.interpret()
}

// interpret gives the tokens their senses, against the routine of the day.
func (p *parser) interpret() {
	p.marks, p.units, p.spans = p.marks[:0], p.units[:0], p.spans[:0]
	p.question, p.later, p.meant, p.earlier, p.passed = span{}, 0, 0, 0, 0
	p.lexNames()
	p.label()
	p.pairs = p.countPairs()
	p.join()
	p.settleSenses()
	p.cleanTries()
	p.tempoRemarks()
	p.ownRemarks()
	p.setAside()
	p.tint()
	p.splitDays()
	p.unread, p.read = append(p.unread[:0], p.units...), 0
	p.agrees = p.onlyAgrees()
}

// items returns the items of the routine being read against.
func (p *parser) items() []routine.Item { return p.routine.Items }

// count returns how many items there are.
func (p *parser) count() int { return min(len(p.routine.Items), maxItems) }

// item returns the item with number n, or nil.
func (p *parser) item(n int) *routine.Item {
	if n < 1 || n > p.count() {
		return nil
	}
	return &p.routine.Items[n-1]
}

// every returns the set of all items.
func (p *parser) every() itemSet { return 1<<(p.count()+1) - 2 }

var noMark mark

// at returns the i-th mark of the first labelling, or an empty one past the end.
func (p *parser) at(i int) *mark {
	if i < 0 || i >= len(p.marks) {
		return &noMark
	}
	return &p.marks[i]
}

// is reports whether the i-th mark has one of the senses.
func (p *parser) is(i int, senses ...sense) bool {
	return i >= 0 && i < len(p.marks) && slices.Contains(senses, p.marks[i].sense)
}

// isSign reports whether the i-th mark is the given sign.
func (p *parser) isSign(i int, r rune) bool {
	return p.at(i).val == int(r) && p.is(i, signSense, breakSense, stopSense, colonSense)
}

// number reports whether the i-th mark is a number, in digits or as a word, and
// returns it.
func (p *parser) number(i int) (float64, bool) {
	m := p.at(i)
	if m.sense == oneSense {
		return 1, true
	}
	return m.x, m.sense == numSense || m.sense == numberSense
}

// digits is number for digits alone.
func (p *parser) digits(i int) (float64, bool) { return p.at(i).x, p.is(i, numSense) }
