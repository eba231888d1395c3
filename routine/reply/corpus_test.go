package reply_test

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

const corpusDir = "../../testdata/replies"

// openCorpus is the file whose replies are all to be read well.
const openCorpus = "corpus.jsonl"

var corpusFile = flag.String("corpus", openCorpus, "file of replies in testdata/replies")

// A sample is one reply of the corpus with the readings it should give.
type sample struct {
	ID, Routine, Lang, Text string
	Today                   routine.Date
	Last                    *reply.Reading
	Want                    []reply.Reading
}

func (s sample) context(tb testing.TB, routines map[string]*routine.Routine) reply.Context {
	tb.Helper()
	r, ok := routines[s.Routine]
	if !ok {
		f, err := os.Open(filepath.Join(corpusDir, "routines", s.Routine+".json"))
		if err != nil {
			tb.Fatal(err)
		}
		defer f.Close()
		if r, err = reply.DecodeRoutine(f); err != nil {
			tb.Fatalf("%s: %v", f.Name(), err)
		}
		routines[s.Routine] = r
	}
	return reply.Context{Routine: r, Today: s.Today, Lang: s.Lang, Last: s.Last}
}

// routinesOf returns routines of the corpus by their names.
func routinesOf(tb testing.TB, names ...string) map[string]*routine.Routine {
	routines := map[string]*routine.Routine{}
	for _, name := range names {
		sample{Routine: name}.context(tb, routines)
	}
	return routines
}

func corpus(tb testing.TB) []sample {
	tb.Helper()
	f, err := os.Open(filepath.Join(corpusDir, *corpusFile))
	if os.IsNotExist(err) {
		tb.Skipf("there is no %s", *corpusFile)
	}
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	var all []sample
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var s sample
		if err := json.Unmarshal(lines.Bytes(), &s); err != nil {
			tb.Fatalf("%s: sample %d: %v", *corpusFile, len(all)+1, err)
		}
		all = append(all, s)
	}
	if err := lines.Err(); err != nil {
		tb.Fatal(err)
	}
	return all
}

func newReader(tb testing.TB) *reply.Reader {
	tb.Helper()
	r, err := reply.NewReader()
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

// A score counts how a corpus was read.
type score struct {
	total, exact int
	silent       int               // wrong, and nothing was asked
	kinds        map[string]*score // of each kind of reply; nil within a kind
}

func (s *score) add(exact, silent bool) {
	s.total++
	if exact {
		s.exact++
	} else if silent {
		s.silent++
	}
}

// of returns the score of a kind of reply.
func (s *score) of(kind string) *score {
	if s.kinds[kind] == nil {
		s.kinds[kind] = &score{}
	}
	return s.kinds[kind]
}

// kind names what a sample is mostly about.
func (s sample) kind() string {
	w := s.Want[0]
	switch {
	case len(s.Want) > 1:
		return "several days"
	case w.Kind != reply.Report:
		return string(w.Kind)
	case len(w.Ask) > 0:
		return "to be asked"
	case w.Pain:
		return "pain"
	case w.Excused != "":
		return "excused"
	case w.All != "":
		return "whole day"
	case len(w.Items) > 0:
		return "items"
	}
	return "minutes and feel"
}

func (s score) exactShare() float64  { return float64(s.exact) / float64(s.total) }
func (s score) silentShare() float64 { return float64(s.silent) / float64(s.total) }

// grade reads every sample and compares: everything but the words of choices,
// which are the reader's own.
func grade(tb testing.TB, r *reply.Reader, report func(s sample, got []reply.Reading)) (sc score) {
	sc.kinds = map[string]*score{}
	routines := map[string]*routine.Routine{}
	for _, s := range corpus(tb) {
		got := r.Read(s.Text, s.context(tb, routines))
		exact, silent := sameReadings(got, s.Want), !asks(got)
		sc.add(exact, silent)
		sc.of(s.kind()).add(exact, silent)
		sc.of(s.Lang).add(exact, silent)
		if !exact && report != nil {
			report(s, got)
		}
	}
	return sc
}

func asks(all []reply.Reading) bool {
	for _, r := range all {
		if len(r.Ask) > 0 {
			return true
		}
	}
	return false
}

func sameReadings(got, want []reply.Reading) bool {
	if len(got) != len(want) {
		return false
	}
	for i := range got {
		if !reflect.DeepEqual(plain(got[i]), plain(want[i])) {
			return false
		}
	}
	return true
}

// byNumber orders items as the routine has them.
func byNumber(a, b reply.Item) int { return a.N - b.N }

// plain returns what of a reading the corpus tells.
func plain(r reply.Reading) reply.Reading {
	r.Text, r.Question, r.Undo, r.PainGone = "", "", false, false
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

// TestCorpus checks that every reply of the open corpus is read as it should be. A reply that
// a better rule for others reads otherwise goes to unread.jsonl.
func TestCorpus(t *testing.T) {
	sc := grade(t, newReader(t), func(s sample, got []reply.Reading) {
		kind := "asked instead"
		if !asks(got) {
			kind = "silently wrong"
		}
		log := t.Logf
		if *corpusFile == openCorpus { // the others measure
			log = t.Errorf
		}
		log("%s %s %s %q (%s)\n got %s\nwant %s", kind, s.ID, s.Routine, s.Text, s.Lang, brief(got), brief(s.Want))
	})
	t.Logf("%s: %d replies, %.2f %% exact, %.2f %% silently wrong", *corpusFile, sc.total, 100*sc.exactShare(), 100*sc.silentShare())
	for _, kind := range slices.Sorted(maps.Keys(sc.kinds)) {
		k := sc.kinds[kind]
		t.Logf("%-16s %4d replies, %6.2f %% exact, %5.2f %% silently wrong", kind, k.total, 100*k.exactShare(), 100*k.silentShare())
	}
}

// TestChoicesDiffer checks that no question of the corpus offers the same answer twice.
func TestChoicesDiffer(t *testing.T) {
	r := newReader(t)
	routines := map[string]*routine.Routine{}
	for _, s := range corpus(t) {
		for _, reading := range r.Read(s.Text, s.context(t, routines)) {
			for _, q := range reading.Ask {
				labels := map[string]bool{}
				for _, c := range q.Choices {
					if labels[c.Label] {
						t.Errorf("%s %q asks %s and offers %q twice", s.ID, s.Text, q.About, c.Label)
					}
					labels[c.Label] = true
				}
			}
		}
	}
}

func brief(all []reply.Reading) string {
	text := ""
	for _, r := range all {
		b, err := json.Marshal(plain(r))
		if err != nil {
			return fmt.Sprint(err)
		}
		text += string(b)
	}
	return text
}
