package main

import (
	"io"
	"net"
	"net/url"
	"testing"
	"time"
)

// far returns the address of a database that is as far away as another machine is:
// what is sent there arrives a while later, and so does the answer.
func far(t testing.TB, address string, oneWay time.Duration) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	there := u.Host
	u.Host = l.Addr().String()
	go func() {
		for {
			near, err := l.Accept()
			if err != nil {
				return
			}
			away, err := net.Dial("tcp", there)
			if err != nil {
				near.Close()
				continue
			}
			go carry(away, near, oneWay)
			go carry(near, away, oneWay)
		}
	}()
	return u.String()
}

// A parcel is on its way until its time.
type parcel struct {
	data []byte
	due  time.Time
}

// carry writes to one connection what another one brings, a while later, until
// either ends.
func carry(to io.WriteCloser, from io.ReadCloser, delay time.Duration) {
	parcels := make(chan parcel, 1000)
	go func() {
		defer close(parcels)
		for {
			data := make([]byte, 16<<10)
			n, err := from.Read(data)
			if n > 0 {
				parcels <- parcel{data[:n], time.Now().Add(delay)}
			}
			if err != nil {
				return
			}
		}
	}()
	for p := range parcels {
		time.Sleep(time.Until(p.due))
		if _, err := to.Write(p.data); err != nil {
			from.Close()
		}
	}
	to.Close()
}
