package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// invented plays three weeks of the demo and returns the folder of its studio
// and its database.
func invented(t *testing.T) (folder, database string) {
	t.Helper()
	dir := t.TempDir()
	folder, database = filepath.Join(dir, "studio"), filepath.Join(dir, "demo.db")
	if _, err := bot(t, "", "demo", "--files", folder); err != nil {
		t.Fatal(err)
	}
	story(t, "--weeks", "3", "--database", database)
	return folder, database
}

// posted returns the first routine that each student was posted on each date of
// three weeks since her plan is as it is now: as passes open, or a teacher says so,
// it changes. Days of which the day before was told late are left out: the routine
// was posted without knowing.
func posted(t *testing.T, database string) (days map[studio.MemberID][]routine.Routine, counts studio.Counts) {
	t.Helper()
	days = map[studio.MemberID][]routine.Routine{}
	err := withStore(t, database, func(s *sqlite.Store) error {
		return s.View(t.Context(), func(tx studio.Tx) error {
			members, err := tx.Members("harbour-row")
			if err != nil {
				return err
			}
			deeds, err := tx.Deeds("harbour-row", 999)
			if err != nil {
				return err
			}
			for _, m := range members {
				first := routine.NewDate(2026, 2, 23)
				for _, d := range deeds {
					if strings.Contains(d.Words, m.Name) {
						first = max(first, routine.DateOf(d.At, time.UTC)+1)
					}
				}
				plan, _ := tx.Plan(m.ID) // a teacher has none
				for _, e := range plan.Entries {
					if e.Since > first {
						first = e.Since + 1
					}
				}
				reports, err := tx.Reports(m.ID, first-1, routine.NewDate(2026, 3, 16))
				if err != nil {
					return err
				}
				toldLate := map[routine.Date]bool{}
				for _, r := range reports {
					told := routine.DateOf(r.At, m.Location())
					toldLate[told] = toldLate[told] || told > r.Day.Date
				}
				for d := first; d < routine.NewDate(2026, 3, 16); d++ {
					if toldLate[d] {
						continue
					}
					if r, err := tx.Routine(m.ID, d); err == nil && r.Number == 1 {
						days[m.ID] = append(days[m.ID], r)
					}
				}
			}
			counts, err = tx.Counts()
			return err
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return days, counts
}

// TestPlanShowsWhatWasPosted asks about days gone by, for which there is an
// answer that the program has given before: the routine that it posted then.
func TestPlanShowsWhatWasPosted(t *testing.T) {
	folder, database := invented(t)
	days, before := posted(t, database)
	asked := 0
	for id, routines := range days {
		for i := 0; i < len(routines); i += 4 {
			r := routines[i]
			out, err := bot(t, "", "plan", "--student", string(id), "--date", r.Date.String(), "--database", database, folder)
			if err != nil {
				t.Fatal(err)
			}
			var want strings.Builder
			page := planPage{voice: words.Program().In(words.English)}
			page.writeRoutine(&want, &r)
			if _, got, _ := strings.Cut(out, "\n"); got != want.String() {
				t.Errorf("%s on %s was posted\n%s\nand the plan says\n%s", id, r.Date, want.String(), got)
			}
			asked++
		}
	}
	if asked < 20 {
		t.Errorf("only %d routines to compare in three weeks of nine students", asked)
	}
	if _, after := posted(t, database); after.Messages != before.Messages || after.Waiting != before.Waiting || len(after.Sent) != len(before.Sent) {
		t.Errorf("asking has changed the counts from %+v to %+v", before, after)
	}
}

func TestPlanExplainsAndLooksAhead(t *testing.T) {
	folder, database := invented(t)
	out, err := bot(t, "", "plan", "--student", "Ilka", "--date", "2026-03-20", "--explain", "--week", "--database", database, folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"Ilka, Friday 2026-03-20\nA light day: you perform tomorrow.", // Ilka performs on the 21st
		"\nCandidates, in points; a budget of 72 min",                 // 60 in the hundred of her 120
		"\nKept out\n", "strenuous on a day that must be soft",
		"\nSaturday 2026-03-21\nA light day: you perform today.",
		"\nThursday 2026-03-26\n",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("the answer does not say %q:\n%s", want, out)
		}
	}
	out, err = bot(t, "", "plan", "--student", "tobias", "--date", "2026-04-02", "--week", "--database", database, folder)
	if err != nil || !strings.Contains(out, "Friday 2026-04-03\nNo routine: holiday.\n\nSaturday") {
		t.Errorf("the holidays from 3 to 5 April are not shown: %v\n%s", err, out)
	}
	out, err = bot(t, "", "plan", "--student", "tobias", "--date", "2026-04-03", "--database", database, folder)
	if err != nil || !strings.Contains(out, "Nothing is posted. No routine: holiday.") {
		t.Errorf("a holiday is shown as: %v\n%s", err, out)
	}
}

func TestPlanOfWhatIsNotThere(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "studio")
	if _, err := bot(t, "", "demo", "--files", folder); err != nil {
		t.Fatal(err)
	}
	database := filepath.Join(dir, "none.db")
	if _, err := bot(t, "", "plan", "--student", "ilka", "--database", database, folder); err == nil || !strings.Contains(err.Error(), "no such file") {
		t.Errorf("without a database: %v", err)
	}
	if _, err := os.Stat(database); err == nil {
		t.Error("asking has made a database")
	}
	if err := withStore(t, database, func(*sqlite.Store) error { return nil }); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ date, want string }{{"2026-03-04", "not in the database"}, {"tomorrow", "year-month-day"}} {
		if _, err := bot(t, "", "plan", "--student", "ilka", "--date", c.date, "--database", database, folder); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("for %s: %v, want %q", c.date, err, c.want)
		}
	}
	story(t, "--weeks", "0", "--database", filepath.Join(dir, "demo.db"))
	_, err := bot(t, "", "plan", "--student", "nobody", "--database", filepath.Join(dir, "demo.db"), folder)
	if err == nil || !strings.Contains(err.Error(), "no student “nobody”") {
		t.Errorf("for nobody: %v", err)
	}
}
