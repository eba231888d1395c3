package reply_test

import (
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// denials are what takes away from a good word, GOOD, so that what is said is not that it
// went well.
var denials = map[string]struct{ frames, good []string }{
	"en": {
		[]string{"not GOOD", "wasn't GOOD", "hardly GOOD", "never GOOD", "almost GOOD", "nearly GOOD", "anything but GOOD", "far from GOOD", "not exactly GOOD", "not entirely GOOD", "not always GOOD", "not really GOOD", "doesn't sound GOOD", "could be GOOD", "no longer GOOD", "isn't GOOD yet"},
		[]string{"clean", "solid", "tidy", "spotless", "accurate"},
	},
	"de": {
		[]string{"nicht GOOD", "war nicht GOOD", "kaum GOOD", "nie GOOD", "fast GOOD", "alles andere als GOOD", "weit entfernt von GOOD", "nicht immer GOOD", "nicht mehr GOOD", "keineswegs GOOD", "nicht wirklich GOOD", "klingt nicht GOOD"},
		[]string{"sauber", "sicher", "fehlerfrei", "tadellos"},
	},
	"fr": {
		[]string{"pas GOOD", "n'était pas GOOD", "guère GOOD", "jamais GOOD", "presque GOOD", "tout sauf GOOD", "loin d'être GOOD", "pas toujours GOOD", "pas si GOOD", "à peine GOOD", "moins GOOD", "plus du tout GOOD", "pourrait être plus GOOD"},
		[]string{"propre", "impeccable", "nickel"},
	},
	"es": {
		[]string{"no GOOD", "no estuvo GOOD", "apenas GOOD", "nunca GOOD", "casi GOOD", "lejos de GOOD", "no siempre GOOD", "no tan GOOD", "no exactamente GOOD", "poco GOOD", "podría estar más GOOD"},
		[]string{"sólido", "perfecta", "impecable"},
	},
}

// TestDenials has something taken away from all kinds of good words: none of them may be
// read as clean or done; what is not asked about is shaky or missed.
func TestDenials(t *testing.T) {
	r := newReader(t)
	for lang, d := range denials {
		c := reply.Context{Routine: decode(t, monday), Today: today, Lang: lang}
		badly := 0
		for _, frame := range d.frames {
			for _, good := range d.good {
				text := "2 " + strings.ReplaceAll(frame, "GOOD", good)
				got := r.Read(text, c)
				switch {
				case len(got) != 1 || len(got[0].Items)+len(got[0].Ask) != 1:
					t.Errorf("%q (%s) reads as %s", text, lang, brief(got))
				case len(got[0].Ask) > 0:
				case got[0].Items[0].N != 2 || got[0].Items[0].Outcome != routine.Shaky && got[0].Items[0].Outcome != routine.Missed:
					t.Errorf("%q (%s) reads as %s, which is not that it went badly", text, lang, brief(got))
				default:
					badly++
				}
			}
		}
		if all := len(d.frames) * len(d.good); 10*badly < 8*all {
			t.Errorf("%s: %d of %d were read without a question", lang, badly, all)
		}
	}
}

// unreached are sentences about item 3, which was not played at 96, by language.
var unreached = map[string][]string{
	"en": {"3 not at 96 yet", "3 still not 96", "3 not up to 96 yet", "3 can't make it to 96", "3 couldn't get to 96", "3 didn't reach 96", "3 didn't make it to 96", "3 never got to 96", "3 won't go to 96", "3 doesn't go at 96", "3 can't play it at 96", "3 failed to reach 96", "3 96 not reached", "3 96 no"},
	"de": {"3 noch nicht auf 96", "3 nicht bis 96 gekommen", "3 96 nicht erreicht", "3 schaffe 96 nicht", "3 komme nicht auf 96", "3 bei 96 nicht geschafft", "3 96 ging nicht", "3 bei 96 nicht", "die 3 auf 96 noch nicht"},
	"fr": {"3 pas encore à 96", "3 pas arrivé à 96", "3 je n'arrive pas à 96", "3 pas réussi à 96", "3 96 pas atteint", "la 3 à 96 non", "la 3 pas à 96"},
	"es": {"3 todavía no a 96", "3 no llegué a 96", "3 no me sale a 96", "3 no pude a 96", "3 no llego a 96", "3 96 no alcanzado", "la 3 a 96 no"},
}

// TestUnreached denies a tempo: it must not be read as one that was played.
func TestUnreached(t *testing.T) {
	r := newReader(t)
	for lang, sentences := range unreached {
		c := reply.Context{Routine: decode(t, monday), Today: today, Lang: lang}
		for _, text := range sentences {
			got := r.Read(text, c)
			if len(got) != 1 || len(got[0].Items)+len(got[0].Ask) != 1 {
				t.Errorf("%q (%s) reads as %s", text, lang, brief(got))
				continue
			}
			for _, item := range got[0].Items {
				if item.N != 3 || item.Tempo != nil && item.Outcome != routine.Missed && item.Outcome != routine.Skipped {
					t.Errorf("%q (%s) reads as %s, which is that it was played at 96", text, lang, brief(got))
				}
			}
		}
	}
}
