package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

// bot runs the program and returns what it printed.
func bot(t *testing.T, stdin string, args ...string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	err := run(t.Context(), args, strings.NewReader(stdin), &out)
	return out.String(), err
}

// story plays weeks of the demo and returns where they end.
func story(t *testing.T, args ...string) endState {
	t.Helper()
	out, err := bot(t, "", append([]string{"demo", "--no-room", "--json"}, args...)...)
	if err != nil {
		t.Fatal(err)
	}
	var end endState
	if err := json.Unmarshal([]byte(out), &end); err != nil {
		t.Fatalf("the end state is no JSON: %v\n%s", err, out)
	}
	return end
}

func TestDemoPlaysTheWholeLoop(t *testing.T) {
	end := story(t, "--weeks", "6")
	if len(end.Students) != 9 {
		t.Errorf("%d students, want 9", len(end.Students))
	}
	if end.Digests != 6 {
		t.Errorf("%d digests in six weeks, want 6", end.Digests)
	}
	if end.MessagesTold <= end.MessagesIn {
		t.Errorf("%d messages told, %d kept: none was told twice, so the story tests nothing", end.MessagesTold, end.MessagesIn)
	}
	if end.Duplicates != 0 || end.Waiting != 0 {
		t.Errorf("%d posts twice and %d waiting, want none", end.Duplicates, end.Waiting)
	}
	for id, s := range end.Students {
		if s.Entries == 0 || s.Longest == 0 || len(s.Standings) == 0 {
			t.Errorf("%s has %d entries, longest streak %d, %d passes in work: nothing came of six weeks", id, s.Entries, s.Longest, len(s.Standings))
		}
	}
	if end.Students["levi"].Questions == 0 {
		t.Error("the careless student left no question open")
	}
}

// A story that is stopped and gone on with, in a file, must end as one that was
// played at a stretch.
func TestDemoGoesOnWhereItWasStopped(t *testing.T) {
	file := filepath.Join(t.TempDir(), "story.db")
	story(t, "--weeks", "1", "--database", file)
	story(t, "--weeks", "2", "--database", file)
	stopped := story(t, "--weeks", "3", "--database", file)
	whole := story(t, "--weeks", "3")
	if !reflect.DeepEqual(stopped.Students, whole.Students) {
		t.Errorf("stopped and gone on with:\n%+v\nat a stretch:\n%+v", stopped.Students, whole.Students)
	}
	if stopped.MessagesOut != whole.MessagesOut {
		t.Errorf("%d posts when stopped, %d at a stretch", stopped.MessagesOut, whole.MessagesOut)
	}
}

func TestDemoFilesAreAStudioInOrder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "mine")
	if _, err := bot(t, "", "demo", "--files", folder); err != nil {
		t.Fatal(err)
	}
	out, err := bot(t, "", "check", folder)
	if err != nil || !strings.Contains(out, "in order: Harbour Row Brass") {
		t.Errorf("check of the demo's files: %q, %v", out, err)
	}
	if _, err := bot(t, "", "demo", "--files", folder); err == nil {
		t.Error("the files of a studio were written over")
	}
}

func TestCheckNamesFileLineAndRemedy(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "mine")
	if _, err := bot(t, "", "demo", "--files", folder); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(folder, "books", "slur-atlas.yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	at := 0
	for i, l := range lines {
		if strings.Contains(l, "skill: flexibility") {
			lines[i], at = strings.Replace(l, "flexibility", "flexibilty", 1), i+1
			break
		}
	}
	if err := os.WriteFile(file, []byte(strings.Join(lines, "\n")), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err = bot(t, "", "check", folder)
	if err == nil {
		t.Fatal("check finds nothing wrong with an unknown skill")
	}
	for _, want := range []string{"slur-atlas.yaml:" + strconv.Itoa(at), "flexibilty", "flexibility"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("check says %q, want it to name %q", err, want)
		}
	}
	if _, err := bot(t, "", "run", folder, "--database", filepath.Join(folder, "x.db")); err == nil {
		t.Error("run starts with a book that is wrong")
	}
}

func TestReadPrintsOneObjectALine(t *testing.T) {
	file := filepath.Join(t.TempDir(), "routine.json")
	set := `{"items":[{"n":1,"book":"Daily Ground","study":2,"lines":[14,15,16],"skill":"technique","key":"Eb","note":"quarter","from":84,"to":92,"minutes":8},
	                  {"n":2,"book":"Slur Atlas","study":1,"lines":[3],"skill":"flexibility","note":"quarter","from":60,"to":66,"minutes":6}]}`
	if err := os.WriteFile(file, []byte(set), 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := bot(t, "1 92 clean, 2 skip\nill\nthanks!\n", "read", "--routine", file, "--today", "2026-03-04", "-")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		`{"text":"1 92 clean, 2 skip","kind":"report","day":"2026-03-04","items":[{"n":1,"outcome":"clean","tempo":{"to":92,"note":"quarter"}},{"n":2,"outcome":"skipped"}]}`,
		`{"text":"ill","kind":"report","day":"2026-03-04","excused":"ill"}`,
		`{"text":"thanks!","kind":"chat"}`,
	}
	if got := strings.Split(strings.TrimSpace(out), "\n"); !reflect.DeepEqual(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestWrongUseIsAnsweredInASentence(t *testing.T) {
	for _, tt := range []struct {
		args []string
		want string
	}{
		{[]string{"run", "nowhere"}, "studio.yaml"},
		{[]string{"run", "nowhere", "--listen", "0.0.0.0:8080"}, "password"},
		{[]string{"demo", "--listen", "0.0.0.0:8080"}, "password"},
		{[]string{"demo", "--weeks=-3"}, "0 to 520"},
		{[]string{"read", "--routine", "nowhere.json"}, "nowhere.json"},
		{[]string{"read", "--routine", "bot_test.go", "--today", "4.3."}, "bot_test.go"},
	} {
		_, err := bot(t, "", tt.args...)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("bot %s: %v, want an error about %q", strings.Join(tt.args, " "), err, tt.want)
		}
	}
}

func TestSettingsFromAFile(t *testing.T) {
	dir := t.TempDir()
	write := func(text string) string {
		file := filepath.Join(dir, "settings.yaml")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	database := filepath.Join(dir, "story.db")
	out, err := bot(t, "", "demo", "--config", write("weeks: 1\nroom: false\njson: true\ndatabase: "+database+"\n"))
	if err != nil || !strings.Contains(out, `"digests_sent": 1`) {
		t.Errorf("demo by a file of settings: %v\n%s", err, out)
	}
	if _, err := os.Stat(database); err != nil {
		t.Errorf("the database named in the file: %v", err)
	}
	if _, err := bot(t, "", "demo", "--config", write("wekks: 1\n")); err == nil || !strings.Contains(err.Error(), `no setting "wekks"`) {
		t.Errorf("a setting that is not there: %v", err)
	}
}
