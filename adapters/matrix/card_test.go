package matrix

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"image"
	"image/png"
	"regexp"
	"slices"
	"strings"
	"testing"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
	"pgregory.net/rapid"

	"ledgerline/studio"
)

// hostile are names that would do something if they were let.
var hostile = []string{
	"@room", "[x](y)", "<script>alert(1)</script>", "<b>bold</b>", "&lt;b&gt;", `"><img src=x onerror=alert(1)>`,
	"> <@ada:harbour.test> said\n\nthis", "<mx-reply>x</mx-reply>", "@ada:harbour.test", "https://matrix.to/#/@ada:harbour.test",
	"*a* _b_ `c`", "/me leaves", "\u202eevil", "a\x00b\x1b[31m", "\xff\xfe", "1. one", "</li></ol><h1>x", "Ⓐ",
}

// TestHostileNames shows names as they are, and they do nothing.
func TestHostileNames(t *testing.T) {
	for _, name := range hostile {
		p := studio.Post{Kind: studio.DigestPost, Title: name, Text: name + " played", Foot: name,
			Items: []studio.PostItem{{N: 1, Head: name, Detail: name}}, Choices: []studio.Choice{{Label: name, Text: name}},
			Pictures: []studio.Picture{{Alt: name}}}
		all := parts(studio.Delivery{Post: p})
		if len(all) != 1 {
			t.Fatalf("%q: %d events", name, len(all))
		}
		checkPart(t, all[0])
		want := strings.ReplaceAll(html.EscapeString(clean(name)), "\n", "<br>")
		if n := strings.Count(all[0].FormattedBody, want); n < 5 {
			t.Errorf("%q is shown %d times:\n%s", name, n, all[0].FormattedBody)
		}
	}
}

// TestDigestWithPartsMarksAndPictures shows each part under its heading, the marks
// beside the points and a picture after the point it goes with.
func TestDigestWithPartsMarksAndPictures(t *testing.T) {
	d := studio.Delivery{Post: studio.Post{Kind: studio.DigestPost, Title: "Week 14"}}
	for n, part := range []string{"First of all", "Who moved", "Who moved", "At a glance"} {
		it := studio.PostItem{N: n + 1, Head: fmt.Sprint("Ada ", n+1), Part: part, Answers: "ok: Ask", Choices: []studio.Choice{{Label: "Ask", Text: "ask Ada"}}}
		it.Picture = []int{0, 2, 0, 0}[n]
		d.Items, d.Choices = append(d.Items, it), append(d.Choices, it.Choices[0])
	}
	d.Pictures = []studio.Picture{{Alt: "calendar"}, {Alt: "tempo"}}
	var drawn bytes.Buffer
	if err := png.Encode(&drawn, image.NewGray(image.Rect(0, 0, 2, 2))); err != nil {
		t.Fatal(err)
	}
	d.Images = [][]byte{drawn.Bytes(), drawn.Bytes()}
	var all []string
	for _, p := range parts(d) {
		checkPart(t, p)
		all = append(all, p.Body)
	}
	want := []string{
		"Week 14\nFirst of all\n1. Ada 1\n   Ⓐ ok: Ask\nWho moved\n2. Ada 2\n   Ⓑ ok: Ask", "tempo",
		"3. Ada 3\n   Ⓒ ok: Ask\nAt a glance\n4. Ada 4\n   Ⓓ ok: Ask", "calendar",
	}
	if !slices.Equal(all, want) {
		t.Errorf("%q, want %q", all, want)
	}
	if n := len(parts(d)[2].Note.Choices); n != 4 {
		t.Errorf("%d marks on the last page of words", n)
	}
}

var tag = regexp.MustCompile(`<[^>]*>`)

// allowed are the tags that the bot writes. All are among those that the
// specification suggests clients to show ("m.room.message msgtypes").
var allowed = regexp.MustCompile(`^</?(p|h4|strong|em|li|ol|br)>$|^<ol start="\d+">$`)

