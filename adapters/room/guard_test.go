package room

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"
)

func TestCheckListen(t *testing.T) {
	const good = "long enough"
	tests := []struct {
		addr, password string
		want           string // part of the error; empty: none
	}{
		{"127.0.0.1:8080", "", ""},
		{"127.8.9.1:8080", "", ""},
		{"[::1]:8080", "", ""},
		{"[::ffff:127.0.0.1]:8080", "", ""},
		{"localhost:0", "", ""},
		{"room.localhost:80", "", ""},
		{":8080", "", "set a password"},
		{"0.0.0.0:8080", "", "set a password"},
		{"[::]:8080", "", "set a password"},
		{"192.0.2.7:8080", "", "set a password"},
		{"localhost.example.org:8080", "", "set a password"},
		{"0.0.0.0:8080", good, ""},
		{"127.0.0.1:8080", good, ""},
		{"0.0.0.0:8080", "q7!x", "at least 8"},
		{"127.0.0.1:8080", "q7!x", "at least 8"},
		{"0.0.0.0:8080", strings.Repeat("x", 73), "at most 72"},
		{"8080", good, "host:port"},
	}
	for _, tt := range tests {
		err := CheckListen(tt.addr, tt.password)
		if tt.want == "" && err != nil || tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)) {
			t.Errorf("CheckListen(%q, %q) = %v, want %q", tt.addr, tt.password, err, tt.want)
		}
		if err != nil && tt.password != "" && strings.Contains(err.Error(), tt.password) {
			t.Errorf("CheckListen(%q, …) tells the password: %v", tt.addr, err)
		}
	}
}

func TestGuard(t *testing.T) {
	const say = `{"studio":"harbour-row","as":"ada","where":"line","text":"done"}`
	tests := []struct {
		name    string
		method  string
		path    string
		headers []string
		want    int
	}{
		{"own page", "POST", "/api/say", nil, 200},
		{"loopback by number", "GET", "/api/room", []string{"Host", "127.0.0.1:8080"}, 200},
		{"loopback of IPv6", "GET", "/api/room", []string{"Host", "[::1]:8080", "RemoteAddr", "[::1]:50000"}, 200},
		{"loopback without a port", "GET", "/api/room", []string{"Host", "[::1]"}, 200},
		{"a name that was pointed here", "GET", "/api/room", []string{"Host", "rebound.example.org:8080"}, 403},
		{"even for the page", "GET", "/", []string{"Host", "rebound.example.org"}, 403},
		{"a name that only begins well", "GET", "/api/room", []string{"Host", "localhost.example.org"}, 403},
		{"no host", "GET", "/api/room", []string{"Host", ""}, 403},
		{"another machine", "GET", "/api/room", []string{"RemoteAddr", "192.0.2.1:50000"}, 403},
		{"no sender", "GET", "/api/room", []string{"RemoteAddr", ""}, 403},
		{"another origin", "POST", "/api/say", []string{"Origin", "http://example.org"}, 403},
		{"another port of this machine", "POST", "/api/say", []string{"Origin", "http://localhost:9999"}, 403},
		{"no origin that can be named", "POST", "/api/say", []string{"Origin", "null"}, 403},
		{"another site, by the browser's word", "POST", "/api/say", []string{"Origin", "", "Sec-Fetch-Site", "cross-site"}, 403},
		{"a form", "POST", "/api/say", []string{"Content-Type", "application/x-www-form-urlencoded"}, 415},
		{"a form in disguise", "POST", "/api/say", []string{"Content-Type", "text/plain"}, 415},
		{"no type", "POST", "/api/say", []string{"Content-Type", ""}, 415},
		{"change by GET", "GET", "/api/say", nil, 404},
		{"no such endpoint", "POST", "/api/forget", nil, 405},
		{"no way out of the page's folder", "GET", "/../doc.go", nil, 307},
		{"no such file", "GET", "/doc.go", nil, 404},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := newScene(t, nil)
			got := s.do(t, tt.method, tt.path, say, tt.headers...)
			if got.status != tt.want {
				t.Errorf("status %d, want %d: %s", got.status, tt.want, got.body)
			}
			if (got.status == 200 && tt.path == "/api/say") != (len(s.store.messages()) == 1) {
				t.Errorf("%d messages after status %d", len(s.store.messages()), got.status)
			}
			checkHeaders(t, got.header)
		})
	}
}

func checkHeaders(t *testing.T, h http.Header) {
	t.Helper()
	for name, want := range map[string]string{
		"Content-Security-Policy":      "default-src 'none'",
		"X-Content-Type-Options":       "nosniff",
		"X-Frame-Options":              "DENY",
		"Referrer-Policy":              "no-referrer",
		"Cross-Origin-Resource-Policy": "same-origin",
	} {
		if got := h.Get(name); !strings.Contains(got, want) {
			t.Errorf("header %s is %q, want %q in it", name, got, want)
		}
	}
	if csp := h.Get("Content-Security-Policy"); strings.Contains(csp, "unsafe") {
		t.Errorf("the policy allows something unsafe: %s", csp)
	}
}

const password = "slide and bell"

func locked(c *Config) { c.Password = password }

