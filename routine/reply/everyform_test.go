package reply_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// everyForm are the ways in which one language says what the tests of this file put together in
// every way they can: see testdata/replies/README.md.
type everyForm struct {
	Pairs struct {
		Before, After map[routine.Outcome][]string // what became of the items %
		Not           []string                     // that they were left out, after others that were not
		First, Second map[string][]int             // items; none are all that First does not name
		Joints, But   []string
	}
	Tempi struct {
		Items              map[string]int
		Plain, Path, About []string
		Outcomes           map[string]routine.Outcome
	}
	Days struct {
		Whole   map[string]reply.Extent // "" says nothing of how much
		Minutes map[string]int
		Day     map[string]int // days from today
		Feel    map[string]routine.Feel
	}
	Lists struct {
		Items                  map[string][]int
		After, Before, Several map[string]routine.Outcome // Several: said of more than one
		Repeats                map[string][2]int          // how many, and of how many
		At                     string
	}
	TwoDays struct {
		Past    map[string]int
		Today   []string
		Reports map[string]reply.Reading
		Joints  []string
	}
	Remarks struct {
		Items    map[string]int
		Outcomes map[string]routine.Outcome
		At       string
		Remarks  []string
	}
	Reasons struct {
		Why     []string
		Reports map[string]reply.Reading
	}
	Stories struct {
		Stories []string
		Reports map[string]reply.Reading
		Joints  []string
	}
	Corrections struct {
		Tempo, Minutes, Undo []string                   // {R} is right, {W} wrong, {N} the item
		Outcome              map[string]routine.Outcome // what it was
	}
}

// A trial reads what is put together of the forms of a language, and counts how much of it is
// asked about.
type trial struct {
	*testing.T
	reader            *reply.Reader
	context           reply.Context
	seen              map[string]bool
	read, asks, wrong int
	remarks           bool // any will do
}

// eachForm gives a test the forms of every language, to be read against a routine. One text in so
// many may be asked about.
func eachForm(t *testing.T, name string, most int, test func(r *trial, f everyForm)) {
	reader, set := newReader(t), routinesOf(t, name)[name]
	for _, lang := range []string{"en", "de", "fr", "es"} {
		t.Run(lang, func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join(corpusDir, "forms", lang+".json"))
			if err != nil {
				t.Fatal(err)
			}
			var f everyForm
			if err := json.Unmarshal(text, &f); err != nil {
				t.Fatal(err)
			}
			r := &trial{T: t, reader: reader, seen: map[string]bool{}, context: reply.Context{Routine: set, Today: today, Lang: lang}}
			test(r, f)
			t.Logf("%d texts, %d asked about", r.read, r.asks)
			if r.read == 0 || r.asks*most > r.read {
				t.Errorf("%d of %d texts are asked about, want one in %d at most", r.asks, r.read, most)
			}
		})
	}
}

// check reads a text that should give the readings, or be asked about.
func (r *trial) check(text string, want ...reply.Reading) {
	if r.seen[text] || r.wrong > 20 {
		return
	}
	r.seen[text] = true
	got := r.reader.Read(text, r.context)
	r.read++
	if r.remarks {
		for i := range got {
			for k := range got[i].Items {
				got[i].Items[k].Remark = ""
			}
		}
	}
	if asks(got) {
		r.asks++
		return
	}
	for i := range want {
		if want[i].Kind == "" {
			want[i].Kind = reply.Report
		}
		if want[i].Day == 0 && !want[i].Undo {
			want[i].Day = today
		}
		slices.SortFunc(want[i].Items, byNumber)
	}
	slices.SortFunc(want, byDay)
	slices.SortFunc(got, byDay)
	if brief(got) != brief(want) {
		r.wrong++
		r.Errorf("%q reads as\n %s, want\n %s", text, brief(got), brief(want))
	}
}

func byDay(a, b reply.Reading) int { return int(a.Day - b.Day) }

// all returns a reading with one outcome for each of the items.
func all(o routine.Outcome, items ...int) (r reply.Reading) {
	for _, n := range items {
		r.Items = append(r.Items, reply.Item{N: n, Outcome: o})
	}
	return r
}

