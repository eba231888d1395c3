package studio

import (
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
	if len(rest) == 0 {
		return Post{}, usage("wrong.two-students", nil)
	}
	to, _, err := t.member(rest)
	if err != nil {
		return Post{}, err
	}
	if from.ID == to.ID {
		return Post{}, usage("wrong.two-students", nil)
	}
	plan, err := planOf(t.tx, from.ID)
	if err != nil {
		return Post{}, err
	}
	if len(plan.Entries) == 0 {
		return Post{}, usage("wrong.nothing-to-copy", with{"name": from.Name})
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
		return Post{}, usage("wrong.no-templates", nil)
	}
	return Post{}, usage("wrong.template", with{"name": m.Name, "level": levels[0], "levels": strings.Join(levels, ", ")})
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
			out = append(out, t.voice.Say("give.already", with{"study": e.Study, "pass": plan.Entries[on].Pass}))
			continue
		}
		fits, why := t.fitted(m, e)
		if why != "" {
			out = append(out, t.voice.Say("labelled", with{"label": e.Study, "text": why}))
		}
		if fits.Pass > 0 {
			plan.Entries = append(plan.Entries, fits)
			given = append(given, t.voice.Say("study-pass", with{"study": fits.Study, "pass": fits.Pass}))
		}
	}
	lines := []string{t.voice.Say("give.nothing", with{"name": m.Name})}
	if len(given) > 0 {
		lines[0] = t.voice.Say("give.done", with{"name": m.Name, "studies": t.voice.Apart(given)}) + " " + t.voice.Say("from-next", nil)
	}
	if len(out) > 0 {
		lines = append(lines, t.voice.Say("give.left-out", nil))
	}
	return Post{Text: strings.Join(append(lines, out...), "\n")}, t.tx.PutPlan(m.ID, plan)
}

// fitted returns an entry as it suits another student, from today on: without
// what was only the other one's, such as a target date and a lock on the tempo,
// and without the lines that she can't be given. why says what is left out; the
// zero entry means all of it.
func (t *turn) fitted(m *Member, e routine.PlanEntry) (fits routine.PlanEntry, why string) {
	if e.Instrument != "" && !strings.EqualFold(e.Instrument, m.Player.Instrument) {
		return fits, t.voice.Say("give.instrument", with{"instrument": instrumentWords(t.voice, e.Instrument)})
	}
	study := t.books(t.studio.ID).Study(e.Study)
	if study == nil {
		return fits, t.voice.Say("give.no-study", nil)
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
		return routine.PlanEntry{}, t.voice.Say("give.out-of-range", with{"name": m.Name})
	}
	if no := t.unfit(m, fits); no != "" {
		return routine.PlanEntry{}, no
	}
	if len(e.Lines) > 0 {
		outside = slices.DeleteFunc(outside, func(n int) bool { return !slices.Contains(e.Lines, n) })
	}
	if len(outside) > 0 {
		why = t.voice.Say("give.lines-out-of-range", with{"lines": linesWords(t.voice, outside), "name": m.Name})
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
