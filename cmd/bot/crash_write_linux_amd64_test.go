package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"unsafe"

	"ledgerline/routine"
)

// usualWrites is how many of the writes are struck where no number of kills is
// asked for.
const usualWrites = 3

// TestKilledAtAWrite stops the program short at one write to the database after
// another, over a short conversation: at every one of them if so many kills are
// asked for, else at some, evenly spread. A write is a call of the kernel that
// writes to one of the database's files, flushes, cuts or removes it; the
// program dies when it is about to make it.
func TestKilledAtAWrite(t *testing.T) { strikeWrites(t, false) }

// TestPowerCutAtAWrite does the same, and takes back from the files what was not
// flushed: all of it, or of each block at random.
func TestPowerCutAtAWrite(t *testing.T) { strikeWrites(t, true) }

func strikeWrites(t *testing.T, power bool) {
	date := today()
	all := &tracer{}
	want := converseShortly(t, date, all, &result{})
	if all.refused {
		t.Skip("this system lets no process trace another")
	}
	total := int(all.writes.Load())
	kills := min(total, killsWanted(t, usualWrites))
	var res result
	var adding sync.Mutex
	t.Run("all", func(t *testing.T) {
		for i := range kills {
			at := 1 + i*total/kills
			t.Run(fmt.Sprintf("write %d", at), func(t *testing.T) {
				t.Parallel()
				one := result{}
				defer func() {
					adding.Lock()
					defer adding.Unlock()
					res.add(&one)
				}()
				tr := all.another(at, power)
				one.hold(t, want, converseShortly(t, date, tr, &one))
				if tr.struck.Load() {
					one.writes++
				}
			})
		}
	})
	if today() != date {
		t.Fatal("midnight went by; run the test again")
	}
	t.Logf("of %d writes to the database, the program was killed at %d, once in each conversation; lost: %d, doubled: %d",
		total, res.writes, res.lost, res.doubled)
	if res.writes < kills*9/10 {
		t.Errorf("only %d of %d kills took place", res.writes, kills)
	}
}

// converseShortly has one of everything happen while the program is traced, on
// a file of its own, from the first start on or from the morning after.
func converseShortly(t *testing.T, date routine.Date, tr *tracer, res *result) *record {
	t.Helper()
	p := newProgram(t, writeFolder(t, date), filepath.Join(t.TempDir(), "studio.db"))
	p.begin, p.rest = tr.begin, tr.settled.Wait
	p.mortal = true
	p.settings = []string{"GOGC=off"} // it does not live long enough to tidy up
	c := newTalk(p, 1, res)
	if tr.night == nil {
		c.start()
		c.stop()
		leaveNight(t, c.database, date)
		tr.night, tr.before = fileOf(t, c.database), tr.writes.Load()
	} else {
		writeFile(t, c.database, tr.night)
	}
	c.start()
	c.awaitMorning()
	for _, s := range []step{
		{as: "ilka", do: "say", text: "1 96 clean, 2 skip, rest done 40m"},
		{as: "ilka", do: "say", text: "1 96 or 92"},
		{as: "ilka", do: "answer", pick: 1},
		{as: "ilka", do: "edit", pick: 0, text: "1 92 shaky, 3 clean"},
		{as: "odile", do: "say", text: "minutes Ilka 60"},
		{as: "tobias", do: "say", text: "stopped after 2, my lip hurts"},
		{as: "tobias", do: "delete", pick: 0},
	} {
		c.turn([]step{s}, nil)
	}
	c.finish()
	return readRecord(t, c.database, date)
}

// A tracer runs a program under the kernel's tracing of calls, counts its
// writes to the database, and kills it at one of them.
type tracer struct {
	strikeAt int64      // which write; 0: none
	disk     *unflushed // what a cut of the power takes back; nil: nothing
	refused  bool

	night  []byte // what a first start and a night leave in the file; nil: there was none yet
	before int64  // how many writes that takes

	writes  atomic.Int64
	struck  atomic.Bool
	settled sync.WaitGroup // until no process is traced, and the disk is what it will be
}

// another returns a tracer for the same conversation over again, that strikes at a
// write. What comes before the night need not be done again if it is not struck.
func (tr *tracer) another(at int, power bool) *tracer {
	one := &tracer{strikeAt: int64(at)}
	if one.strikeAt > tr.before {
		one.night, one.before = tr.night, tr.before
		one.writes.Store(tr.before)
	}
	if power {
		one.disk = &unflushed{kept: map[string][]byte{}, random: rand.New(rand.NewPCG(uint64(at), 2))}
	}
	return one
}

