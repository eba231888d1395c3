package discord_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf16"

	"ledgerline/adapters/discord/discordtest"
	"ledgerline/studio"
)

func TestRoutineCard(t *testing.T) {
	s := newStage(t)
	id := s.send(s.routine())
	posts := s.discord.Posts(s.line)
	if len(posts) != 1 || posts[0].ID != id || posts[0].Content != "" || len(posts[0].Embeds) != 1 {
		t.Fatalf("posts %+v, want one card", posts)
	}
	e := posts[0].Embeds[0]
	if e.Title != "Wednesday 4 March" || e.Description != "A light day." || e.Footer.Text != "About 40 min with rests." {
		t.Errorf("card %+v", e)
	}
	want := []discordtest.Field{
		{Name: `1\. Daily Ground 2 · lines 14–16 · Eb`, Value: "quarter=84 to 92 · 6 min, then rest 6\nlast time shaky"},
		{Name: `2\. Slur Atlas 1 · line 3`, Value: "quarter=72 · 4 min"},
	}
	if !slices.Equal(e.Fields, want) {
		t.Errorf("fields %+v, want %+v", e.Fields, want)
	}
	wantButtons := []discordtest.Button{
		{Label: "Played it all", CustomID: "0|all done"}, {Label: "Part of it", CustomID: "1|some of it"},
		{Label: "Rest day", CustomID: "2|rest day"}, {Label: "I can't today", CustomID: "3|nothing today"},
	}
	if !slices.Equal(posts[0].Buttons, wantButtons) {
		t.Errorf("buttons %+v, want %+v", posts[0].Buttons, wantButtons)
	}
	if n := posts[0].Nonce; n == "" || len(n) > 25 {
		t.Errorf("nonce %q, want 1 to 25 characters", n)
	}
}

func TestWords(t *testing.T) {
	s := newStage(t)
	asked := s.discord.Say(s.line, s.pupil, "2?")
	d := s.plain("question/7", "Which is it?")
	d.Title, d.Foot, d.ReplyTo = "Line 2", "Or write it again.", asked
	d.Choices = []studio.Choice{{Label: "Clean", Text: "2 clean"}, {Label: "Shaky", Text: strings.Repeat("2 shaky ", 20)}}
	s.send(d)
	p := s.discord.Posts(s.line)[0]
	if want := "**Line 2**\nWhich is it?\n-# Or write it again."; p.Content != want {
		t.Errorf("content %q, want %q", p.Content, want)
	}
	if p.ReplyTo != asked || len(p.Pinged) > 0 {
		t.Errorf("answers %q and calls %q, want %q and nobody", p.ReplyTo, p.Pinged, asked)
	}
	if p.Buttons[1].CustomID != "1" {
		t.Errorf("custom id %q, want the number alone, since the text is too long", p.Buttons[1].CustomID)
	}
	if p.Flags != 4 {
		t.Errorf("flags %d, want 4: links are not unfolded", p.Flags)
	}
}

// A message that was answered may be gone by the time the answer goes out.
func TestAnsweredMessageGone(t *testing.T) {
	s := newStage(t)
	asked := s.discord.Say(s.line, s.pupil, "2?")
	s.discord.Delete(s.line, asked)
	d := s.plain("answer/1", "Never mind.")
	d.ReplyTo = asked
	s.send(d)
	if p := s.discord.Posts(s.line); len(p) != 1 || p[0].ReplyTo != "" {
		t.Errorf("posts %+v, want one that answers nothing", p)
	}
}

