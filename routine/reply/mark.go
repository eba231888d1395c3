package reply

import (
	"math/bits"
	"slices"
	"strings"
	"unicode/utf8"

	"ledgerline/routine"
)

// A mark is a stretch of the message that has been given a sense: a word, a
// phrase, a number with its unit, a name out of the routine.
type mark struct {
	sense      sense
	val        int     // of the sense, as the language file gives it; or a count
	x, y       float64 // the number; for a range or a path, where it begins and ends
	note       routine.NoteValue
	approx     bool
	firm       bool // said to be what it is: "@96", "#2", "2:"
	sure       bool // a tempo that was played though it is out of reach
	several    bool // names more than one item in so many words: "slurs", "1-3"
	glued      bool // to the mark before
	typo       bool
	today      bool // has a word for today in it: "nothing today"
	bodily     bool // in a clause about how the player is
	painful    bool // in a clause about pain
	chatty     bool // in a clause of talk about a lesson or a concert
	mood       mood // how one feels, if said of the body
	items      itemSet
	start, end int    // bytes of the message
	role       string // what the message was read as saying, for [Reader.Explain]
}

// aside takes the unit out of the report.
func (m *mark) aside(role string) { m.sense, m.role = asideSense, role }

// An itemSet is a set of item numbers from 1 to maxItems.
type itemSet uint64

func (s itemSet) has(n int) bool { return n >= 1 && n <= maxItems && s>>n&1 == 1 }

func (s *itemSet) add(n int) {
	if n >= 1 && n <= maxItems {
		*s |= 1 << n
	}
}

// count returns how many items are in the set.
func (s itemSet) count() int { return bits.OnesCount64(uint64(s)) }

// only returns the one item in the set, or 0 if there is not exactly one.
func (s itemSet) only() int {
	if s.count() != 1 {
		return 0
	}
	return bits.TrailingZeros64(uint64(s))
}

// label gives every token of the message a mark: the longest name of the
// routine or phrase of the language that begins there, or what the token is.
func (p *parser) label() {
	var second span // the tokens of the second part of a phrase that has its items between
	for i := 0; i < len(p.toks); {
		m, n := p.nameAt(i)
		if end, k := p.phraseAt(i); k > n || n == 0 {
			if k > 1 {
				if _, title := p.nameAt(i + k - 1); title > 1 { // just Over the Break
					end, k = p.meaningOf(p.toks[i].plain), 1
				} else if others, n := p.phraseAt(i + k - 1); n > 1 && others.sense == othersSense || p.butDay(i+k-1, end) { // played everything else
					end, k = p.phrase(0, i, i+k-1, plainWord)
				}
			}
			if end.sense == excuseSense && p.tellsItem(i, k, end) {
				end, k = p.meaningOf(p.toks[i].plain), 1
				if end.sense == excuseSense {
					end = meaning{}
				}
			}
			m, n = p.wordMark(i, end), max(k, 1)
			m.today = k > 1 && ofDays(end.sense) && p.todayIn(i, i+k)
		}
		if i == second.start && second.end > i {
			m, n = mark{sense: fillerSense}, second.end-i
		}
		if end, k, part := p.splitAt(i); k > 0 && !(end.sense == afterSense && i > 0 && p.toks[i-1].kind == numberToken) { // not "1 bis 3 geschafft"
			m, n, second = p.wordMark(i, end), k, part
		}
		m.start, m.end = p.toks[i].start, p.toks[i+n-1].end
		m.glued = p.toks[i].glued
		if p.coded(i) {
			m.sense = unknown
		}
		if m.sense == numberSense && m.x >= 10 {
			m.sense = numSense // no small word: "at ninety-two"
		}
		if !p.hundred(&m) {
			p.marks = append(p.marks, m)
		}
		i += n
	}
	p.weakWeekdays()
	p.trust()
}

// butDay reports whether the phrase with the meaning ends with a "but", at token i, that stands before
// a day and so is none of it: "nothing but tonight 40 min".
func (p *parser) butDay(i int, end meaning) bool {
	if end.sense != onlySense || !p.means(i, butSense) {
		return false
	}
	next, _ := p.phraseAt(i + 1)
	return next.sense == daySense || next.sense == weekdaySense || next.sense == onSense
}

