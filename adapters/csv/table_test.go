package csv

import (
	"bytes"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestNoCellIsAFormula writes any text and checks that no cell begins as a
// formula does in a spreadsheet, and that reading gives it back. (The signs are
// those that OWASP's page “CSV Injection” lists.)
func TestNoCellIsAFormula(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.OneOf(rapid.String(), rapid.StringMatching(`'{0,3}[=+@\-][a-z()"',; ]*`)).Draw(t, "cell")
		written := guarded(cell)
		if written != "" && strings.ContainsRune("=+-@\t\r", rune(written[0])) {
			t.Fatalf("%q is written as %q", cell, written)
		}
		if back := unguarded(written); back != cell {
			t.Fatalf("%q is written as %q and read as %q", cell, written, back)
		}
	})
}

func TestTablesGoRound(t *testing.T) {
	columns := []string{"id", "remark"}
	rapid.Check(t, func(t *rapid.T) {
		// Line ends become plain ones, and blanks around a cell are lost: a
		// table is for people to edit.
		tidy := func(s string) string {
			return strings.TrimSpace(strings.ReplaceAll(strings.ReplaceAll(strings.ToValidUTF8(s, ""), "\r\n", "\n"), "\r", ""))
		}
		var rows []map[string]string
		for range rapid.IntRange(0, 5).Draw(t, "rows") {
			rows = append(rows, map[string]string{"id": "m", "remark": tidy(rapid.String().Draw(t, "remark"))})
		}
		var file bytes.Buffer
		if err := Write(&file, columns, rows); err != nil {
			t.Fatal(err)
		}
		back, wrong := Read(&file, "x.csv", columns, "id")
		if len(wrong) > 0 || len(back) != len(rows) {
			t.Fatalf("%d rows of %d, %v in %q", len(back), len(rows), wrong, file.String())
		}
		for i, row := range back {
			if row.Cells["remark"] != rows[i]["remark"] {
				t.Fatalf("%q came back as %q", rows[i]["remark"], row.Cells["remark"])
			}
		}
	})
}

// FuzzRead looks for a table that makes the reader fail otherwise than with a
// sentence.
func FuzzRead(f *testing.F) {
	f.Add("id,name\nada,Ada\n")
	f.Add("\ufeffid;name\r\n\"a\"\"b\";'=x\r\n")
	f.Fuzz(func(t *testing.T, text string) {
		rows, problems := Read(strings.NewReader(text), "x.csv", []string{"id", "name"}, "id")
		for _, p := range problems {
			if p.What == "" || p.Instead == "" || p.Source.Line < 1 {
				t.Errorf("a problem that says nothing: %+v", p)
			}
		}
		for _, r := range rows {
			if r.Line < 2 && len(problems) == 0 {
				t.Errorf("a row on line %d", r.Line)
			}
		}
	})
}
