package room

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"golang.org/x/crypto/bcrypt"

	"ledgerline/studio"
)

// Whoever is in a locked room is there with the host's password, and may act as
// everybody, or with a member's own, and acts as that member alone. A member
// chooses her own with the code of an invitation; the store knows its bcrypt hash.

// A guest is who a session belongs to: a member, or with the empty id the host.
type guest studio.MemberID

type guestKey struct{}

func withGuest(ctx context.Context, g guest) context.Context {
	return context.WithValue(ctx, guestKey{}, g)
}

func guestOf(ctx context.Context) guest {
	g, _ := ctx.Value(guestKey{}).(guest)
	return g
}

// may reports whether a guest may act as a member.
func (g guest) may(as studio.MemberID) bool { return g == "" || studio.MemberID(g) == as }

var errNotYours = fail(http.StatusForbidden, "room.not-yours", nil)

// passwordMark is the name under which the store keeps a member's password.
func passwordMark(m studio.MemberID) string { return "room/password/" + string(m) }

// hashOf returns the hash of a member's password. For whoever has none it is one
// that no password has, so that comparing takes as long.
func (r *Room) hashOf(ctx context.Context, m studio.MemberID) (hash string, err error) {
	err = r.cfg.Store.View(ctx, func(tx studio.Tx) error {
		who, err := tx.Member(m)
		if err == nil && who.Removed == 0 {
			hash, err = tx.Mark(passwordMark(m))
		}
		if errors.Is(err, studio.ErrNotFound) {
			err = nil
		}
		return err
	})
	if hash == "" {
		hash = r.door.nobodys
	}
	return hash, err
}

// choose gives the member whom a code was made for a password of her own, and an
// account of the room if she has none. Her other sessions end.
func (r *Room) choose(ctx context.Context, code, password string) (studio.MemberID, error) {
	if err := CheckPassword(password); err != nil || isHash(password) {
		return "", fail(http.StatusBadRequest, "room.password-length", nil)
	}
	hash, err := bcrypt.GenerateFromPassword([]byte(password), bcrypt.DefaultCost)
	if err != nil {
		return "", fmt.Errorf("hashing a password: %w", err)
	}
	var who studio.Member
	err = r.cfg.Store.Update(ctx, func(tx studio.Tx) (err error) {
		if who, err = studio.TakeInvitation(tx, code, r.cfg.Now()); err != nil {
			return err
		}
		if _, ok := accountHere(who); !ok {
			who.Accounts = append(who.Accounts, studio.Account{Platform: Platform, ID: string(who.ID)})
			if err := tx.PutMember(who); err != nil {
				return err
			}
		}
		return tx.PutMark(passwordMark(who.ID), string(hash))
	})
	if errors.Is(err, studio.ErrNotFound) {
		return "", fail(http.StatusForbidden, "join.bad-code", nil)
	}
	if err != nil {
		return "", fmt.Errorf("taking an invitation: %w", err)
	}
	r.door.end(guest(who.ID))
	return who.ID, nil
}

// enter returns who comes in with what was typed at the door.
func (r *Room) enter(req *http.Request, in signing) (guest, error) {
	switch {
	case in.Code != "":
		m, err := r.choose(req.Context(), in.Code, in.Password)
		return guest(m), err
	case in.Member == "":
		right, err := r.door.compare(req.Context(), string(r.door.hash), in.Password)
		if err == nil && !right {
			r.cfg.Log.Warn("wrong password for the room")
			err = fail(http.StatusForbidden, "room.wrong-password", nil)
		}
		return "", err
	}
	hash, err := r.hashOf(req.Context(), in.Member)
	if err != nil {
		return "", err
	}
	right, err := r.door.compare(req.Context(), hash, in.Password)
	if err == nil && !right {
		r.cfg.Log.Warn("wrong password of a member for the room")
		err = fail(http.StatusForbidden, "room.wrong-member", nil)
	}
	return guest(in.Member), err
}
