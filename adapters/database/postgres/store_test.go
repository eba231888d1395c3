package postgres

import (
	"flag"
	"os"
	"strings"
	"testing"

	"ledgerline/adapters/database/postgres/postgrestest"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

func TestMain(m *testing.M) {
	// Each check of a property makes a database of its own, which takes a while.
	if err := flag.Set("rapid.checks", "15"); err != nil {
		panic(err)
	}
	code := m.Run()
	postgrestest.Stop()
	os.Exit(code)
}

func openStore(t testing.TB, address string) *Store {
	t.Helper()
	s, err := Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil && !strings.Contains(err.Error(), "terminat") {
			t.Error(err)
		}
	})
	return s
}

// TestStore runs the suite that every store must pass.
func TestStore(t *testing.T) {
	var open []*Store
	studiotest.Store(t, func(t *testing.T) studio.Store {
		s := openStore(t, postgrestest.Database(t))
		if open = append(open, s); len(open) > 3 { // those before it are done with
			if err := open[0].Close(); err != nil {
				t.Error(err)
			}
			open = open[1:]
		}
		return s
	})
}
