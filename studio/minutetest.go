package studio

import (
	"regexp"
	"strconv"
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

// saidSeconds is how long a minute test was held, as a remark says it in any of the
// languages and with a few words before it: "40 s", "made it to 40 seconds". Where
// more is said of some seconds, as in "the first 10 s were airy", it is no length.
var saidSeconds = regexp.MustCompile(`(?i)^(?:\p{L}+ ){0,3}(\d{1,3})\s*(?:s|se[ckg]\p{L}*)\.?$`)

// testOutcome returns what became of a minute test of which the reply says so
// much. Seconds that were said decide it: a minute is held if it was 60 of them,
// whatever word stands beside.
func testOutcome(said routine.Outcome, remark string) routine.Outcome {
	match := saidSeconds.FindStringSubmatch(remark)
	if match == nil || !said.Played() {
		return said
	}
	if seconds, _ := strconv.Atoi(match[1]); seconds < 60 {
		return routine.Missed
	}
	return routine.Clean
}
