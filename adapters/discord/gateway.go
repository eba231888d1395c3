package discord

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"
	"github.com/gorilla/websocket"

	"ledgerline/studio/words"
)

// intents are the events that the bot asks Discord for: what is said on its
// servers and on private lines, reactions, and the text of messages.
const intents = discordgo.IntentsGuilds | discordgo.IntentsGuildMessages | discordgo.IntentsGuildMessageReactions |
	discordgo.IntentsDirectMessages | discordgo.IntentsDirectMessageReactions | discordgo.IntentsMessageContent

// Codes with which the gateway ends a connection for good, and what a person
// must do then. All others may be tried again.
var fatalCloses = map[int]string{
	4004: "discord.token",
	4010: "discord.shard",
	4011: "discord.crowded",
	4012: "discord.version",
	4013: "discord.unknown-intents",
	4014: "discord.intent",
}

// A StoppedError is returned by [Bot.Run] when the gateway ended the connection
// and would end any other like it.
type StoppedError struct {
	Code int          // of the gateway
	Said words.Phrase // what a person must do, in a sentence
}

func (e *StoppedError) Error() string { return e.Said.String() }

const (
	openTimeout  = 30 * time.Second // from dialing to being ready
	longestPause = 5 * time.Minute  // between two attempts to connect
	badResumes   = 3                // attempts to resume that may fail before a new session

	// A connection that lasts less than steady counts as lost early. Discord lets
	// a bot begin a thousand sessions a day: after some early losses each further
	// one costs a pause.
	steady      = time.Minute
	earlyLosses = 5
)

// Run keeps the connection to Discord and gives what is heard to the receiver,
// until ctx is done. It returns nil then, or a [*StoppedError] if no further
// attempt to connect can succeed.
func (b *Bot) Run(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	var listening sync.WaitGroup
	listening.Go(func() { b.listen(ctx) })
	listening.Go(func() { b.interactions(ctx) })
	if len(b.cfg.Commands) > 0 {
		listening.Go(func() { b.register(ctx) })
	}
	err := b.connect(ctx)
	stop()
	listening.Wait()
	return err
}

// connectShard connects a shard again whenever its connection is lost, until ctx is
// done.
func (s *shards) connectShard(ctx context.Context, sh shard) error {
	s.mayIdentify(ctx, sh)
	g, err := s.newGateway(sh)
	if err != nil {
		return err
	}
	defer func() { g.close() }()
	for failures, early := 0, 0; ; {
		began := time.Now()
		err := g.hold(ctx)
		switch stopped := fatal(err); {
		case ctx.Err() != nil:
			return nil
		case stopped != nil:
			return stopped
		case err == nil && time.Since(began) > steady:
			failures, early = 0, 0
		case err == nil:
			failures, early = 0, early+1
		default:
			failures++
		}
		if spent(err) || failures > 0 && failures%badResumes == 0 {
			g.close()
			s.mayIdentify(ctx, sh)
			var broken error
			if g, broken = s.newGateway(sh); broken != nil {
				return broken
			}
		}
		if !s.pause(ctx, failures+max(0, early-earlyLosses), err) {
			return nil
		}
	}
}

// pause waits before the next attempt to connect, the longer the more attempts
// have failed, and reports whether ctx lasted.
func (b *Bot) pause(ctx context.Context, failures int, err error) bool {
	if failures == 0 {
		b.cfg.Log.Info("discord: connection lost; connecting again")
		return true
	}
	d := backoff(failures, b.cfg.Random())
	b.cfg.Log.Warn("discord: not connected; trying again", "failures", failures, "in", d, "err", err)
	return sleep(ctx, d)
}

// fatal returns the error that ends Run, if err is the end of a connection after
// which no other can succeed.
func fatal(err error) error {
	var closed *websocket.CloseError
	if errors.As(err, &closed) && fatalCloses[closed.Code] != "" {
		return &StoppedError{Code: closed.Code, Said: whatToDo(fatalCloses[closed.Code])}
	}
	return nil
}

