package studio

import (
	"cmp"
	"fmt"
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
		return text("There is no routine for today.")
	}
	if err != nil {
		return Post{}, err
	}
	return routinePost(&r), nil
}

func (t *turn) progress(args []string) (Post, error) {
	key, err := t.progressKey(args)
	if err != nil {
		return Post{}, err
	}
	pic, err := t.tempoPicture(t.tx, &t.who, key)
	if err != nil {
		return Post{}, err
	}
	s, err := t.tx.Standing(t.who.ID, key)
	if err != nil {
		return Post{}, err
	}
	text := "Now " + string(s.State) + "."
	if words, err := t.forecast(key, s); err != nil {
		return Post{}, err
	} else if words != "" {
		text += " " + words
	}
	return Post{Title: pic.Tempo.Title, Text: text, Pictures: []Picture{pic}}, nil
}

// forecast says when a working line is likely to be clean at its goal, or why
// that can't be said.
func (t *turn) forecast(key routine.StandingKey, s routine.Standing) (string, error) {
	rule, known := t.rule(t.studio.ID, key)
	if !known || rule.Goal.IsZero() || s.State != routine.Working {
		return "", nil
	}
	entries, err := t.tx.LineEntries(t.who.ID, key.Line, key.Pass)
	if err != nil {
		return "", err
	}
	f := streaks.ForecastOf(entries, rule.Goal, t.Service.today(&t.who))
	if f.None != "" {
		return fmt.Sprintf("No forecast yet: %s.", f.None), nil
	}
	return fmt.Sprintf("If it goes on like this, %s is likely %s.", rule.Goal, betweenWords(f.From, f.To)), nil
}

// betweenWords names a stretch of dates by months, or by days if it is short.
func betweenWords(from, to routine.Date) string {
	y1, m1, _ := from.Calendar()
	y2, m2, _ := to.Calendar()
	switch {
	case to-from <= 21:
		return "between " + longDate(from) + " and " + longDate(to)
	case y1 == y2 && m1 == m2:
		return fmt.Sprintf("in %s", m1)
	case y1 == y2:
		return fmt.Sprintf("between %s and %s", m1, m2)
	}
	return fmt.Sprintf("between %s %d and %s %d", m1, y1, m2, y2)
}

// progressKey finds the line that “progress” is about: an item of today's
// routine, a line, or else the line played last.
func (t *turn) progressKey(args []string) (routine.StandingKey, error) {
	if len(args) == 0 {
		return t.lastPlayed(func(routine.StandingKey) bool { return true }, "Nothing is logged yet. After your first reply there is something to show.")
	}
	if n, err := strconv.Atoi(args[0]); err == nil {
		r, err := t.tx.Routine(t.who.ID, t.Service.today(&t.who))
		if err != nil && !isNotFound(err) {
			return routine.StandingKey{}, err
		}
		item := r.Item(n)
		if item == nil {
			return routine.StandingKey{}, usage(fmt.Sprintf("today's routine has no item %d; it has %s", n, count(len(r.Items), "item")))
		}
		return routine.StandingKey{Line: item.Lines[0], Pass: item.Pass}, nil
	}
	line, _, err := t.lineOf(args)
	if err != nil {
		return routine.StandingKey{}, err
	}
	return t.lastPlayed(func(k routine.StandingKey) bool { return k.Line == line }, line.String()+" has not been played yet.")
}

// lastPlayed returns the line played last among those for which match holds.
func (t *turn) lastPlayed(match func(routine.StandingKey) bool, none string) (routine.StandingKey, error) {
	standings, err := t.tx.Standings(t.who.ID)
	if err != nil {
		return routine.StandingKey{}, err
	}
	keys := slices.DeleteFunc(slices.Collect(maps.Keys(standings)), func(k routine.StandingKey) bool { return !match(k) })
	if len(keys) == 0 {
		return routine.StandingKey{}, usage(none)
	}
	return slices.MaxFunc(keys, func(a, b routine.StandingKey) int {
		return cmp.Or(cmp.Compare(standings[a].Last, standings[b].Last), cmp.Compare(b.Line.String(), a.Line.String()), cmp.Compare(a.Pass, b.Pass))
	}), nil
}

// weekCommand shows four weeks of a student: her own, or for a guardian or a
// teacher the one named.
func (t *turn) weekCommand(args []string) (Post, error) {
	m, err := t.weekMember(args)
	if err != nil {
		return Post{}, err
	}
	now, err := t.settle(t.tx, &t.studio, &m, 0)
	if err != nil {
		return Post{}, err
	}
	cal := CalendarPicture{Title: "Days kept, " + m.Name, From: now.today.Monday() - 21, Weeks: 4}
	row, err := t.calendarRow(t.tx, &t.studio, &m, cal.From, cal.From+27)
	if err != nil {
		return Post{}, err
	}
	cal.Rows = []CalendarRow{row}
	return Post{Title: cal.Title, Text: tallyWords(now.tally), Pictures: []Picture{t.picture(Picture{Calendar: &cal})}}, nil
}

