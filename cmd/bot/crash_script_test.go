package main

import "math/rand/v2"

// A step is one thing that one member does.
type step struct {
	as   string
	do   string // say, edit, delete, answer (a question), press (a button of the routine)
	text string
	pick int  // which of the member's own messages, or which choice
	open bool // in the studio channel, in answer to the announcement there
}

var replies = []string{
	"1 96 clean, 2 skip, rest done 40m",
	"all but 2",
	"1 clean, 3 missed",
	"2 quarter=80 clean; 4 shaky, tired",
	"all done",
	"y 40",
	"2 4x clean",
	"1 84-88 shaky, low notes thin",
	"yesterday: done 20",
	"stopped after 2, my lip hurts",
	"pain gone",
	"rest day",
	"undo",
	"is number 3 slurred or tongued?",
	"see you on Thursday",
	"3 clean 12 min, 5 missed",
	"today",
	"week",
}

// unclear are replies that are asked about, with two choices or more.
var unclear = []string{"1 96 or 92", "2 960 clean"}

var orders = []string{
	"tell Tobias third valve on the A, please",
	"open Kofi slur-atlas/3 1",
	"close Sanne daily-ground/1",
	"pin Ilka slur-atlas/2/3",
	"unpin Ilka slur-atlas/2/3",
	"lock Tobias daily-ground/3 quarter=60",
	"unlock Tobias daily-ground/3",
	"hold Kofi harbour-pieces/2",
	"release Kofi harbour-pieces/2",
	"minutes Sanne 30",
	"move-back Tobias slur-atlas/2/1",
	"sign-off Ilka slur-atlas/2/1",
	"again Kofi",
	"again Ilka",
	"pause Levi",
	"resume Levi",
	"student Tobias",
	"digest",
	"week Ilka",
	"off Juna sat,sun",
	"tell Nobody anything",
}

// speakers are the students who write most. Their messages are read the same
// way in any order among them.
var speakers = []string{"tobias", "ilka", "kofi", "sanne"}

// scriptLength is how many turns a conversation has.
const scriptLength = 48

// newScript returns a conversation: turns one after another, the steps of each
// at the same time.
func newScript(r *rand.Rand) [][]step {
	script := [][]step{
		{{as: "mina", do: "say", text: "done 15"}}, // may not be logged yet
		{{as: "petra", do: "say", text: "consent Mina"}},
		{{as: "mina", do: "say", text: "done 15"}},
		{{as: "odile", do: "say", text: "challenge 14 80 Darker evenings"}},
		crowd(r),
	}
	for len(script) < scriptLength {
		script = append(script, newTurn(r)...)
	}
	return script
}

func newTurn(r *rand.Rand) [][]step {
	who := pick(r, speakers)
	switch n := r.IntN(20); {
	case n < 6:
		return [][]step{{{as: who, do: "say", text: pick(r, replies)}}}
	case n < 8:
		return [][]step{{{as: who, do: "edit", text: pick(r, replies), pick: r.IntN(9)}}}
	case n < 9:
		return [][]step{{{as: who, do: "delete", pick: r.IntN(9)}}}
	case n < 11:
		return [][]step{{{as: who, do: "say", text: pick(r, unclear)}}, {{as: who, do: "answer", pick: r.IntN(2)}}}
	case n < 12:
		return [][]step{{{as: who, do: "press", pick: r.IntN(4)}}}
	case n < 13:
		return [][]step{{{as: who, do: "say", text: pick(r, replies), open: true}}}
	case n < 14:
		return [][]step{{{as: "petra", do: "say", text: pick(r, []string{"week Mina", "week Ilka", "sign-off Mina slur-atlas/2/1"})}}}
	case n < 17:
		return [][]step{{{as: "odile", do: "say", text: pick(r, orders)}}}
	}
	return [][]step{crowd(r)}
}

// crowd has several members write at the same time.
func crowd(r *rand.Rand) []step {
	var steps []step
	for _, who := range speakers {
		steps = append(steps, step{as: who, do: "say", text: pick(r, replies)})
	}
	return steps
}

func pick[T any](r *rand.Rand, from []T) T { return from[r.IntN(len(from))] }