// begin starts a process, traced until it has been struck.
func (tr *tracer) begin(cmd *exec.Cmd) error {
	if tr.refused || tr.struck.Load() {
		return cmd.Start()
	}
	cmd.SysProcAttr = &syscall.SysProcAttr{Ptrace: true, Setpgid: true}
	started := make(chan error)
	tr.settled.Go(func() {
		// All that is asked of a traced process must come from one thread.
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := cmd.Start()
		if err == nil {
			err = tr.attach(cmd.Process.Pid)
		}
		if tr.disk != nil {
			clear(tr.disk.kept)
		}
		started <- err
		if err == nil {
			tr.follow(cmd.Process.Pid)
		}
		if tr.disk != nil && tr.struck.Load() {
			tr.disk.takeBack()
		}
	})
	err := <-started
	if err == syscall.EPERM || err == syscall.ENOSYS {
		tr.refused = true
		cmd.SysProcAttr = nil
		return cmd.Start()
	}
	return err
}

// attach has the kernel stop the process at each call, and its future threads.
func (tr *tracer) attach(pid int) error {
	const exitKill = 0x100000 // PTRACE_O_EXITKILL
	var status syscall.WaitStatus
	if _, err := syscall.Wait4(pid, &status, 0, nil); err != nil {
		return err
	}
	if err := syscall.PtraceSetOptions(pid, syscall.PTRACE_O_TRACESYSGOOD|syscall.PTRACE_O_TRACECLONE|exitKill); err != nil {
		return err
	}
	return syscall.PtraceSyscall(pid, 0)
}

// follow lets the process and its threads go on from stop to stop until it ends.
func (tr *tracer) follow(pid int) {
	known := map[int]bool{pid: true}
	for {
		var status syscall.WaitStatus
		tid, err := syscall.Wait4(-pid, &status, syscall.WALL, nil)
		if err == syscall.EINTR {
			continue
		}
		if err != nil || tid == pid && (status.Exited() || status.Signaled()) {
			return
		}
		if !status.Stopped() {
			continue // a thread has ended
		}
		signal := 0
		switch s := status.StopSignal(); {
		case s == syscall.SIGTRAP|0x80:
			tr.meet(pid, tid)
		case s == syscall.SIGTRAP:
		case s == syscall.SIGSTOP && !known[tid]: // a thread has begun
		default:
			signal = int(s)
		}
		known[tid] = true
		syscall.PtraceSyscall(tid, signal) // fails if it was killed meanwhile
	}
}

// meet looks at the call that a thread is about to make or has made.
func (tr *tracer) meet(pid, tid int) {
	c, ok := callOf(tid)
	if !ok {
		return
	}
	file, ok := databaseFile(pid, c)
	if !ok {
		return
	}
	if tr.writes.Add(1) == tr.strikeAt {
		tr.struck.Store(true)
		syscall.Kill(pid, syscall.SIGKILL)
		return
	}
	if tr.disk != nil && !tr.struck.Load() {
		tr.disk.meet(file, c.number)
	}
}

// A call is what PTRACE_GET_SYSCALL_INFO says of one, as far as it is used here;
// see ptrace(2).
type call struct {
	op       uint8 // 1: about to be made
	_        [3]uint8
	arch     uint32
	ip, sp   uint64
	number   uint64
	argument [6]uint64
}

// callOf returns the call that a stopped thread is about to make.
func callOf(tid int) (call, bool) {
	const getSyscallInfo = 0x420e
	var c call
	_, _, errno := syscall.RawSyscall6(syscall.SYS_PTRACE, getSyscallInfo, uintptr(tid),
		unsafe.Sizeof(c), uintptr(unsafe.Pointer(&c)), 0, 0)
	return c, errno == 0 && c.op == 1
}

// databaseFile returns the file of the database that a call changes or removes,
// if it does so to one.
func databaseFile(pid int, c call) (name string, ok bool) {
	switch c.number {
	case syscall.SYS_UNLINK:
		name = textOf(pid, c.argument[0])
	case syscall.SYS_PWRITE64, syscall.SYS_WRITE, syscall.SYS_FTRUNCATE, syscall.SYS_FSYNC, syscall.SYS_FDATASYNC:
		name, _ = os.Readlink(fmt.Sprintf("/proc/%d/fd/%d", pid, c.argument[0]))
	}
	return name, strings.Contains(name, "studio.db")
}

// textOf returns the text at an address of a process.
func textOf(pid int, address uint64) string {
	memory, err := os.Open(fmt.Sprintf("/proc/%d/mem", pid))
	if err != nil {
		return ""
	}
	defer memory.Close()
	text := make([]byte, 4096)
	n, _ := memory.ReadAt(text, int64(address))
	text, _, _ = bytes.Cut(text[:n], []byte{0})
	return string(text)
}
