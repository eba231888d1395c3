package trial

import (
	"cmp"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// lessonDay is the day of the weekly lesson.
const lessonDay = time.Thursday

// lesson has the teacher sign off what is ready and, if the trial says so, open
// the next pass of a study whose share has passed.
func (l *living) lesson() {
	for i := range l.in.Plan.Entries {
		e := &l.in.Plan.Entries[i]
		goals := l.scenario.goals(e)
		passed := 0
		for _, g := range goals {
			if l.hear(&g); l.in.Standings[g.key].State == routine.Passed {
				passed++
			}
		}
		study := l.scenario.Catalogue.Study(e.Study)
		share := cmp.Or(study.Pass(e.Pass).Share, 1)
		if l.trial.Passes && float64(passed) >= share*float64(len(goals)) && study.Pass(e.Pass+1) != nil {
			e.Pass, e.Since = e.Pass+1, l.in.Date
			l.readGoals()
		}
	}
}

// hear signs off a line that is ready.
func (l *living) hear(g *goal) {
	st := l.in.Standings[g.key]
	if st.State != routine.Ready {
		return
	}
	l.seq++
	act := streaks.Act{Seq: l.seq, Date: l.in.Date, Line: g.key.Line, Pass: g.key.Pass, Kind: streaks.SignOff}
	l.in.Standings[g.key] = streaks.Decide(st, act, g.rule)
}
