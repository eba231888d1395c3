package discord

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"ledgerline/studio"
)

func TestFetch(t *testing.T) {
	files := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Authorization") != "" {
			t.Error("the token was sent to the server of files")
		}
		switch r.URL.Path {
		case "/voice.ogg":
			w.Write([]byte("OggS and so on"))
		case "/elsewhere":
			http.Redirect(w, r, "http://127.0.0.1:1/", http.StatusFound)
		case "/large":
			w.Write(make([]byte, 2000))
		case "/trouble":
			http.Error(w, "no", http.StatusBadGateway)
		default:
			http.NotFound(w, r)
		}
	}))
	defer files.Close()
	b := &Bot{cfg: Config{API: files.URL + "/api/v10", Token: "secret"}}
	fetch := func(ref string, size int64) ([]byte, error) {
		return b.Fetch(context.Background(), studio.File{Ref: ref, Size: size}, 1000)
	}
	if data, err := fetch(files.URL+"/voice.ogg", 14); string(data) != "OggS and so on" || err != nil {
		t.Errorf("%q, %v", data, err)
	}
	for name, c := range map[string]struct {
		ref       string
		size      int64
		permanent bool
		large     bool
	}{
		"gone":                {files.URL + "/gone.ogg", 0, true, false},
		"trouble":             {files.URL + "/trouble", 0, false, false},
		"another host":        {"https://example.org/voice.ogg", 0, true, false},
		"nobody there":        {"http://127.0.0.1:1/voice.ogg", 0, true, false},
		"no address":          {"https://cdn.discordapp.com/%zz", 0, true, false},
		"in the clear":        {"http://cdn.discordapp.com/voice.ogg", 0, true, false},
		"sent elsewhere":      {files.URL + "/elsewhere", 0, false, false},
		"too large, said":     {files.URL + "/voice.ogg", 1001, false, true},
		"too large, not said": {files.URL + "/large", 0, false, true},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := fetch(c.ref+"?ex=1&hm=5ea1ed", c.size)
			var send *studio.SendError
			permanent := errors.As(err, &send) && send.Permanent
			var unfit *studio.UnfitError
			large := errors.As(err, &unfit) && unfit.Why == studio.TooLarge
			if err == nil || permanent != c.permanent || large != c.large {
				t.Errorf("%v: permanent %v, too large %v; want %v, %v", err, permanent, large, c.permanent, c.large)
			}
			if err != nil && (strings.Contains(err.Error(), "secret") || strings.Contains(err.Error(), "hm=5ea1")) {
				t.Errorf("%v tells the token, or how to come by the file", err)
			}
		})
	}
}
