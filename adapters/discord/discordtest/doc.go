// Package discordtest is a small Discord for tests: one bot, its servers and
// the people on them, over a gateway and a REST interface on this machine.
//
// It speaks version 10 as far as the bot uses it: identify, heartbeats, resume
// with replay, invalid sessions and reconnects; rate limits of a route and of
// everything, with their headers; nonces that are enforced; interactions that
// must be answered within three seconds; history. Faults are set by tests with
// [Server.Fail] and by what people do to the bot: [Server.RevokeToken],
// [Server.Kick], [Server.Forbid].
//
// It is stricter than it need be where a bot could go wrong unseen: a message
// over a limit, a mention that would ping, a second answer to an interaction
// are refused or recorded. It is no reference for Discord: tests check what it
// answers against Discord's own API document, by way of [Server.Watch].
package discordtest
