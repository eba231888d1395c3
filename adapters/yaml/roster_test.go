package yaml_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"ledgerline/adapters/yaml"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

func TestRosterProblems(t *testing.T) {
	books, _ := yaml.ReadCatalogue(harbour.Files, "books")
	files, err := filepath.Glob("testdata/studio*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no files", err)
	}
	for _, name := range files {
		_, problems := yaml.ReadRoster(os.DirFS("testdata"), filepath.Base(name), books)
		golden(t, strings.TrimSuffix(name, ".yaml")+".golden", problems)
	}
}

func TestReadRosterWithoutAFile(t *testing.T) {
	_, problems := yaml.ReadRoster(fstest.MapFS{}, "studio.yaml", nil)
	want := "studio.yaml: it cannot be read (file does not exist); write the name of a file or folder that is there and may be read"
	if len(problems) != 1 || problems[0].Error() != want {
		t.Errorf("got  %v\nwant %s", problems, want)
	}
}

const row = `id: harbour-row
name: Harbour Row Brass
zone: Europe/Lisbon
lang: en
channels:
  - {platform: room, channel: square}
post-at: "0 7 * * *"
digest-at: "0 18 * * 0"
consent-under: [under-13, 13-15]
holidays:
  - {from: 2026-04-03, to: 2026-04-06}
members:
  - id: odile
    name: Odile
    role: teacher
    age: adult
    accounts: [{platform: room, id: odile}, {platform: discord, id: 81384788765712384}]
  - id: mina
    name: Mina
    role: student
    age: under-13
    zone: America/Halifax
    accounts: [{platform: room, id: mina}]
    public: true
    quiet: 19:30-07:00
    instrument: alto horn
    level: beginner
    minutes: 20
    strain-rise: 40
    soft: 19:00-08:30
    highest: A4
    off: [sunday, wednesday]
    off-changes: [{from: 2026-04-01, off: [saturday]}]
    performances: [2026-05-09]
    joined: 2026-02-23
    consent: 2026-02-20
    post-at: "0 15 * * *"
    remind-at: never
    plan:
      - {study: daily-ground/2, pass: 1, since: 2026-02-23, target: 2026-05-09, lines: [1-3, 5], pinned: [5]}
      - study: slur-atlas/1
        pass: 1
        add: {dynamic: mp, repeats: 2}
        lock: half=42
        hold: true
        instrument: cornet
        interleave: true
        skips: [{lines: [2, 4-5], until: 2026-04-01}]
  - id: petra
    name: Petra
    role: guardian
    age: adult
    lang: de
    accounts: [{platform: matrix, id: "@petra:harbour.example"}]
    wards: [mina]
`