// checkPart looks at what must hold for every event of words.
func checkPart(t interface{ Errorf(string, ...any) }, p *part) {
	raw, err := json.Marshal(p)
	if err != nil {
		t.Errorf("%v", err)
	}
	if len(raw) > 40<<10 {
		t.Errorf("an event has %d bytes", len(raw))
	}
	if p.MsgType == event.MsgImage {
		return
	}
	for _, found := range tag.FindAllString(p.FormattedBody, -1) {
		if !allowed.MatchString(found) {
			t.Errorf("tag %s in %s", found, p.FormattedBody)
		}
	}
	for _, name := range []string{"p", "ol", "li", "strong", "em"} {
		if o, c := strings.Count(p.FormattedBody, "<"+name), strings.Count(p.FormattedBody, "</"+name+">"); name != "p" && o != c {
			t.Errorf("%d <%s and %d of its ends in %s", o, name, c, p.FormattedBody)
		}
	}
	if strings.Contains(p.Body, "@room") || strings.Contains(p.FormattedBody, "@room") {
		t.Errorf("@room is said in %q", p.Body)
	}
	if strings.HasPrefix(p.Body, "> ") {
		t.Errorf("body begins like what is repeated of another: %q", p.Body)
	}
	var content map[string]any
	if err := json.Unmarshal(raw, &content); err != nil {
		t.Errorf("%v", err)
	}
	if m, ok := content["m.mentions"].(map[string]any); !ok || len(m) > 0 {
		t.Errorf("m.mentions is %v", content["m.mentions"])
	}
}

// TestLongPost is cut between items, and keeps its numbers.
func TestLongPost(t *testing.T) {
	p := studio.Post{Kind: studio.DigestPost, Title: "The week"}
	for i := range 400 {
		p.Items = append(p.Items, studio.PostItem{N: i + 1, Head: fmt.Sprintf("Student %d", i+1), Detail: strings.Repeat("clean <and> steady ", 20)})
	}
	p.Choices = []studio.Choice{{Label: "Fine", Text: "fine"}}
	all := parts(studio.Delivery{Post: p})
	if len(all) < 3 {
		t.Fatalf("%d events", len(all))
	}
	next := 1
	for i, part := range all {
		checkPart(t, part)
		if begin := fmt.Sprintf(`<ol start="%d">`, next); !strings.Contains(part.FormattedBody, begin) {
			t.Errorf("event %d lacks %s", i, begin)
		}
		for strings.Contains(part.Body, fmt.Sprintf("%d. Student %d\n", next, next)) {
			next++
		}
		if last := i == len(all)-1; last != (len(part.Note.Choices) == 1) || last != strings.Contains(part.Body, "Ⓐ Fine") {
			t.Errorf("event %d of %d has choices %v", i, len(all), part.Note.Choices)
		}
	}
	if next != 401 {
		t.Errorf("items up to %d are there", next-1)
	}
}

