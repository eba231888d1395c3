package metrics

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

// A fakePatient is as well as the test says.
type fakePatient struct {
	health studio.Health
	err    error
}

func (p *fakePatient) Health(context.Context) (studio.Health, error) { return p.health, p.err }

var now = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

func newBoard(t *testing.T, p *fakePatient) *Board {
	t.Helper()
	b, err := New(Config{
		Patient: func() Patient { return p }, Now: func() time.Time { return now },
		Backup: func() time.Time { return now.Add(-time.Hour) },
		Chats:  func() []studio.Platform { return []studio.Platform{"room", "discord"} },
	})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func get(t *testing.T, b *Board, path string) (int, string) {
	t.Helper()
	w := httptest.NewRecorder()
	b.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w.Code, w.Body.String()
}

func TestHealthz(t *testing.T) {
	well := studio.Health{Worked: now.Add(-time.Minute)}
	for name, tt := range map[string]struct {
		patient fakePatient
		status  int
		why     string
	}{
		"well":                   {fakePatient{health: well}, 200, ""},
		"store gone":             {fakePatient{err: errors.New("disk")}, 503, "store"},
		"never went round":       {fakePatient{}, 503, "gone round"},
		"stuck":                  {fakePatient{health: studio.Health{Worked: now.Add(-6 * time.Minute)}}, 503, "gone round"},
		"clock was a year ahead": {fakePatient{health: studio.Health{Worked: now.AddDate(1, 0, 0)}}, 503, "gone round"},
	} {
		status, body := get(t, newBoard(t, &tt.patient), "/healthz")
		var s Standing
		if err := json.Unmarshal([]byte(body), &s); err != nil {
			t.Fatalf("%s: %v in %s", name, err, body)
		}
		if status != tt.status || s.Well != (status == 200) || !strings.Contains(s.Why, tt.why) {
			t.Errorf("%s: %d %s", name, status, body)
		}
		if len(s.Platforms) < 2 {
			t.Errorf("%s: platforms %v", name, s.Platforms)
		}
	}
}

// TestFigures has everything happen once and looks for each figure; and whatever
// is shown must be in the list for those who run the program, and the other way
// round.
func TestFigures(t *testing.T) {
	b := newBoard(t, &fakePatient{health: studio.Health{
		Worked: now, Overdue: 90 * time.Second,
		Backlog: studio.Backlog{Unread: 3, Queues: []studio.Queue{{Platform: "discord", Waiting: 5, Failing: 2, Oldest: now.Add(-time.Minute)}}},
	}})
	b.Heard("discord")
	b.Read(studio.Logged, 2*time.Millisecond)
	b.Sent("discord", studio.ReceiptPost, 3*time.Second)
	b.NotSent("discord", false)
	b.NotSent("discord", true)
	b.Stopped()
	b.Trouble("discord")
	_, page := get(t, b, "/metrics")
	for _, want := range []string{
		`ledgerline_well 1`, `ledgerline_messages_heard_total{platform="discord"} 1`, `ledgerline_last_heard_timestamp_seconds{platform="discord"} 1.7726256e+09`,
		`ledgerline_messages_read_total{verdict="logged"} 1`, `ledgerline_reading_seconds_count 1`, `ledgerline_messages_unread 3`,
		`ledgerline_posts_sent_total{kind="receipt",platform="discord"} 1`, `ledgerline_post_wait_seconds_sum{kind="receipt"} 3`,
		`ledgerline_posts_failed_total{platform="discord"} 2`, `ledgerline_posts_given_up_total{platform="discord"} 1`,
		`ledgerline_posts_waiting{platform="discord"} 5`, `ledgerline_posts_waiting{platform="room"} 0`, `ledgerline_posts_failing{platform="discord"} 2`,
		`ledgerline_posts_oldest_seconds{platform="discord"} 60`, `ledgerline_work_overdue_seconds 90`, `ledgerline_work_stopped_total 1`,
		`ledgerline_chat_trouble_total{platform="discord"} 1`, `ledgerline_last_backup_timestamp_seconds 1.772622e+09`, `go_goroutines `,
	} {
		if !strings.Contains(page, "\n"+want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	shown := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^# TYPE (ledgerline_\w+) `).FindAllStringSubmatch(page, -1) {
		shown[m[1]] = true
	}
	for _, file := range []string{"OPERATING.md", "alerts.yaml"} {
		text, err := os.ReadFile("../../cmd/bot/release/" + file)
		if err != nil {
			t.Fatal(err)
		}
		listed := map[string]bool{}
		for _, name := range regexp.MustCompile(`ledgerline_\w+`).FindAllString(string(text), -1) {
			listed[name] = true
			if !shown[name] {
				t.Errorf("%s speaks of %s, which is not shown", file, name)
			}
		}
		for name := range shown {
			if file == "OPERATING.md" && !listed[name] {
				t.Errorf("%s does not list %s", file, name)
			}
		}
	}
}

func TestNewRefuses(t *testing.T) {
	if _, err := New(Config{}); err == nil {
		t.Error("New without anything succeeded")
	}
}
