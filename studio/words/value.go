package words

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"ledgerline/routine"
	"ledgerline/routine/sound"
)

// Value returns a value as it is said in the language: what [With] may hold.
func (v *Voice) Value(value any) string {
	switch x := value.(type) {
	case string:
		return x
	case int:
		return v.Number(float64(x))
	case Phrase:
		return v.Phrase(x)
	case routine.Date:
		return v.Day(x)
	case routine.Tempo:
		return v.Tempo(x)
	case routine.NoteValue:
		return v.word("note", x.String())
	case routine.Percent:
		return v.cldr.FmtPercent(float64(x), decimals(float64(x)))
	case routine.Outcome:
		return v.word("outcome", string(x))
	case routine.State:
		return v.word("state", string(x))
	case routine.Skill:
		return v.word("skill", string(x))
	case routine.Demand:
		return v.word("demand", string(x))
	case routine.Excuse:
		return v.word("excuse", string(x))
	case sound.Doubt:
		return v.word("doubt", string(x))
	case routine.Feel:
		return v.word("feel", string(x))
	case time.Weekday:
		return v.cldr.WeekdayWide(x)
	}
	return fmt.Sprint(value)
}

// word says a constant of the domain: the message under the name of its type.
func (v *Voice) word(of, constant string) string {
	if constant == "" {
		return ""
	}
	return v.Say(of+"."+strings.ReplaceAll(constant, " ", "-"), nil)
}

// Number returns a number with the language's own signs, with at most two
// decimals.
func (v *Voice) Number(x float64) string {
	const grouped = 10_000 // in Spanish, whose minimumGroupingDigits is 2
	if v.lang == "es" && x < grouped && decimals(x) == 0 {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	return v.cldr.FmtNumber(x, decimals(x))
}

// decimals returns how many decimals a number is said with.
func decimals(x float64) uint64 {
	text := strings.TrimRight(fmt.Sprintf("%.2f", x), "0")
	return uint64(len(text) - 1 - strings.IndexByte(text, '.'))
}

// Day names a date without its year: "Wednesday 4 March".
func (v *Voice) Day(d routine.Date) string { return v.date("date.day", d) }

// Date names a date with its year: "4 March 2026".
func (v *Voice) Date(d routine.Date) string { return v.date("date.full", d) }

// Short names a date in little room: "4 Mar".
func (v *Voice) Short(d routine.Date) string { return v.date("date.short", d) }

// ShortDate is Short with the year: "4 Mar 2026".
func (v *Voice) ShortDate(d routine.Date) string { return v.date("date.short-full", d) }

// Month names the month of a date: "March".
func (v *Voice) Month(d routine.Date) string { return v.date("date.month", d) }

// MonthYear names the month of a date with its year: "March 2026".
func (v *Voice) MonthYear(d routine.Date) string { return v.date("date.month-year", d) }

// date fills one of the patterns that CLDR has for dates.
func (v *Voice) date(pattern string, d routine.Date) string {
	year, month, day := d.Calendar()
	return v.Say(pattern, With{
		"weekday": v.cldr.WeekdayWide(d.Weekday()),
		"month":   v.cldr.MonthWide(month),
		"mon":     v.shortMonth(month),
		"day":     fmt.Sprint(day),
		"year":    fmt.Sprint(year),
	})
}

// shortMonth returns the short name of a month. The library's data are of CLDR
// 36; since 38 Spanish has no full stop there.
func (v *Voice) shortMonth(m time.Month) string {
	name := v.cldr.MonthAbbreviated(m)
	if v.lang == "es" {
		return strings.TrimSuffix(name, ".")
	}
	return name
}

// Tempo returns a tempo as players write it: "quarter=96"; "" for none.
func (v *Voice) Tempo(t routine.Tempo) string {
	if t.IsZero() {
		return ""
	}
	return v.word("note", t.Note.String()) + "=" + v.BPM(t)
}

// BPM returns the number of a tempo.
func (v *Voice) BPM(t routine.Tempo) string { return v.Number(t.BPM) }

// Key returns the name of a key that a line has, "Eb" or "C minor", or of several
// with commas between.
func (v *Voice) Key(keys string) string {
	names := strings.Split(keys, ", ")
	for i, key := range names {
		tonic, mode, _ := strings.Cut(key, " ")
		if tonic == "" || len(tonic) > 2 || tonic[0] < 'A' || tonic[0] > 'G' {
			continue
		}
		tonic = v.Say("key."+strings.ToLower(strings.NewReplacer("#", "-sharp", "b", "-flat").Replace(tonic)), nil)
		switch {
		case mode != "minor":
			names[i] = v.Say("key.major", With{"key": tonic})
		case v.lang == "de":
			names[i] = v.Say("key.minor", With{"key": strings.ToLower(tonic)}) // Es-Dur, but es-Moll
		default:
			names[i] = v.Say("key.minor", With{"key": tonic})
		}
	}
	return strings.Join(names, ", ")
}

// Sentence makes a clause begin with a capital and end with a full stop.
func Sentence(s string) string {
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".?!") {
		return Capital(s)
	}
	return Capital(s) + "."
}

// Capital makes a text begin with a capital, unless its first word is written so
// and no other way: slur-atlas/2, quarter=96.
func Capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	word, _, _ := strings.Cut(s, " ")
	if size == 0 || strings.ContainsAny(word, "/=") {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}
