package studio

import (
	"context"
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
		fault := faultOf(sendErr)
		if fault.Blocked != "" {
			if err := s.tellBlocked(tx, &p, fault.Blocked); err != nil {
				return err
			}
		}
		counts := fault.Blocked == "" && fault.After == 0 // a platform that says when is not failing
		giveUp := fault.Permanent || counts && p.Attempts+1 >= maxAttempts
		next := now.Add(retryDelay(p.Attempts, fault.After, s.random()))
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
func retryDelay(attempts int, asked time.Duration, random float64) time.Duration {
	d := asked
	if d == 0 {
		d = min(2*time.Second<<min(attempts, 20), maxDelay)
	}
	return d + time.Duration(random*float64(d)/4)
}

// tellBlocked tells the teachers, by another way than the one that is blocked
// and once a date, what must be put right before posts go out again.
func (s *Service) tellBlocked(tx Tx, p *Queued, what string) error {
	members, err := tx.Members(p.Studio)
	if err != nil {
		return err
	}
	where := p.To.Channel
	if where == "" {
		where = "private lines"
	}
	post := Post{
		Kind: AlertPost, Studio: p.Studio,
		Title: fmt.Sprintf("I can't post on %s (%s)", p.To.Platform, where),
		Text:  what + "\nNothing is lost: what was to be said there waits, and goes out when it can.",
	}
	for _, m := range members {
		way, ok := anotherWay(&m, p.To)
		if m.Role != Teacher || !ok {
			continue
		}
		post.Key = Key(fmt.Sprintf("blocked/%s/%s%s/%s@%s", p.To.Platform, p.To.Channel, p.To.Account, s.today(&m), m.ID))
		post.Member, post.To = m.ID, way
		if _, err := tx.Queue(post, s.now()); err != nil {
			return err
		}
	}
	return nil
}

// anotherWay returns a private line to a member that is not on the blocked
// address: on another platform if she has one.
func anotherWay(m *Member, blocked Address) (Address, bool) {
	for _, same := range []bool{false, true} {
		for _, a := range m.Accounts {
			to := Address{Platform: a.Platform, Account: a.ID}
			if (a.Platform == blocked.Platform) == same && to != blocked {
				return to, true
			}
		}
	}
	return Address{}, false
}
