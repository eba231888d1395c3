package room

import (
	"fmt"
	"net"
	"net/http"
	"time"

	"golang.org/x/net/netutil"
)

// What one connection may take: a request must arrive and its answer be taken in
// this time, live updates excepted, each of which has as long; and a connection
// that asks nothing is closed.
const (
	headTime  = 10 * time.Second
	bodyTime  = 30 * time.Second
	replyTime = time.Minute
	idleTime  = 2 * time.Minute
	fileTime  = 5 * time.Minute // for a recording, once it is known whose it is

	maxHead        = 16 << 10 // bytes
	maxConnections = 2 * maxPages
)

// Listen opens a listener for a room at addr, with a limit to the connections that
// are open at once.
func Listen(addr string) (net.Listener, error) {
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("opening the room at %s: %w", addr, err)
	}
	return netutil.LimitListener(listener, maxConnections), nil
}

// Server returns a server for a room, which nobody who is slow on purpose holds up.
func Server(r *Room) *http.Server {
	return &http.Server{
		Handler: r, ReadHeaderTimeout: headTime, ReadTimeout: bodyTime, WriteTimeout: replyTime, IdleTimeout: idleTime, MaxHeaderBytes: maxHead,
	}
}

// CheckListen reports whether a room may listen on addr, which is host:port as
// for [net.Listen]: on a loopback address always, on any other only with a
// password. The password itself must be empty or pass [CheckPassword].
func CheckListen(addr, password string) error {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return fmt.Errorf("listen address %q: write host:port, for example 127.0.0.1:8080", addr)
	}
	if password != "" {
		return CheckPassword(password)
	}
	if !isLoopback(host) {
		return fmt.Errorf("listen address %q can be reached from other machines: set a password for the room, or listen on 127.0.0.1", addr)
	}
	return nil
}
