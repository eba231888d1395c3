package discord

import (
	"context"
	"net/http"
	"regexp"
	"slices"
	"strings"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A Completer completes the arguments of commands. A [studio.Service] is one.
type Completer interface {
	// Complete returns what an argument of a command may be completed to, best
	// first, for the person who is typing it. It is given two seconds.
	Complete(ctx context.Context, who studio.Account, command, arg, partial string) []string
}

type slashCommand struct {
	Name        string        `json:"name"`
	Named       localized     `json:"name_localizations,omitempty"`
	Type        int           `json:"type"`
	Description string        `json:"description"`
	Described   localized     `json:"description_localizations,omitempty"`
	Options     []slashOption `json:"options"`
	Contexts    []int         `json:"contexts"`
	Places      []int         `json:"integration_types"`
}

// A localized text, by Discord's codes of locales.
type localized map[string]string

// localesOf gives the locales of Discord's in which a language is spoken.
var localesOf = map[string][]string{"de": {"de"}, "fr": {"fr"}, "es": {"es-ES", "es-419"}}

type slashOption struct {
	Type         int       `json:"type"`
	Name         string    `json:"name"`
	Named        localized `json:"name_localizations,omitempty"`
	Description  string    `json:"description"`
	Described    localized `json:"description_localizations,omitempty"`
	Required     bool      `json:"required"`
	Autocomplete bool      `json:"autocomplete"`
}

// Kinds of Discord's that a slash command is made of.
const (
	typedCommand = 1 // rather than one in a menu
	stringOption = 3
	onServers    = 0 // context, and where the bot is installed
	onOwnLine    = 1 // context: the private line with the bot
)

// aboutLimit is the longest description of a command or an option.
const aboutLimit = 100

// register makes the commands known to Discord, in place of those it knew.
func (b *Bot) register(ctx context.Context) {
	app, ok := b.self.application(ctx)
	if !ok {
		return
	}
	all := []slashCommand{}
	for _, c := range b.cfg.Commands {
		all = append(all, slashOf(c))
	}
	url := discordgo.EndpointApplicationGlobalCommands(app)
	b.persist(ctx, "registering the commands", func() error {
		return b.request(ctx, http.MethodPut, url, url, all, nil)
	})
}

func slashOf(c studio.CommandSpec) slashCommand {
	s := slashCommand{
		Name: c.Name, Type: typedCommand, Description: clip(c.In[words.English].About, aboutLimit), Options: []slashOption{},
		Contexts: []int{onServers, onOwnLine}, Places: []int{onServers}, Named: localized{}, Described: localized{},
	}
	required := true
	for i, a := range argsOf(c.In[words.English].Args) {
		required = required && !a.optional
		s.Options = append(s.Options, slashOption{
			Type: stringOption, Name: argsOf(c.Args)[i].name, Description: clip(a.about, aboutLimit), Required: required, Autocomplete: true,
			Named: localized{}, Described: localized{},
		})
	}
	for lang, locales := range localesOf {
		own, args := c.In[lang], argsOf(c.In[lang].Args)
		for _, locale := range locales {
			s.Named[locale], s.Described[locale] = own.Name, clip(own.About, aboutLimit)
			for i, a := range args {
				s.Options[i].Named[locale], s.Options[i].Described[locale] = a.name, clip(a.about, aboutLimit)
			}
		}
	}
	return s
}

type argument struct {
	name     string // as Discord wants it: "item-or-line"
	about    string // as the command gives it: "ITEM or LINE"
	optional bool
}

var argPattern = regexp.MustCompile(`\[([^\]]+)\]|(\S+)`)

// argsOf reads the arguments of a command.
func argsOf(args string) (all []argument) {
	for _, m := range argPattern.FindAllStringSubmatch(args, -1) {
		about := m[1] + m[2]
		name := strings.ToLower(strings.Join(strings.Fields(about), "-"))
		all = append(all, argument{name, about, m[1] != ""})
	}
	return all
}

// command returns a command by its name.
func (b *Bot) command(name string) studio.CommandSpec {
	i := slices.IndexFunc(b.cfg.Commands, func(c studio.CommandSpec) bool { return c.Name == name })
	if i < 0 {
		return studio.CommandSpec{}
	}
	return b.cfg.Commands[i]
}
