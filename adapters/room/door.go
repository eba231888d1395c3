package room

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/bcrypt"
	"golang.org/x/time/rate"

	"ledgerline/studio"
)

const (
	sessionLife = 7 * 24 * time.Hour // since it was last used
	maxSessions = 1000

	// The shortest password; NIST SP 800-63B asks for no less than 8 (from
	// memory). The longest is what bcrypt takes.
	minPassword, maxPassword = 8, 72

	// Tries at a password: some at once, then one in a while, for each address
	// and for each member; and so many compared at the same time for all of them, since
	// comparing is meant to be slow.
	knocksAtOnce = 5
	memberKnocks = 20
	knockEvery   = 15 * time.Second
	maxLimiters  = 10_000
	atOnce       = 2

	// What whoever is inside may ask for, and a member may write: some at once, then
	// so many a second.
	asksAtOnce, askRate     = 400, 50
	writesAtOnce, writeRate = 30, 1
)

// CheckPassword reports whether s can be a room's password: a bcrypt hash, or a
// text of at least 8 characters and at most 72 bytes.
func CheckPassword(s string) error {
	if isHash(s) {
		return nil
	}
	if utf8.RuneCountInString(s) < minPassword {
		return fmt.Errorf("the room's password is too short: use at least %d characters", minPassword)
	}
	if len(s) > maxPassword {
		return fmt.Errorf("the room's password is too long: use at most %d bytes", maxPassword)
	}
	return nil
}

func isHash(s string) bool {
	_, err := bcrypt.Cost([]byte(s))
	return err == nil
}

// A session is a browser that somebody signed in with.
type session struct {
	guest guest
	until time.Time
}

// A door lets people in who know a password. The zero hash is an open door.
// Sessions and tries are timed by the machine's own clock, whatever the clock of
// the studios shows.
type door struct {
	hash    []byte // of the host's password
	nobodys string // a hash that no password has
	now     func() time.Time
	busy    chan struct{} // holds one for each password being compared

	mu       sync.Mutex
	sessions map[[sha256.Size]byte]session // by the hash of the token
	limiters map[string]*rate.Limiter      // by what they count: of a network, a member, a guest
}

func newDoor(password string) (*door, error) {
	d := &door{
		now:      time.Now,
		busy:     make(chan struct{}, atOnce),
		sessions: map[[sha256.Size]byte]session{},
		limiters: map[string]*rate.Limiter{},
	}
	if password == "" {
		return d, nil
	}
	if err := CheckPassword(password); err != nil {
		return nil, err
	}
	nobodys, err := bcrypt.GenerateFromPassword([]byte(rand.Text()), bcrypt.DefaultCost)
	if err != nil {
		return nil, fmt.Errorf("hashing a password of nobody: %w", err)
	}
	d.nobodys = string(nobodys)
	if isHash(password) {
		d.hash = []byte(password)
		return d, nil
	}
	hash, err := bcrypt.GenerateFromPassword([]byte(password), bcrypt.DefaultCost)
	if err != nil {
		return nil, fmt.Errorf("hashing the room's password: %w", err)
	}
	d.hash = hash
	return d, nil
}

func (d *door) locked() bool { return d.hash != nil }

// inside lets a request through to do if it may be inside.
func (d *door) inside(do action) action {
	return func(w http.ResponseWriter, req *http.Request) error {
		if !d.locked() {
			return do(w, req)
		}
		g, ok := d.knows(req)
		if !ok {
			return fail(http.StatusUnauthorized, "room.sign-in", nil)
		}
		if !d.may("asks "+string(g), askRate, asksAtOnce) {
			return errTooMuch
		}
		return do(w, req.WithContext(withGuest(req.Context(), g)))
	}
}

// knows returns whose session a request belongs to, if to any, and prolongs it.
func (d *door) knows(req *http.Request) (g guest, ok bool) {
	cookie, err := req.Cookie(cookieName(req))
	if err != nil {
		return "", false
	}
	key := sha256.Sum256([]byte(cookie.Value))
	d.mu.Lock()
	defer d.mu.Unlock()
	s, ok := d.sessions[key]
	if !ok || !d.now().Before(s.until) {
		delete(d.sessions, key)
		return "", false
	}
	s.until = d.now().Add(sessionLife)
	d.sessions[key] = s
	return s.guest, true
}

// end ends the sessions of a guest.
func (d *door) end(g guest) {
	d.mu.Lock()
	defer d.mu.Unlock()
	maps.DeleteFunc(d.sessions, func(_ [sha256.Size]byte, s session) bool { return s.guest == g })
}

// open begins a session of a guest and returns its token.
func (d *door) open(g guest) string {
	token := rand.Text()
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.sessions) >= maxSessions {
		d.dropOldest()
	}
	d.sessions[sha256.Sum256([]byte(token))] = session{g, d.now().Add(sessionLife)}
	return token
}

