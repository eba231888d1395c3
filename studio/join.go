package studio

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"
)

// codeLasts is how long a code may be used.
const codeLasts = 7 * 24 * time.Hour

// codeLetters are those that are hard to mistake for one another.
const codeLetters = "23456789abcdefghjkmnpqrstuvwxyz"

// codeLength makes some 10^13 codes: with a week to live and one try a message,
// none is found by guessing.
const codeLength = 9

// An invitation is what a code stands for. The store knows only the hash of the
// code.
type invitation struct {
	Member  MemberID  `json:"member"`
	Expires time.Time `json:"expires"`
}

func codeMark(code string) string {
	sum := sha256.Sum256([]byte(strings.ToLower(code)))
	return "invitation/" + hex.EncodeToString(sum[:])
}

// invite makes a code with which a member's account on another chat, or her
// first, is joined to her.
func (t *turn) invite(args []string) (Post, error) {
	m, err := t.anyMember(args)
	if err != nil {
		return Post{}, err
	}
	code := make([]byte, codeLength)
	for i := range code {
		code[i] = codeLetters[int(t.random()*float64(len(codeLetters)))]
	}
	note, err := json.Marshal(invitation{m.ID, t.now().Add(codeLasts)})
	if err != nil {
		return Post{}, err
	}
	err = t.tx.PutMark(codeMark(string(code)), string(note))
	return t.done(err, "invite.code", with{"name": m.Name, "code": string(code)})
}

// invitationCode returns the code in a message, if it is one.
func (t *turn) invitationCode() (code string, ok bool) {
	words := strings.Fields(t.text)
	if len(words) != 2 || !means(t.voice, "called.join", words[0]) {
		return "", false
	}
	return words[1], true
}

// joinToo takes the code of somebody who joins with an account that others have
// already: sister and brother on one phone. Who teaches has an account alone.
func (t *turn) joinToo(others []Member) (tried bool, err error) {
	if !t.msg.Private || t.msg.Happening != Written {
		return false, nil
	}
	t.voice = t.Service.voice(&t.who)
	if _, isCode := t.invitationCode(); !isCode {
		return false, nil
	}
	if slices.ContainsFunc(others, func(m Member) bool { return slices.Contains(teaching, m.Role) }) {
		return true, t.answer(AnswerPost, t.voice.Say("join.not-shared", nil))
	}
	t.shared = true
	return t.join()
}

// join takes the code in a message of somebody we do not know, if there is one.
func (t *turn) join() (tried bool, err error) {
	code, isCode := t.invitationCode()
	if !isCode {
		return false, nil
	}
	who, err := TakeInvitation(t.tx, code, t.now())
	if isNotFound(err) {
		return true, t.answer(AnswerPost, t.voice.Say("join.bad-code", nil))
	}
	if err != nil {
		return true, err
	}
	t.who = who
	if slices.Contains(who.Accounts, t.msg.Author) {
		return true, t.answer(AnswerPost, t.Service.voice(&who).Say("here.already", nil))
	}
	t.who.Accounts = append(t.who.Accounts, t.msg.Author)
	if err := t.tx.PutMember(t.who); err != nil {
		return true, err
	}
	t.voice = t.Service.voice(&t.who)
	if t.studio, err = t.tx.Studio(t.who.Studio); err != nil {
		return true, err
	}
	welcome := t.voice.Say("join.welcome", with{"name": t.who.Name})
	if len(t.who.Accounts) > 1 {
		welcome += "\n" + t.voice.Say("join.second", nil)
	}
	if t.shared {
		welcome += "\n" + t.voice.Say("shared-account", with{"name": t.who.Name})
	}
	err = t.answer(AnswerPost, welcome)
	if err != nil || t.who.Role != Student || len(t.who.Accounts) > 1 {
		return true, err
	}
	first, err := t.question(0)
	if err != nil {
		return true, err
	}
	return true, t.say(first)
}

// TakeInvitation uses up the code of an invitation and returns whom it was made
// for. For a code that is not known, was used or is too old it returns
// [ErrNotFound].
func TakeInvitation(tx Tx, code string, now time.Time) (Member, error) {
	who, err := invited(tx, code, now)
	if err == nil {
		err = tx.Claim(who.Studio)
	}
	if err == nil {
		who, err = invited(tx, code, now) // still
	}
	if err != nil {
		return Member{}, err
	}
	return who, tx.PutMark(codeMark(code), "")
}

// invited returns whom the code of an invitation was made for.
func invited(tx Tx, code string, now time.Time) (Member, error) {
	note, err := tx.Mark(codeMark(code))
	if err != nil {
		return Member{}, err
	}
	var inv invitation
	if note != "" {
		if err := json.Unmarshal([]byte(note), &inv); err != nil {
			return Member{}, fmt.Errorf("reading an invitation: %w", err)
		}
	}
	if inv.Member == "" || now.After(inv.Expires) {
		return Member{}, ErrNotFound
	}
	who, err := tx.Member(inv.Member)
	if err == nil && who.Removed != 0 {
		err = ErrNotFound
	}
	return who, err
}
