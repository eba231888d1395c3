package routine_test

import (
	"slices"
	"testing"

	"ledgerline/routine"
)

// TestWarmUpForAPiece performs a piece in D and looks for a scale in D before it,
// though all scales have passed and none is due.
func TestWarmUpForAPiece(t *testing.T) {
	in := student(t)
	in.Plan = planOf("daily-ground/1", "daily-ground/2", "twelve-harbour-pieces/1")
	pieces := in.Catalogue.Study(ref("twelve-harbour-pieces/1"))
	d := slices.IndexFunc(pieces.Lines, func(l routine.Line) bool { return l.Key == "D" })
	in.Plan.Entries[2].Lines = []int{pieces.Lines[d].Number}
	stands(&in, "daily-ground/2", 1, routine.Standing{
		State: routine.Passed, Plays: 12, Last: in.Date - 5, LastOutcome: routine.Clean, Due: in.Date + 30,
		Mark: routine.Tempo{BPM: 96, Note: routine.Quarter},
	})
	kept(&in, in.Date-1, false)
	scale := func(in routine.Input) *routine.Item {
		for _, it := range routine.Build(in).Items {
			if it.Study == ref("daily-ground/2") {
				return &it
			}
		}
		return nil
	}
	if it := scale(in); it != nil {
		t.Errorf("on an ordinary day comes %+v", it)
	}
	in.Player.Performances = []routine.Date{in.Date + 1}
	if it := scale(in); it != nil {
		t.Errorf("before a performance of something else comes %+v", it)
	}
	in.Plan.Entries[2].Target = in.Date + 1
	if it := scale(in); it == nil || it.Key != "D" || it.Hard || it.Minutes > 3 || it.Reason != (routine.Reason{Kind: routine.ForPieceTomorrow, Keys: "D"}) {
		t.Errorf("on the day before comes %+v", it)
	}
	in.Player.Performances[0], in.Plan.Entries[2].Target = in.Date, in.Date
	if it := scale(in); it == nil || it.Key != "D" || it.Reason.Kind != routine.ForPieceToday {
		t.Errorf("on the day itself comes %+v", it)
	}
}

// TestWarmUpForAPieceStaysBelowIt has scales that all go higher than the piece.
func TestWarmUpForAPieceStaysBelowIt(t *testing.T) {
	in := student(t)
	in.Plan = planOf("daily-ground/2", "twelve-harbour-pieces/1")
	in.Plan.Entries[1].Target = in.Date
	in.Player.Performances = []routine.Date{in.Date}
	for i := range in.Catalogue.Study(ref("twelve-harbour-pieces/1")).Lines {
		in.Catalogue.Study(ref("twelve-harbour-pieces/1")).Lines[i].High = 62
	}
	for _, it := range routine.Build(in).Items {
		if it.Reason.Kind == routine.ForPieceToday {
			t.Errorf("up to %v comes %+v", routine.Pitch(62), it)
		}
	}
}

// TestWarmUpAsThePieceIsArticulated has two scales in the key of a piece that is
// tongued, one slurred and one tongued, and minutes for one.
func TestWarmUpAsThePieceIsArticulated(t *testing.T) {
	in := student(t)
	in.Plan = planOf("daily-ground/2", "daily-ground/3", "twelve-harbour-pieces/1")
	in.Plan.Entries[0].Add.Articulation, in.Plan.Entries[0].Lines = routine.Slurred, []int{1}
	in.Plan.Entries[1].Add.Articulation, in.Plan.Entries[1].Lines = routine.SingleTongue, []int{1}
	in.Plan.Entries[2].Add.Articulation, in.Plan.Entries[2].Lines = routine.SingleTongue, []int{1}
	in.Plan.Entries[2].Target = in.Date
	in.Player.Performances = []routine.Date{in.Date}
	in.Minutes = 7
	x := routine.Explain(in)
	if len(x.Routine.Items) == 0 || x.Routine.Items[0].Study != ref("daily-ground/3") {
		t.Errorf("for a piece that is tongued comes\n%s", card(x.Routine))
	}
}
