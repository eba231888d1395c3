package words

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/nicksnyder/go-i18n/v2/i18n"
)

// TestEveryLanguageHasEveryMessage lists what a language lacks: messages, plural
// forms and placeholders.
func TestEveryLanguageHasEveryMessage(t *testing.T) {
	x := New()
	for _, missing := range missing(x) {
		t.Error(missing)
	}
	if n := len(x.IDs()); n < 300 {
		t.Errorf("only %d messages were looked at", n)
	}
}

// missing compares every language with English.
func missing(x *Lexicon) (faults []string) {
	for _, lang := range Languages() {
		for _, id := range x.IDs() {
			m, source := x.messages[lang][id], x.messages[English][id]
			switch {
			case m == nil:
				faults = append(faults, lang+" has no "+id)
			case counts(m) != counts(source):
				faults = append(faults, lang+" and English do not both count in "+id)
			case !slices.Equal(names(m.Other), names(source.Other)):
				faults = append(faults, lang+" has other placeholders in "+id+": "+strings.Join(names(m.Other), ", "))
			case counts(m) && !slices.Equal(names(m.One), names(m.Other)) && !lacksOnlyN(m):
				faults = append(faults, lang+" has other placeholders for one than for more in "+id)
			}
		}
		for id := range x.messages[lang] {
			if x.messages[English][id] == nil {
				faults = append(faults, lang+" has "+id+", which English has not")
			}
		}
	}
	return faults
}

// counts reports whether a message has plural forms. The four languages have two
// each for the numbers that occur.
func counts(m *i18n.Message) bool { return m.One != "" }

// lacksOnlyN reports whether the form for one leaves its number out, as in "the
// last day".
func lacksOnlyN(m *i18n.Message) bool {
	return slices.Equal(slices.Sorted(slices.Values(append(names(m.One), "n"))), names(m.Other))
}

// TestAMissingMessageIsListed takes one message, one plural form and one
// placeholder away and checks that each is noticed.
func TestAMissingMessageIsListed(t *testing.T) {
	x := New()
	de := maps.Clone(x.messages["de"])
	delete(de, "reminder")
	one := *de["week.so-far"]
	one.One = ""
	de["week.so-far"] = &one
	other := *de["tell.done"]
	other.Other = "Weitergegeben."
	de["tell.done"] = &other
	x.messages["de"] = de
	got := strings.Join(missing(x), "\n")
	for _, want := range []string{"de has no reminder", "do not both count in week.so-far", "other placeholders in tell.done"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not among what is missing: %s", want, got)
		}
	}
}

// TestPlaceholdersAreNames checks every text for a brace that is no placeholder.
func TestPlaceholdersAreNames(t *testing.T) {
	x := New()
	for lang, messages := range x.messages {
		for id, m := range messages {
			for form, text := range forms(m) {
				if _, err := parse(text); err != nil {
					t.Errorf("%s, %s, %s: %v", lang, id, form, err)
				}
			}
		}
	}
}
