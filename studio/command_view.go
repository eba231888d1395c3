package studio

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
)

func (t *turn) today([]string) (Post, error) {
	r, err := t.tx.Routine(t.who.ID, t.Service.today(&t.who))
	if isNotFound(err) {
		return t.answered("today.none", nil)
	}
	if err != nil {
		return Post{}, err
	}
	p := routinePost(t.voice, &r)
	p.Text = joinLines(p.Text, t.loudNow(&r))
	return p, nil
}

// about finds the student whom a command is about, and what follows her name: a
// student herself, a guardian's only ward, or whoever is named.
func (t *turn) about(args []string) (m Member, rest []string, err error) {
	if t.who.Role == Student {
		return t.who, args, nil
	}
	m, rest, err = t.member(args)
	if err != nil && t.who.Role == Guardian && len(t.who.Wards) == 1 {
		m, err = t.tx.Member(t.who.Wards[0])
		return m, args, err
	}
	if err == nil && !t.may(&m) {
		return m, nil, usage("wrong.not-your-ward", nil)
	}
	return m, rest, err
}

func (t *turn) progress(args []string) (Post, error) {
	m, args, err := t.about(args)
	if err != nil {
		return Post{}, err
	}
	key, err := t.progressKey(&m, args)
	if err != nil {
		return Post{}, err
	}
	pic, err := t.tempoPicture(t.tx, t.voice, &m, key, t.Service.today(&m))
	if err != nil {
		return Post{}, err
	}
	s, err := t.tx.Standing(m.ID, key)
	if err != nil {
		return Post{}, err
	}
	said := t.voice.Say("progress.now", with{"state": cmp.Or(s.State, routine.New)})
	if s.State == routine.Working {
		words, err := t.progressForecasts(&m, key)
		if err != nil {
			return Post{}, err
		}
		said += words
	}
	return Post{Title: pic.Tempo.Title, Text: said, Pictures: []Picture{pic}}, nil
}

// progressForecasts says when a working line, and its minute test, may be at the
// goal.
func (t *turn) progressForecasts(m *Member, key routine.StandingKey) (words string, err error) {
	plan, err := planOf(t.tx, m.ID)
	if err != nil {
		return "", err
	}
	var entry *routine.PlanEntry
	if i := slices.IndexFunc(plan.Entries, func(e routine.PlanEntry) bool { return e.Study == key.Line.StudyRef() }); i >= 0 {
		entry = &plan.Entries[i]
	}
	all, err := t.lineForecasts(t.tx, m, entry, key)
	for _, f := range all {
		words += " " + f.when(t.voice) + "."
	}
	return words, err
}

// betweenWords names a stretch of dates by months, or by days if it is short.
func betweenWords(v *voice, from, to routine.Date) string {
	y1, m1, _ := from.Calendar()
	y2, m2, _ := to.Calendar()
	switch {
	case to-from <= 21:
		return v.Say("between.days", with{"from": from, "to": to})
	case y1 == y2 && m1 == m2:
		return v.Say("between.month", with{"month": v.Month(from)})
	case y1 == y2:
		return v.Say("between.months", with{"from": v.Month(from), "to": v.Month(to)})
	}
	return v.Say("between.months", with{"from": v.MonthYear(from), "to": v.MonthYear(to)})
}

// progressKey finds the line that “progress” is about: an item of today's
// routine, a line, or else the line played last.
func (t *turn) progressKey(m *Member, args []string) (routine.StandingKey, error) {
	if len(args) == 0 {
		return t.lastPlayed(m, func(routine.StandingKey) bool { return true }, usage("wrong.nothing-logged", nil))
	}
	if n, err := strconv.Atoi(args[0]); err == nil {
		r, err := t.tx.Routine(m.ID, t.Service.today(m))
		if err != nil && !isNotFound(err) {
			return routine.StandingKey{}, err
		}
		item := r.Item(n)
		if item == nil {
			return routine.StandingKey{}, usage("wrong.no-item", with{"item": n, "n": len(r.Items)})
		}
		return routine.StandingKey{Line: item.Lines[0], Pass: item.Pass}, nil
	}
	line, _, err := t.lineOf(args)
	if err != nil {
		return routine.StandingKey{}, err
	}
	return t.lastPlayed(m, func(k routine.StandingKey) bool { return k.Line == line }, usage("wrong.line-not-played", with{"line": line}))
}

