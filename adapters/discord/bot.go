package discord

import (
	"cmp"
	"errors"
	"log/slog"
	"net/http"
	"time"

	"github.com/bwmarrin/discordgo"
	"golang.org/x/time/rate"

	"ledgerline/studio"
)

// Platform is the name of Discord among the platforms.
const Platform studio.Platform = "discord"

// TokenVariable is the environment variable that holds the bot's token.
const TokenVariable = "LEDGERLINE_DISCORD_TOKEN"

// DefaultAPI is where Discord answers.
const DefaultAPI = "https://discord.com/api/v10"

// A Config is what a [Bot] is made from. All fields but Commands, Completer,
// API, Shards and PerSecond are needed.
type Config struct {
	Token    string          // of the bot account, without the word "Bot"
	Store    studio.Store    // studios, accounts, what was said; keeps which private lines are open
	Receiver studio.Receiver // takes what is heard
	Now      func() time.Time
	Random   func() float64 // numbers in [0,1), to spread retries
	Log      *slog.Logger   // told no message text, no names and no token

	Commands  []studio.CommandSpec // offered as slash commands; none: they are left as they are
	Completer Completer            // completes their arguments; nil: nobody does

	// API is the address of the platform; empty: [DefaultAPI].
	API string

	// Shards is how many shards the bot's servers are divided into; 0: as many as
	// Discord advises.
	Shards int

	// PerSecond is how many requests may be sent in a second; 0: 50, which is the
	// platform's limit on a bot by its documentation.
	PerSecond float64
}

// A Bot is one bot account. Its methods may be called from any goroutine.
type Bot struct {
	cfg  Config
	link *transport
	pace *rate.Limiter      // of all requests but answers to interactions
	back *rate.Limiter      // of those that read back, besides
	rest *discordgo.Session // for requests alone; it is never opened

	heard *queue    // what the gateway said, in order
	acts  *queue    // interactions, which cannot wait
	marks marks     // how far each channel was read by this process
	lines *lines    // private lines that were opened
	rooms *rooms    // channels that were asked about
	parts *parts    // posts that were sent in part
	self  *identity // who the bot is
}

var _ studio.Chat = (*Bot)(nil)

// New returns a bot. It connects to nothing yet. It fails if a field of c is
// missing or c.API is no address.
func New(c Config) (*Bot, error) {
	if c.Token == "" {
		return nil, errors.New("discord: no token; put the bot's token in " + TokenVariable)
	}
	if c.Store == nil || c.Receiver == nil || c.Now == nil || c.Random == nil || c.Log == nil {
		return nil, errors.New("discord: Store, Receiver, Now, Random and Log must all be set")
	}
	if c.API == "" {
		c.API = DefaultAPI
	}
	c.PerSecond = cmp.Or(c.PerSecond, 50)
	link, err := newTransport(c.API, c.Now)
	if err != nil {
		return nil, err
	}
	b := &Bot{
		cfg: c, link: link, pace: rate.NewLimiter(rate.Limit(c.PerSecond), 1), back: rate.NewLimiter(rate.Inf, 1), heard: newQueue(), acts: newQueue(), marks: marks{},
		lines: newLines(), rooms: newRooms(), parts: newParts(), self: newIdentity(),
	}
	b.rest, err = b.newSession()
	return b, err
}

// Platform returns "discord".
func (b *Bot) Platform() studio.Platform { return Platform }

// AtOnce returns how many posts may be on their way: enough for 50 a second, the
// platform's limit on a bot, at a third of a second each.
func (b *Bot) AtOnce() int { return 16 }

// requestTimeout is how long one request may take.
const requestTimeout = 20 * time.Second

// newSession returns a session of the library that sends its requests our way,
// leaves waiting and retrying to us, and keeps no state.
func (b *Bot) newSession() (*discordgo.Session, error) {
	s, err := discordgo.New("Bot " + b.cfg.Token)
	if err != nil {
		return nil, err
	}
	s.Client = &http.Client{Transport: b.link, Timeout: requestTimeout}
	s.MaxRestRetries = 0
	s.ShouldRetryOnRateLimit = false
	s.ShouldReconnectOnError = false
	s.StateEnabled = false
	s.SyncEvents = true
	s.LogLevel = -1 // it would write to the program's standard error
	return s, nil
}
