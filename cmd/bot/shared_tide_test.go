package main

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"ledgerline/adapters/discord/discordtest"
)

// receipts are what the bot answers replies with, on the private lines of those who
// wrote them.
type receipts struct {
	mu     sync.Mutex
	open   map[string][]said // replies that have none, by line
	count  int               // of replies
	took   []time.Duration   // of those that have one, since begin
	late   int               // of them, more than a second
	studio chan int          // studios whose turn it is to write, if anybody asks
}

// said is one reply.
type said struct {
	at     time.Time
	studio int
}

func newReceipts() *receipts { return &receipts{open: map[string][]said{}} }

func (r *receipts) await(line string, studio int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.count++
	r.open[line] = append(r.open[line], said{time.Now(), studio})
}

// watch finds receipts among the bot's requests.
func (r *receipts) watch(e discordtest.Exchange) {
	line, found := strings.CutPrefix(strings.TrimSuffix(e.Path, "/messages"), "/channels/")
	if e.Method != http.MethodPost || e.Status >= 300 || !found {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.open[line]) == 0 {
		return // compare finds what is there twice
	}
	s := r.open[line][0]
	if r.open[line] = r.open[line][1:]; len(r.open[line]) == 0 {
		delete(r.open, line)
	}
	took := e.At.Sub(s.at)
	r.took = append(r.took, took)
	if took > time.Second {
		r.late++
	}
	if r.studio != nil {
		r.studio <- s.studio
	}
}

// turnOver has studios write again as soon as they have their receipt, beginning
// with the first n; with 0 none does any longer.
func (r *receipts) turnOver(n, all int) <-chan int {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.studio = nil
	if n == 0 {
		return nil
	}
	r.studio = make(chan int, all+n)
	for i := range min(n, all) {
		r.studio <- i
	}
	return r.studio
}

func (r *receipts) left() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	n := 0
	for _, waiting := range r.open {
		n += len(waiting)
	}
	return n
}

func (r *receipts) total() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.count
}

// A tide is one measurement: how long receipts took, and what time of processors
// went into it.
type tide struct {
	began    time.Time
	lasted   time.Duration
	took     []time.Duration
	late     int
	lost     int
	programs time.Duration
	database time.Duration
}

func (r *receipts) begin(w *wharf) *tide {
	r.mu.Lock()
	r.took, r.late = nil, 0
	r.mu.Unlock()
	return &tide{began: time.Now(), programs: -w.ofPrograms(), database: -w.ofDatabase()}
}

func (t *tide) finish(w *wharf) {
	t.programs += w.ofPrograms()
	t.database += w.ofDatabase()
	t.lost = w.left()
	w.mu.Lock()
	defer w.mu.Unlock()
	t.took, t.late = slices.Clone(w.took), w.late
	slices.Sort(t.took)
}

// costs says what one piece of work takes of processors.
func (t *tide) costs(pieces int) string {
	if t.programs < 0 {
		return "one program was not there to the end"
	}
	each := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 / float64(max(1, pieces)) }
	return fmt.Sprintf("of processors %.1f ms each in the programs, %.1f ms in PostgreSQL", each(t.programs), each(t.database))
}

func (w *wharf) report(n int, what string, t *tide, flood bool) {
	w.Helper()
	if len(t.took) == 0 || t.lost > 0 {
		w.Fatalf("%d programs, %s: %d replies got a receipt, %d none", n, what, len(t.took), t.lost)
	}
	at := func(percent int) time.Duration { return t.took[(len(t.took)-1)*percent/100].Round(time.Millisecond) }
	through := ""
	if flood {
		through = fmt.Sprintf(", %.0f a second", float64(len(t.took))/t.lasted.Seconds())
	}
	w.Logf("%d programs, %s: %d replies%s; to the receipt %v (median), %v (99th percentile), %v (longest), %d over a second; %s",
		n, what, len(t.took), through, at(50), at(99), at(100), t.late, t.costs(len(t.took)))
}

// ofPrograms returns the processor time of the programs that run.
func (w *wharf) ofPrograms() (sum time.Duration) {
	for _, p := range w.programs {
		if p.process != nil {
			d, _ := processorTime(strconv.Itoa(p.process.Process.Pid))
			sum += d
		}
	}
	return sum
}

// ofDatabase returns that of the server's processes that run.
func (w *wharf) ofDatabase() (sum time.Duration) {
	var pid string
	if err := w.db.QueryRow(`SELECT pg_backend_pid()::text`).Scan(&pid); err != nil {
		w.Fatal(err)
	}
	_, server := processorTime(pid)
	all, _ := filepath.Glob("/proc/[0-9]*")
	for _, path := range all {
		if d, parent := processorTime(filepath.Base(path)); parent == server && server != "" {
			sum += d
		}
	}
	return sum
}

// processorTime returns how long a process has run on processors, and its parent;
// nothing where there is no /proc.
func processorTime(pid string) (d time.Duration, parent string) {
	stat, err := os.ReadFile("/proc/" + pid + "/stat")
	if err != nil {
		return 0, ""
	}
	_, rest, _ := strings.Cut(string(stat), ") ")
	fields := strings.Fields(rest)
	if len(fields) < 13 {
		return 0, ""
	}
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	const tick = 10 * time.Millisecond // USER_HZ is 100 on Linux
	return time.Duration(user+system) * tick, fields[1]
}
