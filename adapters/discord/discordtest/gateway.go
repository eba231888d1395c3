package discordtest

import (
	"bytes"
	"compress/zlib"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// Operations of the gateway.
const (
	opDispatch       = 0
	opHeartbeat      = 1
	opIdentify       = 2
	opResume         = 6
	opReconnect      = 7
	opInvalidSession = 9
	opHello          = 10
	opHeartbeatAck   = 11
)

// Intents of a session, by bit.
const (
	guildEvents            = 1 << 0
	guildMessages          = 1 << 9
	guildMessageReactions  = 1 << 10
	directMessages         = 1 << 12
	directMessageReactions = 1 << 13
	messageContent         = 1 << 15
	knownIntents           = 1<<26 - 1
)

func messageEvents(c *channel) int {
	if c.guild == nil {
		return directMessages
	}
	return guildMessages
}

func reactionEvents(c *channel) int {
	if c.guild == nil {
		return directMessageReactions
	}
	return guildMessageReactions
}

// A session is one identification of a bot; it lives on for a while when its
// connection ends.
type session struct {
	id      string
	intents int
	shard   [2]int // which, of how many
	seq     int
	log     []packet // what was dispatched, for replay
	link    *link    // nil: not connected
}

type packet struct {
	Op   int    `json:"op"`
	Data any    `json:"d"`
	Seq  *int   `json:"s"`
	Type string `json:"t,omitempty"`
}

// A link is one connection.
type link struct {
	conn     *websocket.Conn
	writing  sync.Mutex
	compress bool
}

func (l *link) send(p packet) {
	raw, _ := json.Marshal(p)
	kind := websocket.TextMessage
	l.writing.Lock()
	defer l.writing.Unlock()
	if l.compress {
		var b bytes.Buffer
		z := zlib.NewWriter(&b)
		z.Write(raw)
		z.Close()
		raw, kind = b.Bytes(), websocket.BinaryMessage
	}
	l.conn.WriteMessage(kind, raw)
}

func (l *link) end(code int) {
	l.writing.Lock()
	l.conn.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(code, ""), time.Now().Add(time.Second))
	l.writing.Unlock()
	time.AfterFunc(50*time.Millisecond, func() { l.conn.Close() })
}

// serveGateway holds one connection.
func (s *Server) serveGateway(w http.ResponseWriter, r *http.Request) {
	up := websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}
	conn, err := up.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	l := &link{conn: conn}
	defer conn.Close()
	s.mu.Lock()
	s.links[l] = true
	interval := s.heartbeat
	s.mu.Unlock()
	defer s.disconnected(l)
	if q := r.URL.Query(); q.Get("v") != "10" || q.Get("encoding") != "json" {
		l.end(4012)
		return
	}
	l.send(packet{Op: opHello, Data: map[string]any{"heartbeat_interval": interval.Milliseconds(), "_trace": []any{}}})
	for {
		var p struct {
			Op   int             `json:"op"`
			Data json.RawMessage `json:"d"`
		}
		if err := conn.ReadJSON(&p); err != nil {
			s.closedByBot(l, err)
			return
		}
		s.obey(l, p.Op, p.Data)
	}
}

func (s *Server) disconnected(l *link) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.links, l)
	for _, sn := range s.sessions {
		if sn.link == l {
			sn.link = nil
		}
	}
}

// closedByBot ends a session that the bot closed for good: with 1000 or 1001.
func (s *Server) closedByBot(l *link, err error) {
	if !websocket.IsCloseError(err, websocket.CloseNormalClosure, websocket.CloseGoingAway) {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for id, sn := range s.sessions {
		if sn.link == l {
			delete(s.sessions, id)
		}
	}
}

// obey does what a bot asks for over the gateway.
func (s *Server) obey(l *link, op int, data json.RawMessage) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch op {
	case opHeartbeat:
		s.stats.Heartbeats++
		if !s.noAck {
			l.send(packet{Op: opHeartbeatAck})
		}
	case opIdentify:
		s.identify(l, data)
	case opResume:
		s.resume(l, data)
	}
}

func (s *Server) identify(l *link, data json.RawMessage) {
	var d struct {
		Token    string `json:"token"`
		Intents  int    `json:"intents"`
		Compress bool   `json:"compress"`
		Shard    [2]int `json:"shard"`
	}
	json.Unmarshal(data, &d)
	if d.Shard[1] == 0 {
		d.Shard[1] = 1
	}
	s.stats.Identifies++
	switch {
	case s.refuses(l):
		return
	case strings.TrimPrefix(d.Token, "Bot ") != s.token:
		l.end(4004)
		return
	case d.Shard[0] < 0 || d.Shard[0] >= d.Shard[1]:
		l.end(4010)
		return
	case d.Shard[1] < s.shards:
		l.end(4011)
		return
	case d.Intents&^knownIntents != 0:
		l.end(4013)
		return
	case d.Intents&messageContent != 0 && !s.content:
		l.end(4014)
		return
	}
	l.compress = d.Compress
	sn := &session{id: "session-" + s.newID(), intents: d.Intents, shard: d.Shard, link: l}
	s.sessions[sn.id] = sn
	guilds := []any{}
	for _, g := range s.guilds {
		if !sn.hears(g) {
			continue
		}
		guilds = append(guilds, map[string]any{"id": g.id, "unavailable": true})
	}
	me := s.bot.json()
	me["verified"], me["mfa_enabled"], me["email"] = true, false, nil
	s.tell(sn, "READY", map[string]any{
		"v": 10, "user": me, "guilds": guilds, "session_id": sn.id, "session_type": "normal",
		"resume_gateway_url": s.gatewayURL(), "private_channels": []any{}, "_trace": []any{},
		"application": map[string]any{"id": s.app.ID, "flags": 0},
	})
	for _, g := range s.guilds {
		if sn.intents&guildEvents != 0 && !g.kicked && sn.hears(g) {
			s.tell(sn, "GUILD_CREATE", g.json(s))
		}
	}
}

