package discord

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"
)

// A transport sends the library's requests to the API of one bot, and minds the
// limit that Discord sets on all of a bot's requests together, which the
// library does not know from the limit of one route.
type transport struct {
	api  *url.URL
	next http.RoundTripper
	now  func() time.Time

	mu    sync.Mutex
	until time.Time // no request is sent before
}

func newTransport(api string, now func() time.Time) (*transport, error) {
	u, err := url.Parse(strings.TrimSuffix(api, "/"))
	if err != nil || u.Host == "" {
		return nil, fmt.Errorf("discord: %q is no address of an API; write one like %s", api, DefaultAPI)
	}
	return &transport{api: u, next: http.DefaultTransport.(*http.Transport).Clone(), now: now}, nil
}

// RoundTrip implements [http.RoundTripper].
func (t *transport) RoundTrip(req *http.Request) (*http.Response, error) {
	path, ours := strings.CutPrefix(req.URL.EscapedPath(), "/api/v"+discordgo.APIVersion)
	if !ours {
		return nil, fmt.Errorf("request to %s, which is no address of the API", req.URL.Path)
	}
	to, err := t.api.Parse(t.api.EscapedPath() + path)
	if err != nil {
		return nil, err
	}
	to.RawQuery = req.URL.RawQuery
	out := req.Clone(req.Context())
	out.URL, out.Host = to, ""
	resp, err := t.next.RoundTrip(out)
	if err != nil {
		return nil, err
	}
	switch {
	case resp.StatusCode == http.StatusTooManyRequests:
		return t.limited(resp)
	case path == "/gateway" && resp.StatusCode == http.StatusOK:
		return rewritten(resp, version10)
	}
	return resp, nil
}

// wait returns how long no request may be sent.
func (t *transport) wait() time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	return max(0, t.until.Sub(t.now()))
}

func (t *transport) hold(d time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if until := t.now().Add(d); until.After(t.until) {
		t.until = until
	}
}

// limited minds an answer 429. One that does not come from the API itself (a
// proxy before it answers in HTML) holds everything, and is put into the API's
// own words for the library to read.
func (t *transport) limited(resp *http.Response) (*http.Response, error) {
	return rewritten(resp, func(body []byte) []byte {
		var said struct {
			RetryAfter float64 `json:"retry_after"`
			Global     bool    `json:"global"`
		}
		foreign := json.Unmarshal(body, &said) != nil
		if foreign || said.RetryAfter <= 0 {
			said.RetryAfter, _ = strconv.ParseFloat(resp.Header.Get("Retry-After"), 64)
			said.RetryAfter = max(said.RetryAfter, 1)
		}
		if foreign || said.Global || resp.Header.Get("X-RateLimit-Global") != "" || resp.Header.Get("X-RateLimit-Scope") == "global" {
			t.hold(seconds(said.RetryAfter))
		}
		if foreign {
			body = fmt.Appendf(nil, `{"message":"limited","retry_after":%g,"global":true}`, said.RetryAfter)
		}
		return body
	})
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// version10 has the library connect to version 10 of the gateway: what it
// appends to the address, with its own version, falls behind a "#" and so is
// never sent.
func version10(body []byte) []byte {
	var gateway struct {
		URL string `json:"url"`
	}
	if json.Unmarshal(body, &gateway) != nil || gateway.URL == "" {
		return body
	}
	gateway.URL = strings.TrimSuffix(gateway.URL, "/") + "/?v=10&encoding=json#"
	body, _ = json.Marshal(gateway)
	return body
}

// rewritten returns resp with its body changed by fn.
func rewritten(resp *http.Response, fn func([]byte) []byte) (*http.Response, error) {
	body, err := io.ReadAll(io.LimitReader(resp.Body, 1<<20))
	resp.Body.Close()
	if err != nil {
		return nil, err
	}
	body = fn(body)
	resp.Body = io.NopCloser(bytes.NewReader(body))
	resp.ContentLength = int64(len(body))
	return resp, nil
}
