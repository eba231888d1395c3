package studio

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
)

const (
	mostPictures = 3  // tempo pictures that a digest carries beside the calendar
	mostRows     = 15 // students on one calendar, so that it fits a phone
)

// A week is what the digest says of one student.
type week struct {
	member  Member
	figures streaks.Figures
	tally   streaks.Tally
	open    []Question // of messages of the span
	heard   []Hearing  // of the span
	through []passage  // passes with their share passed

	// expected says that there was a day for her to play, or would have been had
	// the program not been away.
	expected bool
}

// latestDigest is how many days late a digest still comes.
const latestDigest = 14

// sendDigests queues the digest that was due, and those that came due after it
// while the program was away.
func (s *Service) sendDigests(tx Tx, st *Studio, d Due) error {
	now, loc := s.now(), locationOf(st.Zone)
	for at, date, ok := d.At, d.Date, true; ok && !at.After(now); at, date, ok = nextAt(st.DigestAt, at, loc) {
		if routine.DateOf(now, loc)-date > latestDigest {
			continue
		}
		if err := s.sendDigest(tx, st, date); err != nil {
			return err
		}
	}
	return nil
}

// sendDigest queues the digest of the ISO week that date is in for every
// teacher, and makes what it says of the next one hold. A studio of which there
// is nothing to say has none.
func (s *Service) sendDigest(tx Tx, st *Studio, date routine.Date) error {
	from, to := date.Monday(), date.Monday()+6
	weeks, err := s.weeksOf(tx, st, from, to)
	if err != nil {
		return err
	}
	if err := s.promisePasses(tx, weeks, to); err != nil {
		return err
	}
	year, number := date.ISOWeek()
	return s.tellTeachers(tx, st.ID, func(v *voice) (Post, error) {
		post, err := s.digestPost(tx, st, v, weeks, from, to)
		post.Key = Key(fmt.Sprintf("digest/%s/%d-W%02d", st.ID, year, number))
		return post, err
	})
}

// digest makes the teacher's digest of the dates from from to to.
func (s *Service) digest(tx Tx, st *Studio, v *voice, from, to routine.Date) (Post, error) {
	weeks, err := s.weeksOf(tx, st, from, to)
	if err != nil {
		return Post{}, err
	}
	return s.digestPost(tx, st, v, weeks, from, to)
}

// Digest makes the digest of a studio for the dates from from to to, both
// included, in the studio's language and with its pictures drawn. One without
// items has nothing to say. Nothing is kept and nothing is posted.
func (s *Service) Digest(ctx context.Context, id StudioID, from, to routine.Date) (sheet Sheet, err error) {
	var p Post
	err = s.store.View(ctx, func(tx Tx) error {
		st, err := tx.Studio(id)
		if isNotFound(err) {
			return usage("wrong.no-studio", with{"studio": id})
		}
		if err != nil {
			return err
		}
		sheet.Lang, sheet.From = st.Lang, st.Name
		p, err = s.digest(tx, &st, s.studioVoice(&st), from, to)
		return err
	})
	if err == nil {
		sheet.Delivery = s.deliver(ctx, Queued{Post: p, QueuedAt: s.now()})
	}
	return sheet, err
}

// weeksOf sums up every student who was there between two dates.
func (s *Service) weeksOf(tx Tx, st *Studio, from, to routine.Date) (weeks []week, err error) {
	members, err := tx.Members(st.ID)
	if err != nil {
		return nil, err
	}
	for _, m := range members {
		if m.Role != Student || m.Joined == 0 || m.Joined > to || m.Left != 0 && m.Left < from {
			continue
		}
		w, err := s.weekOf(tx, st, &m, from, to)
		if err != nil {
			return nil, fmt.Errorf("summing up %s: %w", m.ID, err)
		}
		weeks = append(weeks, w)
	}
	return weeks, nil
}

