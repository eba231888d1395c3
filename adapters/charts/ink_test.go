package charts

import (
	"image/color"
	"math"
	"testing"
)

// luminance is the relative luminance of WCAG 2.1 (W3C Recommendation of 5 June
// 2018, definition "relative luminance").
func luminance(c color.RGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.03928 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// contrast is the contrast ratio of WCAG 2.1, from 1 to 21.
func contrast(a, b color.RGBA) float64 {
	l1, l2 := luminance(a), luminance(b)
	return (max(l1, l2) + 0.05) / (min(l1, l2) + 0.05)
}

var (
	white = color.RGBA{0xff, 0xff, 0xff, 0xff}
	black = color.RGBA{0, 0, 0, 0xff}
)

// WCAG 2.1 gives the ends of the scale. That #767676 is the lightest grey to
// reach 4.5 on white, and #777777 is not, is often quoted (from memory).
func TestContrastFormula(t *testing.T) {
	if got := contrast(black, white); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white is %v, want 21", got)
	}
	if got := contrast(white, white); got != 1 {
		t.Errorf("white on white is %v, want 1", got)
	}
	if got := contrast(color.RGBA{0x76, 0x76, 0x76, 0xff}, white); got < 4.5 {
		t.Errorf("#767676 on white is %v, want 4.5 or more", got)
	}
	if got := contrast(color.RGBA{0x77, 0x77, 0x77, 0xff}, white); got >= 4.5 {
		t.Errorf("#777777 on white is %v, want less than 4.5", got)
	}
}

// WCAG 2.1 asks for 7 between letters and their ground at level AAA (success
// criterion 1.4.6), 4.5 at AA (1.4.3), and 3 for signs needed to understand
// (1.4.11).
func TestPaletteContrast(t *testing.T) {
	tests := []struct {
		name string
		a, b color.RGBA
		want float64
	}{
		{"figures and names", ink, paper, 7},
		{"captions, bars and specks", pale, paper, 4.5},
		{"the goal's label", accent, paper, 4.5},
		{"the frame on a white chat", pale, white, 3},
		{"the paper on a black chat", paper, black, 3},
		{"the paper on a dark grey chat", paper, color.RGBA{0x30, 0x30, 0x30, 0xff}, 3},
	}
	for _, tt := range tests {
		got := contrast(tt.a, tt.b)
		t.Logf("%s: %.2f", tt.name, got)
		if got < tt.want {
			t.Errorf("%s: contrast %.2f, want %v or more", tt.name, got, tt.want)
		}
	}
}

// The rules must stay behind what lies on them.
func TestRuleIsQuiet(t *testing.T) {
	if got := contrast(rule, paper); got < 1.2 || got > 2 {
		t.Errorf("contrast of a rule on paper is %.2f, want 1.2 to 2", got)
	}
}
