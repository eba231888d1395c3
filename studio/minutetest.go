package studio

import (
	"fmt"
	"strings"

	"ledgerline/routine"
)

// test sets the days from one minute test of a study to the next.
func (t *turn) test(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	if len(p.rest) == 1 && strings.EqualFold(p.rest[0], "none") {
		e.TestEvery = 0
		return t.keep(&p, "%s has no minute test any more for %s.", p.ref, p.member.Name)
	}
	n, ok := number(p.rest)
	if !ok || n < routine.ShortestTestInterval || n > routine.LongestTestInterval {
		return Post{}, usage(fmt.Sprintf("write the days from one minute test to the next, from %d to %d, or none, for example: test %s %s 14",
			routine.ShortestTestInterval, routine.LongestTestInterval, p.member.Name, p.ref))
	}
	e.TestEvery = n
	return t.keep(&p, "%s has a minute test every %d days for %s, on the next day that is not a light one: 60 seconds without a break, at the tempo of the day.", p.ref, n, p.member.Name)
}
