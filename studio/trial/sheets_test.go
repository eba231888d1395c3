package trial

import (
	"testing"

	"ledgerline/routine"
)

// Items off the page are as long as the builder's: of lines so short that a moment
// would do for each, both make the least that a day of the budget has.
func TestItemsAsLongAsTheBuilders(t *testing.T) {
	quarter := routine.Tempo{BPM: 120, Note: routine.Quarter}
	study := routine.Study{Number: 1, Title: "Short", Skill: routine.Technique, Cycle: 4, Together: 1}
	for n := 1; n <= 40; n++ {
		study.Lines = append(study.Lines, routine.Line{Number: n, Low: 60, High: 67, Notes: 4, NotesPerBeat: 1, Beats: 4})
	}
	study.Passes = []routine.Pass{{Number: 1, CleanDays: 1, Share: 1, Demands: routine.Demands{Repeats: 1, From: quarter, To: quarter}}}
	s := Scenario{
		Catalogue: &routine.Catalogue{Books: []routine.Book{{ID: "short", Title: "Short", Studies: []routine.Study{study}}}},
		Player:    routine.Player{Instrument: "trumpet", Level: routine.Advanced},
		Plan:      routine.Plan{Entries: []routine.PlanEntry{{Study: routine.StudyRef{Book: "short", Study: 1}, Pass: 1}}},
	}
	for _, minutes := range []int{20, 45, 60, 120, 180} {
		s.Player.Minutes = minutes
		in := routine.Input{Date: Begin, Number: 1, Catalogue: s.Catalogue, Player: s.Player, Plan: s.Plan}
		built := routine.Build(in)
		page := Policy{Order: Plain, Tempo: Ladder}.start(&s, 1).set(in, minutes)
		if len(built.Items) == 0 || len(page.Items) == 0 {
			t.Fatalf("%d minutes: %d items built, %d off the page", minutes, len(built.Items), len(page.Items))
		}
		if b, p := built.Items[0], page.Items[0]; b.Minutes != p.Minutes || b.Rest != p.Rest {
			t.Errorf("%d minutes: an item of %d+%d built, of %d+%d off the page", minutes, b.Minutes, b.Rest, p.Minutes, p.Rest)
		}
		for i, it := range page.Items {
			if it.Lines[0].Line != i+1 {
				t.Errorf("%d minutes: item %d off the page is line %d", minutes, i+1, it.Lines[0].Line)
			}
		}
	}
}
