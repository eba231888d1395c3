package charts_test

import (
	"bytes"
	"fmt"
	"image/png"
	"time"

	"ledgerline/adapters/charts"
	"ledgerline/routine"
	"ledgerline/studio"
)

func Example() {
	day := routine.NewDate(2026, time.March, 2)
	picture := studio.Picture{Tempo: &studio.TempoPicture{
		Title: "Slur Atlas 3, line 2, pass 1",
		Goal:  routine.Tempo{BPM: 96, Note: routine.Quarter},
		Points: []studio.TempoPoint{
			{Date: day, Tempo: routine.Tempo{BPM: 72, Note: routine.Quarter}, Outcome: routine.Clean},
			{Date: day + 4, Tempo: routine.Tempo{BPM: 160, Note: routine.Eighth}, Outcome: routine.Shaky},
		},
	}}
	picture.Alt = charts.New(nil).Describe(picture)
	fmt.Println(picture.Alt)

	file, err := charts.New(nil).Draw(picture)
	if err != nil {
		fmt.Println(err)
		return
	}
	page, err := png.DecodeConfig(bytes.NewReader(file))
	fmt.Println(page.Width, page.Height, err)
	// Output:
	// Slur Atlas 3, line 2, pass 1: 2 playings from 2 Mar to 6 Mar 2026. In quarter notes a minute: first 72, last 80 (shaky), best clean 72, goal 96.
	// 720 570 <nil>
}
