package discord

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Whatever is packed: no page is too long, and all that was written is there, in
// order.
func TestPack(t *testing.T) {
	letters := []rune("ab1 _*`<@#-.\\[]()|~>\n\n  é𝄞")
	rapid.Check(t, func(r *rapid.T) {
		blocks := rapid.SliceOfN(rapid.StringOfN(rapid.SampledFrom(letters), 1, 300, -1), 1, 6).Draw(r, "blocks")
		limit := rapid.IntRange(20, 200).Draw(r, "limit")
		pages := pack(blocks, "\n", limit, escape)
		for _, p := range pages {
			if n := size(p); n > limit {
				r.Fatalf("a page of %d, want at most %d: %q", n, limit, p)
			}
		}
		got, want := squeezed(unescaped(strings.Join(pages, "\n"))), squeezed(strings.Join(blocks, "\n"))
		if got != want {
			r.Fatalf("shown as %q, want %q", got, want)
		}
	})
}

// Words that fit a page are never cut.
func TestPackKeepsWords(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-z*_]{1,12}`), 1, 200).Draw(r, "words")
		limit := rapid.IntRange(40, 120).Draw(r, "limit")
		var got []string
		for _, p := range pack([]string{strings.Join(words, " ")}, "\n", limit, escape) {
			got = append(got, strings.Fields(unescaped(p))...)
		}
		if strings.Join(got, " ") != strings.Join(words, " ") {
			r.Fatalf("%q, want %q", got, words)
		}
	})
}

func unescaped(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) {
			i++
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

func squeezed(s string) string { return strings.Join(strings.Fields(s), "") }

func TestIDs(t *testing.T) {
	// The example of Discord's developer pages, "Snowflakes": made at
	// 2016-04-30 11:18:25.796 UTC.
	const id = "175928847299117063"
	if got := timeOf(id).Format("2006-01-02 15:04:05.000"); got != "2016-04-30 11:18:25.796" {
		t.Errorf("made at %s", got)
	}
	if low := idAt(timeOf(id)); later(low, id) || !later(id, low) || timeOf(low) != timeOf(id) {
		t.Errorf("the lowest id of that time is %s", low)
	}
	if !later("1000", "999") || later("999", "1000") || later("5", "5") {
		t.Error("ids of different lengths")
	}
}

func TestMessageOf(t *testing.T) {
	for id, want := range map[string]string{
		"12": "12", "press/12/34": "12", "react/12/34/✅/0": "12", "slash/34": "", "mark/12/x": "", "": "", "x": "",
	} {
		if got := messageOf(id); got != want {
			t.Errorf("%q is about %q, want %q", id, got, want)
		}
	}
}

// A long text with links: they stay whole, and what looks like one does not
// become one.
func TestEscapeLinks(t *testing.T) {
	for text, want := range map[string]string{
		"see https://example.org/a_b_c?x=1#y now": "see https://example.org/a_b_c?x=1#y now",
		"[x](https://example.org)":                `\[x\](https://example.org)`,
		"<https://example.org>":                   `\<https://example.org\>`,
		"https://example.org/*a*":                 `https://example.org/\*a\*`,
		"https://a@evil.example":                  `https://a\@evil.example`,
		"1. one\n- two\n  # three\n10) ten":       "1\\. one\n\\- two\n  \\# three\n10\\) ten",
		"-# small\n>quote\n1.5 times":             "\\-# small\n\\>quote\n1\\.5 times",
	} {
		if got := escape(text); got != want {
			t.Errorf("escape(%q) = %q, want %q", text, got, want)
		}
	}
}