func TestPasswordWanted(t *testing.T) {
	s := newScene(t, locked)
	for _, path := range []string{"/api/room", "/api/members?studio=harbour-row", "/api/transcript?studio=harbour-row&as=ada&where=line",
		"/api/events?studio=harbour-row&as=ada", "/picture?studio=harbour-row&as=ada&post=x&n=0"} {
		if got := s.do(t, "GET", path, ""); got.status != 401 || strings.Contains(got.body, "Harbour") {
			t.Errorf("GET %s without a session: %d %s", path, got.status, got.body)
		}
	}
	for _, path := range []string{"/api/say", "/api/edit", "/api/delete", "/api/step"} {
		if got := s.do(t, "POST", path, "{}", "Cookie", "room=forged"); got.status != 401 {
			t.Errorf("POST %s with a forged session: %d", path, got.status)
		}
	}
	if got := s.do(t, "GET", "/", "", "RemoteAddr", "192.0.2.1:50000", "Host", "studio.example.org"); got.status != 200 {
		t.Errorf("with a password the page is not shown to another machine: %d", got.status)
	}
}

// signIn returns the cookie that the room gives for the password.
func (s *scene) signIn(t *testing.T, headers ...string) string {
	t.Helper()
	got := s.do(t, "POST", "/api/signin", `{"password":"`+password+`"}`, headers...)
	if got.status != 200 {
		t.Fatalf("signing in: %d %s", got.status, got.body)
	}
	return got.header.Get("Set-Cookie")
}

func TestSignIn(t *testing.T) {
	s := newScene(t, locked)
	if got := s.do(t, "POST", "/api/signin", `{"password":"slide and belt"}`); got.status != 403 || got.header.Get("Set-Cookie") != "" {
		t.Fatalf("a wrong password: %d, cookie %q", got.status, got.header.Get("Set-Cookie"))
	}
	cookie := s.signIn(t)
	for _, want := range []string{"HttpOnly", "SameSite=Strict", "Path=/"} {
		if !strings.Contains(cookie, want) {
			t.Errorf("cookie %q lacks %s", cookie, want)
		}
	}
	if strings.Contains(cookie, "Secure") || !strings.Contains(s.signIn(t, "X-Forwarded-Proto", "https"), "Secure") {
		t.Error("the cookie must be kept to TLS if, and only if, it is given over TLS")
	}
	inside := func() int { return s.do(t, "GET", "/api/room", "", "Cookie", strings.Split(cookie, ";")[0]).status }
	if got := inside(); got != 200 {
		t.Fatalf("with the session: %d", got)
	}
	if got := s.do(t, "POST", "/api/signout", "{}", "Cookie", strings.Split(cookie, ";")[0]); got.status != 200 {
		t.Fatalf("signing out: %d", got.status)
	}
	if got := inside(); got != 401 {
		t.Errorf("after signing out the old cookie still opens: %d", got)
	}
	if strings.Contains(s.log.String(), "slide") {
		t.Errorf("the log tells a password: %s", s.log)
	}
}

func TestSessionEnds(t *testing.T) {
	s := newScene(t, locked)
	now := s.clock.Now()
	s.room.door.now = func() time.Time { return now }
	cookie := strings.Split(s.signIn(t), ";")[0]
	inside := func() int { return s.do(t, "GET", "/api/room", "", "Cookie", cookie).status }
	now = now.Add(sessionLife - 1)
	if got := inside(); got != 200 {
		t.Fatalf("just before its end: %d", got)
	}
	now = now.Add(sessionLife - 1)
	if got := inside(); got != 200 {
		t.Fatalf("using a session must prolong it: %d", got)
	}
	now = now.Add(sessionLife)
	if got := inside(); got != 401 {
		t.Errorf("after its end: %d", got)
	}
}

func TestTooManyTries(t *testing.T) {
	s := newScene(t, locked)
	now := s.clock.Now()
	s.room.door.now = func() time.Time { return now }
	try := func(from string) int {
		return s.do(t, "POST", "/api/signin", `{"password":"wrong and wrong"}`, "RemoteAddr", from).status
	}
	for range knocksAtOnce {
		if got := try("[2001:db8:1:2::a]:1"); got != 403 {
			t.Fatalf("one of the first tries: %d", got)
		}
	}
	if got := try("[2001:db8:1:2::b]:1"); got != 429 {
		t.Errorf("one try more, from the same network: %d", got)
	}
	if got := try("[2001:db8:1:3::a]:1"); got != 403 {
		t.Errorf("a first try from elsewhere: %d", got)
	}
	if got := s.do(t, "POST", "/api/signin", `{"password":"`+password+`"}`, "RemoteAddr", "[2001:db8:1:2::a]:1"); got.status != 429 || got.header.Get("Retry-After") == "" {
		t.Errorf("the right password, one try too late: %d", got.status)
	}
	now = now.Add(knockEvery)
	if got := try("[2001:db8:1:2::a]:1"); got != 403 {
		t.Errorf("after waiting: %d", got)
	}
}

func TestHashedPassword(t *testing.T) {
	hash, err := bcrypt.GenerateFromPassword([]byte(password), bcrypt.MinCost)
	if err != nil {
		t.Fatal(err)
	}
	s := newScene(t, func(c *Config) { c.Password = string(hash) })
	s.signIn(t)
	if got := s.do(t, "POST", "/api/signin", `{"password":"`+string(hash)+`"}`); got.status != 403 {
		t.Errorf("the hash itself opens the door: %d", got.status)
	}
}

func TestNewRefuses(t *testing.T) {
	if _, err := New(Config{}); err == nil {
		t.Error("New without a store succeeded")
	}
}
