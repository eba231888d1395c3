package reply

import (
	"encoding/json"
	"fmt"
	"os"
	"testing"

	"ledgerline/routine"
)

func TestDebug(t *testing.T) {
	text := os.Getenv("TXT")
	if text == "" {
		t.Skip()
	}
	f, _ := os.Open("../../testdata/replies/routines/" + os.Getenv("R") + ".json")
	rt, err := DecodeRoutine(f)
	if err != nil {
		t.Fatal(err)
	}
	r, _ := NewReader()
	day, _ := routine.ParseDate("2026-03-04")
	c := Context{Routine: rt, Today: day, Lang: os.Getenv("L")}
	for _, w := range r.Explain(text, c) {
		fmt.Printf("  %-20q %s\n", w.Text, w.As)
	}
	for _, x := range r.Read(text, c) {
		b, _ := json.Marshal(x)
		fmt.Println(string(b), x.Canonical())
		for _, q := range x.Ask {
			fmt.Printf("%+v\n", q)
		}
	}
}