// Names and remarks that would do something on Discord, if they could. The
// wanted text is what Discord makes of the escaped one: a backslash before a
// character that is no letter or digit shows that character alone (Discord's
// help centre, "Markdown Text 101").
var hostile = []string{
	"@everyone", "@here", "<@123456789012345678>", "<@&42>", "<#42>", "<script>alert(1)</script>",
	"[x](https://example.org)", "[x](y)", "`code`", "```\nblock\n```", "**bold**", "__under__", "~~gone~~", "||secret||",
	"# heading", "-# small", "> quote", ">>> quote", "- list", "* list", "1. list", "2) list", "+ list", "\\", "\\\\*", "a_b_c",
	"<:emoji:42>", "<t:1700000000>", "</command:42>", "https://example.org/a_b*c*", "\u202Eright to left", "x\u0000y",
}

func TestHostileNames(t *testing.T) {
	s := newStage(t)
	for i, name := range hostile {
		d := s.plain(studio.Key(fmt.Sprint("plain/", i)), name+" wrote: "+name+"\n"+name)
		d.Title, d.Foot = name, name
		d.Choices = []studio.Choice{{Label: name, Text: name}}
		s.send(d)
		card := s.routine()
		card.Key = studio.Key(fmt.Sprint("card/", i))
		card.Title, card.Text, card.Foot = name, name, name
		card.Items = []studio.PostItem{{N: 1, Head: name, Detail: name}}
		s.send(card)
	}
	posts := s.discord.Posts(s.line)
	for i, name := range hostile {
		shown := clean(name)
		plain, card := posts[2*i], posts[2*i+1]
		flat := strings.Join(strings.Fields(shown), " ")
		lines := strings.SplitN(plain.Content, "\n", 2)
		if got := unescape(t, strings.TrimSuffix(strings.TrimPrefix(lines[0], "**"), "**")); got != flat {
			t.Errorf("%q as a title shows as %q", name, got)
		}
		text, foot, _ := strings.Cut(lines[1], "\n-# ")
		foot = strings.ReplaceAll(foot, "\n-# ", "\n")
		if got := unescape(t, text); got != strings.TrimSpace(shown+" wrote: "+shown+"\n"+shown) {
			t.Errorf("%q shows as %q", name, got)
		}
		if got := unescape(t, foot); got != shown {
			t.Errorf("%q as small print shows as %q", name, got)
		}
		e := card.Embeds[0]
		for what, got := range map[string]string{"title": e.Title, "description": e.Description, "value": e.Fields[0].Value} {
			want := shown
			if what == "title" {
				want = flat
			}
			if got := unescape(t, got); got != want {
				t.Errorf("%q as %s shows as %q", name, what, got)
			}
		}
		if e.Footer.Text != shown {
			t.Errorf("%q as small print is %q", name, e.Footer.Text)
		}
		if len(plain.Pinged)+len(card.Pinged) > 0 {
			t.Errorf("%q calls %q %q", name, plain.Pinged, card.Pinged)
		}
	}
}

// clean returns a name without the characters that no text of ours keeps.
func clean(name string) string {
	return strings.NewReplacer("\u202E", " ", "\u0000", " ").Replace(name)
}

// unescape reads text as Discord shows it, and fails the test if markup is left
// that is not escaped.
func unescape(t *testing.T, text string) string {
	t.Helper()
	var b strings.Builder
	lineStart := true
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case c == '\\' && i+1 < len(text):
			i++
			b.WriteByte(text[i])
			lineStart = false
			continue
		case strings.HasPrefix(text[i:], "https://"):
			end := i + strings.IndexAny(text[i:]+" ", " \n*`\\)")
			b.WriteString(text[i:end])
			i, lineStart = end-1, false
			continue
		case strings.IndexByte("*_~|`[]<>@", c) >= 0, lineStart && strings.IndexByte("#-+", c) >= 0:
			t.Errorf("%q has a bare %q at %d", text, c, i)
		}
		b.WriteByte(c)
		lineStart = c == '\n' || lineStart && c == ' '
	}
	return b.String()
}

