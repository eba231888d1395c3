package room

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

// decode reads an answer that must be good.
func decode[T any](t *testing.T, a answer) (v T) {
	t.Helper()
	if a.status != 200 {
		t.Fatalf("status %d: %s", a.status, a.body)
	}
	if err := json.Unmarshal([]byte(a.body), &v); err != nil {
		t.Fatalf("%v in %s", err, a.body)
	}
	return v
}

// sentence returns what a refusal says to people.
func sentence(t *testing.T, a answer) string {
	t.Helper()
	var v struct{ Error string }
	if err := json.Unmarshal([]byte(a.body), &v); err != nil || a.status < 400 {
		t.Fatalf("status %d, not a refusal: %s", a.status, a.body)
	}
	if !strings.HasSuffix(v.Error, ".") || strings.Contains(v.Error, "\n") {
		t.Errorf("not one sentence: %q", v.Error)
	}
	return v.Error
}

func TestRoomAndMembers(t *testing.T) {
	s := newScene(t, nil)
	room := decode[roomView](t, s.do(t, "GET", "/api/room", ""))
	if !room.Demo || room.Moving || room.Locked || !room.Now.Equal(s.clock.Now()) {
		t.Errorf("room is %+v", room)
	}
	want := []studioView{{"harbour-row", "Harbour Row Brass", "en", "Europe/Lisbon", true}, {"upper-mill", "Upper Mill Brass", "fr", "Europe/Paris", false}}
	if !slices.Equal(room.Studios, want) {
		t.Errorf("studios are %+v", room.Studios)
	}
	got := decode[struct{ Members []memberView }](t, s.do(t, "GET", "/api/members?studio=harbour-row", "")).Members
	var names []string
	for _, m := range got {
		names = append(names, fmt.Sprint(m.Name, " ", m.Role, " ", m.Wards))
	}
	if fmt.Sprint(names) != "[Ada student [] Ilo student [] Mara guardian [Ada] Odile Renner teacher []]" {
		t.Errorf("members are %q; Kit has no account here", names)
	}
	if got := s.do(t, "GET", "/api/members?studio=nowhere", ""); got.status != 404 {
		t.Errorf("members of no studio: %d", got.status)
	}
}

const transcriptOfAda = "/api/transcript?studio=harbour-row&as=ada&where="

func TestTranscript(t *testing.T) {
	s := newScene(t, nil)
	s.furnish()
	line := decode[transcriptView](t, s.do(t, "GET", transcriptOfAda+"line", ""))
	kinds := map[studio.PostKind]int{}
	for _, e := range line.Entries {
		if e.Post != nil {
			kinds[e.Post.Kind]++
		}
	}
	if kinds["routine"] != 1 || kinds["question"] != 1 || kinds["alert"] != 1 || kinds["receipt"] != 2 || kinds["digest"] != 1 {
		t.Errorf("kinds on Ada's line: %v", kinds)
	}
	find := func(id string) messageView {
		i := slices.IndexFunc(line.Entries, func(e entryView) bool { return e.ID == id })
		return *line.Entries[i].Message
	}
	if m := find("ada/m3"); !m.Mine || !m.Edited || m.Text != "1 clean, 2 at 90ish, 4 done\n30m" || m.By != "Ada" {
		t.Errorf("the edited message is %+v", m)
	}
	if m := find("ada/m2"); !m.Deleted || m.Text != "" {
		t.Errorf("the deleted message is %+v", m)
	}
	if line.More {
		t.Error("more than all")
	}
	if strings.Contains(s.do(t, "GET", transcriptOfAda+"line", "").body, "pencils") {
		t.Error("the channel shows on the private line")
	}
	public := decode[transcriptView](t, s.do(t, "GET", transcriptOfAda+"channel", ""))
	if n := len(public.Entries); n != 4 || public.Entries[1].Message.By != "Odile Renner" || public.Entries[1].Message.Mine {
		t.Errorf("%d entries in the channel: %+v", n, public.Entries)
	}
}

