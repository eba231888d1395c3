package sqlite

import (
	"path/filepath"
	"testing"

	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

func TestStore(t *testing.T) {
	studiotest.Store(t, func(t *testing.T) studio.Store {
		return openFile(t, filepath.Join(t.TempDir(), "studio.db"))
	})
}

// openFile opens the store in a file until the test ends.
func openFile(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}