// lastPlayed returns the line played last among those for which match holds.
func (t *turn) lastPlayed(m *Member, match func(routine.StandingKey) bool, none error) (routine.StandingKey, error) {
	standings, err := t.tx.Standings(m.ID)
	if err != nil {
		return routine.StandingKey{}, err
	}
	keys := slices.DeleteFunc(slices.Collect(maps.Keys(standings)), func(k routine.StandingKey) bool { return !match(k) })
	if len(keys) == 0 {
		return routine.StandingKey{}, none
	}
	return slices.MaxFunc(keys, func(a, b routine.StandingKey) int {
		return cmp.Or(cmp.Compare(standings[a].Last, standings[b].Last), cmp.Compare(b.Line.String(), a.Line.String()), cmp.Compare(a.Pass, b.Pass))
	}), nil
}

// mostWeeks is how many weeks a calendar shows at most: a term.
const mostWeeks = 16

// weekCommand shows the last weeks of a student, four of them unless it is said
// how many.
func (t *turn) weekCommand(args []string) (Post, error) {
	m, args, err := t.about(args)
	if err != nil {
		return Post{}, err
	}
	weeks := 4
	if len(args) > 0 {
		if weeks, err = strconv.Atoi(args[0]); err != nil || weeks < 1 || weeks > mostWeeks {
			return Post{}, usage("wrong.week", with{"most": mostWeeks})
		}
	}
	now, err := t.settle(t.tx, &t.studio, &m, 0)
	if err != nil {
		return Post{}, err
	}
	if begun := int(now.today.Monday()-m.Joined.Monday())/7 + 1; weeks > 4 {
		weeks = max(4, min(weeks, begun)) // of a term that has not gone on for so long
	}
	days := routine.Date(7 * weeks)
	cal := CalendarPicture{Title: t.voice.Say("calendar.title", with{"name": m.Name}), From: now.today.Monday() + 7 - days, Weeks: weeks}
	row, err := t.calendarRow(t.tx, &t.studio, &m, cal.From, cal.From+days-1)
	if err != nil {
		return Post{}, err
	}
	cal.Rows = []CalendarRow{row}
	return Post{Title: cal.Title, Text: tallyWords(t.voice, now.tally), Pictures: []Picture{t.picture(t.voice, t.studio.ID, Picture{Calendar: &cal})}}, nil
}

func tallyWords(v *voice, t streaks.Tally) string {
	return v.Count("week.so-far", t.ThisWeek.Planned, with{"kept": t.ThisWeek.Kept}) + " " +
		v.Say("week.tally", with{"weeks": t.Weeks, "most-weeks": t.LongestWeeks, "days": t.Streak, "most-days": t.Longest})
}

// digestCommand makes the digest of this week so far, or of the dates named.
func (t *turn) digestCommand(args []string) (Post, error) {
	today := routine.DateOf(t.now(), locationOf(t.studio.Zone))
	span := Span{From: today.Monday(), To: today.Monday() + 6}
	if len(args) > 0 {
		var err error
		if span, _, err = spanOf(t.voice.Understand(args, today), called(t.voice, "digest")); err != nil {
			return Post{}, err
		}
		if span.From > today {
			return Post{}, usage("wrong.span-ahead", with{"from": span.From})
		}
	}
	p, err := t.digest(t.tx, &t.studio, t.voice, span.From, span.To)
	if err == nil && len(p.Items) == 0 {
		return t.answered("digest.nothing", with{"from": t.voice.Date(span.From), "to": t.voice.Date(span.To)})
	}
	return p, err
}

// pageDays is how many days back a student's page looks.
const pageDays = 14

func (t *turn) studentCommand(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	now, err := t.settle(t.tx, &t.studio, &m, 0)
	if err != nil {
		return Post{}, err
	}
	w, err := t.weekOf(t.tx, &t.studio, &m, now.today-pageDays+1, now.today)
	if err != nil {
		return Post{}, err
	}
	p := Post{
		Title: t.voice.Count("student.title", pageDays, with{"name": m.Name}),
		Text:  strings.Join(append(t.pointsOf(w, now.today), weekHead(t.voice, &w), tallyWords(t.voice, w.tally)), "\n"),
	}
	if err := t.planItems(&p, &m); err != nil {
		return Post{}, err
	}
	bests, err := t.newBests(&m, now.today-pageDays+1)
	if err != nil {
		return Post{}, err
	}
	remarks, err := t.Service.remarks(t.tx, t.voice, &m, now.today-pageDays+1, now.today)
	p.Foot = strings.TrimSpace(bests + "\n" + remarks)
	if err != nil {
		return Post{}, err
	}
	p.Pictures, err = t.planMap(&m)
	return p, err
}

