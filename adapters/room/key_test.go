package room

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

// invited returns a locked scene in which Ada, and Kit who has no account of the
// room, hold codes.
func invited(t *testing.T) *scene {
	t.Helper()
	s := newScene(t, locked)
	err := s.store.Update(t.Context(), func(tx studio.Tx) error {
		for code, who := range map[string]string{"adascode1": "ada", "kitscode1": "elsewhere", "iloscode1": "ilo"} {
			// As the service keeps an invitation.
			sum := sha256.Sum256([]byte(code))
			note := fmt.Sprintf(`{"member":%q,"expires":%q}`, who, s.clock.Now().Add(time.Hour).Format(time.RFC3339))
			if err := tx.PutMark("invitation/"+hex.EncodeToString(sum[:]), note); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// knock tries to sign in, and returns the status and the cookie.
func (s *scene) knock(t *testing.T, member, password, code string) (int, string) {
	t.Helper()
	body, _ := json.Marshal(map[string]string{"member": member, "password": password, "code": code})
	s.room.door.mu.Lock()
	clear(s.room.door.limiters) // tries are counted in a test of their own
	s.room.door.mu.Unlock()
	got := s.do(t, "POST", "/api/signin", string(body))
	return got.status, strings.Split(got.header.Get("Set-Cookie"), ";")[0]
}

// A member's password opens the room to her alone: her line and her studio's
// channel, and nobody else's line by any endpoint.
func TestMembersOwnPassword(t *testing.T) {
	s := invited(t)
	if status, _ := s.knock(t, "", "valve oil 7", "adascode1"); status != 200 {
		t.Fatalf("choosing a password with a code: %d", status)
	}
	if status, _ := s.knock(t, "", "another one 7", "adascode1"); status != 403 {
		t.Errorf("using the code again: %d", status)
	}
	status, ada := s.knock(t, "Ada", "valve oil 7", "")
	if status != 200 {
		t.Fatalf("signing in: %d", status)
	}
	for _, tt := range []struct {
		method, path, body string
		want               int
	}{
		{"GET", "/api/room", "", 200},
		{"GET", "/api/transcript?studio=harbour-row&as=ada&where=line", "", 200},
		{"GET", "/api/transcript?studio=harbour-row&as=ada&where=channel", "", 200},
		{"POST", "/api/say", `{"studio":"harbour-row","as":"ada","where":"line","text":"done"}`, 200},
		{"GET", "/api/transcript?studio=harbour-row&as=odile&where=line", "", 403},
		{"GET", "/api/transcript?studio=harbour-row&as=ilo&where=line", "", 403},
		{"GET", "/api/transcript?studio=upper-mill&as=jules&where=line", "", 403},
		{"GET", "/api/transcript?studio=upper-mill&as=ada&where=line", "", 404},
		{"GET", "/api/events?studio=harbour-row&as=odile", "", 403},
		{"GET", "/picture?studio=harbour-row&as=odile&post=x&n=0", "", 403},
		{"POST", "/api/say", `{"studio":"harbour-row","as":"odile","where":"line","text":"minutes Ada 5"}`, 403},
		{"POST", "/api/edit", `{"studio":"harbour-row","as":"odile","message":"x","text":"y"}`, 403},
		{"POST", "/api/delete", `{"studio":"harbour-row","as":"odile","message":"x"}`, 403},
		{"POST", "/api/step", `{"hours":1}`, 403},
	} {
		if got := s.do(t, tt.method, tt.path, tt.body, "Cookie", ada); got.status != tt.want {
			t.Errorf("%s %s %s: %d, want %d: %s", tt.method, tt.path, tt.body, got.status, tt.want, got.body)
		}
	}
	got := s.do(t, "GET", "/api/members?studio=harbour-row", "", "Cookie", ada)
	if !strings.Contains(got.body, "Ada") || strings.Contains(got.body, "Odile") || strings.Contains(got.body, "Ilo") {
		t.Errorf("she is shown the members %s", got.body)
	}
	if got := s.do(t, "GET", "/api/room", "", "Cookie", ada); strings.Contains(got.body, "Upper Mill") {
		t.Errorf("she is shown the studios %s", got.body)
	}
	if strings.Contains(s.log.String(), "valve oil") || strings.Contains(s.log.String(), "adascode1") {
		t.Errorf("the log tells a password or a code: %s", s.log)
	}
	for _, value := range s.store.marks {
		if strings.Contains(value, "valve oil") {
			t.Error("the password is kept as it is")
		}
	}
}

func TestWrongAtTheDoor(t *testing.T) {
	s := invited(t)
	s.knock(t, "", "valve oil 7", "adascode1")
	for name, tt := range map[string]struct{ member, password, code string }{
		"wrong password":           {"ada", "valve oil 8", ""},
		"no password":              {"ada", "", ""},
		"another's password":       {"ilo", "valve oil 7", ""},
		"nobody":                   {"nobody", "valve oil 7", ""},
		"her password as the host": {"", "valve oil 7", ""},
		"the host's as a member":   {"ada", password, ""},
		"one who chose none":       {"odile", password, ""},
		"no such code":             {"", "valve oil 7", "nosuchcode"},
	} {
		if status, cookie := s.knock(t, tt.member, tt.password, tt.code); status != 403 || cookie != "" {
			t.Errorf("%s: %d, cookie %q", name, status, cookie)
		}
	}
	if status, _ := s.knock(t, "", "short", "kitscode1"); status != 400 {
		t.Errorf("choosing a short password: %d", status)
	}
	if status, _ := s.knock(t, "", "long enough 7", "kitscode1"); status != 200 {
		t.Errorf("choosing again, with the code still good: %d", status)
	}
	status, kit := s.knock(t, "elsewhere", "long enough 7", "")
	if got := s.do(t, "GET", "/api/transcript?studio=harbour-row&as=elsewhere&where=line", "", "Cookie", kit); status != 200 || got.status != 200 {
		t.Errorf("somebody who had no account of the room: %d, %d %s", status, got.status, got.body)
	}
}

// A new password ends the sessions that the old one began; a member who was
// removed gets in neither by her session nor by her password.
func TestSessionsOfMembersEnd(t *testing.T) {
	s := invited(t)
	_, first := s.knock(t, "", "valve oil 7", "adascode1")
	inside := func(cookie string) int {
		return s.do(t, "GET", "/api/transcript?studio=harbour-row&as=ada&where=line", "", "Cookie", cookie).status
	}
	if got := inside(first); got != 200 {
		t.Fatalf("inside: %d", got)
	}
	s.room.door.end("ada")
	if got := inside(first); got != 401 {
		t.Errorf("after her sessions were ended: %d", got)
	}
	_, second := s.knock(t, "ada", "valve oil 7", "")
	for i := range s.store.members {
		if s.store.members[i].ID == "ada" {
			s.store.members[i].Removed = 20_000
		}
	}
	if got := inside(second); got != 404 {
		t.Errorf("a session of a member who was removed: %d", got)
	}
	if status, _ := s.knock(t, "ada", "valve oil 7", ""); status != 403 {
		t.Errorf("the password of a member who was removed: %d", status)
	}
}

// One member can't be tried without end from many addresses.
func TestTooManyTriesAtAMember(t *testing.T) {
	s := invited(t)
	now := s.clock.Now()
	s.room.door.now = func() time.Time { return now }
	tries := 0
	for i := range 100 {
		from := fmt.Sprintf("192.0.2.%d:1", i)
		got := s.do(t, "POST", "/api/signin", `{"member":"ada","password":"wrong and wrong"}`, "RemoteAddr", from)
		if got.status == 429 {
			break
		}
		tries++
	}
	if tries != memberKnocks {
		t.Errorf("%d tries from as many addresses, want %d", tries, memberKnocks)
	}
}
