package studio

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/teambition/rrule-go"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A Lesson is when a student is taught: once, or again and again by a rule.
type Lesson struct {
	Start  string   `json:"start"`            // wall time of the first, such as "2026-03-05T16:30"
	Rule   string   `json:"rule,omitempty"`   // recurrence rule of RFC 5545, 3.3.10, such as "FREQ=WEEKLY;INTERVAL=2"; empty: once
	Except []string `json:"except,omitempty"` // wall times of the rule that are left out
	Zone   string   `json:"zone"`             // IANA zone of the wall times
}

// WallTime is how a [Lesson] writes wall times.
const WallTime = "2006-01-02T15:04"

// Check says what is wrong with a lesson.
func (l *Lesson) Check() error {
	_, err := l.wallTimes(time.Time{}, time.Time{})
	return err
}

// Between returns the instants at which the lesson begins from from to to, both
// included, in order. A wall time that the clocks skip is where they skip to; one
// that they show twice is the first of the two.
func (l *Lesson) Between(from, to time.Time) ([]time.Time, error) {
	loc := locationOf(l.Zone)
	walls, err := l.wallTimes(wallOf(from, loc).AddDate(0, 0, -1), wallOf(to, loc).AddDate(0, 0, 1))
	var starts []time.Time
	for _, w := range walls {
		at, ok := routine.NewDate(w.Date()).At(w.Hour(), w.Minute(), loc)
		if ok && !at.Before(from) && !at.After(to) && !slices.Contains(l.Except, w.Format(WallTime)) {
			starts = append(starts, at)
		}
	}
	return starts, err
}

// wallTimes returns the wall times between two, on a calendar without gaps: UTC.
func (l *Lesson) wallTimes(from, to time.Time) ([]time.Time, error) {
	start, err := time.Parse(WallTime, l.Start)
	if err != nil {
		return nil, fmt.Errorf("a lesson begins at %q: write date and time such as 2026-03-05T16:30", l.Start)
	}
	if l.Rule == "" {
		if start.Before(from) || start.After(to) {
			return nil, nil
		}
		return []time.Time{start}, nil
	}
	option, err := rrule.StrToROption(l.Rule)
	if err != nil {
		return nil, fmt.Errorf("%q is no rule of RFC 5545: write, for example, FREQ=WEEKLY;INTERVAL=2", l.Rule)
	}
	const most = 4 // lessons a day
	if option.Freq > rrule.DAILY || max(1, len(option.Byhour))*max(1, len(option.Byminute))*max(1, len(option.Bysecond)) > most {
		return nil, fmt.Errorf("%q has lessons more often than anybody is taught: write, for example, FREQ=WEEKLY;BYDAY=TU,FR", l.Rule)
	}
	option.Dtstart = start
	if !option.Until.IsZero() && strings.HasSuffix(untilOf(l.Rule), "Z") {
		option.Until = wallOf(option.Until, locationOf(l.Zone))
	}
	rule, err := rrule.NewRRule(*option)
	if err != nil {
		return nil, fmt.Errorf("%q is no rule that can be followed: %w", l.Rule, err)
	}
	return rule.Between(from, to, true), nil
}

// untilOf returns the end that a rule names, as it stands there.
func untilOf(rule string) string {
	for part := range strings.SplitSeq(rule, ";") {
		if value, ok := strings.CutPrefix(part, "UNTIL="); ok {
			return value
		}
	}
	return ""
}

// wallOf returns what the clocks of a place show, as a time in UTC.
func wallOf(t time.Time, loc *time.Location) time.Time {
	t = t.In(loc)
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
}

// lessonsBetween returns when a student is taught from from to to, in order.
// Rules were checked when they were set; one that can't be followed has none.
func (m *Member) lessonsBetween(from, to time.Time) (starts []time.Time) {
	for i := range m.Lessons {
		some, _ := m.Lessons[i].Between(from, to)
		starts = append(starts, some...)
	}
	slices.SortFunc(starts, time.Time.Compare)
	return slices.Compact(starts)
}

const (
	lessonsAhead = 400 * 24 * time.Hour // how far the next lesson is looked for
	lessonsBack  = 200 * 24 * time.Hour // and the last one
	lessonLasts  = time.Hour            // after its beginning a sheet still helps
	usualLead    = 15                   // minutes from the sheet to the lesson
)

