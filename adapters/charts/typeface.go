package charts

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-fonts/liberation/liberationserifbold"
	"codeberg.org/go-fonts/liberation/liberationserifitalic"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/bidi"
	"golang.org/x/text/unicode/norm"
	"gonum.org/v1/plot/font"
)

// A typeface is a font at one size, in pixels.
type typeface struct{ face font.Face }

// The fonts, parsed once.
var (
	roman  = sync.OnceValue(func() *opentype.Font { return parse(liberationserifregular.TTF) })
	italic = sync.OnceValue(func() *opentype.Font { return parse(liberationserifitalic.TTF) })
	bold   = sync.OnceValue(func() *opentype.Font { return parse(liberationserifbold.TTF) })
)

// parse reads a font that is compiled in, so that failing is a mistake of the
// build.
func parse(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("charts: font compiled in: " + err.Error())
	}
	return f
}

func at(f *opentype.Font, size float64) typeface {
	return typeface{font.Face{Font: font.Font{Size: font.Length(size)}, Face: f}}
}

// The typefaces in use. Two pixels here are one CSS pixel on a phone.
func titleFace() typeface   { return at(bold(), 33) }
func nameFace() typeface    { return at(roman(), 27) }
func figureFace() typeface  { return at(roman(), 26) }
func strongFace() typeface  { return at(bold(), 27) }
func captionFace() typeface { return at(italic(), 25) }
func dateFace() typeface    { return at(italic(), smallest) }

// smallest is the size of the smallest letters.
const smallest = 23

// width returns how wide a line is, in pixels.
func (t typeface) width(line string) float64 { return float64(t.face.Width(line)) }

const ellipsis = "…"

// cut shortens a line that is wider than allowed, and ends it with an ellipsis.
func (t typeface) cut(line string, allowed float64) string {
	if t.width(line) <= allowed {
		return line
	}
	runes := []rune(line)
	for n := len(runes) - 1; n > 0; n-- {
		short := strings.TrimRightFunc(string(runes[:n]), unicode.IsSpace) + ellipsis
		if t.width(short) <= allowed {
			return short
		}
	}
	return ellipsis
}

// wrap breaks a text into lines no wider than allowed, between words where it
// can.
func (t typeface) wrap(text string, allowed float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		joined := strings.TrimSpace(line + " " + word)
		if t.width(joined) <= allowed {
			line = joined
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		var broken []string
		broken, line = t.breakWord(word, allowed)
		lines = append(lines, broken...)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// breakWord breaks a word that is wider than a line into full lines and a rest.
func (t typeface) breakWord(word string, allowed float64) (full []string, rest string) {
	for _, r := range word {
		if rest != "" && t.width(rest+string(r)) > allowed {
			full, rest = append(full, rest), ""
		}
		rest += string(r)
	}
	return full, rest
}

// legible returns s as far as the typeface has letters for it: composed, without
// what is invisible and without emoji, and with an ellipsis for each run of
// letters it lacks. whole is false if letters are lacking or nothing is left.
func legible(s string) (shown string, whole bool) {
	var b strings.Builder
	var buf sfnt.Buffer
	lacking, gap := false, false
	for _, r := range norm.NFC.String(s) {
		glyph, err := roman().GlyphIndex(&buf, r)
		switch {
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case ornament(r), unicode.Is(unicode.M, r) && bare(b.String()):
		case err == nil && glyph != 0:
			b.WriteRune(r)
			gap = false
		case !gap:
			b.WriteString(ellipsis)
			lacking, gap = true, true
		}
	}
	shown = strings.Join(strings.Fields(b.String()), " ")
	return shown, !lacking && shown != ""
}

// ornament reports whether r can be left out of a name: controls, joiners,
// selectors, enclosing marks, emoji and their skin tones.
func ornament(r rune) bool {
	return unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Me, unicode.So, unicode.Sk, unicode.Co, unicode.Variation_Selector)
}

// bare reports whether s ends without a letter that a mark could go with.
func bare(s string) bool {
	r, _ := utf8.DecodeLastRuneInString(s)
	return !unicode.In(r, unicode.L, unicode.M)
}

// visual returns a line in the order its letters stand from left to right, by
// the Unicode bidirectional algorithm (Unicode Standard Annex 9).
func visual(line string) string {
	var p bidi.Paragraph
	if _, err := p.SetString(line); err != nil {
		return line
	}
	order, err := p.Order()
	if err != nil || order.NumRuns() == 0 || order.NumRuns() == 1 && order.Direction() == bidi.LeftToRight {
		return line
	}
	runs := make([]string, order.NumRuns())
	for i := range runs {
		run, at := order.Run(i), i
		if order.Direction() == bidi.RightToLeft {
			at = len(runs) - 1 - i
		}
		runs[at] = run.String()
		if run.Direction() == bidi.RightToLeft {
			runs[at] = bidi.ReverseString(runs[at])
		}
	}
	return strings.Join(runs, "")
}
