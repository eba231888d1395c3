package discordtest

import (
	"encoding/json"
	"slices"
	"time"
)

// interactionTime is how long an interaction may be answered.
const interactionTime = 3 * time.Second

// AddUser makes an account.
func (s *Server) AddUser(name string) User {
	s.mu.Lock()
	defer s.mu.Unlock()
	u := User{ID: s.newID(), Name: name}
	s.users[u.ID] = &u
	for _, g := range s.guilds {
		g.members = append(g.members, u.ID)
	}
	return u
}

// AddGuild makes a server that the bot is on and returns its id.
func (s *Server) AddGuild(name string, owner User) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.lastID += 1 << 22 // made in another millisecond than the one before, by which shards tell them apart
	g := &guild{id: s.newID(), name: name, owner: owner.ID}
	s.guilds[g.id] = g
	return g.id
}

// AddChannel makes a text channel on a server and returns its id.
func (s *Server) AddChannel(guild, name string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	g := s.guilds[guild]
	c := &channel{id: s.newID(), name: name, kind: textChannel, guild: g}
	g.channels = append(g.channels, c)
	s.channels[c.id] = c
	return c.id
}

// AddThread makes a thread in a channel and returns its id.
func (s *Server) AddThread(parent, name string) string {
	s.mu.Lock()
	id := s.newID()
	s.mu.Unlock()
	return s.StartThread(parent, id, name)
}

// StartThread makes a thread from a message of a channel, which gives it its id.
func (s *Server) StartThread(parent, message, name string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	p := s.channels[parent]
	c := &channel{id: message, name: name, kind: publicThread, guild: p.guild, parent: p}
	p.guild.channels = append(p.guild.channels, c)
	s.channels[c.id] = c
	s.dispatch(c.guild, guildEvents, "THREAD_CREATE", c.json(s))
	return c.id
}

// Line returns the id of the private line between a user and the bot.
func (s *Server) Line(u User) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.line(u.ID).id
}

// newMessage makes a message in a channel, without putting it there.
func (s *Server) newMessage(c *channel, author User, text string) *Message {
	m := &Message{ID: s.newID(), Channel: c.id, Author: author, Content: text}
	if c.guild != nil {
		m.guild = c.guild.id
	}
	return m
}

// Say has a user write in a channel.
func (s *Server) Say(channel string, u User, text string) (id string) {
	return s.Reply(channel, u, "", text)
}

// Reply has a user answer a message.
func (s *Server) Reply(channel string, u User, to, text string) (id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	m := s.newMessage(c, u, text)
	m.mentions, _ = s.mentioned(text)
	if to != "" {
		m.ReplyTo, m.kind, m.answered = to, 19, c.find(to)
	}
	c.messages = append(c.messages, m)
	s.dispatch(c.guild, messageEvents(c), "MESSAGE_CREATE", m.event(s))
	return m.ID
}

// SayAs dispatches a message with fields of its own: of another kind, of a
// webhook, with parts that nobody has heard of.
func (s *Server) SayAs(channel string, u User, text string, more map[string]any) (id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	m := s.newMessage(c, u, text)
	j := m.event(s)
	for k, v := range more {
		j[k] = v
	}
	s.dispatch(c.guild, messageEvents(c), "MESSAGE_CREATE", j)
	return m.ID
}

// Edit has a message say something else.
func (s *Server) Edit(channel, id, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	m := c.find(id)
	m.Content, m.Edited = text, s.now()
	s.dispatch(c.guild, messageEvents(c), "MESSAGE_UPDATE", m.event(s))
}

// Unfold tells of a change to a message that is no edit.
func (s *Server) Unfold(channel, id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	s.dispatch(c.guild, messageEvents(c), "MESSAGE_UPDATE", c.find(id).event(s))
}