// lessonLead is how long before a lesson its sheet is posted.
func (st *Studio) lessonLead() time.Duration {
	if st.LessonLead == 0 {
		return usualLead * time.Minute
	}
	return time.Duration(st.LessonLead) * time.Minute
}

// setLessonDue sets when a student's next lesson sheet falls due.
func (s *Service) setLessonDue(tx Tx, st *Studio, m *Member) error {
	lead, now := st.lessonLead(), s.now()
	if m.Role != Student || m.Paused || len(m.Lessons) == 0 {
		return tx.RemoveDue(DueLesson, st.ID, m.ID)
	}
	starts := m.lessonsBetween(now.Add(lead).Add(time.Microsecond), now.Add(lessonsAhead))
	if len(starts) == 0 {
		return tx.RemoveDue(DueLesson, st.ID, m.ID)
	}
	return tx.PutDue(Due{
		Kind: DueLesson, Studio: st.ID, Member: m.ID,
		At: starts[0].Add(-lead), Date: routine.DateOf(starts[0], locationOf(st.Zone)),
	})
}

// sendLessonSheets queues the sheet of the lesson that was due for every teacher,
// and of those that came due after it; none of a lesson that is over.
func (s *Service) sendLessonSheets(tx Tx, st *Studio, m *Member, d Due) error {
	lead, now := st.lessonLead(), s.now()
	if m.Role != Student || m.Paused {
		return nil
	}
	for _, start := range m.lessonsBetween(d.At.Add(lead), now.Add(lead)) {
		if now.After(start.Add(lessonLasts)) {
			continue
		}
		err := s.tellTeachers(tx, st.ID, func(v *voice) (Post, error) {
			post, err := s.lessonPost(tx, st, v, m, start)
			post.Key = Key(fmt.Sprintf("lesson/%s/%s", m.ID, start.UTC().Format("2006-01-02T15:04Z")))
			return post, err
		})
		if err != nil {
			return fmt.Errorf("lesson sheet of %s: %w", m.ID, err)
		}
	}
	return nil
}

// lastLesson returns when a student was last taught before an instant; ok is
// false if that is not known.
func (m *Member) lastLesson(before time.Time) (start time.Time, ok bool) {
	starts := m.lessonsBetween(before.Add(-lessonsBack), before.Add(-time.Minute))
	if len(starts) == 0 {
		return start, false
	}
	return starts[len(starts)-1], true
}

// withoutLesson is how many days a lesson sheet looks back when no lesson was
// before.
const withoutLesson = 7

// lessonPost makes the sheet of the lesson that begins at start: what to hear
// first, what happened since the last lesson, remarks word for word, what was
// decided then.
func (s *Service) lessonPost(tx Tx, st *Studio, v *voice, m *Member, start time.Time) (Post, error) {
	loc := locationOf(st.Zone)
	to := routine.DateOf(start, loc)
	since, had := m.lastLesson(start)
	from := to - withoutLesson
	if had {
		from = routine.DateOf(since, loc)
	} else {
		since = start.AddDate(0, 0, -withoutLesson)
	}
	w, err := s.weekOf(tx, st, m, from, to)
	if err != nil {
		return Post{}, err
	}
	points := points{voice: v, books: s.books(st.ID), today: to}
	points.part = v.Say("lesson.part-hear", nil)
	for _, of := range []func(*week){points.hurting, points.ready, points.slipped, points.stuck, points.through} {
		of(&w)
	}
	points.part = v.Say("lesson.part-since", with{"day": from})
	points.add(m, weekHead(v, &w), movesWords(v, w.figures.Moves, points.books), points.pageOf(m))
	points.part = v.Say("lesson.part-words", nil)
	if remarks, err := s.remarks(tx, v, m, from, to); err != nil {
		return Post{}, err
	} else if remarks != "" {
		points.add(m, v.Say("lesson.remarks", with{"name": m.Name}), remarks, points.pageOf(m))
	}
	points.asked(&w)
	points.part = v.Say("lesson.part-decided", nil)
	if decided, err := s.decided(tx, st, v, m, since, start); err != nil {
		return Post{}, err
	} else if decided != "" {
		points.add(m, v.Say("lesson.decided", nil), decided, points.pageOf(m))
	}
	points.number(true)
	pictures, err := s.movedPictures(tx, v, &w, to)
	p := Post{
		Kind: LessonPost, Member: m.ID,
		Title: v.Say("lesson.title", with{"name": m.Name, "day": to, "time": start.In(loc).Format("15:04")}),
		Items: points.items, Choices: points.choices(), Pictures: pictures,
		Foot: v.Say("lesson.foot", nil),
	}
	return p, err
}

