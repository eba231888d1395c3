package room

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// stand is the room with people who use it as the page does.
type stand struct {
	t      *testing.T
	room   *Room
	server *httptest.Server
	serial int
}

func TestConversations(t *testing.T) {
	studiotest.Conversations(t, func(t *testing.T) studio.Store {
		store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "studio.db"))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { store.Close() })
		return store
	}, func(t *testing.T, s studiotest.Setting) studiotest.Stand {
		st := &stand{t: t}
		var err error
		st.room, err = New(Config{
			Store: s.Store, Receiver: s.Receiver, Drawer: plainDrawer{}, Now: s.Now,
			NewID: func() string { st.serial++; return fmt.Sprint("id-", st.serial) },
			Log:   slog.New(slog.DiscardHandler),
		})
		if err != nil {
			t.Fatal(err)
		}
		st.server = httptest.NewServer(st.room)
		t.Cleanup(func() { st.room.Close(); st.server.Close() })
		return st
	})
}

func (s *stand) Chat() studio.Chat { return s.room }

func (s *stand) Account(who string) studio.Account {
	return studio.Account{Platform: Platform, ID: who}
}

func (s *stand) Channel() studio.Address { return studio.Address{Platform: Platform, Channel: "hall"} }

// post sends a request as the page does and returns the id in its answer.
func (s *stand) post(path string, body map[string]any) string {
	s.t.Helper()
	body["studio"] = "harbour"
	text, _ := json.Marshal(body)
	req, _ := http.NewRequest("POST", s.server.URL+"/api/"+path, bytes.NewReader(text))
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Origin", s.server.URL)
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		s.t.Fatal(err)
	}
	defer resp.Body.Close()
	answer, _ := io.ReadAll(resp.Body)
	if resp.StatusCode != http.StatusOK {
		s.t.Fatalf("%s: %s", path, answer)
	}
	var said struct{ ID string }
	if err := json.Unmarshal(answer, &said); err != nil {
		s.t.Fatal(err)
	}
	return said.ID
}

func (s *stand) draft() string {
	s.serial++
	return fmt.Sprintf("draft-%08d", s.serial)
}

func (s *stand) Write(who, text, replyTo string) string {
	return s.post("say", map[string]any{"as": who, "where": "line", "text": text, "reply_to": replyTo, "draft": s.draft()})
}

func (s *stand) Edit(who, id, text string) {
	s.post("edit", map[string]any{"as": who, "message": id, "text": text, "draft": s.draft()})
}

func (s *stand) Delete(who, id string) {
	s.post("delete", map[string]any{"as": who, "message": id})
}

func (s *stand) Talk(who, text string) {
	s.post("say", map[string]any{"as": who, "where": "channel", "text": text, "draft": s.draft()})
}

func (s *stand) Answer(who, post, text string) {
	s.post("say", map[string]any{"as": who, "where": "channel", "text": text, "reply_to": post, "draft": s.draft()})
}

func (s *stand) Name(string, string) bool           { return false }
func (s *stand) Branch(string, string, string) bool { return false }

// Choose says the words of the choice in reply to the post, as its button does.
func (s *stand) Choose(who, post string, n int) func() {
	for _, where := range []string{"line", "channel"} {
		for _, e := range s.transcript(who, where) {
			if e.ID == post {
				id := s.post("say", map[string]any{"as": who, "where": where, "text": e.Post.Choices[n].Text, "reply_to": post, "draft": s.draft()})
				return func() { s.Delete(who, id) }
			}
		}
	}
	s.t.Fatalf("no post %s that %s sees", post, who)
	return nil
}

type shown struct {
	ID   string
	Post *struct {
		Title, Text, Foot string
		Items             []struct{ Head, Detail string }
		Choices           []struct{ Label, Text string }
	}
}

func (s *stand) transcript(who, where string) []shown {
	s.t.Helper()
	resp, err := http.Get(s.server.URL + "/api/transcript?studio=harbour&as=" + who + "&where=" + where)
	if err != nil {
		s.t.Fatal(err)
	}
	defer resp.Body.Close()
	var t struct{ Entries []shown }
	if err := json.NewDecoder(resp.Body).Decode(&t); err != nil {
		s.t.Fatal(err)
	}
	return t.Entries
}

func (s *stand) said(who, where string) []studiotest.Said {
	var all []studiotest.Said
	for _, e := range s.transcript(who, where) {
		if e.Post == nil {
			continue
		}
		parts := []string{e.Post.Title, e.Post.Text}
		for _, it := range e.Post.Items {
			parts = append(parts, it.Head, it.Detail)
		}
		all = append(all, studiotest.Said{ID: e.ID, Text: strings.Join(append(parts, e.Post.Foot), "\n")})
	}
	return all
}

func (s *stand) Line(who string) []studiotest.Said { return s.said(who, "line") }
func (s *stand) Hall() []studiotest.Said           { return s.said("odile", "channel") }
