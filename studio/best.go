package studio

import (
	"fmt"
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
	bests, err := t.bestsOf(&m, 1, t.Service.today(&m))
	if err != nil {
		return Post{}, err
	}
	bests = slices.DeleteFunc(bests, func(b streaks.Best) bool { return only != nil && b.Key.Line.StudyRef() != *only })
	if len(bests) == 0 {
		return text("Nothing there was clean at a tempo yet. When something is, say so with its number: “1 96 clean”.")
	}
	return Post{Title: "Personal bests, " + m.Name, Items: t.bestItems(bests)}, nil
}

// bestsOf returns a member's bests as the log of some dates has them.
func (t *turn) bestsOf(m *Member, from, to routine.Date) ([]streaks.Best, error) {
	reports, err := t.tx.Reports(m.ID, from, to)
	if err != nil {
		return nil, err
	}
	var entries []routine.Entry
	for _, r := range reports {
		entries = append(entries, r.Entries...)
	}
	return streaks.Bests(entries, t.asked), nil
}

// asked returns what a pass asks for, as the books have it.
func (t *turn) asked(key routine.StandingKey) routine.Demands {
	if study := t.books(t.studio.ID).Study(key.Line.StudyRef()); study != nil {
		if pass := study.Pass(key.Pass); pass != nil {
			return pass.Demands
		}
	}
	return routine.Demands{}
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
	parts := []string{fmt.Sprintf("%s, pass %d", studyName(t.books(t.studio.ID), k.Line.StudyRef()), k.Pass)}
	if k.Test {
		parts = append(parts, "minute test")
	}
	for _, d := range []routine.Demand{k.Articulation, k.Fingering} {
		if d != "" {
			parts = append(parts, demandWords(d))
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
		parts = append(parts, fmt.Sprintf("and %s more", count(n, "line")))
	}
	return strings.Join(parts, " · ")
}

// bestWords says one best: "line 3 quarter=96 on 2026-03-04". A minute test has
// its notes counted.
func (t *turn) bestWords(b *streaks.Best) string {
	words := fmt.Sprintf("line %d %s", b.Key.Line.Line, b.Tempo)
	if line := t.books(t.studio.ID).Line(b.Key.Line); b.Key.Test && line != nil {
		words += fmt.Sprintf(", %d notes", line.NotesInMinute(b.Tempo))
	}
	return words + " on " + b.Date.String()
}

// newBests says which bests of a student were set from a date on, at most a
// few; "" if none.
func (t *turn) newBests(m *Member, from, to routine.Date) (string, error) {
	recent, err := t.bestsOf(m, from, to)
	if err != nil {
		return "", err
	}
	var fresh []streaks.Best
	for _, b := range recent {
		beaten, err := t.beatenBy(m, &b, from)
		if err != nil {
			return "", err
		}
		if beaten {
			fresh = append(fresh, b)
		}
	}
	if len(fresh) == 0 {
		return "", nil
	}
	var parts []string
	for _, b := range fresh[:min(len(fresh), mostBests)] {
		parts = append(parts, t.bestHead(b.Key)+", "+t.bestWords(&b))
	}
	words := "New bests: " + strings.Join(parts, "; ")
	if n := len(fresh) - mostBests; n > 0 {
		words += fmt.Sprintf("; and %d more", n)
	}
	return words + ".", nil
}

// beatenBy reports whether a best is faster than all that was clean before a
// date in the same way, and something was.
func (t *turn) beatenBy(m *Member, b *streaks.Best, from routine.Date) (bool, error) {
	entries, err := t.tx.LineEntries(m.ID, b.Key.Line, b.Key.Pass)
	if err != nil {
		return false, err
	}
	entries = slices.DeleteFunc(entries, func(e routine.Entry) bool { return e.Date >= from })
	for _, old := range streaks.Bests(entries, t.asked) {
		if old.Key == b.Key {
			return b.Tempo.Compare(old.Tempo) > 0, nil
		}
	}
	return false, nil
}