func TestTranscriptLimitAndTag(t *testing.T) {
	s := newScene(t, nil)
	s.furnish()
	all := decode[transcriptView](t, s.do(t, "GET", transcriptOfAda+"line", "")).Entries
	last := decode[transcriptView](t, s.do(t, "GET", transcriptOfAda+"line&limit=3", ""))
	if !last.More || len(last.Entries) != 3 || last.Entries[2].ID != all[len(all)-1].ID {
		t.Errorf("the last three of %d: more %v, %d entries", len(all), last.More, len(last.Entries))
	}
	exact := decode[transcriptView](t, s.do(t, "GET", transcriptOfAda+fmt.Sprintf("line&limit=%d", len(all)), ""))
	if exact.More {
		t.Error("all of them, and still more")
	}
	tag := s.do(t, "GET", transcriptOfAda+"line", "").header.Get("ETag")
	if got := s.do(t, "GET", transcriptOfAda+"line", "", "If-None-Match", tag); got.status != 304 || got.body != "" {
		t.Errorf("asked again: %d with %d bytes", got.status, len(got.body))
	}
	s.do(t, "POST", "/api/say", `{"studio":"harbour-row","as":"ada","where":"line","text":"rest"}`)
	if got := s.do(t, "GET", transcriptOfAda+"line", "", "If-None-Match", tag); got.status != 200 {
		t.Errorf("asked again after a message: %d", got.status)
	}
}

func TestTranscriptRefuses(t *testing.T) {
	s := newScene(t, nil)
	for query, want := range map[string]int{
		"studio=harbour-row&as=ada&where=attic":          400,
		"studio=harbour-row&as=ada":                      400,
		"studio=harbour-row&as=ada&where=line&limit=0":   400,
		"studio=harbour-row&as=ada&where=line&limit=1e9": 400,
		"studio=harbour-row&as=jules&where=line":         404, // of another studio
		"studio=harbour-row&as=jules&where=channel":      404,
		"studio=upper-mill&as=ada&where=line":            404,
		"studio=harbour-row&as=elsewhere&where=line":     404, // has no account here
		"studio=harbour-row&as=nobody&where=line":        404,
		"studio=nowhere&as=ada&where=line":               404,
		"studio=upper-mill&as=jules&where=channel":       404, // there is none
		"": 404,
	} {
		got := s.do(t, "GET", "/api/transcript?"+query, "")
		if got.status != want {
			t.Errorf("%s: %d, want %d", query, got.status, want)
		}
		sentence(t, got)
	}
}

// Choices about somebody else are not hers to give.
func TestChoicesOfOthers(t *testing.T) {
	s := newScene(t, nil)
	choices := []studio.Choice{{Label: "yes", Text: "yes"}}
	s.store.posted(studio.Post{Key: "q/ilo", Kind: studio.QuestionPost, Studio: "harbour-row", To: channel, Member: "ilo", Choices: choices}, s.clock.Now())
	s.store.posted(studio.Post{Key: "q/all", Kind: studio.QuestionPost, Studio: "harbour-row", To: channel, Choices: choices}, s.clock.Now())
	entries := decode[transcriptView](t, s.do(t, "GET", transcriptOfAda+"channel", "")).Entries
	if len(entries[0].Post.Choices) != 0 || len(entries[1].Post.Choices) != 1 {
		t.Errorf("choices offered to Ada: %+v, %+v", entries[0].Post.Choices, entries[1].Post.Choices)
	}
}

func TestSay(t *testing.T) {
	s := newScene(t, nil)
	s.furnish()
	before := len(s.store.messages())
	card := "post:" + string(routineKey(4))
	body := `{"studio":"harbour-row","as":"ada","where":"line","text":"1 clean\r\n2 skip \n","reply_to":"` + card + `","draft":"draft-0001"}`
	id := decode[map[string]string](t, s.do(t, "POST", "/api/say", body))["id"]
	again := decode[map[string]string](t, s.do(t, "POST", "/api/say", body))["id"]
	got := s.store.messages()[before:]
	if len(got) != 1 || id != again {
		t.Fatalf("the same draft twice made %d messages, ids %q and %q", len(got), id, again)
	}
	want := studio.Message{
		Platform: Platform, ID: "ada/draft-0001", Happening: studio.Written, Author: studio.Account{Platform: Platform, ID: "ada"},
		Channel: "ada", Private: true, Text: "1 clean\n2 skip", ReplyTo: card, At: s.clock.Now(),
	}
	if !reflect.DeepEqual(got[0].Message, want) {
		t.Errorf("received %+v,\nwant %+v", got[0].Message, want)
	}
	s.do(t, "POST", "/api/say", `{"studio":"harbour-row","as":"ilo","where":"channel","text":"hello","draft":"draft-0001"}`)
	s.do(t, "POST", "/api/say", `{"studio":"harbour-row","as":"ilo","where":"channel","text":"hello"}`)
	got = s.store.messages()[before+1:]
	if len(got) != 2 || got[0].Private || got[0].Channel != "harbour-row" || got[0].ID == got[1].ID || got[0].Author.ID != "ilo" {
		t.Errorf("received in the channel: %+v", got)
	}
}

