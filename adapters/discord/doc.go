// Package discord lets a studio live on Discord.
//
// A [Bot] is a [studio.Chat]: [Bot.Send] delivers posts, and [Bot.Run] keeps
// the connection on which Discord says what happens, and gives every message to
// the studio's inbox. [Bot.Check] says what a person must click when a token,
// an intent or a permission is missing.
//
// # What is promised
//
// A message is offered to the [studio.Receiver] until it is stored; the
// messages behind it wait, so that the last stored id of a channel has none
// unstored before it. After every connection that does not resume the one
// before (a start, a long absence), the channels and private lines of the
// studios are read back to the last stored id, before anything newer from the
// same place is offered. Offering twice is harmless: the inbox knows each
// happening by its id.
//
// A post is shown once. Each message of it carries a nonce made from the
// [studio.Key], which Discord enforces for some minutes; where an attempt ended
// without an answer and is made again later, the channel is looked at first. A
// post too long for one message becomes several, cut between items, lines or
// words; an attempt that fails half way goes on where it stopped.
//
// # What is not
//
// Discord does not tell what was deleted, or which reactions were taken back,
// while nobody listened. It does not say who deleted a message either: whoever
// may delete it takes the report back.
//
// # Ids
//
// A message is known by its Discord id. What has no message of its own gets an
// id made of what it is about: a pressed button "press/MESSAGE/INTERACTION", a
// slash command "slash/INTERACTION", a reaction "react/MESSAGE/USER/EMOJI/N",
// where N counts how often that reaction was taken back before. Only the ids of
// messages are all digits.
//
// # The library
//
// discordgo 0.29.0 carries the connection and the rate-limit buckets. It speaks
// version 9 of the API to addresses that are global to the process; a transport
// of ours sends its requests to the address of this bot, as version 10. Of the
// differences one matters here: since version 10 the text of messages comes
// only with the message content intent. Events and bodies are read and written
// with types of this package: those of the library lack the nonce and the
// descriptions of attachments, and give up a whole message for one part of it
// that they do not know.
package discord
