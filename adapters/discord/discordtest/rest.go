package discordtest

import (
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"
)

var routes = []route{
	{"GET", "gateway", (*Server).getGateway},
	{"GET", "gateway/bot", (*Server).getGatewayBot},
	{"GET", "users/@me", (*Server).getMe},
	{"POST", "users/@me/channels", (*Server).openLine},
	{"GET", "applications/@me", (*Server).getApplication},
	{"PUT", "applications/*/commands", (*Server).putCommands},
	{"GET", "guilds/*", (*Server).getGuild},
	{"GET", "guilds/*/members/*", (*Server).getMember},
	{"GET", "channels/*", (*Server).getChannel},
	{"GET", "channels/*/messages", (*Server).getMessages},
	{"POST", "channels/*/messages", (*Server).postMessage},
	{"GET", "channels/*/messages/*", (*Server).getMessage},
	{"PUT", "channels/*/messages/*/reactions/*/@me", (*Server).putReaction},
	{"GET", "channels/*/messages/*/reactions/*", (*Server).getReactions},
	{"POST", "interactions/*/*/callback", (*Server).postCallback},
}

func (s *Server) gatewayURL() string {
	return "ws" + strings.TrimPrefix(s.web.URL, "http") + "/gateway"
}

func (s *Server) getGateway(request) answer { return ok(map[string]any{"url": s.gatewayURL()}) }

func (s *Server) getGatewayBot(request) answer {
	return ok(map[string]any{"url": s.gatewayURL(), "shards": max(1, s.shards), "session_start_limit": map[string]any{
		"total": 1000, "remaining": 1000 - s.stats.Identifies, "reset_after": 86400000, "max_concurrency": 16,
	}})
}

func (s *Server) getMe(request) answer {
	me := s.bot.json()
	me["mfa_enabled"], me["locale"] = false, "en-US"
	return ok(me)
}

func (s *Server) getApplication(request) answer {
	flags := 0
	if s.content {
		flags = 1 << 19
	}
	return ok(map[string]any{
		"id": s.app.ID, "name": s.app.Name, "icon": nil, "description": "", "type": nil, "verify_key": strings.Repeat("0", 64),
		"flags": flags, "flags_new": strconv.Itoa(flags), "redirect_uris": []any{}, "interactions_endpoint_url": s.endpoint,
		"role_connections_verification_url": nil, "owner": s.bot.json(), "approximate_guild_count": len(s.guilds),
		"approximate_user_install_count": 0, "approximate_user_authorization_count": 0, "explicit_content_filter": 0,
		"team": nil, "eligible_oauth2_scopes": []any{"bot", "applications.commands"},
	})
}

func (s *Server) openLine(r request) answer {
	var body struct {
		Recipient string `json:"recipient_id"`
	}
	if bad := r.decode(&body); bad != nil {
		return *bad
	}
	if s.users[body.Recipient] == nil || body.Recipient == s.bot.ID {
		return failed(http.StatusBadRequest, 50033, "Invalid Recipient(s)")
	}
	return ok(s.line(body.Recipient).json(s))
}

// line returns the private line to a user, which is always the same.
func (s *Server) line(user string) *channel {
	if c := s.lines[user]; c != nil {
		return c
	}
	c := &channel{id: s.newID(), kind: privateLine, with: user}
	s.channels[c.id], s.lines[user] = c, c
	return c
}

func (s *Server) putCommands(r request) answer {
	if r.args[0] != s.app.ID {
		return failed(http.StatusForbidden, 20012, "You are not authorized to perform this action on this application")
	}
	var body []map[string]any
	if bad := r.decode(&body); bad != nil {
		return *bad
	}
	for _, c := range body {
		c["id"], c["application_id"], c["version"], c["default_member_permissions"] = s.newID(), s.app.ID, s.newID(), nil
	}
	s.commands = body
	return ok(body)
}

