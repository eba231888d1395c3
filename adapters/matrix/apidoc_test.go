package matrix

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/pb33f/libopenapi"
	validator "github.com/pb33f/libopenapi-validator"
	"github.com/pb33f/libopenapi/datamodel"
	"go.yaml.in/yaml/v3"
)

// apiDocument is where the Matrix client-server API document lies, if it is on
// this machine: one file for each group of requests.
var apiDocument = filepath.Join("..", "..", "..", "shared", "data", "matrix", "data", "api", "client-server")

// apiFiles are the parts of the document that speak of what the bot asks for.
var apiFiles = []string{
	"account-data", "authed-content-repo", "content-repo", "create_room", "cross_signing", "directory", "joining", "keys", "list_joined_rooms", "login", "logout",
	"message_pagination", "profile", "room_send", "room_state", "rooms", "sync", "to_device", "whoami",
}

// An apiPart is one file of the document.
type apiPart struct {
	name  string
	base  string // path before those in the file
	check validator.Validator
	mu    sync.Mutex
}

// loadAPI reads the document; nil if it is not there.
func loadAPI() ([]*apiPart, error) {
	if _, err := os.Stat(apiDocument); err != nil {
		return nil, nil
	}
	var all []*apiPart
	for _, name := range apiFiles {
		p, err := loadAPIPart(name)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, p)
	}
	return all, nil
}

func loadAPIPart(name string) (*apiPart, error) {
	src, err := os.ReadFile(filepath.Join(apiDocument, name+".yaml"))
	if err != nil {
		return nil, err
	}
	// The address is a template, which the validator does not fill in.
	var head map[string]any
	if err := yaml.Unmarshal(src, &head); err != nil {
		return nil, err
	}
	base, err := basePath(head)
	if err != nil {
		return nil, err
	}
	delete(head, "servers")
	dropAnswers(head)
	if src, err = yaml.Marshal(head); err != nil {
		return nil, err
	}
	doc, err := libopenapi.NewDocumentWithConfiguration(src, &datamodel.DocumentConfiguration{
		AllowFileReferences: true, BasePath: apiDocument, SpecFilePath: filepath.Join(apiDocument, name+".yaml"),
	})
	if err != nil {
		return nil, err
	}
	check, errs := validator.NewValidator(doc)
	if len(errs) > 0 {
		return nil, errs[0]
	}
	return &apiPart{name: name, base: base, check: check}, nil
}

func basePath(head map[string]any) (string, error) {
	servers, _ := head["servers"].([]any)
	if len(servers) == 0 {
		return "", fmt.Errorf("no servers")
	}
	server, _ := servers[0].(map[string]any)
	variables, _ := server["variables"].(map[string]any)
	base, _ := variables["basePath"].(map[string]any)
	path, ok := base["default"].(string)
	if !ok {
		return "", fmt.Errorf("no basePath")
	}
	return path, nil
}

// dropAnswers leaves the answers out: they refer to files that are no part of
// what is here, and only requests are checked.
func dropAnswers(head map[string]any) {
	paths, _ := head["paths"].(map[string]any)
	for _, path := range paths {
		operations, _ := path.(map[string]any)
		for _, o := range operations {
			if operation, ok := o.(map[string]any); ok {
				operation["responses"] = map[string]any{"200": map[string]any{"description": "left out"}}
			}
		}
	}
	if components, ok := head["components"].(map[string]any); ok {
		delete(components, "responses")
	}
}

func TestAPIDocument(t *testing.T) {
	parts, err := loadAPI()
	if err != nil {
		t.Fatal(err)
	}
	if parts == nil {
		t.Skipf("the Matrix API document is not at %s", apiDocument)
	}
	for _, tt := range []struct {
		method, path, body string
		wrong              bool
	}{
		{"PUT", "/_matrix/client/v3/rooms/!r:h/send/m.room.message/1", `{"msgtype":"m.text"}`, false},
		{"PUT", "/_matrix/client/v3/rooms/!r:h/send/m.room.message/1", `[]`, true},
		{"PUT", "/_matrix/client/v3/rooms/!r:h/send/m.room.message", `{}`, true},
		{"POST", "/_matrix/client/v3/createRoom", `{"preset":"trusted_private_chat"}`, false},
		{"POST", "/_matrix/client/v3/createRoom", `{"preset":"cosy"}`, true},
		{"GET", "/_matrix/client/v3/sync?timeout=3000", ``, false},
		{"GET", "/_matrix/client/v3/sync?timeout=soon", ``, true},
		{"GET", "/_matrix/client/v3/rooms/!r:h/messages?dir=b", ``, false},
		{"GET", "/_matrix/client/v3/rooms/!r:h/messages?dir=up", ``, true},
		{"GET", "/_matrix/client/v3/rooms/!r:h/messages", ``, true},
		{"GET", "/_matrix/client/v3/account/whoami", ``, false},
		{"GET", "/_matrix/client/v3/user/@bot:h/account_data/m.secret_storage.key.k%2F6wgA", ``, false},
		{"GET", "/_matrix/client/v3/account/whoareyou", ``, true},
	} {
		req, _ := http.NewRequest(tt.method, "http://h"+tt.path, strings.NewReader(tt.body))
		if tt.body != "" {
			req.Header.Set("Content-Type", "application/json")
		}
		req.Header.Set("Authorization", "Bearer x")
		if got := checkRequest(parts, req, []byte(tt.body)); (got != "") != tt.wrong {
			t.Errorf("%s %s %s: %q", tt.method, tt.path, tt.body, got)
		}
	}
	anonymous, _ := http.NewRequest("GET", "http://h/_matrix/client/v3/account/whoami", nil)
	if checkRequest(parts, anonymous, nil) == "" {
		t.Error("a request without a token was found right")
	}
}

// allow changes what the document allows in words only, and the validator does
// not know: that the key of a state event is empty, and that a file is of any
// type ("The content type of the file being uploaded").
func allow(req *http.Request) {
	if strings.Contains(req.URL.Path, "/state/") && strings.HasSuffix(req.URL.Path, "/") {
		req.URL.Path += "empty"
	}
	if req.URL.Path == "/media/v3/upload" {
		req.Header.Set("Content-Type", "application/octet-stream")
	}
}

// checkRequest says what is wrong with a request by the document; "" if nothing.
func checkRequest(parts []*apiPart, req *http.Request, body []byte) string {
	// A slash inside of a name is none between names.
	whole, err := url.PathUnescape(strings.ReplaceAll(req.URL.EscapedPath(), "%2F", "-"))
	if err != nil {
		return err.Error()
	}
	var wrong []string
	for _, p := range parts {
		path, ours := strings.CutPrefix(whole, p.base)
		if !ours {
			continue
		}
		bare := req.Clone(req.Context())
		bare.URL.Path, bare.URL.RawPath = path, ""
		allow(bare)
		bare.Body = io.NopCloser(bytes.NewReader(body))
		p.mu.Lock()
		ok, errs := p.check.ValidateHttpRequestSync(bare)
		p.mu.Unlock()
		if ok {
			return ""
		}
		for _, e := range errs {
			if e.ValidationType == "path" || e.IsPathMissingError() {
				continue
			}
			text := p.name + ": " + e.Message + ": " + e.Reason
			for _, s := range e.SchemaValidationErrors {
				text += "; " + s.Reason
			}
			wrong = append(wrong, text)
		}
	}
	if len(wrong) == 0 {
		return "the document knows no such request"
	}
	slices.Sort(wrong)
	return strings.Join(wrong, "\n")
}