// digestPost puts the weeks of the students into words and pictures, the most
// urgent first. It has no items if there is nothing to say.
func (s *Service) digestPost(tx Tx, st *Studio, v *voice, weeks []week, from, to routine.Date) (Post, error) {
	p := Post{Kind: DigestPost, Title: digestTitle(v, from, to)}
	today := routine.DateOf(s.now(), locationOf(st.Zone))
	now := to >= today-latestDigest // what is long past needs no answer
	points := points{voice: v, books: s.books(st.ID), today: today}
	points.part = v.Say("digest.part-first", nil)
	points.urgent(weeks)
	points.part = v.Say("digest.part-moved", nil)
	movers := points.moved(weeks)
	next := points
	next.items, next.part = nil, v.Say("digest.part-ahead", nil)
	if to+aheadDays >= today { // else the week after it is over too
		if err := s.ahead(tx, st, &next, weeks, to); err != nil {
			return p, err
		}
	}
	if len(points.items)+len(next.items) == 0 && quietWeek(weeks) {
		return p, nil
	}
	points.part = v.Say("digest.part-glance", nil)
	points.glance(weeks)
	points.items = append(points.items, next.items...)
	pictures, err := s.digestPictures(tx, st, v, weeks, movers, to)
	if err != nil {
		return p, err
	}
	points.number(now)
	points.illustrate(pictures, movers)
	p.Items, p.Choices, p.Pictures = points.items, points.choices(), pictures
	if now {
		p.Foot = v.Say("digest.foot", nil)
	}
	return p, nil
}

// digestTitle names the span of a digest: a week by its number.
func digestTitle(v *voice, from, to routine.Date) string {
	if from == from.Monday() && to == from+6 {
		_, number := to.ISOWeek()
		return v.Say("digest.title", with{"number": number, "from": from, "to": to})
	}
	return v.Say("digest.title-span", with{"from": v.Date(from), "to": v.Date(to)})
}

// expectedIn reports whether a calendar has a day to play on between two dates,
// or one that only the program's absence took away.
func expectedIn(c *streaks.Calendar, from, to routine.Date) bool {
	for d := from; d <= to; d++ {
		free := slices.ContainsFunc(c.Pauses, func(p streaks.Pause) bool {
			return p.From <= d && d <= p.To && p.Excuse != routine.NoRoutine
		})
		if c.Scheduled(d) && !free {
			return true
		}
	}
	return false
}

// quietWeek reports whether nobody was to play in the weeks and nobody did.
func quietWeek(weeks []week) bool {
	return !slices.ContainsFunc(weeks, func(w week) bool { return w.expected || w.figures.Minutes > 0 || w.figures.Days[streaks.Extra] > 0 })
}

// weekOf gathers the figures of one student.
func (s *Service) weekOf(tx Tx, st *Studio, m *Member, from, to routine.Date) (w week, err error) {
	now, err := s.settled(tx, st, m, 0)
	if err != nil {
		return w, err
	}
	w.member = *m
	if to >= s.today(m)-aheadDays {
		w.tally = now.tally
	}
	record, err := s.weekRecord(tx, st, m, from, to)
	if err != nil {
		return w, err
	}
	w.figures = streaks.Sum(record, from, to)
	w.expected = expectedIn(&record.Calendar, from, to)
	if w.open, err = tx.OpenQuestions(m.ID); err != nil {
		return w, err
	}
	w.open = slices.DeleteFunc(w.open, func(q Question) bool { return q.Day > to || q.Day < from && q.About != toTeacher })
	if w.heard, err = tx.Hearings(m.ID, from, to); err != nil {
		return w, err
	}
	w.through, err = s.passesDone(tx, m)
	return w, err
}

// weekRecord gathers what the figures of a span are made from.
func (s *Service) weekRecord(tx Tx, st *Studio, m *Member, from, to routine.Date) (r streaks.Record, err error) {
	reports, err := tx.Reports(m.ID, from-max(streaks.HabitDays, painReach), to)
	if err != nil {
		return r, err
	}
	r.Calendar = calendarOf(st, m, from-streaks.HabitDays, to)
	r.Settled = settledThrough(st, m, s.now())
	r.Reports = dayReports(reports)
	touched := map[routine.StandingKey]bool{}
	for _, rep := range reports {
		r.Entries = append(r.Entries, rep.Entries...)
		if rep.Day.Date < from {
			continue
		}
		for _, e := range rep.Entries {
			for _, line := range e.Lines {
				touched[routine.StandingKey{Line: line, Pass: e.Pass}] = true
			}
		}
	}
	if r.After, err = tx.Standings(m.ID); err != nil {
		return r, err
	}
	if to < s.today(m) {
		for key := range r.After {
			if r.After[key], err = s.standBefore(tx, m, key, to+1); err != nil {
				return r, err
			}
		}
	}
	if r.Locked, err = s.lockedLines(tx, m, r.After); err != nil {
		return r, err
	}
	r.Skills = s.skills(m.Studio)
	r.Before = maps.Clone(r.After)
	for key := range touched {
		if r.Before[key], err = s.standBefore(tx, m, key, from); err != nil {
			return r, err
		}
	}
	return r, nil
}

