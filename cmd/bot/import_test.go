package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ledgerline/studio"
)

// TestStudioMovesToAnotherDatabase exports a studio that has all there is, lessons,
// notes and a challenge too, imports it into an empty database, and checks that the
// export of that says the same and that the next days are made alike.
func TestStudioMovesToAnotherDatabase(t *testing.T) {
	folder, database := invented(t)
	first, second := filepath.Join(t.TempDir(), "first"), filepath.Join(t.TempDir(), "second")
	there := filepath.Join(t.TempDir(), "there.db")
	must := func(args ...string) string {
		t.Helper()
		out, err := bot(t, "", args...)
		if err != nil {
			t.Fatalf("%v: %v\n%s", args, err, out)
		}
		return out
	}
	must("export-studio", "harbour-row", "--database", database, "--to", first)
	if out := must("import-studio", first, "--database", there); !strings.Contains(out, "teacher 1, student 9, guardian 2") || !strings.Contains(out, "Nothing was written") {
		t.Errorf("a trial says %q", out)
	}
	if _, err := os.Stat(there); err == nil {
		t.Error("a trial has left a database")
	}
	empty := filepath.Join(t.TempDir(), "empty.db")
	store, err := openStore(t.Context(), empty)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	for range 2 { // a trial in a database that is there leaves nothing in it
		must("import-studio", first, "--database", empty)
	}
	strange := studioIn(t, first)
	strange.Due[0].Kind = "unheard-of"
	odd := filepath.Join(t.TempDir(), "studio.json")
	if err := writeJSON(odd, strange); err != nil {
		t.Fatal(err)
	}
	if _, err := bot(t, "", "import-studio", odd, "--database", empty, "--write"); err == nil || !strings.Contains(err.Error(), "what is due does not read back as it was") {
		t.Errorf("what does not read back is imported: %v", err)
	}
	must("import-studio", first, "--database", there, "--write")
	must("export-studio", "harbour-row", "--database", there, "--to", second)
	one, other := studioIn(t, first), studioIn(t, second)
	if len(one.Members) != 12 || len(one.Challenges) == 0 || withoutNumbers(t, one.Challenges) != withoutNumbers(t, other.Challenges) || len(one.Due) < 20 || len(one.Marks) == 0 || len(one.Deeds) == 0 {
		t.Errorf("the export has %d members, %d challenges, %d due, %d marks, %d deeds", len(one.Members), len(one.Challenges), len(one.Due), len(one.Marks), len(one.Deeds))
	}
	lessons, notes := 0, 0
	for i, e := range one.Members {
		back := other.Members[i]
		lessons, notes = lessons+len(e.Member.Lessons), notes+len(e.Member.Notes)
		if a, b := withoutNumbers(t, e), withoutNumbers(t, back); a != b {
			t.Errorf("%s went out as\n%s\nand came back as\n%s", e.Member.ID, a, b)
		}
	}
	if lessons == 0 || notes == 0 {
		t.Errorf("%d lessons and %d notes were exported", lessons, notes)
	}
	for _, who := range []string{"Ilka", "Tobias", "Mina"} {
		ask := func(database string) string {
			return must("plan", folder, "--student", who, "--date", "2026-03-17", "--week", "--explain", "--database", database)
		}
		if a, b := ask(database), ask(there); a != b {
			t.Errorf("the days of %s differ:\n%s\nand after the import\n%s", who, a, b)
		}
	}
	if _, err := bot(t, "", "import-studio", first, "--database", there, "--write"); err == nil || !strings.Contains(err.Error(), "there is a studio") {
		t.Errorf("imported twice: %v", err)
	}
}

// TestMemberMovesToAnotherDatabase exports a student, erases her, gives the export
// another id and imports it; her log is there again.
func TestMemberMovesToAnotherDatabase(t *testing.T) {
	_, database := invented(t)
	file := filepath.Join(t.TempDir(), "tobias.json")
	if out, err := bot(t, "", "export", "tobias", "--database", database, "--to", file); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	bring := func(more ...string) error {
		_, err := bot(t, "", append([]string{"import-member", file, "--studio", "harbour-row", "--database", database}, more...)...)
		return err
	}
	if err := bring("--write"); err == nil || !strings.Contains(err.Error(), `the id "tobias" is in studio`) {
		t.Errorf("she is there twice: %v", err)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var x studio.Export
	if err := json.Unmarshal(data, &x); err != nil {
		t.Fatal(err)
	}
	x.Member.ID, x.Member.Accounts = "tobias-2", []studio.Account{{Platform: "room", ID: "tobias-2"}}
	file = filepath.Join(t.TempDir(), "again.json")
	if err := writeJSON(file, x); err != nil {
		t.Fatal(err)
	}
	for _, more := range [][]string{nil, {"--write"}} {
		if err := bring(more...); err != nil {
			t.Fatalf("%v: %v", more, err)
		}
	}
	again := filepath.Join(t.TempDir(), "there.json")
	if out, err := bot(t, "", "export", "tobias-2", "--database", database, "--to", again); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var back studio.Export
	if err := readJSON(again, &back); err != nil {
		t.Fatal(err)
	}
	if a, b := withoutNumbers(t, x.Log), withoutNumbers(t, back.Log); a != b || len(x.Log) == 0 {
		t.Errorf("the log of %d reports came back as %d", len(x.Log), len(back.Log))
	}
	if a, b := withoutNumbers(t, x.Standings), withoutNumbers(t, back.Standings); a != b {
		t.Errorf("the standings went out as\n%s\nand came back as\n%s", a, b)
	}
}

func studioIn(t *testing.T, folder string) (x studio.StudioExport) {
	t.Helper()
	if err := readJSON(filepath.Join(folder, "studio.json"), &x); err != nil {
		t.Fatal(err)
	}
	return x
}

// withoutNumbers returns a value as JSON in which the places in the log that a
// store gives out are 0.
func withoutNumbers(t *testing.T, v any) string {
	t.Helper()
	text, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for line := range strings.Lines(string(text)) {
		name, _, _ := strings.Cut(strings.TrimSpace(line), ":")
		if name != `"seq"` && name != `"supersedes"` && name != `"inbox"` && name != `"id"` {
			lines = append(lines, strings.TrimSuffix(strings.TrimSpace(line), ","))
		}
	}
	return strings.Join(lines, "\n")
}
