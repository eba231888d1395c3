//go:build goolm

package matrix

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"sync"

	"github.com/rs/zerolog"
	"go.mau.fi/util/dbutil"
	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/crypto"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
	_ "modernc.org/sqlite"
)

// Encrypts reports whether this program was built with encryption.
const Encrypts = true

// A keyStore is the keys of one device in a database file.
type keyStore struct {
	db      *sql.DB
	machine *crypto.OlmMachine
	store   *crypto.SQLCryptoStore
	rooms   *rooms

	// Held for reading while a room's key is shared and used, and for writing while it is
	// learned who came, went or has a new device, which makes keys void: the library stores
	// a key again when it has shared it, and what made it void meanwhile would be lost.
	sharing sync.RWMutex
}

// openKeys opens the keys of the client's device, and makes them if the device
// is new; anew reports that they take the place of another device's. It returns
// errLostKeys if the device has keys on the server that are not in the file.
func openKeys(ctx context.Context, cli *mautrix.Client, path string, r *rooms) (opened keys, anew bool, err error) {
	if path == "" {
		return nil, false, nil
	}
	k, err := openKeyStore(ctx, cli, path)
	if err != nil {
		return nil, false, fmt.Errorf("opening the keys of encrypted rooms: %w", err)
	}
	k.rooms = r
	if anew, err = k.begin(ctx, cli); err != nil {
		return nil, false, errors.Join(err, k.db.Close())
	}
	return k, anew, nil
}

func openKeyStore(ctx context.Context, cli *mautrix.Client, path string) (*keyStore, error) {
	db, err := sql.Open("sqlite", keysName(path))
	if err != nil {
		return nil, err
	}
	wrapped, err := dbutil.NewWithDB(db, "sqlite")
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	k := &keyStore{db: db}
	quiet := dbutil.ZeroLogger(zerolog.Nop())
	k.store = crypto.NewSQLCryptoStore(wrapped, quiet, cli.UserID.String(), cli.DeviceID, nil)
	if err := k.store.DB.Upgrade(ctx); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	if k.store.PickleKey, err = pickleKey(ctx, db); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return k, nil
}

// keysName names the file for the driver: transactions take the write lock when
// they begin, and wait for those of the store.
func keysName(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	path = filepath.ToSlash(path)
	if path[0] != '/' {
		path = "/" + path // a drive letter
	}
	u := url.URL{Scheme: "file", Path: path}
	return u.String() + "?_txlock=immediate&_pragma=foreign_keys(1)&_pragma=journal_mode(WAL)&_pragma=busy_timeout(10000)"
}

// pickleKey returns the key that the library wants for locking its own rows. It
// lies in the same file: what protects the keys is who may read that file.
func pickleKey(ctx context.Context, db *sql.DB) (key []byte, err error) {
	const keep = `
		CREATE TABLE IF NOT EXISTS crypto_pickle_key (one INTEGER PRIMARY KEY CHECK (one = 1), key BLOB NOT NULL);
		INSERT OR IGNORE INTO crypto_pickle_key (one, key) VALUES (1, ?)`
	fresh := make([]byte, 32)
	rand.Read(fresh)
	if _, err := db.ExecContext(ctx, keep, fresh); err != nil {
		return nil, err
	}
	err = db.QueryRowContext(ctx, `SELECT key FROM crypto_pickle_key WHERE one = 1`).Scan(&key)
	return key, err
}

// begin loads or makes the keys and sees that the server has the same.
func (k *keyStore) begin(ctx context.Context, cli *mautrix.Client) (anew bool, err error) {
	stored, err := k.store.FindDeviceID(ctx)
	if err != nil {
		return false, err
	}
	theirs, err := keysOnServer(ctx, cli)
	if err != nil {
		return false, err
	}
	if anew = stored != "" && stored != cli.DeviceID; anew {
		if theirs.device != "" {
			return false, errLostKeys
		}
		if err := k.forget(ctx); err != nil {
			return false, err
		}
	}
	// Sessions for sending are made anew at each start: who came and went, and
	// which devices they have, was not followed meanwhile.
	if _, err := k.db.ExecContext(ctx, `DELETE FROM crypto_megolm_outbound_session WHERE account_id = ?`, k.store.AccountID); err != nil {
		return false, fmt.Errorf("forgetting old sessions: %w", err)
	}
	log := zerolog.Nop()
	k.machine = crypto.NewOlmMachine(cli, &log, k.store, stateOf{k.rooms, cli})
	if err := k.machine.Load(ctx); err != nil {
		return false, fmt.Errorf("loading the keys: %w", err)
	}
	return anew, k.agree(ctx, theirs.device)
}

// forget removes the keys of the device that was used before. Those that unlock
// old messages stay.
func (k *keyStore) forget(ctx context.Context) error {
	for _, table := range []string{"crypto_account", "crypto_olm_session", "crypto_megolm_outbound_session"} {
		if _, err := k.db.ExecContext(ctx, `DELETE FROM `+table+` WHERE account_id = ?`, k.store.AccountID); err != nil {
			return fmt.Errorf("forgetting the keys of the old device: %w", err)
		}
	}
	return nil
}

// agree compares the device's keys with those on the server, and uploads them if
// it has none yet.
func (k *keyStore) agree(ctx context.Context, theirs id.Ed25519) error {
	account := k.machine.GetAccount()
	switch {
	case theirs == "" && !account.Shared:
		if err := k.machine.ShareKeys(ctx, -1); err != nil {
			return fmt.Errorf("giving the server the device's keys: %w", err)
		}
		return nil
	case theirs != account.SigningKey():
		return errLostKeys
	case !account.Shared: // the program ended between giving them and noting it
		account.Shared = true
		return k.store.PutAccount(ctx, account)
	}
	return nil
}

