package reply_test

import (
	"flag"
	"os"
	"testing"
)

// TestMain lets the tests that draw at random draw more often than rapid does unless the
// command line says how often.
func TestMain(m *testing.M) {
	flag.Parse()
	said := false
	flag.Visit(func(f *flag.Flag) { said = said || f.Name == "rapid.checks" })
	if !said {
		if err := flag.Set("rapid.checks", "2000"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
