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
	card := c.posts(s)
	c.answers(s, card)
	c.follows(s, card)
	c.comesBack(s)
	c.mindsLimits(s)
	c.do(map[string]any{"do": "quit"})
}

// act returns what has the client post words with buttons.
func act(s *stage, nonce string) map[string]any {
	return map[string]any{"do": "post", "channel": s.channel, "text": "Today's routine", "nonce": nonce, "buttons": []string{"done", "rest"}}
}

// posts has it post words, twice with one nonce, a card with a picture, and
// words on a private line.
func (c *second) posts(s *stage) (id string) {
	c.do(act(s, "once"))
	id = c.hears("posted").ID
	c.do(act(s, "once"))
	if again := c.hears("posted").ID; again != id || len(s.discord.Posts(s.channel)) != 1 {
		c.t.Errorf("posted as %s and, with the same nonce, as %s", id, again)
	}
	c.do(map[string]any{"do": "card", "channel": s.channel, "text": "A card"})
	if h := c.hears("posted"); h.Files != 1 || h.Embeds != 1 {
		c.t.Errorf("the card came back as %+v", h)
	}
	c.do(map[string]any{"do": "private", "user": s.pupil.ID, "text": "To you alone"})
	if h := c.hears("posted"); s.discord.Posts(s.line)[0].ID != h.ID {
		c.t.Errorf("not on the private line: %+v", h)
	}
	return id
}

// answers has people press a button, give a command and type one.
func (c *second) answers(s *stage, card string) {
	press := s.discord.Press(s.channel, card, s.pupil, "rest")
	if h := c.hears("press"); h.Text != "rest" || h.ID != card || h.Author != s.pupil.ID {
		c.t.Errorf("pressed %+v", h)
	}
	if a, ok := press.Answer(); !ok || a.Type != 6 {
		c.t.Errorf("answered %+v, %v", a, ok)
	}
	slash := s.discord.Slash(s.channel, s.teacher, "week", "name", "Wim")
	if h := c.hears("slash"); h.Text != "week Wim" {
		c.t.Errorf("commanded %+v", h)
	}
	if a, ok := slash.Answer(); !ok || a.Type != 4 || a.Data.Flags != 64 {
		c.t.Errorf("answered %+v, %v", a, ok)
	}
	typing := s.discord.Type(s.channel, s.teacher, "week", "name", "name", "W")
	if h := c.hears("typing"); h.Text != "W" {
		c.t.Errorf("typed %+v", h)
	}
	if a, ok := typing.Answer(); !ok || len(a.Data.Choices) != 1 {
		c.t.Errorf("answered %+v, %v", a, ok)
	}
}

// follows has people write, edit, react and delete.
func (c *second) follows(s *stage, card string) {
	m := s.discord.Reply(s.channel, s.pupil, card, "1 clean")
	h := c.hears("message")
	for h.Author == s.discord.Bot().ID { // it hears its own posts as well
		h = c.hears("message")
	}
	if h.ID != m || h.Text != "1 clean" || h.DM {
		c.t.Errorf("heard %+v", h)
	}
	s.discord.Edit(s.channel, m, "1 shaky")
	if h := c.hears("edit"); h.ID != m || h.Text != "1 shaky" {
		c.t.Errorf("edited %+v", h)
	}
	s.discord.React(s.channel, card, s.pupil, "✅")
	if h := c.hears("reaction"); h.ID != card || h.Emoji != "✅" {
		c.t.Errorf("reacted %+v", h)
	}
	s.discord.Delete(s.channel, m)
	if h := c.hears("deletion"); h.ID != m {
		c.t.Errorf("deleted %+v", h)
	}
}

// comesBack cuts the connection: the client comes back to its session, at the
// address it was given for that, and hears what it missed.
func (c *second) comesBack(s *stage) {
	before := s.discord.Stats()
	s.discord.Sever()
	missed := s.discord.Say(s.line, s.pupil, "while away")
	if h := c.hears("message"); h.ID != missed || !h.DM {
		c.t.Errorf("missed %+v", h)
	}
	c.hears("resumed")
	if after := s.discord.Stats(); after.Resumes != before.Resumes+1 || after.Identifies != before.Identifies {
		c.t.Errorf("resumed %d times, identified %d times", after.Resumes-before.Resumes, after.Identifies-before.Identifies)
	}
	c.do(map[string]any{"do": "history", "channel": s.line})
	if h := c.hears("history"); h.Text != "To you alone|while away" {
		c.t.Errorf("history %q", h.Text)
	}
}

// mindsLimits sees that the headers of limits mean to the client what they
// should.
func (c *second) mindsLimits(s *stage) {
	s.discord.Limit("POST", "/messages", 1, 300*time.Millisecond)
	for _, nonce := range []string{"a", "b", "c"} {
		c.do(act(s, nonce))
	}
	for range 3 {
		c.hears("posted")
	}
	if st := s.discord.Stats(); st.Limited > 1 {
		c.t.Errorf("%d requests were answered 429 to a client that minds the headers", st.Limited)
	}
}
