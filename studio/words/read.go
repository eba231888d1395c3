package words

import (
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"ledgerline/routine"
)

// longestPhrase is how many words at most stand for one thing: "4 de marzo de 2026".
const longestPhrase = 5

// Understand returns words of the language as commands know them: those of the
// messages "meant.", demands, reasons and note values by their English names, and
// dates as year-month-day, those without a year as the nearest to today. What it
// does not know it leaves as it stands.
func (v *Voice) Understand(said []string, today routine.Date) (known []string) {
	meanings := v.meanings()
	for i := 0; i < len(said); {
		n := min(longestPhrase, len(said)-i)
		for ; n > 0; n-- {
			if meant := v.meant(strings.Join(said[i:i+n], " "), meanings, today); meant != "" {
				known = append(known, meant)
				break
			}
		}
		if n == 0 {
			known = append(known, said[i])
			n = 1
		}
		i += n
	}
	return known
}

// Calls reports whether a word is the name of a command in the language.
func (v *Voice) Calls(word string) bool { return v.commands()[Fold(word)] }

func (v *Voice) readCommands() map[string]bool {
	all := map[string]bool{}
	for _, text := range v.Forms("called.") {
		all[Fold(text["other"])] = true
	}
	return all
}

func (v *Voice) readMeanings() map[string]string {
	all := map[string]string{}
	for id, text := range v.Forms("meant.", "demand.", "excuse.", "note.") {
		_, meant, _ := strings.Cut(id, ".")
		for _, word := range strings.Split(text["other"], ", ") {
			all[Fold(word)] = meant
		}
	}
	return all
}

func (v *Voice) meant(phrase string, meanings map[string]string, today routine.Date) string {
	folded := Fold(phrase)
	if note, number, tempo := strings.Cut(folded, "="); tempo && meanings[note] != "" {
		return meanings[note] + "=" + strings.ReplaceAll(number, ",", ".")
	}
	if meant := meanings[folded]; meant != "" {
		return meant
	}
	for ahead, day := range []string{v.Say("day.yesterday", nil), v.Say("day.today", nil), v.Say("day.tomorrow", nil)} {
		if folded == Fold(day) {
			return (today + routine.Date(ahead-1)).String()
		}
	}
	if m := clockTime.FindStringSubmatch(folded); m != nil {
		return m[1] + ":" + m[2]
	}
	if d, ok := v.readDate(folded, today); ok {
		return d.String()
	}
	return ""
}

var (
	clockTime = regexp.MustCompile(`^(\d{1,2})h(\d\d)$`)
	numbers   = regexp.MustCompile(`^(\d{1,2})(?:/(\d{1,2})(?:/(\d{4}))?|\.(\d{1,2})\.(\d{4})?)$`)
	named     = regexp.MustCompile(`^(\d{1,2})(?:\.|er)? (?:de )?([a-z]{3,})\.?(?: (?:de )?(\d{4}))?$`)
)

// readDate reads a date with its day first: "4.3.2026", "4/3", "4 March".
func (v *Voice) readDate(s string, today routine.Date) (routine.Date, bool) {
	if m := numbers.FindStringSubmatch(s); m != nil {
		return dateNear(m[3]+m[5], number(m[2]+m[4]), number(m[1]), today)
	}
	m := named.FindStringSubmatch(s)
	if m == nil {
		return 0, false
	}
	for month := time.January; month <= time.December; month++ {
		if strings.HasPrefix(Fold(v.cldr.MonthWide(month)), m[2]) {
			return dateNear(m[3], int(month), number(m[1]), today)
		}
	}
	return 0, false
}

func number(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}

// dateNear returns a date; without a year the one nearest to today.
func dateNear(year string, month, day int, today routine.Date) (near routine.Date, ok bool) {
	y, _, _ := today.Calendar()
	from, to := y-1, y+1
	if year != "" {
		from, to = number(year), number(year)
	}
	for y := from; y <= to; y++ {
		d := routine.NewDate(y, time.Month(month), day)
		_, m, on := d.Calendar()
		if int(m) == month && on == day && (!ok || max(d-today, today-d) < max(near-today, today-near)) {
			near, ok = d, true
		}
	}
	return near, ok
}

// Fold returns a text in small letters without accents, for comparing what was
// written in haste.
func Fold(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Mn, r):
			return -1
		case r == '’':
			return '\''
		}
		return unicode.ToLower(r)
	}, norm.NFD.String(s))
}
