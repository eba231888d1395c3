package routine_test

import (
	"encoding/json"
	"testing"

	"ledgerline/routine"
)

// TestReasonsAreKept checks that a reason comes back from the store as it went
// in, and that the words of a routine from before reasons had kinds are read.
func TestReasonsAreKept(t *testing.T) {
	in := student(t)
	in.Player.Performances = []routine.Date{in.Date}
	stands(&in, "daily-ground/2", 1, played(in.Date-7, 72, routine.Clean))
	for _, it := range routine.Build(in).Items {
		kept, err := json.Marshal(it)
		if err != nil {
			t.Fatal(err)
		}
		var back routine.Item
		if err := json.Unmarshal(kept, &back); err != nil || back.Reason != it.Reason || back.Reason.IsZero() {
			t.Errorf("the reason %v comes back as %v, %v from %s", it.Reason, back.Reason, err, kept)
		}
	}
	var old routine.Routine
	err := json.Unmarshal([]byte(`{"number":1,"note":"A day off.","items":[{"n":1,"reason":"comes round again"}]}`), &old)
	want := routine.Reason{Kind: routine.InWords, Text: "comes round again"}
	if err != nil || old.Items[0].Reason != want || old.Note != (routine.Reason{Kind: routine.InWords, Text: "A day off."}) {
		t.Errorf("an old routine reads %+v, %v", old, err)
	}
	if err := json.Unmarshal([]byte(`{"number":1,"note":"","items":[]}`), &old); err != nil || !old.Note.IsZero() {
		t.Errorf("an empty note reads %v, %v", old.Note, err)
	}
}