// weakWeekdays makes weekdays of the words that may be such, "So", where they begin a clause in
// a message with another weekday and something that is said of days follows, and else small
// words.
func (p *parser) weakWeekdays() {
	other := slices.ContainsFunc(p.marks, func(m mark) bool { return m.sense == weekdaySense && m.val < weakWeekday })
	for i := range p.marks {
		m := &p.marks[i]
		if m.sense != weekdaySense || m.val < weakWeekday {
			continue
		}
		m.val -= weakWeekday
		if !other || !p.clauseStart(i) && !p.is(i-1, andSense) && !p.isSign(i-1, '+') || !p.toldOfDays(i+1) {
			m.sense, m.val = fillerSense, 0
		}
	}
}

// toldOfDays reports whether mark i begins what is said of a day rather than a sentence.
func (p *parser) toldOfDays(i int) bool {
	switch p.at(i).sense {
	case numSense, itemsSense, excuseSense, restSense, noneSense, allSense, doneSense, halfSense, andSense, breakSense, colonSense, eachSense, signSense:
		return true
	}
	return false
}

// tellsItem reports whether the reason not to play in the n tokens from i on tells how an item
// beside it went: "2 felt rough", "felt rough on 2", "3 flying at 92".
func (p *parser) tellsItem(i, n int, reason meaning) bool {
	excuse := excuses[reason.val]
	atTempo := excuse == routine.Ill && p.means(i+1, atSense) && p.figures(i+2)              // 3 sick at 96
	rests := excuse == routine.RestDay && i+1 < len(p.toks) && p.toks[i+1].kind == wordToken // 3 frei gespielt
	oneWord := p.toks[i].kind == wordToken && (excuse == routine.Travel || atTempo || rests)
	if n == 1 && !oneWord || n > 1 && !p.means(i+n-1, outcomeSense) {
		return false
	}
	if last := len(p.marks) - 1; p.named(last) || p.is(last, fillerSense) && p.named(last-1) {
		return true
	}
	if !p.means(i+n, onSense, inSense) || i+n+1 >= len(p.toks) {
		return false
	}
	_, name := p.nameAt(i + n + 1)
	return name > 0 || p.figures(i+n+1) && p.item(int(p.toks[i+n+1].num)) != nil
}

// named reports whether the i-th mark names an item.
func (p *parser) named(i int) bool {
	x, ok := p.digits(i)
	return p.is(i, itemsSense) || ok && (p.item(int(x)) != nil || p.count() == 0 && x < leastBPM)
}

// ofDays reports whether a sense tells what became of a whole day.
func ofDays(s sense) bool {
	return s == noneSense || s == excuseSense || s == doneSense || s == partlySense
}

// todayIn reports whether a word for today is among the tokens from-to.
func (p *parser) todayIn(from, to int) bool {
	for ; from < to; from++ {
		end := p.meaningOf(p.toks[from].plain)
		if node := p.table.next[branch{0, p.toks[from].plain}]; from+1 < to && end.sense != daySense && node != 0 {
			end = p.table.ends[p.table.next[branch{node, p.toks[from+1].plain}]] // aujourd'hui
		}
		if end.sense == daySense && (end.val == 0 || end.val == evening) {
			return true
		}
	}
	return false
}

// hundred adds a number in words to a hundred spoken right before it:
// "a hundred and eight", "at one twelve". It reports whether it did.
func (p *parser) hundred(m *mark) bool {
	last := len(p.marks) - 1
	if p.is(last, andSense) {
		last--
	}
	before := p.at(last)
	x, ok := p.number(last)
	switch {
	case !ok || m.x < 1 || m.x >= 100 || m.sense != numSense && m.sense != numberSense && m.sense != oneSense || !p.letterAt(m.start) || !p.letterAt(before.start):
		return false
	case x <= 2 && m.x >= 10 && p.is(last-1, atSense) && last == len(p.marks)-1:
		x *= 100
	case x != 100 && x != 200:
		return false
	}
	before.sense, before.x, before.end = numSense, x+m.x, m.end
	p.marks = p.marks[:last+1]
	return true
}

