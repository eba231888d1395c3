package harbour

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"

	"ledgerline/routine"
)

// A voice puts what was played into a reply, as one student writes.
type voice func(r *rand.Rand, results []result, minutes int) string

// exact names every item: "1 96 clean, 2 skip, rest done 40m".
func exact(r *rand.Rand, results []result, minutes int) string {
	var parts []string
	for _, res := range results {
		parts = append(parts, strconv.Itoa(res.item.N)+itemWords(res))
	}
	return strings.Join(parts, ", ") + fmt.Sprintf(". %dm", minutes)
}

func itemWords(res result) string {
	if res.outcome == routine.Skipped {
		return " skip"
	}
	if res.tempo.IsZero() {
		return " " + string(res.outcome)
	}
	return " " + strconv.FormatFloat(res.tempo.BPM, 'f', -1, 64) + " " + string(res.outcome)
}

// ranges says what was not clean and lumps the rest together.
func ranges(r *rand.Rand, results []result, minutes int) string {
	var parts []string
	for _, res := range results {
		if res.outcome != routine.Clean {
			parts = append(parts, fmt.Sprintf("%d %s", res.item.N, res.outcome))
		}
	}
	if len(parts) == len(results) {
		return strings.Join(parts, ", ")
	}
	return strings.Join(append(parts, "rest clean"), ", ") + fmt.Sprintf(", %d min", minutes)
}

// terse says only how long.
func terse(r *rand.Rand, results []result, minutes int) string {
	return fmt.Sprintf("y %d", minutes)
}

// cheerful is nine years old.
func cheerful(r *rand.Rand, results []result, minutes int) string {
	skipped := 0
	for _, res := range results {
		if res.outcome == routine.Skipped {
			skipped = res.item.N
		}
	}
	if skipped > 0 && len(results) > 1 {
		return fmt.Sprintf("all but %d", skipped)
	}
	return pick(r, "done!", "all done", "👍", fmt.Sprintf("done %d min", minutes))
}

// careless leaves things out that matter.
func careless(r *rand.Rand, results []result, minutes int) string {
	first := results[0]
	if r.Float64() < 0.15 {
		return fmt.Sprintf("%d clean i think, and the other one so so", first.item.N)
	}
	if r.Float64() < 0.1 {
		return fmt.Sprintf("did %d and %d", first.item.N, len(results)+3)
	}
	return fmt.Sprintf("%d%s rest done %d", first.item.N, itemWords(first), minutes)
}

// wordy writes in sentences.
func wordy(r *rand.Rand, results []result, minutes int) string {
	opening := pick(r, "Good evening! ", "A quiet evening here. ", "The neighbours were kind today. ")
	var parts []string
	for _, res := range results {
		switch res.outcome {
		case routine.Skipped:
			parts = append(parts, fmt.Sprintf("I skipped number %d", res.item.N))
		case routine.Clean:
			parts = append(parts, fmt.Sprintf("number %d was clean at %s", res.item.N, strconv.FormatFloat(res.tempo.BPM, 'f', -1, 64)))
		default:
			parts = append(parts, fmt.Sprintf("number %d was %s", res.item.N, res.outcome))
		}
	}
	return opening + strings.Join(parts, ", ") + fmt.Sprintf(". About %d minutes in all.", minutes)
}

func pick(r *rand.Rand, options ...string) string { return options[r.IntN(len(options))] }
