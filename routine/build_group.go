package routine

import "slices"

// A candidate is an item that may be part of the day: neighbouring lines that
// come for the same reason, in the same pass and at the same tempo.
type candidate struct {
	entry   int
	kind    kind
	hard    bool
	lines   []readied
	full    int      // playing minutes it deserves
	worth   int      // points at full length, were it not pinned
	lengths []length // those it may get, shortest first
}

// A length is one of the lengths a candidate may get.
type length struct {
	minutes int // playing
	cost    int // playing and rest
	worth   int // points
}

// group makes candidates of the lines that are ready. Lines are taken together
// in fixed sets of neighbours (1-3, 4-6, …), so that those that begin together
// stay together.
func (b *builder) group() {
	b.candidates = make([]candidate, 0, len(b.lines))
	for from := 0; from < len(b.lines); {
		to := from + 1
		for to < len(b.lines) && b.together(&b.lines[to-1], &b.lines[to]) {
			to++
		}
		lines := b.lines[from:to]
		b.candidates = append(b.candidates, candidate{
			entry: lines[0].entry, kind: lines[0].kind, hard: lines[0].hard, lines: lines,
		})
		from = to
	}
}

// together reports whether l may join k, the line before it, in one item.
func (b *builder) together(k, l *readied) bool {
	if k.entry != l.entry {
		return false
	}
	size := b.entries[k.entry].together()
	return k.at+1 == l.at && k.at/size == l.at/size &&
		k.kind == l.kind && k.pass == l.pass && k.to == l.to && k.from == l.from &&
		k.hard == l.hard && k.piece == l.piece && k.fresh == l.fresh && k.outcome == l.outcome
}

// age returns the days that the line that has waited longest has waited.
func (c *candidate) age() int {
	age := c.lines[0].age
	for i := range c.lines {
		age = max(age, c.lines[i].age)
	}
	return age
}

// keys names the keys of the lines, each once.
func (c *candidate) keys() string {
	if len(c.lines) == 1 {
		return c.lines[0].line.Key
	}
	var keys []string
	for i := range c.lines {
		if k := c.lines[i].line.Key; k != "" && !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	return listOf(keys)
}
