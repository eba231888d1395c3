package room

import (
	"fmt"
	"net"
)

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