func (t *turn) weekMember(args []string) (Member, error) {
	if t.who.Role == Student {
		return t.who, nil
	}
	if t.who.Role == Guardian && len(args) == 0 && len(t.who.Wards) == 1 {
		return t.tx.Member(t.who.Wards[0])
	}
	m, _, err := t.member(args)
	if err == nil && t.who.Role == Guardian && !slices.Contains(t.who.Wards, m.ID) {
		return m, usage("you can see only the week of a student you are the guardian of")
	}
	return m, err
}

func tallyWords(t streaks.Tally) string {
	return fmt.Sprintf("This week: %d of %s. Weeks kept in a row: %d (most: %d). Scheduled days in a row: %d (most: %d).",
		t.ThisWeek.Kept, count(t.ThisWeek.Planned, "day"), t.Weeks, t.LongestWeeks, t.Streak, t.Longest)
}

func (t *turn) digestCommand([]string) (Post, error) {
	today := routine.DateOf(t.now(), locationOf(t.studio.Zone))
	p, err := t.digest(t.tx, &t.studio, today.Monday(), today.Monday()+6)
	if err == nil && len(p.Items) == 0 {
		return text("There are no students in the studio yet.")
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
	p := Post{Title: fmt.Sprintf("%s, the last %d days", m.Name, pageDays), Text: strings.Join(append(urgent([]week{w}, t.books(t.studio.ID)), weekHead(&w), tallyWords(w.tally)), "\n")}
	if err := t.planItems(&p, &m); err != nil {
		return Post{}, err
	}
	bests, err := t.newBests(&m, now.today-pageDays+1, now.today)
	if err != nil {
		return Post{}, err
	}
	remarks, err := t.remarks(&m, now.today-pageDays+1, now.today)
	p.Foot = strings.TrimSpace(bests + "\n" + remarks)
	return p, err
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
			N: i + 1, Head: entryHead(study, &e, t.Service.today(m)), Detail: statesWords(study, &e, standings),
		})
	}
	return nil
}

// entryHead says how a study is on a plan, with all that the teacher has set.
func entryHead(study *routine.Study, e *routine.PlanEntry, today routine.Date) string {
	head := fmt.Sprintf("%s %s, pass %d", e.Study, study.Title, e.Pass)
	if e.Since != 0 {
		head += " since " + e.Since.String()
	}
	if e.Hold {
		head += ", held"
	}
	if !e.Lock.IsZero() {
		head += ", locked at " + e.Lock.String()
	}
	for _, d := range e.Add.List() {
		head += ", " + demandWords(d)
	}
	if e.Together > 0 {
		head += ", " + count(e.Together, "line") + " together"
	}
	if e.Ladder > 0 {
		head += ", by " + e.Ladder.String()
	}
	if e.TestEvery > 0 {
		head += fmt.Sprintf(", minute test every %d days", e.TestEvery)
	}
	for _, s := range e.Skips {
		if s.Until > today {
			head += fmt.Sprintf(", line %d back on %s", s.Line, s.Until)
		}
	}
	return head
}

// statesWords says which lines of a study stand how.
func statesWords(study *routine.Study, e *routine.PlanEntry, standings map[routine.StandingKey]routine.Standing) string {
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
			parts = append(parts, string(state)+" "+runs(lines[state]))
		}
	}
	return strings.Join(parts, " · ")
}

// mostRemarks is how many remarks a student's page quotes.
const mostRemarks = 6

// remarks quotes what the student said, word for word, newest first.
func (t *turn) remarks(m *Member, from, to routine.Date) (string, error) {
	reports, err := t.tx.Reports(m.ID, from, to)
	if err != nil {
		return "", err
	}
	var lines []string
	for _, r := range slices.Backward(reports) {
		for _, e := range r.Entries {
			if e.Remark != "" && len(lines) < mostRemarks {
				lines = append(lines, fmt.Sprintf("%s, item %d: “%s”", e.Date, e.Item, e.Remark))
			}
		}
	}
	return strings.Join(lines, "\n"), nil
}

func (t *turn) booksCommand([]string) (Post, error) {
	var p Post
	p.Title = "Books and studies"
	n := 0
	for _, b := range t.books(t.studio.ID).Books {
		for _, s := range b.Studies {
			n++
			ref := routine.StudyRef{Book: b.ID, Study: s.Number}
			p.Items = append(p.Items, PostItem{N: n, Head: ref.String() + " · " + s.Title,
				Detail: fmt.Sprintf("%s, %s, passes 1 to %d", s.Skill, count(len(s.Lines), "line"), len(s.Passes))})
		}
	}
	return p, nil
}