func TestSayRefuses(t *testing.T) {
	s := newScene(t, nil)
	s.furnish()
	before := len(s.store.messages())
	body := func(changes ...string) string {
		m := map[string]string{"studio": "harbour-row", "as": "ada", "where": "line", "text": "done"}
		for i := 0; i < len(changes); i += 2 {
			m[changes[i]] = changes[i+1]
		}
		b, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	tests := []struct {
		name, body string
		want       int
		says       string
	}{
		{"nothing", body("text", ""), 400, "empty"},
		{"blanks", body("text", " \n\t "), 400, "empty"},
		{"too many characters", body("text", strings.Repeat("a", 8001)), 413, "8,000"},
		{"too many bytes", body("text", strings.Repeat("𝄞", 5000)), 413, "8,000"},
		{"a giant", body("text", strings.Repeat("a", 1<<20)), 413, "8,000"},
		{"no member", body("as", "nobody"), 404, "no such member"},
		{"a member of another studio", body("as", "jules"), 404, "no such member"},
		{"no place", body("where", "attic"), 400, "where"},
		{"no channel", body("studio", "upper-mill", "as", "jules", "where", "channel"), 404, "no channel"},
		{"answers nothing", body("reply_to", "post:unheard"), 404, "not in this conversation"},
		{"answers a post elsewhere", body("where", "channel", "reply_to", "post:"+string(routineKey(4))), 404, "not in this conversation"},
		{"answers somebody else's post", body("as", "ilo", "reply_to", "post:"+string(routineKey(4))), 404, "not in this conversation"},
		{"a draft with a path in it", body("draft", "../../etc/passwd"), 400, "draft"},
		{"a short draft", body("draft", "a"), 400, "draft"},
		{"an unknown field", body("role", "teacher"), 400, "JSON"},
		{"no JSON", "done", 400, "JSON"},
		{"a list", "[]", 400, "JSON"},
		{"two objects", body() + body(), 400, "JSON"},
		{"nothing at all", "", 400, "JSON"},
	}
	for _, tt := range tests {
		got := s.do(t, "POST", "/api/say", tt.body)
		if says := sentence(t, got); got.status != tt.want || !strings.Contains(says, tt.says) {
			t.Errorf("%s: %d %q, want %d with %q", tt.name, got.status, says, tt.want, tt.says)
		}
	}
	if n := len(s.store.messages()) - before; n != 0 {
		t.Errorf("%d messages got through", n)
	}
	if got := s.do(t, "POST", "/api/say", body("text", strings.Repeat("é", 8000))); got.status != 200 {
		t.Errorf("8,000 characters are refused: %s", got.body)
	}
}

func TestEditAndDelete(t *testing.T) {
	s := newScene(t, nil)
	s.do(t, "POST", "/api/say", `{"studio":"harbour-row","as":"ada","where":"line","text":"done 30","draft":"draft-0001"}`)
	own := func(as, extra string) string {
		return `{"studio":"harbour-row","as":"` + as + `","message":"ada/draft-0001"` + extra + `}`
	}
	if got := s.do(t, "POST", "/api/edit", own("ilo", `,"text":"done 90"`)); got.status != 404 {
		t.Errorf("Ilo edits Ada's message: %d", got.status)
	}
	if got := s.do(t, "POST", "/api/delete", own("odile", "")); got.status != 404 {
		t.Errorf("the teacher deletes Ada's message: %d", got.status)
	}
	edit := own("ada", `,"text":"done 40","draft":"draft-0002"`)
	decode[map[string]string](t, s.do(t, "POST", "/api/edit", edit))
	decode[map[string]string](t, s.do(t, "POST", "/api/edit", edit))
	decode[map[string]string](t, s.do(t, "POST", "/api/delete", own("ada", "")))
	var got []string
	for _, m := range s.store.messages() {
		got = append(got, fmt.Sprintf("%s %s %q %v %s", m.ID, m.Happening, m.Text, m.Private, m.Revision))
	}
	want := []string{`ada/draft-0001 written "done 30" true `, `ada/draft-0001 edited "done 40" true draft-0002`, `ada/draft-0001 deleted "" true `}
	if !slices.Equal(got, want) {
		t.Errorf("received %q,\nwant %q", got, want)
	}
	for _, path := range []string{"/api/edit", "/api/delete"} {
		got := s.do(t, "POST", path, own("ada", `,"text":"again"`))
		if got.status != 409 || !strings.Contains(sentence(t, got), "deleted already") {
			t.Errorf("%s after deleting: %d", path, got.status)
		}
	}
}

func TestNotStored(t *testing.T) {
	s := newScene(t, nil)
	s.bot.err = errors.New("disk full")
	got := s.do(t, "POST", "/api/say", `{"studio":"harbour-row","as":"ada","where":"line","text":"a private word"}`)
	if got.status != 500 || strings.Contains(got.body, "disk") {
		t.Errorf("%d %s", got.status, got.body)
	}
	sentence(t, got)
	if log := s.log.String(); !strings.Contains(log, "disk full") || strings.Contains(log, "private word") {
		t.Errorf("the log must tell why, and not what was written: %s", log)
	}
}

// What was typed is data in JSON, whatever it looks like.
func TestHostileText(t *testing.T) {
	const evil = `</script><script>alert(1)</script>"'&<img src=x onerror=alert(2)>`
	s := newScene(t, nil)
	s.store.studios[0].Name = evil
	s.store.members[1].Name = evil
	s.store.posted(studio.Post{Key: "routine/" + evil, Kind: evil, Studio: "harbour-row", To: lineOfAda, Title: evil, Text: evil, Foot: evil,
		Items: []studio.PostItem{{N: 1, Head: evil, Detail: evil}}, Pictures: []studio.Picture{{Alt: evil}}, Choices: []studio.Choice{{Label: evil, Text: evil}}}, s.clock.Now())
	for _, path := range []string{"/api/room", "/api/members?studio=harbour-row", transcriptOfAda + "line"} {
		got := s.do(t, "GET", path, "")
		if strings.ContainsAny(got.body, "<>&") || got.header.Get("Content-Type") != "application/json" {
			t.Errorf("GET %s: markup in %s: %s", path, got.header.Get("Content-Type"), got.body)
		}
	}
}

// The page's scripts have no way to make markup out of text.
func TestPageMakesNoMarkup(t *testing.T) {
	entries, err := pageFS.ReadDir("page")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		body, err := pageFS.ReadFile("page/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function", " style=", "onclick=\"", "javascript:"} {
			if strings.Contains(string(body), bad) {
				t.Errorf("%s contains %q", e.Name(), bad)
			}
		}
		if kinds["."+e.Name()[strings.LastIndex(e.Name(), ".")+1:]] == "" {
			t.Errorf("%s has no media type", e.Name())
		}
	}
}

