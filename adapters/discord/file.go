package discord

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"

	"ledgerline/studio"
)

var _ studio.Fetcher = (*Bot)(nil)

// fileHosts are where Discord keeps what is attached to messages.
var fileHosts = []string{"cdn.discordapp.com", "media.discordapp.net"}

// A received is a file that came with a message.
type received struct {
	ID       string  `json:"id"`
	Filename string  `json:"filename"`
	Type     string  `json:"content_type"`
	Size     int64   `json:"size"`
	URL      string  `json:"url"`
	Seconds  float64 `json:"duration_secs"` // of a voice message
}

// files returns what came with a note.
func (n *note) files() (all []studio.File) {
	for _, f := range n.Attached {
		all = append(all, studio.File{ID: f.ID, Name: f.Filename, Type: f.Type, Size: f.Size, Seconds: f.Seconds, Ref: f.URL})
	}
	return all
}

// Fetch implements [studio.Fetcher]. The address of a file holds for a day.
func (b *Bot) Fetch(ctx context.Context, f studio.File, limit int) ([]byte, error) {
	if f.Size > int64(limit) {
		return nil, &studio.UnfitError{Why: studio.TooLarge, Err: fmt.Errorf("%d bytes", f.Size)}
	}
	if err := b.checkFileURL(f.Ref); err != nil {
		return nil, &studio.SendError{Permanent: true, Err: err}
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, f.Ref, nil)
	if err != nil {
		return nil, &studio.SendError{Permanent: true, Err: err}
	}
	// The files lie on servers that want no token, and are sent none.
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return errors.New("a file is not fetched from elsewhere") }}
	resp, err := client.Do(req)
	var failed *url.Error
	if errors.As(err, &failed) {
		err = failed.Err // the address lets whoever knows it have the file
	}
	if err != nil {
		return nil, fmt.Errorf("fetching a file: %w", err)
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		gone := slices.Contains([]int{http.StatusForbidden, http.StatusNotFound, http.StatusGone}, resp.StatusCode)
		return nil, &studio.SendError{Permanent: gone, Err: fmt.Errorf("fetching a file: %s", resp.Status)}
	}
	data, err := io.ReadAll(io.LimitReader(resp.Body, int64(limit)+1))
	if err == nil && len(data) > limit {
		return nil, &studio.UnfitError{Why: studio.TooLarge, Err: errors.New("it goes on beyond the limit")}
	}
	return data, err
}

// checkFileURL refuses an address that is not the platform's own.
func (b *Bot) checkFileURL(ref string) error {
	u, err := url.Parse(ref)
	if err != nil {
		return errors.New("the address of a file is none")
	}
	if u.Scheme == "https" && slices.Contains(fileHosts, u.Host) {
		return nil
	}
	if b.cfg.API != DefaultAPI {
		if api, err := url.Parse(b.cfg.API); err == nil && u.Scheme == api.Scheme && u.Host == api.Host {
			return nil
		}
	}
	return fmt.Errorf("a file at %q is not Discord's", u.Host)
}
