package reply_test

import (
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// FuzzWords puts words of the language files beside items, in any order, and checks what must
// hold whatever is written. Such messages say little, but each rule meets words that it does
// not expect: "3 half of 4" ended the program once.
func FuzzWords(f *testing.F) {
	for seed := range uint64(2000) {
		f.Add(seed)
	}
	r := newReader(f)
	set := decode(f, monday)
	langs := []string{"en", "de", "fr", "es"}
	words := map[string][][]string{}
	for _, lang := range langs {
		words[lang] = phrases(f, lang)
	}
	items := []string{"1", "2", "3", "4", "9", "1-3", "slurs", "gulls", "l14", "Eb", "88", "q=84", "12 min", "2x"}
	between := []string{" ", " ", " ", ", ", ". ", ": ", "\n"}
	f.Fuzz(func(t *testing.T, seed uint64) {
		random := rand.New(rand.NewPCG(seed, 7))
		any := func(list []string) string { return list[random.IntN(len(list))] }
		lang := any(langs)
		var text strings.Builder
		for range 2 + random.IntN(8) {
			if random.IntN(3) == 0 {
				text.WriteString(any(items))
			} else {
				senses := words[lang]
				text.WriteString(any(senses[random.IntN(len(senses))]))
			}
			text.WriteString(any(between))
		}
		c := reply.Context{Routine: set, Previous: set, Today: today, Lang: lang}
		if random.IntN(4) == 0 {
			c.Last = &reply.Reading{Kind: reply.Report, Day: today, Items: []reply.Item{{N: 2, Outcome: routine.Clean}, {N: 3, Outcome: routine.Skipped}}}
		}
		check(t, r, text.String(), c)
	})
}

// phrases returns the words and phrases of a language file, by their senses.
func phrases(tb testing.TB, lang string) (all [][]string) {
	data, err := os.ReadFile("lang/" + lang + ".txt")
	if err != nil {
		tb.Fatal(err)
	}
	at := map[string]int{}
	for line := range strings.Lines(string(data)) {
		sense, list, ok := strings.Cut(strings.TrimSpace(line), ":")
		if !ok || strings.HasPrefix(line, "#") || strings.HasPrefix(sense, "spelled") {
			continue
		}
		i, known := at[sense]
		if !known {
			i, at[sense] = len(all), len(all)
			all = append(all, nil)
		}
		for phrase := range strings.SplitSeq(list, ",") {
			all[i] = append(all[i], strings.ReplaceAll(strings.TrimSpace(phrase), "…", "3"))
		}
	}
	return all
}
