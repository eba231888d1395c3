package charts

import (
	"slices"
	"testing"
	"unicode"

	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
)

func TestLegible(t *testing.T) {
	tests := []struct {
		in, shown string
		whole     bool
	}{
		{"Ada", "Ada", true},
		{"  Ada\t \nLovett ", "Ada Lovett", true},
		{"Łucja Żółć", "Łucja Żółć", true},
		{"Nguyễn Thị Ánh", "Nguyễn Thị Ánh", true},
		{"Ευδοκία", "Ευδοκία", true},
		{"Світлана", "Світлана", true},
		{"נעמה", "נעמה", true},
		{"e\u0301lodie", "élodie", true}, // composed
		{"Ada 🎺", "Ada", true},           // emoji is left out
		{"👩🏽‍🎤 Wren", "Wren", true},      // with skin tone, joiner and all
		{"Ada\u200b\u202e", "Ada", true}, // invisible
		{"山田花子", "…", false},
		{"Mei 美 Lin", "Mei … Lin", false},
		{"ليلى", "…", false},
		{"\u0301 Ada \u0488", "Ada", true}, // marks on nothing
		{"🎺", "", false},
		{"", "", false},
	}
	for _, tt := range tests {
		if shown, whole := legible(tt.in); shown != tt.shown || whole != tt.whole {
			t.Errorf("legible(%q) = %q, %v; want %q, %v", tt.in, shown, whole, tt.shown, tt.whole)
		}
	}
}

// The alphabets that the package promises, by the letters living languages
// write: those in use are checked one by one, in all three fonts.
func TestFontsHoldTheAlphabets(t *testing.T) {
	alphabets := map[string][2]rune{
		"Latin":                     {'A', 'z'},
		"Latin-1":                   {'À', 'ÿ'},
		"Latin Extended-A":          {'Ā', 'ž'},
		"Latin Extended Additional": {'Ạ', 'ỹ'}, // Vietnamese
		"Greek":                     {'Ά', 'ώ'},
		"Cyrillic":                  {'Ѐ', 'џ'},
		"Hebrew":                    {'א', 'ת'},
	}
	for name, ends := range alphabets {
		for r := ends[0]; r <= ends[1]; r++ {
			if unicode.IsLetter(r) && !inAll(r) {
				t.Errorf("%s: no glyph for %c (%U)", name, r, r)
			}
		}
	}
	for _, r := range ellipsis + "0123456789.,:;-–—’‘“”„«»&()'\"/=" {
		if !inAll(r) {
			t.Errorf("no glyph for %c (%U)", r, r)
		}
	}
}

// inAll reports whether every font has a glyph for r.
func inAll(r rune) bool {
	fonts := []*opentype.Font{roman(), italic(), bold()}
	return !slices.ContainsFunc(fonts, func(f *opentype.Font) bool {
		glyph, err := f.GlyphIndex(&sfnt.Buffer{}, r)
		return err != nil || glyph == 0
	})
}

// Hebrew is read from right to left; what is set from left to right must be in
// the opposite order.
func TestVisualOrder(t *testing.T) {
	tests := []struct{ in, want string }{
		{"Ada Lovett 2", "Ada Lovett 2"},
		{"אבג", "גבא"},
		{"אבג דהו", "והד גבא"},
		{"Ada אבג", "Ada גבא"},
		{"אבג Ada", "Ada גבא"},
		{"", ""},
	}
	for _, tt := range tests {
		if got := visual(tt.in); got != tt.want {
			t.Errorf("visual(%q) = %q, want %q", tt.in, got, tt.want)
		}
	}
}

func TestCut(t *testing.T) {
	f := nameFace()
	long := "Marguerite Oldcastle-Vane"
	if got := f.cut(long, 1000); got != long {
		t.Errorf("cut to 1000 pixels: %q, want it whole", got)
	}
	for _, allowed := range []float64{40, 100, 160, 200} {
		got := f.cut(long, allowed)
		if f.width(got) > allowed || []rune(got)[len([]rune(got))-1] != '…' {
			t.Errorf("cut to %v pixels: %q, %v wide", allowed, got, f.width(got))
		}
	}
	if got, want := f.cut("Marguerite Oldcastle", f.width("Marguerite …")), "Marguerite…"; got != want {
		t.Errorf("cut after a space: %q, want %q", got, want)
	}
}

func TestWrap(t *testing.T) {
	f := titleFace()
	text := "Twelve Harbour Pieces 7, line 1 to the end Rindfleischetikettierungsüberwachungsaufgabenübertragungsgesetz"
	lines := f.wrap(text, 300)
	if len(lines) < 4 {
		t.Fatalf("wrapped to %q, want more lines", lines)
	}
	for _, line := range lines {
		if w := f.width(line); w > 300 {
			t.Errorf("%q is %v wide, want 300 at most", line, w)
		}
	}
	if got := f.wrap("", 300); len(got) != 0 {
		t.Errorf("nothing wraps to %q", got)
	}
}

// A picture is shown 360 CSS pixels wide on a phone; letters under 11 are hard
// to read there.
func TestSmallestLetters(t *testing.T) {
	for _, f := range []typeface{titleFace(), nameFace(), figureFace(), strongFace(), captionFace(), dateFace()} {
		if css := float64(f.face.Font.Size) * 360 / pageWidth; css < 11 {
			t.Errorf("%s is set at %v CSS pixels, want 11 or more", f.face.Font.Name(), css)
		}
	}
}
