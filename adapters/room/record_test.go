package room

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/click"
	"ledgerline/studio"
)

// wavOf returns a WAV file of so many samples of silence.
func wavOf(samples int) []byte {
	k := click.Click{From: routine.Tempo{BPM: 60, Note: routine.Quarter}, Meter: 1, Seconds: 1}
	file := k.WAV()[:44+samples]
	binary.LittleEndian.PutUint32(file[40:], uint32(samples))
	return file
}

func TestRecord(t *testing.T) {
	s := newScene(t, nil)
	const head = `{"studio":"harbour-row","as":"ada","where":"line","text":"1 96 clean","draft":"draft-0001","file":"../take.wav"}`
	send := func(body string, headers ...string) answer {
		return s.do(t, "POST", "/api/record?studio=harbour-row", body, append([]string{"Content-Type", "application/octet-stream"}, headers...)...)
	}
	for range 2 {
		if got := send(head + "\nRIFF\x00\n\xff"); got.status != 200 {
			t.Fatalf("status %d: %s", got.status, got.body)
		}
	}
	all := s.store.messages()
	if len(all) != 1 || all[0].Text != "1 96 clean" || all[0].Files[0].Name != "take.wav" || string(all[0].Files[0].Data) != "RIFF\x00\n\xff" || all[0].Files[0].Size != 7 {
		t.Fatalf("%d messages, the first %+v", len(all), all[0])
	}
	edit := `{"studio":"harbour-row","as":"ada","message":"ada/draft-0001","text":"1 92 clean"}`
	if got := s.do(t, "POST", "/api/edit", edit); got.status != 409 || !strings.Contains(sentence(t, got), "recording") {
		t.Errorf("editing it: %d %s", got.status, got.body)
	}
	with := func(old, new string) string { return strings.Replace(head, old, new, 1) }
	for _, c := range []struct {
		name, body string
		status     int
		says       string
	}{
		{"empty", head + "\n", 400, "empty"},
		{"no line", head, 400, "a line of JSON"},
		{"a line without end", strings.Repeat("x", maxBody+1), 400, "a line of JSON"},
		{"no JSON", "RIFF\n", 400, "JSON object"},
		{"another kind", with("take.wav", "take.exe") + "\nMZ", 415, "no recording"},
		{"no name", with("../take.wav", "") + "\nRIFF", 415, "no recording"},
		{"in the channel", with(`"line"`, `"channel"`) + "\nRIFF", 400, "private line"},
		{"as nobody", with(`"ada"`, `"nobody"`) + "\nRIFF", 404, "no such member"},
		{"too large", head + "\n" + string(make([]byte, studio.MaxRecording+1)), 413, "at most 25 MB"},
		{"far too large", head + "\n" + string(make([]byte, 40<<20)), 413, "at most 25 MB"},
	} {
		if got := send(c.body); got.status != c.status || !strings.Contains(sentence(t, got), c.says) {
			t.Errorf("%s: %d %s, want %d and %q", c.name, got.status, got.body, c.status, c.says)
		}
	}
	if got := send(head+"\nRIFF", "Content-Type", "text/plain"); got.status != 415 {
		t.Errorf("as text: %d", got.status)
	}
	if got := send(head+"\nRIFF", "Origin", "http://elsewhere.example", "Sec-Fetch-Site", "cross-site"); got.status != 403 {
		t.Errorf("from another page: %d", got.status)
	}
	if n := len(s.store.messages()); n != 1 {
		t.Errorf("%d messages, want 1", n)
	}
}

// TestFile: a click's files are for who sees the post, and a recording only for who
// may see what is kept of its student.
func TestFile(t *testing.T) {
	s := newScene(t, nil)
	k := click.Click{From: routine.Tempo{BPM: 96, Note: routine.Quarter}, Meter: 4, Seconds: 4}
	s.store.hearings = map[int64]*studio.Hearing{7: {ID: 7, Member: "ada", Inbox: 3, File: studio.File{ID: "f"}, Keep: studio.Kept}}
	s.store.sounds = map[string][]byte{"3/f": []byte("OggS and so on")}
	for i, to := range []studio.Address{lineOfAda, {Platform: Platform, Account: "odile"}, {Platform: Platform, Account: "ilo"}} {
		s.store.posted(studio.Post{Key: studio.Key(fmt.Sprint("answer/", i)), Kind: studio.AnswerPost, Studio: "harbour-row", To: to, Text: "Here.", Recording: 7}, s.clock.Now())
	}
	s.store.posted(studio.Post{Key: "answer/click", Kind: studio.AnswerPost, Studio: "harbour-row", To: lineOfAda, Text: "A click.", Click: &k}, s.clock.Now())
	get := func(as, post string, n int, headers ...string) answer {
		return s.do(t, "GET", fmt.Sprintf("/file?studio=harbour-row&as=%s&post=post:answer/%s&n=%d", as, post, n), "", headers...)
	}
	wav := get("ada", "click", 0)
	if wav.status != 200 || wav.header.Get("Content-Type") != "audio/wav" || !bytes.Equal([]byte(wav.body), k.WAV()) || !strings.Contains(wav.header.Get("Content-Disposition"), "click.wav") {
		t.Errorf("the click: %d, %v", wav.status, wav.header)
	}
	if got := get("ada", "click", 0, "Range", "bytes=0-3"); got.status != 206 || got.body != "RIFF" {
		t.Errorf("a part of it: %d %q", got.status, got.body)
	}
	if got := get("ada", "click", 1); !strings.HasPrefix(got.body, "MThd") || got.header.Get("Content-Type") != "audio/midi" {
		t.Errorf("the MIDI file: %q", got.body[:4])
	}
	for _, c := range []struct {
		as, post string
		status   int
	}{{"ada", "0", 200}, {"odile", "1", 200}, {"ilo", "2", 404}, {"ilo", "0", 404}, {"odile", "0", 404}} {
		got := get(c.as, c.post, 0)
		if got.status != c.status || got.status == 200 && (got.body != "OggS and so on" || got.header.Get("Content-Type") != "audio/ogg" || got.header.Get("Cache-Control") != "no-store") {
			t.Errorf("the recording for %s on post %s: %d %q %v, want %d", c.as, c.post, got.status, got.body, got.header, c.status)
		}
	}
	s.store.hearings[7].Keep = studio.LetGo
	if got := get("odile", "1", 0); got.status != 404 || !strings.Contains(sentence(t, got), "no longer") {
		t.Errorf("one that was let go: %d %s", got.status, got.body)
	}
	if got := get("ada", "click", 2); got.status != 404 {
		t.Errorf("a file that there is not: %d", got.status)
	}
}
