package main

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgerline/adapters/matrix/matrixtest"
	"ledgerline/routine"
	"ledgerline/studio"
)

// A site is a chat with the studio's members on it, that is not the program's
// own and lives on when the program is killed.
type site interface {
	settings() []string // by which the program connects to it
	secrets() []string  // what nobody may read in the program's log: tokens, and people's accounts
	account(who string) studio.Account
	channel() studio.Address

	// say has a member write on her private line, or in the channel, in reply to
	// a post if its id is not empty; edit and remove do so with a message of hers.
	say(who, text, replyTo string, open bool) (id string)
	edit(who, id, text string)
	remove(who, id string)
	// tap gives the n-th quick answer of a post on her private line, and returns
	// how it is taken back, and an id that it is known by, if any.
	tap(who, post string, n int) (id string, takeBack func())

	// shown returns everything the bot has said and everybody sees, each with
	// where it stands.
	shown() []string
	// labels returns what the platform's ids stand for, of people and places.
	labels() map[string]string
}

// TestKilledOnDiscord has the members talk with the program over a Discord of
// ours, undisturbed and while it is killed again and again.
func TestKilledOnDiscord(t *testing.T) {
	killedOn(t, func(t *testing.T) site { return newDiscordSite(t) })
}

// TestKilledOnMatrix does so over a homeserver.
func TestKilledOnMatrix(t *testing.T) {
	killedOn(t, func(t *testing.T) site { return newMatrixSite(t) })
}

// killedOn compares conversations that were disturbed with the same that were
// not: in both the file must hold the same log and standings, and the chat must
// show the same, everything once.
func killedOn(t *testing.T, open func(*testing.T) site) {
	if testing.Short() {
		t.Skip("this takes a while; not with -short")
	}
	var all result
	for seed, left := uint64(1), killsWanted(t, 6); left > 0; seed++ {
		kills := min(left, killsAtOnce)
		left -= kills
		t.Run(fmt.Sprintf("conversation %d", seed), func(t *testing.T) {
			date := today()
			want := chatOn(t, open(t), date, seed, 0, &result{})
			got := chatOn(t, open(t), date, seed, kills, &all)
			if today() != date {
				t.Skip("midnight went by")
			}
			all.conversations++
			all.hold(t, want, got)
		})
	}
	t.Logf("%d kills in %d conversations (%s); %d happenings; lost: %d, doubled: %d",
		all.killed(), all.conversations, all.kinds(), all.offered, all.lost, all.doubled)
}

// A chatTalk is a conversation with the program over a site.
type chatTalk struct {
	*program
	site   site
	random *rand.Rand
	result *result

	messages map[string][]string // ids of a member's messages, in order
	texts    map[string]string   // what messages say
	labels   map[string]string   // what the ids of messages stand for
	undo     map[string]func()   // taps that were not taken back
	happened int                 // what the program should have heard
}

// chatOn holds the conversation of a seed over a site, on a file of its own.
func chatOn(t *testing.T, s site, date routine.Date, seed uint64, kills int, res *result) *record {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 0))
	script := newScript(r)
	p := newProgram(t, writeFolderOn(t, date, s.channel(), s.account), filepath.Join(t.TempDir(), "studio.db"))
	p.settings, p.args = s.settings(), []string{"--log-level", "debug"}
	if kills > 0 {
		p.settings = answeredLate(t, p.settings)
	}
	c := &chatTalk{
		program: p, site: s, random: rand.New(rand.NewPCG(rand.Uint64(), 1)), result: res,
		messages: map[string][]string{}, texts: map[string]string{}, labels: map[string]string{}, undo: map[string]func(){},
	}
	c.start()
	c.stop()
	leaveNight(t, c.database, date)
	for range kills / 5 {
		c.hitSoon(midNight)
	}
	c.start()
	c.awaitMorning()
	strikes := scatter(c.random, len(script), kills-kills/5)
	for i, steps := range script {
		c.turn(i, steps, strikes[i])
	}
	c.settle()
	c.stop()
	c.wantQuiet()
	return c.record(date)
}