// Delete deletes messages; several at once as a moderator does.
func (s *Server) Delete(channel string, ids ...string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	c.messages = slices.DeleteFunc(c.messages, func(m *Message) bool { return slices.Contains(ids, m.ID) })
	j := map[string]any{"channel_id": c.id}
	if c.guild != nil {
		j["guild_id"] = c.guild.id
	}
	if len(ids) > 1 {
		j["ids"] = ids
		s.dispatch(c.guild, messageEvents(c), "MESSAGE_DELETE_BULK", j)
		return
	}
	j["id"] = ids[0]
	s.dispatch(c.guild, messageEvents(c), "MESSAGE_DELETE", j)
}

func (s *Server) reactionEvent(c *channel, m *Message, u User, emoji string) map[string]any {
	j := map[string]any{
		"user_id": u.ID, "channel_id": c.id, "message_id": m.ID, "message_author_id": m.Author.ID,
		"emoji": map[string]any{"id": nil, "name": emoji}, "burst": false, "type": 0,
	}
	if c.guild != nil {
		j["guild_id"] = c.guild.id
		j["member"] = map[string]any{"user": u.json(), "roles": []any{}, "joined_at": stamp(time.Unix(1700000000, 0)), "flags": 0, "mute": false, "deaf": false}
	}
	return j
}

// React has a user set a reaction.
func (s *Server) React(channel, message string, u User, emoji string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	m := c.find(message)
	if s.react(m, emoji, u.ID) {
		s.dispatch(c.guild, reactionEvents(c), "MESSAGE_REACTION_ADD", s.reactionEvent(c, m, u, emoji))
	}
}

// Unreact has a user take a reaction back.
func (s *Server) Unreact(channel, message string, u User, emoji string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	m := c.find(message)
	for i := range m.Reactions {
		if r := &m.Reactions[i]; r.Emoji == emoji {
			r.Users = slices.DeleteFunc(r.Users, func(id string) bool { return id == u.ID })
		}
	}
	m.Reactions = slices.DeleteFunc(m.Reactions, func(r Reaction) bool { return len(r.Users) == 0 })
	j := s.reactionEvent(c, m, u, emoji)
	delete(j, "message_author_id")
	delete(j, "member")
	s.dispatch(c.guild, reactionEvents(c), "MESSAGE_REACTION_REMOVE", j)
}

// An Interaction is something a user did that the bot must answer.
type Interaction struct {
	ID       string
	at       time.Time
	answered bool
	answer   chan InteractionAnswer
}

// An InteractionAnswer is what the bot answered.
type InteractionAnswer struct {
	Type int `json:"type"`
	Data struct {
		Content string `json:"content"`
		Flags   int    `json:"flags"`
		Choices []struct {
			Name  string `json:"name"`
			Value string `json:"value"`
		} `json:"choices"`
	} `json:"data"`
	After time.Duration `json:"-"` // how long it took
}

// Answer waits for the answer; ok is false if none came in three seconds.
func (i *Interaction) Answer() (a InteractionAnswer, ok bool) {
	select {
	case a = <-i.answer:
		return a, true
	case <-time.After(time.Until(i.at.Add(interactionTime))):
		return a, false
	}
}

// interact dispatches an interaction. The caller holds mu.
func (s *Server) interact(c *channel, u User, kind int, data map[string]any, m *Message) *Interaction {
	i := &Interaction{ID: s.newID(), at: time.Now(), answer: make(chan InteractionAnswer, 1)}
	token := "interaction-token-" + i.ID
	s.pending[token] = i
	j := map[string]any{
		"id": i.ID, "application_id": s.app.ID, "type": kind, "data": data, "channel_id": c.id, "channel": c.json(s),
		"token": token, "version": 1, "app_permissions": "0", "locale": "en-US", "entitlements": []any{},
		"authorizing_integration_owners": map[string]any{}, "attachment_size_limit": 10 << 20,
	}
	if m != nil {
		j["message"] = m.json(s)
	}
	if c.guild != nil {
		j["context"], j["guild_id"], j["guild_locale"] = 0, c.guild.id, "en-US"
		j["guild"] = map[string]any{"id": c.guild.id, "features": []any{}, "locale": "en-US"}
		j["member"] = map[string]any{
			"user": u.json(), "roles": []any{}, "joined_at": stamp(time.Unix(1700000000, 0)), "flags": 0,
			"mute": false, "deaf": false, "permissions": "0", "pending": false,
		}
	} else {
		j["context"], j["user"] = 1, u.json()
	}
	s.dispatch(c.guild, 0, "INTERACTION_CREATE", j)
	return i
}

