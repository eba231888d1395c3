package audio

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"time"

	"ledgerline/routine/sound"
	"ledgerline/studio"
)

// An Ear measures recordings in a process of its own, one for each. A file comes
// from anybody, and a decoder that is led astray by one can loop, or take all
// memory, which no recover in our own process mends. The other process is this
// program again: it knows no setting and no token, has a processor for a minute
// and memory for a recording of the greatest length ([Serve]), and ends with its
// file.
type Ear struct {
	program string
	args    []string
	lim     Limits
}

var _ studio.Ear = (*Ear)(nil)

// NewEar returns an Ear whose processes are made by running program with args,
// which must call [Serve].
func NewEar(lim Limits, program string, args ...string) *Ear { return &Ear{program, args, lim} }

// A request is the line before the file.
type request struct {
	Ask    sound.Ask
	Limits Limits
}

// A reply is what comes back.
type reply struct {
	Heard  sound.Measurement
	Times  []float64
	Why    studio.Unfit
	Reason string
}

// The bounds of a process.
const (
	processTime   = time.Minute
	longestAnswer = 4 << 20   // bytes
	memory        = 768 << 20 // bytes; five minutes take about 300 MB
)

// Hear implements [studio.Ear].
func (e *Ear) Hear(ctx context.Context, file []byte, ask sound.Ask) (sound.Measurement, error) {
	head, err := json.Marshal(request{ask, e.lim})
	if err != nil {
		return sound.Measurement{}, fmt.Errorf("asking for a measurement: %w", err)
	}
	dir, err := os.MkdirTemp("", "ledgerline-")
	if err != nil {
		return sound.Measurement{}, fmt.Errorf("making room for a measurement: %w", err)
	}
	defer os.RemoveAll(dir)
	ctx, done := context.WithTimeout(ctx, processTime)
	defer done()
	cmd := exec.CommandContext(ctx, e.program, e.args...)
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "TMPDIR=" + dir, "GOMAXPROCS=1", "GOTRACEBACK=none"}
	cmd.Dir = dir
	cmd.WaitDelay = time.Second
	cmd.Stdin = io.MultiReader(bytes.NewReader(head), bytes.NewReader([]byte{'\n'}), bytes.NewReader(file))
	out := &capped{most: longestAnswer}
	cmd.Stdout = out
	if err := cmd.Start(); err != nil {
		return sound.Measurement{}, fmt.Errorf("starting to listen: %w", err)
	}
	return answerOf(ctx, cmd.Wait(), out.Bytes())
}

// answerOf reads what a process left. One that died took its file with it: the
// file is not to be tried again.
func answerOf(ctx context.Context, ended error, out []byte) (sound.Measurement, error) {
	var r reply
	switch {
	case ended != nil && errors.Is(ctx.Err(), context.Canceled):
		return sound.Measurement{}, ctx.Err()
	case ended != nil:
		return sound.Measurement{}, &studio.UnfitError{Why: studio.Damaged, Err: ended}
	}
	if err := json.Unmarshal(out, &r); err != nil {
		return sound.Measurement{}, &studio.UnfitError{Why: studio.Damaged, Err: err}
	}
	if r.Why != "" {
		return sound.Measurement{}, &studio.UnfitError{Why: r.Why, Err: errors.New(r.Reason)}
	}
	r.Heard.Times = r.Times
	return r.Heard, nil
}

// Serve is the other process: it shuts itself in, measures the one file that it
// is sent, answers and is done.
func Serve(ctx context.Context, in io.Reader, out io.Writer) error {
	if err := shutIn(); err != nil {
		return fmt.Errorf("setting limits to listening: %w", err)
	}
	r := bufio.NewReader(in)
	line, err := r.ReadBytes('\n')
	if err != nil {
		return fmt.Errorf("reading what to listen for: %w", err)
	}
	var asked request
	if err := json.Unmarshal(line, &asked); err != nil {
		return fmt.Errorf("reading what to listen for: %w", err)
	}
	file, err := io.ReadAll(io.LimitReader(r, int64(asked.Limits.Bytes)+1))
	if err != nil {
		return fmt.Errorf("reading a recording: %w", err)
	}
	var answer reply
	heard, err := Decode(ctx, file, asked.Limits)
	var u *Unfit
	switch {
	case errors.As(err, &u):
		answer.Why, answer.Reason = u.Why, u.reason
	case err != nil:
		return err
	default:
		answer.Heard = sound.Measure(heard.Samples, heard.Rate, asked.Ask)
		answer.Times = answer.Heard.Times
	}
	return json.NewEncoder(out).Encode(answer)
}

// A capped buffer takes so much and fails on more.
type capped struct {
	bytes.Buffer
	most int
}

func (c *capped) Write(b []byte) (int, error) {
	if c.Len()+len(b) > c.most {
		return 0, errors.New("the answer is too long")
	}
	return c.Buffer.Write(b)
}
