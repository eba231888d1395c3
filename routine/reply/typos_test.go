package reply_test

import (
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"unicode"

	"ledgerline/routine/reply"
	"pgregory.net/rapid"
)

// TestTypos makes one typing error in one word of random clauses and reports what share
// is still read alike: most of all that must not be read otherwise without a question.
func TestTypos(t *testing.T) {
	r := newReader(t)
	type message struct {
		c    reply.Context
		text string
		want reply.Reading
	}
	names := []string{"monday", "ferry", "fullday", "evening", "quay"}
	routines := routinesOf(t, names...)
	messages := rapid.Custom(func(t *rapid.T) message {
		set := rapid.SampledFrom(names).Draw(t, "routine")
		lang := rapid.SampledFrom([]string{"en", "de", "fr", "es"}).Draw(t, "lang")
		c := reply.Context{Routine: routines[set], Today: today, Lang: lang}
		want, text := clauses(t, c.Routine, grammars[lang])
		return message{c, text, want}
	})
	random := rand.New(rand.NewPCG(5, 6))
	var sc score
	for seed := range 3000 {
		m := messages.Example(seed)
		text := mistyped(random, m.text)
		if text == m.text {
			continue
		}
		got := r.Read(text, m.c)
		exact := len(got) == 1 && reflect.DeepEqual(kept(got[0]), m.want)
		sc.add(exact, !asks(got))
		if !exact && testing.Verbose() {
			t.Logf("%q (%s)\n got %s\nwant %s", text, m.c.Lang, brief(got), brief([]reply.Reading{m.want}))
		}
	}
	t.Logf("%d messages, %.2f %% read alike, %.2f %% silently otherwise", sc.total, 100*sc.exactShare(), 100*sc.silentShare())
	if sc.total < 2000 || sc.exactShare() < 0.94 || sc.silentShare() > 0.04 {
		t.Errorf("%d messages, %.2f %% read alike and %.2f %% silently otherwise; want 2000, 94 %% and 4 %%", sc.total, 100*sc.exactShare(), 100*sc.silentShare())
	}
}

// mistyped makes a typing error in a word of five plain letters or more, not in its
// first: a letter left out, two that changed places, or one typed twice.
func mistyped(random *rand.Rand, text string) string {
	long := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) })
	n := 0
	for _, w := range long {
		if len(w) >= 5 && len(w) == len([]rune(w)) {
			long[n], n = w, n+1
		}
	}
	if n == 0 {
		return text
	}
	w := long[random.IntN(n)]
	k := 1 + random.IntN(len(w)-2)
	bad := [...]string{w[:k] + w[k+1:], w[:k] + w[k+1:k+2] + w[k:k+1] + w[k+2:], w[:k] + w[k-1:k] + w[k:]}[random.IntN(3)]
	return strings.Replace(text, w, bad, 1)
}
