package studio

import (
	"context"
	"errors"
	"fmt"
	"time"
)

const (
	sendBatch = 100 // posts of one platform looked up at once

	// A post is given up after this many failed attempts: with the delays of
	// retryDelay that is more than two days of trying.
	maxAttempts = 60
	maxDelay    = time.Hour
)

// SendDue delivers what may be sent by now and returns how many posts went out.
// A post that fails is tried again later; the posts behind it at the same
// address wait for it, so that a conversation stays in order.
func (s *Service) SendDue(ctx context.Context) (sent int, err error) {
	for _, chat := range s.chats {
		for {
			n, failed, err := s.sendBatch(ctx, chat)
			sent += n
			if err != nil {
				return sent, err
			}
			if n == 0 || failed {
				break
			}
		}
	}
	return sent, nil
}

func (s *Service) sendBatch(ctx context.Context, chat Chat) (sent int, failed bool, err error) {
	var posts []Queued
	err = s.store.View(ctx, func(tx Tx) (err error) {
		posts, err = tx.DuePosts(chat.Platform(), s.now(), sendBatch)
		return err
	})
	if err != nil {
		return 0, false, fmt.Errorf("looking for posts to send: %w", err)
	}
	waiting := map[Address]bool{}
	for _, p := range posts {
		if waiting[p.To] {
			continue
		}
		id, sendErr := chat.Send(ctx, s.deliver(p.Post))
		if ctx.Err() != nil {
			return sent, failed, ctx.Err()
		}
		if sendErr != nil {
			waiting[p.To], failed = true, true
		} else {
			sent++
		}
		if err := s.record(ctx, p, id, sendErr); err != nil {
			return sent, failed, err
		}
	}
	return sent, failed, nil
}

// deliver draws a post's pictures. One that can't be drawn is left to its text
// equivalent: words late are worse than a picture missing.
func (s *Service) deliver(p Post) Delivery {
	d := Delivery{Post: p}
	for i, pic := range p.Pictures {
		png, err := s.drawer.Draw(pic)
		if err != nil {
			s.log.Error("picture not drawn", "key", p.Key, "picture", i, "err", err)
		}
		d.Images = append(d.Images, png)
	}
	return d
}

// record keeps what became of one attempt to send.
func (s *Service) record(ctx context.Context, p Queued, id string, sendErr error) error {
	now := s.now()
	err := s.store.Update(ctx, func(tx Tx) error {
		if sendErr == nil {
			return tx.PostSent(p.Outbox, id, now)
		}
		giveUp := permanent(sendErr) || p.Attempts+1 >= maxAttempts
		next := now.Add(retryDelay(p.Attempts, sendErr, s.random()))
		return tx.PostFailed(p.Outbox, next, sendErr.Error(), giveUp)
	})
	if err != nil {
		return fmt.Errorf("recording the sending of %s: %w", p.Key, err)
	}
	if sendErr != nil {
		s.log.Warn("post not sent", "key", p.Key, "attempts", p.Attempts+1, "err", sendErr)
	}
	return nil
}

// retryDelay returns how long to wait after a failed attempt: what the platform
// asked for, or doubling from two seconds to an hour; with up to a quarter more
// by chance, so that many posts do not come back at once. random is in [0,1).
func retryDelay(attempts int, err error, random float64) time.Duration {
	d := min(2*time.Second<<min(attempts, 20), maxDelay)
	var e *SendError
	if errors.As(err, &e) && e.After > 0 {
		d = e.After
	}
	return d + time.Duration(random*float64(d)/4)
}