// answeredLate returns settings by which the program reaches the platforms by a
// longer way: what it sends is there at once, and the answer comes late, so that it
// may be killed without knowing.
func answeredLate(t testing.TB, settings []string) []string {
	settings = slices.Clone(settings)
	for i, s := range settings {
		name, address, _ := strings.Cut(s, "=")
		to, err := url.Parse(address)
		if err != nil || to.Scheme != "http" {
			continue
		}
		server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
			body, err := io.ReadAll(req.Body)
			if err != nil {
				return
			}
			resp, err := matrixtest.Forward("http://"+to.Host, req, body)
			if err != nil {
				panic(http.ErrAbortHandler)
			}
			defer resp.Body.Close()
			if req.Method != http.MethodGet {
				time.Sleep(rand.N(200 * time.Millisecond))
			}
			maps.Copy(w.Header(), resp.Header)
			w.WriteHeader(resp.StatusCode)
			io.Copy(w, resp.Body)
		}))
		t.Cleanup(func() { server.Listener.Close() }) // and not wait for who is asked to wait
		settings[i] = name + "=" + server.URL + to.Path
	}
	return settings
}

// wantQuiet fails if the program's log holds a secret, a name, or words that were
// said.
func (c *chatTalk) wantQuiet() {
	c.t.Helper()
	wantQuiet(c.t, c.program, append(slices.Collect(maps.Values(c.texts)), c.site.secrets()...))
	c.look(`SELECT body FROM outbox`, func(rows *sql.Rows) error {
		var p studio.Post
		var body []byte
		if err := rows.Scan(&body); err != nil {
			return err
		}
		err := json.Unmarshal(body, &p)
		wantQuiet(c.t, c.program, []string{p.Title, p.Text, p.Foot})
		return err
	})
}

// awaitMorning waits for what a night left.
func (c *chatTalk) awaitMorning() {
	c.t.Helper()
	want := map[studio.PostKind]int{
		studio.RoutinePost: len(pupils) - 1, studio.DigestPost: 1, studio.AnnouncedPost: 1, // nothing to Mina yet
	}
	c.await("the posts of the morning", func() bool {
		for kind, n := range want {
			if len(c.sent(kind)) < n {
				return false
			}
		}
		return c.idle()
	})
}

// turn has the members do the steps of one turn while the strikes fall.
func (c *chatTalk) turn(n int, steps []step, strikes []strike) {
	c.t.Helper()
	done := false
	do := func() {
		if done {
			return
		}
		done = true
		for i, s := range steps {
			c.do(fmt.Sprintf("%d.%d", n, i), s)
		}
	}
	for _, s := range strikes {
		switch s {
		case midStart:
			c.kill()
			do()
			c.launch()
			c.hitSoon(s)
		case midRequest, onRequest:
			var busy sync.WaitGroup
			busy.Go(func() { c.hitSoon(s) })
			do()
			busy.Wait()
		case afterwards:
			do()
			c.hitSoon(s)
		}
		c.start()
	}
	do()
	c.settle()
}

// hitSoon kills the program within a second: while it connects, catches up,
// reads or sends.
func (c *chatTalk) hitSoon(s strike) {
	if c.process == nil {
		c.launch()
	}
	time.Sleep(time.Duration(c.random.Float64() * float64(time.Second)))
	if s == onRequest {
		c.stop()
	} else {
		c.kill()
	}
	c.result.kills[s]++
}

// do does one step on the site. What there is nothing to do for is left out.
func (c *chatTalk) do(label string, s step) {
	c.t.Helper()
	own := c.messages[s.as]
	switch s.do {
	case "say":
		to := ""
		if s.open {
			to = c.sent(studio.AnnouncedPost)[0].PlatformID
		}
		c.said(label, s, c.site.say(s.as, s.text, to, s.open))
	case "answer":
		for _, q := range c.sent(studio.QuestionPost) {
			if len(own) > 0 && q.ReplyTo == own[len(own)-1] {
				s.text = q.Choices[s.pick].Text
				c.said(label, s, c.site.say(s.as, s.text, q.PlatformID, false))
				return
			}
		}
	case "press":
		c.press(label, s)
	case "edit":
		if len(own) == 0 || c.texts[own[s.pick%len(own)]] == s.text {
			return
		}
		id := own[s.pick%len(own)]
		c.site.edit(s.as, id, s.text)
		c.texts[id] = s.text
		c.heard()
	case "delete":
		if len(own) == 0 {
			return
		}
		id := own[s.pick%len(own)]
		c.site.remove(s.as, id)
		c.messages[s.as] = slices.DeleteFunc(own, func(x string) bool { return x == id })
		c.heard()
	}
}

