package room

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"net/http"
	"strconv"
	"time"

	"ledgerline/studio"
)

// How many entries of a transcript are shown if the page does not say, and at
// most.
const (
	someEntries = 150
	maxEntries  = 2000
)

type transcriptView struct {
	Lang    string      `json:"lang"`
	More    bool        `json:"more"`
	Entries []entryView `json:"entries"`
}

type entryView struct {
	ID      string       `json:"id"`
	At      time.Time    `json:"at"`
	ReplyTo string       `json:"reply_to,omitempty"`
	Message *messageView `json:"message,omitempty"`
	Post    *postView    `json:"post,omitempty"`
}

type messageView struct {
	By      string         `json:"by,omitempty"` // empty: somebody who has left
	Role    studio.Role    `json:"role,omitempty"`
	Mine    bool           `json:"mine,omitempty"`
	Text    string         `json:"text"`
	Files   []string       `json:"files,omitempty"` // their names
	Edited  bool           `json:"edited,omitempty"`
	Deleted bool           `json:"deleted,omitempty"`
	Verdict studio.Verdict `json:"verdict,omitempty"` // of one's own messages only
}

type postView struct {
	Kind     studio.PostKind   `json:"kind"`
	Title    string            `json:"title,omitempty"`
	Text     string            `json:"text,omitempty"`
	Items    []studio.PostItem `json:"items,omitempty"`
	Foot     string            `json:"foot,omitempty"`
	Choices  []studio.Choice   `json:"choices,omitempty"`
	Pictures []string          `json:"pictures,omitempty"`
	Files    []string          `json:"files,omitempty"` // their names
	Sheet    bool              `json:"sheet,omitempty"` // it may be had as a page
}

func (r *Room) showTranscript(w http.ResponseWriter, req *http.Request) error {
	limit := someEntries
	if s := req.FormValue("limit"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 || n > maxEntries {
			return misused("limit is a number from 1 to 2000")
		}
		limit = n
	}
	var view transcriptView
	err := r.cfg.Store.View(req.Context(), func(tx studio.Tx) error {
		s, err := takeSeat(req.Context(), tx, studio.StudioID(req.FormValue("studio")), studio.MemberID(req.FormValue("as")))
		if err != nil {
			return err
		}
		view, err = s.transcript(tx, req.FormValue("where"), limit)
		return err
	})
	if err != nil {
		return err
	}
	return writeTagged(w, req, view)
}

// writeTagged writes v with an ETag, or only says that the page has it already.
func writeTagged(w http.ResponseWriter, req *http.Request, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return err
	}
	tag := etag(body)
	w.Header().Set("ETag", tag)
	if req.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	w.Header().Set("Content-Type", "application/json")
	_, err = w.Write(body)
	return err
}

func etag(body []byte) string {
	sum := sha256.Sum256(body)
	return `"` + base64.RawURLEncoding.EncodeToString(sum[:15]) + `"`
}

// transcript returns what the seat sees of one of its conversations.
func (s *seat) transcript(tx studio.Tx, where string, limit int) (transcriptView, error) {
	address, err := s.address(where)
	if err != nil {
		return transcriptView{}, err
	}
	said, err := tx.Transcript(address, limit+1)
	if err != nil {
		return transcriptView{}, err
	}
	view := transcriptView{Lang: s.studio.Lang, Entries: []entryView{}}
	if where == whereLine {
		view.Lang = s.member.Lang
	}
	if len(said) > limit {
		view.More, said = true, said[len(said)-limit:]
	}
	people, err := s.people(tx, where)
	if err != nil {
		return transcriptView{}, err
	}
	for _, x := range said {
		switch {
		case x.Message != nil:
			view.Entries = append(view.Entries, s.viewMessage(x, people))
		case x.Post != nil && x.Post.Studio == s.studio.ID:
			view.Entries = append(view.Entries, s.viewPost(x))
		}
	}
	return view, nil
}

// people returns who may have written in a conversation, by account.
func (s *seat) people(tx studio.Tx, where string) (map[studio.Account]studio.Member, error) {
	people := map[studio.Account]studio.Member{}
	if where == whereChannel {
		members, err := tx.Members(s.studio.ID)
		if err != nil {
			return nil, err
		}
		for _, m := range members {
			if a, ok := accountHere(m); ok {
				people[a] = m
			}
		}
	}
	people[s.account] = s.member
	return people, nil
}

func (s *seat) viewMessage(x studio.Said, people map[studio.Account]studio.Member) entryView {
	msg := x.Message
	view := messageView{Mine: msg.Author == s.account, Edited: x.Edited, Deleted: x.Deleted}
	if m, ok := people[msg.Author]; ok {
		view.By, view.Role = m.Name, m.Role
	}
	if !x.Deleted {
		view.Text = msg.Text
		for _, f := range msg.Files {
			view.Files = append(view.Files, f.Name)
		}
	}
	if view.Mine {
		view.Verdict = msg.Verdict
	}
	return entryView{ID: msg.ID, At: x.At.UTC(), ReplyTo: msg.ReplyTo, Message: &view}
}

// viewPost returns a post as the seat sees it. Quick answers about somebody else
// are not offered.
func (s *seat) viewPost(x studio.Said) entryView {
	p := x.Post
	view := postView{Kind: p.Kind, Title: p.Title, Text: p.Text, Items: p.Items, Foot: p.Foot, Sheet: p.Kind.Printable(), Files: p.FileNames()}
	if p.To == s.line || p.Member == "" || p.Member == s.member.ID {
		view.Choices = p.Choices
	}
	for _, pic := range p.Pictures {
		view.Pictures = append(view.Pictures, pic.Alt)
	}
	return entryView{ID: postID(p.Key), At: x.At.UTC(), ReplyTo: p.ReplyTo, Post: &view}
}
