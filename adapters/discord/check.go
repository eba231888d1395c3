package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A permission is a right that the bot needs in a channel.
type permission struct {
	bit    uint64
	name   string // as Discord's settings call it
	thread bool   // needed in threads only
}

// permissions are the rights that the bot needs, and no more.
var permissions = []permission{
	{discordgo.PermissionViewChannel, "View Channel", false},
	{discordgo.PermissionSendMessages, "Send Messages", false},
	{discordgo.PermissionSendMessagesInThreads, "Send Messages in Threads", true},
	{discordgo.PermissionEmbedLinks, "Embed Links", false},
	{discordgo.PermissionAttachFiles, "Attach Files", false},
	{discordgo.PermissionReadMessageHistory, "Read Message History", false},
	{discordgo.PermissionAddReactions, "Add Reactions", false},
}

// Flags of an application that may read the text of messages: one for bots on
// many servers, one for all others.
const (
	readsMessages        = 1 << 18
	readsMessagesLimited = 1 << 19
)

// InviteURL returns the address at which a person invites the bot to her server
// with the permissions it needs.
func InviteURL(application string) string {
	var bits uint64
	for _, p := range permissions {
		bits |= p.bit
	}
	return fmt.Sprintf("https://discord.com/oauth2/authorize?client_id=%s&scope=bot+applications.commands&permissions=%d", application, bits)
}

// Check looks at the token, at what the application may do, and at the bot's
// permissions in the channel of every studio that the store knows.
func (b *Bot) Check(ctx context.Context) []studio.Finding {
	places, err := b.places(ctx)
	if err != nil {
		return []studio.Finding{studio.ToDo("The studios could not be read: "+err.Error()+".", "See that the database is there and may be read.")}
	}
	var channels []string
	for _, p := range places {
		if p.Channel != "" {
			channels = append(channels, p.Channel)
		}
	}
	return b.check(ctx, channels)
}

func (b *Bot) check(ctx context.Context, channels []string) []studio.Finding {
	app, all, ok := b.checkApplication(ctx)
	if !ok {
		return all
	}
	for _, id := range channels {
		all = append(all, b.checkChannel(ctx, app, id))
	}
	return all
}

type application struct {
	ID       string  `json:"id"`
	Name     string  `json:"name"`
	Flags    int     `json:"flags"`
	Endpoint *string `json:"interactions_endpoint_url"`
}

func (b *Bot) checkApplication(ctx context.Context) (app application, all []studio.Finding, ok bool) {
	url := discordgo.EndpointApplications + "/@me"
	if err := b.request(ctx, http.MethodGet, url, url, nil, &app); err != nil {
		return app, []studio.Finding{notAnswered("The bot's token was not accepted", err)}, false
	}
	if _, err := b.whoami(ctx); err != nil {
		return app, []studio.Finding{notAnswered("The bot's account could not be read", err)}, false
	}
	all = append(all, studio.Fine(fmt.Sprintf(
		"The token belongs to the application “%s”; it is invited to a server at %s", bare(app.Name), InviteURL(app.ID))))
	if app.Flags&(readsMessages|readsMessagesLimited) != 0 {
		all = append(all, studio.Fine("The bot may read messages."))
	} else {
		all = append(all, studio.Finding{What: words.Plain("The bot may not read messages."), Do: whatToDo("discord.intent")})
	}
	if app.Endpoint != nil && *app.Endpoint != "" {
		all = append(all, studio.ToDo(
			"Buttons and commands are sent to a web address instead of the bot.",
			"Open discord.com/developers/applications, choose the application, General Information, empty Interactions Endpoint URL, and save.",
		))
	}
	return app, all, true
}

// notAnswered turns a failed request into a finding.
func notAnswered(what string, err error) studio.Finding {
	var e *studio.SendError
	if errors.As(sendError(what, err), &e) && e.Blocked.ID != "" {
		return studio.Finding{What: words.Plain(what + "."), Do: e.Blocked}
	}
	return studio.ToDo(what+": Discord did not answer as it should ("+strings.TrimPrefix(e.Error(), what+": ")+").", "See that this machine reaches discord.com, and check again in a minute.")
}

