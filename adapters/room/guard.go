package room

import (
	"mime"
	"net"
	"net/http"
	"net/netip"
	"strings"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// maxBody is the longest request body in bytes: the longest message with every
// character escaped, and the ids around it.
const maxBody = 128 << 10

// policy is the content security policy: nothing but the room's own files, no
// markup made from strings, in nobody's frame.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; " +
	"connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'; " +
	"require-trusted-types-for 'script'; trusted-types 'none'"

// guard turns away what must not reach any endpoint and sets the headers that
// hold for every answer.
func (r *Room) guard(next http.Handler) http.Handler {
	var origin http.CrossOriginProtection
	return r.answer(func(w http.ResponseWriter, req *http.Request) error {
		setHeaders(w.Header())
		kind, most := "application/json", int64(maxBody)
		if req.URL.Path == "/api/record" {
			kind, most = "application/octet-stream", maxBody+studio.MaxRecording
		}
		switch {
		case !r.door.locked() && !fromThisMachine(req):
			return fail(http.StatusForbidden, "room.no-password", nil)
		case origin.Check(req) != nil:
			return fail(http.StatusForbidden, "room.not-from-here", nil)
		case req.Method == http.MethodPost && !is(req, kind):
			return fail(http.StatusUnsupportedMediaType, "room.misused", words.With{"what": "bodies are " + kind})
		}
		req.Body = http.MaxBytesReader(w, req.Body, most)
		next.ServeHTTP(w, req)
		return nil
	})
}

func setHeaders(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=(self)")
	h.Set("Cache-Control", "no-store")
}

// is reports whether a request's body is of a kind that no page elsewhere can
// send without asking first.
func is(req *http.Request, kind string) bool {
	said, _, err := mime.ParseMediaType(req.Header.Get("Content-Type"))
	return err == nil && said == kind
}

// fromThisMachine reports whether a request came over the loopback and was
// addressed to a name of it. A page elsewhere whose name was made to resolve to
// the loopback still sends its own name as the host.
func fromThisMachine(req *http.Request) bool {
	peer, err := netip.ParseAddrPort(req.RemoteAddr)
	if err != nil || !peer.Addr().Unmap().IsLoopback() {
		return false
	}
	host, _, err := net.SplitHostPort(req.Host)
	if err != nil {
		host = req.Host
	}
	return isLoopback(strings.Trim(host, "[]"))
}

// isLoopback reports whether host is a loopback address or a name that RFC 6761
// reserves for it.
func isLoopback(host string) bool {
	host = strings.ToLower(strings.TrimSuffix(host, "."))
	if host == "localhost" || strings.HasSuffix(host, ".localhost") {
		return true
	}
	addr, err := netip.ParseAddr(host)
	return err == nil && addr.Unmap().IsLoopback()
}