// pointsOf says what a digest would of one student, a line each.
func (t *turn) pointsOf(w week, today routine.Date) (lines []string) {
	points := points{voice: t.voice, books: t.books(t.studio.ID), today: today}
	points.urgent([]week{w})
	points.through(&w)
	for _, it := range points.items {
		lines = append(lines, strings.TrimSpace(it.Head+". "+it.Detail))
	}
	return lines
}

// planItems adds one item for each study on the plan, with how its lines stand.
func (t *turn) planItems(p *Post, m *Member) error {
	plan, err := planOf(t.tx, m.ID)
	if err != nil {
		return err
	}
	standings, err := t.tx.Standings(m.ID)
	if err != nil {
		return err
	}
	for i, e := range plan.Entries {
		study := t.books(t.studio.ID).Study(e.Study)
		if study == nil {
			continue
		}
		p.Items = append(p.Items, PostItem{
			N: i + 1, Head: entryHead(t.voice, study, &e, t.Service.today(m)), Detail: statesWords(t.voice, study, &e, standings),
		})
	}
	return nil
}

// entryHead says how a study is on a plan, with all that the teacher has set.
func entryHead(v *voice, study *routine.Study, e *routine.PlanEntry, today routine.Date) string {
	parts := []string{v.Say("study-pass", with{"study": e.Study.String() + " " + study.Title, "pass": e.Pass})}
	say := func(id string, w with) { parts = append(parts, v.Say(id, w)) }
	if e.Since != 0 {
		say("plan.since", with{"date": v.Date(e.Since)})
	}
	if e.Hold {
		say("plan.held", nil)
	}
	if !e.Lock.IsZero() {
		say("plan.locked", with{"tempo": e.Lock})
	}
	for _, d := range e.Add.List() {
		parts = append(parts, v.Value(d))
	}
	if e.Together > 0 {
		parts = append(parts, v.Count("plan.together", e.Together, nil))
	}
	if e.Ladder > 0 {
		say("plan.ladder", with{"step": e.Ladder})
	}
	if e.TestEvery > 0 {
		parts = append(parts, v.Count("plan.test", e.TestEvery, nil))
	}
	for _, s := range e.Skips {
		if s.Until > today {
			say("plan.skip", with{"line": s.Line, "day": s.Until})
		}
	}
	return strings.Join(parts, ", ")
}

// statesWords says which lines of a study stand how.
func statesWords(v *voice, study *routine.Study, e *routine.PlanEntry, standings map[routine.StandingKey]routine.Standing) string {
	lines := map[routine.State][]int{}
	for _, l := range study.Lines {
		if len(e.Lines) > 0 && !slices.Contains(e.Lines, l.Number) {
			continue
		}
		s := standings[routine.StandingKey{Line: e.Study.Line(l.Number), Pass: e.Pass}]
		state := cmp.Or(s.State, routine.New)
		lines[state] = append(lines[state], l.Number)
	}
	var parts []string
	for _, state := range []routine.State{routine.Ready, routine.Slipped, routine.AtTempo, routine.Working, routine.New, routine.Passed} {
		if len(lines[state]) > 0 {
			parts = append(parts, v.Value(state)+" "+runs(lines[state]))
		}
	}
	return strings.Join(parts, " · ")
}

// mostRemarks is how many remarks a student's page quotes.
const mostRemarks = 6

// remarks quotes what the student said, word for word, newest first.
func (s *Service) remarks(tx Tx, v *voice, m *Member, from, to routine.Date) (string, error) {
	reports, err := tx.Reports(m.ID, from, to)
	if err != nil {
		return "", err
	}
	var lines []string
	for _, r := range slices.Backward(reports) {
		for _, e := range r.Entries {
			if e.Remark != "" && len(lines) < mostRemarks {
				lines = append(lines, v.Say("remark", with{"day": e.Date, "item": e.Item, "remark": e.Remark}))
			}
		}
	}
	return strings.Join(lines, "\n"), nil
}

func (t *turn) booksCommand([]string) (Post, error) {
	var p Post
	p.Title = t.voice.Say("books.title", nil)
	n := 0
	for _, b := range t.books(t.studio.ID).Books {
		for _, s := range b.Studies {
			n++
			ref := routine.StudyRef{Book: b.ID, Study: s.Number}
			p.Items = append(p.Items, PostItem{N: n, Head: ref.String() + " · " + s.Title,
				Detail: t.voice.Count("books.study", len(s.Lines), with{"skill": s.Skill, "passes": len(s.Passes)})})
		}
	}
	return p, nil
}
