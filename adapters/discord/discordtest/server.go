package discordtest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// An Exchange is one request and what it was answered.
type Exchange struct {
	Method, Path string // the path with its query, after /api/v10
	Request      *http.Request
	Sent         []byte
	Status       int
	Header       http.Header
	Answer       []byte
	At           time.Time
}

// A Server is a Discord with one bot. Its methods may be called from any
// goroutine.
type Server struct {
	web *httptest.Server

	now func() time.Time

	mu       sync.Mutex
	lastID   uint64
	token    string
	bot, app User
	content  bool // the application may read the text of messages
	endpoint any  // interactions endpoint; nil: none

	users    map[string]*User
	guilds   map[string]*guild
	channels map[string]*channel
	lines    map[string]*channel // private ones, by user
	nonces   map[string]*Message // by channel and nonce
	commands []map[string]any

	pending   map[string]*Interaction // by token
	sessions  map[string]*session
	links     map[*link]bool // connections that are open
	heartbeat time.Duration
	shards    int   // that a bot must have at least; 0: 1
	refuse    []int // codes for the next identifications and resumes
	noAck     bool
	stats     Stats

	buckets map[string]*bucket
	limits  []limit
	faults  []*fault
	halted  time.Time // everything is limited until
	watch   func(Exchange)
}

// Stats count what the bot did.
type Stats struct {
	Requests, Identifies, Resumes, Heartbeats int
	Histories                                 int // pages of a channel's messages given
	Limited                                   int // requests answered 429
	LimitedAgain                              int // of them, those sent while the bot knew of the limit
}

// New starts a server whose clock is that of this machine. Close ends it.
func New() *Server { return NewAt(time.Now) }

// NewAt starts a server with a clock of its own, by which messages are dated. It
// still waits in real time.
func NewAt(now func() time.Time) *Server {
	s := &Server{
		now: now, token: "token-of-the-bot", content: true, heartbeat: 41250 * time.Millisecond,
		users: map[string]*User{}, guilds: map[string]*guild{}, channels: map[string]*channel{}, lines: map[string]*channel{},
		nonces: map[string]*Message{}, pending: map[string]*Interaction{}, sessions: map[string]*session{}, links: map[*link]bool{},
		buckets: map[string]*bucket{},
	}
	s.bot = User{ID: s.newID(), Name: "ledgerline", Bot: true}
	s.app = User{ID: s.newID(), Name: "Ledgerline"}
	s.users[s.bot.ID] = &s.bot
	s.web = httptest.NewServer(s)
	return s
}

// Close cuts all connections and ends the server.
func (s *Server) Close() {
	s.Sever()
	s.web.Close()
}

// API is the address of the REST interface, with its version.
func (s *Server) API() string { return s.web.URL + "/api/v10" }

// Root is the address of the REST interface without its version.
func (s *Server) Root() string { return s.web.URL + "/api" }

// Token is the token that the server accepts.
func (s *Server) Token() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.token
}

// Bot returns the bot's account.
func (s *Server) Bot() User { return s.bot }

// Stats returns what the bot did so far.
func (s *Server) Stats() Stats {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.stats
}

// Watch has fn called with every exchange, in the order of their ends.
func (s *Server) Watch(fn func(Exchange)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.watch = fn
}

// newID returns an id made of the time, higher than all before. The caller holds
// mu, or is New.
func (s *Server) newID() string {
	id := uint64(s.now().UnixMilli()-1420070400000) << 22
	s.lastID = max(s.lastID+1, id)
	return strconv.FormatUint(s.lastID, 10)
}

// ServeHTTP implements [http.Handler].
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if strings.HasPrefix(r.URL.Path, "/gateway") {
		s.serveGateway(w, r)
		return
	}
	body, _ := io.ReadAll(r.Body)
	r.Body = io.NopCloser(bytes.NewReader(body))
	a := s.answer(r, body)
	if a.drop {
		panic(http.ErrAbortHandler)
	}
	for k, v := range a.header {
		w.Header()[k] = v
	}
	raw := a.raw
	if a.body != nil {
		raw, _ = json.Marshal(a.body)
		w.Header().Set("Content-Type", "application/json")
	}
	w.WriteHeader(a.status)
	w.Write(raw)
	s.mu.Lock()
	watch := s.watch
	s.mu.Unlock()
	if watch == nil {
		return
	}
	watch(Exchange{
		Method: r.Method, Path: strings.TrimPrefix(r.URL.RequestURI(), "/api/v10"), Request: r, Sent: body,
		Status: a.status, Header: w.Header().Clone(), Answer: raw, At: time.Now(),
	})
}