func TestReadRoster(t *testing.T) {
	books, _ := yaml.ReadCatalogue(harbour.Files, "books")
	r, problems := yaml.ReadRoster(fstest.MapFS{"row.yaml": {Data: []byte(row)}}, "row.yaml", books)
	if len(problems) != 0 {
		t.Fatal(problems)
	}
	day := func(s string) routine.Date {
		d, err := routine.ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	const sunday, wednesday, saturday = 1 << 0, 1 << 3, 1 << 6
	want := studio.Studio{
		ID: "harbour-row", Name: "Harbour Row Brass", Zone: "Europe/Lisbon", Lang: "en",
		Channels: []studio.Address{{Platform: "room", Channel: "square"}},
		PostAt:   "0 7 * * *", RemindAt: "never", DigestAt: "0 18 * * 0", CutOff: 12,
		ConsentUnder: []studio.AgeBand{studio.Under13, studio.From13To15},
		Holidays:     []studio.Span{{From: day("2026-04-03"), To: day("2026-04-06")}},
	}
	same(t, "studio", r.Studio, want)
	if len(r.Members) != 3 {
		t.Fatalf("%d members, want 3", len(r.Members))
	}
	same(t, "teacher", r.Members[0], studio.Member{
		ID: "odile", Studio: "harbour-row", Name: "Odile", Role: studio.Teacher, Zone: "Europe/Lisbon", Lang: "en", Age: studio.Adult,
		Accounts: []studio.Account{{Platform: "room", ID: "odile"}, {Platform: "discord", ID: "81384788765712384"}},
	})
	mina := r.Members[1]
	if len(mina.Off) != 2 || mina.Off[0].From != 0 || mina.Off[0].Off != sunday|wednesday || mina.Off[1].From != day("2026-04-01") || mina.Off[1].Off != saturday {
		t.Errorf("days off are %v", mina.Off)
	}
	mina.Off = nil
	same(t, "student", mina, studio.Member{
		ID: "mina", Studio: "harbour-row", Name: "Mina", Role: studio.Student, Zone: "America/Halifax", Lang: "en", Age: studio.Under13,
		Accounts: []studio.Account{{Platform: "room", ID: "mina"}}, Public: true, Quiet: studio.Hours{From: 19*60 + 30, To: 7 * 60},
		Player: routine.Player{
			Instrument: "alto horn", Level: routine.Beginner, Minutes: 20, Highest: 69, Rise: 40,
			Performances: []routine.Date{day("2026-05-09")},
		},
		Soft:   studio.Hours{From: 19 * 60, To: 8*60 + 30},
		Joined: day("2026-02-23"), Consent: day("2026-02-20"), PostAt: "0 15 * * *", RemindAt: "never",
	})
	same(t, "guardian", r.Members[2], studio.Member{
		ID: "petra", Studio: "harbour-row", Name: "Petra", Role: studio.Guardian, Zone: "Europe/Lisbon", Lang: "de", Age: studio.Adult,
		Accounts: []studio.Account{{Platform: "matrix", ID: "@petra:harbour.example"}}, Wards: []studio.MemberID{"mina"},
	})
	same(t, "plans", r.Plans, map[studio.MemberID]routine.Plan{"mina": {Entries: []routine.PlanEntry{
		{
			Study: routine.StudyRef{Book: "daily-ground", Study: 2}, Pass: 1, Since: day("2026-02-23"), Target: day("2026-05-09"),
			Lines: []int{1, 2, 3, 5}, Pinned: []int{5}, Source: routine.Source{File: "row.yaml", Line: 40},
		},
		{
			Study: routine.StudyRef{Book: "slur-atlas", Study: 1}, Pass: 1, Add: routine.Demands{Dynamic: routine.MezzoPiano, Repeats: 2},
			Lock: routine.Tempo{BPM: 42, Note: routine.Half}, Hold: true, Instrument: "cornet", Interleave: true,
			Skips:  []routine.Skip{{Line: 2, Until: day("2026-04-01")}, {Line: 4, Until: day("2026-04-01")}, {Line: 5, Until: day("2026-04-01")}},
			Source: routine.Source{File: "row.yaml", Line: 41},
		},
	}}})
}

func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if g, w := fmt.Sprintf("%+v", got), fmt.Sprintf("%+v", want); g != w {
		t.Errorf("%s:\ngot  %s\nwant %s", what, g, w)
	}
}

func FuzzReadRoster(f *testing.F) {
	books, _ := yaml.ReadCatalogue(harbour.Files, "books")
	f.Add([]byte(row))
	files, _ := filepath.Glob("testdata/studio*.yaml")
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, problems := yaml.ReadRoster(fstest.MapFS{"row.yaml": {Data: data}}, "row.yaml", books)
		lines := max(1, len(strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(data)), "\n")))
		for _, p := range problems {
			if p.Source.File != "row.yaml" || p.Source.Line < 1 || p.Source.Line > lines || p.What == "" || p.Instead == "" {
				t.Errorf("of %d lines: %+v", lines, p)
			}
		}
		if len(problems) > 0 {
			return
		}
		for id, plan := range r.Plans {
			for i := range r.Members {
				if m := &r.Members[i]; m.ID == id && len(books.CheckPlan(plan, m.Player)) > 0 {
					t.Errorf("plan of %s read without a problem, but %v", id, books.CheckPlan(plan, m.Player))
				}
			}
		}
	})
}

// TestAccountOfAFamily lets a family share an account, and nobody share a
// teacher's.
func TestAccountOfAFamily(t *testing.T) {
	file := func(role, name string) string {
		return "id: x\nname: X\nzone: Europe/Lisbon\nlang: en\npost-at: \"0 7 * * *\"\ndigest-at: \"0 18 * * 0\"\nmembers:\n" +
			"  - {id: t, name: T, role: teacher, age: adult, accounts: [{platform: room, id: t}]}\n" +
			"  - {id: a, name: Ada, role: student, age: adult, accounts: [{platform: room, id: phone}], instrument: cornet, level: growing, minutes: 30}\n" +
			"  - {id: b, name: " + name + ", role: " + role + ", age: adult, accounts: [{platform: room, id: phone}]" + map[string]string{"student": ", instrument: cornet, level: growing, minutes: 30", "guardian": ", wards: [a]"}[role] + "}\n"
	}
	for _, tt := range []struct {
		role, name string
		ok         bool
	}{{"student", "Bo", true}, {"guardian", "Bo", true}, {"student", "ada", false}, {"assistant", "Bo", false}} {
		_, wrong := yaml.ReadRoster(fstest.MapFS{"s.yaml": {Data: []byte(file(tt.role, tt.name))}}, "s.yaml", nil)
		if (len(wrong) == 0) != tt.ok {
			t.Errorf("%s %s: %v", tt.role, tt.name, wrong)
		}
	}
}