func TestPageFiles(t *testing.T) {
	s := newScene(t, nil)
	page := s.do(t, "GET", "/", "")
	if page.status != 200 || page.header.Get("Content-Type") != "text/html; charset=utf-8" || !strings.Contains(page.body, "main.js") {
		t.Fatalf("GET /: %d %s", page.status, page.header)
	}
	if got := s.do(t, "GET", "/", "", "If-None-Match", page.header.Get("ETag")); got.status != 304 {
		t.Errorf("asked again: %d", got.status)
	}
	if got := s.do(t, "GET", "/main.js", ""); got.header.Get("Content-Type") != "text/javascript; charset=utf-8" {
		t.Errorf("a script is %s", got.header.Get("Content-Type"))
	}
}

func TestSheet(t *testing.T) {
	s := newScene(t, nil)
	s.furnish()
	path := func(as, form string) string {
		return "/sheet?studio=harbour-row&as=" + as + "&post=post:digest/harbour-row/2026-03-02&form=" + form
	}
	for form, want := range map[string][3]string{
		"html":   {"text/html; charset=utf-8", "Harbour Row", ".html"},
		"pdf":    {"application/pdf", "%PDF A4", ".pdf"},
		"letter": {"application/pdf", "%PDF Letter", ".pdf"},
	} {
		got := s.do(t, "GET", path("ada", form), "")
		if got.status != 200 || got.header.Get("Content-Type") != want[0] || !strings.HasPrefix(got.body, want[1]) {
			t.Errorf("%s: status %d, type %s, %q", form, got.status, got.header.Get("Content-Type"), got.body)
		}
		if d := got.header.Get("Content-Disposition"); d != "attachment; filename=digest-harbour-row-2026-03-02"+want[2] {
			t.Errorf("%s is offered as %s", form, d)
		}
		if csp := got.header.Get("Content-Security-Policy"); csp != policy {
			t.Errorf("%s comes under %s", form, csp)
		}
	}
	for p, want := range map[string]int{
		path("ilo", "html"): 404, path("jules", "html"): 404, path("ada", "doc"): 400,
		"/sheet?studio=harbour-row&as=ada&post=post:receipt/1&form=html": 404,
	} {
		if got := s.do(t, "GET", p, ""); got.status != want {
			t.Errorf("%s: %d, want %d", p, got.status, want)
		}
	}
}

