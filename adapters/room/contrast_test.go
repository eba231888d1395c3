package room

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Text can be read on every ground it is put on, in both schemes: the contrast is
// at least 4.5 to 1, as success criterion 1.4.3 of WCAG 2.2 asks, and 3 to 1 for
// the edges of controls, as 1.4.11 asks.
func TestContrast(t *testing.T) {
	light, dark := palettes(t)
	for scheme, colours := range map[string]map[string]string{"light": light, "dark": dark} {
		for _, pair := range []struct {
			text, ground string
			want         float64
		}{
			{"ink", "paper", 4.5}, {"ink", "leaf", 4.5}, {"ink", "grave-leaf", 4.5},
			{"grey", "paper", 4.5}, {"grey", "leaf", 4.5}, {"grey", "grave-leaf", 4.5},
			{"pencil", "paper", 4.5}, {"act", "paper", 4.5}, {"act", "leaf", 4.5}, {"act-ink", "act", 4.5},
			{"grave", "paper", 4.5}, {"grave", "grave-leaf", 4.5},
			{"rule-strong", "paper", 3}, {"rule-strong", "leaf", 3}, {"margin", "paper", 3},
		} {
			if got := contrast(t, colours[pair.text], colours[pair.ground]); got < pair.want {
				t.Errorf("%s: %s on %s has contrast %.2f, want %.1f", scheme, pair.text, pair.ground, got, pair.want)
			}
		}
	}
}

// Black on white is 21 to 1, and #767676 the lightest grey that passes on white.
func TestContrastFormula(t *testing.T) {
	for pair, want := range map[[2]string]string{{"#000000", "#ffffff"}: "21.00", {"#767676", "#ffffff"}: "4.54"} {
		if got := fmt.Sprintf("%.2f", contrast(t, pair[0], pair[1])); got != want {
			t.Errorf("contrast of %v is %s, want %s", pair, got, want)
		}
	}
}

func palettes(t *testing.T) (light, dark map[string]string) {
	t.Helper()
	css, err := pageFS.ReadFile("page/sheet.css")
	if err != nil {
		t.Fatal(err)
	}
	first, second, found := strings.Cut(string(css), "prefers-color-scheme: dark")
	if !found {
		t.Fatal("no dark scheme in the style sheet")
	}
	variable := regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6});`)
	read := func(s string) map[string]string {
		colours := map[string]string{}
		for _, m := range variable.FindAllStringSubmatch(s, -1) {
			colours[m[1]] = m[2]
		}
		return colours
	}
	return read(first), read(second)
}

// contrast returns the contrast ratio of two colours as WCAG 2.2 defines it.
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	if err != nil {
		t.Fatalf("colour %q: %v", colour, err)
	}
	linear := func(c uint64) float64 {
		v := float64(c&0xff) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(n>>16) + 0.7152*linear(n>>8) + 0.0722*linear(n)
}