// An answer is what a request is answered.
type answer struct {
	status int
	header http.Header
	body   any
	raw    []byte
	drop   bool // the connection is cut instead
}

func ok(body any) answer { return answer{status: http.StatusOK, body: body} }

func nothing() answer { return answer{status: http.StatusNoContent} }

// failed answers with an error of the API.
func failed(status, code int, message string) answer {
	return answer{status: status, body: map[string]any{"code": code, "message": message}}
}

// answer does what a request asks for, unless it is limited or set to fail.
func (s *Server) answer(r *http.Request, body []byte) answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stats.Requests++
	path, found := strings.CutPrefix(r.URL.EscapedPath(), "/api/v10")
	if !found {
		return failed(http.StatusBadRequest, 50041, "Invalid API version")
	}
	header, limited := s.meter(r.Method, path)
	if limited != nil {
		return *limited
	}
	f := s.faultFor(r)
	if f != nil && !f.after {
		return f.answer
	}
	a := s.route(r, path, body)
	if f != nil {
		a = f.answer // it was done all the same
	}
	if a.header == nil {
		a.header = http.Header{}
	}
	for k, v := range header {
		a.header[k] = v
	}
	return a
}

func (s *Server) route(r *http.Request, path string, body []byte) answer {
	if token := r.Header.Get("Authorization"); token != "Bot "+s.token && !open(path) {
		return failed(http.StatusUnauthorized, 0, "401: Unauthorized")
	}
	parts := strings.Split(strings.Trim(path, "/"), "/")
	for _, rt := range routes {
		if args, ok := rt.match(r.Method, parts); ok {
			return rt.do(s, request{r, args, body})
		}
	}
	return failed(http.StatusNotFound, 0, "404: Not Found")
}

// open reports whether a path needs no token.
func open(path string) bool {
	return path == "/gateway" || strings.HasPrefix(path, "/interactions/")
}

type request struct {
	*http.Request
	args []string // of the path
	body []byte
}

func (r request) decode(v any) *answer {
	if err := json.Unmarshal(r.body, v); err != nil {
		a := failed(http.StatusBadRequest, 50109, fmt.Sprintf("The request body contains invalid JSON: %v", err))
		return &a
	}
	return nil
}

type route struct {
	method, pattern string // "*" takes one part of the path
	do              func(*Server, request) answer
}

func (rt route) match(method string, parts []string) (args []string, ok bool) {
	want := strings.Split(rt.pattern, "/")
	if method != rt.method || len(want) != len(parts) {
		return nil, false
	}
	for i, w := range want {
		if w == "*" {
			args = append(args, parts[i])
		} else if w != parts[i] {
			return nil, false
		}
	}
	return args, true
}

// A fault makes requests fail.
type fault struct {
	method string
	path   string // part of it
	times  int
	after  bool // the request is carried out first
	answer answer
}

// A Fault is what happens to a request that is set to fail.
type Fault struct {
	Status     int    // of the answer
	Code       int    // of the error in it
	HTML       bool   // the answer is not the API's
	RetryAfter string // header, in seconds
	Drop       bool   // the connection is cut instead
	Done       bool   // the request is carried out first
}

// Fail has the next requests with the method and a path that contains part fail.
func (s *Server) Fail(method, part string, times int, f Fault) {
	a := failed(f.Status, f.Code, http.StatusText(f.Status))
	a.drop = f.Drop
	a.header = http.Header{}
	if f.HTML {
		a.body, a.raw = nil, []byte("<html><body>error</body></html>")
		a.header.Set("Content-Type", "text/html")
	}
	if f.RetryAfter != "" {
		a.header.Set("Retry-After", f.RetryAfter)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = append(s.faults, &fault{method, part, times, f.Done, a})
}

func (s *Server) faultFor(r *http.Request) *fault {
	for _, f := range s.faults {
		if f.times > 0 && f.method == r.Method && strings.Contains(r.URL.Path, f.path) {
			f.times--
			return f
		}
	}
	s.faults = slices.DeleteFunc(s.faults, func(f *fault) bool { return f.times == 0 })
	return nil
}
