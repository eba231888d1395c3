package room

import (
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"net/http"
	"net/netip"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/bcrypt"
	"golang.org/x/time/rate"
)

const (
	cookieName  = "room"
	sessionLife = 7 * 24 * time.Hour // since it was last used
	maxSessions = 1000

	// The shortest password; NIST SP 800-63B asks for no less than 8 (from
	// memory). The longest is what bcrypt takes.
	minPassword, maxPassword = 8, 72

	// Tries at the password: some at once, then one in a while, for each
	// address; and so many compared at the same time for all of them, since
	// comparing is meant to be slow.
	knocksAtOnce = 5
	knockEvery   = 15 * time.Second
	maxKnockers  = 10_000
	atOnce       = 2
)

// CheckPassword reports whether s can be a room's password: a bcrypt hash, or a
// text of at least 8 characters and at most 72 bytes.
func CheckPassword(s string) error {
	if _, err := bcrypt.Cost([]byte(s)); err == nil {
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

// A door lets people in who know the password. The zero hash is an open door.
// Sessions and tries are timed by the machine's own clock, whatever the clock of
// the studios shows.
type door struct {
	hash []byte
	now  func() time.Time
	busy chan struct{} // holds one for each password being compared

	mu       sync.Mutex
	sessions map[[sha256.Size]byte]time.Time // until when, by the hash of the token
	knockers map[netip.Prefix]*rate.Limiter
}

func newDoor(password string) (*door, error) {
	d := &door{
		now:      time.Now,
		busy:     make(chan struct{}, atOnce),
		sessions: map[[sha256.Size]byte]time.Time{},
		knockers: map[netip.Prefix]*rate.Limiter{},
	}
	if password == "" {
		return d, nil
	}
	if err := CheckPassword(password); err != nil {
		return nil, err
	}
	if _, err := bcrypt.Cost([]byte(password)); err == nil {
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
		if d.locked() && !d.knows(req) {
			return fail(http.StatusUnauthorized, "Sign in with the room's password.")
		}
		return do(w, req)
	}
}

// knows reports whether a request belongs to a session, and prolongs it.
func (d *door) knows(req *http.Request) bool {
	cookie, err := req.Cookie(cookieName)
	if err != nil {
		return false
	}
	key := sha256.Sum256([]byte(cookie.Value))
	d.mu.Lock()
	defer d.mu.Unlock()
	until, ok := d.sessions[key]
	if !ok || !d.now().Before(until) {
		delete(d.sessions, key)
		return false
	}
	d.sessions[key] = d.now().Add(sessionLife)
	return true
}

// open begins a session and returns its token.
func (d *door) open() string {
	token := rand.Text()
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.sessions) >= maxSessions {
		d.dropOldest()
	}
	d.sessions[sha256.Sum256([]byte(token))] = d.now().Add(sessionLife)
	return token
}

func (d *door) dropOldest() {
	var oldest [sha256.Size]byte
	var first time.Time
	for key, until := range d.sessions {
		if first.IsZero() || until.Before(first) {
			oldest, first = key, until
		}
	}
	delete(d.sessions, oldest)
}

// mayKnock reports whether one more try at the password is allowed from where a
// request came from: one address, or the network of 64 bits for IPv6.
func (d *door) mayKnock(req *http.Request) bool {
	var from netip.Prefix
	if peer, err := netip.ParseAddrPort(req.RemoteAddr); err == nil {
		addr := peer.Addr().Unmap().WithZone("")
		from, _ = addr.Prefix(min(addr.BitLen(), 64))
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	knocker := d.knockers[from]
	if knocker == nil {
		if len(d.knockers) >= maxKnockers {
			clear(d.knockers)
		}
		knocker = rate.NewLimiter(rate.Every(knockEvery), knocksAtOnce)
		d.knockers[from] = knocker
	}
	return knocker.AllowN(d.now(), 1)
}

// compare reports whether the password is right.
func (d *door) compare(req *http.Request, password string) (bool, error) {
	select {
	case d.busy <- struct{}{}:
		defer func() { <-d.busy }()
	case <-req.Context().Done():
		return false, req.Context().Err()
	}
	if len(password) > maxPassword {
		return false, nil
	}
	err := bcrypt.CompareHashAndPassword(d.hash, []byte(password))
	if err != nil && !errors.Is(err, bcrypt.ErrMismatchedHashAndPassword) {
		return false, fmt.Errorf("comparing the room's password: %w", err)
	}
	return err == nil, nil
}

func (r *Room) signIn(w http.ResponseWriter, req *http.Request) error {
	var in struct {
		Password string `json:"password"`
	}
	if err := readJSON(req, &in); err != nil {
		return err
	}
	if !r.door.locked() {
		return writeJSON(w, struct{}{})
	}
	if !r.door.mayKnock(req) {
		w.Header().Set("Retry-After", fmt.Sprint(int(knockEvery.Seconds())))
		return fail(http.StatusTooManyRequests, "Too many tries at the password; wait a minute and try again.")
	}
	right, err := r.door.compare(req, in.Password)
	if err != nil {
		return err
	}
	if !right {
		r.cfg.Log.Warn("wrong password for the room")
		return fail(http.StatusForbidden, "That is not the room's password.")
	}
	http.SetCookie(w, sessionCookie(req, r.door.open(), int(sessionLife.Seconds())))
	return writeJSON(w, struct{}{})
}

func (r *Room) signOut(w http.ResponseWriter, req *http.Request) error {
	if cookie, err := req.Cookie(cookieName); err == nil {
		r.door.mu.Lock()
		delete(r.door.sessions, sha256.Sum256([]byte(cookie.Value)))
		r.door.mu.Unlock()
	}
	http.SetCookie(w, sessionCookie(req, "", -1))
	return writeJSON(w, struct{}{})
}

// sessionCookie is sent back to the room only, read by no script, and over TLS
// only if it was given over TLS.
func sessionCookie(req *http.Request, token string, maxAge int) *http.Cookie {
	return &http.Cookie{
		Name: cookieName, Value: token, Path: "/", MaxAge: maxAge,
		HttpOnly: true, SameSite: http.SameSiteStrictMode,
		Secure: req.TLS != nil || req.Header.Get("X-Forwarded-Proto") == "https",
	}
}
