package discord

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
)

// request sends a request and decodes the answer into v, if v is not nil. It
// does not wait for a limit: it returns at once, with an error that says how
// long to wait.
func (b *Bot) request(ctx context.Context, method, url, bucket string, body, v any) error {
	var raw []byte
	if body != nil {
		var err error
		if raw, err = json.Marshal(body); err != nil {
			return err
		}
	}
	return b.requestRaw(ctx, method, url, bucket, "application/json", raw, v)
}

func (b *Bot) requestRaw(ctx context.Context, method, url, bucket, contentType string, body []byte, v any) error {
	if d := b.limit(bucket); d > 0 {
		return b.limited(&discordgo.RateLimitError{RateLimit: &discordgo.RateLimit{
			TooManyRequests: &discordgo.TooManyRequests{RetryAfter: d}, URL: bucket,
		}})
	}
	if strings.HasSuffix(bucket, historyBucket) {
		if err := b.back.Wait(ctx); err != nil {
			return err
		}
	}
	if bucket != interactionBucket {
		if err := b.pace.Wait(ctx); err != nil {
			return err
		}
	}
	answer, err := b.rest.RequestRaw(method, url, contentType, body, bucket, 0, discordgo.WithContext(ctx))
	if err != nil || v == nil {
		return b.limited(err)
	}
	if err := json.Unmarshal(answer, v); err != nil {
		return fmt.Errorf("answer not understood: %w", err)
	}
	return nil
}

// interactionBucket is that of answers to interactions, which do not count
// towards the limit on all requests.
var interactionBucket = discordgo.EndpointInteraction("", "")

// limited says of an error that everything is limited, if it is.
func (b *Bot) limited(err error) error {
	var limit *discordgo.RateLimitError
	wait := b.link.wait()
	if wait <= 0 || !errors.As(err, &limit) {
		return err
	}
	return &studio.SendError{After: wait, Everywhere: true, Err: err}
}

// limit returns how long a bucket, or everything, must rest. It waits while
// another request of that bucket is under way: its answer decides.
func (b *Bot) limit(bucket string) time.Duration {
	r := b.rest.Ratelimiter.GetBucket(bucket)
	r.Lock()
	defer r.Unlock()
	return max(b.link.wait(), b.rest.Ratelimiter.GetWaitTime(r, 1))
}

// create sends a message and returns its id.
func (b *Bot) create(ctx context.Context, channel string, m outgoing) (string, error) {
	url := discordgo.EndpointChannelMessages(channel)
	contentType, body, err := encoded(m)
	if err != nil {
		return "", &studio.SendError{Permanent: true, Err: err}
	}
	var made note
	err = b.requestRaw(ctx, http.MethodPost, url, url, contentType, body, &made)
	return made.ID, err
}

// encoded returns a message as the body of a request: JSON, or with pictures a
// form.
func encoded(m outgoing) (contentType string, body []byte, err error) {
	if len(m.images)+len(m.files) == 0 {
		body, err = json.Marshal(m)
		return "application/json", body, err
	}
	var files []*discordgo.File
	for i, png := range m.images {
		files = append(files, &discordgo.File{Name: m.Attachments[i].Filename, ContentType: "image/png", Reader: bytes.NewReader(png)})
	}
	for _, f := range m.files {
		files = append(files, &discordgo.File{Name: f.Name, ContentType: f.Type, Reader: bytes.NewReader(f.Data)})
	}
	return discordgo.MultipartBodyWithJSON(m, files)
}

// getMessage returns a message of a channel.
func (b *Bot) getMessage(ctx context.Context, channel, id string) (n note, err error) {
	url := discordgo.EndpointChannelMessage(channel, id)
	err = b.request(ctx, http.MethodGet, url, discordgo.EndpointChannelMessage(channel, ""), nil, &n)
	return n, err
}

// history returns up to 100 messages of a channel, newest first, that are older
// than before ("": the newest of all).
func (b *Bot) history(ctx context.Context, channel, before string) (page []note, err error) {
	url := discordgo.EndpointChannelMessages(channel)
	query := fmt.Sprintf("?limit=%d", historyPage)
	if before != "" {
		query += "&before=" + before
	}
	err = b.request(ctx, http.MethodGet, url+query, url+historyBucket, nil, &page)
	return page, err
}

// historyBucket ends the names of the buckets of reading back.
const historyBucket = "#history"

// historyPage is how many messages Discord gives at once at most.
const historyPage = 100
