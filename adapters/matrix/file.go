package matrix

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

var _ studio.Fetcher = (*Bot)(nil)

// filesOf returns what a message brings: a recording, or another file. The
// address of one from an encrypted room goes with the key that opens it.
func filesOf(evt *event.Event, c *event.MessageEventContent) []studio.File {
	ref := string(c.URL)
	if c.File != nil {
		locked, err := json.Marshal(c.File)
		if err != nil {
			return nil
		}
		ref = string(locked)
	}
	f := studio.File{ID: evt.ID.String(), Name: c.GetFileName(), Ref: ref}
	if c.Info != nil {
		f.Type, f.Size, f.Seconds = c.Info.MimeType, int64(max(0, c.Info.Size)), float64(max(0, c.Info.Duration))/1000
	}
	return []studio.File{f}
}

// Fetch implements [studio.Fetcher], over the media addresses that want the
// bot's token (client-server API v1.11, content repository).
func (b *Bot) Fetch(ctx context.Context, f studio.File, limit int) ([]byte, error) {
	if f.Size > int64(limit) {
		return nil, &studio.UnfitError{Why: studio.TooLarge, Err: fmt.Errorf("%d bytes", f.Size)}
	}
	var locked *event.EncryptedFileInfo
	at := id.ContentURIString(f.Ref)
	if len(f.Ref) > 0 && f.Ref[0] == '{' {
		if err := json.Unmarshal([]byte(f.Ref), &locked); err != nil {
			return nil, &studio.SendError{Permanent: true, Err: err}
		}
		at = locked.URL
	}
	uri, err := at.Parse()
	if err != nil || uri.IsEmpty() {
		return nil, &studio.SendError{Permanent: true, Err: fmt.Errorf("%q is no address of a file", at)}
	}
	data, err := b.download(ctx, uri, limit)
	if err != nil || locked == nil {
		return data, err
	}
	if err := locked.DecryptInPlace(data); err != nil {
		return nil, &studio.UnfitError{Why: studio.Damaged, Err: fmt.Errorf("unlocking a file: %w", err)}
	}
	return data, nil
}

func (b *Bot) download(ctx context.Context, uri id.ContentURI, limit int) ([]byte, error) {
	s, err := b.gate.pass(ctx)
	if err != nil {
		return nil, sendError("connecting", err)
	}
	resp, err := s.Download(ctx, uri)
	if err != nil {
		return nil, sendError("fetching a file", err)
	}
	defer resp.Body.Close()
	data, err := io.ReadAll(io.LimitReader(resp.Body, int64(limit)+1))
	if err == nil && len(data) > limit {
		return nil, &studio.UnfitError{Why: studio.TooLarge, Err: errors.New("it goes on beyond the limit")}
	}
	return data, err
}
