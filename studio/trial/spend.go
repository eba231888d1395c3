package trial

import (
	"fmt"
	"io"

	"ledgerline/routine"
)

// A Use is what minutes went to.
type Use int

// The uses.
const (
	Frame    Use = iota // warm-ups and warm-downs that have passed
	Begun               // the first playing of a line
	Working             // lines below their goal
	Counting            // lines at their goal whose clean days are not full
	Ready               // lines that wait for the teacher
	Review              // passed lines, the frame aside
	Rest                // rest between items
	Unused              // of the budget, on days that were played
	uses
)

var useNames = [uses]string{"frame", "begun", "working", "at goal", "ready", "review", "rest", "unused"}

func (u Use) String() string { return useNames[u] }

// useOf returns what the minutes of an item go to that a line stands so in.
func useOf(it *routine.Item, s routine.Standing) Use {
	frame := it.Skill == routine.WarmUp || it.Skill == routine.WarmDown
	switch {
	case s.State == routine.Passed && frame:
		return Frame
	case s.State == routine.Passed:
		return Review
	case s.Plays == 0:
		return Begun
	case s.State == routine.Ready:
		return Ready
	case s.State == routine.AtTempo:
		return Counting
	}
	return Working
}

// writeUses writes what the minutes under each policy went to, in percent of the
// minutes set and left unused, and how many lines were begun.
func (r Result) writeUses(w io.Writer, policies []Policy) {
	fmt.Fprintf(w, "\n%-20s", "% of the minutes")
	for u := range uses {
		fmt.Fprintf(w, " %8s", u)
	}
	fmt.Fprintf(w, " %8s\n", "lines")
	for _, p := range policies {
		var sums [uses]int
		all, lines := 0, 0
		lives := r.Lives[p.Name]
		for i := range lives {
			lines += lives[i].Begun
			for u, minutes := range lives[i].Uses {
				sums[u] += minutes
				all += minutes
			}
		}
		fmt.Fprintf(w, "%-20s", p.Name)
		for _, minutes := range sums {
			fmt.Fprintf(w, " %8.1f", 100*float64(minutes)/float64(max(1, all)))
		}
		fmt.Fprintf(w, " %8.1f\n", float64(lines)/float64(len(lives)))
	}
	fmt.Fprintln(w, "(lines: begun in a life)")
}
