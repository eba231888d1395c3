package discord

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf16"
)

// size returns the length of s as Discord's limits count it at most: in UTF-16
// units, which are never fewer than characters.
func size(s string) int {
	n := 0
	for _, r := range s {
		n += max(1, utf16.RuneLen(r))
	}
	return n
}

// markup are the characters that mean something to Discord anywhere in a line:
// emphasis, code, spoilers, links, and the beginnings of mentions.
const markup = "\\`*_~|[]<>@"

var (
	// link is an address as people write it, without any character that could
	// end it in Discord's eyes and begin something else.
	link = regexp.MustCompile("https?://[^\\s\\\\`*~|\\[\\]<>@()\"]+")

	// opening is what makes a list, a heading or small print of a line.
	opening = regexp.MustCompile(`^(\s*)([-+#]|\d+[.)])`)
)

// escape returns words that Discord shows just as text reads, whatever text is.
// Addresses stay as they are, so that they can be opened.
func escape(text string) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		lines[i] = escapeLine(l)
	}
	return strings.Join(lines, "\n")
}

func escapeLine(l string) string {
	var b strings.Builder
	if m := opening.FindStringSubmatch(l); m != nil {
		mark := m[2]
		b.WriteString(m[1] + mark[:len(mark)-1] + "\\" + mark[len(mark)-1:])
		l = l[len(m[0]):]
	}
	last := 0
	for _, at := range link.FindAllStringIndex(l, -1) {
		escapeInto(&b, l[last:at[0]])
		b.WriteString(l[at[0]:at[1]])
		last = at[1]
	}
	escapeInto(&b, l[last:])
	return b.String()
}

func escapeInto(b *strings.Builder, s string) {
	for _, r := range s {
		switch {
		case strings.ContainsRune(markup, r):
			b.WriteByte('\\')
			b.WriteRune(r)
		default:
			b.WriteRune(printable(r))
		}
	}
}

// printable returns r, or a space for what would change how the text around it
// is shown: control characters and those that turn the direction of writing.
func printable(r rune) rune {
	if r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
		return ' '
	}
	return r
}

// bare returns text for a place where Discord reads no markup.
func bare(text string) string { return strings.Map(printable, text) }

// clip returns text of at most n UTF-16 units, cut at a word.
func clip(text string, n int) string {
	if size(text) <= n {
		return text
	}
	pieces := splitLine(text, n-1, func(s string) string { return s })
	return pieces[0] + "…"
}
