package words

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// quoted finds what a text gives as an example to write.
var quoted = regexp.MustCompile(`“([^”]+)”|„([^“]+)“|« ?([^»]+?) ?»`)

func examplesIn(text string) (examples []string) {
	text = strings.ReplaceAll(text, "\u00a0", " ")
	for _, m := range quoted.FindAllStringSubmatch(text, -1) {
		examples = append(examples, m[1]+m[2]+m[3])
	}
	return examples
}

// readsAs returns a function that has the reader read a text in a language, on a day
// with a routine, and returns all that it makes of it but the text itself.
func readsAs(t *testing.T) func(lang, text string) string {
	t.Helper()
	reader, err := reply.NewReader()
	if err != nil {
		t.Fatal(err)
	}
	today := routine.NewDate(2026, 3, 4)
	set := func(date routine.Date) *routine.Routine {
		r := &routine.Routine{Date: date, Number: 1, Minutes: 40}
		for n := 1; n <= 4; n++ {
			r.Items = append(r.Items, routine.Item{
				N: n, Book: "Daily Ground", Title: "Scales", Skill: routine.Technique, Minutes: 8,
				Study: routine.StudyRef{Book: "daily-ground", Study: n}, Lines: []routine.LineRef{{Book: "daily-ground", Study: n, Line: n}},
				From: routine.Tempo{BPM: 88, Note: routine.Quarter}, To: routine.Tempo{BPM: 96, Note: routine.Quarter},
			})
		}
		return r
	}
	return func(lang, text string) string {
		readings := reader.Read(text, reply.Context{Today: today, Lang: lang, Routine: set(today), Previous: set(today - 1)})
		var all []any
		for _, rd := range readings {
			all = append(all, rd.PainGone, rd.Undo)
			rd.Text = ""
			all = append(all, rd)
		}
		data, err := json.Marshal(all)
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
}

// TestExamplesAreRead has the reader read every example that a message gives, in
// its language, and compares with what it makes of the English one.
func TestExamplesAreRead(t *testing.T) {
	read := readsAs(t)
	x, compared := New(), 0
	for _, id := range []string{"routine.foot", "routine.caution", "reminder", "receipt.partly", "receipt.pain-until", "help.student", "question.again", "best.none", "short.foot"} {
		english := examplesIn(x.In(English).Say(id, With{"minutes": 30}))
		for _, lang := range Languages()[1:] {
			own := examplesIn(x.In(lang).Say(id, With{"minutes": 30}))
			if len(own) != len(english) {
				t.Errorf("%s in %s has the examples %q, English %q", id, lang, own, english)
				continue
			}
			for i := range own {
				if got, want := read(lang, own[i]), read(English, english[i]); got != want {
					t.Errorf("%s in %s: “%s” reads\n%s\nwant, as “%s”,\n%s", id, lang, own[i], got, english[i], want)
				}
				if strings.Contains(read(lang, own[i]), `"kind":"chat"`) {
					t.Errorf("%s in %s: “%s” is not understood", id, lang, own[i])
				}
				compared++
			}
		}
	}
	if compared < 40 {
		t.Errorf("only %d examples were read", compared)
	}
}

// TestQuickAnswersAreRead checks that what stands on the buttons of a routine is
// read as it is meant, since it is what pressing one says.
func TestQuickAnswersAreRead(t *testing.T) {
	x, read := New(), readsAs(t)
	for _, lang := range Languages() {
		for id, meant := range map[string]string{
			"routine.all": "all done", "routine.part": "some of it", "routine.rest": "rest day", "routine.nothing": "nothing today",
		} {
			if label := x.In(lang).Say(id, nil); read(lang, label) != read(English, meant) {
				t.Errorf("“%s” in %s reads\n%s, want, as “%s”,\n%s", label, lang, read(lang, label), meant, read(English, meant))
			}
		}
	}
}