func TestLongCardSplitsAtItems(t *testing.T) {
	s := newStage(t)
	d := s.routine()
	d.Items = nil
	for n := 1; n <= 60; n++ {
		d.Items = append(d.Items, studio.PostItem{N: n, Head: fmt.Sprintf("Daily Ground %d", n), Detail: strings.Repeat("word ", 1+3*(n%40)) + "end"})
	}
	asked := s.discord.Say(s.line, s.pupil, "today?")
	d.ReplyTo = asked
	first := s.send(d)
	posts := s.discord.Posts(s.line)
	if len(posts) < 3 || posts[0].ID != first || posts[0].ReplyTo != asked {
		t.Fatalf("%d posts, the first %s answering %q", len(posts), posts[0].ID, posts[0].ReplyTo)
	}
	n := 0
	for i, p := range posts {
		if i > 0 && p.ReplyTo != first {
			t.Errorf("part %d refers to %q, want the first part", i, p.ReplyTo)
		}
		if (len(p.Buttons) > 0) != (i == len(posts)-1) {
			t.Errorf("part %d has %d buttons", i, len(p.Buttons))
		}
		var fields []discordtest.Field
		for _, e := range p.Embeds {
			fields = append(fields, e.Fields...)
		}
		for _, f := range fields {
			it := d.Items[n]
			n++
			if f.Name != fmt.Sprintf(`%d\. %s`, it.N, it.Head) || f.Value != it.Detail {
				t.Errorf("item %d is %q: %q", it.N, f.Name, f.Value)
			}
		}
	}
	if n != len(d.Items) {
		t.Errorf("%d items shown of %d", n, len(d.Items))
	}
}

// Every point of a digest has its button on the message it stands in, its part's
// heading above it and its picture below it.
func TestDigestWithPartsButtonsAndPictures(t *testing.T) {
	s := newStage(t)
	d := s.routine()
	d.Kind, d.Items, d.Choices, d.Pictures, d.Images = studio.DigestPost, nil, nil, nil, nil
	parts := []string{"First of all", "Who moved", "At a glance"}
	for n := 1; n <= 60; n++ {
		it := studio.PostItem{N: n, Head: fmt.Sprintf("Hurting: Ada %d", n), Part: parts[(n-1)/20], Answers: "ok: Ask"}
		it.Choices = []studio.Choice{{Label: "Ask", Text: fmt.Sprintf("ask Ada %d", n)}}
		if n == 21 || n == 23 {
			it.Picture = 2 + len(d.Pictures)
			d.Pictures = append(d.Pictures, studio.Picture{Alt: "tempo of " + it.Head})
		}
		d.Items, d.Choices = append(d.Items, it), append(d.Choices, it.Choices[0])
	}
	d.Pictures = append([]studio.Picture{{Alt: "calendar"}}, d.Pictures...)
	for i := range d.Pictures {
		d.Images = append(d.Images, []byte{0x89, 'P', 'N', 'G', byte(i)})
	}
	s.send(d)
	var headings, shown []string
	n, files := 0, 0
	for _, p := range s.discord.Posts(s.line) {
		var here []string
		for _, e := range p.Embeds {
			if e.Title != "" {
				headings = append(headings, e.Title)
			}
			for _, f := range e.Fields {
				n++
				if f.Value != "ok: Ask" {
					t.Errorf("point %d says %q", n, f.Value)
				}
				here = append(here, fmt.Sprintf("%d Ask", n))
			}
			if name, ok := strings.CutPrefix(e.Image.URL, "attachment://"); ok {
				at := slices.IndexFunc(p.Files, func(f discordtest.File) bool { return f.Name == name })
				shown = append(shown, fmt.Sprintf("%d: %s", n, p.Files[at].Description))
			}
		}
		files += len(p.Files)
		var labels []string
		for _, b := range p.Buttons {
			labels = append(labels, b.Label)
		}
		if !slices.Equal(labels, here) {
			t.Errorf("a message with the points %v has the buttons %v", here, labels)
		}
	}
	if want := append([]string{d.Title}, parts...); !slices.Equal(headings, want) {
		t.Errorf("headings %q, want %q", headings, want)
	}
	if want := []string{"21: tempo of Hurting: Ada 21", "23: tempo of Hurting: Ada 23"}; !slices.Equal(shown, want) || n != 60 || files != 3 {
		t.Errorf("%d points, %d files, pictures %q; want 60, 3, %q", n, files, shown, want)
	}
}