// refuses ends a connection if a test wants that.
func (s *Server) refuses(l *link) bool {
	if len(s.refuse) == 0 {
		return false
	}
	l.end(s.refuse[0])
	s.refuse = s.refuse[1:]
	return true
}

func (g *guild) json(s *Server) map[string]any {
	channels, threads, members := []any{}, []any{}, []any{}
	for _, c := range g.channels {
		if c.parent != nil {
			threads = append(threads, c.json(s))
		} else {
			channels = append(channels, c.json(s))
		}
	}
	members = append(members, map[string]any{
		"user": s.bot.json(), "roles": []any{}, "joined_at": stamp(time.Unix(1700000000, 0)), "flags": 0, "mute": false, "deaf": false,
	})
	return map[string]any{
		"id": g.id, "name": g.name, "owner_id": g.owner, "channels": channels, "threads": threads, "members": members,
		"roles": []any{everyoneRole(g.id), s.botRole(g.id)}, "emojis": []any{}, "stickers": []any{}, "features": []any{}, "presences": []any{},
		"voice_states": []any{}, "stage_instances": []any{}, "guild_scheduled_events": []any{}, "soundboard_sounds": []any{},
		"joined_at": stamp(time.Unix(1700000000, 0)), "large": false, "unavailable": false, "member_count": len(g.members) + 1,
		"verification_level": 1, "default_message_notifications": 1, "explicit_content_filter": 0, "mfa_level": 0,
		"premium_tier": 0, "preferred_locale": "en-US", "nsfw_level": 0, "system_channel_flags": 0, "afk_timeout": 300,
	}
}

func (s *Server) resume(l *link, data json.RawMessage) {
	var d struct {
		Token   string `json:"token"`
		Session string `json:"session_id"`
		Seq     int    `json:"seq"`
	}
	json.Unmarshal(data, &d)
	s.stats.Resumes++
	if s.refuses(l) {
		return
	}
	if strings.TrimPrefix(d.Token, "Bot ") != s.token {
		l.end(4004)
		return
	}
	sn := s.sessions[d.Session]
	if sn == nil || d.Seq > sn.seq {
		l.send(packet{Op: opInvalidSession, Data: false})
		return
	}
	sn.link = l
	for _, p := range sn.log {
		if *p.Seq > d.Seq {
			l.send(p)
		}
	}
	s.tell(sn, "RESUMED", map[string]any{"_trace": []any{}})
}

// tell dispatches an event to one session.
func (s *Server) tell(sn *session, kind string, data any) {
	sn.seq++
	seq := sn.seq
	p := packet{Op: opDispatch, Data: data, Seq: &seq, Type: kind}
	sn.log = append(sn.log, p)
	if sn.link != nil {
		sn.link.send(p)
	}
}

// hears reports whether the session is that of a server, or of private lines (nil).
func (sn *session) hears(g *guild) bool {
	if g == nil {
		return sn.shard[0] == 0
	}
	id, _ := strconv.ParseUint(g.id, 10, 64)
	return id>>22%uint64(sn.shard[1]) == uint64(sn.shard[0])
}

// dispatch tells all sessions with an intent, of the shard of a server, of an event.
func (s *Server) dispatch(g *guild, intent int, kind string, data any) {
	for _, sn := range s.sessions {
		if sn.hears(g) && (intent == 0 || sn.intents&intent != 0) {
			s.tell(sn, kind, data)
		}
	}
}

// connected returns the connections on which a session goes on. The caller holds
// mu.
func (s *Server) connected() (n int) {
	for _, sn := range s.sessions {
		if sn.link != nil {
			n++
		}
	}
	return n
}

// Sever cuts all connections without a word. The sessions live on.
func (s *Server) Sever() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for l := range s.links {
		l.conn.Close()
	}
}

// Drop closes all connections with a code. The sessions live on.
func (s *Server) Drop(code int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for l := range s.links {
		l.end(code)
	}
}

// Reconnect asks all bots to connect again.
func (s *Server) Reconnect() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for l := range s.links {
		l.send(packet{Op: opReconnect})
	}
}

// Forget ends all sessions: none can be resumed. The connections stay, unsaid.
func (s *Server) Forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.sessions = map[string]*session{}
}

// Invalidate tells all bots that their session has ended.
func (s *Server) Invalidate() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for id, sn := range s.sessions {
		if sn.link != nil {
			sn.link.send(packet{Op: opInvalidSession, Data: false})
		}
		delete(s.sessions, id)
	}
}

// Refuse has the next identifications and resumes refused, each with its code.
func (s *Server) Refuse(codes ...int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.refuse = append(s.refuse, codes...)
}

// Heartbeat sets how often bots that connect from now on must give a sign of
// life, and whether they are answered.
func (s *Server) Heartbeat(every time.Duration, answered bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.heartbeat, s.noAck = every, !answered
}

// Await waits until n sessions are connected, and reports whether they were in
// time.
func (s *Server) Await(n int, within time.Duration) bool {
	for end := time.Now().Add(within); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		s.mu.Lock()
		got := s.connected()
		s.mu.Unlock()
		if got == n {
			return true
		}
	}
	return false
}

// Shards has bots told to divide the servers into n shards, and refuses fewer.
func (s *Server) Shards(n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.shards = n
}
