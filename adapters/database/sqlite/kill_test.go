package sqlite

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// A test that needs another process runs the test binary again, with the part
// to play and the database in these variables.
const (
	partVariable = "LEDGERLINE_TEST_PART"
	pathVariable = "LEDGERLINE_TEST_DATABASE"
)

var background = context.Background() // of the other process, which ends with it

func TestMain(m *testing.M) {
	part := os.Getenv(partVariable)
	if part == "" {
		os.Exit(m.Run())
	}
	if err := play(part, os.Getenv(pathVariable)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// play is what the other process does.
func play(part, path string) error {
	switch part {
	case "migrate":
		fmt.Println("begun")
		return migrateOn(path)
	case "open":
		s, err := Open(background, path)
		if err != nil && strings.Contains(err.Error(), "another Ledgerline is running on it") {
			fmt.Println("refused")
			return nil
		}
		if err != nil {
			return err
		}
		fmt.Println("opened")
		return s.Close()
	}
	path, err := create(path)
	if err != nil {
		return err
	}
	s, err := open(background, path)
	if err != nil {
		return err
	}
	switch part {
	case "hold":
		own, err := takeClaim(background, path)
		if err != nil {
			return err
		}
		defer own.release()
		fmt.Println("held")
		time.Sleep(time.Hour)
	case "halt":
		return writeAll(s, func() { fmt.Println("half"); time.Sleep(time.Hour) })
	case "write":
		for {
			if err := writeAll(s, func() {}); err != nil {
				return err
			}
			fmt.Println("kept")
		}
	case "count":
		for range countRounds {
			if err := s.Update(background, studiotest.CountUp); err != nil {
				return err
			}
		}
		return s.Close()
	}
	return fmt.Errorf("no part %q", part)
}

// writeAll puts one message, report, standing and post, and counts them; half
// is called between them.
func writeAll(s *Store, half func()) error {
	return s.Update(background, func(tx studio.Tx) error {
		if err := studiotest.CountUp(tx); err != nil {
			return err
		}
		n, err := tx.Mark("count")
		if err != nil {
			return err
		}
		if _, err := tx.StoreMessage(studio.Message{Platform: "room", ID: n, Happening: studio.Written}); err != nil {
			return err
		}
		report := studio.Report{Member: "wim", Day: routine.DayReport{Date: day}, Entries: []routine.Entry{{Date: day}, {Date: day}}}
		if err := tx.AppendReport(&report); err != nil {
			return err
		}
		half()
		_, err = tx.Queue(studio.Post{Key: studio.Key(n), To: studio.Address{Platform: "room", Channel: "square"}}, time.Unix(0, 0))
		return err
	})
}

// written returns how often writeAll was kept, and fails unless it was kept
// whole each time.
func written(t *testing.T, s *Store) (n int) {
	t.Helper()
	err := s.View(t.Context(), func(tx studio.Tx) error {
		mark, err := tx.Mark("count")
		if err != nil {
			return err
		}
		if n, err = strconv.Atoi(mark); err != nil {
			return err
		}
		counts, err := tx.Counts()
		if err != nil {
			return err
		}
		reports, err := tx.Reports("wim", day, day)
		if err != nil {
			return err
		}
		entries := 0
		for _, r := range reports {
			entries += len(r.Entries)
		}
		if counts.Messages != n || counts.Waiting != n || len(reports) != n || entries != 2*n {
			t.Errorf("of %d transactions there are %d messages, %d posts, %d reports, %d entries",
				n, counts.Messages, counts.Waiting, len(reports), entries)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// studioFile returns the path of a file with a studio in it, ready to count.
func studioFile(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "studio.db")
	s := openFile(t, path)
	if err := s.Update(t.Context(), settle); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// start starts another process.
func start(t *testing.T, part, path string) (*exec.Cmd, io.Reader) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), partVariable+"="+part, pathVariable+"="+path)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, out
}

// TestKilledHalfWay kills a process in the middle of a transaction.
func TestKilledHalfWay(t *testing.T) {
	path := studioFile(t)
	cmd, out := start(t, "halt", path)
	line, err := bufio.NewReader(out).ReadString('\n')
	if line != "half\n" {
		t.Fatalf("the other process said %q, %v", line, err)
	}
	kill(t, cmd)
	s := openFile(t, path)
	if n := written(t, s); n != 0 {
		t.Errorf("%d transactions were kept, want none", n)
	}
	checkIntegrity(t, s)
	if err := writeAll(s, func() {}); err != nil {
		t.Errorf("the next update: %v", err)
	}
	if n := written(t, s); n != 1 {
		t.Errorf("%d transactions were kept after the next update, want 1", n)
	}
}

// TestKilledAnywhere kills a process that writes without pause, again and again
// on the same file: what it said was kept must be there, and at most the one
// transaction more that it had no time to speak of.
func TestKilledAnywhere(t *testing.T) {
	path := studioFile(t)
	before := 0
	for range 12 {
		cmd, out := start(t, "write", path)
		lines := bufio.NewReader(out)
		if _, err := lines.ReadString('\n'); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(rand.IntN(20_000)) * time.Microsecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		rest, err := io.ReadAll(lines)
		if err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait() // says that it was killed
		said := 1 + strings.Count(string(rest), "\n")

		s := openFile(t, path)
		n := written(t, s)
		if n != before+said && n != before+said+1 {
			t.Errorf("%d transactions were kept, but %d, then %d were said to be", n, before, said)
		}
		checkIntegrity(t, s)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		before = n
	}
}

func kill(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait() // says that it was killed
}

const countRounds = 25

// TestTwoStoresOnOneFile has stores in this process and in others, none of which
// claims the file, count at once.
func TestTwoStoresOnOneFile(t *testing.T) {
	path := studioFile(t)
	var others []*exec.Cmd
	for range 2 {
		cmd, _ := start(t, "count", path)
		others = append(others, cmd)
	}
	here := []*Store{openUnclaimed(t, path), openUnclaimed(t, path)}
	done := make(chan error)
	for _, s := range here {
		go func() { done <- countMany(s) }()
	}
	for range here {
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
	for _, cmd := range others {
		if err := cmd.Wait(); err != nil {
			t.Errorf("another process: %v", err)
		}
	}
	var count string
	err := here[0].View(t.Context(), func(tx studio.Tx) (err error) { count, err = tx.Mark("count"); return err })
	if want := strconv.Itoa(4 * countRounds); err != nil || count != want {
		t.Errorf("count %s, %v; want %s", count, err, want)
	}
	checkIntegrity(t, here[1])
}

func countMany(s *Store) error {
	for range countRounds {
		if err := s.Update(background, studiotest.CountUp); err != nil {
			return err
		}
	}
	return nil
}

// TestOpenedAtOnce has processes make one file at the same moment: those that get
// hold of it make or find it whole, the others are told that it is in use.
func TestOpenedAtOnce(t *testing.T) {
	for range 3 {
		path := filepath.Join(t.TempDir(), "studio.db")
		var others []*exec.Cmd
		var answers []io.Reader
		for range 4 {
			cmd, out := start(t, "open", path)
			others, answers = append(others, cmd), append(answers, out)
		}
		opened := 0
		for i, cmd := range others {
			said, err := io.ReadAll(answers[i])
			if err := errors.Join(err, cmd.Wait()); err != nil {
				t.Errorf("another process: %v", err)
			}
			if string(said) == "opened\n" {
				opened++
			}
		}
		if opened == 0 {
			t.Error("none of them opened the file")
		}
		checkIntegrity(t, openFile(t, path))
	}
}