func (s *Server) getGuild(r request) answer {
	g := s.guilds[r.args[0]]
	if g == nil || g.kicked {
		return failed(http.StatusNotFound, 10004, "Unknown Guild")
	}
	j := map[string]any{
		"id": g.id, "name": g.name, "owner_id": g.owner, "region": "deprecated", "features": []any{}, "afk_timeout": 300,
		"system_channel_flags": 0, "widget_enabled": false, "verification_level": 1, "default_message_notifications": 1,
		"mfa_level": 0, "explicit_content_filter": 0, "max_members": 500000, "max_stage_video_channel_users": 50,
		"max_video_channel_users": 25, "premium_tier": 0, "premium_subscription_count": 0, "preferred_locale": "en-US",
		"premium_progress_bar_enabled": false, "nsfw": false, "nsfw_level": 0, "emojis": []any{}, "stickers": []any{},
		"roles": []any{everyoneRole(g.id), s.botRole(g.id)},
	}
	for _, empty := range []string{
		"icon", "description", "home_header", "splash", "discovery_splash", "banner", "application_id", "afk_channel_id",
		"system_channel_id", "widget_channel_id", "max_presences", "vanity_url_code", "rules_channel_id",
		"safety_alerts_channel_id", "public_updates_channel_id", "incidents_data",
	} {
		j[empty] = nil
	}
	return ok(j)
}

// everyoneRole is the role of everyone on a server: all that the bot needs.
func everyoneRole(guild string) map[string]any {
	all := uint64(ViewChannel | SendMessages | AddReactions | EmbedLinks | AttachFiles | ReadHistory | 1<<38)
	return map[string]any{
		"id": guild, "name": "@everyone", "permissions": strconv.FormatUint(all, 10), "position": 0, "color": 0,
		"colors": map[string]any{"primary_color": 0, "secondary_color": nil, "tertiary_color": nil},
		"hoist":  false, "managed": false, "mentionable": false, "icon": nil, "unicode_emoji": nil, "flags": 0,
	}
}

func (s *Server) getMember(r request) answer {
	g, u := s.guilds[r.args[0]], s.users[r.args[1]]
	if g == nil || g.kicked || u == nil {
		return failed(http.StatusNotFound, 10007, "Unknown Member")
	}
	return ok(map[string]any{
		"avatar": nil, "banner": nil, "communication_disabled_until": nil, "flags": 0, "joined_at": stamp(time.Unix(1700000000, 0)),
		"nick": nil, "pending": false, "premium_since": nil, "roles": []any{}, "user": u.json(), "mute": false, "deaf": false,
	})
}

// reach returns a channel that the bot sees, or the answer that it does not.
func (s *Server) reach(id string) (*channel, *answer) {
	var bad answer
	switch c := s.channels[id]; {
	case c == nil || c.gone:
		bad = failed(http.StatusNotFound, 10003, "Unknown Channel")
	case c.guild != nil && c.guild.kicked, c.lacks(ViewChannel):
		bad = failed(http.StatusForbidden, 50001, "Missing Access")
	default:
		return c, nil
	}
	return nil, &bad
}

func (s *Server) getChannel(r request) answer {
	c, bad := s.reach(r.args[0])
	if bad != nil {
		return *bad
	}
	return ok(c.json(s))
}

func (s *Server) getMessages(r request) answer {
	c, bad := s.reach(r.args[0])
	if bad != nil {
		return *bad
	}
	s.stats.Histories++
	page := []any{}
	if c.lacks(ReadHistory) {
		return ok(page)
	}
	limit, _ := strconv.Atoi(r.URL.Query().Get("limit"))
	if limit < 1 || limit > 100 {
		limit = 50
	}
	before, _ := strconv.ParseUint(r.URL.Query().Get("before"), 10, 64)
	for _, m := range slices.Backward(c.messages) {
		id, _ := strconv.ParseUint(m.ID, 10, 64)
		if (before == 0 || id < before) && len(page) < limit {
			page = append(page, m.json(s))
		}
	}
	return ok(page)
}

func (s *Server) getMessage(r request) answer {
	c, bad := s.reach(r.args[0])
	if bad != nil {
		return *bad
	}
	m := c.find(r.args[1])
	if m == nil {
		return failed(http.StatusNotFound, 10008, "Unknown Message")
	}
	return ok(m.json(s))
}

