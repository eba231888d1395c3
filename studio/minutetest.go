package studio

import (
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
		return t.keep(&p, "test.none", nil)
	}
	if len(p.rest) == 1 && e.TestEvery > 0 {
		if from, err := dateOf(p.rest[0]); err == nil {
			e.TestFrom = from
			return t.keep(&p, "test.from", with{"day": from})
		}
	}
	n, ok := number(p.rest)
	if !ok || n < routine.ShortestTestInterval || n > routine.LongestTestInterval {
		return Post{}, usage("wrong.test", with{
			"from": routine.ShortestTestInterval, "to": routine.LongestTestInterval, "name": p.member.Name, "study": p.ref,
		})
	}
	e.TestEvery = n
	return t.keep(&p, "test.every", with{"n": n})
}
