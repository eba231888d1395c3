//go:build goolm

package matrix

import (
	"context"
	"encoding/json"
	"fmt"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/crypto"
	"maunium.net/go/mautrix/id"
)

// verify has the account vouch for the device. If the account vouches for none
// yet, keys to do so are made and kept; if it does with keys that are not here,
// they are fetched with the recovery key.
func (k *keyStore) verify(ctx context.Context, password, recovery string) error {
	theirs, err := keysOnServer(ctx, k.machine.Client)
	if err != nil || theirs.signed {
		return err
	}
	own, err := k.ownerKeys(ctx)
	if err != nil {
		return err
	}
	switch {
	case theirs.master == "":
		if own == nil {
			if own, err = k.newOwnerKeys(ctx); err != nil {
				return err
			}
		}
		if err := k.machine.PublishCrossSigningKeys(ctx, own, withPassword(k.machine.Client, password)); err != nil {
			return fmt.Errorf("giving the server the account's keys: %w", err)
		}
	case own != nil && own.MasterKey.PublicKey() == theirs.master:
		if err := k.machine.ImportCrossSigningKeys(own.Seeds()); err != nil {
			return err
		}
	case recovery == "":
		return errUnverified
	default:
		return k.recover(ctx, recovery)
	}
	return k.machine.SignOwnDevice(ctx, k.machine.OwnIdentity())
}

// recover fetches the account's keys with the recovery key, vouches for the
// device with them, and keeps them.
func (k *keyStore) recover(ctx context.Context, recovery string) error {
	if err := k.machine.VerifyWithRecoveryKey(ctx, recovery); err != nil {
		return fmt.Errorf("using the recovery key: %w", err)
	}
	return k.keepOwnerKeys(ctx, k.machine.ExportCrossSigningKeys())
}

// withPassword answers the server's question who is asking.
func withPassword(cli *mautrix.Client, password string) mautrix.UIACallback {
	if password == "" {
		return nil
	}
	return func(asked *mautrix.RespUserInteractive) any {
		return &mautrix.ReqUIAuthLogin{
			BaseAuthData: mautrix.BaseAuthData{Type: mautrix.AuthTypePassword, Session: asked.Session},
			User:         cli.UserID.String(), Password: password,
		}
	}
}

// ownerSecret is under which name the account's keys are kept.
const ownerSecret id.Secret = "local.ledgerline.cross_signing"

// ownerKeys returns the account's keys; nil if they are not here.
func (k *keyStore) ownerKeys(ctx context.Context) (*crypto.CrossSigningKeysCache, error) {
	kept, err := k.store.GetSecret(ctx, ownerSecret)
	if err != nil || kept == "" {
		return nil, err
	}
	var seeds crypto.CrossSigningSeeds
	if err := json.Unmarshal([]byte(kept), &seeds); err != nil {
		return nil, fmt.Errorf("reading the account's keys: %w", err)
	}
	own, err := seeds.Decode()
	return &own, err
}

// newOwnerKeys makes keys for the account, and keeps them before anybody is told
// of them.
func (k *keyStore) newOwnerKeys(ctx context.Context) (*crypto.CrossSigningKeysCache, error) {
	own, err := k.machine.GenerateCrossSigningKeys()
	if err != nil {
		return nil, err
	}
	return own, k.keepOwnerKeys(ctx, own.Seeds())
}

func (k *keyStore) keepOwnerKeys(ctx context.Context, seeds crypto.CrossSigningSeeds) error {
	text, err := json.Marshal(seeds)
	if err != nil {
		return err
	}
	return k.store.PutSecret(ctx, ownerSecret, string(text))
}
