package studio

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// lessonCommand shows a student's sheet for the next lesson, or sets when she is
// taught: once, weekly, fortnightly or by a rule of RFC 5545; “no” and a date
// leaves a lesson out, “none” all of them.
func (t *turn) lessonCommand(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	switch {
	case len(rest) == 0:
		return t.lessonSheet(&m)
	case t.who.Role != Teacher:
		return Post{}, usage("command.not-yours", with{"command": called(t.voice, "lesson"), "roles": roleWords(t.voice, teacher)})
	case strings.EqualFold(rest[0], "none"):
		m.Lessons = nil
		return t.done(t.save(&m), "lesson.none", with{"name": m.Name})
	case strings.EqualFold(rest[0], "no") && len(rest) == 2:
		return t.lessonNot(&m, rest[1])
	case len(rest) >= 2:
		l, err := t.lessonOf(&m, rest)
		if err != nil {
			return Post{}, err
		}
		return t.setLesson(&m, &l)
	}
	return Post{}, usage("wrong.lesson", with{"name": m.Name})
}

// lessonSheet makes the sheet of a student's next lesson, or of one now.
func (t *turn) lessonSheet(m *Member) (Post, error) {
	start := t.now()
	if next := m.lessonsBetween(start, start.Add(lessonsAhead)); len(next) > 0 {
		start = next[0]
	}
	return t.lessonPost(t.tx, &t.studio, t.voice, m, start)
}

func (t *turn) setLesson(m *Member, l *Lesson) (Post, error) {
	if l.Rule != "" {
		m.Lessons = slices.DeleteFunc(m.Lessons, func(o Lesson) bool { return o.Rule != "" })
	}
	m.Lessons = append(m.Lessons, *l)
	at := m.lessonsBetween(t.now(), t.now().Add(lessonsAhead))[0].In(locationOf(t.studio.Zone))
	return t.done(t.save(m), "lesson.done", with{"name": m.Name, "day": routine.DateOf(at, at.Location()), "time": at.Format("15:04"), "minutes": int(t.studio.lessonLead().Minutes())})
}

// lessonIn reads a lesson: a date, a time and, if it comes again, a rule.
func (t *turn) lessonIn(args []string) Lesson {
	l := Lesson{Start: args[0] + "T" + args[1], Zone: t.studio.Zone}
	if len(args) > 2 {
		switch strings.ToLower(args[2]) {
		case "weekly":
			l.Rule = "FREQ=WEEKLY"
		case "fortnightly":
			l.Rule = "FREQ=WEEKLY;INTERVAL=2"
		case "once":
		default:
			l.Rule = strings.TrimPrefix(strings.ToUpper(args[2]), "RRULE:")
		}
	}
	return l
}

// lessonOf reads when a student is taught. A rule may begin in the past, but
// something of it must come.
func (t *turn) lessonOf(m *Member, args []string) (Lesson, error) {
	l := t.lessonIn(args)
	starts, err := l.Between(t.now(), t.now().Add(lessonsAhead))
	if err == nil && len(starts) > 0 {
		return l, nil
	}
	begin, err := time.Parse(WallTime, l.Start)
	if err == nil && l.Rule == "" && begin.Before(wallOf(t.now(), locationOf(l.Zone))) {
		return l, usage("wrong.lesson-past", with{"name": m.Name, "date": t.voice.Date(routine.NewDate(begin.Date())), "time": args[1]})
	}
	return l, usage("wrong.lesson", with{"name": m.Name})
}

// lessonNot leaves out the lessons of a date.
func (t *turn) lessonNot(m *Member, word string) (Post, error) {
	date, err := dateOf(word)
	if err != nil {
		return Post{}, err
	}
	found := false
	for i := range m.Lessons {
		l := &m.Lessons[i]
		loc := locationOf(l.Zone)
		begin, _ := date.At(0, 0, loc)
		starts, err := l.Between(begin, begin.Add(24*time.Hour-time.Second))
		if err != nil {
			return Post{}, err
		}
		for _, at := range starts {
			l.Except = append(l.Except, at.In(loc).Format(WallTime))
			found = true
		}
	}
	if !found {
		return Post{}, usage("wrong.lesson-not", with{"name": m.Name, "day": date})
	}
	return t.done(t.save(m), "lesson.not", with{"name": m.Name, "day": date})
}