// TestEveryPair says of two groups of items what became of them.
func TestEveryPair(t *testing.T) {
	eachForm(t, "monday", 1000, func(r *trial, f everyForm) {
		type says struct {
			outcome routine.Outcome
			text    string
			leads   bool // the items stand last
			not     bool // says only that they were left out
		}
		var verbs []says
		for _, o := range []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Skipped, routine.Done} {
			for _, text := range f.Pairs.Before[o] {
				verbs = append(verbs, says{o, text, true, false})
			}
			for _, text := range f.Pairs.After[o] {
				verbs = append(verbs, says{o, text, false, false})
			}
		}
		for _, text := range f.Pairs.Not {
			verbs = append(verbs, says{routine.Skipped, text, true, true})
		}
		left := func(o routine.Outcome) bool { return o == routine.Skipped || o == routine.Missed }
		for first, items := range f.Pairs.First {
			for second, others := range f.Pairs.Second {
				if len(others) == 0 {
					for n := range r.context.Routine.Items {
						if !slices.Contains(items, n+1) {
							others = append(others, n+1)
						}
					}
				}
				for _, a := range verbs {
					for _, b := range verbs {
						for _, joint := range slices.Concat(f.Pairs.Joints, f.Pairs.But) {
							open := joint == ". " || joint == "; "
							switch {
							case a.not, b.not && (left(a.outcome) || open),
								slices.Contains(f.Pairs.But, joint) && a.outcome == b.outcome,
								a.leads && !b.leads && !open && !slices.Contains(f.Pairs.But, joint), // "skipped 1, 3 clean"
								joint == ". " && strings.HasSuffix(a.text, " no"),                    // "1 no. 3"
								joint == ". " && a.leads && strings.HasSuffix(first, "2"):            // "2." may number what follows
								continue
							}
							want := all(a.outcome, items...)
							want.Items = append(want.Items, all(b.outcome, others...).Items...)
							r.check(strings.Replace(a.text, "%", first, 1)+joint+strings.Replace(b.text, "%", second, 1), want)
						}
					}
				}
			}
		}
	})
}

// TestEveryTempo says a tempo of an item, and how it went.
func TestEveryTempo(t *testing.T) {
	eachForm(t, "monday", 100, func(r *trial, f everyForm) {
		for item, n := range f.Tempi.Items {
			of := r.context.Routine.Items[n-1]
			from, to := of.From.BPM+2, of.To.BPM-1
			say := func(form string, want reply.Tempo, path bool) {
				text := strings.NewReplacer("{F}", fmt.Sprint(from), "{T}", fmt.Sprint(to)).Replace(form)
				for word, o := range f.Tempi.Outcomes {
					want.Note = of.To.Note
					reading := reply.Reading{Items: []reply.Item{{N: n, Outcome: o, Tempo: &want}}}
					for _, between := range []string{" ", ": ", ", "} {
						r.check(item+between+text+word, reading)
					}
					if !path && word != "" && word[0] != ',' {
						r.check(item+word+" "+text, reading)
					}
				}
			}
			for _, form := range f.Tempi.Plain {
				say(form, reply.Tempo{To: to}, false)
			}
			for _, form := range f.Tempi.Path {
				say(form, reply.Tempo{From: from, To: to}, true)
			}
			for _, form := range f.Tempi.About {
				say(form, reply.Tempo{To: to, Approx: true}, false)
			}
		}
	})
}

// TestEveryDay says of the whole day how much of it was played, for how long, when, and how the
// player felt.
func TestEveryDay(t *testing.T) {
	eachForm(t, "monday", 500, func(r *trial, f everyForm) {
		lengths := maps.Clone(f.Days.Minutes)
		lengths[""] = 0
		for whole, extent := range f.Days.Whole {
			for length, minutes := range lengths {
				if (minutes == 0) == (extent == "") || minutes > 0 && extent == reply.None {
					continue
				}
				if hour := strings.Contains(length, "hour"); hour && strings.Contains(whole, "half") { // "half an hour and a half"
					continue
				}
				for day, ago := range f.Days.Day {
					want := reply.Reading{All: extent, Minutes: minutes, Day: today + routine.Date(ago)}
					said := strings.TrimSpace(whole + " " + length)
					texts := []string{said + " " + day, said + ", " + day}
					if day != "" {
						texts = append(texts, day+" "+said, day+": "+said)
					}
					for _, text := range texts {
						r.check(strings.Trim(text, " ,"), want)
					}
				}
				for feel, felt := range f.Days.Feel {
					if extent != reply.None {
						r.check(strings.Trim(whole+", "+length+", "+feel, " ,"), reply.Reading{All: extent, Minutes: minutes, Feel: felt})
					}
				}
			}
		}
	})
}

// TestEveryList names items in many ways and says what became of them and how often.
func TestEveryList(t *testing.T) {
	eachForm(t, "fullday", 500, func(r *trial, f everyForm) {
		for named, items := range f.Lists.Items {
			day := func(text string, o routine.Outcome) {
				r.check(text, all(o, items...))
				want := all(o, items...)
				want.Minutes = 40
				r.check(text+", 40 min", want)
				r.check("40 min, "+text, want)
			}
			after := func(words map[string]routine.Outcome) {
				for word, o := range words {
					for _, between := range []string{" ", ": ", ", ", " - "} {
						day(named+between+word, o)
					}
				}
			}
			if after(f.Lists.After); len(items) > 1 {
				after(f.Lists.Several)
			}
			for word, o := range f.Lists.Before {
				day(word+" "+named, o)
			}
			if len(items) > 1 {
				continue
			}
			of := r.context.Routine.Items[items[0]-1].To
			for word, times := range f.Lists.Repeats {
				item := reply.Item{N: items[0], Outcome: routine.Done, Reps: times[0], Of: times[1]}
				switch {
				case times[1] > times[0]:
					item.Outcome = routine.Shaky
				case times[1] > 0 || slices.ContainsFunc([]string{"clean", "sauber", "propre", "limpia"}, func(s string) bool { return strings.Contains(word, s) }):
					item.Outcome = routine.Clean
				}
				r.check(named+" "+word, reply.Reading{Items: []reply.Item{item}})
				r.check(named+": "+word, reply.Reading{Items: []reply.Item{item}})
				item.Tempo = &reply.Tempo{To: of.BPM - 1, Note: of.Note}
				at := fmt.Sprintf(f.Lists.At, int(of.BPM-1))
				r.check(named+" "+word+at, reply.Reading{Items: []reply.Item{item}})
				r.check(named+at+" "+word, reply.Reading{Items: []reply.Item{item}})
			}
		}
	})
}

