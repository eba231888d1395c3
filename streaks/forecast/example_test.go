package forecast_test

import (
	"fmt"

	"ledgerline/routine"
	"ledgerline/streaks/forecast"
)

func ExampleReach() {
	// Twenty sessions, every other day, a mark up after each clean one.
	var sessions []forecast.Session
	tempo := routine.Tempo{BPM: 60, Note: routine.Quarter}
	date := routine.NewDate(2026, 3, 2)
	for i := range 20 {
		o := routine.Clean
		if i%3 == 2 {
			o = routine.Shaky
		}
		s, _ := forecast.Played(date, tempo.BPM, o)
		sessions = append(sessions, s)
		if o == routine.Clean {
			tempo = tempo.Up()
		}
		date += 2
	}
	for _, goal := range []float64{104, 120, 160} {
		f := forecast.Reach(sessions, goal, date)
		if f.None != "" {
			fmt.Printf("%v: no forecast, %s\n", goal, f.None)
			continue
		}
		fmt.Printf("%v: from %v to %v\n", goal, f.From, f.To)
	}
	// Output:
	// 104: no forecast, the goal has been reached
	// 120: from 2026-04-17 to 2026-04-25
	// 160: from 2026-05-21 to 2026-06-20
}

func ExampleJudge() {
	var sessions []forecast.Session
	date := routine.NewDate(2026, 3, 2)
	for i := range 11 {
		o := routine.Clean
		tempo := 80.0
		if i%2 == 1 {
			o, tempo = routine.Shaky, 84
		}
		s, _ := forecast.Played(date, tempo, o)
		sessions = append(sessions, s)
		date += 2
	}
	p := forecast.Judge([][]forecast.Session{sessions}, date-2)
	fmt.Printf("flat %v, no faster since %v, %.0f marks gained\n", p.Flat, p.Since, p.Gain)
	// Output:
	// flat true, no faster since 2026-03-02, 0 marks gained
}
