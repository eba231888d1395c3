package reply_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"pgregory.net/rapid"
)

// A grammar is how one language makes clauses of items and what became of them, and
// sentences of clauses.
type grammar struct {
	before map[routine.Outcome][]string // what stands before items: "skipped 2"
	after  map[routine.Outcome][]string // what stands after them: "2 was rough"
	and    string                       // between the last two items of a list
	to     []string                     // between the first and the last of a range
	joints []string                     // between two clauses
	but    []string                     // between two clauses of which one says what was left out
	ends   []string                     // between a clause with its verb before its items and any other
	rest   []string                     // the items not named
	except []string                     // the whole routine, but for the items that follow
	only   []string                     // no more than the items that follow
	all    map[routine.Outcome][]string // the whole routine
	at     []string                     // a tempo
	skills map[routine.Skill][]string   // items by their skill
}

var grammars = map[string]grammar{
	"en": {
		before: map[routine.Outcome][]string{
			routine.Skipped: {"skipped", "forgot", "left out", "didn't do", "no time for", "didn't get to", "I skipped"},
			routine.Missed:  {"couldn't do", "couldn't play", "failed"},
			routine.Done:    {"did", "played", "practised", "worked on", "I did", "got through"},
			routine.Clean:   {"nailed"},
		},
		after: map[routine.Outcome][]string{
			routine.Clean: {"clean", "good", "was fine", "went well", "ok", "were clean", "nailed it"},
			routine.Shaky: {"shaky", "was rough", "so-so", "not great", "a bit messy", "were wobbly"}, routine.Missed: {"failed", "couldn't do it", "fell apart"},
			routine.Skipped: {"skipped", "not done", "forgot", "left out"}, routine.Done: {"done", "played"},
		},
		and: " and ", to: []string{"-", " to ", " through "}, joints: []string{", ", "; ", "\n", ". ", " and ", ", and ", ", then ", " / "}, but: []string{" but ", ", but ", ", "},
		ends: []string{". ", "; ", "\n", " but ", ", but "}, rest: []string{"the rest", "everything else", "the others", "rest"},
		except: []string{"all but", "everything except", "did all except", "everything but", "all done except", "did everything apart from"}, only: []string{"only", "just", "only did", "just did", "nothing but", "only managed"},
		all: map[routine.Outcome][]string{routine.Done: {"all done", "did everything", "did it all", "everything done"}, routine.Clean: {"all clean", "everything clean", "all of it was good"}},
		at:  []string{"at %d", "@%d", "@ %d", "at %d bpm", "tempo %d"},
		skills: map[routine.Skill][]string{
			routine.WarmUp: {"the warm-up", "warm up"}, routine.Flexibility: {"the slurs", "slurs"}, routine.Technique: {"the scales", "scales"},
			routine.Etude: {"the etude", "my etude"}, routine.Articulation: {"the tonguing", "articulation"}, routine.Range: {"the range study"}, routine.WarmDown: {"the warm-down", "warm down"},
		},
	},
	"de": {
		before: map[routine.Outcome][]string{
			routine.Skipped: {"ausgelassen:", "vergessen:", "keine Zeit für", "nicht gemacht:"},
			routine.Missed:  {"nicht geschafft:"},
			routine.Done:    {"gespielt:", "geübt:", "gemacht:", "gespielt habe ich"},
		},
		after: map[routine.Outcome][]string{
			routine.Clean: {"sauber", "gut", "lief gut", "war gut", "ging gut", "waren sauber", "hat geklappt"},
			routine.Shaky: {"wacklig", "war unsauber", "naja", "noch holprig", "nicht so gut"}, routine.Missed: {"nicht geschafft", "ging nicht", "hat nicht geklappt"},
			routine.Skipped: {"ausgelassen", "nicht gemacht", "vergessen", "weggelassen"}, routine.Done: {"gespielt", "gemacht", "geübt"},
		},
		and: " und ", to: []string{"-", " bis "}, joints: []string{", ", "; ", "\n", ". ", " und ", ", dann ", " / "}, but: []string{" aber ", ", aber ", ", "},
		ends: []string{". ", "; ", "\n"}, rest: []string{"der Rest", "alles andere", "die anderen", "Rest"},
		except: []string{"alles außer", "alles bis auf", "alles gemacht außer"}, only: []string{"nur", "bloß", "nur die"},
		all: map[routine.Outcome][]string{routine.Done: {"alles gemacht", "alles gespielt", "alles erledigt"}, routine.Clean: {"alles sauber", "alles lief gut"}},
		at:  []string{"bei %d", "auf %d", "mit %d", "@%d", "Tempo %d"},
		skills: map[routine.Skill][]string{
			routine.WarmUp: {"das Einspielen", "Einspielen"}, routine.Flexibility: {"die Bindungen", "Bindungen"}, routine.Technique: {"die Tonleitern", "Tonleitern"},
			routine.Etude: {"die Etüde", "meine Etüde"}, routine.Articulation: {"die Artikulation"}, routine.WarmDown: {"das Ausspielen"},
		},
	},
	"fr": {
		before: map[routine.Outcome][]string{
			routine.Skipped: {"j'ai sauté la", "oublié la", "pas fait la", "pas le temps pour la", "sauté"},
			routine.Missed:  {"pas réussi la", "raté la"},
			routine.Done:    {"j'ai fait la", "joué la", "fait", "j'ai travaillé la"},
		},
		after: map[routine.Outcome][]string{
			routine.Clean: {"propre", "bien", "était bien", "impeccable", "nickel"},
			routine.Shaky: {"hésitant", "bof", "moyen", "pas terrible", "un peu brouillon"}, routine.Missed: {"raté", "pas réussi", "impossible"},
			routine.Skipped: {"sauté", "pas fait", "oublié"}, routine.Done: {"fait", "joué", "travaillé"},
		},
		and: " et ", to: []string{"-", " à "}, joints: []string{", ", "; ", "\n", ". ", " et ", ", puis ", " / "}, but: []string{" mais ", ", mais ", ", "},
		ends: []string{". ", "; ", "\n", " mais "}, rest: []string{"le reste", "tout le reste", "les autres"},
		except: []string{"tout sauf", "tout fait sauf", "tout sauf la", "j'ai tout fait sauf"}, only: []string{"seulement", "juste", "que", "seulement la", "juste la"},
		all: map[routine.Outcome][]string{routine.Done: {"tout fait", "j'ai tout fait", "tout joué"}, routine.Clean: {"tout propre", "tout était bien", "tout impeccable"}},
		at:  []string{"à %d", "@%d", "tempo %d", "à %d bpm"},
		skills: map[routine.Skill][]string{
			routine.WarmUp: {"l'échauffement"}, routine.Flexibility: {"les liaisons"}, routine.Technique: {"les gammes"},
			routine.Etude: {"l'étude", "mon étude"}, routine.Articulation: {"l'articulation"},
		},
	},
	"es": {
		before: map[routine.Outcome][]string{
			routine.Skipped: {"me salté la", "no hice la", "olvidé la", "sin tiempo para la", "salté"},
			routine.Missed:  {"no pude con la", "fallé"},
			routine.Done:    {"hice la", "toqué la", "hice", "practiqué"},
		},
		after: map[routine.Outcome][]string{
			routine.Clean: {"limpio", "bien", "salió bien", "muy bien", "perfecto", "limpia"},
			routine.Shaky: {"regular", "flojo", "así así", "salió mal", "un poco flojo"}, routine.Missed: {"no salió", "fallado", "no me salió"},
			routine.Skipped: {"saltado", "no hecho", "olvidado"}, routine.Done: {"hecho", "tocado", "practicado"},
		},
		and: " y ", to: []string{"-", " a la "}, joints: []string{", ", "; ", "\n", ". ", " y ", ", luego ", " / "}, but: []string{" pero ", ", pero ", ", "},
		ends: []string{". ", "; ", "\n", " pero "}, rest: []string{"el resto", "lo demás", "las demás", "los otros"},
		except: []string{"todo menos", "todo excepto", "todo menos la", "hice todo menos"}, only: []string{"solo", "solamente", "sólo", "solo la", "nada más que"},
		all: map[routine.Outcome][]string{routine.Done: {"todo hecho", "hice todo", "lo hice todo"}, routine.Clean: {"todo limpio", "todo salió bien", "todo muy bien"}},
		at:  []string{"a %d", "@%d", "tempo %d", "a %d bpm"},
		skills: map[routine.Skill][]string{
			routine.WarmUp: {"el calentamiento"}, routine.Flexibility: {"las ligaduras"}, routine.Technique: {"las escalas"},
			routine.Etude: {"el estudio", "mi estudio"}, routine.Articulation: {"la articulación"},
		},
	},
}