// MostLead is how many minutes before a lesson its sheet may come: a day.
const MostLead = 24 * 60

// lessonsCommand lists the lessons of the next seven days, or sets how many
// minutes before a lesson its sheet comes.
func (t *turn) lessonsCommand(args []string) (Post, error) {
	if len(args) > 0 {
		return t.setLead(args[0])
	}
	members, err := t.tx.Members(t.studio.ID)
	if err != nil {
		return Post{}, err
	}
	type one struct {
		at   time.Time
		name string
	}
	var all []one
	for i := range members {
		for _, at := range members[i].lessonsBetween(t.now(), t.now().AddDate(0, 0, 7)) {
			all = append(all, one{at, members[i].Name})
		}
	}
	if len(all) == 0 {
		return t.answered("lessons.none", nil)
	}
	slices.SortStableFunc(all, func(a, b one) int { return a.at.Compare(b.at) })
	p := Post{Title: t.voice.Say("lessons.title", nil)}
	for i, l := range all {
		at := l.at.In(locationOf(t.studio.Zone))
		when := t.voice.Day(routine.DateOf(at, at.Location())) + ", " + at.Format("15:04")
		p.Items = append(p.Items, PostItem{N: i + 1, Head: when + " · " + l.name})
	}
	return p, nil
}

func (t *turn) setLead(word string) (Post, error) {
	n, err := strconv.Atoi(word)
	if err != nil || n < 1 || n > MostLead {
		return Post{}, usage("wrong.lead", with{"most": MostLead})
	}
	if t.who.Role != Teacher {
		return Post{}, usage("command.not-yours", with{"command": called(t.voice, "lessons"), "roles": roleWords(t.voice, teacher)})
	}
	t.studio.LessonLead = n
	members, err := t.tx.Members(t.studio.ID)
	if err == nil {
		err = t.tx.PutStudio(t.studio)
	}
	for i := range members {
		if err == nil {
			err = t.setLessonDue(t.tx, &t.studio, &members[i])
		}
	}
	return t.done(err, "lessons.lead", with{"minutes": n})
}

// mostNotes is how many notes are kept of a student.
const mostNotes = 200

// noteCommand notes something about a student for the lessons to come, or shows
// the last notes.
func (t *turn) noteCommand(args []string) (Post, error) {
	m, rest, err := t.named(args)
	if err != nil {
		return Post{}, err
	}
	if len(rest) == 0 {
		return t.notes(&m)
	}
	m.addNote(Note{At: t.now(), By: t.who.ID, Text: t.wordsAfter(len(args) - len(rest))})
	return t.done(t.tx.PutMember(m), "note.done", with{"name": m.Name})
}

// addNote notes something about a student, in the order of time.
func (m *Member) addNote(n Note) {
	m.Notes = append(m.Notes, n)
	slices.SortStableFunc(m.Notes, func(a, b Note) int { return a.At.Compare(b.At) })
	m.Notes = m.Notes[max(0, len(m.Notes)-mostNotes):]
}

func (t *turn) notes(m *Member) (Post, error) {
	if len(m.Notes) == 0 {
		return t.answered("note.none", with{"name": m.Name})
	}
	p := Post{Title: t.voice.Say("note.title", with{"name": m.Name})}
	for i, n := range m.Notes[max(0, len(m.Notes)-mostDecided):] {
		p.Items = append(p.Items, PostItem{N: i + 1, Head: t.voice.Date(routine.DateOf(n.At, locationOf(t.studio.Zone))), Detail: t.voice.Say("quoted", with{"words": n.Text})})
	}
	return p, nil
}

