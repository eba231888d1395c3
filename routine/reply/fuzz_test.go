package reply_test

import (
	"reflect"
	"testing"
	"unicode/utf8"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// FuzzRead checks what must hold whatever is written: reading never panics, says
// the same twice, names only items there are, each once and in order, and its
// canonical form reads back to itself.
func FuzzRead(f *testing.F) {
	names := []string{"monday", "ferry", "lowtide", "solo", "sprint", "fullday"}
	langs := []string{"en", "de", "fr", "es", "pt", ""}
	for i, s := range corpus(f) {
		f.Add(s.Text, uint8(i), uint8(i/2), s.Last != nil)
	}
	for _, text := range longTexts {
		f.Add(text+text+"2 "+text, uint8(0), uint8(5), true)
	}
	r := newReader(f)
	routines := map[string]*routine.Routine{}
	for _, name := range names {
		sample{Routine: name}.context(f, routines)
	}
	last := &reply.Reading{Kind: reply.Report, Day: today - 1, Items: []reply.Item{
		{N: 1, Outcome: routine.Clean, Tempo: &reply.Tempo{To: 96, Note: routine.Quarter}},
	}}
	f.Fuzz(func(t *testing.T, text string, lang, set uint8, corrected bool) {
		c := reply.Context{
			Routine: routines[names[int(set)%len(names)]], Today: today, Lang: langs[int(lang)%len(langs)],
			Previous: routines[names[int(set/8)%len(names)]],
		}
		if corrected {
			c.Last = last
		}
		check(t, r, text, c)
	})
}

var today = routine.NewDate(2026, 3, 4)

// check reads a message and checks the invariants.
func check(t *testing.T, r *reply.Reader, text string, c reply.Context) {
	got := r.Read(text, c)
	if len(got) == 0 {
		t.Fatalf("%q: no reading", text)
	}
	if again := r.Read(text, c); !reflect.DeepEqual(got, again) {
		t.Errorf("%q reads as %s and then as %s", text, brief(got), brief(again))
	}
	end := 0
	for _, w := range r.Explain(text, c) {
		if w.Start < end || w.End < w.Start || text[w.Start:w.End] != w.Text || w.As == "" {
			t.Errorf("%q: explained as %+v after byte %d", text, w, end)
		}
		end = w.End
	}
	for _, reading := range got {
		if reading.Text != text {
			t.Errorf("%q: the text is kept as %q", text, reading.Text)
		}
		checkItems(t, reading, c)
		if utf8.ValidString(text) {
			checkCanonical(t, r, c, reading)
			checkChoices(t, r, c, reading)
		}
	}
}

// checkItems checks that the items of a reading are those of its day's routine.
func checkItems(t *testing.T, got reply.Reading, c reply.Context) {
	set := c.Routine
	if got.Day == c.Today-1 && c.Previous != nil {
		set = c.Previous
	}
	before := 0
	for _, item := range got.Items {
		if item.N <= before || set.Item(item.N) == nil {
			t.Errorf("%q logs item %d after %d of %d", got.Text, item.N, before, len(set.Items))
		}
		if item.Outcome == "" && got.Kind != reply.Correction {
			t.Errorf("%q logs item %d with no outcome", got.Text, item.N)
		}
		if item.Tempo != nil && (item.Tempo.To <= 0 || item.Tempo.Note == 0) {
			t.Errorf("%q logs item %d at %+v", got.Text, item.N, *item.Tempo)
		}
		before = item.N
	}
	if got.Kind == reply.Chat && (len(got.Items) > 0 || got.Minutes > 0 || len(got.Ask) > 0) {
		t.Errorf("%q is talk and logs %s", got.Text, brief([]reply.Reading{got}))
	}
}