// A clause is what a test says of some items.
type clause struct {
	items   []int
	outcome routine.Outcome
	tempo   int
	rest    bool // of all that no other clause names
	leads   bool // what became of them stands before the items
	text    string
}

// TestClauses puts clauses about items together in many ways, "did 1 and 2 but skipped
// 3", and reads them back.
func TestClauses(t *testing.T) {
	names := []string{"monday", "ferry", "fullday", "evening", "quay"}
	readsDrawn(t, names, func(t *rapid.T, set *routine.Routine, lang string) (reply.Reading, string) {
		want, text := clauses(t, set, grammars[lang])
		text = around(t, &want, text, phrasings[lang])
		return want, text
	})
}

// around adds to a report of items what else is said of the day.
func around(t *rapid.T, want *reply.Reading, text string, ph phrasing) string {
	between := rapid.SampledFrom([]string{", ", ". ", "\n"})
	if rapid.IntRange(0, 3).Draw(t, "minutes?") == 0 {
		want.Minutes = 5 * rapid.IntRange(7, 10).Draw(t, "minutes")
		said := fmt.Sprintf(rapid.SampledFrom(ph.minutes).Draw(t, "as"), want.Minutes)
		if first := rapid.Bool().Draw(t, "minutes first?"); first {
			text = said + between.Draw(t, "between") + text
		} else {
			text += between.Draw(t, "between") + said
		}
	}
	if rapid.IntRange(0, 3).Draw(t, "feel?") == 0 {
		want.Feel = rapid.SampledFrom([]routine.Feel{routine.Tired, routine.Fresh}).Draw(t, "feel")
		text += between.Draw(t, "between") + rapid.SampledFrom(ph.feels[want.Feel]).Draw(t, "felt")
	}
	if rapid.IntRange(0, 3).Draw(t, "yesterday?") == 0 {
		want.Day--
		text = rapid.SampledFrom(ph.gone).Draw(t, "the day") + rapid.SampledFrom([]string{" ", ": ", ", "}).Draw(t, "after the day") + text
	}
	if rapid.IntRange(0, 3).Draw(t, "opening?") == 0 {
		text = rapid.SampledFrom(ph.opening).Draw(t, "opening") + " " + text
	}
	if rapid.IntRange(0, 3).Draw(t, "talk?") == 0 {
		text += ". " + rapid.SampledFrom(ph.talk).Draw(t, "talk")
	}
	return text
}