// TestListNumbers begins a list anew where the numbers jump.
func TestListNumbers(t *testing.T) {
	p := studio.Post{Items: []studio.PostItem{{N: 2, Head: "a"}, {N: 3, Head: "b"}, {N: 7, Head: "c"}}}
	got := parts(studio.Delivery{Post: p})[0].FormattedBody
	const want = `<ol start="2"><li><strong>a</strong></li><li><strong>b</strong></li></ol><ol start="7"><li><strong>c</strong></li></ol>`
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// TestPartsLoseNothing cuts any post into events that fit, with all its words in
// order, none of them cut unless it fits no event.
func TestPartsLoseNothing(t *testing.T) {
	words := rapid.SliceOfN(rapid.StringMatching(`[a-zA-Z<&"'éß語]{1,400}`), 0, 300)
	rapid.Check(t, func(rt *rapid.T) {
		sep := rapid.SampledFrom([]string{" ", "\n"})
		join := func(what string) string {
			var b strings.Builder
			for i, w := range words.Draw(rt, what) {
				if i > 0 {
					b.WriteString(sep.Draw(rt, "sep"))
				}
				b.WriteString(w)
			}
			return b.String()
		}
		p := studio.Post{Kind: studio.DigestPost, Title: join("title"), Text: join("text"), Foot: join("foot")}
		for i := range rapid.IntRange(0, 8).Draw(rt, "items") {
			p.Items = append(p.Items, studio.PostItem{N: i + 1, Head: join("head"), Detail: join("detail")})
		}
		var want []string
		want = append(append(want, strings.Fields(p.Title)...), strings.Fields(p.Text)...)
		for _, it := range p.Items {
			want = append(append(append(want, fmt.Sprint(it.N, ".")), strings.Fields(it.Head)...), strings.Fields(it.Detail)...)
		}
		want = append(want, strings.Fields(p.Foot)...)
		var got []string
		for _, part := range parts(studio.Delivery{Post: p}) {
			checkPart(rt, part)
			got = append(got, strings.Fields(part.Body)...)
		}
		if len(want) == 0 {
			want = []string{"…"}
		}
		w, g := strings.Join(want, " "), strings.Join(got, " ")
		w = strings.ReplaceAll(w, " .", ".")
		if w != g {
			rt.Fatalf("got  %.300s\nwant %.300s", g, w)
		}
	})
}

// TestLongWord is cut inside, since it fits no event.
func TestLongWord(t *testing.T) {
	long := strings.Repeat("語", 50_000)
	var got strings.Builder
	for _, part := range parts(studio.Delivery{Post: studio.Post{Text: "x " + long + " y"}}) {
		checkPart(t, part)
		got.WriteString(part.Body)
	}
	if strings.Count(got.String(), "語") != 50_000 {
		t.Errorf("%d of 50,000 letters are there", strings.Count(got.String(), "語"))
	}
}

func newNamed(t testing.TB, user id.UserID) *mautrix.Client {
	t.Helper()
	cli, err := mautrix.NewClient("http://harbour.test", user, "")
	if err != nil {
		t.Fatal(err)
	}
	return cli
}

func TestWords(t *testing.T) {
	s := &session{Client: newNamed(t, "@studio-bot:harbour.test"), name: "Studio Bot"}
	answer := (&event.RelatesTo{}).SetReplyTo("$x")
	for _, tt := range []struct {
		body string
		rel  *event.RelatesTo
		want string
	}{
		{"1 96 clean", nil, "1 96 clean"},
		{"  1 96 clean \n", nil, "1 96 clean"},
		{"@studio-bot:harbour.test: 1 96", nil, "1 96"},
		{"@studio-bot 1 96", nil, "1 96"},
		{"studio-bot, 1 96", nil, "1 96"},
		{"Studio Bot: 1 96", nil, "1 96"},
		{"studio bot 1 96", nil, "1 96"},
		{"studio-bottom 1", nil, "studio-bottom 1"},
		{"Wim: 1 96", nil, "Wim: 1 96"},
		{"studio-bot", nil, ""},
		{"> <@x:h> card\n> more\n\n1 96", answer, "1 96"},
		{"> <@x:h> card\n\n> 1 96", answer, "> 1 96"},
		{"> <@x:h> I say\n\nyes", nil, "> <@x:h> I say\n\nyes"},
	} {
		if got := s.words(&event.MessageEventContent{Body: tt.body, RelatesTo: tt.rel}); got != tt.want {
			t.Errorf("words(%q) = %q, want %q", tt.body, got, tt.want)
		}
	}
}

// FuzzWords reads whatever people write.
func FuzzWords(f *testing.F) {
	for _, name := range hostile {
		f.Add(name, name)
	}
	f.Fuzz(func(t *testing.T, body, name string) {
		s := &session{Client: newNamed(t, "@studio-bot:harbour.test"), name: name}
		for _, rel := range []*event.RelatesTo{nil, (&event.RelatesTo{}).SetReplyTo("$x")} {
			if got := s.words(&event.MessageEventContent{Body: body, RelatesTo: rel}); !strings.Contains(body, got) {
				t.Errorf("words(%q) = %q", body, got)
			}
		}
	})
}
