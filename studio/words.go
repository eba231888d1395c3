package studio

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio/words"
)

// dayName names a date as seen from today: "yesterday", "Wednesday 4 March".
func dayName(v *voice, d, today routine.Date) string {
	switch d {
	case today:
		return v.Say("day.today", nil)
	case today - 1:
		return v.Say("day.yesterday", nil)
	}
	return v.Say("day.named", with{"day": d})
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
func headOf(v *voice, it *routine.Item) string {
	var lines []int
	for _, l := range it.Lines {
		lines = append(lines, l.Line)
	}
	head := fmt.Sprintf("%s %d · %s", it.Book, it.Study.Study, linesWords(v, lines))
	if it.Key != "" {
		head += " · " + v.Key(it.Key)
	}
	return head
}

// linesWords names lines of a study: "line 3", "lines 1–4, 6".
func linesWords(v *voice, lines []int) string {
	numbers := runs(lines)
	return v.Count("lines", len(lines), with{"lines": numbers})
}

// detailOf says how an item is played and why it is there.
func detailOf(v *voice, it *routine.Item) string {
	parts := []string{it.Title, tempoPath(v, it.From, it.To)}
	for _, d := range it.Demands.List() {
		parts = append(parts, v.Value(d))
	}
	if it.Demands.Repeats > 1 {
		parts = append(parts, v.Count("item.times", it.Demands.Repeats, nil))
	}
	if it.Rest > 0 {
		parts = append(parts, v.Say("item.minutes-rest", with{"minutes": it.Minutes, "rest": it.Rest}))
	} else {
		parts = append(parts, v.Say("minutes", with{"minutes": it.Minutes}))
	}
	if len(it.With) > 0 {
		parts = append(parts, v.Say("item.turns", with{"items": runs(slices.Clone(it.With))}))
	}
	parts = slices.DeleteFunc(parts, func(s string) bool { return s == "" })
	return strings.Join(parts, " · ") + "\n" + ReasonWords(v, it.Reason)
}

// ReasonWords says a reason of the day builder's.
func ReasonWords(v *words.Voice, r routine.Reason) string {
	w := with{}
	switch r.Kind {
	case "":
		return ""
	case routine.InWords:
		return r.Text
	case routine.BackSoon, routine.ReviewedAgain:
		w["outcome"], w["ago"] = r.Outcome, agoWords(v, r.N)
	case routine.WasLastTime:
		w["outcome"] = r.Outcome
	case routine.NewInKey, routine.ForPieceToday, routine.ForPieceTomorrow:
		w["keys"] = v.Key(r.Keys)
	case routine.AtTheGoal, routine.DayBack, routine.TakesTooLong:
		return v.Count("reason."+string(r.Kind), r.Of, with{"part": r.N})
	case routine.UpAfterClean, routine.UpAfterTwo, routine.DownAfterTwo:
		w["step"] = stepWords(v, r.Step)
	case routine.SlippedSince:
		w["pass"] = r.N
	case routine.NeedsInstrument:
		w["instrument"] = instrumentWords(v, r.Text)
	case routine.LeftOutUntil:
		w["day"] = r.Until
	case routine.FreeDay:
		w["excuse"] = r.Excuse
	}
	if r.N != 0 && len(w) == 0 {
		return v.Count("reason."+string(r.Kind), r.N, nil)
	}
	return v.Say("reason."+string(r.Kind), w)
}

// agoWords says how many days ago something was.
func agoWords(v *voice, days int) string {
	switch days {
	case 1:
		return v.Say("day.yesterday", nil)
	case 2:
		return v.Say("day.before-yesterday", nil)
	}
	return v.Count("day.ago", days, nil)
}

// stepWords says how far a tempo goes at a time.
func stepWords(v *voice, step routine.Percent) string {
	if step == 0 {
		return v.Say("step.mark", nil)
	}
	return v.Value(step)
}

// instrumentWords names an instrument as [routine.Instruments] has it.
func instrumentWords(v *voice, name string) string {
	if _, known := routine.InstrumentNamed(name); !known {
		return name
	}
	return v.Say("instrument."+strings.ReplaceAll(strings.ToLower(name), " ", "-"), nil)
}

// instrumentNamed finds an instrument by its name, in English or in the language
// spoken.
func instrumentNamed(v *voice, name string) (routine.Instrument, bool) {
	for _, i := range routine.Instruments() {
		if strings.EqualFold(instrumentWords(v, i.Name), name) {
			return i, true
		}
	}
	return routine.InstrumentNamed(name)
}

// tempoPath returns "quarter=84 to 92", or one tempo if both are the same.
func tempoPath(v *voice, from, to routine.Tempo) string {
	if from.IsZero() || from == to {
		return v.Tempo(to)
	}
	end := v.Tempo(to)
	if from.Note == to.Note {
		end = v.BPM(to)
	}
	return v.Say("tempo.path", with{"from": from, "to": end})
}

// receipt says back what was logged, so that a slip is seen at once.
func (t *turn) receipt(rd *reply.Reading, day routine.DayReport, entries []routine.Entry) string {
	v := t.voice
	head := receiptHead(v, rd.Kind, day.Date, t.who.dateAt(t.msg.At))
	if parts := receiptParts(v, rd, day, entries); len(parts) > 0 {
		head = v.Say("labelled", with{"label": head, "text": v.Apart(parts)})
	}
	lines := []string{head + "."}
	if day.Late {
		lines = append(lines, v.Say("receipt.late", nil))
	}
	if day.Pain {
		lines = append(lines, v.Say("receipt.pain", with{"caution": v.Say("caution", nil)}), v.Say("receipt.pain-until", nil))
	}
	if day.PainGone {
		lines = append(lines, v.Say("receipt.pain-gone", nil))
	}
	return strings.Join(lines, "\n")
}

// receiptHead says what was done, and for which day if it was not today.
func receiptHead(v *voice, kind reply.Kind, day, today routine.Date) string {
	corrected := kind == reply.Correction
	switch named := (with{"day": dayName(v, day, today)}); {
	case corrected && day == today:
		return v.Say("receipt.corrected", nil)
	case corrected:
		return v.Say("receipt.corrected-for", named)
	case day == today:
		return v.Say("receipt.logged", nil)
	default:
		return v.Say("receipt.logged-for", named)
	}
}

// receiptParts says the items and the day, each in a few words.
func receiptParts(v *voice, rd *reply.Reading, day routine.DayReport, entries []routine.Entry) (parts []string) {
	if items := entriesWords(v, entries); items != "" {
		parts = append(parts, items)
	}
	if rd.All == reply.Partly && len(entries) == 0 {
		parts = append(parts, v.Say("receipt.partly", nil))
	}
	if rd.All == reply.None {
		parts = append(parts, v.Say("receipt.nothing", nil))
	}
	if day.Minutes > 0 {
		parts = append(parts, v.Say("minutes", with{"minutes": day.Minutes}))
	}
	if day.Excuse != "" {
		parts = append(parts, v.Say("receipt.excuse-"+strings.ReplaceAll(string(day.Excuse), " ", "-"), nil))
	}
	if day.Feel != "" {
		parts = append(parts, v.Say("receipt.feel", with{"feel": day.Feel}))
	}
	return parts
}

// entriesWords says entries by item, those that are alike together.
func entriesWords(v *voice, entries []routine.Entry) string {
	var order []string
	items := map[string][]int{}
	for _, e := range entries {
		said := entryWords(v, &e)
		if items[said] == nil {
			order = append(order, said)
		}
		items[said] = append(items[said], e.Item)
	}
	slices.SortStableFunc(order, func(a, b string) int { return cmp.Compare(items[a][0], items[b][0]) })
	for i, said := range order {
		order[i] = runs(items[said]) + " " + said
	}
	return v.Apart(order)
}

func entryWords(v *voice, e *routine.Entry) string {
	said := v.Value(e.Outcome)
	if !e.To.IsZero() && e.Outcome.Played() && e.Outcome != routine.Done {
		said = v.Say("entry.at", with{"outcome": said, "tempo": tempoPath(v, e.From, e.To)})
	} else if !e.To.IsZero() && !e.From.IsZero() {
		said += " " + tempoPath(v, e.From, e.To)
	} else if !e.To.IsZero() && e.Outcome.Played() {
		said = v.Say("entry.at", with{"outcome": said, "tempo": e.To})
	}
	if e.Approx {
		said = v.Say("entry.approx", with{"entry": said})
	}
	switch {
	case e.Of > 0:
		said += ", " + v.Say("entry.of", with{"reps": e.Reps, "of": e.Of})
	case e.Reps > 0:
		said += ", " + v.Count("item.times", e.Reps, nil)
	}
	if e.Minutes > 0 {
		said += ", " + v.Say("minutes", with{"minutes": e.Minutes})
	}
	if e.Remark != "" {
		said += " (" + v.Say("quoted", with{"words": e.Remark}) + ")"
	}
	return said
}

// questionWords asks about one unclear thing.
func questionWords(v *voice, q *Question) string {
	raw := v.Say("quoted", with{"words": clip(q.Raw, 120)})
	if q.About == "pain" {
		return v.Say("question.pain", with{"raw": raw})
	}
	unsure := v.Say("question.unsure", with{"raw": raw, "about": aboutWords(v, q.About)})
	if len(q.Choices) > 0 {
		return unsure + " " + v.Say("question.which", nil)
	}
	return unsure + " " + v.Say("question.again", nil)
}

// choiceLabel says what a choice of a question's would log, in the words of the
// receipt; if that is nothing there are words for, the reader's own label.
func (t *turn) choiceLabel(about string, choice reply.Choice, c reply.Context) string {
	readings := t.reader.Read(choice.Text, c)
	if len(readings) != 1 || len(readings[0].Ask) > 0 {
		return choice.Label
	}
	rd, v := &readings[0], t.voice
	switch {
	case about == "pain" && rd.Pain:
		return v.Say("question.hurts", nil)
	case about == "pain":
		return v.Say("question.no-pain", nil)
	case rd.Day != c.Today && choice.Label == rd.Day.String(), rd.Day == c.Today && choice.Label == c.Today.String():
		return words.Capital(dayName(v, rd.Day, c.Today))
	}
	var parts []string
	for _, it := range rd.Items {
		e := entryOf(it, &routine.Item{N: it.N}, rd.Day)
		e.Remark = ""
		parts = append(parts, strconv.Itoa(it.N)+" "+entryWords(v, &e))
	}
	if rd.Minutes > 0 {
		parts = append(parts, v.Say("minutes", with{"minutes": rd.Minutes}))
	}
	if len(parts) == 0 {
		return choice.Label
	}
	return v.Apart(parts)
}

// aboutWords names what a question of the reader's is about.
func aboutWords(v *voice, about string) string {
	if n, ok := strings.CutPrefix(about, "item "); ok && n != "?" {
		return v.Say("about.item", with{"item": n})
	}
	switch about {
	case "item ?":
		return v.Say("about.which-item", nil)
	case "minutes":
		return v.Say("about.minutes", nil)
	case "day":
		return v.Say("about.day", nil)
	case "pain":
		return v.Say("about.pain", nil)
	}
	return v.Say("quoted", with{"words": about})
}

// weekSoFar returns one line about the week; none while the player hurts.
func weekSoFar(v *voice, now *stretch) []string {
	week := now.tally.ThisWeek
	if now.hurting() || week.Planned == 0 {
		return nil
	}
	line := v.Count("week.so-far", week.Planned, with{"kept": week.Kept})
	if now.tally.Weeks > 1 {
		line += " " + v.Count("week.in-a-row", now.tally.Weeks, nil)
	}
	return []string{line}
}
