package studio

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgerline/routine"
)

// softNow reports whether nothing loud may be played where the member is.
func (s *Service) softNow(m *Member) bool {
	now := s.now().In(m.Location())
	return m.Soft.Contains(now.Hour()*60 + now.Minute())
}

// loudNow says of a routine that it has loud items at an hour at which there may
// be none; "" if that is not so.
func (t *turn) loudNow(r *routine.Routine) string {
	loud := func(it routine.Item) bool { return it.Loud }
	if !t.softNow(&t.who) || !slices.ContainsFunc(r.Items, loud) {
		return ""
	}
	return t.voice.Say("soft-hours.now", hoursWith(t.who.Soft, nil))
}

// hoursWith adds the bounds of hours to what a text is said with.
func hoursWith(h Hours, w with) with {
	clock := func(minute int) string { return fmt.Sprintf("%d:%02d", minute/60, minute%60) }
	all := with{"from": clock(h.From), "to": clock(h.To)}
	maps.Copy(all, w)
	return all
}

// hoursOf reads "21:00-07:00".
func hoursOf(word string) (h Hours, ok bool) {
	from, to, _ := strings.Cut(word, "-")
	begin, err1 := time.Parse("15:04", from)
	end, err2 := time.Parse("15:04", to)
	h = Hours{From: begin.Hour()*60 + begin.Minute(), To: end.Hour()*60 + end.Minute()}
	return h, err1 == nil && err2 == nil && h.From != h.To
}

// softHours sets the hours in which a student plays nothing loud.
func (t *turn) softHours(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if len(rest) == 1 && strings.EqualFold(rest[0], "none") {
		m.Soft = Hours{}
		return t.done(t.save(&m), "soft-hours.none", with{"name": m.Name})
	}
	var ok bool
	if len(rest) == 1 {
		m.Soft, ok = hoursOf(rest[0])
	}
	if !ok {
		return Post{}, usage("wrong.soft-hours", with{"name": m.Name})
	}
	return t.done(t.save(&m), "soft-hours.done", hoursWith(m.Soft, with{"name": m.Name}))
}

// strain sets by how much the strenuous minutes of a student's week may grow.
func (t *turn) strain(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if len(rest) == 1 && strings.EqualFold(rest[0], "none") {
		m.Player.Rise = -1
		return t.done(t.save(&m), "strain.none", with{"name": m.Name})
	}
	n := 0
	if len(rest) == 1 {
		n, _ = strconv.Atoi(strings.TrimSuffix(rest[0], "%"))
	}
	if n < 1 || n > routine.LargestRise {
		return Post{}, usage("wrong.strain", with{"name": m.Name, "most": routine.LargestRise, "usual": routine.UsualRise})
	}
	m.Player.Rise = n
	return t.done(t.save(&m), "strain.done", with{"name": m.Name, "percent": routine.Percent(n)})
}

// perform notes that a student performs on a date, and what: a study on her plan,
// whose target date it becomes.
func (t *turn) perform(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if len(rest) == 0 {
		return Post{}, usage("wrong.perform", with{"name": m.Name, "study": exampleStudy(t.books(t.studio.ID))})
	}
	date, err := dateOf(rest[0])
	if err != nil {
		return Post{}, err
	}
	if date < t.Service.today(&m) {
		return Post{}, usage("wrong.perform-over", with{"day": date})
	}
	said := with{"name": m.Name, "day": date}
	m.Player.Performances = slices.DeleteFunc(m.Player.Performances, func(d routine.Date) bool { return d == date })
	if len(rest) == 2 && strings.EqualFold(rest[1], "none") {
		return t.done(t.save(&m), "perform.none", said)
	}
	m.Player.Performances = append(m.Player.Performances, date)
	slices.Sort(m.Player.Performances)
	if err := t.save(&m); err != nil || len(rest) == 1 {
		return t.done(err, "perform.done", said)
	}
	study, _, err := t.studyOf(rest[1:])
	if err != nil {
		return Post{}, err
	}
	p, e, err := t.entryFor(m, study)
	if err != nil {
		return Post{}, err
	}
	e.Target = date
	return t.keep(&p, "perform.piece", said)
}
