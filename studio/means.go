package studio

import (
	"errors"
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
		return Post{}, usage("wrong.skip", with{"name": p.member.Name, "line": lines[0]})
	}
	until, err := dateOf(rest[0])
	if err != nil {
		return Post{}, err
	}
	today := t.Service.today(&p.member)
	if until > today+366 {
		return Post{}, usage("wrong.skip-too-long", with{"name": p.member.Name, "study": p.ref})
	}
	var numbers []int
	for _, l := range lines {
		numbers = append(numbers, l.Line)
	}
	e.Skips = slices.DeleteFunc(e.Skips, func(s routine.Skip) bool { return s.Until <= today || slices.Contains(numbers, s.Line) })
	if until <= today {
		return t.keep(&p, "skip.back", with{"n": len(numbers), "lines": runs(numbers)})
	}
	for _, n := range numbers {
		e.Skips = append(e.Skips, routine.Skip{Line: n, Until: until})
	}
	return t.keep(&p, "skip.away", with{"n": len(numbers), "lines": runs(numbers), "day": until})
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
		return Post{}, usage("wrong.swap", with{"name": m.Name, "study": exampleStudy(t.books(t.studio.ID))})
	}
	line, _, err := t.lineOf(rest[1:])
	if err != nil {
		return Post{}, err
	}
	r, err := t.swapped(&m, n, line)
	if err != nil {
		return Post{}, err
	}
	return t.done(t.tellRoutine(t.tx, &m, &r), "swap.done", with{"name": m.Name, "line": line, "item": n, "number": r.Number})
}

// swapped makes and keeps the routine of today with a line in place of item n.
func (t *turn) swapped(m *Member, n int, line routine.LineRef) (r routine.Routine, err error) {
	today := t.Service.today(m)
	old, err := t.tx.Routine(m.ID, today)
	if isNotFound(err) {
		return r, usage("wrong.no-routine-yet", with{"name": m.Name})
	}
	if err != nil {
		return r, err
	}
	in, err := t.input(t.tx, &t.studio, m, today, old.Number+1)
	if err != nil {
		return r, err
	}
	r, err = routine.Swap(in, old, n, line)
	var no *routine.SwapError
	if errors.As(err, &no) {
		return r, usage("wrong.swap-refused", with{"line": line, "item": n, "reason": ReasonWords(t.voice, no.Why)})
	}
	if err != nil {
		return r, err
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
				return usage("wrong.swap-told", with{"name": m.Name, "item": n})
			case !about(&e, r.Item(e.Item)):
				return usage("wrong.swap-renumbers", with{"name": m.Name, "item": e.Item})
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
		return Post{}, usage("wrong.together", with{"name": p.member.Name, "study": p.ref, "number": p.study.Together})
	}
	e.Together = n
	if n == 0 {
		n = p.study.Together
	}
	return t.keep(&p, "together.done", with{"n": n})
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
		return t.keep(&p, "add.none", nil)
	}
	d, ok := demandOf(p.rest)
	if !ok {
		return Post{}, usage("wrong.add", with{"name": p.member.Name, "study": p.ref, "demands": strings.Join(demandWords(t.voice), ", ")})
	}
	if first := p.study.First[d]; first > e.Pass {
		return Post{}, usage("wrong.add-too-early", with{"study": p.ref, "demand": d, "first": first, "name": p.member.Name, "pass": e.Pass})
	}
	set(&e.Add, d)
	return t.keep(&p, "add.done", with{"demand": d})
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

func demandWords(v *voice) (all []string) {
	for _, d := range routine.AllDemands() {
		all = append(all, v.Value(d))
	}
	return all
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

// interleave lets the items of a study take turns with those of others.
func (t *turn) interleave(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	e.Interleave = len(p.rest) == 0
	if !e.Interleave && !strings.EqualFold(p.rest[0], "none") {
		return Post{}, spare(p.rest)
	}
	if !e.Interleave {
		return t.keep(&p, "interleave.alone", nil)
	}
	return t.keep(&p, "interleave.done", nil)
}

// ladder sets in what steps the tempo of a study goes up and down.
func (t *turn) ladder(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	wrong := usage("wrong.ladder", with{"from": routine.SmallestStep, "to": routine.LargestStep, "name": p.member.Name, "study": p.ref})
	if len(p.rest) != 1 {
		return Post{}, wrong
	}
	if strings.EqualFold(p.rest[0], "marks") {
		e.Ladder = 0
		return t.keep(&p, "ladder.marks", nil)
	}
	if err := e.Ladder.UnmarshalText([]byte(p.rest[0])); err != nil {
		return Post{}, wrong
	}
	return t.keep(&p, "ladder.step", with{"step": e.Ladder})
}
