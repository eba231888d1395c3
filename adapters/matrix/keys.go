package matrix

import (
	"context"
	"errors"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/crypto/attachment"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

// keys lock and unlock the events of encrypted rooms for one device.
type keys interface {
	// hear takes keys and news of devices out of what the server says.
	hear(ctx context.Context, resp *mautrix.RespSync, since string)
	// moved is told of every change of who is in a room.
	moved(ctx context.Context, evt *event.Event)
	// lock makes an encrypted event for all devices of the people in a room.
	lock(ctx context.Context, room id.RoomID, t event.Type, content any) (*event.EncryptedEventContent, error)
	// unlock returns what an encrypted event holds; errNoKey if its key has not
	// come yet.
	unlock(ctx context.Context, evt *event.Event) (*event.Event, error)
	// request asks the sender's devices for the key of an event.
	request(ctx context.Context, evt *event.Event) error
	// verify has the account vouch for the device, without which some apps give
	// it no keys. It needs the account's password or its recovery key, unless
	// the account has vouched for no device yet and the server asks for neither.
	verify(ctx context.Context, password, recovery string) error
	close() error
}

var (
	errNoKey    = errors.New("the key has not come")
	errLostKeys = errors.New("the keys of the bot's device are lost")

	errUnverified = errors.New("the account does not vouch for the bot's device")
)

// lockFile encrypts a file in place and returns what a reader needs besides its
// address.
func lockFile(data []byte) *event.EncryptedFileInfo {
	file := attachment.NewEncryptedFile()
	file.EncryptInPlace(data)
	return &event.EncryptedFileInfo{EncryptedFile: *file}
}
