package studio_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// fillLog gives Ada years of daily reports of eight items each, with the standings
// and bests that come of them.
func fillLog(b *testing.B, store studio.Store, days int) {
	b.Helper()
	err := store.Update(b.Context(), func(tx studio.Tx) error {
		for d := range days {
			date := march(2) + routine.Date(d)
			r := studio.Report{Member: "ada", At: monday, Day: routine.DayReport{Date: date, Played: true}}
			for i := range 8 {
				line := routine.LineRef{Book: "daily-ground", Study: 1 + i/4, Line: 1 + i%4}
				r.Entries = append(r.Entries, routine.Entry{
					Date: date, Item: i + 1, Lines: []routine.LineRef{line}, Pass: 1, Outcome: routine.Clean,
					To: routine.Tempo{BPM: float64(60 + d%60), Note: routine.Quarter},
				})
			}
			if err := tx.AppendReport(&r); err != nil {
				return err
			}
		}
		for i := range 8 {
			line := routine.LineRef{Book: "daily-ground", Study: 1 + i/4, Line: 1 + i%4}
			entries, err := tx.LineEntries("ada", line, 1)
			if err != nil {
				return err
			}
			key := routine.StandingKey{Line: line, Pass: 1}
			err = errors.Join(tx.PutStanding("ada", key, streaks.Stand(entries, nil, streaks.Rule{})), tx.PutBests("ada", key, streaks.Bests(entries, line)))
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
}

// BenchmarkBest answers “best”, with years of a log behind it.
func BenchmarkBest(b *testing.B) {
	for _, years := range []int{1, 10} {
		b.Run(fmt.Sprintf("years=%d", years), func(b *testing.B) {
			now := monday
			store, service := benchStage(b, studiotest.Roster(), &now)
			fillLog(b, store, 365*years)
			now = monday.AddDate(0, 0, 365*years).Add(2 * time.Hour)
			if err := service.Work(b.Context()); err != nil {
				b.Fatal(err)
			}
			b.ResetTimer()
			for i := range b.N {
				receive(b, service, fmt.Sprintf("best-%d", i), "best", now)
				if err := service.Work(b.Context()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
