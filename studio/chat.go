package studio

import (
	"context"
	"errors"
	"fmt"
	"time"

	"ledgerline/studio/words"
)

// A Chat delivers posts to one platform.
type Chat interface {
	Platform() Platform

	// AtOnce returns how many posts may be on their way at the same time, each
	// to another address; at least 1.
	AtOnce() int

	// Send delivers a post and returns the platform's id for it. It may be
	// called again with the same Post.Key after a failure or a crash, and must
	// then not show the post twice where the platform has any means against it
	// (a nonce, a transaction id). It obeys ctx. An error it returns is a
	// [SendError], or is taken as one that may be tried again.
	Send(ctx context.Context, d Delivery) (id string, err error)
}

// A Delivery is a post with its pictures drawn.
type Delivery struct {
	Post
	QueuedAt time.Time  // when the post was queued
	Again    bool       // another program, or an earlier run of this one, may have sent it
	Images   [][]byte   // PNG, one for each of Post.Pictures
	InWords  string     // what stands over the words of a picture that is not shown
	Files    []Attached // that go with it
}

// A Drawer draws pictures as PNG and says in words what they show.
type Drawer interface {
	Draw(Picture) ([]byte, error)
	Describe(Picture) string
}

// A Receiver takes what a chat hears. Receive returns once the message is
// stored; a chat that got an error must offer the message again.
type Receiver interface {
	Receive(ctx context.Context, m Message) error
}

// A SendError says what a failure to send means for the next attempt.
type SendError struct {
	// Permanent says that no later attempt with this post can succeed.
	Permanent bool

	// Blocked says, in one sentence for the teacher, what a person must put
	// right before anything can be delivered there: a token that was revoked, a
	// channel that was deleted, a permission that is missing. Posts wait.
	Blocked words.Phrase

	After time.Duration // the platform asked to wait this long; 0: not said

	// Everywhere says that After holds for all posts of the platform.
	Everywhere bool

	Err error
}

func (e *SendError) Error() string {
	if e.Permanent {
		return fmt.Sprintf("not deliverable: %v", e.Err)
	}
	return e.Err.Error()
}

// Unwrap returns the cause.
func (e *SendError) Unwrap() error { return e.Err }

// unexplained reports whether the platform did not say what is wrong, or how long
// to wait: only such failures speak of a fault of the platform.
func (e *SendError) unexplained() bool { return !e.Permanent && e.Blocked.ID == "" && e.After == 0 }

// faultOf returns what err says of the next attempt.
func faultOf(err error) SendError {
	var e *SendError
	if errors.As(err, &e) {
		return *e
	}
	return SendError{Err: err}
}
