package matrix

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A session is one log-in of the bot's account.
type session struct {
	*mautrix.Client
	name string // by which people see the bot; may be empty
	keys keys   // nil: no encrypted rooms
}

func (s *session) close() error {
	if s.keys == nil {
		return nil
	}
	return s.keys.close()
}

// deviceName is how the bot's device is called in the list of its devices.
const deviceName = "Ledgerline"

const (
	syncTimeout    = 30 * time.Second
	requestTimeout = syncTimeout + 30*time.Second
)

// newClient returns a client that is not logged in yet, and leaves waiting and
// retrying to us.
func (b *Bot) newClient() (*mautrix.Client, error) {
	cli, err := mautrix.NewClient(b.cfg.Homeserver, "", "")
	if err != nil {
		return nil, err
	}
	cli.Client = &http.Client{Timeout: requestTimeout}
	cli.UserAgent = "ledgerline"
	cli.DefaultHTTPRetries = 0
	cli.IgnoreRateLimit = true
	return cli, nil
}

// connect logs in and learns what the bot must know before it can do anything.
func (b *Bot) connect(ctx context.Context) (*session, error) {
	device, err := b.mark(ctx, deviceMark)
	if err != nil {
		return nil, err
	}
	s, err := b.logIn(ctx, id.DeviceID(device))
	if err != nil {
		return nil, err
	}
	if err := b.openKeys(ctx, s); err != nil {
		return nil, err
	}
	if err := b.keepDevice(ctx, s); err != nil {
		return nil, errors.Join(err, s.close())
	}
	if err := b.lines.load(ctx, s.Client); err != nil {
		return nil, errors.Join(err, s.close())
	}
	if own, err := s.GetOwnDisplayName(ctx); err == nil {
		s.name = own.DisplayName
	}
	return s, nil
}

// logIn makes a session with the token, or with the password on the given
// device; on a new one if that is empty.
func (b *Bot) logIn(ctx context.Context, device id.DeviceID) (*session, error) {
	cli, err := b.newClient()
	if err != nil {
		return nil, err
	}
	if b.cfg.Password != "" {
		_, err := cli.Login(ctx, &mautrix.ReqLogin{
			Type:       mautrix.AuthTypePassword,
			Identifier: mautrix.UserIdentifier{Type: mautrix.IdentifierTypeUser, User: b.cfg.User},
			Password:   b.cfg.Password, DeviceID: device, InitialDeviceDisplayName: deviceName,
			StoreCredentials: true,
		})
		if err != nil {
			return nil, fmt.Errorf("logging in: %w", err)
		}
		return &session{Client: cli}, nil
	}
	cli.AccessToken = b.cfg.Token
	who, err := cli.Whoami(ctx)
	if err != nil {
		return nil, fmt.Errorf("asking whose token it is: %w", err)
	}
	if who.UserID != id.UserID(b.cfg.User) {
		return nil, &studio.SendError{
			Blocked: words.Phrase{ID: "matrix.other-account", With: words.With{"who": who.UserID, "user": b.cfg.User, "variable": TokenVariable}},
			Err:     errors.New("the token is another account's"),
		}
	}
	cli.UserID, cli.DeviceID = who.UserID, who.DeviceID
	return &session{Client: cli}, nil
}

// openKeys opens the keys of the session's device. If they are lost, a bot with
// a password goes on with a new device.
func (b *Bot) openKeys(ctx context.Context, s *session) error {
	var anew bool
	var err error
	s.keys, anew, err = openKeys(ctx, s.Client, b.cfg.Keys, b.rooms)
	switch {
	case errors.Is(err, errLostKeys) && b.cfg.Password == "":
		return &studio.SendError{Blocked: advice("matrix.lost-token"), Err: err}
	case errors.Is(err, errLostKeys):
		fresh, err := b.logIn(ctx, "")
		if err != nil {
			return err
		}
		s.Client = fresh.Client
		if s.keys, _, err = openKeys(ctx, s.Client, b.cfg.Keys, b.rooms); err != nil {
			return err
		}
		anew = true
	case err != nil:
		return err
	}
	if anew {
		b.tell(ctx, lostKeys)
	}
	return b.verify(ctx, s)
}

// verify has the account vouch for the session's device. The bot works without,
// as far as others let it.
func (b *Bot) verify(ctx context.Context, s *session) error {
	if s.keys == nil {
		return nil
	}
	err := s.keys.verify(ctx, b.cfg.Password, b.cfg.RecoveryKey)
	switch {
	case err == nil:
		b.told.again(unverified.What.String())
	case ctx.Err() != nil:
		return errors.Join(err, s.close())
	default:
		b.cfg.Log.Warn("matrix: device not verified", "err", err)
		b.tell(ctx, unverified)
	}
	return nil
}

const deviceMark = "device"

// keepDevice keeps which device the bot uses, for the next log-in with a
// password.
func (b *Bot) keepDevice(ctx context.Context, s *session) error {
	if b.cfg.Password == "" {
		return nil
	}
	return b.putMark(ctx, deviceMark, s.DeviceID.String())
}

// mark returns a fact about the bot's account from the store; "" if there is
// none.
func (b *Bot) mark(ctx context.Context, name string) (value string, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) (err error) {
		value, err = tx.Mark(b.markName(name))
		return err
	})
	if err != nil && !errors.Is(err, studio.ErrNotFound) {
		return "", fmt.Errorf("reading the bot's %s: %w", name, err)
	}
	return value, nil
}

func (b *Bot) putMark(ctx context.Context, name, value string) error {
	err := b.cfg.Store.Update(ctx, func(tx studio.Tx) error { return tx.PutMark(b.markName(name), value) })
	if err != nil {
		return fmt.Errorf("keeping the bot's %s: %w", name, err)
	}
	return nil
}

func (b *Bot) markName(name string) string { return "matrix/" + name + "/" + b.cfg.User }

// A gate lets posts through while there is a session that has caught up.
type gate struct {
	mu      sync.Mutex
	open    *session
	trouble error         // why it is shut
	opened  chan struct{} // closed when the state changes for the first time
	begun   bool          // it has changed
	late    bool          // a post has waited long enough for that
}

var errNotConnected = errors.New("not connected to the homeserver yet")

func newGate() *gate { return &gate{trouble: errNotConnected, opened: make(chan struct{})} }

func (g *gate) set(s *session, trouble error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.open, g.trouble = s, trouble
	if !g.begun {
		g.begun = true
		close(g.opened)
	}
}

func (g *gate) look() (*session, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.open, g.trouble
}

// patience is how long the first posts wait for the bot to connect.
const patience = 5 * time.Second

// pass returns the session; if there is none, why. At the start it waits, but
// not again and again, since other chats wait for their turn.
func (g *gate) pass(ctx context.Context) (*session, error) {
	g.mu.Lock()
	wait := !g.begun && !g.late
	g.mu.Unlock()
	if wait {
		timer := time.NewTimer(patience)
		defer timer.Stop()
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-timer.C:
			g.mu.Lock()
			g.late = true
			g.mu.Unlock()
		case <-g.opened:
		}
	}
	s, trouble := g.look()
	if s == nil {
		return nil, trouble
	}
	return s, nil
}

// unlock returns an event in the clear; errNoKey if it can't be read yet, or
// ever.
func (s *session) unlock(ctx context.Context, evt *event.Event) (*event.Event, error) {
	if evt.Type != event.EventEncrypted {
		return evt, nil
	}
	if s.keys == nil {
		return nil, errNoKey
	}
	return s.keys.unlock(ctx, evt)
}