type messageBody struct {
	Content    string          `json:"content"`
	Embeds     []Embed         `json:"embeds"`
	Components json.RawMessage `json:"components"`
	Flags      int             `json:"flags"`
	Nonce      any             `json:"nonce"`
	Enforce    bool            `json:"enforce_nonce"`
	Allowed    *struct {
		Parse       []string `json:"parse"`
		RepliedUser bool     `json:"replied_user"`
	} `json:"allowed_mentions"`
	Reference *struct {
		Message string `json:"message_id"`
		Fail    *bool  `json:"fail_if_not_exists"`
	} `json:"message_reference"`
	Attachments []struct {
		ID          json.Number `json:"id"`
		Filename    string      `json:"filename"`
		Description string      `json:"description"`
	} `json:"attachments"`
}

func (s *Server) postMessage(r request) answer {
	c, bad := s.reach(r.args[0])
	switch {
	case bad != nil:
		return *bad
	case c.closed:
		return failed(http.StatusForbidden, 50007, "Cannot send messages to this user")
	case c.lacks(SendMessages):
		return failed(http.StatusForbidden, 50013, "Missing Permissions")
	}
	var body messageBody
	files, err := readMessage(r, &body)
	if err != nil {
		return failed(http.StatusBadRequest, 50109, err.Error())
	}
	if wrong := body.wrong(files); wrong != "" {
		return failed(http.StatusBadRequest, 50035, "Invalid Form Body: "+wrong)
	}
	nonce := fmt.Sprint(body.Nonce)
	if body.Nonce == nil {
		nonce = ""
	}
	if old := s.nonces[c.id+nonce]; nonce != "" && body.Enforce && old != nil {
		return ok(old.json(s))
	}
	m := s.compose(c, &body, files)
	if ref := body.Reference; ref != nil && m.answered == nil && (ref.Fail == nil || *ref.Fail) {
		return failed(http.StatusBadRequest, 50035, "Invalid Form Body: unknown message")
	}
	m.Nonce = nonce
	c.messages = append(c.messages, m)
	s.nonces[c.id+nonce] = m
	s.dispatch(c.guild, messageEvents(c), "MESSAGE_CREATE", m.event(s))
	j := m.json(s)
	if nonce != "" {
		j["nonce"] = nonce
	}
	return ok(j)
}

// compose makes a message of the bot's of what it sent.
func (s *Server) compose(c *channel, body *messageBody, files []File) *Message {
	m := s.newMessage(c, s.bot, body.Content)
	m.Flags, m.Embeds = body.Flags, body.Embeds
	m.components, m.Buttons = withIDs(body.Components)
	for i, f := range files {
		f.Name, f.Description = body.Attachments[i].Filename, body.Attachments[i].Description
		m.Files = append(m.Files, f)
	}
	s.ping(m, body)
	if body.Reference == nil {
		return m
	}
	if m.answered = c.find(body.Reference.Message); m.answered != nil {
		m.ReplyTo, m.kind = m.answered.ID, 19
	}
	return m
}

// readMessage reads the body of a message, JSON or form.
func readMessage(r request, body *messageBody) (files []File, err error) {
	kind, params, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil {
		return nil, err
	}
	if kind == "application/json" {
		return nil, json.Unmarshal(r.body, body)
	}
	form := multipart.NewReader(r.Body, params["boundary"])
	for {
		part, err := form.NextPart()
		if err == io.EOF {
			return files, nil
		}
		if err != nil {
			return nil, err
		}
		raw, err := io.ReadAll(part)
		if err != nil {
			return nil, err
		}
		if part.FormName() == "payload_json" {
			if err := json.Unmarshal(raw, body); err != nil {
				return nil, err
			}
			continue
		}
		files = append(files, File{Name: part.FileName(), Bytes: raw})
	}
}

