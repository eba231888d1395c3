package charts

import (
	"math"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

// march is the Monday that most samples begin on.
var march = routine.NewDate(2026, time.March, 2)

// quarter is a tempo in quarter notes.
func quarter(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Quarter} }

// A sample is a picture with a name, which is that of its golden file.
type sample struct {
	name    string
	picture studio.Picture
}

// samples returns the pictures that golden files are kept of.
func samples() []sample {
	tempo := func(name string, p studio.TempoPicture) sample { return sample{name, studio.Picture{Tempo: &p}} }
	calendar := func(name string, p studio.CalendarPicture) sample {
		return sample{name, studio.Picture{Calendar: &p}}
	}
	return []sample{
		tempo("tempo", fiveWeeks()),
		tempo("tempo-one", onePoint()),
		tempo("tempo-same", allTheSame()),
		tempo("tempo-notes", mixedNotes()),
		tempo("tempo-reached", reached()),
		tempo("tempo-400", manyPoints(400)),
		tempo("tempo-slow", slowWholeNotes()),
		tempo("tempo-ahead", ahead()),
		{"map-study", studio.Picture{Map: ptr(planMap(true))}},
		{"map-studio", studio.Picture{Map: ptr(planMap(false))}},
		{"minute", studio.Picture{Minute: ptr(minute(38.2))}},
		{"minute-held", studio.Picture{Minute: ptr(minute())}},
		{"challenge", studio.Picture{Challenge: ptr(tide())}},
		{"challenge-gain", studio.Picture{Challenge: ptr(gains())}},
		in("de", sample{"challenge-long", studio.Picture{Challenge: ptr(quarterYear())}}),
		calendar("calendar", studioWeeks(6, 9)),
		calendar("calendar-four-weeks", studioWeeks(4, 9)),
		calendar("calendar-one-week", studioWeeks(1, 5)),
		calendar("calendar-one-student", oneStudent()),
		calendar("calendar-full", studioWeeks(MostWeeks, MostRows)),
		calendar("calendar-nobody", studio.CalendarPicture{Title: "Days kept", From: march, Weeks: 2}),
		calendar("calendar-names", manyScripts()),
		in("de", tempo("tempo-de", fiveWeeks())),
		in("fr", tempo("tempo-fr", manyPoints(400))),
		in("fr", calendar("calendar-fr", studioWeeks(6, 9))),
		in("es", calendar("calendar-es", studioWeeks(4, 9))),
	}
}

// in returns a sample with its words in a language.
func in(lang string, s sample) sample {
	s.picture.Lang = lang
	return s
}

// fiveWeeks climbs from 72 to 104 with a plateau and a lay-off.
func fiveWeeks() studio.TempoPicture {
	days := []struct {
		day     int
		bpm     float64
		outcome routine.Outcome
	}{
		{0, 72, routine.Done}, {1, 72, routine.Shaky}, {2, 72, routine.Clean}, {4, 76, routine.Clean},
		{6, 80, routine.Shaky}, {7, 80, routine.Clean}, {9, 84, routine.Missed}, {10, 84, routine.Missed},
		{11, 80, routine.Clean}, {13, 84, routine.Shaky}, {14, 84, routine.Clean}, {15, 88, routine.Clean},
		{24, 80, routine.Done}, {25, 84, routine.Clean}, {26, 88, routine.Clean}, {28, 92, routine.Clean},
		{29, 96, routine.Shaky}, {30, 96, routine.Clean}, {32, 100, routine.Clean}, {34, 104, routine.Shaky},
	}
	p := studio.TempoPicture{Title: "Daily Ground 2, line 14, pass 1", Goal: quarter(120)}
	for _, d := range days {
		p.Points = append(p.Points, studio.TempoPoint{Date: march + routine.Date(d.day), Tempo: quarter(d.bpm), Outcome: d.outcome})
	}
	return p
}

// ahead goes on to a second pass and is likely to reach its goal in May.
func ahead() studio.TempoPicture {
	p := fiveWeeks()
	p.Title = "Daily Ground 2, line 14, pass 2"
	p.Passes = []studio.PassChange{{Date: march, Pass: 1}, {Date: march + 24, Pass: 2}}
	p.Likely = studio.Span{From: march + 42, To: march + 63}
	return p
}

func ptr[T any](v T) *T { return &v }