// reportCommand makes a report on a student for her family: to a teacher, or to
// her guardian.
func (t *turn) reportCommand(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if t.who.Role == Guardian && !slices.Contains(t.who.Wards, m.ID) {
		return Post{}, usage("wrong.not-your-ward", nil)
	}
	span, _, err := spanOf(rest, orderOf(t.voice, "report", m.Name))
	if err != nil {
		return Post{}, err
	}
	w, err := t.weekOf(t.tx, &t.studio, &m, span.From, span.To)
	if err != nil {
		return Post{}, err
	}
	return t.report(&w, span)
}

// report says in kind and factual words what a term brought a student: what was
// kept and what was reached, and nothing of what was not. Nothing of her health
// is in it.
func (t *turn) report(w *week, span Span) (Post, error) {
	v, m, books := t.voice, &w.member, t.books(t.studio.ID)
	kept := w.figures.Days[streaks.Kept] + w.figures.Days[streaks.Extra]
	p := Post{
		Kind: ReportPost, Member: m.ID,
		Title: v.Say("report.title", with{"name": m.Name, "from": v.Date(span.From), "to": v.Date(span.To)}),
		Text:  v.Count("report.kept", kept, with{"name": m.Name}),
	}
	part := ""
	add := func(head, detail string) {
		p.Items = append(p.Items, PostItem{N: len(p.Items) + 1, Head: head, Detail: detail, Part: part})
	}
	part = v.Say("report.part-reached", nil)
	for _, g := range movedAlike(w.figures.Moves) {
		if g.to == routine.Passed || g.to == routine.Ready || g.to == routine.AtTempo || g.marks > 1 {
			add(studyTitle(books, g.study), g.words(v, books))
		}
	}
	part = v.Say("report.part-now", nil)
	plan, err := planOf(t.tx, m.ID)
	if err != nil {
		return Post{}, err
	}
	for _, e := range plan.Entries {
		if study := books.Study(e.Study); study != nil && !e.Hold {
			if pass := study.Pass(e.Pass); pass != nil {
				add(studyTitle(books, e.Study), aimWords(v, pass))
			}
		}
	}
	p.Pictures, err = t.reportPictures(w, span)
	p.Foot = v.Say("report.foot", with{"name": m.Name})
	return p, err
}

// aimWords says to a family what a pass is about: what counts as clean, where the
// book says so.
func aimWords(v *voice, pass *routine.Pass) string {
	if pass.CleanMeans == "" {
		return passWords(v, pass)
	}
	return v.Say("report.aim", with{"meaning": pass.CleanMeans})
}

// studyTitle names a study with its title: "Daily Ground 2, Scales".
func studyTitle(books *routine.Catalogue, ref routine.StudyRef) string {
	name := studyName(books, ref)
	if study := books.Study(ref); study != nil && study.Title != "" {
		return name + ", " + study.Title
	}
	return name
}

// reportWeeks is how many weeks the calendar of a report shows at most.
const reportWeeks = mostWeeks

// reportPictures returns the calendar of the last weeks of a span, and the tempo
// of what moved most.
func (t *turn) reportPictures(w *week, span Span) ([]Picture, error) {
	weeks := min(reportWeeks, int(span.To.Monday()-span.From.Monday())/7+1)
	cal := CalendarPicture{
		Title: t.voice.Say("calendar.title", with{"name": w.member.Name}),
		From:  span.To.Monday() - routine.Date(7*(weeks-1)), Weeks: weeks,
	}
	row, err := t.calendarRow(t.tx, &t.studio, &w.member, cal.From, span.To)
	if err != nil {
		return nil, fmt.Errorf("calendar of a report: %w", err)
	}
	cal.Rows = []CalendarRow{row}
	moved, err := t.movedPictures(t.tx, t.voice, w, span.To)
	return append([]Picture{t.picture(t.voice, t.studio.ID, Picture{Calendar: &cal})}, moved...), err
}
