package discordtest

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// A User is an account.
type User struct {
	ID, Name string
	Bot      bool
}

func (u User) json() map[string]any {
	return map[string]any{
		"id": u.ID, "username": u.Name, "discriminator": "0", "global_name": u.Name, "avatar": nil,
		"public_flags": 0, "flags": 0, "bot": u.Bot, "primary_guild": nil,
	}
}

type guild struct {
	id, name string
	owner    string
	kicked   bool // the bot was thrown out
	channels []*channel
	members  []string
}

type channel struct {
	id, name  string
	kind      int
	guild     *guild   // nil: a private line
	parent    *channel // of a thread
	with      string   // the person at the other end of a private line
	closed    bool     // she takes no private messages from the bot
	gone      bool
	forbidden uint64 // permissions that the bot lacks
	messages  []*Message
}

// Kinds of channel.
const (
	textChannel  = 0
	privateLine  = 1
	publicThread = 11
)

// Permissions that a test can take from the bot.
const (
	ViewChannel  = 1 << 10
	SendMessages = 1 << 11
	AddReactions = 1 << 6
	EmbedLinks   = 1 << 14
	AttachFiles  = 1 << 15
	ReadHistory  = 1 << 16
)

// A Message is a message on the server.
type Message struct {
	ID, Channel string
	Author      User
	Content     string
	Edited      time.Time
	Nonce       string
	ReplyTo     string // id of the message it answers
	Embeds      []Embed
	Buttons     []Button
	Files       []File
	Flags       int
	Pinged      []string // whom it called: ids, "everyone"
	Reactions   []Reaction

	kind       int
	guild      string
	mentions   []User
	answered   *Message
	components []any
}

// Words returns the texts of a message and its cards, in the order in which they
// are shown.
func (m *Message) Words() []string {
	words := []string{m.Content}
	for _, e := range m.Embeds {
		words = append(words, e.Title, e.Description)
		for _, f := range e.Fields {
			words = append(words, f.Name, f.Value)
		}
		words = append(words, e.Footer.Text)
	}
	return words
}

// An Embed is a card in a message.
type Embed struct {
	Title       string  `json:"title"`
	Description string  `json:"description"`
	Fields      []Field `json:"fields"`
	Footer      struct {
		Text string `json:"text"`
	} `json:"footer"`
	Image struct {
		URL string `json:"url"`
	} `json:"image"`
}

// A Field is a part of an embed.
type Field struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Inline bool   `json:"inline"`
}

// A Button is a button under a message.
type Button struct {
	Label, CustomID string
}

// A File is a file in a message.
type File struct {
	Name, Description string
	Bytes             []byte
}

// A Reaction is an emoji at a message, and who set it.
type Reaction struct {
	Emoji string
	Users []string
	ID    string // made when it was first set, to tell what came before it
}

func (c *channel) json(s *Server) map[string]any {
	if c.kind == privateLine {
		return map[string]any{"id": c.id, "type": c.kind, "flags": 0, "recipients": []any{s.users[c.with].json()}}
	}
	j := map[string]any{"id": c.id, "type": c.kind, "flags": 0, "guild_id": c.guild.id, "name": c.name, "position": 0}
	if c.parent != nil {
		j["parent_id"], j["owner_id"] = c.parent.id, c.guild.owner
		j["message_count"], j["member_count"], j["total_message_sent"] = 0, 2, 0
		j["thread_metadata"] = map[string]any{"archived": false, "archive_timestamp": nil, "auto_archive_duration": 1440, "locked": false}
		return j
	}
	j["permission_overwrites"] = []any{map[string]any{
		"id": s.bot.ID, "type": 1, "allow": "0", "deny": strconv.FormatUint(c.forbidden, 10),
	}}
	return j
}

// botRole is the role that a server made for the bot. Its id is the server's
// with a 9 at its end.
func (s *Server) botRole(guild string) map[string]any {
	r := everyoneRole(guild)
	r["id"], r["name"], r["managed"], r["permissions"] = guild+"9", s.bot.Name, true, "0"
	r["tags"] = map[string]any{"bot_id": s.bot.ID}
	return r
}

// lacks reports whether the bot lacks a permission in the channel.
func (c *channel) lacks(permission uint64) bool {
	if c.parent != nil {
		return c.parent.lacks(permission)
	}
	return c.forbidden&permission != 0
}

func (c *channel) find(id string) *Message {
	i := slices.IndexFunc(c.messages, func(m *Message) bool { return m.ID == id })
	if i < 0 {
		return nil
	}
	return c.messages[i]
}

func stamp(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t.UTC().Format("2006-01-02T15:04:05.000000+00:00")
}

// made returns when the thing with an id was made.
func made(id string) time.Time {
	n, _ := strconv.ParseUint(id, 10, 64)
	return time.UnixMilli(int64(n>>22) + 1420070400000)
}

