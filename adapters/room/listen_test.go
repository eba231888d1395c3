package room

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

// hurried serves a room with little patience and returns its address.
func hurried(t *testing.T, s *scene) string {
	t.Helper()
	listener, err := Listen("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	server := Server(s.room)
	for name, most := range map[string]time.Duration{
		"head": server.ReadHeaderTimeout, "body": server.ReadTimeout, "answer": server.WriteTimeout, "idle": server.IdleTimeout,
	} {
		if most <= 0 || most > 5*time.Minute {
			t.Errorf("the %s may take %v", name, most)
		}
	}
	server.ReadHeaderTimeout, server.ReadTimeout, server.WriteTimeout, server.IdleTimeout = 100*time.Millisecond, 200*time.Millisecond, 300*time.Millisecond, 200*time.Millisecond
	go server.Serve(listener)
	t.Cleanup(func() { server.Close() })
	return listener.Addr().String()
}

// Whoever sends slowly, or too large a head, is cut off and not waited for.
func TestSlowAndLargeRequests(t *testing.T) {
	addr := hurried(t, newScene(t, nil))
	say := "POST /api/say HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 90\r\n\r\n{"
	for _, tt := range []struct{ name, send, want string }{
		{"a head that does not end", "GET /api/room HTTP/1.1\r\nHost: localhost\r\n", ""},
		{"a body that does not come", say, "408"},
		{"nothing after an answer", "GET / HTTP/1.1\r\nHost: localhost\r\n\r\n", "200"},
		{"a large head", "GET / HTTP/1.1\r\nHost: localhost\r\nX-Large: " + strings.Repeat("x", 64<<10) + "\r\n\r\n", "431"},
		{"many heads", "GET / HTTP/1.1\r\nHost: localhost\r\n" + strings.Repeat("X-More: x\r\n", 10_000) + "\r\n", "431"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			conn, err := net.Dial("tcp", addr)
			if err != nil {
				t.Fatal(err)
			}
			defer conn.Close()
			conn.SetDeadline(time.Now().Add(10 * time.Second))
			fmt.Fprint(conn, tt.send)
			got, err := io.ReadAll(conn) // until the room ends the connection
			if ne, ok := err.(net.Error); ok && ne.Timeout() {
				t.Fatalf("the connection was not ended; the answer: %s", got)
			}
			status := strings.Fields(string(got) + " none none")[1]
			if tt.want != "" && len(got) > 0 && status != tt.want {
				t.Errorf("answered %s, want %s", status, tt.want)
			}
		})
	}
}

// Live updates go on for longer than any other request may take.
func TestLiveUpdatesOutlastTheLimits(t *testing.T) {
	s := newScene(t, nil)
	resp, err := http.Get("http://" + hurried(t, s) + "/api/events?studio=harbour-row&as=ada")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	time.Sleep(time.Second)
	s.room.hub.changed(lineOfAda)
	got := make(chan string, 1)
	go func() {
		lines := bufio.NewScanner(resp.Body)
		for lines.Scan() {
			if strings.Contains(lines.Text(), "changed") {
				got <- lines.Text()
			}
		}
		close(got)
	}()
	select {
	case line := <-got:
		if line == "" {
			t.Error("the live updates were cut off")
		}
	case <-time.After(10 * time.Second):
		t.Error("no news after a second of live updates")
	}
}

// Whoever is inside can't keep the program busy, nor write for others.
func TestTooMuchAtOnce(t *testing.T) {
	s := invited(t)
	now := s.clock.Now()
	s.room.door.now = func() time.Time { return now }
	_, ada := s.knock(t, "", "valve oil 7", "adascode1")
	_, ilo := s.knock(t, "", "valve oil 8", "iloscode1")
	write := func(cookie, as string) int {
		return s.do(t, "POST", "/api/say", `{"studio":"harbour-row","as":"`+as+`","where":"line","text":"done"}`, "Cookie", cookie).status
	}
	for range writesAtOnce + 10 {
		if got := write(ada, "ilo"); got != 403 && got != 429 {
			t.Fatalf("writing as somebody else: %d", got)
		}
	}
	for n := range writesAtOnce {
		if got := write(ada, "ada"); got != 200 {
			t.Fatalf("message %d: %d", n+1, got)
		}
	}
	if got := write(ada, "ada"); got != 429 {
		t.Errorf("one message too many: %d", got)
	}
	if got := write(ilo, "ilo"); got != 200 {
		t.Errorf("a message of somebody else meanwhile: %d", got)
	}
	now = now.Add(time.Second)
	if got := write(ada, "ada"); got != 200 {
		t.Errorf("a message after a while: %d", got)
	}
	look := func(cookie string) int { return s.do(t, "GET", "/api/room", "", "Cookie", cookie).status }
	for range asksAtOnce {
		look(ada)
	}
	if got := look(ada); got != 429 {
		t.Errorf("one request too many: %d", got)
	}
	if got := look(ilo); got != 200 {
		t.Errorf("a request of somebody else meanwhile: %d", got)
	}
}

// A session is new with each sign-in, which ends the one before it in the same
// browser; over TLS no neighbour in the domain can have set its cookie.
func TestSessionIsNew(t *testing.T) {
	s := newScene(t, locked)
	name := func(cookie string) string { return strings.Split(cookie, ";")[0] }
	planted := "room=0000000000000000000000000"
	first := name(s.signIn(t, "Cookie", planted))
	if first == planted {
		t.Error("the session is one that somebody else chose")
	}
	second := name(s.signIn(t, "Cookie", first))
	for cookie, want := range map[string]int{planted: 401, first: 401, second: 200} {
		if got := s.do(t, "GET", "/api/room", "", "Cookie", cookie).status; got != want {
			t.Errorf("with %s…: %d, want %d", cookie[:8], got, want)
		}
	}
	safe := s.signIn(t, "X-Forwarded-Proto", "https")
	if !strings.HasPrefix(safe, "__Host-room=") || strings.Contains(safe, "Domain") {
		t.Errorf("over TLS the cookie is %q", safe)
	}
	value := strings.TrimPrefix(name(safe), "__Host-")
	if got := s.do(t, "GET", "/api/room", "", "X-Forwarded-Proto", "https", "Cookie", value).status; got != 401 {
		t.Errorf("over TLS a cookie that anybody may have set opens: %d", got)
	}
}

// A recording may take longer than words, once its first line has come.
func TestRecordingOutlastsTheLimits(t *testing.T) {
	s := newScene(t, nil)
	body, send := io.Pipe()
	go func() {
		fmt.Fprintln(send, `{"studio":"harbour-row","as":"ada","where":"line","file":"take.wav"}`)
		for range 6 {
			time.Sleep(100 * time.Millisecond)
			fmt.Fprint(send, "RIFF")
		}
		send.Close()
	}()
	resp, err := http.Post("http://"+hurried(t, s)+"/api/record", "application/octet-stream", body)
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if all := s.store.messages(); resp.StatusCode != 200 || len(all) != 1 || all[0].Files[0].Size != 24 {
		t.Errorf("status %d, %d messages; want the recording", resp.StatusCode, len(all))
	}
}