// checkChannel looks at one channel or thread.
func (b *Bot) checkChannel(ctx context.Context, app application, id string) studio.Finding {
	c, err := b.getChannel(ctx, id)
	if err != nil {
		return notAnswered("The channel "+id+" is not open to the bot", err)
	}
	has, err := b.permissionsIn(ctx, c)
	if err != nil {
		return notAnswered("The bot's permissions in #"+bare(c.Name)+" could not be read", err)
	}
	var missing []string
	for _, p := range permissions {
		if has&p.bit == 0 && (!p.thread || c.thread()) {
			missing = append(missing, p.name)
		}
	}
	if len(missing) == 0 {
		return studio.Fine("The bot has all it needs in #" + bare(c.Name) + ".")
	}
	return studio.ToDo(
		"In #"+bare(c.Name)+" the bot lacks: "+strings.Join(missing, ", ")+".",
		"Open the channel's settings, Permissions, add the bot's role, and allow: "+strings.Join(missing, ", ")+
			". Or invite the bot again with "+InviteURL(app.ID),
	)
}

// permissionsIn returns what the bot may do in a channel; a thread has the
// permissions of the channel it is in.
func (b *Bot) permissionsIn(ctx context.Context, c channel) (uint64, error) {
	if c.thread() {
		parent, err := b.getChannel(ctx, c.Parent)
		if err != nil {
			return 0, err
		}
		c = parent
	}
	me, err := b.whoami(ctx)
	if err != nil {
		return 0, err
	}
	var g guild
	url := discordgo.EndpointGuild(c.Guild)
	if err := b.request(ctx, http.MethodGet, url, url, nil, &g); err != nil {
		return 0, fmt.Errorf("asking about the server: %w", err)
	}
	var m guildMember
	url = discordgo.EndpointGuildMember(c.Guild, me)
	if err := b.request(ctx, http.MethodGet, url, url, nil, &m); err != nil {
		return 0, fmt.Errorf("asking about the bot's roles: %w", err)
	}
	return allowed(g, m, c, me), nil
}

type guild struct {
	ID    string `json:"id"`
	Owner string `json:"owner_id"`
	Roles []role `json:"roles"`
}

type role struct {
	ID          string `json:"id"`
	Permissions bits   `json:"permissions"`
}

type guildMember struct {
	Roles []string `json:"roles"`
}

type overwrite struct {
	ID    string `json:"id"`
	Type  int    `json:"type"` // 0: of a role, 1: of a member
	Allow bits   `json:"allow"`
	Deny  bits   `json:"deny"`
}

// bits are permissions, which Discord writes as a number in quotation marks.
type bits uint64

// UnmarshalText implements [encoding.TextUnmarshaler].
func (b *bits) UnmarshalText(text []byte) error {
	n, err := strconv.ParseUint(string(text), 10, 64)
	*b = bits(n)
	return err
}

const everything = ^uint64(0)

// allowed works out a member's permissions in a channel, in the order that
// Discord's developer pages give ("Permission Overwrites"): everyone's role and
// the member's roles together; then the channel's overwrites for everyone, for
// the roles, and for the member.
func allowed(g guild, m guildMember, c channel, me string) uint64 {
	if g.Owner == me {
		return everything
	}
	var has bits
	mine := map[string]bool{}
	for _, r := range m.Roles {
		mine[r] = true
	}
	for _, r := range g.Roles {
		if r.ID == g.ID || mine[r.ID] {
			has |= r.Permissions
		}
	}
	if has&discordgo.PermissionAdministrator != 0 {
		return everything
	}
	var everyone, roles, member overwrite
	for _, o := range c.Overwrites {
		switch {
		case o.Type == 0 && o.ID == g.ID:
			everyone = o
		case o.Type == 0 && mine[o.ID]:
			roles.Allow |= o.Allow
			roles.Deny |= o.Deny
		case o.Type == 1 && o.ID == me:
			member = o
		}
	}
	for _, o := range []overwrite{everyone, roles, member} {
		has = has&^o.Deny | o.Allow
	}
	if has&discordgo.PermissionViewChannel == 0 {
		return 0
	}
	return uint64(has)
}
