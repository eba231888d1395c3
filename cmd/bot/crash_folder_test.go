package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"text/template"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

// roster describes the studio of the crash tests. Everything falls due at
// midnight in UTC, and the cut-off lies on one too, so that a conversation goes
// the same way at any other time of day.
var roster = template.Must(template.New("studio.yaml").Parse(`
id: harbour-row
name: Harbour Row Brass
zone: UTC
lang: en
channels: [{{.Channel}}]
post-at: "0 0 * * *"
remind-at: "0 0 * * *"
digest-at: "0 0 * * 1"
cut-off: 24
consent-under: [under-13]

members:
  - {id: odile, name: Odile Renner, role: teacher, age: adult, accounts: [{{call .Account "odile"}}]}
  - {id: petra, name: Petra, role: guardian, age: adult, wards: [mina], accounts: [{{call .Account "petra"}}]}
{{range .Students}}
  - id: {{.ID}}
    name: {{.Name}}
    role: student
    age: {{.Age}}
    accounts: [{{call $.Account .ID}}]
    instrument: trumpet
    level: {{.Level}}
    minutes: {{.Minutes}}
    highest: A5
    joined: {{$.Joined}}
    plan:
      - {study: slur-atlas/2, pass: 1, since: {{$.Joined}}}
      - {study: daily-ground/3, pass: 1, since: {{$.Joined}}}
      - {study: articulate-hour/3, pass: 1, since: {{$.Joined}}}
      - {study: harbour-pieces/2, pass: 1, since: {{$.Joined}}}
      - {study: daily-ground/1, pass: 1, since: {{$.Joined}}}
{{end}}`))

type pupil struct {
	ID, Name, Age, Level string
	Minutes              int
}

// pupils are the students. Of Mina nothing may be logged before her guardian
// agrees.
var pupils = []pupil{
	{"mina", "Mina", "under-13", "beginner", 20},
	{"tobias", "Tobias", "adult", "growing", 40},
	{"ilka", "Ilka", "16-17", "advanced", 90},
	{"kofi", "Kofi", "16-17", "growing", 45},
	{"sanne", "Sanne", "adult", "growing", 50},
	{"juna", "Juna", "13-15", "growing", 35},
	{"levi", "Levi", "13-15", "growing", 30},
}

// everybody returns the ids of all members.
func everybody() []string {
	all := []string{"odile", "petra"}
	for _, p := range pupils {
		all = append(all, p.ID)
	}
	return all
}

// writeFolder writes the folder of the studio in the room, whose students joined
// ten days before today.
func writeFolder(t testing.TB, today routine.Date) string {
	t.Helper()
	return writeFolderOn(t, today, studio.Address{Platform: "room", Channel: "harbour-row"}, func(who string) studio.Account {
		return studio.Account{Platform: "room", ID: who}
	})
}

// writeFolderOn writes it for a studio whose channel and accounts are elsewhere.
// An account at the front is where a member is written to.
func writeFolderOn(t testing.TB, today routine.Date, channel studio.Address, accounts ...func(who string) studio.Account) string {
	t.Helper()
	folder := t.TempDir()
	if err := os.CopyFS(folder, harbour.Files); err != nil {
		t.Fatal(err)
	}
	var text bytes.Buffer
	data := map[string]any{
		"Students": pupils, "Joined": (today - 10).String(),
		"Channel": fmt.Sprintf("{platform: %s, channel: %q}", channel.Platform, channel.Channel),
		"Account": func(who string) string {
			var all []string
			for _, of := range accounts {
				all = append(all, fmt.Sprintf("{platform: %s, id: %q}", of(who).Platform, of(who).ID))
			}
			return strings.Join(all, ", ")
		},
	}
	if err := roster.Execute(&text, data); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "studio.yaml"), text.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return folder
}

// today returns the date in UTC, once it is not about to change: what follows
// must not be cut in two by midnight.
func today() routine.Date {
	const margin = 2 * time.Minute
	now := time.Now().UTC()
	if tomorrow := now.Truncate(24 * time.Hour).Add(24 * time.Hour); tomorrow.Sub(now) < margin {
		time.Sleep(time.Until(tomorrow) + time.Second)
	}
	return routine.DateOf(time.Now(), time.UTC)
}
