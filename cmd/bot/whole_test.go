package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"ledgerline/adapters/csv"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

// exported plays three weeks of the demo and exports the studio.
func exported(t *testing.T) (folder, export string) {
	t.Helper()
	folder, database := invented(t)
	export = filepath.Join(t.TempDir(), "export")
	out, err := bot(t, "", "export-studio", "harbour-row", "--database", database, "--to", export)
	if err != nil || !strings.Contains(out, "members, as studio.json and as tables") {
		t.Fatalf("%v\n%s", err, out)
	}
	return folder, export
}

// TestStudioGoesRound exports a studio, puts its tables into an emptied file of
// the studio, and checks that the roster is the one that was exported; and that
// the JSON reads back as it was written and says what the tables say.
func TestStudioGoesRound(t *testing.T) {
	folder, export := exported(t)
	data, err := os.ReadFile(filepath.Join(export, "studio.json"))
	if err != nil {
		t.Fatal(err)
	}
	var x studio.StudioExport
	if err := json.Unmarshal(data, &x); err != nil {
		t.Fatal(err)
	}
	again, err := json.MarshalIndent(x, "", "  ")
	if err != nil || string(again)+"\n" != string(data) {
		t.Errorf("the JSON does not read back as it was written: %v", err)
	}
	rows := tableOf(t, filepath.Join(export, "log.csv"), csv.Tables(&x)[3])
	entries := 0
	for _, m := range x.Members {
		for _, r := range m.Log {
			entries += len(r.Entries)
		}
	}
	if len(rows) != entries || entries < 100 {
		t.Errorf("the log has %d entries and its table %d rows", entries, len(rows))
	}
	for _, name := range []string{"days.csv", "standings.csv"} {
		for _, table := range csv.Tables(&x) {
			if table.Name == name {
				tableOf(t, filepath.Join(export, name), table)
			}
		}
	}
	emptied := filepath.Join(t.TempDir(), "studio")
	if err := os.CopyFS(emptied, os.DirFS(folder)); err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(filepath.Join(emptied, "studio.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	head, _, ok := strings.Cut(string(file), "\nmembers:\n")
	if !ok {
		t.Fatal("the demo's file has no members")
	}
	if err := os.WriteFile(filepath.Join(emptied, "studio.yaml"), []byte(head+"\nmembers: []\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := bot(t, "", "import", emptied, "--members", filepath.Join(export, "members.csv"), "--plans", filepath.Join(export, "plans.csv"), "--write")
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	was, _, _ := readFolder(os.DirFS(folder), folder)
	is, _, wrong := readFolder(os.DirFS(emptied), emptied)
	if len(wrong) > 0 {
		t.Fatal(wrong)
	}
	if len(is.Members) != len(was.Members) {
		t.Fatalf("%d members came back of %d", len(is.Members), len(was.Members))
	}
	for _, m := range x.Members {
		back := find(is.Members, m.Member.ID)
		if back == nil || back.Name != m.Member.Name || back.Role != m.Member.Role || back.Zone != m.Member.Zone || back.Age != m.Member.Age ||
			!reflect.DeepEqual(back.Accounts, m.Member.Accounts) || !reflect.DeepEqual(back.Wards, m.Member.Wards) || back.Player.Minutes != m.Member.Player.Minutes ||
			back.Player.Highest != m.Member.Player.Highest || back.Quiet != m.Member.Quiet || back.Joined != m.Member.Joined {
			t.Errorf("%s went out as\n%+v and came back as\n%+v", m.Member.ID, m.Member, back)
		}
		plan := is.Plans[m.Member.ID]
		if len(plan.Entries) != len(m.Plan.Entries) {
			t.Errorf("the plan of %s went out with %d studies and came back with %d", m.Member.ID, len(m.Plan.Entries), len(plan.Entries))
			continue
		}
		for i, e := range plan.Entries {
			want := m.Plan.Entries[i]
			e.Source = want.Source
			want.Skips, want.Stay, want.TestFrom = nil, false, 0 // what only the chat can set
			want.Opens, e.Skips = 0, nil
			if !reflect.DeepEqual(e, want) {
				t.Errorf("%s: %+v came back as %+v", m.Member.ID, want, e)
			}
		}
	}
}

func find(members []studio.Member, id studio.MemberID) *studio.Member {
	for i := range members {
		if members[i].ID == id {
			return &members[i]
		}
	}
	return nil
}

// tableOf reads a table that was written and compares it with what was to be.
func tableOf(t *testing.T, name string, want csv.Table) []csv.Row {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, wrong := csv.Read(f, name, want.Columns)
	if len(wrong) > 0 || len(rows) != len(want.Rows) {
		t.Fatalf("%s: %d rows of %d, %v", name, len(rows), len(want.Rows), wrong)
	}
	for i, row := range rows {
		for _, c := range want.Columns {
			if row.Cells[c] != strings.TrimSpace(want.Rows[i][c]) {
				t.Errorf("%s, line %d, %s: %q, want %q", name, row.Line, c, row.Cells[c], want.Rows[i][c])
			}
		}
	}
	return rows
}

func TestImportSaysWhatItWouldDo(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "studio")
	if err := os.CopyFS(folder, harbour.Files); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(folder, "studio.yaml")
	before, _ := os.ReadFile(file)
	table := func(name, text string) string {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	members := table("members.csv", "id;name;role;age;instrument;level;minutes;off;zone\r\n"+
		"tobias;;;;;;50;;\r\nwilma;'=Wilma;student;adult;trumpet;beginner;25;saturday sunday;Europe/Berlin\r\nodile;Odile Renner;teacher;;;;;;\r\n")
	plans := table("plans.csv", "member,study,pass,lines,add\nwilma,slur-atlas/1,1,1-2,mf\n")
	out, err := bot(t, "", "import", folder, "--members", members, "--plans", plans)
	for _, want := range []string{"tobias changes\n  minutes: 50, was 40\n", "wilma is new\n", "  name: =Wilma\n", "  off: saturday sunday\n", "  plan: 1 studies\n", "1 as in the file already", "Nothing was written"} {
		if err != nil || !strings.Contains(out, want) {
			t.Errorf("it does not say %q: %v\n%s", want, err, out)
		}
	}
	if now, _ := os.ReadFile(file); string(now) != string(before) {
		t.Error("a trial run has changed the file")
	}
	if out, err = bot(t, "", "import", folder, "--members", members, "--plans", plans, "--write"); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	roster, _, wrong := readFolder(os.DirFS(folder), folder)
	if m := find(roster.Members, "wilma"); len(wrong) > 0 || m == nil || m.Name != "=Wilma" || m.Accounts[0].ID != "wilma" || len(roster.Plans["wilma"].Entries) != 1 {
		t.Errorf("wilma came in as %+v, %v", m, wrong)
	}
	if m := find(roster.Members, "tobias"); m.Player.Minutes != 50 || m.Player.Instrument == "" {
		t.Errorf("tobias is now %+v", m)
	}
	if old, _ := os.ReadFile(file + ".before"); string(old) != string(before) {
		t.Error("the old file is not kept")
	}
	for _, tt := range []struct{ members, plans, want string }{
		{"id,name\nx", "", "members.csv:2: the member has no"},
		{"id,colour\nx,red\n", "", `members.csv:1: there is no column "colour"`},
		{"name\nAda\n", "", "members.csv:1: the column id is missing"},
		{"id,minutes\ntobias,50\nilka,lots\n", "", "members.csv:3: minutes is"},
		{"id,minutes\ntobias,50\ntobias,50\n", "", `members.csv:3: member "tobias" is there already, on line 2`},
		{"", "member,study,pass\ntobias,slur-atlas/2,1\nnobody,slur-atlas/1,1\n", `plans.csv:3: there is no member "nobody"`},
		{"", "member,study,pass\ntobias,slur-atlas/2,1\ntobias,slur-atlas/1,99\n", "plans.csv:3: study slur-atlas/1 has no pass 99"},
		{"", "member,study,pass\ntobias,\"slur\n", "plans.csv:"},
		{"", "", "nothing to import"},
	} {
		args := []string{"import", folder}
		if tt.members != "" {
			args = append(args, "--members", table("members.csv", tt.members))
		}
		if tt.plans != "" {
			args = append(args, "--plans", table("plans.csv", tt.plans))
		}
		if _, err := bot(t, "", args...); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q %q: %v, want %q", tt.members, tt.plans, err, tt.want)
		}
	}
}
