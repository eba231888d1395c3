package reply

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A tokenKind is what a token is made of.
type tokenKind uint8

const (
	wordToken   tokenKind = iota // letters
	numberToken                  // decimal digits of any script
	signToken                    // one other character, or an arrow, or dots
	quoteToken                   // ⟦…⟧: text to be taken as it is
	tagToken                     // <b>, </b>: markup
)

// The signs that stand for several spellings of the same thing.
const (
	arrow    = '→'
	ellipsis = '…'
	quoteIn  = '⟦'
	quoteOut = '⟧'
)

// A token is the smallest piece of a message that means anything.
type token struct {
	start, end int // bytes of the message
	kind       tokenKind
	glued      bool    // nothing stands between it and the token before
	folded     span    // the word in lower case without accents, in lexer.buf
	lower      span    // the word in lower case with its accents; empty if it has none
	word       wordID  // 0: not in the language's table
	plain      wordID  // the same word without its accents
	typo       bool    // word is one edit away from what was written
	sign       rune    // of a signToken
	num        float64 // of a numberToken
}

// A span is a stretch of a buffer.
type span struct{ start, end int }

// A lexer cuts text into tokens. Its slices are reused from one message to the
// next, so that reading allocates nothing for a token.
type lexer struct {
	toks []token
	buf  []byte // folded words, one after the other

	unended bool // no ⟧ is left in the text
}

// lex appends the tokens of text. White space only separates; so do hyphens and
// apostrophes between letters, so that "warm-up" is two words, as in "warm up".
func (l *lexer) lex(text string) {
	end := -1
	l.unended = false
	for at := 0; at < len(text); {
		r, size := utf8.DecodeRuneInString(text[at:])
		switch {
		case r == '\n':
			l.sign(at, at+1, r, false)
			at++
		case ignored(r):
			if at == end {
				end += size // a mark on the token before keeps it glued
			}
			at += size
		case r == utf8.RuneError || unicode.IsSpace(r):
			at += size
		default:
			glued := at == end
			at = l.token(text, at, r, size, glued)
			end = at
			at += joiner(text, at)
		}
	}
}

// token appends the token at byte at of text and returns where it ends.
func (l *lexer) token(text string, at int, r rune, size int, glued bool) int {
	switch {
	case address(text[at:]):
		return l.addressAt(text, at, glued)
	case letter(r):
		return l.wordAt(text, at, glued)
	case unicode.Is(unicode.Nd, r):
		return l.numberAt(text, at, glued)
	case r == quoteIn:
		return l.quoteAt(text, at, glued)
	case r == '<':
		if n := tagLength(text[at:]); n > 0 {
			if !strings.ContainsRune("@#:", rune(text[at+1])) { // nobody is called, nor is it an emoji with a name
				l.toks = append(l.toks, token{start: at, end: at + n, kind: tagToken})
			}
			return at + n
		}
	}
	if strings.HasPrefix(text[at:], "..") {
		size = len(text[at:]) - len(strings.TrimLeft(text[at:], "."))
		r = ellipsis
	}
	if (dash(r) || r == '=') && strings.HasPrefix(text[at+size:], ">") {
		size++
		r = arrow
	}
	l.sign(at, at+size, sameSign(r), glued)
	return at + size
}

func (l *lexer) wordAt(text string, at int, glued bool) int {
	t := token{start: at, kind: wordToken, glued: glued, folded: span{start: len(l.buf)}}
	plain := true
	for at < len(text) {
		r, size := utf8.DecodeRuneInString(text[at:])
		if !letter(r) && !unicode.Is(unicode.M, r) {
			break
		}
		l.buf = fold(l.buf, r)
		plain = plain && r < utf8.RuneSelf
		at += size
	}
	t.end, t.folded.end = at, len(l.buf)
	if !plain {
		t.lower.start = len(l.buf)
		for _, r := range text[t.start:t.end] {
			l.buf = utf8.AppendRune(l.buf, unicode.ToLower(r))
		}
		t.lower.end = len(l.buf)
	}
	l.toks = append(l.toks, t)
	return at
}

// address reports whether text begins with the address of a page.
func address(text string) bool {
	return strings.HasPrefix(text, "http://") || strings.HasPrefix(text, "https://") || strings.HasPrefix(text, "www.")
}

// addressAt appends the address of a page as one word that nobody knows.
func (l *lexer) addressAt(text string, at int, glued bool) int {
	end := len(text)
	if n := strings.IndexFunc(text[at:], unicode.IsSpace); n >= 0 {
		end = at + n
	}
	l.toks = append(l.toks, token{start: at, end: end, kind: wordToken, glued: glued})
	return end
}

