package words

import (
	"encoding/json"
	"os"
	"strconv"
	"strings"
	"testing"

	"ledgerline/routine"
)

// cldrData is what another implementation of CLDR says: the file was written by
// Node's Intl, whose ICU and CLDR it names. English there is en-GB.
type cldrData struct {
	Source  string
	Dates   map[string]map[routine.Date]map[string]string
	Plurals map[string]map[string]string
	Numbers map[string]map[string]string
}

func readCLDR(t *testing.T) (d cldrData) {
	t.Helper()
	data, err := os.ReadFile("testdata/cldr.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &d); err != nil {
		t.Fatal(err)
	}
	return d
}

// TestDatesAreThoseOfCLDR checks every pattern on a date of each month.
func TestDatesAreThoseOfCLDR(t *testing.T) {
	data, x := readCLDR(t), New()
	checked := 0
	for lang, dates := range data.Dates {
		v := x.In(lang)
		for d, want := range dates {
			for pattern, text := range want {
				if lang == "en" { // “Sept” is newer than the library's data
					text = strings.TrimSuffix(strings.Replace(text+" ", "Sept ", "Sep ", 1), " ")
				}
				if got := v.date("date."+pattern, d); got != text {
					t.Errorf("%s, %s of %v: %q, want %q (%s)", lang, pattern, d, got, text, data.Source)
				}
				checked++
			}
		}
	}
	if checked != 4*12*6 {
		t.Errorf("%d dates were checked", checked)
	}
}

// TestPluralFormsAreThoseOfCLDR says a message for 0, 1, 2 and more, and checks
// which of its forms was taken. French counts 0 as one.
func TestPluralFormsAreThoseOfCLDR(t *testing.T) {
	data, x := readCLDR(t), New()
	for lang, rules := range data.Plurals {
		m := x.messages[lang]["books.study"]
		for number, form := range rules {
			n, _ := strconv.Atoi(number)
			w := With{"skill": "x", "passes": 2}
			want, err := parse(map[string]string{"one": m.One, "other": m.Other}[form])
			if err != nil || len(want) == 0 {
				t.Fatalf("%s has no form %s: %v", lang, form, err)
			}
			w["n"] = n
			text, _ := parsed(want).Execute(filling{x.In(lang), w})
			if got := x.In(lang).Count("books.study", n, w); got != text {
				t.Errorf("%s, %d: %q, want %q (%s)", lang, n, got, text, data.Source)
			}
		}
	}
	if got := x.In("fr").Count("day.ago", 0, nil); got != "il y a 0 jour" {
		t.Errorf("none in French is %q", got)
	}
}

func TestNumbersAreThoseOfCLDR(t *testing.T) {
	data, x := readCLDR(t), New()
	for lang, numbers := range data.Numbers {
		for number, want := range numbers {
			n, _ := strconv.ParseFloat(number, 64)
			if got := x.In(lang).Number(n); got != want {
				t.Errorf("%s, %s: %q, want %q (%s)", lang, number, got, want, data.Source)
			}
		}
	}
}
