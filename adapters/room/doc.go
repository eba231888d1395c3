// Package room is a chat in the browser, served by the program itself: the
// studio channel and the private line to the bot, for whoever has no other chat
// or wants to see the whole job at once.
//
// A [Room] is a [studio.Chat] of the platform "room" and an [http.Handler]. It
// keeps no message of its own. What a page shows is [studio.OutboxTx.Transcript],
// so a post that was sent is there by being in the outbox, and [Room.Send] only
// wakes the pages that look at its address; sending twice shows nothing twice.
// What a person types goes to the [studio.Receiver] and is in the transcript once
// it is stored.
//
// # Who may enter
//
// A room without a password answers only this machine, and only under a name of
// this machine, so that no page elsewhere can point a name of its own at it. A
// room with a password gives a browser a session cookie for it. That password is
// the host's: whoever has it may act as every member of every studio. Everybody
// else comes in with a password of her own, chosen with the code of an
// invitation, and acts as herself alone. [CheckListen] says which addresses may
// be listened on.
//
// Every request that changes something must be JSON, or JSON and a recording, and
// come from the room's own page. Nothing that was typed is ever put into a page as
// markup; the page gets it as JSON and sets it as text, and the content security
// policy allows no script but the room's own files.
//
// # Endpoints
//
// All bodies are JSON. What goes wrong is answered with a status of 400 or above
// and {"error": "one sentence"}, in the language that Accept-Language asks for. Times are in RFC 3339, in UTC. A member is given
// by studio and as, her ids; a conversation by where, which is "channel" for the
// studio channel and "line" for her private line.
//
//	GET  api/room
//	     {"now", "demo", "moving", "studios": [{"id", "name", "lang", "zone", "channel"}],
//	     "recording": {"most", "endings"}}
//	     demo: the clock can be moved; channel: the studio has a channel here;
//	     recording: the most bytes of one, and how names of them end.
//	     401 if a password is wanted first.
//	GET  api/words?studio=
//	     {"lang", "texts": {id: {"one", "other"}}}: the texts of the page in the
//	     language that Accept-Language asks for; "one" where a number decides.
//	GET  api/members?studio=
//	     {"members": [{"id", "name", "role", "zone", "lang", "wards"}]}
//	     those with an account of this platform; wards: names, for guardians.
//	GET  api/transcript?studio=&as=&where=&limit=
//	     {"lang", "more", "entries": [...]}, oldest first, at most limit (1 to
//	     2000, 150 if not given); more: there are earlier ones. Has an ETag.
//	     An entry is {"id", "at", "reply_to"} and either
//	     "message": {"by", "role", "mine", "text", "files", "edited", "deleted",
//	     "verdict"}, files: names, or
//	     "post": {"kind", "title", "text", "items": [{"n", "head", "detail", "part"}],
//	     "foot", "choices": [{"label", "text"}], "pictures": ["text equivalent"], "files": ["name"],
//	     "sheet": it may be had as a page}
//	GET  picture?studio=&as=&post=&n=
//	     PNG of a post's picture n, counted from 0. Has an ETag.
//	GET  sheet?studio=&as=&post=&form=
//	     A post as a page to keep or print, html, pdf or letter, as a download:
//	     under the room's policy it would show nothing.
//	GET  file?studio=&as=&post=&n=
//	     File n that goes with a post, counted from 0: a click, or a recording for
//	     who may hear it. Ranges of it may be asked for.
//	GET  api/events?studio=&as=
//	     Server-sent events. "clock" {"now", "moving"}: at once, every 15 seconds,
//	     and each second while the clock is being moved. "changed" {"where"}: read
//	     that transcript again. After a reconnection read both.
//	POST api/say     {"studio", "as", "where", "text", "reply_to", "draft"}
//	POST api/record  the same and "file", a name, on one line, and after it the
//	     bytes of a recording, as application/octet-stream. Text may be empty.
//	POST api/edit    {"studio", "as", "message", "text", "draft"}
//	POST api/delete  {"studio", "as", "message"}
//	     {"id"}. Text has at most 8,000 characters. draft is an id that the
//	     page makes up, 8 to 64 letters, digits or hyphens: the same draft
//	     offered again, after a lost answer, counts once.
//	POST api/step    {"hours"}: 1, 24 or 168. {"now"}, once the clock has moved.
//	POST api/signin  {"member", "password", "code"}; sets the cookie. member: her
//	     id, empty for the host; code: of an invitation, with which the password
//	     becomes hers, and member is left aside.
//	POST api/signout {}; ends the session.
package room
