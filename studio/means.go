package studio

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ledgerline/routine"
)

// onPlan reads a student and lines of one study, and finds the study on her
// plan.
func (t *turn) onPlan(args []string) (planned, *routine.PlanEntry, []routine.LineRef, []string, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return planned{}, nil, nil, nil, err
	}
	lines, rest, err := t.linesOf(rest)
	if err != nil {
		return planned{}, nil, nil, nil, err
	}
	p, e, err := t.entryFor(m, lines[0].StudyRef())
	return p, e, lines, rest, err
}

// skip leaves lines out of the routine until a date; a date that has come lets
// them back.
func (t *turn) skip(args []string) (Post, error) {
	p, e, lines, rest, err := t.onPlan(args)
	if err != nil {
		return Post{}, err
	}
	if len(rest) != 1 {
		return Post{}, usage(fmt.Sprintf("write the date on which the lines may come back, for example: skip %s %s 2026-03-20; today's date lets them back at once", p.member.Name, lines[0]))
	}
	until, err := routine.ParseDate(rest[0])
	if err != nil {
		return Post{}, usage(err.Error())
	}
	today := t.Service.today(&p.member)
	if until > today+366 {
		return Post{}, usage("a line can be left out for a year at most; to be rid of a study write: close " + p.member.Name + " " + p.ref.String())
	}
	var numbers []int
	for _, l := range lines {
		numbers = append(numbers, l.Line)
	}
	e.Skips = slices.DeleteFunc(e.Skips, func(s routine.Skip) bool { return s.Until <= today || slices.Contains(numbers, s.Line) })
	if until <= today {
		return t.keep(&p, "Lines %s of %s may come again for %s.", runs(numbers), p.ref, p.member.Name)
	}
	for _, n := range numbers {
		e.Skips = append(e.Skips, routine.Skip{Line: n, Until: until})
	}
	return t.keep(&p, "Lines %s of %s stay away from %s until %s.", runs(numbers), p.ref, p.member.Name, longDate(until))
}

// swap puts a line in place of one item of today's routine, which thereby
// becomes a new one.
func (t *turn) swap(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	n := 0
	if len(rest) == 2 {
		n, _ = strconv.Atoi(rest[0])
	}
	if n == 0 {
		return Post{}, usage("write the number of the item and the line to play instead, for example: swap " + m.Name + " 2 " + exampleStudy(t.books(t.studio.ID)) + "/1")
	}
	line, _, err := t.lineOf(rest[1:])
	if err != nil {
		return Post{}, err
	}
	r, err := t.swapped(&m, n, line)
	if err != nil {
		return Post{}, err
	}
	return done(t.tellRoutine(t.tx, &m, &r), "%s plays %s today instead of item %d; the new routine has number %d.", m.Name, line, n, r.Number)
}

// swapped makes and keeps the routine of today with a line in place of item n.
func (t *turn) swapped(m *Member, n int, line routine.LineRef) (r routine.Routine, err error) {
	today := t.Service.today(m)
	old, err := t.tx.Routine(m.ID, today)
	if isNotFound(err) {
		return r, usage(m.Name + " has no routine for today yet")
	}
	if err != nil {
		return r, err
	}
	in, err := t.input(t.tx, &t.studio, m, today, old.Number+1)
	if err != nil {
		return r, err
	}
	if r, err = routine.Swap(in, old, n, line); err != nil {
		return r, usage(fmt.Sprintf("%s can't take the place of item %d: %v", line, n, err))
	}
	if err := t.sameNumbers(m, n, &old, &r); err != nil {
		return r, err
	}
	return r, t.tx.PutRoutine(m.ID, r)
}

// sameNumbers refuses a swap of what has been reported already, or one that
// would give what has been reported another number.
func (t *turn) sameNumbers(m *Member, n int, old, r *routine.Routine) error {
	reports, err := t.tx.Reports(m.ID, old.Date, old.Date)
	if err != nil {
		return err
	}
	for _, rep := range reports {
		for _, e := range rep.Entries {
			switch {
			case !about(&e, old.Item(e.Item)):
			case e.Item == n:
				return usage(fmt.Sprintf("%s has told about item %d already", m.Name, n))
			case !about(&e, r.Item(e.Item)):
				return usage(fmt.Sprintf("that would give item %d, about which %s has told already, another number; write “again %s” for a new routine of what is left", e.Item, m.Name, m.Name))
			}
		}
	}
	return nil
}

// together sets how many neighbouring lines make one item for a student.
func (t *turn) together(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	n, ok := number(p.rest)
	if !ok {
		return Post{}, usage(fmt.Sprintf("write how many neighbouring lines make one item, for example: together %s %s 2; with 0 it is as the book has it, %d", p.member.Name, p.ref, p.study.Together))
	}
	e.Together = n
	if n == 0 {
		n = p.study.Together
	}
	return t.keep(&p, "%s comes %s to an item for %s.", p.ref, count(n, "line"), p.member.Name)
}

// number reads a number that is all there is.
func number(args []string) (n int, ok bool) {
	if len(args) != 1 {
		return 0, false
	}
	n, err := strconv.Atoi(args[0])
	return n, err == nil
}

// add asks for one more demand than the pass does, if the study allows it by
// now; “none” takes all back that was added.
func (t *turn) add(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	if len(p.rest) == 1 && strings.EqualFold(p.rest[0], "none") {
		e.Add = routine.Demands{}
		return t.keep(&p, "%s asks of %s what the pass asks, and no more.", p.ref, p.member.Name)
	}
	d, ok := demandOf(p.rest)
	if !ok {
		return Post{}, usage("write one demand, or none, for example: add " + p.member.Name + " " + p.ref.String() + " p; the demands are " + demandList())
	}
	if first := p.study.First[d]; first > e.Pass {
		return Post{}, usage(fmt.Sprintf("%s asks for %s from pass %d on, and %s is in pass %d", p.ref, d, first, p.member.Name, e.Pass))
	}
	set(&e.Add, d)
	return t.keep(&p, "%s is %s for %s from now on.", p.ref, demandWords(d), p.member.Name)
}

func demandOf(args []string) (routine.Demand, bool) {
	if len(args) != 1 {
		return "", false
	}
	all := routine.AllDemands()
	i := slices.IndexFunc(all, func(d routine.Demand) bool { return strings.EqualFold(string(d), args[0]) })
	if i < 0 {
		return "", false
	}
	return all[i], true
}

func demandList() string {
	var words []string
	for _, d := range routine.AllDemands() {
		words = append(words, string(d))
	}
	return strings.Join(words, ", ")
}

// set puts a demand in its place.
func set(into *routine.Demands, d routine.Demand) {
	switch d.Place() {
	case "dynamic":
		into.Dynamic = d
	case "breath":
		into.Breath = d
	case "fingering":
		into.Fingering = d
	case "articulation":
		into.Articulation = d
	}
}

// ladder sets in what steps the tempo of a study goes up and down.
func (t *turn) ladder(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	wrong := usage(fmt.Sprintf("write a step from %v to %v, or marks, for example: ladder %s %s 5%%", routine.SmallestStep, routine.LargestStep, p.member.Name, p.ref))
	if len(p.rest) != 1 {
		return Post{}, wrong
	}
	if strings.EqualFold(p.rest[0], "marks") {
		e.Ladder = 0
		return t.keep(&p, "%s goes from mark to mark for %s.", p.ref, p.member.Name)
	}
	if err := e.Ladder.UnmarshalText([]byte(p.rest[0])); err != nil {
		return Post{}, wrong
	}
	return t.keep(&p, "%s goes by %s for %s.", p.ref, e.Ladder, p.member.Name)
}