// published is what the server says of the client's device and its owner.
type published struct {
	device id.Ed25519 // the key by which others know the device; empty: none yet
	master id.Ed25519 // the key by which others know the account; empty: none yet
	signed bool       // the account vouches for the device
}

func keysOnServer(ctx context.Context, cli *mautrix.Client) (p published, err error) {
	resp, err := cli.QueryKeys(ctx, &mautrix.ReqQueryKeys{
		DeviceKeys: map[id.UserID]mautrix.DeviceIDList{cli.UserID: {cli.DeviceID}},
	})
	if err != nil {
		return p, fmt.Errorf("asking for the keys of the device: %w", err)
	}
	device, own := resp.DeviceKeys[cli.UserID][cli.DeviceID], resp.SelfSigningKeys[cli.UserID]
	p.device = device.Keys.GetEd25519(cli.DeviceID)
	master := resp.MasterKeys[cli.UserID]
	p.master = master.FirstKey()
	for key := range own.Keys {
		p.signed = p.signed || device.Signatures[cli.UserID][key] != ""
	}
	return p, nil
}

// checkKeys says whether the keys in the file are those of the client's device,
// without changing them. It returns nil as well if the device has none yet.
func checkKeys(ctx context.Context, cli *mautrix.Client, path string) error {
	k, err := openKeyStore(ctx, cli, path)
	if err != nil {
		return err
	}
	defer k.db.Close()
	account, err := k.store.GetAccount(ctx)
	if err != nil {
		return err
	}
	stored, err := k.store.FindDeviceID(ctx)
	if err != nil {
		return err
	}
	theirs, err := keysOnServer(ctx, cli)
	if err != nil {
		return err
	}
	var own id.Ed25519
	if account != nil && account.Shared && stored == cli.DeviceID {
		own = account.SigningKey()
	}
	switch {
	case theirs.device != own:
		return errLostKeys
	case own != "" && !theirs.signed:
		return errUnverified
	}
	return nil
}

func (k *keyStore) hear(ctx context.Context, resp *mautrix.RespSync, since string) {
	k.sharing.Lock()
	defer k.sharing.Unlock()
	k.machine.ProcessSyncResponse(ctx, resp, since)
}

func (k *keyStore) moved(ctx context.Context, evt *event.Event) {
	k.sharing.Lock()
	defer k.sharing.Unlock()
	k.machine.HandleMemberEvent(ctx, evt)
}

func (k *keyStore) lock(ctx context.Context, room id.RoomID, t event.Type, content any) (*event.EncryptedEventContent, error) {
	k.sharing.RLock()
	defer k.sharing.RUnlock()
	locked, err := k.machine.EncryptMegolmEvent(ctx, room, t, content)
	if !errors.Is(err, crypto.ErrNoGroupSession) && !errors.Is(err, crypto.ErrSessionExpired) && !errors.Is(err, crypto.ErrSessionNotShared) {
		return locked, err
	}
	r, err := k.rooms.get(ctx, k.machine.Client, room)
	if err != nil {
		return nil, err
	}
	if err := k.machine.ShareGroupSession(ctx, room, r.people()); err != nil {
		return nil, fmt.Errorf("sharing a key with the people in the room: %w", err)
	}
	return k.machine.EncryptMegolmEvent(ctx, room, t, content)
}

func (r *room) people() []id.UserID {
	var all []id.UserID
	for who := range r.members {
		all = append(all, who)
	}
	return all
}

func (k *keyStore) unlock(ctx context.Context, evt *event.Event) (*event.Event, error) {
	open, err := k.machine.DecryptMegolmEvent(ctx, evt)
	if errors.Is(err, crypto.ErrNoSessionFound) || errors.Is(err, crypto.ErrGroupSessionWithheld) {
		return nil, errNoKey
	}
	return open, err
}

func (k *keyStore) request(ctx context.Context, evt *event.Event) error {
	c := evt.Content.AsEncrypted()
	return k.machine.SendRoomKeyRequest(ctx, evt.RoomID, c.SenderKey, c.SessionID, "",
		map[id.UserID][]id.DeviceID{evt.Sender: {"*"}, k.machine.Client.UserID: {"*"}})
}

func (k *keyStore) close() error {
	k.machine.Destroy()
	return k.db.Close()
}

// stateOf tells the library what it must know of rooms.
type stateOf struct {
	rooms *rooms
	cli   *mautrix.Client
}

func (s stateOf) IsEncrypted(ctx context.Context, room id.RoomID) (bool, error) {
	r, err := s.rooms.get(ctx, s.cli, room)
	return err == nil && r.encryption != nil, err
}

func (s stateOf) GetEncryptionEvent(ctx context.Context, room id.RoomID) (*event.EncryptionEventContent, error) {
	r, err := s.rooms.get(ctx, s.cli, room)
	if err != nil {
		return nil, err
	}
	return r.encryption, nil
}

// GetHistoryVisibility is asked for the sharing of old keys, which the bot never
// does.
func (s stateOf) GetHistoryVisibility(context.Context, id.RoomID) (*event.HistoryVisibilityEventContent, error) {
	return &event.HistoryVisibilityEventContent{HistoryVisibility: event.HistoryVisibilityJoined}, nil
}

func (s stateOf) FindSharedRooms(_ context.Context, user id.UserID) ([]id.RoomID, error) {
	return s.rooms.encryptedWith(user), nil
}

// encryptedWith returns the encrypted rooms, of those asked about, that somebody
// is in.
func (r *rooms) encryptedWith(user id.UserID) []id.RoomID {
	r.mu.Lock()
	defer r.mu.Unlock()
	var all []id.RoomID
	for id, room := range r.known {
		if room.encryption != nil && room.members[user] != "" {
			all = append(all, id)
		}
	}
	return all
}
