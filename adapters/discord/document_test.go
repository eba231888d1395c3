package discord_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/pb33f/libopenapi"
	validator "github.com/pb33f/libopenapi-validator"
	"github.com/pb33f/libopenapi-validator/config"

	"ledgerline/adapters/discord/discordtest"
)

// documentPath is Discord's own description of version 10 of its API, which
// lies beside the repository where it was fetched.
const documentPath = "../../../shared/data/discord/openapi.json"

// document is the validator of that description; nil if it is not there.
var document = sync.OnceValues(func() (validator.Validator, error) {
	raw, err := os.ReadFile(documentPath)
	if err != nil {
		return nil, nil
	}
	if raw, err = trimmed(raw); err != nil {
		return nil, err
	}
	doc, err := libopenapi.NewDocument(raw)
	if err != nil {
		return nil, err
	}
	v, errs := validator.NewValidator(doc, config.WithFormatAssertions())
	if len(errs) > 0 {
		return nil, errs[0]
	}
	return v, nil
})

// paths are those that the bot or its tests use. The document has ten times as
// many, and getting them all ready takes longer than all tests together. A
// request to any other fails.
var paths = []string{
	"/gateway", "/gateway/bot", "/users/@me", "/users/@me/channels", "/applications/@me",
	"/applications/{application_id}/commands", "/guilds/{guild_id}", "/guilds/{guild_id}/members/{user_id}",
	"/channels/{channel_id}", "/channels/{channel_id}/messages", "/channels/{channel_id}/messages/{message_id}",
	"/channels/{channel_id}/messages/{message_id}/reactions/{emoji_name}",
	"/channels/{channel_id}/messages/{message_id}/reactions/{emoji_name}/@me",
	"/interactions/{interaction_id}/{interaction_token}/callback",
}

// trimmed returns the document with those paths only.
func trimmed(raw []byte) ([]byte, error) {
	var doc map[string]any
	if err := json.Unmarshal(raw, &doc); err != nil {
		return nil, err
	}
	all, _ := doc["paths"].(map[string]any)
	kept := map[string]any{}
	for _, p := range paths {
		if all[p] == nil {
			return nil, fmt.Errorf("Discord's API document has no path %s", p)
		}
		kept[p] = all[p]
	}
	doc["paths"] = kept
	return json.Marshal(doc)
}

// A reader holds every exchange against the document.
type reader struct {
	mu    sync.Mutex
	v     validator.Validator
	wrong []string
}

// watch has all exchanges of a server held against the document, and the test
// fail for each that it does not allow. Without a document it does nothing.
func watch(t testing.TB, s *discordtest.Server) *reader {
	v, err := document()
	if err != nil {
		t.Fatal(err)
	}
	r := &reader{v: v}
	if v == nil {
		return r
	}
	s.Watch(r.take)
	t.Cleanup(func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		for _, w := range r.wrong {
			t.Error(w)
		}
	})
	return r
}

func (r *reader) take(e discordtest.Exchange) {
	r.mu.Lock()
	defer r.mu.Unlock()
	req, err := plainRequest(e)
	if err != nil {
		r.wrong = append(r.wrong, err.Error())
		return
	}
	r.note(e, "request", func() (bool, []string) {
		ok, errs := r.v.ValidateHttpRequestSync(req)
		var all []string
		for _, err := range errs {
			all = append(all, err.Error())
			for _, s := range err.SchemaValidationErrors {
				all = append(all, s.Reason)
			}
		}
		return ok, all
	})
	if e.Status >= 500 || e.Header.Get("Content-Type") == "text/html" {
		return // not the API's own: the document has no word about them
	}
	resp := &http.Response{StatusCode: e.Status, Header: e.Header, Body: io.NopCloser(bytes.NewReader(e.Answer)), Request: req}
	r.note(e, "answer", func() (bool, []string) {
		ok, errs := r.v.ValidateHttpResponse(req, resp)
		var all []string
		for _, err := range errs {
			all = append(all, err.Error())
			for _, s := range err.SchemaValidationErrors {
				all = append(all, s.Reason)
			}
		}
		return ok, all
	})
}

func (r *reader) note(e discordtest.Exchange, what string, check func() (bool, []string)) {
	if ok, errs := check(); !ok {
		body := e.Sent
		if what == "answer" {
			body = e.Answer
		}
		r.wrong = append(r.wrong, fmt.Sprintf("%s of %s %s (%d) is not what Discord's document allows: %s\n%.600s",
			what, e.Method, e.Path, e.Status, strings.Join(errs, "; "), body))
	}
}

// plainRequest returns the request of an exchange. Of a form it takes the part
// that the document describes as its fields.
func plainRequest(e discordtest.Exchange) (*http.Request, error) {
	body, kind := e.Sent, e.Request.Header.Get("Content-Type")
	if strings.HasPrefix(kind, "multipart/") {
		_, params, err := mime.ParseMediaType(kind)
		if err != nil {
			return nil, err
		}
		if body, err = payload(multipart.NewReader(bytes.NewReader(body), params["boundary"])); err != nil {
			return nil, err
		}
		kind = "application/json"
	}
	req, err := http.NewRequest(e.Method, "https://discord.com/api/v10"+e.Path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	req.Header = e.Request.Header.Clone()
	if kind != "" {
		req.Header.Set("Content-Type", kind)
	}
	return req, nil
}

// payload returns the part of a form that is JSON.
func payload(form *multipart.Reader) ([]byte, error) {
	for {
		part, err := form.NextPart()
		if err != nil {
			return nil, fmt.Errorf("a form without a payload_json: %w", err)
		}
		if part.FormName() == "payload_json" {
			return io.ReadAll(part)
		}
	}
}

// TestDocument sees that the validator does reject what Discord would.
func TestDocument(t *testing.T) {
	v, err := document()
	if err != nil {
		t.Fatal(err)
	}
	if v == nil {
		t.Skip("Discord's API document is not in ../shared/data/discord, so no request is held against it.")
	}
	for body, want := range map[string]bool{
		`{"content":"a","nonce":"1234567890123456789012345","enforce_nonce":true,"allowed_mentions":{"parse":[]}}`: true,
		`{"content":"a","nonce":"12345678901234567890123456"}`:                                                     false,
		`{"content":7}`:                                                false,
		`{"embeds":[{"fields":[{"name":"a"}]}]}`:                       false,
		`{"components":[{"type":1,"components":[{"type":2}]}]}`:        false,
		`{"message_reference":{"message_id":"x"}}`:                     false,
		`{"embeds":[{"title":"` + strings.Repeat("a", 257) + `"}]}`:    false,
		`{"attachments":[{"id":"0","description":"a","filename":""}]}`: false,
	} {
		req, _ := http.NewRequest("POST", "https://discord.com/api/v10/channels/1/messages", strings.NewReader(body))
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Authorization", "Bot x")
		if ok, _ := v.ValidateHttpRequestSync(req); ok != want {
			t.Errorf("%s: allowed is %v, want %v", body, ok, want)
		}
	}
}
