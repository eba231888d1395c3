package matrix

import "strings"

// findingOf returns the finding that says something.
func findingOf(all []Finding, says string) Finding {
	for _, f := range all {
		if strings.Contains(f.What, says) {
			return f
		}
	}
	return Finding{}
}
