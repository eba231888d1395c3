package studio

import (
	"fmt"
	"slices"
	"strings"

	"ledgerline/routine"
)

// copyPlan gives a student what is on another one's plan.
func (t *turn) copyPlan(args []string) (Post, error) {
	from, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	to, _, err := t.member(rest)
	if err != nil {
		return Post{}, err
	}
	if from.ID == to.ID {
		return Post{}, usage("name two students, the one to copy from first")
	}
	plan, err := planOf(t.tx, from.ID)
	if err != nil {
		return Post{}, err
	}
	if len(plan.Entries) == 0 {
		return Post{}, usage("there is nothing on " + from.Name + "'s plan to copy")
	}
	return t.give(&to, plan.Entries)
}

// template gives a student the plan that students of a level begin with.
func (t *turn) template(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	var levels []string
	for _, tpl := range t.studio.Templates {
		if len(rest) == 1 && strings.EqualFold(rest[0], string(tpl.Level)) {
			return t.give(&m, tpl.Plan.Entries)
		}
		levels = append(levels, string(tpl.Level))
	}
	if len(levels) == 0 {
		return Post{}, usage("this studio has no templates; they stand in its studio.yaml under templates:")
	}
	return Post{}, usage(fmt.Sprintf("write the level of a template, for example: template %s %s; there are: %s", m.Name, levels[0], strings.Join(levels, ", ")))
}

// give adds entries to a student's plan, after what is on it, and says what was
// left out of them and why.
func (t *turn) give(m *Member, entries []routine.PlanEntry) (Post, error) {
	plan, err := planOf(t.tx, m.ID)
	if err != nil {
		return Post{}, err
	}
	var given, out []string
	for _, e := range entries {
		on := slices.IndexFunc(plan.Entries, func(o routine.PlanEntry) bool { return o.Study == e.Study })
		if on >= 0 {
			out = append(out, fmt.Sprintf("%s: it is on the plan already, in pass %d", e.Study, plan.Entries[on].Pass))
			continue
		}
		fits, why := t.fitted(m, e)
		if why != "" {
			out = append(out, e.Study.String()+": "+why)
		}
		if fits.Pass > 0 {
			plan.Entries = append(plan.Entries, fits)
			given = append(given, fmt.Sprintf("%s, pass %d", fits.Study, fits.Pass))
		}
	}
	lines := []string{"Nothing was put on " + m.Name + "'s plan."}
	if len(given) > 0 {
		lines[0] = "Put on " + m.Name + "'s plan: " + strings.Join(given, "; ") + ". It holds from the next routine on."
	}
	if len(out) > 0 {
		lines = append(lines, "Left out:")
	}
	return done(t.tx.PutPlan(m.ID, plan), "%s", strings.Join(append(lines, out...), "\n"))
}

// fitted returns an entry as it suits another student, from today on: without
// what was only the other one's, such as a target date and a lock on the tempo,
// and without the lines that she can't be given. why says what is left out; the
// zero entry means all of it.
func (t *turn) fitted(m *Member, e routine.PlanEntry) (fits routine.PlanEntry, why string) {
	if e.Instrument != "" && !strings.EqualFold(e.Instrument, m.Player.Instrument) {
		return fits, "it is for the " + e.Instrument
	}
	study := t.books(t.studio.ID).Study(e.Study)
	if study == nil {
		return fits, "it is not in the books"
	}
	fits = routine.PlanEntry{
		Study: e.Study, Pass: e.Pass, Since: t.Service.today(m), Lines: slices.Clone(e.Lines), Pinned: slices.Clone(e.Pinned),
		Add: e.Add, Instrument: e.Instrument, Interleave: e.Interleave, Together: e.Together, Ladder: e.Ladder, TestEvery: e.TestEvery,
	}
	outside := outOfRange(study, &m.Player)
	gone := func(n int) bool { return slices.Contains(outside, n) }
	fits.Lines = slices.DeleteFunc(fits.Lines, gone)
	fits.Pinned = slices.DeleteFunc(fits.Pinned, gone)
	if len(e.Lines) > 0 && len(fits.Lines) == 0 {
		return routine.PlanEntry{}, "its lines are outside " + m.Name + "'s range"
	}
	if no := t.unfit(m, fits); no != "" {
		return routine.PlanEntry{}, no
	}
	if len(e.Lines) > 0 {
		outside = slices.DeleteFunc(outside, func(n int) bool { return !slices.Contains(e.Lines, n) })
	}
	if len(outside) > 0 {
		why = "lines " + runs(outside) + ", outside " + m.Name + "'s range"
	}
	return fits, why
}

// outOfRange returns the lines of a study that a player can't be given.
func outOfRange(study *routine.Study, p *routine.Player) (numbers []int) {
	low, high := p.Range()
	for _, l := range study.Lines {
		if l.Low < low || l.High > high {
			numbers = append(numbers, l.Number)
		}
	}
	return numbers
}
