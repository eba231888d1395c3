package yaml

import (
	"slices"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
	"ledgerline/studio"
)

// template reads the plan that students of a level begin with. It is checked
// for an instrument that reaches everything; what a student can't play of it is
// left out when she is given it.
func (r *roster) template(n *yaml.Node) (t studio.Template, ok bool) {
	m, ok := r.file.mapping(n, "template", "level", "plan", "|")
	if !ok {
		return t, false
	}
	t.Level = word(m, "level", routine.Levels())
	if slices.Contains(r.levels, t.Level) {
		m.wrong("level", "one template for each level", "there is a template for level %s already", t.Level)
	}
	r.levels = append(r.levels, t.Level)
	t.Plan.Entries = each(m, "plan", r.file.planEntry)
	r.checkPlan(m, t.Plan, routine.Player{Instrument: routine.Instruments()[0].Name, Level: routine.Advanced, Minutes: 1})
	return t, true
}