// json returns a message as REST gives it.
func (m *Message) json(s *Server) map[string]any {
	j := map[string]any{
		"id": m.ID, "type": m.kind, "channel_id": m.Channel, "author": m.Author.json(), "content": m.Content,
		"timestamp": stamp(made(m.ID)), "edited_timestamp": stamp(m.Edited), "flags": m.Flags,
		"mentions": usersJSON(m.mentions), "mention_roles": rolesIn(m.Content), "mention_everyone": slices.Contains(m.Pinged, "everyone"),
		"attachments": m.filesJSON(s), "embeds": m.embedsJSON(), "components": m.componentsJSON(),
		"pinned": false, "tts": false,
	}
	if m.ReplyTo != "" {
		j["message_reference"] = map[string]any{"type": 0, "channel_id": m.Channel, "message_id": m.ReplyTo}
		if m.answered != nil {
			plain := m.answered.json(s)
			delete(plain, "referenced_message")
			j["referenced_message"] = plain
		} else {
			j["referenced_message"] = nil
		}
	}
	if len(m.Reactions) > 0 {
		j["reactions"] = m.reactionsJSON(s)
	}
	return j
}

func usersJSON(users []User) []any {
	all := []any{}
	for _, u := range users {
		all = append(all, u.json())
	}
	return all
}

func (m *Message) filesJSON(s *Server) []any {
	all := []any{}
	for i, f := range m.Files {
		url := fmt.Sprintf("%s/files/%s/%d/%s", s.web.URL, m.ID, i, f.Name)
		all = append(all, map[string]any{
			"id": fmt.Sprintf("%s%d", m.ID, i), "filename": f.Name, "description": f.Description, "size": len(f.Bytes),
			"url": url, "proxy_url": url, "content_type": "image/png",
		})
	}
	return all
}

func (m *Message) embedsJSON() []any {
	all := []any{}
	for _, e := range m.Embeds {
		j := map[string]any{"type": "rich", "fields": e.Fields}
		if e.Title != "" {
			j["title"] = e.Title
		}
		if e.Description != "" {
			j["description"] = e.Description
		}
		if e.Footer.Text != "" {
			j["footer"] = map[string]any{"text": e.Footer.Text}
		}
		if e.Fields == nil {
			delete(j, "fields")
		}
		all = append(all, j)
	}
	return all
}

func (m *Message) componentsJSON() []any { return append([]any{}, m.components...) }

func (m *Message) reactionsJSON(s *Server) []any {
	all := []any{}
	for _, r := range m.Reactions {
		all = append(all, map[string]any{
			"emoji": map[string]any{"id": nil, "name": r.Emoji}, "count": len(r.Users),
			"count_details": map[string]any{"burst": 0, "normal": len(r.Users)},
			"burst_colors":  []any{}, "me_burst": false, "me": slices.Contains(r.Users, s.bot.ID),
		})
	}
	return all
}

// event returns a message as the gateway gives it.
func (m *Message) event(s *Server) map[string]any {
	j := m.json(s)
	if m.Nonce != "" {
		j["nonce"] = m.Nonce
	}
	if m.guild != "" {
		j["guild_id"] = m.guild
		j["member"] = map[string]any{"roles": []any{}, "joined_at": stamp(time.Unix(1700000000, 0)), "flags": 0, "mute": false, "deaf": false}
	}
	return j
}

// mentioned finds whom a text names.
func (s *Server) mentioned(text string) (users []User, everyone bool) {
	for rest := text; ; {
		i := strings.Index(rest, "<@")
		if i < 0 {
			break
		}
		rest = rest[i+2:]
		id, _, found := strings.Cut(strings.TrimPrefix(rest, "!"), ">")
		if u := s.users[id]; found && u != nil {
			users = append(users, *u)
		}
	}
	return users, strings.Contains(text, "@everyone") || strings.Contains(text, "@here")
}

// rolesIn finds the roles that a text names.
func rolesIn(text string) []string {
	all := []string{}
	for _, part := range strings.Split(text, "<@&")[1:] {
		if id, _, found := strings.Cut(part, ">"); found && !slices.Contains(all, id) {
			all = append(all, id)
		}
	}
	return all
}

// withIDs gives the rows and buttons of a message the ids that Discord gives
// them.
func withIDs(components json.RawMessage) (all []any, buttons []Button) {
	var rows []map[string]any
	json.Unmarshal(components, &rows)
	id := 0
	for _, r := range rows {
		id++
		r["id"] = id
		inner, _ := r["components"].([]any)
		for _, c := range inner {
			id++
			b := c.(map[string]any)
			b["id"] = id
			label, _ := b["label"].(string)
			customID, _ := b["custom_id"].(string)
			buttons = append(buttons, Button{label, customID})
		}
		all = append(all, r)
	}
	return all, buttons
}
