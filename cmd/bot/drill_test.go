package main

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
)

// TestDrill is what to do on the day the disk dies: the studio's members talk
// with the program while backups are made of its file; then it is gone, and
// another machine goes on from the last backup. That must hold the same log,
// standings and posts, and every one made meanwhile must be in order.
func TestDrill(t *testing.T) {
	date := today()
	folder, shelf := writeFolder(t, date), t.TempDir()
	c := newTalk(newProgram(t, folder, filepath.Join(t.TempDir(), "studio.db")), 1, &result{})
	c.start()
	c.stop()
	leaveNight(t, c.database, date)
	c.start()
	c.awaitMorning()

	stop, made := make(chan struct{}), make(chan int)
	go func() {
		n := 0
		for {
			select {
			case <-stop:
				made <- n
				return
			default:
			}
			to := filepath.Join(shelf, fmt.Sprintf("during-%d.db", n))
			if out, err := bot(t, "", "backup", to, "--database", c.database); err != nil || !strings.Contains(out, "in order") {
				t.Errorf("backup %d while the program was at work: %v %s", n, err, out)
			}
			n++
		}
	}()
	for _, steps := range newScript(rand.New(rand.NewPCG(7, 0))) {
		c.turn(steps, nil)
	}
	close(stop)
	during := <-made
	c.finish()
	c.start()
	last := filepath.Join(shelf, "last.db")
	if _, err := bot(t, "", "backup", last, "--database", c.database); err != nil {
		t.Fatal(err)
	}
	if _, err := bot(t, "", "restore", last, "--database", c.database); err == nil || !strings.Contains(err.Error(), "another Ledgerline is running on it") {
		t.Errorf("restoring over the file of a running program: %v", err)
	}
	c.stop()
	want := readRecord(t, c.database, date)

	restored := filepath.Join(t.TempDir(), "studio.db")
	if _, err := bot(t, "", "restore", last, "--database", restored); err != nil {
		t.Fatal(err)
	}
	(&result{}).hold(t, want, readRecord(t, restored, date))
	second := newTalk(newProgram(t, folder, restored), 2, &result{})
	second.start()
	second.turn([]step{{as: "ilka", do: "say", text: "3 80 clean"}}, nil)
	second.finish()

	before := 0
	for n := range during {
		early := filepath.Join(t.TempDir(), "studio.db")
		if _, err := bot(t, "", "restore", filepath.Join(shelf, fmt.Sprintf("during-%d.db", n)), "--database", early); err != nil {
			t.Fatal(err)
		}
		names := readRecord(t, early, date).names
		for inbox, name := range names {
			if want.names[inbox] != name {
				t.Errorf("backup %d holds message %d as %s, which is %s", n, inbox, name, want.names[inbox])
			}
		}
		if len(names) < before {
			t.Errorf("backup %d holds %d messages, and the one before it %d", n, len(names), before)
		}
		before = len(names)
	}
	t.Logf("%d backups during a conversation, each restored; %d facts after the restore are the same", during, len(want.facts))
	if during < 2 {
		t.Error("the conversation was over before a second backup")
	}
}
