package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"time"
)

// A visitor speaks to the room as the room's own page does.
type visitor struct{ client http.Client }

// newVisitor keeps no connection from one request to the next, since it may be to
// a program that is no more.
func newVisitor() *visitor {
	return &visitor{http.Client{Timeout: patience, Transport: &http.Transport{DisableKeepAlives: true}}}
}

// A writing is the body of a request to say, edit or delete.
type writing struct {
	Studio  string `json:"studio"`
	As      string `json:"as"`
	Where   string `json:"where,omitempty"`
	Message string `json:"message,omitempty"`
	Text    string `json:"text,omitempty"`
	ReplyTo string `json:"reply_to,omitempty"`
	Draft   string `json:"draft,omitempty"`
}

// A refused request was answered, and not with what was wanted.
type refused struct {
	status   int
	sentence string
}

func (r *refused) Error() string { return fmt.Sprintf("answered %d: %s", r.status, r.sentence) }

// write offers a writing once, and returns the message's id. An error that is
// not a *refused means that there was no answer.
func (v *visitor) write(room, what string, w writing) (id string, err error) {
	body, err := json.Marshal(w)
	if err != nil {
		return "", err
	}
	resp, err := v.client.Post(room+"api/"+what, "application/json", bytes.NewReader(body))
	if err != nil {
		return "", err
	}
	var answer struct{ ID string }
	err = decodeAnswer(resp, &answer)
	return answer.ID, err
}

// A shown is one line of a transcript, as a visitor is shown it.
type shown struct {
	ID      string
	ReplyTo string `json:"reply_to"`
	Message *struct {
		Mine    bool
		Verdict string
	}
	Post *struct {
		Kind    string
		Choices []struct{ Text string }
	}
}

// read returns a whole conversation as a member sees it.
func (v *visitor) read(room, as, where string) ([]shown, error) {
	query := url.Values{"studio": {"harbour-row"}, "as": {as}, "where": {where}, "limit": {"2000"}}
	resp, err := v.client.Get(room + "api/transcript?" + query.Encode())
	if err != nil {
		return nil, err
	}
	var view struct{ Entries []shown }
	err = decodeAnswer(resp, &view)
	return view.Entries, err
}

func decodeAnswer(resp *http.Response, v any) error {
	defer resp.Body.Close()
	if resp.StatusCode == http.StatusOK {
		return json.NewDecoder(resp.Body).Decode(v)
	}
	var wrong struct{ Error string }
	if err := json.NewDecoder(resp.Body).Decode(&wrong); err != nil {
		return err
	}
	return &refused{resp.StatusCode, wrong.Error}
}

// allJudged reports whether every message of the reader's own was read.
func allJudged(lines []shown) bool {
	return !slices.ContainsFunc(lines, func(l shown) bool {
		return l.Message != nil && l.Message.Mine && l.Message.Verdict == ""
	})
}

// post returns the first post of a kind that answers a message, or any if the
// message is empty.
func post(lines []shown, kind, message string) (found shown, ok bool) {
	i := slices.IndexFunc(lines, func(l shown) bool {
		return l.Post != nil && l.Post.Kind == kind && (message == "" || l.ReplyTo == message)
	})
	if i < 0 {
		return shown{}, false
	}
	return lines[i], true
}

// eventually calls done until it returns true, within the usual patience.
func eventually(done func() bool) bool {
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if done() {
			return true
		}
	}
	return false
}
