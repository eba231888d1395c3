package studio_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// mayTable says who may give each command: T teachers, A assistants, S students,
// G guardians. It is written out here apart from the table of commands, so that a
// slip in either is seen.
const mayTable = `
help TASG
today S
progress TASG
map TASG
week TASG
best TAS
forecast TAS
short S
soft S
click S
keep S
recordings TASG
discard S
with S
usual S
setup S
here TASG
consent TG
export TASG
digest TA
overview TA
lesson TA
lessons TA
note TA
after TA
report TAG
invite T
student TA
plan TA
books TAS
tell TA
ask TA
seen TA
sign-off T
move-back T
skip T
swap T
open T
stay T
close T
add T
together T
test T
interleave T
ladder T
copy-plan T
template T
pin T
unpin T
hold T
release T
lock T
unlock T
minutes T
strain T
soft-hours T
perform T
off T
excuse TA
holiday T
pause T
resume T
leave T
erase T
deeds T
zone T
again T
thread T
challenge T
take-part SG
sit-out SG
`

// arguments are such that each command would do something to Ada, or to Mina for
// those about a minor, if it were obeyed.
var arguments = map[string]string{
	"progress": "daily-ground/1/1", "week": "Ada", "best": "Ada", "forecast": "Ada", "short": "20", "with": "trumpet", "consent": "Mina", "export": "Ada",
	"invite": "Ada", "student": "Ada", "plan": "Ada", "tell": "Ada play softly", "ask": "Ada", "seen": "Ada", "lesson": "Ada", "note": "Ada softly", "after": "Ada softly", "report": "Ada 2026-03-01 2026-03-02", "sign-off": "Ada daily-ground/1/1", "move-back": "Ada daily-ground/1/1",
	"skip": "Ada daily-ground/1/1 2026-03-09", "swap": "Ada 1 daily-ground/2/1", "open": "Ada daily-ground/2 2", "stay": "Ada daily-ground/1", "close": "Ada daily-ground/1",
	"add": "Ada daily-ground/1 p", "together": "Ada daily-ground/1 2", "test": "Ada daily-ground/1 14", "ladder": "Ada daily-ground/1 5%", "copy-plan": "Ada Mina",
	"template": "Ada growing", "pin": "Ada daily-ground/1/1", "unpin": "Ada daily-ground/1/1", "hold": "Ada daily-ground/1", "release": "Ada daily-ground/1",
	"lock": "Ada daily-ground/1 quarter=60", "unlock": "Ada daily-ground/1", "minutes": "Ada 60", "interleave": "Ada daily-ground/2", "strain": "Ada 40", "soft-hours": "Ada 21:00-07:00", "perform": "Ada 2026-03-20",
	"off": "Ada sun", "excuse": "Ada 2026-03-05", "holiday": "2026-03-05 2026-03-06",
	"pause": "Ada", "resume": "Ada", "leave": "Ada", "erase": "Ada for good", "zone": "Ada Europe/Berlin", "again": "Ada", "thread": "Ada none", "challenge": "14 80 Spring together",
}

// people are all who may try: those of the studio, and those who are not of it.
var people = []struct {
	account, letter string // the letter in the table; none: nobody here
}{
	{"odile", "T"}, {"anselm", "A"}, {"ada", "S"}, {"petra", "G"},
	{"vera", ""},     // guardian of a child in another studio
	{"boris", ""},    // teaches another studio
	{"cara", ""},     // student of another studio
	{"removed", ""},  // taught here once
	{"stranger", ""}, // nobody we know
}