// clauses draws a reading of items alone and a text that says it.
func clauses(t *rapid.T, set *routine.Routine, g grammar) (reply.Reading, string) {
	want := reply.Reading{Kind: reply.Report, Day: today}
	count := len(set.Items)
	free := rapid.Permutation(numbers(count)).Draw(t, "order")
	take := func() []int {
		n := rapid.SampledFrom([]int{1, 1, 1, 2, 2, 3}).Draw(t, "how many")
		n = min(n, len(free))
		items := slices.Sorted(slices.Values(free[:n]))
		free = free[n:]
		return items
	}
	switch rapid.IntRange(0, 7).Draw(t, "form") {
	case 0:
		want.All = reply.Partly
		left := take()
		fill(&want, count, left, routine.Skipped, routine.Done)
		return want, before(rapid.SampledFrom(g.except).Draw(t, "except"), list(t, set, g, left))
	case 1:
		want.All = reply.Partly
		played := take()
		fill(&want, count, played, routine.Done, routine.Skipped)
		return want, before(rapid.SampledFrom(g.only).Draw(t, "only"), list(t, set, g, played))
	case 2:
		return whole(t, set, g, take())
	}
	var all []clause
	for len(free) > 0 && len(all) < 3 && (len(all) == 0 || rapid.Bool().Draw(t, "more?")) {
		all = append(all, oneClause(t, set, g, take()))
	}
	if len(free) > 1 && rapid.IntRange(0, 2).Draw(t, "rest?") == 0 {
		c := clause{items: free, rest: true, outcome: rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Shaky, routine.Skipped, routine.Done}).Draw(t, "outcome")}
		c.text = rapid.SampledFrom(g.rest).Draw(t, "rest") + " " + rapid.SampledFrom(g.after[c.outcome]).Draw(t, "word")
		all = append(all, c)
	}
	text := ""
	for i, c := range all {
		for _, n := range c.items {
			want.Items = append(want.Items, c.item(set, n))
		}
		if i > 0 {
			text += joint(t, g, all[i-1], c)
		}
		text += c.text
	}
	slices.SortFunc(want.Items, byNumber)
	return want, text
}

func numbers(count int) (all []int) {
	for n := 1; n <= count; n++ {
		all = append(all, n)
	}
	return all
}

// fill gives the items named one outcome and all others another.
func fill(want *reply.Reading, count int, named []int, outcome, other routine.Outcome) {
	for n := 1; n <= count; n++ {
		e := reply.Item{N: n, Outcome: other}
		if slices.Contains(named, n) {
			e.Outcome = outcome
		}
		want.Items = append(want.Items, e)
	}
}

