package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A digest of any week, as text, HTML and PDF, and the database as it was.
func TestDigestCommand(t *testing.T) {
	folder, database := invented(t)
	_, before := posted(t, database)
	week := []string{"digest", "--studio", folder, "--database", database, "--week", "2026-W10"}
	text, err := bot(t, "", week...)
	if err != nil || !strings.HasPrefix(text, "Week 10, Monday 2 March to Sunday 8 March") || !strings.Contains(text, "Who moved") {
		t.Fatalf("%v: %s", err, text)
	}
	html, pdf := filepath.Join(t.TempDir(), "d.html"), filepath.Join(t.TempDir(), "d.pdf")
	if out, err := bot(t, "", append(week, "--html", html, "--pdf", pdf, "--paper", "Letter")...); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for file, begins := range map[string]string{html: "<!doctype html>", pdf: "%PDF-"} {
		if body, err := os.ReadFile(file); err != nil || !strings.HasPrefix(string(body), begins) || len(body) < 20_000 {
			t.Errorf("%s: %v, %d bytes", file, err, len(body))
		}
	}
	span, err := bot(t, "", "digest", "--studio", folder, "--database", database, "--from", "2020-01-01", "--to", "2020-01-31")
	if err != nil || !strings.Contains(span, "nothing to say") {
		t.Errorf("before there was anybody: %v, %s", err, span)
	}
	for _, wrong := range [][]string{{"--week", "2026-W54"}, {"--week", "soon"}, {"--from", "2026-03-04", "--to", "2026-03-01"}, {"--from", "2026-03-04"}} {
		if _, err := bot(t, "", append([]string{"digest", "--studio", folder, "--database", database}, wrong...)...); err == nil || !strings.Contains(err.Error(), "write") && !strings.Contains(err.Error(), "date") {
			t.Errorf("%v: %v", wrong, err)
		}
	}
	if _, after := posted(t, database); after.Waiting != before.Waiting || after.Messages != before.Messages {
		t.Errorf("making digests has changed the store from %+v to %+v", before, after)
	}
}