// TestEveryTwoDays tells of a day that is past and of today, with the day first and last.
func TestEveryTwoDays(t *testing.T) {
	eachForm(t, "monday", 1000, func(r *trial, f everyForm) {
		for past, ago := range f.TwoDays.Past {
			for _, now := range f.TwoDays.Today {
				for before, was := range f.TwoDays.Reports {
					for after, is := range f.TwoDays.Reports {
						was.Day = today + routine.Date(ago)
						for _, joint := range f.TwoDays.Joints {
							r.check(past+" "+before+joint+now+" "+after, was, is)
							r.check(past+": "+before+joint+now+": "+after, was, is)
							r.check(before+" "+past+joint+after+" "+now, was, is)
							r.check(now+" "+after+joint+past+" "+before, was, is)
						}
					}
				}
			}
		}
	})
}

// TestEveryRemark says how an item went and then what was the matter with it.
func TestEveryRemark(t *testing.T) {
	eachForm(t, "monday", 10, func(r *trial, f everyForm) {
		for item, n := range f.Remarks.Items {
			of := r.context.Routine.Items[n-1].To
			for word, o := range f.Remarks.Outcomes {
				for _, remark := range f.Remarks.Remarks {
					want := reply.Item{N: n, Outcome: o, Remark: remark}
					r.check(item+" "+word+", "+remark, reply.Reading{Items: []reply.Item{want}})
					want.Tempo = &reply.Tempo{To: of.BPM, Note: of.Note}
					r.check(item+fmt.Sprintf(f.Remarks.At, int(of.BPM))+" "+word+", "+remark, reply.Reading{Items: []reply.Item{want}})
				}
			}
		}
	})
}

// TestEveryReason tells why before a report and after it: the report must not be lost. The reason may
// be a remark on an item.
func TestEveryReason(t *testing.T) {
	eachForm(t, "monday", 10, func(r *trial, f everyForm) {
		r.remarks = true
		for _, why := range f.Reasons.Why {
			for report, want := range f.Reasons.Reports {
				r.check(why+" "+report, want)
				r.check(why+", "+report, want)
				r.check(report+", "+why, want)
			}
		}
	})
}

// TestEveryStory tells of something else before and after a report: the report must not be lost, and
// the story must change nothing in it.
func TestEveryStory(t *testing.T) {
	eachForm(t, "monday", 20, func(r *trial, f everyForm) {
		r.remarks = true
		for _, story := range f.Stories.Stories {
			for report, want := range f.Stories.Reports {
				for _, joint := range f.Stories.Joints {
					r.check(story+joint+report, want)
					r.check(report+joint+story, want)
				}
			}
		}
	})
}

// TestEveryCorrection puts right what was told before, of an item and of the day, and takes it back.
func TestEveryCorrection(t *testing.T) {
	eachForm(t, "monday", 1000, func(r *trial, f everyForm) {
		said := func(form string, n int, right, wrong float64) string {
			return strings.NewReplacer("{N}", fmt.Sprint(n), "{R}", fmt.Sprint(right), "{W}", fmt.Sprint(wrong)).Replace(form)
		}
		for i, item := range r.context.Routine.Items {
			n, was := i+1, reply.Tempo{To: item.To.BPM, Note: item.To.Note}
			last := reply.Reading{Kind: reply.Report, Day: today, Items: []reply.Item{{N: n, Outcome: routine.Clean, Tempo: &was}}}
			r.context.Last = &last
			for _, form := range f.Corrections.Tempo {
				is := reply.Tempo{To: was.To - 3, Note: was.Note}
				r.check(said(form, n, is.To, was.To), reply.Reading{Kind: reply.Correction, Items: []reply.Item{{N: n, Tempo: &is}}})
			}
			last.Items[0].Tempo = nil
			for form, o := range f.Corrections.Outcome {
				if last.Items[0].Outcome = routine.Clean; o == routine.Clean {
					last.Items[0].Outcome = routine.Shaky
				}
				r.check(said(form, n, 0, 0), reply.Reading{Kind: reply.Correction, Items: []reply.Item{{N: n, Outcome: o}}})
			}
		}
		r.context.Last = &reply.Reading{Kind: reply.Report, Day: today, All: reply.All, Minutes: 30}
		for _, form := range f.Corrections.Minutes {
			r.check(said(form, 0, 45, 30), reply.Reading{Kind: reply.Correction, Minutes: 45})
		}
		for _, text := range f.Corrections.Undo {
			r.check(text, reply.Reading{Kind: reply.Correction, Undo: true})
		}
	})
}