// skills returns the skill of every study in the studio's books.
func (s *Service) skills(id StudioID) map[routine.StudyRef]routine.Skill {
	skills := map[routine.StudyRef]routine.Skill{}
	for _, b := range s.books(id).Books {
		for _, study := range b.Studies {
			skills[routine.StudyRef{Book: b.ID, Study: study.Number}] = study.Skill
		}
	}
	return skills
}

// lockedLines returns the lines among those given whose tempo is locked.
func (s *Service) lockedLines(tx Tx, m *Member, lines map[routine.StandingKey]routine.Standing) (map[routine.StandingKey]bool, error) {
	plan, err := planOf(tx, m.ID)
	if err != nil {
		return nil, err
	}
	locked := map[routine.StandingKey]bool{}
	for _, e := range plan.Entries {
		for key := range lines {
			if !e.Lock.IsZero() && key.Line.StudyRef() == e.Study {
				locked[key] = true
			}
		}
	}
	return locked, nil
}

// standBefore returns how a line stood when date began.
func (s *Service) standBefore(tx Tx, m *Member, key routine.StandingKey, date routine.Date) (routine.Standing, error) {
	rule, known := s.rule(m.Studio, key)
	if !known {
		return routine.Standing{}, nil
	}
	entries, err := tx.LineEntries(m.ID, key.Line, key.Pass)
	if err != nil {
		return routine.Standing{}, err
	}
	acts, err := tx.LineActs(m.ID, key.Line, key.Pass)
	if err != nil {
		return routine.Standing{}, err
	}
	entries = slices.DeleteFunc(entries, func(e routine.Entry) bool { return e.Date >= date })
	acts = slices.DeleteFunc(acts, func(a streaks.Act) bool { return a.Date >= date })
	return streaks.Stand(entries, acts, rule), nil
}

// stuckWords names the lines and says since when they stand still.
func stuckWords(v *voice, st *streaks.Stuck, books *routine.Catalogue) string {
	w := with{"lines": byStudy(st.Lines)[0].words(v, books), "day": st.Since, "tempo": st.Best}
	switch {
	case len(st.Lines) > 1:
		return v.Say("stuck.lines", w)
	case st.Best.IsZero():
		return v.Say("stuck.never-clean", w)
	}
	return v.Say("stuck.line", w)
}

// someLines are lines of one study in one pass.
type someLines struct {
	study routine.StudyRef
	pass  int
	lines []int
}

// byStudy puts lines together by study and pass, in the order they come.
func byStudy(keys []routine.StandingKey) []someLines {
	var all []someLines
	for _, k := range keys {
		last := len(all) - 1
		if last < 0 || all[last].study != k.Line.StudyRef() || all[last].pass != k.Pass {
			all = append(all, someLines{study: k.Line.StudyRef(), pass: k.Pass})
			last++
		}
		all[last].lines = append(all[last].lines, k.Line.Line)
	}
	return all
}

// String returns the lines as a command takes them: "daily-ground/1/1-3,5".
func (l someLines) String() string {
	numbers := strings.NewReplacer("–", "-", ", ", ",").Replace(runs(l.lines))
	return l.study.String() + "/" + numbers
}

func (l someLines) words(v *voice, books *routine.Catalogue) string {
	return v.Say("study-pass", with{"study": studyName(books, l.study), "pass": l.pass}) + ", " + linesWords(v, l.lines)
}

// weekHead is one student's week in a line.
func weekHead(v *voice, w *week) string {
	f := &w.figures
	parts := []string{w.member.Name, v.Count("digest.kept", f.Scheduled(), with{"kept": f.Days[streaks.Kept]})}
	if n := f.Days[streaks.Excused]; n > 0 {
		parts = append(parts, v.Count("digest.excused", n, nil))
	}
	if n := f.Days[streaks.Extra]; n > 0 {
		parts = append(parts, v.Count("digest.extra", n, nil))
	}
	if f.Minutes > 0 {
		parts = append(parts, v.Say("minutes", with{"minutes": f.Minutes}))
	}
	if w.tally.Weeks > 0 {
		parts = append(parts, v.Count("digest.weeks", w.tally.Weeks, nil))
	}
	if f.Tired > f.Fresh && f.Tired > 1 {
		parts = append(parts, v.Count("digest.tired", f.Tired, nil))
	}
	return strings.Join(parts, " · ")
}