// coded reports whether token i is a letter of code, right after a sign that does
// not stand before words: "%s", "$x".
func (p *parser) coded(i int) bool {
	t := &p.toks[i]
	return t.glued && t.kind == wordToken && t.folded.end-t.folded.start <= 1 && strings.ContainsRune(`%$\_`, p.toks[i-1].sign)
}

// trust takes the sense away from misspelled words if their sentence has other words
// that are not understood: from those that are too short or say too much to be
// guessed at, and from all if no word spelled right says anything.
func (p *parser) trust() {
	for from := 0; from < len(p.marks); {
		to := from
		for to < len(p.marks) && !p.is(to, stopSense, querySense) {
			to++
		}
		p.trustIn(from, to)
		from = to + 1
	}
}

// trustIn does so in the sentence from-to.
func (p *parser) trustIn(from, to int) {
	strange, sure := false, false
	for i := from; i < to; i++ {
		m := &p.marks[i]
		sure = sure || !m.typo && (tells(m.sense) || m.sense == numSense || m.sense == itemsSense || m.sense == allSense || m.sense == excuseSense)
		strange = strange || (m.sense == unknown || m.sense == plainSense || m.sense == personSense) && p.letterAt(m.start)
	}
	for i := from; i < to; i++ {
		if m := &p.marks[i]; m.typo && (m.sense == bodySense || strange && (!sure || p.frail(m))) {
			*m = mark{start: m.start, end: m.end, glued: m.glued}
		}
	}
}

// letterAt reports whether a letter stands at byte i of the message.
func (p *parser) letterAt(i int) bool {
	first, _ := utf8.DecodeRuneInString(p.text[i:])
	return letter(first)
}

// frail reports whether a misspelled word is no more than short or says much.
func (p *parser) frail(m *mark) bool {
	switch m.sense {
	case painSense, doubtSense, excuseSense, noneSense, noSense, allSense, partlySense, moneySense:
		return true
	}
	return utf8.RuneCountInString(p.text[m.start:m.end]) <= minTypo
}

// noNumber is more than any number in a report: it has too many digits.
const noNumber = 100_000

// wordMark returns the mark of a phrase that begins at token i, or of the token
// itself if it is in no phrase.
func (p *parser) wordMark(i int, end meaning) mark {
	t := &p.toks[i]
	switch {
	case end.sense == lineSense && t.end-t.start == 1 && !p.figures(i+1) && !(i+1 < len(p.toks) && p.toks[i+1].sign == '.' && p.toks[i+1].glued && p.figures(i+2)): // l'avant-dernière
		return mark{sense: articleSense, val: definite}
	case end.sense != unknown:
		return mark{sense: end.sense, val: int(end.val), typo: t.typo, x: float64(end.val), mood: end.mood}
	case t.num >= noNumber:
		return mark{} // of a telephone
	case t.kind == numberToken:
		return mark{sense: numSense, x: t.num}
	case t.kind == tagToken:
		return mark{sense: tagSense}
	case t.kind == quoteToken:
		return mark{sense: quoteSense}
	case t.sign == '.' && i+1 < len(p.toks) && p.toks[i+1].sign == ',' && p.toks[i+1].glued: // 10 Min., sauber
		return mark{sense: signSense, val: int(t.sign)}
	case p.spaced(i):
		return mark{sense: breakSense, val: int(t.sign)}
	case t.kind == signToken:
		return mark{sense: signMeans(t.sign), val: int(t.sign)}
	}
	return mark{}
}

// spaced reports whether token i is a dash with space around it that ends a clause: it does
// not after a number, "2 - 96", or the name of an item, "slurs - clean".
func (p *parser) spaced(i int) bool {
	t := &p.toks[i]
	if t.sign != '-' || t.glued || i == 0 || i+1 == len(p.toks) || p.toks[i+1].glued {
		return false
	}
	return p.toks[i-1].kind != numberToken && !p.is(len(p.marks)-1, itemsSense)
}

