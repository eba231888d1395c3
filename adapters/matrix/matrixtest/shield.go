package matrixtest

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"
)

// Shield returns an address of the homeserver at which it does not notice that
// whoever asks goes away in the middle of a request. That interrupts a statement
// in its database, which it may not get over ("interrupted (9)"), and is no
// concern of who tests another program.
func (h *Homeserver) Shield(t testing.TB) (url string) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		body, err := io.ReadAll(req.Body)
		if err != nil {
			return
		}
		resp, err := Forward(h.URL, req, body)
		if err != nil {
			panic(http.ErrAbortHandler)
		}
		defer resp.Body.Close()
		for k, v := range resp.Header {
			w.Header()[k] = v
		}
		w.WriteHeader(resp.StatusCode)
		io.Copy(w, resp.Body)
	}))
	t.Cleanup(func() { server.Listener.Close() }) // and not wait for who is asked to wait
	return server.URL
}

// Forward asks the server at an address what a request with a body asks, to the
// end whatever becomes of the request.
func Forward(to string, req *http.Request, body []byte) (*http.Response, error) {
	on, err := http.NewRequestWithContext(context.Background(), req.Method, to+req.URL.RequestURI(), bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	on.Header = req.Header.Clone()
	on.Header.Del("Accept-Encoding")
	return http.DefaultTransport.RoundTrip(on)
}
