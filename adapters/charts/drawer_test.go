package charts

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"strings"
	"sync"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"

	"pgregory.net/rapid"
)

func TestDrawRefuses(t *testing.T) {
	tempo := func(p studio.TempoPicture) studio.Picture { return studio.Picture{Tempo: &p} }
	calendar := func(p studio.CalendarPicture) studio.Picture { return studio.Picture{Calendar: &p} }
	played := func(ps ...studio.TempoPoint) studio.Picture {
		return tempo(studio.TempoPicture{Title: "T", Goal: quarter(100), Points: ps})
	}
	rows := func(rows ...studio.CalendarRow) studio.Picture {
		return calendar(studio.CalendarPicture{Title: "C", From: march, Weeks: 1, Rows: rows})
	}
	tests := []struct {
		name    string
		picture studio.Picture
		want    string
	}{
		{"nothing", studio.Picture{}, "empty"},
		{"both", studio.Picture{Tempo: &studio.TempoPicture{}, Calendar: &studio.CalendarPicture{}}, "2 kinds"},
		{"no point", played(), "no playing"},
		{"only skipped", played(studio.TempoPoint{Date: march, Tempo: quarter(80), Outcome: routine.Skipped}), "no playing"},
		{"no tempo", played(studio.TempoPoint{Date: march, Outcome: routine.Clean}), "2026-03-02 has no tempo"},
		{"no note", played(studio.TempoPoint{Date: march, Tempo: routine.Tempo{BPM: 80}, Outcome: routine.Clean}), "2026-03-02 has no tempo"},
		{"goal without note", tempo(studio.TempoPicture{Goal: routine.Tempo{BPM: 80}}), "counts in no note"},
		{"outcome", played(studio.TempoPoint{Date: march, Tempo: quarter(80), Outcome: "superb"}), `"superb"`},
		{"order", played(
			studio.TempoPoint{Date: march + 1, Tempo: quarter(80), Outcome: routine.Clean},
			studio.TempoPoint{Date: march, Tempo: quarter(80), Outcome: routine.Clean},
		), "order of date"},
		{"Tuesday", calendar(studio.CalendarPicture{From: march + 1, Weeks: 1}), "Monday, 2026-03-02"},
		{"no week", calendar(studio.CalendarPicture{From: march}), "0 weeks"},
		{"17 weeks", calendar(studio.CalendarPicture{From: march, Weeks: 17}), "17 weeks"},
		{"41 rows", calendar(studioWeeks(1, 41)), "41 rows"},
		{"8 days", rows(studio.CalendarRow{Name: "Wren", Days: make([]streaks.Kind, 8)}), "row of Wren: 8 days in 1 weeks"},
		{"2 marks", rows(studio.CalendarRow{Weeks: make([]bool, 2)}), "marks for 2 weeks of 1"},
		{"kind", rows(studio.CalendarRow{Days: []streaks.Kind{"kept", "great"}}), `day 2 is "great"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := New(nil).Draw(tt.picture)
			if err == nil || got != nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want one with %q", err, tt.want)
			}
		})
	}
}

// Every sample is 720 pixels wide, opaque, and leaves the edge of the page free,
// so that nothing is clipped.
func TestSamplesFitTheirPages(t *testing.T) {
	for _, s := range samples() {
		if why := spoiled(t, s.picture); why != "" {
			t.Errorf("%s: %s", s.name, why)
		}
	}
}

func TestAnyPictureFitsItsPage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		if why := spoiled(t, anyPicture(t)); why != "" {
			t.Fatal(why)
		}
	})
}

// spoiled draws a picture and says what is wrong with the page.
func spoiled(t interface{ Fatal(...any) }, p studio.Picture) string {
	file, err := New(nil).Draw(p)
	if err != nil {
		t.Fatal(err)
	}
	page, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	size := page.Bounds().Size()
	if size.X != pageWidth {
		return "the page is not 720 pixels wide"
	}
	for y := 4; y < size.Y-4; y++ {
		for x := 4; x < size.X-4; x++ {
			edge := x < 10 || y < 10 || x >= size.X-10 || y >= size.Y-10
			if edge && !isPaper(page, x, y) {
				return "something is drawn over the edge of the page at " + image.Pt(x, y).String()
			}
		}
	}
	return ""
}

func isPaper(page image.Image, x, y int) bool {
	return color.RGBAModel.Convert(page.At(x, y)).(color.RGBA) == paper
}

// anyPicture makes up a picture that is in order, but may be a strange one.
func anyPicture(t *rapid.T) studio.Picture {
	title := rapid.StringN(0, 60, -1).Draw(t, "title")
	if rapid.Bool().Draw(t, "calendar") {
		return studio.Picture{Calendar: anyCalendar(t, title)}
	}
	return studio.Picture{Tempo: anyTempo(t, title)}
}

func anyTempo(t *rapid.T, title string) *studio.TempoPicture {
	notes := []routine.NoteValue{routine.Sixteenth, routine.Eighth, routine.Quarter, routine.DottedQuarter, routine.Half, routine.Whole}
	tempo := func(label string) routine.Tempo {
		return routine.Tempo{
			BPM:  rapid.Float64Range(1, 1000).Draw(t, label),
			Note: rapid.SampledFrom(notes).Draw(t, label+" note"),
		}
	}
	p := &studio.TempoPicture{Title: title}
	if rapid.Bool().Draw(t, "has goal") {
		p.Goal = tempo("goal")
	}
	d := march
	for range rapid.IntRange(1, 90).Draw(t, "points") {
		p.Points = append(p.Points, studio.TempoPoint{
			Date: d, Tempo: tempo("tempo"),
			Outcome: rapid.SampledFrom([]routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Done}).Draw(t, "outcome"),
		})
		d += routine.Date(rapid.SampledFrom([]int{0, 1, 1, 1, 2, 9, 200}).Draw(t, "gap"))
	}
	return p
}

func anyCalendar(t *rapid.T, title string) *studio.CalendarPicture {
	weeks := rapid.IntRange(1, MostWeeks).Draw(t, "weeks")
	p := studioWeeks(weeks, rapid.IntRange(0, 6).Draw(t, "rows"))
	p.Title = title
	for i := range p.Rows {
		p.Rows[i].Name = rapid.String().Draw(t, "name")
		p.Rows[i].Days = p.Rows[i].Days[:rapid.IntRange(0, 7*weeks).Draw(t, "days")]
	}
	return &p
}

// A picture may be drawn again after a failed sending, and by several senders at
// once; each time it is the same file.
func TestDrawAgainAndAtOnce(t *testing.T) {
	d := New(nil)
	all := samples()
	var wait sync.WaitGroup
	files := make([][]byte, 4*len(all))
	for i := range files {
		wait.Go(func() { files[i], _ = d.Draw(all[i%len(all)].picture) })
	}
	wait.Wait()
	for i, file := range files {
		if len(file) == 0 || !bytes.Equal(file, files[i%len(all)]) {
			t.Errorf("drawing %s again gave another file", all[i%len(all)].name)
		}
	}
}

func BenchmarkDraw(b *testing.B) {
	for _, s := range samples() {
		b.Run(s.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				b.ReportMetric(float64(len(mustDraw(b, s.picture))), "B/file")
			}
		})
	}
}