// oneClause draws what became of the items, and how it is said.
func oneClause(t *rapid.T, set *routine.Routine, g grammar, items []int) clause {
	c := clause{items: items}
	c.leads = rapid.IntRange(0, 2).Draw(t, "leads?") == 0
	words := g.after
	if c.leads {
		words = g.before
	}
	var can []routine.Outcome
	for _, o := range []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Skipped, routine.Done} {
		if words[o] != nil {
			can = append(can, o)
		}
	}
	c.outcome = rapid.SampledFrom(can).Draw(t, "outcome")
	word := rapid.SampledFrom(words[c.outcome]).Draw(t, "word")
	at := ""
	if item := set.Items[items[0]-1]; len(items) == 1 && item.To.BPM > 0 && c.outcome != routine.Skipped && rapid.Bool().Draw(t, "tempo?") {
		c.tempo = rapid.IntRange(int(item.From.BPM), int(item.To.BPM)).Draw(t, "tempo")
		at = " " + fmt.Sprintf(rapid.SampledFrom(g.at).Draw(t, "at"), c.tempo)
	}
	named := list(t, set, g, items)
	switch {
	case c.leads:
		c.text = before(word, named) + at
	case rapid.Bool().Draw(t, "tempo first?"):
		c.text = named + at + " " + word
	default:
		c.text = named + " " + word + at
	}
	return c
}

// item returns what a clause says of item n.
func (c *clause) item(set *routine.Routine, n int) reply.Item {
	e := reply.Item{N: n, Outcome: c.outcome}
	if c.tempo > 0 {
		e.Tempo = &reply.Tempo{To: float64(c.tempo), Note: set.Items[n-1].To.Note}
	}
	return e
}

// whole draws what became of the whole routine, and of some items otherwise.
func whole(t *rapid.T, set *routine.Routine, g grammar, items []int) (reply.Reading, string) {
	want := reply.Reading{Kind: reply.Report, Day: today, All: reply.All}
	outcome := rapid.SampledFrom([]routine.Outcome{routine.Done, routine.Clean}).Draw(t, "all")
	c := oneClause(t, set, g, items)
	for c.outcome == routine.Done || c.outcome == routine.Clean {
		c = oneClause(t, set, g, items)
	}
	for n := range len(set.Items) {
		switch {
		case slices.Contains(items, n+1):
			want.Items = append(want.Items, c.item(set, n+1))
		case outcome == routine.Clean, c.outcome == routine.Skipped:
			want.Items = append(want.Items, reply.Item{N: n + 1, Outcome: outcome})
		}
	}
	if c.outcome == routine.Skipped {
		want.All = reply.Partly
	}
	joint := rapid.SampledFrom(append([]string{", ", ". ", "\n"}, g.but...)).Draw(t, "joint")
	return want, rapid.SampledFrom(g.all[outcome]).Draw(t, "whole") + joint + c.text
}

// joint draws what stands between two clauses, so that it is plain where one ends.
func joint(t *rapid.T, g grammar, before, after clause) string {
	joints := g.joints
	left := func(c clause) bool { return c.outcome == routine.Skipped || c.outcome == routine.Missed }
	switch {
	case before.leads && !after.leads && !after.rest:
		joints = g.ends
	case left(before) != left(after) && rapid.Bool().Draw(t, "but?"):
		joints = g.but
	}
	return rapid.SampledFrom(joints).Draw(t, "joint")
}

// before puts a word before the names of items; an article before numbers is none
// before names.
func before(word, items string) string {
	if items[0] > '9' {
		for _, article := range []string{" la", " die"} {
			word = strings.TrimSuffix(word, article)
		}
	}
	return word + " " + items
}

// list draws a way to name items.
func list(t *rapid.T, set *routine.Routine, g grammar, items []int) string {
	if item := set.Items[items[0]-1]; len(items) == 1 {
		by := rapid.IntRange(0, 4).Draw(t, "named by")
		if by == 0 && only(set, func(i routine.Item) bool { return i.Title == item.Title }) {
			return rapid.SampledFrom([]string{item.Title, strings.ToLower(item.Title)}).Draw(t, "title")
		}
		if names := g.skills[item.Skill]; by == 1 && names != nil && only(set, func(i routine.Item) bool { return i.Skill == item.Skill }) {
			return rapid.SampledFrom(names).Draw(t, "skill")
		}
	}
	last := items[len(items)-1]
	if len(items) > 2 && last-items[0] == len(items)-1 && rapid.Bool().Draw(t, "range?") {
		return fmt.Sprint(items[0], rapid.SampledFrom(g.to).Draw(t, "to"), last)
	}
	var words []string
	for _, n := range items {
		words = append(words, fmt.Sprint(n))
	}
	if len(items) == 1 {
		return words[0]
	}
	and := rapid.SampledFrom([]string{g.and, g.and, ", ", "+", " & "}).Draw(t, "and")
	return strings.Join(words[:len(words)-1], ", ") + and + words[len(words)-1]
}

// only reports whether is holds for one item of the routine.
func only(set *routine.Routine, is func(routine.Item) bool) bool {
	n := 0
	for _, item := range set.Items {
		if is(item) {
			n++
		}
	}
	return n == 1
}
