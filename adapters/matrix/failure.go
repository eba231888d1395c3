package matrix

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"sync"
	"time"

	"maunium.net/go/mautrix"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// advice says what a person must do.
func advice(id string) words.Phrase {
	return words.Phrase{ID: id, With: words.With{"variable": TokenVariable, "password": PasswordVariable, "recovery": RecoveryVariable}}
}

var (
	lostKeys   = studio.Finding{What: advice("matrix.new-keys"), Do: advice("matrix.send-again")}
	unverified = studio.Finding{What: advice("matrix.unverified"), Do: advice("matrix.verify")}
)

// sendError says what a failure means for the next attempt. What is not known to
// be for good may be tried again.
func sendError(doing string, err error) error {
	var said *studio.SendError
	if err == nil || errors.Is(err, context.Canceled) || errors.As(err, &said) {
		return err
	}
	e := &studio.SendError{Err: fmt.Errorf("%s: %w", doing, err)}
	var answer mautrix.HTTPError
	if !errors.As(err, &answer) || answer.Response == nil {
		return e
	}
	if answer.IsStatus(http.StatusTooManyRequests) {
		e.After, e.Everywhere = waitOf(answer), true
		return e
	}
	e.Blocked = blockedBy(answer)
	e.Permanent = e.Blocked.ID == "" && refused(answer)
	return e
}

// blockedBy returns what a person must do about an answer, if anything.
func blockedBy(answer mautrix.HTTPError) words.Phrase {
	switch {
	case answer.IsStatus(http.StatusUnauthorized), errors.Is(answer, mautrix.MUserDeactivated):
		return advice("matrix.token")
	case errorCode(answer) == "M_CONSENT_NOT_GIVEN":
		return advice("matrix.terms")
	case errors.Is(answer, mautrix.MForbidden) && isLogin(answer):
		return advice("matrix.token")
	case errors.Is(answer, mautrix.MForbidden), errors.Is(answer, mautrix.MNotFound):
		return advice("matrix.room")
	}
	return words.Phrase{}
}

func isLogin(answer mautrix.HTTPError) bool {
	return answer.Request != nil && answer.Request.URL.Path == "/_matrix/client/v3/login"
}

func errorCode(answer mautrix.HTTPError) string {
	if answer.RespError == nil {
		return ""
	}
	return answer.RespError.ErrCode
}

// refused reports whether the server will never take that request. An answer
// that is not in the server's words comes from something before it.
func refused(answer mautrix.HTTPError) bool {
	status := answer.Response.StatusCode
	return status >= 400 && status < 500 && answer.RespError != nil &&
		status != http.StatusRequestTimeout && status != http.StatusConflict &&
		errorCode(answer) != "M_RESOURCE_LIMIT_EXCEEDED"
}

// longestWait is the longest that a server can make us wait by one answer.
const longestWait = time.Hour

// waitOf returns how long the server wants us to wait: by the header that the
// specification names since version 1.10, or by the older field of the body.
func waitOf(answer mautrix.HTTPError) time.Duration {
	if n, err := strconv.Atoi(answer.Response.Header.Get("Retry-After")); err == nil && n > 0 {
		return min(time.Duration(min(n, 1<<20))*time.Second, longestWait)
	}
	if answer.RespError != nil {
		if ms, ok := answer.RespError.ExtraData["retry_after_ms"].(float64); ok && ms >= 1 {
			return min(time.Duration(min(ms, 1<<30))*time.Millisecond, longestWait)
		}
	}
	return time.Second
}

// A hold keeps requests back for as long as the server asked.
type hold struct {
	now func() time.Time

	mu    sync.Mutex
	until time.Time
}

// mind looks at the outcome of a request.
func (h *hold) mind(err error) {
	var answer mautrix.HTTPError
	if !errors.As(err, &answer) || !answer.IsStatus(http.StatusTooManyRequests) {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if until := h.now().Add(waitOf(answer)); until.After(h.until) {
		h.until = until
	}
}

// left returns how long requests are still kept back.
func (h *hold) left() time.Duration {
	h.mu.Lock()
	defer h.mu.Unlock()
	return max(0, h.until.Sub(h.now()))
}

// once tells each thing once.
type once struct {
	mu   sync.Mutex
	said map[string]bool
}

func (o *once) first(what string) bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.said[what] {
		return false
	}
	o.said[what] = true
	return true
}

// again lets a thing be told anew, since it was well meanwhile.
func (o *once) again(what string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	delete(o.said, what)
}

// tell tells what a person must know.
func (b *Bot) tell(ctx context.Context, f studio.Finding) {
	if !b.told.first(f.What.String()) {
		return
	}
	b.cfg.Log.Warn("matrix: a person must see to something", "do", f.Do)
	if b.cfg.Tell != nil {
		b.cfg.Tell(ctx, f)
	}
}