// manned returns a stage with all of them.
func manned(t *testing.T) *stage {
	t.Helper()
	r := studiotest.Roster()
	r.Members = append(r.Members, studiotest.Member("anselm", studio.Assistant), studiotest.Member("removed", studio.Teacher))
	s := stageOf(t, studiotest.Catalogue(), r)
	r.Members = slices.DeleteFunc(r.Members, func(m studio.Member) bool { return m.ID == "removed" })
	other := studiotest.Roster()
	other.Studio.ID, other.Studio.Name, other.Studio.Channels = "quay", "Quay Brass", []studio.Address{{Platform: "room", Channel: "quay"}}
	other.Members = []studio.Member{studiotest.Member("boris", studio.Teacher), studiotest.Member("cara", studio.Student), studiotest.Member("vera", studio.Guardian)}
	other.Members[2].Wards = []studio.MemberID{"cara"}
	other.Plans = map[studio.MemberID]routine.Plan{}
	for i := range other.Members {
		other.Members[i].Studio = "quay"
	}
	for _, roster := range []studio.Roster{r, other} {
		if err := s.service.Apply(t.Context(), roster); err != nil {
			t.Fatal(err)
		}
	}
	s.at("2026-03-02 07:00")
	s.says("ada", "done 30")
	s.work()
	return s
}

// verdictOf gives a command as a person and returns what became of it.
func (s *stage) verdictOf(account, text string) studio.Verdict {
	s.t.Helper()
	m := s.says(account, text)
	var v studio.Verdict
	s.view(func(tx studio.Tx) error {
		all, err := tx.Happenings("room", m.ID)
		v = all[len(all)-1].Verdict
		return err
	})
	return v
}

// TestWhoMayDoWhat has everybody try every command that is not theirs. It must be
// refused and change nothing of the studio: who is of another studio commands
// there.
func TestWhoMayDoWhat(t *testing.T) {
	letters := map[string]string{}
	for line := range strings.Lines(mayTable) {
		if name, who, ok := strings.Cut(strings.TrimSpace(line), " "); ok {
			letters[name] = who
		}
	}
	s := manned(t)
	if len(letters) != len(studio.Commands()) {
		t.Errorf("%d commands are in the table of this test, and the program has %d", len(letters), len(studio.Commands()))
	}
	tried := 0
	for _, c := range studio.Commands() {
		if _, ok := letters[c.Name]; !ok {
			t.Errorf("command %s is not in the table of this test", c.Name)
		}
		for _, p := range people {
			may := p.letter != "" && strings.Contains(letters[c.Name], p.letter)
			if listed := slices.ContainsFunc(c.Roles, func(r studio.Role) bool { return strings.EqualFold(string(r[:1]), p.letter) }); listed != may {
				t.Errorf("%s for %s: the program says %t, this test %t", c.Name, p.account, listed, may)
			}
			if may {
				continue
			}
			tried++
			before := s.picture()
			v := s.verdictOf(p.account, "/"+c.Name+" "+arguments[c.Name])
			if elsewhere := slices.Contains([]string{"vera", "boris", "cara"}, p.account); v != studio.Refused && !elsewhere {
				t.Errorf("/%s by %s: verdict %q, want it refused", c.Name, p.account, v)
			}
			if after := s.picture(); after != before {
				t.Errorf("/%s by %s changed something in a studio or a role that is not %[2]s's", c.Name, p.account)
			}
		}
	}
	t.Logf("%d commands tried by who may not give them", tried)
}

// picture is all of the studio that a command could change.
func (s *stage) picture() string {
	s.t.Helper()
	var all []any
	const id studio.StudioID = "harbour"
	s.view(func(tx studio.Tx) error {
		st, err1 := tx.Studio(id)
		members, err2 := tx.Members(id)
		challenges, err3 := tx.Challenges(id)
		deeds, err4 := tx.Deeds(id, 99)
		all = append(all, st, challenges, deeds)
		err := errors.Join(err1, err2, err3, err4)
		for _, m := range members {
			plan, _ := tx.Plan(m.ID) // none is none
			standings, err1 := tx.Standings(m.ID)
			routines, err2 := tx.RoutinesOf(m.ID)
			all = append(all, m, plan, standings, len(routines))
			err = errors.Join(err, err1, err2)
		}
		return err
	})
	return fmt.Sprint(all...)
}

