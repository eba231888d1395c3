package matrix

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"strings"
	"time"

	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// Platform is the name of Matrix among the platforms.
const Platform studio.Platform = "matrix"

// Environment variables that hold the bot's secrets: one of the first two, by
// which it logs in, is needed.
const (
	TokenVariable    = "LEDGERLINE_MATRIX_TOKEN"
	PasswordVariable = "LEDGERLINE_MATRIX_PASSWORD"
	RecoveryVariable = "LEDGERLINE_MATRIX_RECOVERY_KEY"
)

// A Config is what a [Bot] is made from. All fields are needed, except where
// they say otherwise.
type Config struct {
	Homeserver string // address of the server, such as "https://matrix.example.org"
	User       string // the bot's account, "@bot:example.org"
	Token      string // access token; exactly one of Token and Password is set
	Password   string // for a device of the bot's own, made once and used again

	Store    studio.Store    // studios, accounts, what was said, and how far was read
	Receiver studio.Receiver // takes what is heard
	Now      func() time.Time
	Random   func() float64 // numbers in [0,1), to spread retries
	Log      *slog.Logger   // told no message text, no names and no token

	// Keys is the path of the store's database file, for the keys of encrypted
	// rooms. Empty: no encrypted rooms, whatever the build.
	Keys string

	// RecoveryKey is the recovery key of the bot's account, if it has one: a
	// person made it in an app, which may call it a security key.
	RecoveryKey string

	// Encrypt makes new private lines encrypted. It needs Keys, and a build that
	// [Encrypts].
	Encrypt bool

	// Admit reports whether an invitation from an account that no member has is
	// accepted, such as for linking it. Nil: none is.
	Admit func(ctx context.Context, account string) (bool, error)

	// Tell is told, once each, what a person must know that no post fails of:
	// keys that were lost, a message that can't be read, a room that the bot was
	// removed from. It may be called from any goroutine. Nil: only the log is.
	Tell func(context.Context, studio.Finding)
}

// A Bot is one account on Matrix. Its methods may be called from any goroutine.
type Bot struct {
	cfg   Config
	gate  *gate
	rooms *rooms
	moves *moves
	lines *lines
	hold  *hold
	sent  *sent
	taps  *taps
	told  *once
}

var _ studio.Chat = (*Bot)(nil)

// New returns a bot. It connects to nothing yet. It fails with one sentence if
// a field of c is missing or wrong.
func New(c Config) (*Bot, error) {
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("matrix: %w", err)
	}
	return &Bot{
		cfg: c, gate: newGate(), rooms: newRooms(), moves: newMoves(), lines: &lines{}, hold: &hold{now: c.Now},
		sent: newSent(), taps: newTaps(), told: &once{said: map[string]bool{}},
	}, nil
}

func (c *Config) check() error {
	u, err := url.Parse(c.Homeserver)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
		return fmt.Errorf("%q is no address of a homeserver; write one like https://matrix.example.org", c.Homeserver)
	}
	if (c.Token == "") == (c.Password == "") {
		return fmt.Errorf("the bot needs a way to log in; put either its access token in %s or its password in %s", TokenVariable, PasswordVariable)
	}
	if _, _, err := id.UserID(c.User).ParseAndValidateRelaxed(); err != nil {
		return fmt.Errorf("%q is no Matrix account; write one like @studio-bot:example.org", c.User)
	}
	if c.Store == nil || c.Receiver == nil || c.Now == nil || c.Random == nil || c.Log == nil {
		return errors.New("all of Store, Receiver, Now, Random and Log must be set")
	}
	if c.Encrypt && (c.Keys == "" || !Encrypts) {
		return errors.New("private lines can't be encrypted: this program was built without encryption, or has no file for keys; build it with -tags goolm, or switch encryption off")
	}
	return nil
}

// Platform returns "matrix".
func (b *Bot) Platform() studio.Platform { return Platform }

// AtOnce returns how many posts may be on their way. A homeserver takes the
// events of one room one after another, and those of several at once.
func (b *Bot) AtOnce() int { return 8 }

// A place is a room, or a thread in it.
type place struct {
	room   id.RoomID
	thread id.EventID // the event the thread hangs from; empty: no thread
}

func placeOf(channel string) place {
	room, thread, threaded := strings.Cut(channel, "/$")
	if !threaded {
		return place{room: id.RoomID(channel)}
	}
	return place{id.RoomID(room), id.EventID("$" + thread)}
}

func (p place) String() string {
	if p.thread == "" {
		return p.room.String()
	}
	return p.room.String() + "/" + p.thread.String()
}
