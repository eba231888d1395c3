package reply_test

import (
	"reflect"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// kept returns what of a reading its canonical text keeps: all but the text, the
// question to the teacher and the words of choices.
func kept(r reply.Reading) reply.Reading {
	r.Text, r.Question = "", ""
	ask := r.Ask
	r.Ask = nil
	for _, q := range ask {
		r.Ask = append(r.Ask, reply.Question{About: q.About})
	}
	if len(r.Items) == 0 {
		r.Items = nil
	}
	return r
}

// checkCanonical reads the canonical text of a reading back.
func checkCanonical(tb testing.TB, r *reply.Reader, c reply.Context, got reply.Reading) {
	tb.Helper()
	text := got.Canonical()
	again := r.Read(text, c)
	if len(again) != 1 || !reflect.DeepEqual(kept(again[0]), kept(got)) {
		tb.Errorf("%q reads as\n %s\nits canonical text %q as\n %s", got.Text, brief([]reply.Reading{got}), text, brief(again))
	}
}

func TestCanonicalOfCorpus(t *testing.T) {
	r := newReader(t)
	routines := map[string]*routine.Routine{}
	for _, s := range corpus(t) {
		c := s.context(t, routines)
		for _, got := range r.Read(s.Text, c) {
			checkCanonical(t, r, c, got)
			checkChoices(t, r, c, got)
		}
	}
}

// checkChoices reads the text of every choice: it must ask nothing more, and say
// nothing but what the question was about.
func checkChoices(tb testing.TB, r *reply.Reader, c reply.Context, got reply.Reading) {
	tb.Helper()
	for _, q := range got.Ask {
		if (len(q.Choices) == 0 || len(q.Choices) > 3) && !strings.Contains(got.Text, "⟦") {
			tb.Errorf("%q asks about %s with %d choices", got.Text, q.About, len(q.Choices))
		}
		for _, choice := range q.Choices {
			again := r.Read(choice.Text, c)
			if len(again) != 1 || got.Day != 0 && q.About != "day" && len(again[0].Ask) > 0 {
				tb.Errorf("%q: the choice %q reads as %s", got.Text, choice.Text, brief(again))
			}
			if q.About != "pain" && again[0].Kind != got.Kind {
				tb.Errorf("%q is a %s, its choice %q a %s", got.Text, got.Kind, choice.Text, again[0].Kind)
			}
		}
	}
}
