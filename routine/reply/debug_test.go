package reply

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"ledgerline/routine"
)

func TestDebug(t *testing.T) {
	r, _ := NewReader()
	day, _ := routine.ParseDate("2026-03-04")
	load := func(name string) *routine.Routine {
		f, _ := os.Open("../../testdata/replies/routines/" + name + ".json")
		rt, err := DecodeRoutine(f)
		if err != nil {
			t.Fatal(err)
		}
		return rt
	}
	if text := os.Getenv("TXT"); text != "" {
		c := Context{Routine: load(os.Getenv("R")), Today: day, Lang: os.Getenv("L")}
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
	if name := os.Getenv("BATCH"); name != "" {
		f, _ := os.Open(name)
		sc := bufio.NewScanner(f)
		c := Context{Routine: load("monday"), Today: day, Lang: "en"}
		for sc.Scan() {
			line := sc.Text()
			if strings.HasPrefix(line, "@") {
				fs := strings.Fields(line[1:])
				c.Routine, c.Lang = load(fs[0]), fs[1]
				fmt.Println(line)
				continue
			}
			line = strings.ReplaceAll(line, `\n`, "\n")
			out := ""
			for _, x := range r.Read(line, c) {
				if x.Kind != Report {
					out += string(x.Kind) + " "
				}
				if x.Kind == Report || x.Kind == Correction {
					s := x.Canonical()
					s = strings.ReplaceAll(s, "2026-03-04: ", "")
					s = strings.ReplaceAll(s, "item ", "")
					out += s
				}
				for _, q := range x.Ask {
					out += fmt.Sprintf(" ASK %s %v", q.About, q.Choices)
				}
				out += " || "
			}
			fmt.Printf("%-60q %s\n", line, strings.TrimSuffix(out, " || "))
		}
	}
}
