package matrix

import (
	"context"
	"os"
	"testing"
	"time"

	"ledgerline/adapters/matrix/matrixtest"
)

func TestMain(m *testing.M) {
	code := m.Run()
	matrixtest.Stop()
	os.Exit(code)
}

// A homeserver is one with the people of the tests on it.
type homeserver struct{ *matrixtest.Homeserver }

// serve returns a running homeserver, with limits on requests or without.
func serve(t testing.TB, limited bool) *homeserver {
	t.Helper()
	return &homeserver{matrixtest.Serve(t, limited)}
}

const testPassword = matrixtest.Password

// within returns a context of the test that ends after a while.
func within(t testing.TB, d time.Duration) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), d)
	t.Cleanup(cancel)
	return ctx
}