func TestPicture(t *testing.T) {
	s := newScene(t, nil)
	s.furnish()
	path := func(as, n string) string {
		return "/picture?studio=harbour-row&as=" + as + "&post=post:digest/harbour-row/2026-03-02&n=" + n
	}
	got := s.do(t, "GET", path("ada", "1"), "")
	if got.status != 200 || got.header.Get("Content-Type") != "image/png" || !strings.HasPrefix(got.body, "\x89PNG") {
		t.Fatalf("status %d, type %s", got.status, got.header.Get("Content-Type"))
	}
	if again := s.do(t, "GET", path("ada", "1"), "", "If-None-Match", got.header.Get("ETag")); again.status != 304 {
		t.Errorf("asked again: %d", again.status)
	}
	for name, p := range map[string]string{
		"beyond the last":          path("ada", "2"),
		"before the first":         path("ada", "-1"),
		"no number":                path("ada", "x"),
		"somebody else's line":     path("ilo", "1"),
		"a member of elsewhere":    path("jules", "1"),
		"a post without a picture": "/picture?studio=harbour-row&as=ada&post=post:receipt/1&n=0",
		"no post":                  "/picture?studio=harbour-row&as=ada&n=0",
	} {
		if got := s.do(t, "GET", p, ""); got.status != 404 {
			t.Errorf("%s: %d", name, got.status)
		}
	}
}

func TestGalleryForgets(t *testing.T) {
	g := newGallery(plainDrawer{})
	for i := range 3 * maxDrawn {
		if _, err := g.png(fmt.Sprint(i), studio.Picture{}); err != nil {
			t.Fatal(err)
		}
	}
	if len(g.drawn) != maxDrawn || len(g.order) != maxDrawn {
		t.Errorf("%d pictures kept, %d in order; want %d", len(g.drawn), len(g.order), maxDrawn)
	}
}

func TestStep(t *testing.T) {
	s := newScene(t, nil)
	start := s.clock.Now()
	got := decode[clockView](t, s.do(t, "POST", "/api/step", `{"hours":24}`))
	if want := start.Add(24 * time.Hour); !got.Now.Equal(want) || got.Moving {
		t.Errorf("clock %v, want %v standing", got, want)
	}
	for _, body := range []string{`{"hours":0}`, `{"hours":-1}`, `{"hours":2}`, `{}`} {
		if got := s.do(t, "POST", "/api/step", body); got.status != 400 {
			t.Errorf("%s: %d", body, got.status)
		}
	}
	s.clock.err = errors.New("the store\nis full.")
	if got := s.do(t, "POST", "/api/step", `{"hours":1}`); got.status != 500 || sentence(t, got) != "The clock stopped short: the store is full." {
		t.Errorf("%d %s", got.status, got.body)
	}
	real := newScene(t, func(c *Config) { c.Clock = nil })
	if got := real.do(t, "POST", "/api/step", `{"hours":1}`); got.status != 404 {
		t.Errorf("stepping the real clock: %d", got.status)
	}
}

func TestOneStepAtATime(t *testing.T) {
	s := newScene(t, nil)
	s.clock.hold = make(chan struct{})
	first := make(chan answer)
	go func() { first <- s.do(t, "POST", "/api/step", `{"hours":168}`) }()
	for !s.room.hub.clockMoving() {
		time.Sleep(time.Millisecond)
	}
	if got := s.do(t, "POST", "/api/step", `{"hours":1}`); got.status != http.StatusConflict {
		t.Errorf("a second step meanwhile: %d", got.status)
	}
	if !decode[roomView](t, s.do(t, "GET", "/api/room", "")).Moving {
		t.Error("the room does not say that the clock is moving")
	}
	close(s.clock.hold)
	if got := <-first; got.status != 200 || s.room.hub.clockMoving() {
		t.Errorf("the first step: %d; still moving: %v", got.status, s.room.hub.clockMoving())
	}
}

func TestSend(t *testing.T) {
	s := newScene(t, nil)
	d := studio.Delivery{Post: studio.Post{Key: "receipt/7", To: lineOfAda}}
	one, err1 := s.room.Send(t.Context(), d)
	two, err2 := s.room.Send(t.Context(), d)
	if err1 != nil || err2 != nil || one != two || one == "" {
		t.Errorf("sent twice: %q %v, %q %v", one, err1, two, err2)
	}
	d.To.Platform = "matrix"
	_, err := s.room.Send(t.Context(), d)
	var e *studio.SendError
	if !errors.As(err, &e) || !e.Permanent {
		t.Errorf("a post for another platform: %v", err)
	}
}