// planMap is the plan of one student, its lines numbered, or those of a studio.
func planMap(numbered bool) studio.MapPicture {
	p := studio.MapPicture{Title: "Harbour Row Brass: lines on the plans"}
	names := []string{"Pip Arkwright", "Sunniva Dahl", "Tomás Iriarte", "Wren", "瑞"}
	if numbered {
		p.Title, names = "Wren: lines on the plan", []string{"Daily Ground 2, pass 1", "Slur Atlas 1, pass 2", "Twelve Harbour Pieces 7, pass 1"}
	}
	for i, name := range names {
		row := studio.MapRow{Name: name}
		for n := range 12 + 11*i {
			cell := studio.MapCell{State: stateOrder[(n*n/7+i+n/5)%len(stateOrder)]}
			if numbered {
				cell.N = n + 1
			}
			row.Cells = append(row.Cells, cell)
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}

func onePoint() studio.TempoPicture {
	return studio.TempoPicture{
		Title:  "The Articulate Hour 4, line 3, pass 2",
		Goal:   quarter(132),
		Points: []studio.TempoPoint{{Date: march, Tempo: quarter(108), Outcome: routine.Clean}},
	}
}

func allTheSame() studio.TempoPicture {
	p := studio.TempoPicture{Title: "Slur Atlas 1, line 2, pass 1", Goal: quarter(60)}
	for i, o := range []routine.Outcome{routine.Clean, routine.Shaky, routine.Clean, routine.Done, routine.Missed, routine.Clean} {
		p.Points = append(p.Points, studio.TempoPoint{Date: march + routine.Date(i), Tempo: quarter(60), Outcome: o})
	}
	return p
}

// mixedNotes has the same figure counted in four note values.
func mixedNotes() studio.TempoPicture {
	goal := routine.Tempo{BPM: 88, Note: routine.DottedQuarter}
	return studio.TempoPicture{
		Title: "Twelve Harbour Pieces 7, “The Ferry at the Turn of the Tide”, line 1 to the end with both repeats, pass 3",
		Goal:  goal,
		Points: []studio.TempoPoint{
			{Date: march, Tempo: quarter(84), Outcome: routine.Missed},
			{Date: march + 3, Tempo: routine.Tempo{BPM: 192, Note: routine.Eighth}, Outcome: routine.Shaky},
			{Date: march + 6, Tempo: routine.Tempo{BPM: 54, Note: routine.Half}, Outcome: routine.Clean},
			{Date: march + 10, Tempo: routine.Tempo{BPM: 76, Note: routine.DottedQuarter}, Outcome: routine.Clean},
		},
	}
}

// reached ends on its goal, over the turn of a year.
func reached() studio.TempoPicture {
	p := studio.TempoPicture{Title: "Upward, Gently 3, lines 5-6, pass 2", Goal: quarter(100)}
	from := routine.NewDate(2026, time.December, 14)
	for i, bpm := range []float64{84, 88, 88, 92, 96, 96, 100, 100} {
		p.Points = append(p.Points, studio.TempoPoint{Date: from + routine.Date(4*i), Tempo: quarter(bpm), Outcome: routine.Clean})
	}
	return p
}

// manyPoints plays n times in twice as many days, wandering upward.
func manyPoints(n int) studio.TempoPicture {
	outcomes := []routine.Outcome{routine.Clean, routine.Shaky, routine.Clean, routine.Done, routine.Clean, routine.Missed, routine.Clean}
	marks := routine.Marks()
	p := studio.TempoPicture{Title: "Daily Ground 1, line 1, pass 4", Goal: quarter(160)}
	for i := range n {
		at := 8 + 22*float64(i)/float64(n) + 2*math.Sin(float64(i)/9)
		p.Points = append(p.Points, studio.TempoPoint{
			Date:    march + routine.Date(2*i),
			Tempo:   quarter(marks[int(at)]),
			Outcome: outcomes[(i*i*i/13+i)%len(outcomes)],
		})
	}
	return p
}

// slowWholeNotes lies below the slowest mark of the metronome.
func slowWholeNotes() studio.TempoPicture {
	whole := func(bpm float64) routine.Tempo { return routine.Tempo{BPM: bpm, Note: routine.Whole} }
	return studio.TempoPicture{
		Title: "Long tones",
		Goal:  whole(30),
		Points: []studio.TempoPoint{
			{Date: march, Tempo: whole(36), Outcome: routine.Done},
			{Date: march + 40, Tempo: whole(33), Outcome: routine.Clean},
			{Date: march + 150, Tempo: whole(31.5), Outcome: routine.Clean},
		},
	}
}

// studioWeeks has rows of invented students, none like another. The last days
// are still open.
func studioWeeks(weeks, rows int) studio.CalendarPicture {
	names := []string{
		"Pip Arkwright", "Marguerite Oldcastle-Vane", "Jonah", "Sunniva Dahl", "Tomás Iriarte",
		"Wren", "Ilse & Bram", "Oriel Penhaligon", "Zofia",
	}
	p := studio.CalendarPicture{Title: "Harbour Row Brass: days kept", From: march, Weeks: weeks}
	for i := range rows {
		row := studio.CalendarRow{Name: names[i%len(names)]}
		for w := range weeks {
			kept := true
			for d := range 7 {
				k := invented(i, 7*w+d)
				if w == weeks-1 && d > 4 {
					k = streaks.Open
				}
				kept = kept && k != streaks.Missed && k != streaks.Open
				row.Days = append(row.Days, k)
			}
			row.Weeks = append(row.Weeks, kept)
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}

// invented is what one day of one student was.
func invented(student, day int) streaks.Kind {
	off := day%7 == 6 || student%3 == 1 && day%7 == 2
	h := (student*7919 + day*104729 + student*day*31) % 97
	switch {
	case student%9 == 4 && day >= 8 && day < 13:
		return streaks.Excused
	case off && h < 20:
		return streaks.Extra
	case off:
		return streaks.Off
	case h < 4+6*(student%4):
		return streaks.Missed
	}
	return streaks.Kept
}

func oneStudent() studio.CalendarPicture {
	p := studioWeeks(10, 5)
	p.Title = "Tomás Iriarte: ten weeks to the spring concert"
	p.From = routine.NewDate(2026, time.November, 23)
	p.Rows = p.Rows[4:]
	return p
}

// manyScripts has names that the typeface can and can't write, and rows that
// are empty or short.
func manyScripts() studio.CalendarPicture {
	p := studioWeeks(3, 9)
	p.Title = "Names: 音楽 and others"
	for i, name := range []string{
		"Łucja Żółć", "Ευδοκία", "Светлана", "נעמה לוי", "山田花子", "ليلى", "Ada 🎺", "e\u0301lodie", "",
	} {
		p.Rows[i].Name = name
	}
	p.Rows[6].Days = nil
	p.Rows[6].Weeks = nil
	p.Rows[7].Days = p.Rows[7].Days[:9]
	return p
}

// minute is a minute of sixteenths that slows down a little, with breaks.
func minute(breaks ...float64) studio.MinutePicture {
	p := studio.MinutePicture{
		Title: "Monday 2 March: The Articulate Hour 1, line 3", Seconds: 60, Note: routine.Quarter, Goal: 96, Breaks: breaks,
	}
	for i := range 384 {
		at := float64(i) / 6.4
		p.Onsets = append(p.Onsets, at)
		if i%2 == 0 {
			p.Course = append(p.Course, studio.MinutePoint{At: at, BPM: 97 - 2.5*at/60 + 0.6*math.Sin(at)})
		}
	}
	return p
}

// tide is a challenge of notes on its tenth day of fourteen.
func tide() studio.ChallengePicture {
	p := studio.ChallengePicture{Title: "Spring tide", From: march, To: march + 13, Measure: streaks.NotesPlayed, Goal: 31_200}
	for i := range 10 {
		p.Values = append(p.Values, float64(2700*i+1900-(i%4)*380))
	}
	return p
}

// gains is a challenge of minute tests that is over, two of its players level.
func gains() studio.ChallengePicture {
	p := studio.ChallengePicture{Title: "A minute against oneself", From: march, To: march + 20, Measure: streaks.TestGain}
	for i := range 21 {
		p.Values = append(p.Values, float64(i/7)*0.021)
	}
	p.Rows = []studio.ChallengeRow{{Place: 1, Name: "Jonah", Value: 0.123}, {Place: 2, Name: "Marguerite Oldcastle-Vane", Value: 0.084}, {Place: 2, Name: "山田花子", Value: 0.084}}
	return p
}

// quarterYear is as long as a challenge may be, with a team ahead.
func quarterYear() studio.ChallengePicture {
	p := studio.ChallengePicture{Title: "Tage in Gruppen", From: march, To: march + 91, Measure: streaks.DaysKept}
	for i := range 92 {
		p.Values = append(p.Values, float64(6*i))
	}
	p.Rows = []studio.ChallengeRow{{Place: 1, Name: "Ventile", Value: 287}}
	return p
}
