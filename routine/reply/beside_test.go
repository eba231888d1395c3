package reply_test

import (
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// TestBeside puts replies of the corpus beside others: talk, a greeting, thanks and a
// question change nothing, a day over them makes them of that day, minutes are added, and two
// reports of different items say what both say. It reports what share is read otherwise.
func TestBeside(t *testing.T) {
	b := beside{t: t, r: newReader(t), routines: map[string]*routine.Routine{}, talk: map[string][]sample{}, items: map[string][]sample{}}
	b.sort(corpus(t))
	random := rand.New(rand.NewPCG(3, 4))
	var tallies [len(neighbours)]score
	for range 10000 {
		s := b.reports[random.IntN(len(b.reports))]
		for i, n := range neighbours {
			text, want := n.put(&b, random, s)
			if text == "" {
				continue
			}
			got := b.r.Read(text, s.context(t, b.routines))
			exact := sameReadings(got, want)
			tallies[i].add(exact, !asks(got))
			if !exact && testing.Verbose() {
				t.Logf("%s: %q (%s, %s)\n got %s\nwant %s", n.name, text, s.Routine, s.Lang, brief(got), brief(want))
			}
		}
	}
	for i, n := range neighbours {
		sc := tallies[i]
		t.Logf("%-16s %5d messages, %6.2f %% read alike, %5.2f %% silently otherwise", n.name, sc.total, 100*sc.exactShare(), 100*sc.silentShare())
		if sc.total < 300 {
			t.Errorf("%s: only %d messages tried", n.name, sc.total)
		}
		if 100*sc.silentShare() > n.most {
			t.Errorf("%s: %.2f %% silently read otherwise, want %v %% at most", n.name, 100*sc.silentShare(), n.most)
		}
	}
}

// beside holds the replies that are put beside each other.
type beside struct {
	t        *testing.T
	r        *reply.Reader
	routines map[string]*routine.Routine
	reports  []sample            // of one day, with nothing to be asked
	talk     map[string][]sample // by language
	items    map[string][]sample // reports of today's items alone, by routine and language
}

// sort keeps the replies that are read as they should be.
func (b *beside) sort(all []sample) {
	for _, s := range all {
		if s.Last != nil || len(s.Want) != 1 || greeting[s.Lang] == "" || strings.ContainsAny(s.Text, "?<{⟦\n") || !sameReadings(b.r.Read(s.Text, s.context(b.t, b.routines)), s.Want) {
			continue
		}
		switch w := s.Want[0]; {
		case w.Kind == reply.Chat:
			b.talk[s.Lang] = append(b.talk[s.Lang], s)
		case w.Kind != reply.Report || len(w.Ask) > 0:
			continue
		case len(w.Items) > 0 && w.All == "" && w.Excused == "" && w.Minutes == 0 && w.Feel == "" && !w.Pain && w.Day == s.Today:
			b.items[s.Routine+s.Lang] = append(b.items[s.Routine+s.Lang], s)
			fallthrough
		default:
			b.reports = append(b.reports, s)
		}
	}
}

// ofToday finds what is said of today in words that say more than that.
var ofToday = regexp.MustCompile(`(?i)today|tonight|tonite|now|morning|heut|hüt|jetzt|soir|matin|auj|hoy|oy |noche|mañana|tarde`)

var (
	greeting  = map[string]string{"en": "Hi Odile", "de": "Hallo Odile", "fr": "Bonjour Odile", "es": "Hola Odile"}
	but       = map[string]string{"en": " but ", "de": ", aber ", "fr": " mais ", "es": " pero "}
	thanks    = map[string]string{"en": "Thanks!", "de": "Danke!", "fr": "Merci !", "es": "¡Gracias!"}
	yesterday = map[string]string{"en": "Yesterday: ", "de": "Gestern: ", "fr": "Hier : ", "es": "Ayer : "}
	question  = map[string]string{
		"en": "Could I take 2 slower tomorrow?", "de": "Darf ich die 2 morgen langsamer spielen?",
		"fr": "Est-ce que je peux jouer la 2 plus lentement demain ?", "es": "¿Puedo tocar la 2 más lento mañana?",
	}
)

// neighbours are what is put beside a report, and how, and how many readings in a
// hundred may change by it, unasked. An empty text is left out.
var neighbours = [...]struct {
	name string
	most float64
	put  func(b *beside, random *rand.Rand, s sample) (text string, want []reply.Reading)
}{
	{"talk before", 1, func(b *beside, random *rand.Rand, s sample) (string, []reply.Reading) {
		return b.talkFor(random, s) + ". " + s.Text, s.Want
	}},
	{"talk after", 1, func(b *beside, random *rand.Rand, s sample) (string, []reply.Reading) {
		return unended(s.Text) + ". " + b.talkFor(random, s), s.Want
	}},
	{"talk and a comma", 4, func(b *beside, random *rand.Rand, s sample) (string, []reply.Reading) {
		return b.talkFor(random, s) + ", " + s.Text, s.Want
	}},
	{"talk, but", 4, func(b *beside, random *rand.Rand, s sample) (string, []reply.Reading) {
		return b.talkFor(random, s) + but[s.Lang] + s.Text, s.Want
	}},
	{"greeting", 1, func(_ *beside, _ *rand.Rand, s sample) (string, []reply.Reading) {
		return greeting[s.Lang] + ", " + s.Text, s.Want
	}},
	{"thanks", 1, func(_ *beside, _ *rand.Rand, s sample) (string, []reply.Reading) {
		return unended(s.Text) + ". " + thanks[s.Lang], s.Want
	}},
	{"question", 1, func(_ *beside, _ *rand.Rand, s sample) (string, []reply.Reading) {
		return unended(s.Text) + ". " + question[s.Lang], s.Want
	}},
	{"minutes", 1, func(_ *beside, _ *rand.Rand, s sample) (string, []reply.Reading) {
		w := s.Want[0]
		if w.Minutes > 0 || w.All == reply.None || w.Excused != "" || w.Day != s.Today {
			return "", nil
		}
		w.Minutes = 35
		return unended(s.Text) + ". 35 min", []reply.Reading{w}
	}},
	{"a day over it", 1, func(b *beside, _ *rand.Rand, s sample) (string, []reply.Reading) {
		w := s.Want[0]
		dated := slices.ContainsFunc(b.r.Explain(s.Text, s.context(b.t, b.routines)), func(w reply.Word) bool { return w.As == "day" })
		if w.Day != s.Today || dated || ofToday.MatchString(s.Text) {
			return "", nil
		}
		w.Day--
		return yesterday[s.Lang] + s.Text, []reply.Reading{w}
	}},
	{"another report", 1, func(b *beside, random *rand.Rand, s sample) (string, []reply.Reading) {
		all := b.items[s.Routine+s.Lang]
		if !slices.ContainsFunc(all, func(o sample) bool { return o.ID == s.ID }) {
			return "", nil
		}
		other := all[random.IntN(len(all))]
		w, items := s.Want[0], other.Want[0].Items
		w.Items = slices.Concat(w.Items, items)
		slices.SortFunc(w.Items, byNumber)
		for i := 1; i < len(w.Items); i++ {
			if w.Items[i].N == w.Items[i-1].N {
				return "", nil
			}
		}
		return s.Text + "\n" + other.Text, []reply.Reading{w}
	}},
}

// talkFor returns talk that is talk against the routine of s too.
func (b *beside) talkFor(random *rand.Rand, s sample) string {
	all := b.talk[s.Lang]
	for {
		talk := all[random.IntN(len(all))].Text
		if b.r.Read(talk, s.context(b.t, b.routines))[0].Kind == reply.Chat {
			return unended(talk)
		}
	}
}

// unended returns a text without the signs that end it.
func unended(text string) string { return strings.TrimRight(text, ".!… ") }
