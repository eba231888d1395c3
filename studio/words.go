package studio

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// caution is shown whenever pain is reported. It is the usual advice of the
// trade, and no diagnosis.
const caution = "Stop playing for now and rest. Tell your teacher how it feels. If it is strong, or stays, or comes back, see a licensed health professional. This is not medical advice."

// longDate returns a date for people: "Wednesday 4 March".
func longDate(d routine.Date) string {
	_, month, day := d.Calendar()
	return fmt.Sprintf("%s %d %s", d.Weekday(), day, month)
}

// dayName names a date as seen from today.
func dayName(d, today routine.Date) string {
	switch d {
	case today:
		return "Today"
	case today - 1:
		return "Yesterday"
	}
	return longDate(d)
}

// count returns a number with its noun: "1 day", "3 days".
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// runs returns numbers as short as they can be said: "1, 3–5".
func runs(ns []int) string {
	slices.Sort(ns)
	ns = slices.Compact(ns)
	var parts []string
	for i := 0; i < len(ns); {
		j := i
		for j+1 < len(ns) && ns[j+1] == ns[j]+1 {
			j++
		}
		switch {
		case j == i:
			parts = append(parts, strconv.Itoa(ns[i]))
		case j == i+1:
			parts = append(parts, strconv.Itoa(ns[i]), strconv.Itoa(ns[j]))
		default:
			parts = append(parts, fmt.Sprintf("%d–%d", ns[i], ns[j]))
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}

// clip returns text cut to about n characters at a word.
func clip(text string, n int) string {
	runes := []rune(text)
	if len(runes) <= n {
		return text
	}
	cut := string(runes[:n])
	if i := strings.LastIndexByte(cut, ' '); i > n/2 {
		cut = cut[:i]
	}
	return cut + "…"
}

// headOf names the music of an item: "Daily Ground 2 · lines 14–16 · Eb".
func headOf(it *routine.Item) string {
	var lines []int
	for _, l := range it.Lines {
		lines = append(lines, l.Line)
	}
	noun := "line "
	if len(lines) > 1 {
		noun = "lines "
	}
	head := fmt.Sprintf("%s %d · %s%s", it.Book, it.Study.Study, noun, runs(lines))
	if it.Key != "" {
		head += " · " + it.Key
	}
	return head
}

// detailOf says how an item is played and why it is there.
func detailOf(it *routine.Item) string {
	parts := []string{it.Title, tempoPath(it.From, it.To)}
	for _, d := range it.Demands.List() {
		parts = append(parts, demandWords(d))
	}
	if it.Demands.Repeats > 1 {
		parts = append(parts, fmt.Sprintf("%d times", it.Demands.Repeats))
	}
	minutes := strconv.Itoa(it.Minutes) + " min"
	if it.Rest > 0 {
		minutes += fmt.Sprintf(", then rest %d", it.Rest)
	}
	parts = append(parts, minutes)
	parts = slices.DeleteFunc(parts, func(s string) bool { return s == "" })
	return strings.Join(parts, " · ") + "\n" + it.Reason
}

// tempoPath returns "quarter=84 to 92", or one tempo if both are the same.
func tempoPath(from, to routine.Tempo) string {
	if from.IsZero() || from == to {
		return to.String()
	}
	if from.Note == to.Note {
		return from.String() + " to " + bpm(to)
	}
	return from.String() + " to " + to.String()
}

func bpm(t routine.Tempo) string {
	_, number, _ := strings.Cut(t.String(), "=")
	return number
}

// demandWords returns a demand as a player reads it.
func demandWords(d routine.Demand) string {
	switch d {
	case routine.FreeBreath:
		return "breathe freely"
	case routine.PhraseBreath:
		return "breathe by the phrase"
	case routine.OneBreath:
		return "in one breath"
	case routine.Regular:
		return "regular fingerings"
	case routine.ThirdValve:
		return "third-valve fingerings"
	case routine.Alternate:
		return "alternate fingerings"
	case routine.SingleTongue:
		return "single-tongued"
	case routine.KTongue:
		return "K-tongued"
	case routine.DoubleTongue:
		return "double-tongued"
	case routine.TripleTongue:
		return "triple-tongued"
	}
	return string(d)
}

// receipt says back what was logged, so that a slip is seen at once.
func (t *turn) receipt(rd *reply.Reading, day routine.DayReport, entries []routine.Entry) string {
	today := t.who.dateAt(t.msg.At)
	var parts []string
	if words := entriesWords(entries); words != "" {
		parts = append(parts, words)
	}
	if rd.All == reply.Partly && len(entries) == 0 {
		parts = append(parts, "part of the routine (say which if you like, such as “all but 3”)")
	}
	if rd.All == reply.None {
		parts = append(parts, "nothing played")
	}
	if day.Minutes > 0 {
		parts = append(parts, strconv.Itoa(day.Minutes)+" min")
	}
	parts = append(parts, excuseWords(day.Excuse)...)
	if day.Feel != "" {
		parts = append(parts, "feeling "+string(day.Feel))
	}
	head := "Logged"
	if rd.Kind == reply.Correction {
		head = "Corrected"
	}
	if day.Date != today {
		head += " for " + strings.ToLower(dayName(day.Date, today)[:1]) + dayName(day.Date, today)[1:]
	}
	if len(parts) > 0 {
		head += ": " + strings.Join(parts, "; ")
	}
	lines := []string{head + "."}
	if day.Late {
		lines = append(lines, "It came after the studio's cut-off, so it is in the log but does not count for the week.")
	}
	if day.Pain {
		lines = append(lines, "Your teacher has been told. "+caution, "Nothing strenuous comes up until you write “pain gone”.")
	}
	if day.PainGone {
		lines = append(lines, "Good to hear. The next days begin gently.")
	}
	return strings.Join(lines, "\n")
}

func excuseWords(e routine.Excuse) []string {
	switch e {
	case "":
		return nil
	case routine.Ill:
		return []string{"ill, get well", "the day costs nothing"}
	case routine.RestDay:
		return []string{"a rest day"}
	case routine.Travel:
		return []string{"travelling"}
	}
	return []string{"a " + string(e) + " day"}
}

// entriesWords says entries by item, those that are alike together.
func entriesWords(entries []routine.Entry) string {
	var order []string
	items := map[string][]int{}
	for _, e := range entries {
		words := entryWords(&e)
		if items[words] == nil {
			order = append(order, words)
		}
		items[words] = append(items[words], e.Item)
	}
	slices.SortStableFunc(order, func(a, b string) int { return cmp.Compare(items[a][0], items[b][0]) })
	for i, words := range order {
		order[i] = runs(items[words]) + " " + words
	}
	return strings.Join(order, "; ")
}

func entryWords(e *routine.Entry) string {
	words := string(e.Outcome)
	if !e.To.IsZero() && e.Outcome.Played() && e.Outcome != routine.Done {
		words += " at " + tempoPath(e.From, e.To)
	} else if !e.To.IsZero() && !e.From.IsZero() {
		words += " " + tempoPath(e.From, e.To)
	} else if !e.To.IsZero() && e.Outcome.Played() {
		words += " at " + e.To.String()
	}
	if e.Approx {
		words += " or so"
	}
	switch {
	case e.Of > 0:
		words += fmt.Sprintf(", %d of %d", e.Reps, e.Of)
	case e.Reps > 0:
		words += fmt.Sprintf(", %d times", e.Reps)
	}
	if e.Minutes > 0 {
		words += fmt.Sprintf(", %d min", e.Minutes)
	}
	if e.Remark != "" {
		words += " (“" + e.Remark + "”)"
	}
	return words
}

// questionWords asks about one unclear thing.
func questionWords(q *Question) string {
	words := "In “" + clip(q.Raw, 120) + "”, I am not sure about " + q.About + ", so I have not logged that part."
	switch q.About {
	case "pain":
		return "In “" + clip(q.Raw, 120) + "”: does something hurt?"
	case "item ?":
		words = "In “" + clip(q.Raw, 120) + "”, I am not sure about the item you mean, so I have not logged that part."
	}
	if len(q.Choices) > 0 {
		return words + " Which is it?"
	}
	return words + " Please write it again, for example “2 96 clean”."
}

// weekSoFar returns one line about the week; none while the player hurts.
func weekSoFar(now *stretch) []string {
	week := now.tally.ThisWeek
	if now.hurting() || week.Planned == 0 {
		return nil
	}
	line := fmt.Sprintf("This week: %d of %s.", week.Kept, count(week.Planned, "day"))
	if now.tally.Weeks > 1 {
		line += fmt.Sprintf(" Weeks kept in a row: %d.", now.tally.Weeks)
	}
	return []string{line}
}
