package main

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
)

func TestChatsAreThoseThatCanLogIn(t *testing.T) {
	for _, tt := range []struct {
		name string
		set  func(*chatFlags)
		want []studio.Platform
	}{
		{"none", func(*chatFlags) {}, nil},
		{"discord", func(f *chatFlags) { f.Discord.Token = "t" }, []studio.Platform{"discord"}},
		{"both", func(f *chatFlags) {
			f.Discord.Token = "t"
			f.Matrix.Homeserver, f.Matrix.User, f.Matrix.Token = "http://127.0.0.1:1", "@bot:localhost", "t"
		}, []studio.Platform{"discord", "matrix"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var f chatFlags
			tt.set(&f)
			h, err := build(t.Context(), blueprint{
				database: filepath.Join(t.TempDir(), "x.db"), books: map[studio.StudioID]*routine.Catalogue{},
				now: time.Now, log: slog.New(slog.DiscardHandler), chats: &f,
			})
			if err != nil {
				t.Fatal(err)
			}
			defer h.store.Close()
			var got []studio.Platform
			for _, c := range h.chats {
				got = append(got, c.Platform())
			}
			if len(got) != len(tt.want) || len(got) > 0 && got[len(got)-1] != tt.want[len(got)-1] {
				t.Errorf("chats %v, want %v", got, tt.want)
			}
		})
	}
}

// A homeserver that knows no such token: check says what is wrong and what to do.
func TestCheckLooksAtTheChats(t *testing.T) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(http.StatusUnauthorized)
		w.Write([]byte(`{"errcode":"M_UNKNOWN_TOKEN","error":"Unknown token"}`))
	}))
	defer server.Close()
	folder := filepath.Join(t.TempDir(), "mine")
	if _, err := bot(t, "", "demo", "--files", folder); err != nil {
		t.Fatal(err)
	}
	t.Setenv("LEDGERLINE_MATRIX_TOKEN", "revoked")
	out, err := bot(t, "", "check", folder, "--matrix-homeserver", server.URL, "--matrix-user", "@bot:localhost")
	if err == nil || !strings.Contains(out, "matrix: to do:") || !strings.Contains(out, "in order: Harbour Row Brass") {
		t.Errorf("check with a token that was revoked: %v\n%s", err, out)
	}
}
