package matrix

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgerline/adapters/matrix/matrixtest"
)

// A front stands between a bot and the homeserver. It checks the bot's requests
// by the API document, and can do what servers and networks do to bots.
//
// It also spares the homeserver of the tests that the bot goes away in the
// middle of a request: that interrupts a statement in its database, which it may
// not get over ("interrupted (9)").
type front struct {
	url  string
	next string // the homeserver

	mu      sync.Mutex
	checked int
	wrong   []string
	fault   func(*http.Request) *fault // asked about every request
	clock   func() time.Time           // by which events are dated; nil: the homeserver's
}

// A fault is what happens to a request instead of its being answered well.
type fault struct {
	passed bool // the homeserver is asked all the same
	status int  // 0: the connection breaks
	body   string
	path   string // not empty: answered well, but under this path
}

// document is the API document, read once.
var document = sync.OnceValues(loadAPI)

func newFront(t testing.TB, h *homeserver) *front {
	t.Helper()
	f := &front{next: h.URL}
	server := httptest.NewServer(f)
	f.url = server.URL
	t.Cleanup(func() {
		server.Listener.Close() // and not wait for who is asked to wait
		f.mu.Lock()
		defer f.mu.Unlock()
		for _, wrong := range f.wrong {
			t.Errorf("request against the API document: %s", wrong)
		}
		if parts, _ := document(); parts != nil && f.checked == 0 {
			t.Error("no request was checked")
		}
	})
	return f
}

// breaks has something happen to requests from now on; nil: nothing.
func (f *front) breaks(how func(*http.Request) *fault) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.fault = how
}

func (f *front) ServeHTTP(w http.ResponseWriter, req *http.Request) {
	body, err := io.ReadAll(req.Body)
	if err != nil {
		return
	}
	f.check(req, body)
	f.mu.Lock()
	how := f.fault
	f.mu.Unlock()
	var broken *fault
	if how != nil {
		broken = how(req)
	}
	if broken != nil && broken.path != "" {
		req.URL.Path, req.URL.RawPath = broken.path, ""
		broken = nil
	}
	if broken == nil || broken.passed {
		resp, err := matrixtest.Forward(f.next, req, body)
		if err != nil {
			panic(http.ErrAbortHandler)
		}
		defer resp.Body.Close()
		if broken == nil {
			f.pass(w, resp)
			return
		}
	}
	if broken.status == 0 {
		panic(http.ErrAbortHandler)
	}
	w.WriteHeader(broken.status)
	io.WriteString(w, broken.body)
}

// dated is when the homeserver took an event.
var dated = regexp.MustCompile(`"origin_server_ts":\d+`)

// pass gives an answer on, with its events dated by the front's clock if it has
// one.
func (f *front) pass(w http.ResponseWriter, resp *http.Response) {
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		panic(http.ErrAbortHandler)
	}
	if f.clock != nil {
		body = dated.ReplaceAll(body, fmt.Appendf(nil, `"origin_server_ts":%d`, f.clock().UnixMilli()))
	}
	for k, v := range resp.Header {
		w.Header()[k] = v
	}
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(resp.StatusCode)
	w.Write(body)
}

func (f *front) check(req *http.Request, body []byte) {
	parts, err := document()
	f.mu.Lock()
	defer f.mu.Unlock()
	if err != nil {
		f.wrong = append(f.wrong, err.Error())
	}
	if parts == nil {
		return
	}
	f.checked++
	if wrong := checkRequest(parts, req, body); wrong != "" {
		f.wrong = append(f.wrong, req.Method+" "+req.URL.Path+": "+wrong)
	}
}

// renamed gives transaction ids other names, as if the server had forgotten what
// it was sent under them.
func renamed(req *http.Request) *fault {
	if !sending(req, "") {
		return nil
	}
	return &fault{path: req.URL.Path + "-renamed"}
}

// sending reports whether a request sends an event of some type; "": of any.
func sending(req *http.Request, kind string) bool {
	return req.Method == http.MethodPut && strings.Contains(req.URL.Path, "/send/"+kind)
}
