package sqlite

import (
	"database/sql"
	"regexp"
	"strings"
	"testing"
)

// testNoScans asks SQLite how it goes about every statement that was prepared on
// the stores: none may go through the whole of a table that grows with the
// years, nor sort rows that it will not return.
func testNoScans(t *testing.T, stores []*Store) {
	steps := map[string][]string{} // by statement
	for _, s := range stores {
		for _, query := range s.Prepared() {
			if steps[query] == nil {
				steps[query] = explained(t, s.readDB, query)
			}
		}
	}
	if len(steps) < 50 {
		t.Errorf("%d statements were looked at, and there are more", len(steps))
	}
	for query, plan := range steps {
		for _, step := range plan {
			sorts := strings.HasPrefix(step, "USE TEMP B-TREE") && strings.Contains(query, "LIMIT")
			scans := grows.MatchString(step) && !bounded.MatchString(step) && !counts(query) && !rare(query)
			if sorts || scans {
				t.Errorf("%s\n%s\nin\n%s", query, step, strings.Join(plan, "\n"))
			}
		}
	}
}

// grows matches a step that takes longer the more there is in a table, by its
// name or the letter a statement gives it.
var grows = regexp.MustCompile(`^SCAN (inbox|outbox|report|r|entry|e|n|entry_line|l|withdrawal|w|act|standing|question|hearing|sound|routine|due|member|m|a|c|s|challenge)\b`)

// bounded matches a step along an index of what waits to be done, which is as
// short as that list is, or is left at the first row.
var bounded = regexp.MustCompile(`^SCAN (inbox|outbox|due) USING (COVERING )?INDEX (inbox_unread|outbox_ready|due_at)$`)

// counts reports whether a statement is one that counts all there is.
func counts(query string) bool { return strings.Contains(query, "count(*)") }

// rare reports whether a statement is one for which nobody waits.
func rare(query string) bool { return strings.Contains(query, "-- nobody waits") }

func explained(t *testing.T, db *sql.DB, query string) (steps []string) {
	t.Helper()
	args := make([]any, 20)
	rows, err := db.Query("EXPLAIN QUERY PLAN "+query, args[:parameters(query)]...)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	defer rows.Close()
	for rows.Next() {
		var id, parent, unused int
		var step string
		if err := rows.Scan(&id, &parent, &unused, &step); err != nil {
			t.Fatal(err)
		}
		steps = append(steps, step)
	}
	return steps
}

// parameters returns how many parameters a statement has.
func parameters(query string) int {
	numbered := regexp.MustCompile(`\?\d+`).FindAllString(query, -1)
	if len(numbered) == 0 {
		return strings.Count(query, "?")
	}
	distinct := map[string]bool{}
	for _, p := range numbered {
		distinct[p] = true
	}
	return len(distinct)
}
