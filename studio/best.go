package studio

import (
	"slices"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// best shows the personal bests of a student, all or those of one study: to
// herself, or to a teacher who names her.
func (t *turn) best(args []string) (Post, error) {
	m, err := t.who, error(nil)
	if t.who.Role != Student {
		if m, args, err = t.member(args); err != nil {
			return Post{}, err
		}
	}
	var only *routine.StudyRef
	if len(args) > 0 {
		ref, _, err := t.studyOf(args)
		if err != nil {
			return Post{}, err
		}
		only = &ref
	}
	bests, err := t.tx.Bests(m.ID)
	if err != nil {
		return Post{}, err
	}
	bests = slices.DeleteFunc(bests, func(b streaks.Best) bool { return only != nil && b.Key.Line.StudyRef() != *only })
	if len(bests) == 0 {
		return t.answered("best.none", nil)
	}
	return Post{Title: t.voice.Say("best.title", with{"name": m.Name}), Items: t.bestItems(bests)}, nil
}

// bestGroup puts bests together: all lines of a study that were played alike.
type bestGroup struct {
	study streaks.BestKey // its line is 0
	bests []streaks.Best
}

// bestItems shows bests as items, one for each study, pass and way of playing,
// in the order they come.
func (t *turn) bestItems(bests []streaks.Best) []PostItem {
	var groups []bestGroup
	for _, b := range bests {
		key := b.Key
		key.Line.Line = 0
		i := slices.IndexFunc(groups, func(g bestGroup) bool { return g.study == key })
		if i < 0 {
			i = len(groups)
			groups = append(groups, bestGroup{study: key})
		}
		groups[i].bests = append(groups[i].bests, b)
	}
	var items []PostItem
	for i, g := range groups {
		items = append(items, PostItem{N: i + 1, Head: t.bestHead(g.study), Detail: t.bestDetail(g.bests)})
	}
	return items
}

// bestHead names what was played, and how.
func (t *turn) bestHead(k streaks.BestKey) string {
	parts := []string{t.voice.Say("study-pass", with{"study": studyName(t.books(t.studio.ID), k.Line.StudyRef()), "pass": k.Pass})}
	if k.Test {
		parts = append(parts, t.voice.Say("best.minute-test", nil))
	}
	for _, d := range []routine.Demand{k.Articulation, k.Fingering} {
		if d != "" {
			parts = append(parts, t.voice.Value(d))
		}
	}
	return strings.Join(parts, " · ")
}

// mostBests is how many lines of one study are spelled out.
const mostBests = 5

// bestDetail lists bests, the fastest first.
func (t *turn) bestDetail(bests []streaks.Best) string {
	slices.SortStableFunc(bests, func(a, b streaks.Best) int { return b.Tempo.Compare(a.Tempo) })
	var parts []string
	for _, b := range bests[:min(len(bests), mostBests)] {
		parts = append(parts, t.bestWords(&b))
	}
	if n := len(bests) - mostBests; n > 0 {
		parts = append(parts, t.voice.Count("best.more-lines", n, nil))
	}
	return strings.Join(parts, " · ")
}

// bestWords says one best: "line 3 quarter=96 on 4 March 2026". A minute test has
// its notes counted.
func (t *turn) bestWords(b *streaks.Best) string {
	how := t.voice.Tempo(b.Tempo)
	if line := t.books(t.studio.ID).Line(b.Key.Line); b.Key.Test && line != nil {
		how += ", " + t.voice.Count("best.notes", line.NotesInMinute(b.Tempo), nil)
	}
	return t.voice.Say("best.line", with{"line": b.Key.Line.Line, "tempo": how, "date": t.voice.Date(b.Date)})
}

// newBests says which bests of a student were set from a date on, at most a
// few; "" if none.
func (t *turn) newBests(m *Member, from routine.Date) (string, error) {
	bests, err := t.tx.Bests(m.ID)
	if err != nil {
		return "", err
	}
	var parts []string
	more := 0
	for _, b := range bests {
		if b.Date < from {
			continue
		}
		if beaten, err := t.beatenBy(m, &b, from); err != nil {
			return "", err
		} else if !beaten {
			continue
		}
		if len(parts) < mostBests {
			parts = append(parts, t.bestHead(b.Key)+", "+t.bestWords(&b))
		} else {
			more++
		}
	}
	if len(parts) == 0 {
		return "", nil
	}
	said := t.voice.Apart(parts)
	if more > 0 {
		said = t.voice.Apart([]string{said, t.voice.Say("best.more", with{"number": more})})
	}
	return t.voice.Say("best.new", with{"bests": said}), nil
}

// beatenBy reports whether something was clean before a date in the same way as
// a best of that date or later.
func (t *turn) beatenBy(m *Member, b *streaks.Best, from routine.Date) (bool, error) {
	entries, err := t.tx.LineEntries(m.ID, b.Key.Line, b.Key.Pass)
	if err != nil {
		return false, err
	}
	entries = slices.DeleteFunc(entries, func(e routine.Entry) bool { return e.Date >= from })
	return slices.ContainsFunc(streaks.Bests(entries, b.Key.Line), func(old streaks.Best) bool { return old.Key == b.Key }), nil
}