// Each line and word of a long text is somewhere, whole and in order.
func TestLongTextSplitsAtWords(t *testing.T) {
	s := newStage(t)
	var lines []string
	for n := range 100 {
		lines = append(lines, fmt.Sprintf("line_%d says *this* and that, by [hand](x).", n))
	}
	lines = append(lines, strings.TrimSpace(strings.Repeat("unbroken_words ", 300)))
	d := s.plain("long", strings.Join(lines, "\n"))
	d.Title = "Help"
	s.send(d)
	var words []string
	for _, p := range s.discord.Posts(s.line) {
		if n := len(utf16.Encode([]rune(p.Content))); n > 2000 {
			t.Errorf("a part of %d characters", n)
		}
		words = append(words, strings.Fields(unescape(t, strings.TrimPrefix(p.Content, "**Help**")))...)
	}
	if want := strings.Fields(d.Text); !slices.Equal(words, want) {
		t.Errorf("%d words shown, want %d, or other ones", len(words), len(want))
	}
}

func TestVeryLongWord(t *testing.T) {
	s := newStage(t)
	word := strings.Repeat("𝄞*", 1500)
	s.send(s.plain("word", word))
	var got strings.Builder
	for _, p := range s.discord.Posts(s.line) {
		got.WriteString(unescape(t, p.Content))
	}
	if got.String() != word {
		t.Errorf("shown as %d characters, want %d", got.Len(), len(word))
	}
}

func TestLongItem(t *testing.T) {
	s := newStage(t)
	d := s.routine()
	d.Items = []studio.PostItem{
		{N: 1, Head: strings.TrimSpace(strings.Repeat("head ", 100)), Detail: strings.TrimSpace(strings.Repeat("detail ", 400))},
		{N: 2, Head: "no detail"},
	}
	d.Text = strings.TrimSpace(strings.Repeat("note ", 2000))
	s.send(d)
	var words []string
	for _, p := range s.discord.Posts(s.line) {
		for _, e := range p.Embeds {
			words = append(words, strings.Fields(e.Description)...)
			for _, f := range e.Fields {
				words = append(words, strings.Fields(f.Value)...)
			}
		}
	}
	counts := map[string]int{}
	for _, w := range words {
		counts[w]++
	}
	if counts["head"] != 100 || counts["detail"] != 400 || counts["note"] != 2000 {
		t.Errorf("words shown: %v", counts)
	}
}

func TestPictures(t *testing.T) {
	s := newStage(t)
	d := s.plain("progress/1", "Your tempo.")
	d.Pictures = []studio.Picture{{Alt: "Tempo rose from 72 to 96."}, {Alt: strings.Repeat("alt ", 600)}, {Alt: "Not drawn: three days kept."}}
	d.Images = [][]byte{{0x89, 'P', 'N', 'G', 1}, {0x89, 'P', 'N', 'G', 2}, nil}
	s.send(d)
	p := s.discord.Posts(s.line)[0]
	if len(p.Files) != 2 || p.Files[0].Description != d.Pictures[0].Alt || !slices.Equal(p.Files[1].Bytes, d.Images[1]) {
		t.Errorf("files %+v", p.Files)
	}
	if n := len([]rune(p.Files[1].Description)); n > 1024 || n < 1000 {
		t.Errorf("a description of %d characters", n)
	}
	if !strings.Contains(p.Content, "Not drawn: three days kept.") {
		t.Errorf("content %q lacks the words for the picture that was not drawn", p.Content)
	}
}

