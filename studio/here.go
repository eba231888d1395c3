package studio

import "slices"

// here has a member written to on the account that she says it with, first and
// from now on: whoever moves from one chat to another says it in the new one.
// What the old one was told stays told, and what waits for it goes out there.
func (t *turn) here([]string) (Post, error) {
	if t.msg.Author == t.who.Accounts[0] {
		return t.answered("here.already", nil)
	}
	t.who.Accounts = slices.DeleteFunc(t.who.Accounts, func(a Account) bool { return a == t.msg.Author })
	t.who.Accounts = slices.Insert(t.who.Accounts, 0, t.msg.Author)
	return t.done(t.tx.PutMember(t.who), "here.done", nil)
}