// wrong says which of Discord's limits a message breaks that are not in its API
// document, or stricter than there.
func (b *messageBody) wrong(files []File) string {
	switch total := b.embedText(); {
	case length(b.Content) > 2000:
		return "content: Must be 2000 or fewer in length."
	case total > 6000:
		return "embeds: Embed size exceeds maximum size of 6000"
	case len(b.Attachments) != len(files):
		return "attachments: not the files that were sent"
	case strings.TrimSpace(b.Content) == "" && len(b.Embeds) == 0 && len(files) == 0:
		return "Cannot send an empty message"
	}
	for _, e := range b.Embeds {
		for _, f := range e.Fields {
			if strings.TrimSpace(f.Name) == "" || strings.TrimSpace(f.Value) == "" {
				return "embeds: a field's name and value are required"
			}
		}
	}
	return ""
}

func (b *messageBody) embedText() (n int) {
	for _, e := range b.Embeds {
		n += length(e.Title) + length(e.Description) + length(e.Footer.Text)
		for _, f := range e.Fields {
			n += length(f.Name) + length(f.Value)
		}
	}
	return n
}

func length(s string) int { return len(utf16.Encode([]rune(s))) }

// ping finds whom a message calls. No list of allowed mentions allows all.
func (s *Server) ping(m *Message, body *messageBody) {
	users, everyone := s.mentioned(m.Content)
	allows := func(what string) bool {
		return body.Allowed == nil || body.Allowed.Parse == nil || slices.Contains(body.Allowed.Parse, what)
	}
	if everyone && allows("everyone") {
		m.Pinged = append(m.Pinged, "everyone")
	}
	for _, u := range users {
		m.mentions = append(m.mentions, u)
		if allows("users") {
			m.Pinged = append(m.Pinged, u.ID)
		}
	}
	if body.Reference != nil && (body.Allowed == nil || body.Allowed.RepliedUser) {
		m.Pinged = append(m.Pinged, "author of "+body.Reference.Message)
	}
}

func (s *Server) putReaction(r request) answer {
	c, bad := s.reach(r.args[0])
	if bad != nil {
		return *bad
	}
	if c.lacks(AddReactions) {
		return failed(http.StatusForbidden, 50013, "Missing Permissions")
	}
	m := c.find(r.args[1])
	if m == nil {
		return failed(http.StatusNotFound, 10008, "Unknown Message")
	}
	emoji, err := url.PathUnescape(r.args[2])
	if err != nil || emoji == "" {
		return failed(http.StatusBadRequest, 10014, "Unknown Emoji")
	}
	if s.react(m, emoji, s.bot.ID) {
		s.dispatch(c.guild, reactionEvents(c), "MESSAGE_REACTION_ADD", s.reactionEvent(c, m, s.bot, emoji))
	}
	return nothing()
}

// react sets a reaction, and reports whether it was not there.
func (s *Server) react(m *Message, emoji, user string) bool {
	i := slices.IndexFunc(m.Reactions, func(r Reaction) bool { return r.Emoji == emoji })
	if i < 0 {
		m.Reactions = append(m.Reactions, Reaction{Emoji: emoji, Users: []string{user}, ID: s.newID()})
		return true
	}
	if slices.Contains(m.Reactions[i].Users, user) {
		return false
	}
	m.Reactions[i].Users = append(m.Reactions[i].Users, user)
	return true
}

func (s *Server) getReactions(r request) answer {
	c, bad := s.reach(r.args[0])
	if bad != nil {
		return *bad
	}
	emoji, _ := url.PathUnescape(r.args[2])
	users := []any{}
	if m := c.find(r.args[1]); m != nil {
		for _, re := range m.Reactions {
			for _, id := range re.Users {
				if re.Emoji == emoji {
					users = append(users, s.users[id].json())
				}
			}
		}
	}
	return ok(users)
}

func (s *Server) postCallback(r request) answer {
	i := s.pending[r.args[1]]
	switch {
	case i == nil || i.ID != r.args[0] || time.Since(i.at) > interactionTime:
		return failed(http.StatusNotFound, 10062, "Unknown interaction")
	case i.answered:
		return failed(http.StatusBadRequest, 40060, "Interaction has already been acknowledged.")
	}
	var a InteractionAnswer
	if bad := r.decode(&a); bad != nil {
		return *bad
	}
	a.After = time.Since(i.at)
	i.answered = true
	i.answer <- a
	return nothing()
}