// TestWhoMayDoItToWhom has those who have a command try it on people who are not
// theirs.
func TestWhoMayDoItToWhom(t *testing.T) {
	s := manned(t)
	for _, tt := range []struct{ who, text string }{
		{"petra", "/week Ada"}, {"petra", "/consent Ada"}, {"petra", "/export Ada"}, {"petra", "/recordings Ada"}, {"vera", "/recordings Mina"}, {"petra", "/export Odile"},
		{"vera", "/week Mina"}, {"vera", "/consent Mina"}, {"vera", "/export Mina"},
		{"ada", "/export Mina"}, {"ada", "/export Odile"},
		{"boris", "/minutes Ada 60"}, {"boris", "/student Ada"}, {"boris", "/erase Ada for good"}, {"boris", "/export Ada"}, {"boris", "/tell Ada hello"},
		{"odile", "/minutes Cara 60"}, {"odile", "/erase Cara for good"}, {"odile", "/invite Boris"}, {"odile", "/erase Odile for good"},
	} {
		before := s.picture()
		if v := s.verdictOf(tt.who, tt.text); v != studio.Refused {
			t.Errorf("%s by %s: verdict %q, want it refused", tt.text, tt.who, v)
		}
		if s.picture() != before {
			t.Errorf("%s by %s changed something", tt.text, tt.who)
		}
	}
	for _, tt := range []struct{ who, text string }{
		{"petra", "/week Mina"}, {"petra", "/consent Mina"}, {"petra", "/export Mina"}, {"petra", "/export"}, {"petra", "/recordings Mina"}, {"anselm", "/recordings Ada"},
		{"ada", "/export"}, {"anselm", "/export"}, {"anselm", "/week Ada"}, {"boris", "/student Cara"},
		{"odile", "/export Ada"}, {"odile", "/deeds"}, {"odile", "/erase Ada"},
	} {
		if v := s.verdictOf(tt.who, tt.text); v != studio.Obeyed {
			t.Errorf("%s by %s: verdict %q, want it obeyed", tt.text, tt.who, v)
		}
	}
}

// A teacher who is no longer in the file is a stranger, also to what completes
// commands, and is told nothing; a student who is not leaves with her log kept.
// Both are back with the file.
func TestRemovedFromTheFile(t *testing.T) {
	s := manned(t)
	removed := studio.Account{Platform: "room", ID: "removed"}
	if got := s.service.Complete(t.Context(), removed, "minutes", "name", ""); len(got) > 0 {
		t.Errorf("somebody who was removed is offered %q", got)
	}
	s.says("ada", "stopped after 2, my lip hurts")
	s.work()
	if n := len(s.posts("removed", studio.AlertPost)); n > 0 {
		t.Errorf("somebody who was removed got %d alerts", n)
	}
	if n := len(s.posts("odile", studio.AlertPost)); n == 0 {
		t.Error("the teacher got no alert")
	}
	r := studiotest.Roster()
	whole := slices.Clone(r.Members)
	r.Members = slices.DeleteFunc(r.Members, func(m studio.Member) bool { return m.ID == "ada" })
	delete(r.Plans, "ada")
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	s.at("2026-03-03 07:00")
	if n := s.routinesFor("ada", march(3)); n != 0 {
		t.Errorf("a student who is not in the file got %d routines", n)
	}
	if v := s.verdictOf("ada", "done 20"); v != studio.Refused {
		t.Errorf("her reply: verdict %q, want it refused", v)
	}
	if len(s.entries("ada", march(2))) == 0 {
		t.Error("her log is lost")
	}
	r.Members = append(whole, studiotest.Member("removed", studio.Teacher))
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	if v := s.verdictOf("removed", "/resume Ada"); v != studio.Obeyed {
		t.Errorf("resume by a teacher who is back: verdict %q", v)
	}
	if v := s.verdictOf("ada", "done 20"); v != studio.Logged {
		t.Errorf("a reply of a student who is back: verdict %q", v)
	}
}
