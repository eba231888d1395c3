// Package matrix lets a studio live on Matrix.
//
// A [Bot] is a [studio.Chat]: [Bot.Send] delivers posts, and [Bot.Run] follows
// what happens in the bot's rooms and gives every message to the studio's
// inbox. [Bot.Check] says what a person must put right when something is
// missing.
//
// # What is promised
//
// A message is offered to the [studio.Receiver] until it is stored; how far the
// bot has read moves on only then, and is kept in the store. What was said while
// the bot was away is read on the next start, from the history of the room where
// the server leaves a gap. Offering twice is harmless: the inbox knows each
// happening by its id.
//
// A post is shown once. Each event of it is sent under a transaction id made
// from the [studio.Key] and the number of the part, for which the server returns
// the same event again; and since servers forget transaction ids after some
// hours, the bot remembers those that it saw come back in what it follows, and
// does not send before it has caught up. A post too long for one event becomes
// several, cut between items, lines or words.
//
// # What is not
//
// Both means against doubling belong to one device of the bot's account: whoever
// gives the bot a new token in the short time between the sending of a post and
// the recording of it may see that post twice. The marks for quick answers below
// a card are set after it, as far as the server's limits let them; a crash in
// between leaves a card without some. A crash while a private line is being opened
// may leave two, of which the newer is used. When an edit is taken back and not the
// message, the text of the edit stays.
//
// # Addresses and ids
//
// A channel is the id of a room, "!room:server", or of a thread in it,
// "!room:server/$event", where $event is the event that the thread hangs from.
// The room may also be named by an alias, "#studio:server". A room that was upgraded
// is followed to the one that took its place; the studio goes on calling it as it
// did.
//
// An account is a Matrix id, "@ada:server". The private line to an account is a
// room with nobody else in it, which the account data m.direct of the bot names.
// A message is known by the id of its event; so is a reaction that is a quick
// answer.
//
// # Encryption
//
// The library's encryption is free of cgo only under the build tag goolm, which
// no import and no go.mod can set. So that the program builds, vets and tests
// without any tag, the file that imports it carries the tag; the program built
// without has no encrypted rooms, and [Bot.Check] and the posts that wait for
// one say so. [Encrypts] tells which it is.
//
// The keys are kept in the database file of the store, in tables of their own,
// and belong to one device of the account. If they are lost (a new file under an
// account that has been used before) the device is of no more use: with a
// password the bot makes a new one and says that it can't read what was written
// in encrypted rooms before; with a token a person must make a new token. One
// program at a time may use a key store.
package matrix
