package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestWrongCalls says in one sentence what is wrong with what was asked for on the
// command line, and what to write instead.
func TestWrongCalls(t *testing.T) {
	dir := t.TempDir()
	none, file := filepath.Join(dir, "none.db"), filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ args, want string }{
		{"export mina --database " + none, "there is no such file; name the one of bot run"},
		{"deeds harbour-row --database " + none, "there is no such file; name the one of bot run"},
		{"erase mina --for-good --database " + none, "there is no such file; name the one of bot run"},
		{"check " + dir + "/nowhere", "1 to put right:\n" + dir + "/nowhere: there is no such folder"},
		{"check " + file, "there is no such folder; write the name of the folder that studio.yaml is in"},
		{"demo --files " + dir, "that is there already, and nothing in it is written over"},
	} {
		_, err := bot(t, "", strings.Fields(tt.args)...)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("bot %s: %v, want %q", tt.args, err, tt.want)
		}
	}
}
