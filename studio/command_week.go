package studio

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ledgerline/routine"
	"ledgerline/studio/words"
)

// askHow sends a student a kind question in the teacher's name: the same one again
// only when she has written since.
func (t *turn) askHow(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	now, err := t.settle(t.tx, &t.studio, &m, 0)
	if err != nil {
		return Post{}, err
	}
	last, err := t.lastWord(&m)
	if err != nil {
		return Post{}, err
	}
	v := t.Service.voice(&m)
	about, question := "quiet", v.Say("ask.quiet", nil)
	if now.hurting() {
		about, question = "hurting", v.Say("ask.hurting", nil)
	}
	isNew, err := t.tellOnce(t.tx, &m, Post{
		Key: Key(fmt.Sprintf("asked/%s/%d", about, last)), Kind: AnswerPost,
		Title: v.Say("tell.from", with{"name": t.who.Name}), Text: question,
	})
	if err == nil && !isNew {
		err = usage("wrong.asked-already", with{"name": m.Name})
	}
	return t.done(err, "ask.done", with{"name": m.Name})
}

// lastWord returns the inbox number of what a student wrote last on a private line
// or in her thread; 0 if nothing is known.
func (t *turn) lastWord(m *Member) (inbox int64, err error) {
	var places []Address
	for _, a := range m.Accounts {
		places = append(places, Address{Platform: a.Platform, Account: a.ID})
	}
	if at, ok := t.studio.ThreadOf(m.ID); ok {
		places = append(places, at)
	}
	for _, at := range places {
		said, err := t.tx.Transcript(at, digestsBack)
		if err != nil {
			return 0, err
		}
		for _, one := range said {
			if one.Message != nil && slices.Contains(m.Accounts, one.Message.Author) {
				inbox = max(inbox, one.Message.Inbox)
			}
		}
	}
	return inbox, nil
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
	closed := false
	err = t.closeQuestions(m.ID, func(q Question) bool {
		meant := only == 0 || q.ID == only
		closed = closed || meant
		return meant
	})
	if err == nil && !closed {
		return Post{}, usage("wrong.seen-none", with{"name": m.Name})
	}
	return t.done(err, "seen.done", with{"name": m.Name})
}

// overview shows how the lines on every student's plan stand, in figures and in a
// picture.
func (t *turn) overview([]string) (Post, error) {
	members, err := t.tx.Members(t.studio.ID)
	if err != nil {
		return Post{}, err
	}
	p := Post{Title: t.voice.Say("overview.title", with{"name": t.studio.Name})}
	var rows []MapRow
	for _, m := range members {
		if m.Role != Student || m.Left != 0 {
			continue
		}
		studies, err := t.planRows(&m)
		if err != nil {
			return Post{}, err
		}
		row := MapRow{Name: m.Name}
		for _, study := range studies {
			for _, cell := range study.Cells {
				row.Cells = append(row.Cells, MapCell{State: cell.State})
			}
		}
		slices.SortStableFunc(row.Cells, func(a, b MapCell) int {
			return slices.Index(stateOrder, b.State) - slices.Index(stateOrder, a.State)
		})
		rows = append(rows, row)
		p.Items = append(p.Items, PostItem{N: len(rows), Head: m.Name, Detail: row.Words(t.voice), Member: m.ID})
	}
	if len(rows) == 0 {
		return t.answered("digest.nobody", nil)
	}
	for some := range slices.Chunk(rows, mostRows) {
		p.Pictures = append(p.Pictures, t.picture(t.voice, t.studio.ID, Picture{Map: &MapPicture{Title: p.Title, Rows: some}}))
	}
	return p, nil
}

// stateOrder is the order in which states are told: from the furthest back.
var stateOrder = []routine.State{routine.New, routine.Slipped, routine.Working, routine.AtTempo, routine.Ready, routine.Passed}

// planRows returns how the lines of each study on a student's plan stand.
func (t *turn) planRows(m *Member) ([]MapRow, error) {
	plan, err := planOf(t.tx, m.ID)
	if err != nil {
		return nil, err
	}
	return t.mapRows(m, plan)
}

// mapRows returns how the lines of each study of a plan stand, as a student plays
// them.
func (t *turn) mapRows(m *Member, plan routine.Plan) (rows []MapRow, err error) {
	standings, err := t.tx.Standings(m.ID)
	if err != nil {
		return nil, err
	}
	books := t.books(m.Studio)
	for _, e := range plan.Entries {
		study := books.Study(e.Study)
		if study == nil {
			continue
		}
		row := MapRow{Name: t.voice.Say("study-pass", with{"study": studyName(books, e.Study), "pass": e.Pass})}
		for _, l := range study.Lines {
			if len(e.Lines) > 0 && !slices.Contains(e.Lines, l.Number) {
				continue
			}
			state := standings[routine.StandingKey{Line: e.Study.Line(l.Number), Pass: e.Pass}].State
			row.Cells = append(row.Cells, MapCell{N: l.Number, State: cmp.Or(state, routine.New)})
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// planMap returns the map of a student's plan, line by line; none of an empty one.
func (t *turn) planMap(m *Member) ([]Picture, error) {
	rows, err := t.planRows(m)
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	title := t.voice.Say("map.title", with{"name": m.Name})
	return []Picture{t.picture(t.voice, t.studio.ID, Picture{Map: &MapPicture{Title: title, Rows: rows}})}, nil
}

// mapCommand shows how each line stands of the studies on a student's plan, or of
// one study.
func (t *turn) mapCommand(args []string) (Post, error) {
	m, args, err := t.about(args)
	if err != nil {
		return Post{}, err
	}
	plan, err := planOf(t.tx, m.ID)
	if err != nil {
		return Post{}, err
	}
	if len(args) > 0 {
		ref, _, err := t.studyOf(args)
		if err != nil {
			return Post{}, err
		}
		_, e, err := t.entryFor(m, ref)
		if err != nil {
			return Post{}, err
		}
		plan.Entries = []routine.PlanEntry{*e}
	}
	p := Post{Title: t.voice.Say("map.title", with{"name": m.Name})}
	rows, err := t.mapRows(&m, plan)
	if err != nil || len(rows) == 0 {
		return t.done(err, "map.none", with{"name": m.Name})
	}
	for i, row := range rows {
		p.Items = append(p.Items, PostItem{N: i + 1, Head: row.Name, Detail: row.Words(t.voice)})
	}
	p.Pictures = []Picture{t.picture(t.voice, t.studio.ID, Picture{Map: &MapPicture{Title: p.Title, Rows: rows}})}
	return p, nil
}

// Words says how the lines of a row stand: which ones, or of lines without numbers
// how many.
func (r *MapRow) Words(v *words.Voice) string {
	all := map[routine.State][]int{}
	numbered := false
	for _, c := range r.Cells {
		all[c.State] = append(all[c.State], c.N)
		numbered = numbered || c.N > 0
	}
	var parts []string
	for _, state := range slices.Backward(stateOrder) {
		switch lines := all[state]; {
		case len(lines) == 0:
		case numbered:
			parts = append(parts, v.Value(state)+" "+runs(lines))
		default:
			parts = append(parts, fmt.Sprintf("%s %d", v.Value(state), len(lines)))
		}
	}
	return strings.Join(parts, " · ")
}
