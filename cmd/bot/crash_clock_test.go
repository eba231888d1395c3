package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/routine"
	"ledgerline/studio"
)

// shiftedClock takes the place of the clock of the program: it is the world's, put
// forward or back by what a file says.
const shiftedClock = `package main

import (
	"os"
	"time"
)

func shiftedNow() time.Time {
	text, err := os.ReadFile(os.Getenv("SHIFT"))
	if err != nil {
		panic(err)
	}
	by, err := time.ParseDuration(string(text))
	if err != nil {
		panic(err)
	}
	return time.Now().Add(by)
}
`

// buildShifted builds the program with a clock that can be shifted, and nothing
// else that differs.
func buildShifted(t *testing.T) string {
	t.Helper()
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	real := []byte("now: time.Now,")
	run := fileOf(t, "run.go")
	if !bytes.Contains(run, real) {
		t.Fatal("run.go does not hand the clock in as it did; mend this test")
	}
	writeFile(t, filepath.Join(dir, "run.go"), bytes.Replace(run, real, []byte("now: shiftedNow,"), 1))
	writeFile(t, filepath.Join(dir, "shifted.go"), []byte(shiftedClock))
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {
		filepath.Join(here, "run.go"):     filepath.Join(dir, "run.go"),
		filepath.Join(here, "shifted.go"): filepath.Join(dir, "shifted.go"),
	}})
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(dir, "overlay.json"), overlay)
	path := filepath.Join(dir, "bot")
	if out, err := exec.Command("go", "build", "-overlay", filepath.Join(dir, "overlay.json"), "-o", path, ".").CombinedOutput(); err != nil {
		t.Fatalf("building the program: %v\n%s", err, out)
	}
	return path
}

// A shifted is a talk with a program whose clock can be set.
type shifted struct {
	*talk
	file string
}

// set makes the clock show a time.
func (s *shifted) set(at time.Time) {
	s.t.Helper()
	writeFile(s.t, s.file+".new", []byte(time.Until(at).String()))
	if err := os.Rename(s.file+".new", s.file); err != nil {
		s.t.Fatal(err)
	}
}

// TestKilledWhileTheClockJumps runs the real program over some days. On each the
// clock shows other times for a moment, up to a year ahead and a week back, at
// which the program goes on, or is killed and started again. Each date must get
// its routine once, and each reply count.
func TestKilledWhileTheClockJumps(t *testing.T) {
	if testing.Short() {
		t.Skip("this takes a while; not with -short")
	}
	path := buildShifted(t)
	var res result
	const days, atOnce = 4, 6
	for seed, left := uint64(1), killsWanted(t, atOnce); left > 0; seed, left = seed+1, left-atOnce {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			date := today()
			s := &shifted{newTalk(newProgram(t, writeFolder(t, date), filepath.Join(t.TempDir(), "studio.db")), seed, &res), filepath.Join(t.TempDir(), "shift")}
			s.program.path, s.settings = path, []string{"SHIFT=" + s.file}
			evening, _ := (date - 1).At(20, 0, time.UTC)
			s.set(evening)
			s.start()
			s.stop()
			for day := range days {
				s.live(date + routine.Date(day))
			}
			s.finish()
			s.check(date, days)
			res.conversations++
		})
	}
	t.Logf("%d kills while the clock jumped, in %d lives of %d days; lost: %d, doubled: %d", res.killed(), res.conversations, days, res.lost, res.doubled)
}

// live lets one day go by.
func (s *shifted) live(d routine.Date) {
	s.t.Helper()
	right, _ := d.At(7, 10, time.UTC)
	s.set(right)
	for range s.random.IntN(4) {
		wrong := right.Add(time.Duration(s.random.IntN(372*24*60)-7*24*60) * time.Minute)
		if s.process == nil {
			s.start()
		}
		s.set(wrong)
		if s.random.IntN(2) == 0 { // it hears something by the wrong clock
			s.turn([]step{{as: "odile", do: "say", text: "student Sanne"}}, nil)
		} else {
			s.kill()
			s.start()
		}
		s.hit(midRequest, time.Duration(s.random.Float64()*float64(80*time.Millisecond)))
		s.set(right)
	}
	if s.process == nil {
		s.start()
	}
	s.turn([]step{{as: "odile", do: "say", text: "student Tobias"}}, nil) // the program looks at its clock
	for _, who := range speakers {
		s.awaitRoutine(who, d)
		s.turn([]step{{as: who, do: "say", text: "done 30"}}, nil)
		s.heard(who)
	}
}

// awaitRoutine waits until a student sees her routine of a date.
func (s *shifted) awaitRoutine(who string, d routine.Date) {
	s.t.Helper()
	id := fmt.Sprintf("post:%s@%s", studio.RoutineKey(studio.MemberID(who), d, 1), who)
	there := eventually(func() bool {
		for _, l := range s.see(who, "line") {
			if l.ID == id {
				return true
			}
		}
		return false
	})
	if !there {
		s.result.lost++
		s.t.Fatalf("lost: %s never saw her routine of %s", who, d)
	}
}

// check checks what the days left in the file.
func (s *shifted) check(first routine.Date, days int) {
	s.t.Helper()
	r := readRecord(s.t, s.database, first)
	if s.result.doubled += len(r.twice); len(r.twice) > 0 {
		s.t.Errorf("said twice: %v", r.twice)
	}
	checkCounts(s.t, r)
	err := withStore(s.t, s.database, func(store *sqlite.Store) error {
		return store.View(s.t.Context(), func(tx studio.Tx) error {
			for _, who := range speakers {
				for d := first; d < first+routine.Date(days); d++ {
					switch reports, err := tx.Reports(studio.MemberID(who), d, d); {
					case err != nil:
						return err
					case len(reports) == 0:
						s.result.lost++
						s.t.Errorf("lost: nothing is logged of %s on %s", who, d)
					case len(reports) > 1:
						s.result.doubled++
						s.t.Errorf("doubled: %d reports of %s on %s", len(reports), who, d)
					}
				}
			}
			return nil
		})
	})
	if err != nil {
		s.t.Fatal(err)
	}
}