func (d *door) dropOldest() {
	var oldest [sha256.Size]byte
	var first time.Time
	for key, s := range d.sessions {
		if first.IsZero() || s.until.Before(first) {
			oldest, first = key, s.until
		}
	}
	delete(d.sessions, oldest)
}

var errTooMuch = fail(http.StatusTooManyRequests, "room.too-much", nil)

// may reports whether one more may be done of what name counts. Behind an open
// door, where only this machine is, everything may.
func (d *door) may(name string, perSecond rate.Limit, atOnce int) bool {
	if !d.locked() {
		return true
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.limiter(name, perSecond, atOnce).AllowN(d.now(), 1)
}

// mayKnock reports whether one more try at a password is allowed: from where the
// request came, one address, or the network of 64 bits for IPv6; and at the
// member who is tried, wherever it comes from.
func (d *door) mayKnock(req *http.Request, in signing) bool {
	var from netip.Prefix
	if peer, err := netip.ParseAddrPort(req.RemoteAddr); err == nil {
		addr := peer.Addr().Unmap().WithZone("")
		from, _ = addr.Prefix(min(addr.BitLen(), 64))
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if !d.limiter(from.String(), rate.Every(knockEvery), knocksAtOnce).AllowN(d.now(), 1) {
		return false
	}
	return in.Member == "" || d.limiter("member "+string(in.Member), rate.Every(knockEvery), memberKnocks).AllowN(d.now(), 1)
}

// limiter returns what counts under a name.
func (d *door) limiter(name string, often rate.Limit, atOnce int) *rate.Limiter {
	k := d.limiters[name]
	if k == nil {
		if len(d.limiters) >= maxLimiters {
			clear(d.limiters)
		}
		k = rate.NewLimiter(often, atOnce)
		d.limiters[name] = k
	}
	return k
}

// compare reports whether a hash is that of a password.
func (d *door) compare(ctx context.Context, hash, password string) (bool, error) {
	select {
	case d.busy <- struct{}{}:
		defer func() { <-d.busy }()
	case <-ctx.Done():
		return false, ctx.Err()
	}
	if len(password) > maxPassword {
		return false, nil
	}
	err := bcrypt.CompareHashAndPassword([]byte(hash), []byte(password))
	if err != nil && !errors.Is(err, bcrypt.ErrMismatchedHashAndPassword) {
		return false, fmt.Errorf("comparing a password: %w", err)
	}
	return err == nil, nil
}

// A signing is what is typed at the door.
type signing struct {
	Member   studio.MemberID `json:"member"`   // empty: the host
	Password string          `json:"password"` // hers, or with a code the one she chooses
	Code     string          `json:"code"`     // of an invitation
}

func (r *Room) signIn(w http.ResponseWriter, req *http.Request) error {
	var in signing
	if err := readJSON(req, &in); err != nil {
		return err
	}
	if !r.door.locked() {
		return writeJSON(w, struct{}{})
	}
	in.Member, in.Code = studio.MemberID(strings.ToLower(strings.TrimSpace(string(in.Member)))), strings.TrimSpace(in.Code)
	if !r.door.mayKnock(req, in) {
		w.Header().Set("Retry-After", fmt.Sprint(int(knockEvery.Seconds())))
		return fail(http.StatusTooManyRequests, "room.too-many-tries", nil)
	}
	g, err := r.enter(req, in)
	if err != nil {
		return err
	}
	r.door.endOf(req)
	http.SetCookie(w, sessionCookie(req, r.door.open(g), int(sessionLife.Seconds())))
	return writeJSON(w, struct{}{})
}

func (r *Room) signOut(w http.ResponseWriter, req *http.Request) error {
	r.door.endOf(req)
	http.SetCookie(w, sessionCookie(req, "", -1))
	return writeJSON(w, struct{}{})
}

// endOf ends the session that a request belongs to, if to any.
func (d *door) endOf(req *http.Request) {
	if cookie, err := req.Cookie(cookieName(req)); err == nil {
		d.mu.Lock()
		defer d.mu.Unlock()
		delete(d.sessions, sha256.Sum256([]byte(cookie.Value)))
	}
}

// sessionCookie is sent back to the room only, read by no script, and over TLS
// only if it was given over TLS.
func sessionCookie(req *http.Request, token string, maxAge int) *http.Cookie {
	return &http.Cookie{
		Name: cookieName(req), Value: token, Path: "/", MaxAge: maxAge,
		HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: overTLS(req),
	}
}

func overTLS(req *http.Request) bool {
	return req.TLS != nil || req.Header.Get("X-Forwarded-Proto") == "https"
}

// cookieName returns the name of the session's cookie. Under the prefix of RFC
// 6265bis no neighbour in the same domain can set it for somebody.
func cookieName(req *http.Request) string {
	if overTLS(req) {
		return "__Host-room"
	}
	return "room"
}
