package main

import (
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// disk returns the folder of a small disk of its own, or skips the test.
func disk(t *testing.T, size string) string {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("only root may mount a disk")
	}
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size="+size); err != nil {
		t.Skipf("no disk can be mounted here: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// fill takes all room on a disk, and returns what gives it back.
func fill(t *testing.T, dir string) (free func()) {
	t.Helper()
	name := filepath.Join(dir, "ballast")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for block := make([]byte, 4096); err == nil; {
		_, err = f.Write(block)
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
	return func() {
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
	}
}

// TestReadOnlyDiskIsRefused starts the program on a disk that nobody may write.
func TestReadOnlyDiskIsRefused(t *testing.T) {
	dir := disk(t, "8m")
	folder, database := writeFolder(t, today()), filepath.Join(dir, "studio.db")
	p := newProgram(t, folder, database)
	p.start()
	p.stop()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	wantSentence(t, refusal(t, folder, database), database, "may not write there")
}

// TestFullDisk takes all room on the disk while the program runs. What it can't
// keep it must not accept; it must say so when it is started without room; and
// once there is room again it must go on, to the same end as if there had been
// room throughout.
func TestFullDisk(t *testing.T) {
	date := today()
	folder, dir := writeFolder(t, date), disk(t, "8m")
	c := newTalk(newProgram(t, folder, filepath.Join(dir, "studio.db")), 1, &result{})
	c.start()
	free := fill(t, dir)
	accepted := c.sayUntilRefused()
	c.kill()
	c.launch()
	if err := c.open(); err != nil {
		wantSentence(t, lastLine(c.said.String()), c.database, "no room left on its disk")
	}
	c.kill()
	free()
	c.start()
	c.turn([]step{unheard}, nil) // the refused one, with its own draft
	c.finish()

	undisturbed := newTalk(newProgram(t, folder, filepath.Join(t.TempDir(), "studio.db")), 1, &result{})
	undisturbed.start()
	for range accepted + 1 {
		undisturbed.turn([]step{unheard}, nil)
	}
	undisturbed.finish()
	var res result
	res.hold(t, readRecord(t, undisturbed.database, date), readRecord(t, c.database, date))
	t.Logf("%d writings were accepted on the full disk, then one refused; lost: %d, doubled: %d", accepted, res.lost, res.doubled)
}

// unheard is what is said while the disk is full.
var unheard = step{as: "ilka", do: "say", text: "done 20"}

// sayUntilRefused has somebody write until the program says that it can't take
// it, and returns how often it could. The refused draft is the next one again.
func (c *talk) sayUntilRefused() (accepted int) {
	c.t.Helper()
	const most = 5000
	for ; accepted < most; accepted++ {
		o := c.prepare(unheard)
		err := c.offerOne(c.url, o)
		if o.accepted {
			c.accepted(o)
			continue
		}
		var no *refused
		if !errors.As(err, &no) || no.status != http.StatusInternalServerError {
			c.t.Fatalf("on a full disk a writing got: %v", err)
		}
		c.drafts--
		return accepted
	}
	c.t.Fatalf("%d writings were accepted on a full disk", most)
	return 0
}

func lastLine(s string) string {
	s = strings.TrimSpace(s)
	return s[strings.LastIndexByte(s, '\n')+1:]
}
