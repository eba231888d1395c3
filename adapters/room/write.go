package room

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"unicode/utf8"

	"ledgerline/studio"
)

// The longest message. The bytes are what the studio keeps of one.
const (
	maxChars = 8000
	maxBytes = 16 << 10
)

var errTooLong = fail(http.StatusRequestEntityTooLarge, "room.too-long", nil)

var draftForm = regexp.MustCompile(`^[A-Za-z0-9-]{8,64}$`)

// A writing is what a page asks for when somebody writes, edits or deletes.
type writing struct {
	Studio  studio.StudioID `json:"studio"`
	As      studio.MemberID `json:"as"`
	Where   string          `json:"where,omitempty"`
	Message string          `json:"message,omitempty"`
	Text    string          `json:"text,omitempty"`
	ReplyTo string          `json:"reply_to,omitempty"`
	Draft   string          `json:"draft,omitempty"`
	File    string          `json:"file,omitempty"` // name of the recording that follows
}

func (r *Room) say(w http.ResponseWriter, req *http.Request) error {
	in, err := r.readWriting(req, true)
	if err != nil {
		return err
	}
	msg, at, err := r.compose(req.Context(), in)
	if err != nil {
		return err
	}
	return r.receive(w, req, msg, at)
}

// compose makes the message that a page asks for, and returns where it is said.
func (r *Room) compose(ctx context.Context, in writing) (msg studio.Message, at studio.Address, err error) {
	err = r.cfg.Store.View(ctx, func(tx studio.Tx) error {
		s, err := takeSeat(ctx, tx, in.Studio, in.As)
		if err != nil {
			return err
		}
		if at, err = s.address(in.Where); err != nil {
			return err
		}
		if err := checkReply(tx, in.ReplyTo, s.studio.ID, at); err != nil {
			return err
		}
		msg = studio.Message{
			ID: s.account.ID + "/" + in.Draft, Happening: studio.Written,
			Author: s.account, Channel: at.Channel, Text: in.Text, ReplyTo: in.ReplyTo,
		}
		if at == s.line {
			msg.Channel, msg.Private = at.Account, true
		}
		return nil
	})
	return msg, at, err
}

func (r *Room) edit(w http.ResponseWriter, req *http.Request) error {
	in, err := r.readWriting(req, true)
	if err != nil {
		return err
	}
	return r.change(w, req, in, func(m *studio.Message) error {
		if len(m.Files) > 0 {
			return fail(http.StatusConflict, "room.recording-stays", nil)
		}
		m.Happening, m.Revision, m.Text = studio.Edited, in.Draft, in.Text
		return nil
	})
}

func (r *Room) takeBack(w http.ResponseWriter, req *http.Request) error {
	in, err := r.readWriting(req, false)
	if err != nil {
		return err
	}
	return r.change(w, req, in, func(m *studio.Message) error {
		m.Happening, m.Revision, m.Text, m.Files = studio.Deleted, "", "", nil
		return nil
	})
}

// readWriting reads a request and checks its draft and, if wanted, its text.
func (r *Room) readWriting(req *http.Request, wantText bool) (writing, error) {
	var in writing
	if err := readJSON(req, &in); err != nil {
		return in, err
	}
	return in, r.check(req.Context(), &in, wantText)
}

// check checks a request and puts its words in order.
func (r *Room) check(ctx context.Context, in *writing, wantText bool) error {
	if !r.door.may("writes "+string(guestOf(ctx))+" as "+string(in.As), writeRate, writesAtOnce) {
		return errTooMuch
	}
	if in.Draft == "" {
		in.Draft = r.cfg.NewID()
	} else if !draftForm.MatchString(in.Draft) {
		return misused("draft has 8 to 64 letters, digits or hyphens")
	}
	in.Text = strings.TrimRight(strings.ReplaceAll(in.Text, "\r\n", "\n"), " \t\n")
	if wantText && strings.TrimSpace(in.Text) == "" {
		return fail(http.StatusBadRequest, "room.empty-message", nil)
	}
	if utf8.RuneCountInString(in.Text) > maxChars || len(in.Text) > maxBytes {
		return errTooLong
	}
	return nil
}

// checkReply reports whether id is empty or a post of the studio at the address.
func checkReply(tx studio.Tx, id string, in studio.StudioID, at studio.Address) error {
	if id == "" {
		return nil
	}
	p, err := tx.PostKnownAs(Platform, id)
	if err != nil && !errors.Is(err, studio.ErrNotFound) {
		return err
	}
	if err != nil || p.Studio != in || p.To != at {
		return fail(http.StatusNotFound, "room.no-post", nil)
	}
	return nil
}

// change lets become of a message of the member's own what alter says.
func (r *Room) change(w http.ResponseWriter, req *http.Request, in writing, alter func(*studio.Message) error) error {
	var msg studio.Message
	var at studio.Address
	err := r.cfg.Store.View(req.Context(), func(tx studio.Tx) error {
		s, err := takeSeat(req.Context(), tx, in.Studio, in.As)
		if err != nil {
			return err
		}
		msg, err = ownMessage(tx, &s, in.Message)
		at = studio.Address{Platform: Platform, Channel: msg.Channel}
		if msg.Private {
			at = s.line
		}
		return err
	})
	if err != nil {
		return err
	}
	if err := alter(&msg); err != nil {
		return err
	}
	return r.receive(w, req, msg, at)
}

// ownMessage returns a message as it was first written, if the seat's member
// wrote it in one of her conversations and has not deleted it.
func ownMessage(tx studio.Tx, s *seat, id string) (studio.Message, error) {
	all, err := tx.Happenings(Platform, id)
	if err != nil && !errors.Is(err, studio.ErrNotFound) {
		return studio.Message{}, err
	}
	if len(all) == 0 || all[0].Author != s.account || !all[0].Private && all[0].Channel != s.channel.Channel {
		return studio.Message{}, fail(http.StatusNotFound, "room.no-message", nil)
	}
	for _, h := range all {
		if h.Happening == studio.Deleted {
			return studio.Message{}, fail(http.StatusConflict, "room.deleted-already", nil)
		}
	}
	return all[0].Message, nil
}

// receive hands a message on, and answers only once it is stored. That a page
// has gone away meanwhile does not stop it.
func (r *Room) receive(w http.ResponseWriter, req *http.Request, msg studio.Message, at studio.Address) error {
	msg.Platform, msg.At = Platform, r.cfg.Now()
	if err := r.cfg.Receiver.Receive(context.WithoutCancel(req.Context()), msg); err != nil {
		return fmt.Errorf("handing on a message: %w", err)
	}
	r.hub.changed(at)
	return writeJSON(w, map[string]string{"id": msg.ID})
}
