package discord_test

import (
	"bufio"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"ledgerline/adapters/discord/discordtest"
)

// discordJS is a client of Discord that shares nothing with ours. What it can't
// do with the server of our tests, that server does wrong.
const discordJS = "14.28.1"

// installed returns a folder that holds the client. It is kept between tests,
// since it comes over the network.
func installed(t *testing.T) string {
	if testing.Short() {
		t.Skip("The second client is left out of short tests.")
	}
	for _, tool := range []string{"node", "npm"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("There is no %s here, so the server is not tried with a second client.", tool)
		}
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = t.TempDir()
	}
	dir := filepath.Join(cache, "ledgerline-tests", "discord.js-"+discordJS)
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "discord.js", "package.json")); err == nil {
		return dir
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	npm := exec.Command("npm", "install", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix", dir, "discord.js@"+discordJS)
	if out, err := npm.CombinedOutput(); err != nil {
		os.RemoveAll(dir)
		t.Skipf("npm could not install discord.js %s, so the server is not tried with a second client: %v\n%s", discordJS, err, out)
	}
	return dir
}

// A second is a running second client.
type second struct {
	t     *testing.T
	in    io.Writer
	lines chan heardBySecond
}

type heardBySecond struct {
	What, ID, Text, Author, User, Emoji string
	DM                                  bool
	Guilds, Files, Embeds               int
	Code                                any
}

func startSecond(t *testing.T, s *discordtest.Server) *second {
	dir := installed(t)
	node := exec.Command("node", filepath.Join("testdata", "second-client.mjs"))
	node.Env = append(os.Environ(), "MODULES="+dir, "API="+s.Root(), "TOKEN="+s.Token())
	node.Stderr = t.Output()
	in, err := node.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := node.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := node.Start(); err != nil {
		t.Fatal(err)
	}
	c := &second{t: t, in: in, lines: make(chan heardBySecond, 100)}
	t.Cleanup(func() {
		node.Process.Kill()
		node.Wait()
	})
	go func() {
		defer close(c.lines)
		for scan := bufio.NewScanner(out); scan.Scan(); {
			var h heardBySecond
			json.Unmarshal(scan.Bytes(), &h)
			c.lines <- h
		}
	}()
	return c
}

func (c *second) do(act map[string]any) {
	raw, _ := json.Marshal(act)
	if _, err := c.in.Write(append(raw, '\n')); err != nil {
		c.t.Fatal(err)
	}
}

// hears waits for what the client says next about a thing, past what it says
// about others.
func (c *second) hears(what string) heardBySecond {
	c.t.Helper()
	timeout := time.After(20 * time.Second)
	for {
		select {
		case h, ok := <-c.lines:
			if h.What == what {
				return h
			}
			if !ok || h.What == "error" {
				c.t.Fatalf("waiting for %s: %+v", what, h)
			}
		case <-timeout:
			c.t.Fatalf("the second client did not say %s", what)
		}
	}
}

func TestSecondClient(t *testing.T) {
	s := newStage(t)
	c := startSecond(t, s.discord)
	if h := c.hears("ready"); h.User != s.discord.Bot().ID || h.Guilds != 1 {
		t.Fatalf("ready as %+v", h)
	}

	post := map[string]any{"do": "post", "channel": s.channel, "text": "Today's routine", "nonce": "once", "buttons": []string{"done", "rest"}}
	c.do(post)
	id := c.hears("posted").ID
	c.do(post)
	if again := c.hears("posted").ID; again != id || len(s.discord.Posts(s.channel)) != 1 {
		t.Errorf("posted as %s and, with the same nonce, as %s", id, again)
	}
	c.do(map[string]any{"do": "card", "channel": s.channel, "text": "A card"})
	if h := c.hears("posted"); h.Files != 1 || h.Embeds != 1 {
		t.Errorf("the card came back as %+v", h)
	}
	c.do(map[string]any{"do": "private", "user": s.pupil.ID, "text": "To you alone"})
	if h := c.hears("posted"); s.discord.Posts(s.line)[0].ID != h.ID {
		t.Errorf("not on the private line: %+v", h)
	}

	i := s.discord.Press(s.channel, id, s.pupil, "rest")
	if h := c.hears("press"); h.Text != "rest" || h.ID != id || h.Author != s.pupil.ID {
		t.Errorf("pressed %+v", h)
	}
	if a, ok := i.Answer(); !ok || a.Type != 6 {
		t.Errorf("answered %+v, %v", a, ok)
	}
	slash := s.discord.Slash(s.channel, s.teacher, "week", "name", "Wim")
	if h := c.hears("slash"); h.Text != "week Wim" {
		t.Errorf("commanded %+v", h)
	}
	if a, ok := slash.Answer(); !ok || a.Type != 4 || a.Data.Flags != 64 {
		t.Errorf("answered %+v, %v", a, ok)
	}
	typing := s.discord.Type(s.channel, s.teacher, "week", "name", "name", "W")
	if h := c.hears("typing"); h.Text != "W" {
		t.Errorf("typed %+v", h)
	}
	if a, ok := typing.Answer(); !ok || len(a.Data.Choices) != 1 {
		t.Errorf("answered %+v, %v", a, ok)
	}

	m := s.discord.Reply(s.channel, s.pupil, id, "1 clean")
	h := c.hears("message")
	for h.Author == s.discord.Bot().ID { // it hears its own posts as well
		h = c.hears("message")
	}
	if h.ID != m || h.Text != "1 clean" || h.DM {
		t.Errorf("heard %+v", h)
	}
	s.discord.Edit(s.channel, m, "1 shaky")
	if h := c.hears("edit"); h.ID != m || h.Text != "1 shaky" {
		t.Errorf("edited %+v", h)
	}
	s.discord.React(s.channel, id, s.pupil, "✅")
	if h := c.hears("reaction"); h.ID != id || h.Emoji != "✅" {
		t.Errorf("reacted %+v", h)
	}
	s.discord.Delete(s.channel, m)
	if h := c.hears("deletion"); h.ID != m {
		t.Errorf("deleted %+v", h)
	}

	// It comes back to its session, at the address it was given, and hears what
	// it missed.
	before := s.discord.Stats()
	s.discord.Sever()
	missed := s.discord.Say(s.line, s.pupil, "while away")
	if h := c.hears("message"); h.ID != missed || !h.DM {
		t.Errorf("missed %+v", h)
	}
	c.hears("resumed")
	if after := s.discord.Stats(); after.Resumes != before.Resumes+1 || after.Identifies != before.Identifies {
		t.Errorf("resumed %d times, identified %d times", after.Resumes-before.Resumes, after.Identifies-before.Identifies)
	}
	c.do(map[string]any{"do": "history", "channel": s.line})
	if h := c.hears("history"); h.Text != "To you alone|while away" {
		t.Errorf("history %q", h.Text)
	}
	s.discord.Limit("POST", "/messages", 1, 300*time.Millisecond)
	for _, nonce := range []string{"a", "b", "c"} {
		post["nonce"] = nonce
		c.do(post)
	}
	for range 3 {
		c.hears("posted")
	}
	if st := s.discord.Stats(); st.Limited > 1 {
		t.Errorf("%d requests were answered 429 to a client that minds the headers", st.Limited)
	}
	c.do(map[string]any{"do": "quit"})
}