// spent reports whether err is the end of a connection whose session can't be
// resumed.
func spent(err error) bool {
	var closed *websocket.CloseError
	if !errors.As(err, &closed) {
		return false
	}
	switch closed.Code {
	case 4003, 4006, 4007, 4009:
		return true
	}
	return false
}

// backoff returns how long to wait after a number of failures: doubling from
// half a second, with up to half more by chance. random is in [0,1).
func backoff(failures int, random float64) time.Duration {
	d := min(time.Second/2<<min(max(failures-1, 0), 20), longestPause)
	return d + time.Duration(random*float64(d)/2)
}

// sleep waits for d, and reports whether ctx lasted.
func sleep(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-t.C:
		return true
	}
}

// A gateway is one session with Discord, over one or more connections.
type gateway struct {
	session *discordgo.Session
	cable   *cable
	lost    chan struct{} // has room for one: the connection has ended
}

// newGateway returns a session that puts all it hears into the bot's queue.
func (b *Bot) newGateway(sh shard) (*gateway, error) {
	s, err := b.newSession()
	if err != nil {
		return nil, err
	}
	g := &gateway{session: s, cable: &cable{}, lost: make(chan struct{}, 1)}
	s.Identify.Intents = intents
	s.ShardID, s.ShardCount = sh.id, sh.of
	s.Dialer = &websocket.Dialer{
		Proxy:            http.ProxyFromEnvironment,
		HandshakeTimeout: openTimeout,
		NetDialContext:   g.cable.dial,
	}
	s.AddHandler(func(_ *discordgo.Session, e *discordgo.Event) { b.event(sh, e.Type, e.RawData) })
	s.AddHandler(func(*discordgo.Session, *discordgo.Disconnect) { g.signal() })
	return g, nil
}

func (g *gateway) signal() {
	select {
	case g.lost <- struct{}{}:
	default:
	}
}

// open connects, and resumes the session if there is one. The library would
// wait for ever for a server that accepts and then says nothing.
func (g *gateway) open(ctx context.Context) error {
	select {
	case <-g.lost: // what ended was a connection before this one
	default:
	}
	ctx, cancel := context.WithTimeout(ctx, openTimeout)
	defer cancel()
	defer context.AfterFunc(ctx, g.cable.cut)()
	if err := g.session.Open(); err != nil && !errors.Is(err, discordgo.ErrWSAlreadyOpen) {
		return fmt.Errorf("connecting to Discord: %w", err)
	}
	return nil
}

// hold connects and returns nil once the connection is lost, or an error if
// there was none to be had.
func (g *gateway) hold(ctx context.Context) error {
	if err := g.open(ctx); err != nil {
		return err
	}
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-g.lost:
		return nil
	}
}

func (g *gateway) close() {
	g.session.Close()
	g.cable.cut()
}

// A cable is the network connection under the library, held so as to cut it.
type cable struct {
	mu   sync.Mutex
	conn net.Conn
}

func (w *cable) dial(ctx context.Context, network, address string) (net.Conn, error) {
	var d net.Dialer
	conn, err := d.DialContext(ctx, network, address)
	if err != nil {
		return nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.conn = conn
	return conn, nil
}

func (w *cable) cut() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.conn != nil {
		w.conn.Close()
	}
}

// event takes one event from the gateway. The library waits for it to return,
// so that events stay in order: it must be quick.
func (b *Bot) event(sh shard, kind string, raw json.RawMessage) {
	switch kind {
	case "INTERACTION_CREATE":
		b.acts.put(event{kind, raw})
	case "GUILD_CREATE":
		b.self.learnRole(raw)
		b.heard.put(event{kind, raw})
	case "READY":
		b.self.learn(raw)
		if sh.id == 0 { // which hears the private lines
			b.heard.put(event{kind, raw})
		}
	case "MESSAGE_CREATE", "MESSAGE_UPDATE", "MESSAGE_DELETE", "MESSAGE_DELETE_BULK",
		"MESSAGE_REACTION_ADD", "MESSAGE_REACTION_REMOVE":
		b.heard.put(event{kind, raw})
	}
}