// folded returns the i-th token in lower case and without accents.
func (l *lexer) folded(i int) string {
	return string(l.buf[l.toks[i].folded.start:l.toks[i].folded.end])
}

// exact returns the i-th token in lower case.
func (l *lexer) exact(i int) string {
	if s := l.toks[i].lower; s != (span{}) {
		return string(l.buf[s.start:s.end])
	}
	return l.folded(i)
}

func (l *lexer) numberAt(text string, at int, glued bool) int {
	t := token{start: at, kind: numberToken, glued: glued}
	for at < len(text) {
		r, size := utf8.DecodeRuneInString(text[at:])
		if !unicode.Is(unicode.Nd, r) {
			break
		}
		if t.num < 1e9 {
			t.num = t.num*10 + float64(digit(r))
		}
		at += size
	}
	t.end = at
	l.toks = append(l.toks, t)
	return at
}

// quoteAt appends what stands between ⟦ and ⟧. Without an end, the bracket is an
// ordinary sign, and so are all that follow.
func (l *lexer) quoteAt(text string, at int, glued bool) int {
	inner := at + len(string(quoteIn))
	length := -1
	if !l.unended {
		length = strings.IndexRune(text[inner:], quoteOut)
	}
	if length < 0 {
		l.unended = true
		l.sign(at, inner, quoteIn, glued)
		return inner
	}
	l.toks = append(l.toks, token{start: inner, end: inner + length, kind: quoteToken})
	return inner + length + len(string(quoteOut))
}

// maxTag is the length in bytes of the longest markup that is recognized.
const maxTag = 200

// tagLength returns the length of the markup that text begins with, such as <b>,
// </b>, <@123> or <:smile:456>; 0 if it is none.
func tagLength(text string) int {
	text = text[:min(len(text), maxTag)]
	end := strings.IndexAny(text[1:], "<>\n") + 1
	if end < 2 || text[end] != '>' || !strings.ContainsRune("/!@#:", rune(text[1])) && !letter(rune(text[1])) {
		return 0
	}
	return end + 1
}

func (l *lexer) sign(start, end int, r rune, glued bool) {
	from := len(l.buf)
	l.buf = utf8.AppendRune(l.buf, r)
	l.toks = append(l.toks, token{start: start, end: end, kind: signToken, glued: glued, sign: r, folded: span{from, len(l.buf)}})
}

// joiner returns the length of a hyphen or apostrophe at byte at that stands
// between two letters.
func joiner(text string, at int) int {
	before, _ := utf8.DecodeLastRuneInString(text[:at])
	r, size := utf8.DecodeRuneInString(text[at:])
	if !letter(before) || !(dash(r) || apostrophe(r)) {
		return 0
	}
	if after, _ := utf8.DecodeRuneInString(text[at+size:]); letter(after) {
		return size
	}
	return 0
}

// letter reports whether r is a letter that words are made of; those of "2ª" are not.
func letter(r rune) bool {
	return r != 'ª' && r != 'º' && unicode.IsLetter(r)
}

func dash(r rune) bool { return r == '-' || r >= '‐' && r <= '―' || r == '−' }

func apostrophe(r rune) bool { return r == '\'' || r == '’' || r == '‘' || r == '´' || r == '`' }

// sameSign returns one sign for those that mean the same here.
func sameSign(r rune) rune {
	switch {
	case dash(r):
		return '-'
	case apostrophe(r) || r == '′':
		return '\''
	case r == '✕':
		return '×'
	case strings.ContainsRune("⇒⟶➜➔➡↗⇨", r):
		return arrow
	case r == '∼' || r == '≈' || r == '～':
		return '~'
	case r > 0xFF00 && r < 0xFF5F: // the full-width forms of ASCII
		return r - 0xFEE0
	case r == '、':
		return ','
	case r == '。':
		return '.'
	case r == '؟':
		return '?'
	}
	return r
}

// ignored reports whether r only changes the look of the character before it:
// emoji variations, skin tones, keycaps, joiners and marks of direction.
func ignored(r rune) bool {
	return r == 0x20E3 || r >= 0x1F3FB && r <= 0x1F3FF || unicode.In(r, unicode.Cf, unicode.Mn)
}

// digit returns the value of a decimal digit. Unicode keeps the ten digits of a
// script together and in order.
func digit(r rune) int {
	zero := r
	for unicode.Is(unicode.Nd, zero-1) {
		zero--
	}
	return int(r-zero) % 10
}
