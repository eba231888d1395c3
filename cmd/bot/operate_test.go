package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/metrics"
)

// freeAddress returns an address that nobody listens on.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// TestLookedAfterAndStopped runs the real program as its host does: with backups,
// a log in JSON and the pages of the figures; has it answer a reply; and stops it
// while pages hang on to it.
func TestLookedAfterAndStopped(t *testing.T) {
	date := today()
	folder, shelf, addr := writeFolder(t, date), filepath.Join(t.TempDir(), "backups"), freeAddress(t)
	c := newTalk(newProgram(t, folder, filepath.Join(t.TempDir(), "studio.db")), 1, &result{})
	c.start()
	c.stop()
	leaveNight(t, c.database, date)
	c.args = []string{"--metrics", addr, "--backups", shelf, "--log", "json"}
	c.start()
	c.awaitMorning()
	c.turn([]step{{as: "ilka", do: "say", text: "1 96 clean, 2 skip, rest done 40m"}}, nil)
	c.heard("ilka")

	var s metrics.Standing
	if err := json.Unmarshal([]byte(fetch(t, "http://"+addr+"/healthz")), &s); err != nil || !s.Well {
		t.Errorf("the program is not well: %+v, %v", s, err)
	}
	page := fetch(t, "http://"+addr+"/metrics")
	for _, want := range []string{`ledgerline_well 1`, `ledgerline_messages_heard_total{platform="room"} `, `ledgerline_messages_read_total{verdict="logged"} 1`,
		`ledgerline_posts_sent_total{kind="routine",platform="room"} `, `ledgerline_last_backup_timestamp_seconds 1.`} {
		if !strings.Contains(page, "\n"+want) {
			t.Errorf("the figures lack %s", want)
		}
	}
	if made, _ := filepath.Glob(filepath.Join(shelf, "studio-*.db")); len(made) != 1 {
		t.Errorf("backups after the start: %v, want one", made)
	}
	t.Logf("at most %s of memory", peakMemory(t, c.process.Process.Pid))

	hanging, err := http.Get(c.url + "api/events?studio=harbour-row&as=ilka")
	if err != nil {
		t.Fatal(err)
	}
	defer hanging.Body.Close()
	bufio.NewReader(hanging.Body).ReadString('\n')
	began := time.Now()
	c.stop()
	if took := time.Since(began); took > 6*time.Second {
		t.Errorf("stopping took %v", took)
	}
	for _, name := range []string{c.database + "-wal", c.database + "-shm"} {
		if _, err := os.Stat(name); err == nil {
			t.Errorf("stopping left %s", filepath.Base(name))
		}
	}
	for line := range strings.Lines(c.said.String()) {
		if strings.HasPrefix(line, "{") && !json.Valid([]byte(line)) {
			t.Errorf("a line of the log is no JSON: %s", line)
		}
	}
	if !strings.Contains(c.said.String(), `"msg":"backup made and verified"`) {
		t.Errorf("the log does not tell of the backup:\n%s", c.said.String())
	}
}

func fetch(t *testing.T, url string) string {
	t.Helper()
	resp, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// peakMemory returns the most memory that a process has held.
func peakMemory(t *testing.T, pid int) string {
	t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return "an unknown amount"
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			return strings.TrimSpace(rest)
		}
	}
	return "an unknown amount"
}
