package studiotest

import (
	"bytes"
	"io"
	"log/slog"
	"strings"
	"sync"
	"testing"
)

// QuietLog returns a log, at its most talkative, for a chat under test. At the
// test's end the log must hold none of what words then returns: tokens, accounts
// of people, what they have said. Words of fewer than eight bytes are passed over.
func QuietLog(t testing.TB, words func() []string) *slog.Logger {
	var log quietly
	out := io.MultiWriter(&log, t.Output())
	t.Cleanup(func() {
		said := log.String()
		for _, w := range words() {
			if len(w) > 7 && strings.Contains(said, w) {
				t.Errorf("the log holds %q:\n%s", w, said)
			}
		}
	})
	return slog.New(slog.NewTextHandler(out, &slog.HandlerOptions{Level: slog.LevelDebug}))
}

// A quietly keeps what is written into it.
type quietly struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (q *quietly) Write(b []byte) (int, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.text.Write(b)
}

func (q *quietly) String() string {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.text.String()
}