// press taps a quick answer of the routine, or takes the tap back.
func (c *chatTalk) press(label string, s step) {
	for _, p := range c.sent(studio.RoutinePost) {
		if p.To.Account != c.site.account(s.as).ID {
			continue
		}
		which := fmt.Sprint(p.PlatformID, s.pick)
		if undo := c.undo[which]; undo != nil {
			undo()
			delete(c.undo, which)
		} else {
			id, undo := c.site.tap(s.as, p.PlatformID, s.pick)
			c.undo[which] = undo
			if id != "" {
				c.labels[id] = "message " + label
			}
		}
		c.heard()
		return
	}
}

func (c *chatTalk) said(label string, s step, id string) {
	c.messages[s.as] = append(c.messages[s.as], id)
	c.texts[id] = s.text
	c.labels[id] = "message " + label
	c.heard()
}

func (c *chatTalk) heard() {
	c.happened++
	c.result.offered++
}

// settle waits until the program has read what was said and said what it has to.
func (c *chatTalk) settle() {
	c.t.Helper()
	c.await(fmt.Sprintf("%d happenings in the inbox, all read, and nothing left to send", c.happened), func() bool {
		return c.count(`SELECT count(*) FROM inbox`) >= c.happened && c.idle()
	})
	if n := c.count(`SELECT count(*) FROM inbox`); n > c.happened {
		c.t.Errorf("%d happenings in the inbox, want %d", n, c.happened)
	}
}

func (c *chatTalk) idle() bool {
	return c.count(`SELECT count(*) FROM inbox WHERE verdict = ''`)+c.count(`SELECT count(*) FROM outbox WHERE sent_at IS NULL`) == 0
}

// await waits until something is done, as long as the program gets anywhere.
func (c *chatTalk) await(what string, done func() bool) {
	c.t.Helper()
	var before string
	for end := time.Now(); !done(); time.Sleep(30 * time.Millisecond) {
		now := fmt.Sprintf("%d in the inbox, %d unread, %d not sent", c.count(`SELECT count(*) FROM inbox`),
			c.count(`SELECT count(*) FROM inbox WHERE verdict = ''`), c.count(`SELECT count(*) FROM outbox WHERE sent_at IS NULL`))
		if now != before {
			before, end = now, time.Now().Add(2*patience)
		}
		if time.Now().After(end) {
			c.result.lost++
			c.t.Fatalf("never came about: %s; %s", what, now)
		}
	}
}

// look reads the file beside the program.
func (c *chatTalk) look(query string, each func(*sql.Rows) error, args ...any) {
	c.t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.ToSlash(c.database)+"?mode=rw&_busy_timeout=10000&_query_only=1")
	if err != nil {
		c.t.Fatal(err)
	}
	defer db.Close()
	rows, err := db.QueryContext(c.t.Context(), query, args...)
	if err != nil {
		c.t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		if err := each(rows); err != nil {
			c.t.Fatal(err)
		}
	}
	if err := rows.Err(); err != nil {
		c.t.Fatal(err)
	}
}

func (c *chatTalk) count(query string) (n int) {
	c.t.Helper()
	c.look(query, func(rows *sql.Rows) error { return rows.Scan(&n) })
	return n
}

// sent returns the posts of a kind that were sent, in order.
func (c *chatTalk) sent(kind studio.PostKind) (all []studio.Queued) {
	c.t.Helper()
	c.look(`SELECT platform_id, body FROM outbox WHERE kind = ? AND sent_at IS NOT NULL ORDER BY outbox`, func(rows *sql.Rows) error {
		var q studio.Queued
		var body []byte
		if err := rows.Scan(&q.PlatformID, &body); err != nil {
			return err
		}
		all = append(all, q)
		return json.Unmarshal(body, &all[len(all)-1].Post)
	}, string(kind))
	return all
}

// record reads what the conversation left in the file and on the site, in words
// that are the same in every run.
func (c *chatTalk) record(date routine.Date) *record {
	c.t.Helper()
	r := readRecordOf(c.t, c.database, date, c.site.channel())
	for _, s := range c.site.shown() {
		r.add("shown", s)
	}
	ids := map[string]string{}
	for id, name := range r.posts {
		ids[id] = "post " + name
	}
	maps.Copy(ids, c.labels)
	maps.Copy(ids, c.site.labels())
	delete(ids, "")
	var pairs []string
	for _, id := range slices.SortedFunc(maps.Keys(ids), func(x, y string) int { return len(y) - len(x) }) {
		pairs = append(pairs, id, ids[id])
	}
	once := strings.NewReplacer(pairs...)
	for i, f := range r.facts {
		for range 3 { // the name of a post holds the name of a message
			f = once.Replace(f)
		}
		r.facts[i] = f
	}
	slices.Sort(r.facts)
	return r
}
