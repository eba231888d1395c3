package studio

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ledgerline/routine"
)

// askHow sends a student a kind question in the teacher's name.
func (t *turn) askHow(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	now, err := t.settle(t.tx, &t.studio, &m, 0)
	if err != nil {
		return Post{}, err
	}
	v := t.Service.voice(&m)
	question := v.Say("ask.quiet", nil)
	if now.hurting() {
		question = v.Say("ask.hurting", nil)
	}
	err = t.tell(t.tx, &m, Post{
		Key: t.key("asked"), Kind: AnswerPost,
		Title: v.Say("tell.from", with{"name": t.who.Name}), Text: question,
	})
	return t.done(err, "ask.done", with{"name": m.Name})
}

// seen closes what a student asked or what was not understood: one of these by
// its number, or all.
func (t *turn) seen(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	only := int64(0)
	if len(rest) > 0 {
		if only, err = strconv.ParseInt(rest[0], 10, 64); err != nil {
			return Post{}, usage("wrong.seen", with{"name": m.Name})
		}
	}
	err = t.closeQuestions(m.ID, func(q Question) bool { return only == 0 || q.ID == only })
	return t.done(err, "seen.done", with{"name": m.Name})
}

// overview shows how every student's plan stands, in a few figures.
func (t *turn) overview([]string) (Post, error) {
	members, err := t.tx.Members(t.studio.ID)
	if err != nil {
		return Post{}, err
	}
	p := Post{Title: t.voice.Say("overview.title", with{"name": t.studio.Name})}
	for _, m := range members {
		if m.Role != Student || m.Left != 0 {
			continue
		}
		counts, err := t.stateCounts(&m)
		if err != nil {
			return Post{}, err
		}
		p.Items = append(p.Items, PostItem{N: len(p.Items) + 1, Head: m.Name, Detail: countsWords(t.voice, counts), Member: m.ID})
	}
	if len(p.Items) == 0 {
		return t.answered("digest.nobody", nil)
	}
	return p, nil
}

// stateOrder is the order in which states are told: from the furthest back.
var stateOrder = []routine.State{routine.New, routine.Slipped, routine.Working, routine.AtTempo, routine.Ready, routine.Passed}

// stateCounts counts the lines on a student's plan by how they stand.
func (t *turn) stateCounts(m *Member) (map[routine.State]int, error) {
	plan, err := planOf(t.tx, m.ID)
	if err != nil {
		return nil, err
	}
	standings, err := t.tx.Standings(m.ID)
	if err != nil {
		return nil, err
	}
	counts := map[routine.State]int{}
	for _, e := range plan.Entries {
		study := t.books(m.Studio).Study(e.Study)
		if study == nil {
			continue
		}
		for _, l := range study.Lines {
			if len(e.Lines) > 0 && !slices.Contains(e.Lines, l.Number) {
				continue
			}
			state := standings[routine.StandingKey{Line: e.Study.Line(l.Number), Pass: e.Pass}].State
			if state == "" {
				state = routine.New
			}
			counts[state]++
		}
	}
	return counts, nil
}

func countsWords(v *voice, counts map[routine.State]int) string {
	var parts []string
	for _, state := range slices.Backward(stateOrder) {
		if n := counts[state]; n > 0 {
			parts = append(parts, fmt.Sprintf("%s %d", v.Value(state), n))
		}
	}
	return strings.Join(parts, " · ")
}
