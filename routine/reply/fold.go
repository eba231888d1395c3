package reply

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// accented and plain list the accented letters of the languages written in
// Latin letters beside the letters that players type for them on a phone.
const (
	accented = "àáâãäåāăąçćčďèéêëēėęěìíîïīįıłñńňòóôõöøōőřśšşťùúûüūůűųýÿźżž"
	plain    = "aaaaaaaaacccdeeeeeeeeiiiiiiilnnnooooooooorssstuuuuuuuuyyzzz"
)

// foldAll returns text in lower case and without accents.
func foldAll(text string) string {
	buf := make([]byte, 0, len(text))
	for _, r := range text {
		buf = fold(buf, r)
	}
	return string(buf)
}

// fold appends r in lower case and without its accent. Combining accents are
// dropped; ß is ss, æ is ae, œ is oe.
func fold(buf []byte, r rune) []byte {
	if r < utf8.RuneSelf {
		if 'A' <= r && r <= 'Z' {
			r += 'a' - 'A'
		}
		return append(buf, byte(r))
	}
	if r >= 'Ａ' && r <= 'ｚ' && unicode.IsLetter(r) {
		return fold(buf, r-0xFEE0)
	}
	switch r = unicode.ToLower(r); {
	case unicode.Is(unicode.Mn, r):
		return buf
	case r == 'ß':
		return append(buf, "ss"...)
	case r == 'æ':
		return append(buf, "ae"...)
	case r == 'œ':
		return append(buf, "oe"...)
	}
	if i := strings.IndexRune(accented, r); i >= 0 {
		return append(buf, plain[utf8.RuneCountInString(accented[:i])])
	}
	return utf8.AppendRune(buf, r)
}
