package charts

import "ledgerline/routine"

// A group is the playings of some days that one notehead stands for.
type group struct {
	last             play
	slowest, fastest float64
}

// Beyond mostHeads playings noteheads would hide one another; then there is one
// for each group, and at most mostGroups of them.
const (
	mostHeads  = 60
	mostGroups = 28
)

// grouped returns the playings one by one, and days 0; or, if they are many, in
// groups of so many days.
func (t *tempi) grouped() (groups []group, days int) {
	if len(t.plays) > mostHeads {
		days = int(t.last().date-t.first().date)/mostGroups + 1
	}
	until := t.first().date
	for _, p := range t.plays {
		if days == 0 || len(groups) == 0 || p.date >= until {
			groups = append(groups, group{p, p.bpm, p.bpm})
			for days > 0 && p.date >= until {
				until += routine.Date(days)
			}
			continue
		}
		g := &groups[len(groups)-1]
		g.last, g.slowest, g.fastest = p, min(g.slowest, p.bpm), max(g.fastest, p.bpm)
	}
	return groups, days
}