// mostMoves is how many groups of moves of one student a digest spells out.
const mostMoves = 5

// A moved is the lines of one study in one pass that moved alike.
type moved struct {
	someLines
	to    routine.State // none: the state is as it was, the tempo is not
	marks int           // most marks gained by one of them
	best  routine.Tempo // the fastest of them
}

// movesWords says which lines moved, those that matter most to the teacher
// first.
func movesWords(v *voice, moves []streaks.Move, books *routine.Catalogue) string {
	var lines []string
	groups := movedAlike(moves)
	for i, g := range groups {
		if i == mostMoves {
			lines = append(lines, v.Count("digest.more-groups", len(groups)-i, nil))
			break
		}
		lines = append(lines, g.words(v, books))
	}
	return strings.Join(lines, "\n")
}

// movedAlike puts moves together by study, pass and new state.
func movedAlike(moves []streaks.Move) []moved {
	var groups []moved
	for _, m := range moves {
		g := moved{someLines: someLines{study: m.Key.Line.StudyRef(), pass: m.Key.Pass}}
		if m.From != m.To {
			g.to = m.To
		}
		i := slices.IndexFunc(groups, func(o moved) bool { return o.study == g.study && o.pass == g.pass && o.to == g.to })
		if i < 0 {
			i = len(groups)
			groups = append(groups, g)
		}
		into := &groups[i]
		into.lines = append(into.lines, m.Key.Line.Line)
		into.marks = max(into.marks, m.Marks)
		if m.Best.Compare(into.best) > 0 {
			into.best = m.Best
		}
	}
	slices.SortStableFunc(groups, func(a, b moved) int { return cmp.Compare(b.rank(), a.rank()) })
	return groups
}

// rank orders moves by how much they matter to the teacher.
func (g *moved) rank() int {
	order := []routine.State{"", routine.Working, routine.AtTempo, routine.Passed, routine.Ready, routine.Slipped}
	return slices.Index(order, g.to)*100 + g.marks
}

func (g *moved) words(v *voice, books *routine.Catalogue) string {
	said := g.someLines.words(v, books)
	if g.to != "" {
		said = v.Say("digest.now", with{"lines": said, "state": g.to})
	}
	if g.marks > 0 {
		said += ", " + v.Count("digest.faster", g.marks, nil)
	}
	if g.marks > 0 || g.to == routine.Passed || g.to == routine.Ready {
		said += ", " + v.Say("digest.best", with{"tempo": g.best})
	}
	return said
}

// studyName names a study: "Daily Ground 2".
func studyName(books *routine.Catalogue, ref routine.StudyRef) string {
	title := string(ref.Book)
	if b := books.Book(ref.Book); b != nil {
		title = b.Title
	}
	return fmt.Sprintf("%s %d", title, ref.Study)
}

// lineName names a line in a pass: "Daily Ground 2, line 14, pass 1".
func lineName(v *voice, books *routine.Catalogue, key routine.StandingKey) string {
	return v.Say("line-pass", with{"study": studyName(books, key.Line.StudyRef()), "line": key.Line.Line, "pass": key.Pass})
}

// digestPictures returns the calendar of the last four weeks, and the tempo of
// the line that moved most of each of the first movers.
func (s *Service) digestPictures(tx Tx, st *Studio, v *voice, weeks, movers []week, to routine.Date) ([]Picture, error) {
	const span = 4
	var pictures []Picture
	for some := range slices.Chunk(weeks, mostRows) {
		cal := CalendarPicture{Title: v.Say("calendar.title", with{"name": st.Name}), From: to.Monday() - 7*(span-1), Weeks: span}
		for _, w := range some {
			row, err := s.calendarRow(tx, st, &w.member, cal.From, cal.From+7*span-1)
			if err != nil {
				return nil, err
			}
			cal.Rows = append(cal.Rows, row)
		}
		pictures = append(pictures, s.picture(v, st.ID, Picture{Calendar: &cal}))
	}
	for _, w := range movers[:min(len(movers), mostPictures)] {
		best := mostMarks(w.figures.Moves)
		if best == 0 {
			break
		}
		i := slices.IndexFunc(w.figures.Moves, func(m streaks.Move) bool { return m.Marks == best })
		pic, err := s.tempoPicture(tx, v, &w.member, w.figures.Moves[i].Key, to)
		if err != nil {
			return nil, err
		}
		pic.Tempo.Title = v.Say("labelled", with{"label": w.member.Name, "text": pic.Tempo.Title})
		pictures = append(pictures, s.picture(v, st.ID, pic))
	}
	return pictures, nil
}

