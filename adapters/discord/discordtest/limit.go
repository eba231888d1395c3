package discordtest

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// A limit is how many requests of one kind are taken in a time, for each
// channel by itself.
type limit struct {
	method, part string
	n            int
	per          time.Duration
}

// A bucket counts the requests of one kind in one channel.
type bucket struct {
	left  int
	reset time.Time
}

// usual is the limit of all that no test has set.
var usual = limit{n: 1000, per: time.Second}

// Limit has at most n requests taken in a time of those with the method
// (any if empty) and a path that contains part, for each channel by itself.
func (s *Server) Limit(method, part string, n int, per time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.limits = append(s.limits, limit{method, part, n, per})
}

// Halt limits everything for a time.
func (s *Server) Halt(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.halted = time.Now().Add(d)
}

// meter counts a request. It returns the headers that tell of its bucket, and an
// answer if there were too many.
func (s *Server) meter(method, path string) (http.Header, *answer) {
	now := time.Now()
	if now.Before(s.halted) {
		return nil, s.tooMany(s.halted.Sub(now), true, nil)
	}
	kind := usual
	for _, l := range s.limits {
		if (l.method == "" || l.method == method) && strings.Contains(path, l.part) {
			kind = l
		}
	}
	name := method + " " + major(path)
	b := s.buckets[name]
	if b == nil || !now.Before(b.reset) {
		b = &bucket{left: kind.n, reset: now.Add(kind.per)}
		s.buckets[name] = b
	}
	b.left--
	after := b.reset.Sub(now)
	h := http.Header{}
	h.Set("X-RateLimit-Limit", strconv.Itoa(kind.n))
	h.Set("X-RateLimit-Remaining", strconv.Itoa(max(0, b.left)))
	h.Set("X-RateLimit-Reset", fmt.Sprintf("%.3f", float64(b.reset.UnixMilli())/1000))
	h.Set("X-RateLimit-Reset-After", fmt.Sprintf("%.3f", after.Seconds()+0.001))
	h.Set("X-RateLimit-Bucket", fmt.Sprintf("%x", len(name)))
	if b.left >= 0 {
		return h, nil
	}
	if b.left < -1 {
		s.stats.LimitedAgain++
	}
	h.Set("X-RateLimit-Scope", "user")
	return nil, s.tooMany(after, false, h)
}

func (s *Server) tooMany(after time.Duration, global bool, h http.Header) *answer {
	s.stats.Limited++
	if h == nil {
		h = http.Header{}
	}
	if global {
		h.Set("X-RateLimit-Global", "true")
		h.Set("X-RateLimit-Scope", "global")
	}
	h.Set("Retry-After", strconv.Itoa(int(after.Seconds())+1))
	return &answer{status: http.StatusTooManyRequests, header: h, body: map[string]any{
		"message": "You are being rate limited.", "code": 0,
		"retry_after": float64(after.Milliseconds()+1) / 1000, "global": global,
	}}
}

// major returns a path with the ids in it that have no bucket of their own
// taken out.
func major(path string) string {
	parts := strings.Split(strings.Trim(path, "/"), "/")
	for i := 2; i < len(parts); i++ {
		if _, err := strconv.ParseUint(parts[i], 10, 64); err == nil || i > 0 && parts[i-1] == "reactions" || parts[0] == "interactions" {
			parts[i] = "*"
		}
	}
	if parts[0] == "interactions" {
		parts[1] = "*"
	}
	return strings.Join(parts, "/")
}