func TestBriefReceipt(t *testing.T) {
	s := newStage(t)
	asked := s.discord.Say(s.line, s.pupil, "all done")
	d := s.plain("receipt/1", "Logged: all done.")
	d.Kind, d.Brief, d.ReplyTo = studio.ReceiptPost, true, asked
	if id := s.send(d); strings.Contains(id, "/") == false {
		t.Errorf("id %q could be a message's", id)
	}
	all := s.discord.Messages(s.line)
	if len(all) != 1 || len(all[0].Reactions) != 1 || all[0].Reactions[0].Emoji != "✅" {
		t.Errorf("messages %+v, want one with a mark", all)
	}
	// Where no mark may be set, words do.
	s.discord.Forbid(s.channel, discordtest.AddReactions)
	id := s.discord.Say(s.channel, s.pupil, "all done")
	d.Key, d.To, d.ReplyTo = "receipt/2", studio.Address{Platform: "discord", Channel: s.channel}, id
	s.send(d)
	if p := s.discord.Posts(s.channel); len(p) != 1 || p[0].Content != "Logged: all done." {
		t.Errorf("posts %+v, want words", p)
	}
	// A message that is gone needs no mark, and no words.
	s.discord.Delete(s.line, asked)
	d.Key, d.To, d.ReplyTo = "receipt/3", s.to(s.pupil), asked
	s.send(d)
	if p := s.discord.Posts(s.line); len(p) != 0 {
		t.Errorf("posts %+v, want none", p)
	}
}

// A receipt for a pressed button marks the card; one for a slash command has no
// message to mark.
func TestBriefReceiptForInteraction(t *testing.T) {
	s := newStage(t)
	card := s.send(s.routine())
	d := s.plain("receipt/1", "Logged: all done.")
	d.Brief, d.ReplyTo = true, "press/"+card+"/123"
	s.send(d)
	all := s.discord.Messages(s.line)
	if len(all) != 1 || len(all[0].Reactions) != 1 {
		t.Fatalf("messages %+v, want the card with a mark", all)
	}
	d.Key, d.ReplyTo = "receipt/2", "slash/123"
	s.send(d)
	if p := s.discord.Posts(s.line); len(p) != 2 || p[1].Content != "Logged: all done." || p[1].ReplyTo != "" {
		t.Errorf("posts %+v, want words that answer nothing", p)
	}
}

func TestSendAgain(t *testing.T) {
	s := newStage(t)
	first := s.send(s.routine())
	s.newBot() // as after a crash before the sending was recorded
	if again := s.send(s.routine()); again != first {
		t.Errorf("sent again as %s, want %s", again, first)
	}
	if n := len(s.discord.Posts(s.line)); n != 1 {
		t.Errorf("%d posts, want 1", n)
	}
}

// Posts to many lines at once, some of them the same post twice.
func TestSendAtOnce(t *testing.T) {
	s := newStage(t)
	var lines []string
	var sending sync.WaitGroup
	for n := range 10 {
		u := s.discord.AddUser(fmt.Sprint("student ", n))
		lines = append(lines, s.discord.Line(u))
		for k := range 4 {
			d := s.routine()
			d.Key, d.To = studio.Key(fmt.Sprintf("routine/%d/%d", n, k/2)), s.to(u)
			sending.Go(func() {
				if _, err := s.bot.Send(t.Context(), d); err != nil {
					t.Error(err)
				}
			})
		}
	}
	sending.Wait()
	for n, line := range lines {
		if got := len(s.discord.Posts(line)); got != 2 {
			t.Errorf("line %d has %d posts, want 2", n, got)
		}
	}
}

func TestWrongPlatform(t *testing.T) {
	s := newStage(t)
	d := s.routine()
	d.To.Platform = "matrix"
	_, err := s.bot.Send(context.Background(), d)
	var e *studio.SendError
	if !errors.As(err, &e) || !e.Permanent {
		t.Errorf("error %v, want a permanent one", err)
	}
}
