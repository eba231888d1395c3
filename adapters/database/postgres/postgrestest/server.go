// Package postgrestest runs a PostgreSQL server of the tests' own, from the
// programs on this machine.
package postgrestest

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"ledgerline/migrations"
)

// A server is a PostgreSQL of the tests' own.
type server struct {
	address string // of its databases, up to the name
	stop    func() error
}

var errNone = errors.New("no PostgreSQL on this machine (initdb, postgres)")

// running starts the server, once.
var running = sync.OnceValues(startServer)

// Stop stops the server, if it was started. Whoever asks for a database calls it
// when all tests are over.
func Stop() {
	if started.Load() == 0 {
		return
	}
	if s, err := running(); err == nil {
		if err := s.stop(); err != nil {
			fmt.Fprintln(os.Stderr, err)
		}
	}
}

var started atomic.Int64 // how often a database was asked for

// program finds a program of PostgreSQL's, which Debian keeps out of the way.
func program(name string) (string, error) {
	if path, err := exec.LookPath(name); err == nil {
		return path, nil
	}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if len(found) == 0 {
		return "", errNone
	}
	return found[len(found)-1], nil
}

func startServer() (*server, error) {
	initdb, err1 := program("initdb")
	postgres, err2 := program("postgres")
	if err := errors.Join(err1, err2); err != nil || runtime.GOOS != "linux" {
		return nil, errNone
	}
	dir, err := os.MkdirTemp("", "ledgerline-postgres-")
	if err != nil {
		return nil, err
	}
	as, err := unprivileged(dir)
	if err != nil {
		return nil, err
	}
	data := filepath.Join(dir, "data")
	if out, err := as(exec.Command(initdb, "-D", data, "-U", "bot", "-A", "trust", "-E", "UTF8", "--locale=C", "-N")).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("initdb: %w\n%s", err, out)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	port := l.Addr().(*net.TCPAddr).Port
	l.Close()
	var said bytes.Buffer
	// Nothing of the tests need outlive a cut of the power.
	run := as(exec.Command(postgres, "-D", data, "-h", "127.0.0.1", "-p", strconv.Itoa(port), "-k", dir,
		"-c", "fsync=off", "-c", "max_connections=300", "-c", "shared_buffers=32MB"))
	run.Stderr = &said
	if err := run.Start(); err != nil {
		return nil, err
	}
	s := &server{address: fmt.Sprintf("postgres://bot@127.0.0.1:%d/", port)}
	s.stop = func() error {
		run.Process.Signal(syscall.SIGINT)
		run.Wait()
		return os.RemoveAll(dir)
	}
	for range 100 {
		if err = s.exec("postgres", "SELECT 1"); err == nil {
			return s, s.makeModel()
		}
		time.Sleep(100 * time.Millisecond)
	}
	return nil, fmt.Errorf("the server does not answer: %w\n%s", err, said.String())
}

// unprivileged gives a folder to a user that may run the server, which refuses to
// be run by root, and returns what makes a command that user's.
func unprivileged(dir string) (func(*exec.Cmd) *exec.Cmd, error) {
	if os.Geteuid() != 0 {
		return func(c *exec.Cmd) *exec.Cmd { return c }, nil
	}
	const nobody = 65534
	if err := os.Chown(dir, nobody, nobody); err != nil {
		return nil, err
	}
	return func(c *exec.Cmd) *exec.Cmd {
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
		c.Dir, c.Env = dir, append(os.Environ(), "HOME="+dir)
		return c
	}, nil
}

// exec runs a statement in a database.
func (s *server) exec(database, statement string) error {
	db, err := sql.Open("pgx", s.address+database)
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.Exec(statement)
	return err
}

// Database makes an empty database and returns its address. Without PostgreSQL on
// the machine the test is skipped.
func Database(t testing.TB) string {
	t.Helper()
	n := started.Add(1)
	s, err := running()
	if errors.Is(err, errNone) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprint("d", n)
	if err := s.exec("postgres", `CREATE DATABASE `+name+` TEMPLATE model`); err != nil {
		t.Fatal(err)
	}
	return s.address + name
}

// makeModel makes the database that others are copied from: all steps are taken.
func (s *server) makeModel() error {
	if err := s.exec("postgres", `CREATE DATABASE model`); err != nil {
		return err
	}
	db, err := sql.Open("pgx", s.address+"model")
	if err != nil {
		return err
	}
	defer db.Close()
	p, err := goose.NewProvider(goose.DialectPostgres, db, migrations.Postgres(),
		goose.WithLogger(goose.NopLogger()), goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return err
	}
	_, err = p.Up(context.Background())
	return err
}

// Exec runs a statement in a database.
func Exec(t testing.TB, address, statement string) {
	t.Helper()
	s, err := running()
	if err == nil {
		err = s.exec(address[strings.LastIndex(address, "/")+1:], statement)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// Cut ends the connections to a database: all of them, or those that hold an
// advisory lock.
func Cut(t testing.TB, address string, holdersOnly bool) {
	t.Helper()
	statement := `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid() AND datname = current_database()`
	if holdersOnly {
		statement += ` AND pid IN (SELECT pid FROM pg_locks WHERE locktype = 'advisory' AND granted)`
	}
	Exec(t, address, statement)
}
