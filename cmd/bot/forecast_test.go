package main

import (
	"os"
	"path/filepath"
	"testing"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

// foretold is a forecast that was made on the way of the story.
type foretold struct {
	who  studio.MemberID
	date routine.Date
	studio.LineForecast
}

// TestForecastsOfTheDemo plays the story on, asks for all forecasts every other
// week, and looks at the end when each goal was clean for the first time. How many
// ranges held is logged; the students of the story learn along curves that the
// forecasts do not know. TRIAL=full plays two stories, and longer ones.
func TestForecastsOfTheDemo(t *testing.T) {
	const first = 4
	weeks, stories := 14, uint64(1)
	if os.Getenv("TRIAL") == "full" {
		weeks, stories = 30, 2
	}
	var all []foretold
	held, early, late, open := 0, 0, 0, 0
	for seed := uint64(1); seed <= stories; seed++ {
		c := demoCmd{Seed: seed}
		tale, err := c.tell(t.Context(), filepath.Join(t.TempDir(), "story.db"))
		if err != nil {
			t.Fatal(err)
		}
		defer tale.store.Close()
		var told []foretold
		for week := first; week <= weeks; week += 2 {
			if err := tale.story.AdvanceTo(t.Context(), harbour.After(week), nil); err != nil {
				t.Fatal(err)
			}
			told = append(told, tale.foretell(t)...)
		}
		end := routine.DateOf(tale.story.Now(), harbour.Begin.Location())
		for _, f := range told {
			reached := tale.reached(t, f)
			switch {
			case f.None != "":
			case reached != 0 && reached < f.From:
				early++
			case reached != 0 && reached <= f.To:
				held++
			case reached != 0 || f.To < end:
				late++
			default:
				open++
			}
		}
		all = append(all, told...)
	}
	ranges := held + early + late
	t.Logf("asked %d times: %d ranges came to be judged, %d held the date (%.0f %%), it came before %d, after or not yet %d; %d are open yet",
		len(all), ranges, held, 100*float64(held)/float64(ranges), early, late, open)
	if ranges < 10 || float64(held) < .6*float64(ranges) {
		t.Errorf("%d of %d ranges held, want about four in five", held, ranges)
	}
}

// foretell asks for the forecasts of every student.
func (t *tale) foretell(test *testing.T) (all []foretold) {
	test.Helper()
	students, err := t.story.Summaries(test.Context())
	if err != nil {
		test.Fatal(err)
	}
	for id := range students {
		some, err := t.service.Forecasts(test.Context(), studio.MemberID(id))
		if err != nil {
			test.Fatal(err)
		}
		for _, f := range some {
			all = append(all, foretold{studio.MemberID(id), routine.DateOf(t.story.Now(), harbour.Begin.Location()), f})
		}
	}
	return all
}

// reached returns the first date after the asking on which the goal was clean, 0
// if none was.
func (t *tale) reached(test *testing.T, f foretold) (date routine.Date) {
	test.Helper()
	err := t.store.View(test.Context(), func(tx studio.Tx) error {
		entries, err := tx.LineEntries(f.who, f.Key.Line, f.Key.Pass)
		for _, e := range entries {
			if date == 0 && e.Date > f.date && e.Outcome == routine.Clean && e.To.Compare(f.Goal) >= 0 && e.Test == f.Test {
				date = e.Date
			}
		}
		return err
	})
	if err != nil {
		test.Fatal(err)
	}
	return date
}
