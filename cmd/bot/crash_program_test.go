package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"ledgerline/adapters/database/postgres/postgrestest"
	"ledgerline/adapters/matrix/matrixtest"
)

// workshop is where the program is built.
var workshop string

func TestMain(m *testing.M) {
	if len(os.Args) == 2 && os.Args[1] == "listen" { // as an ear starts it
		if err := (listenCmd{}).Run(context.Background(), os.Stdin, os.Stdout); err != nil {
			os.Exit(1)
		}
		os.Exit(0)
	}
	dir, err := os.MkdirTemp("", "ledgerline-program-")
	if err != nil {
		panic(err)
	}
	workshop = dir
	code := m.Run()
	matrixtest.Stop()
	postgrestest.Stop()
	os.RemoveAll(dir)
	os.Exit(code)
}

// built builds the program itself, once for all tests that need it, and returns
// its path.
var built = sync.OnceValues(func() (path string, err error) {
	path = filepath.Join(workshop, "bot")
	if runtime.GOOS == "windows" {
		path += ".exe"
	}
	if out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput(); err != nil {
		return "", fmt.Errorf("building the program: %w\n%s", err, out)
	}
	return path, nil
})

// patience is how long anything the program does may take.
const patience = 20 * time.Second

// A program is the real program on one studio folder and one database file,
// started any number of times.
type program struct {
	t        testing.TB
	path     string // of the program; empty: as it is built
	folder   string
	database string
	folders  []string              // further ones
	args     []string              // further ones
	settings []string              // in the environment, as "NAME=value"
	begin    func(*exec.Cmd) error // starts a process
	rest     func()                // waits, after the end of a process, for what follows from it
	mortal   bool                  // may end by itself, and is then started again
	slow     time.Duration         // how long it may take to start, if longer than usual

	process *exec.Cmd
	url     string        // of the room, once it is open
	opened  chan string   // gets the line that says so
	ended   chan struct{} // closed when the process has ended
	said    bytes.Buffer  // its standard error, of all starts
}

func newProgram(t testing.TB, folder, database string) *program {
	if runtime.GOOS == "windows" {
		t.Skip("on Windows no signal asks a program to stop")
	}
	p := &program{t: t, folder: folder, database: database, begin: (*exec.Cmd).Start, rest: func() {}}
	t.Cleanup(func() {
		p.kill()
		if t.Failed() && p.said.Len() > 0 {
			t.Logf("the program on %s said:\n%s", p.database, lastOf(p.said.String(), 4000))
		}
	})
	return p
}

// wantQuiet fails if what the program has said of itself holds a name of a member,
// or words; those that are short or may stand there by chance are passed over.
func wantQuiet(t testing.TB, p *program, words []string) {
	t.Helper()
	said := p.said.String()
	names := []string{"Odile", "Petra"}
	for _, s := range pupils {
		names = append(names, s.Name)
	}
	for _, name := range names {
		if regexp.MustCompile(`\b` + name + `\b`).MatchString(said) {
			t.Errorf("the log names %s", name)
		}
	}
	for _, w := range words {
		for line := range strings.Lines(w) {
			if line = strings.TrimSpace(line); len(line) > 7 && strings.Contains(said, line) {
				t.Errorf("the log holds %q", line)
			}
		}
	}
}

func lastOf(s string, n int) string { return s[max(0, len(s)-n):] }

// launch starts the program and does not wait for its room to open.
func (p *program) launch() {
	p.t.Helper()
	if p.path == "" {
		path, err := built()
		if err != nil {
			p.t.Fatal(err)
		}
		p.path = path
	}
	p.process = exec.Command(p.path, slices.Concat([]string{"run", p.folder}, p.folders, []string{"--database", p.database, "--listen", "127.0.0.1:0"}, p.args)...)
	p.process.Env = append(os.Environ(), p.settings...)
	p.process.Stderr = &p.said
	out, err := p.process.StdoutPipe()
	if err != nil {
		p.t.Fatal(err)
	}
	if err := p.begin(p.process); err != nil {
		p.t.Fatal(err)
	}
	p.url, p.opened, p.ended = "", make(chan string, 1), make(chan struct{})
	go watch(p.process, out, p.rest, p.opened, p.ended)
}

// watch reads the one line that the process says, and waits for its end.
func watch(process *exec.Cmd, out io.Reader, rest func(), opened chan<- string, ended chan<- struct{}) {
	lines := bufio.NewReader(out)
	if line, err := lines.ReadString('\n'); err == nil {
		opened <- line
	}
	io.Copy(io.Discard, lines)
	process.Wait()
	rest()
	close(ended)
}

// open waits until the room is open.
func (p *program) open() error {
	select {
	case line := <-p.opened:
		_, rest, _ := strings.Cut(line, "http://")
		address, _, _ := strings.Cut(rest, "/")
		p.url = "http://" + address + "/"
		return nil
	case <-p.ended:
		return errors.New("the program ended by itself")
	case <-time.After(max(patience, p.slow)):
		return errors.New("the program did not open its room")
	}
}

// start starts the program and waits for its room.
func (p *program) start() {
	p.t.Helper()
	p.launch()
	err := p.open()
	if err != nil && p.mortal {
		p.kill()
		p.launch()
		err = p.open()
	}
	if err != nil {
		p.t.Fatal(err)
	}
}

// revive starts the program again after it gave no answer: it is dead, or about
// to be.
func (p *program) revive() {
	p.t.Helper()
	select {
	case <-p.ended:
	case <-time.After(patience):
		p.t.Fatal("the program runs, but gives no answer")
	}
	p.start()
}

// kill ends the process as a cut of its power would, if it runs.
func (p *program) kill() {
	if p.process == nil {
		return
	}
	p.process.Process.Kill()
	<-p.ended
	p.process, p.url = nil, ""
}

// stop asks the process to end, and waits for it.
func (p *program) stop() {
	p.t.Helper()
	if err := p.process.Process.Signal(syscall.SIGTERM); err != nil && !p.mortal {
		p.t.Fatal(err)
	}
	select {
	case <-p.ended:
	case <-time.After(patience):
		p.t.Fatal("the program did not stop when it was asked to")
	}
	if code := p.process.ProcessState.ExitCode(); code != 0 && !p.mortal {
		p.t.Errorf("the program stopped with exit code %d", code)
	}
	p.process, p.url = nil, ""
}

// refusal runs the program, which must end by itself with a failure, and
// returns what it said.
func refusal(t *testing.T, folder, database string) string {
	t.Helper()
	path, err := built()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	out, err := exec.CommandContext(ctx, path, "run", folder, "--database", database, "--listen", "127.0.0.1:0").CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != 1 {
		t.Fatalf("the program ended with %v, want exit code 1; it said:\n%s", err, out)
	}
	return string(out)
}