// Press has a user press a button, by its label.
func (s *Server) Press(channel, message string, u User, label string) *Interaction {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	m := c.find(message)
	n := slices.IndexFunc(m.Buttons, func(b Button) bool { return b.Label == label })
	if n < 0 {
		return nil
	}
	data := map[string]any{"custom_id": m.Buttons[n].CustomID, "component_type": 2, "id": n + 2}
	return s.interact(c, u, 3, data, m)
}

// Slash has a user give a command. Options are names and values in turn.
func (s *Server) Slash(channel string, u User, name string, options ...string) *Interaction {
	return s.command(channel, u, 2, name, "", options)
}

// Type has a user type a command, with the cursor in an option.
func (s *Server) Type(channel string, u User, name, focused string, options ...string) *Interaction {
	return s.command(channel, u, 4, name, focused, options)
}

func (s *Server) command(channel string, u User, kind int, name, focused string, options []string) *Interaction {
	s.mu.Lock()
	defer s.mu.Unlock()
	all := []any{}
	for i := 0; i+1 < len(options); i += 2 {
		o := map[string]any{"name": options[i], "type": 3, "value": options[i+1]}
		if options[i] == focused {
			o["focused"] = true
		}
		all = append(all, o)
	}
	data := map[string]any{"id": s.newID(), "name": name, "type": 1, "options": all}
	return s.interact(s.channels[channel], u, kind, data, nil)
}

// Messages returns what is in a channel, oldest first.
func (s *Server) Messages(channel string) (all []Message) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.channels[channel].messages {
		c := *m
		c.Reactions = nil
		for _, r := range m.Reactions {
			c.Reactions = append(c.Reactions, Reaction{r.Emoji, slices.Clone(r.Users), r.ID})
		}
		all = append(all, c)
	}
	return all
}

// Posts returns the bot's messages in a channel, oldest first.
func (s *Server) Posts(channel string) []Message {
	return slices.DeleteFunc(s.Messages(channel), func(m Message) bool { return m.Author.ID != s.bot.ID })
}

// Commands returns the commands that were registered.
func (s *Server) Commands() []map[string]any {
	s.mu.Lock()
	defer s.mu.Unlock()
	raw, _ := json.Marshal(s.commands)
	var all []map[string]any
	json.Unmarshal(raw, &all)
	return all
}

// RevokeToken makes the token of the bot worthless and ends its connections.
func (s *Server) RevokeToken() {
	s.mu.Lock()
	s.token = "another-token"
	s.mu.Unlock()
	s.Drop(4004)
}

// ForbidContent takes the right to read messages from the application.
func (s *Server) ForbidContent() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.content = false
}

// SetEndpoint has interactions sent to a web address.
func (s *Server) SetEndpoint(url string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.endpoint = url
}

// Kick throws the bot out of a server.
func (s *Server) Kick(guild string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.guilds[guild].kicked = true
	s.dispatch(s.guilds[guild], guildEvents, "GUILD_DELETE", map[string]any{"id": guild})
}

// DeleteChannel deletes a channel.
func (s *Server) DeleteChannel(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.channels[id].gone = true
	s.dispatch(s.channels[id].guild, guildEvents, "CHANNEL_DELETE", s.channels[id].json(s))
}

// Forbid takes permissions from the bot in a channel; 0 gives all back.
func (s *Server) Forbid(channel string, permissions uint64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.channels[channel].forbidden = permissions
}

// CloseLine has a user take no private messages from the bot, or again.
func (s *Server) CloseLine(u User, closed bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.line(u.ID).closed = closed
}

// ForgetNonces has the server forget which nonces it has seen, as Discord does
// after some minutes.
func (s *Server) ForgetNonces() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.nonces = map[string]*Message{}
}