// signMeans returns what a sign means by itself.
func signMeans(sign rune) sense {
	switch sign {
	case '\n', '!', '¿', '.', ellipsis:
		return stopSense
	case '?':
		return querySense
	case ',', ';', '(', ')', '[', ']', '|', '•', '·', '"', '“', '”', '„', '«', '»':
		return breakSense
	case ':':
		return colonSense
	case '{', '}':
		return tagSense
	}
	return signSense
}

// phraseAt returns the meaning of the longest phrase that begins at token i and
// how many tokens it has: with its accents as written, unless a longer one is there
// without, as where the ñ is typed and no accent is. Words that
// are in no phrase have none.
func (p *parser) phraseAt(i int) (best meaning, n int) {
	best, n = p.phrase(0, i, len(p.toks), func(t *token) wordID { return t.word })
	if plain, k := p.phrase(0, i, len(p.toks), plainWord); k > n {
		return plain, k
	}
	return best, n
}

// splitAt returns the meaning of the phrase that begins at token i and goes on after its items,
// "left 3 and 4 out", how many tokens it has before them, and those that end it. Of several it
// is the one with most before.
func (p *parser) splitAt(i int) (end meaning, n int, second span) {
	node := int32(0)
	for j := i; j < len(p.toks); j++ {
		next, ok := p.table.next[branch{node, p.toks[j].plain}]
		if !ok {
			break
		}
		node = next
		if gap := p.table.gaps[node]; gap != 0 {
			if meant, part := p.secondPart(gap, j+1); part.end > 0 {
				end, n, second = meant, j+1-i, part
			}
		}
	}
	return end, n, second
}

// secondPart returns the meaning of the phrase that ends after the items from token i on, gap
// being where its second part begins in the table, and the tokens of that part.
func (p *parser) secondPart(gap int32, i int) (end meaning, second span) {
	named := false
	for j := i; j < min(len(p.toks), i+reach-1); {
		end, n := p.phrase(gap, j, len(p.toks), plainWord)
		to := p.means(j, toSense) && p.figures(j+1)                 // played 2 through 4
		if _, k := p.phraseAt(j); named && n > 0 && k <= n && !to { // not "got 87 in my theory exam"
			return end, span{j, j + n}
		}
		_, n = p.nameAt(j)
		switch s := p.senseOf(p.toks[j].plain); {
		case n > 0, p.toks[j].kind == numberToken, s == skillSense, s == singleSense, s == numberSense, s == oneSense, s == keySense:
			named = true
		case s == andSense, s == orSense, s == articleSense, s == onSense, s == itemSense, s == fillerSense, s == minuteSense, s == daySense, to, p.toks[j].sign == ',', p.toks[j].sign == '-':
		default:
			return meaning{}, span{}
		}
		j += max(n, 1)
	}
	return meaning{}, span{}
}

// plainWord returns the word of a token without its accents.
func plainWord(t *token) wordID { return t.plain }

// phrase returns the meaning of the longest phrase among the tokens from i to to in the tree
// below node.
func (p *parser) phrase(node int32, i, to int, word func(*token) wordID) (best meaning, n int) {
	for j := i; j < to; j++ {
		next, ok := p.table.next[branch{node, word(&p.toks[j])}]
		if !ok {
			break
		}
		if node = next; p.table.ends[node].sense != unknown {
			best, n = p.table.ends[node], j+1-i
		}
	}
	return best, n
}

// identify looks the words and signs of the message up in the language's table.
func (p *parser) identify(l *lexer) {
	for i := range l.toks {
		t := &l.toks[i]
		word := l.buf[t.folded.start:t.folded.end]
		switch t.kind {
		case wordToken:
			t.plain, t.typo = p.table.find(word)
			if t.word = p.table.ids[string(l.buf[t.lower.start:t.lower.end])]; t.word == 0 {
				t.word = t.plain
			}
		case signToken:
			t.word = p.table.ids[string(word)]
			t.plain = t.word
		}
	}
}