func mostMarks(moves []streaks.Move) (most int) {
	for _, m := range moves {
		most = max(most, m.Marks)
	}
	return most
}

func (s *Service) calendarRow(tx Tx, st *Studio, m *Member, from, to routine.Date) (CalendarRow, error) {
	reports, err := tx.Reports(m.ID, from-painReach, to)
	if err != nil {
		return CalendarRow{}, err
	}
	cal, days := calendarOf(st, m, from, to), streaks.Days(dayReports(reports))
	row := CalendarRow{Name: m.Name, Days: streaks.Kinds(cal, days, from, to, settledThrough(st, m, s.now()))}
	for _, w := range streaks.Weeks(row.Days) {
		row.Weeks = append(row.Weeks, w.Met())
	}
	return row, nil
}

// pictureDays is how far back a tempo picture goes.
const pictureDays = 180

// tempoPicture returns the picture of one line up to a date: in one pass, and in
// those before as far as they led to it; with the time at which the goal is
// likely, if that can be said.
func (s *Service) tempoPicture(tx Tx, v *voice, m *Member, key routine.StandingKey, to routine.Date) (Picture, error) {
	entries, err := tx.LineEntries(m.ID, key.Line, key.Pass)
	if err != nil {
		return Picture{}, err
	}
	t := TempoPicture{Title: lineName(v, s.books(m.Studio), key)}
	t.Points = tempoPoints(entries, to-pictureDays, to)
	if len(t.Points) == 0 {
		return Picture{}, usage("wrong.no-tempo", with{"line": t.Title})
	}
	if rule, ok := s.rule(m.Studio, key); ok {
		t.Goal = rule.Goal
		entries = slices.DeleteFunc(slices.Clone(entries), func(e routine.Entry) bool { return e.Date > to })
		if f := streaks.ForecastOf(entries, rule.Goal, to); f.None == "" && !rule.Goal.IsZero() {
			t.Likely = Span{From: f.From, To: f.To}
		}
	}
	if err := s.earlierPasses(tx, m, key, &t, to); err != nil {
		return Picture{}, err
	}
	return s.picture(v, m.Studio, Picture{Tempo: &t}), nil
}

// earlierPasses puts before the playings of a picture those in the passes before,
// each up to the first playing in the next.
func (s *Service) earlierPasses(tx Tx, m *Member, key routine.StandingKey, t *TempoPicture, to routine.Date) error {
	changes := []PassChange{{t.Points[0].Date, key.Pass}}
	for pass := key.Pass - 1; pass >= 1; pass-- {
		entries, err := tx.LineEntries(m.ID, key.Line, pass)
		if err != nil {
			return err
		}
		if before := tempoPoints(entries, to-pictureDays, t.Points[0].Date-1); len(before) > 0 {
			t.Points = append(before, t.Points...)
			changes = append([]PassChange{{before[0].Date, pass}}, changes...)
		}
	}
	if len(changes) > 1 {
		t.Passes = changes
	}
	return nil
}

// tempoPoints returns the playings at a tempo among entries from one date to
// another.
func tempoPoints(entries []routine.Entry, from, to routine.Date) (points []TempoPoint) {
	for _, e := range entries {
		if e.Date >= from && e.Date <= to && e.Outcome.Played() && !e.To.IsZero() {
			points = append(points, TempoPoint{Date: e.Date, Tempo: e.To, Outcome: e.Outcome})
		}
	}
	return points
}

// longestAlt is how many characters the words for a picture have at most; no
// platform takes more than 1,024.
const longestAlt = 1020

// picture adds the language, the studio and the text equivalent to a picture.
func (s *Service) picture(v *voice, id StudioID, p Picture) Picture {
	p.Lang, p.Studio = v.Lang(), id
	p.Alt = clip(s.drawer.Describe(p), longestAlt)
	return p
}