// slipped adds the lines that have slipped.
func (p *points) slipped(w *week) {
	var keys []routine.StandingKey
	for _, move := range w.figures.Moves {
		if move.To == routine.Slipped && move.From != routine.Slipped {
			keys = append(keys, move.Key)
		}
	}
	for _, some := range byStudy(keys) {
		p.add(&w.member, p.say("lesson.slipped", &w.member), some.words(p.voice, p.books), p.pageOf(&w.member))
	}
}

// movedPictures returns the tempo of the lines of a student that moved most, each
// of another study.
func (s *Service) movedPictures(tx Tx, v *voice, w *week, to routine.Date) (pictures []Picture, err error) {
	moves := slices.Clone(w.figures.Moves)
	slices.SortStableFunc(moves, func(a, b streaks.Move) int { return b.Marks - a.Marks })
	shown := map[routine.StudyRef]bool{}
	for _, move := range moves {
		study := move.Key.Line.StudyRef()
		if move.Marks == 0 || len(pictures) == mostPictures {
			break
		}
		if shown[study] {
			continue
		}
		shown[study] = true
		pic, err := s.tempoPicture(tx, v, &w.member, move.Key, to)
		if err != nil {
			return nil, err
		}
		pictures = append(pictures, pic)
	}
	return pictures, nil
}

// mostDecided is how many notes and decisions a lesson sheet shows.
const mostDecided = 12

// deedsBack is how many deeds are looked through for what was set since the last
// lesson: more than a large studio does in a fortnight.
const deedsBack = 5000

// decided says what was noted about a student, and what the teachers set for her,
// from an instant to another: notes in words, the rest as commands.
func (s *Service) decided(tx Tx, st *Studio, v *voice, m *Member, from, to time.Time) (string, error) {
	loc := locationOf(st.Zone)
	var lines []string
	for _, n := range m.Notes {
		if !n.At.Before(from) && n.At.Before(to) {
			lines = append(lines, v.Say("lesson.note", with{"day": routine.DateOf(n.At, loc), "words": n.Text}))
		}
	}
	deeds, err := tx.Deeds(st.ID, deedsBack)
	if err != nil {
		return "", err
	}
	for _, d := range deeds {
		rest, hers := strings.CutPrefix(strings.ToLower(d.Words)+" ", strings.ToLower(m.Name)+" ")
		if hers && settles(d.Command) && !d.At.Before(from) && d.At.Before(to) {
			set := strings.TrimSpace(called(v, d.Command) + " " + inWords(v, s.books(st.ID), strings.Fields(rest)))
			lines = append(lines, v.Say("lesson.set", with{"day": routine.DateOf(d.At, loc), "command": set}))
		}
	}
	if more := len(lines) - mostDecided; more > 0 {
		lines = lines[more:]
	}
	return strings.Join(lines, "\n"), nil
}

// inWords returns what followed a command, with studies and lines by their titles.
func inWords(v *voice, books *routine.Catalogue, args []string) string {
	for i, arg := range args {
		parts := strings.SplitN(arg, "/", 3)
		b := books.Book(routine.BookID(parts[0]))
		if b == nil || len(parts) < 2 {
			continue
		}
		args[i] = b.Title + " " + parts[1]
		if len(parts) == 3 {
			args[i] += ", " + v.Count("lines", strings.Count(parts[2], ",")+strings.Count(parts[2], "-")+1, with{"lines": parts[2]})
		}
	}
	return strings.Join(args, " ")
}

// settles reports whether a command settles something about a student's work.
func settles(command string) bool {
	switch command {
	case "sign-off", "move-back", "skip", "open", "stay", "close", "add", "together", "test", "ladder", "copy-plan", "template",
		"pin", "unpin", "hold", "release", "lock", "unlock", "minutes", "off":
		return true
	}
	return false
}
