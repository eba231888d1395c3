// Package studio runs a brass studio in a chat.
//
// Everything goes one way round. A message that arrives is stored in the inbox
// before anybody reads it ([Service.Receive]). The inbox is then read in order
// ([Service.ReadInbox]): one message, one transaction, which appends to the
// log, moves standings and streaks, and queues the receipt in the outbox. The
// scheduler ([Service.RunDue]) does what has come due by the wall clock of each
// member or studio: it posts routines, reminders, digests and announcements, in
// the same way, as rows of the outbox. The sender ([Service.SendDue]) delivers
// the outbox to the chats. Whoever kills the program between two of these steps
// loses nothing: the next start finds the unread messages, the due work and the
// unsent posts where they were left.
//
// Nothing is posted twice, because every post has a key that says what it is
// (the routine of Ada for 2026-03-04, the receipt for message 811), the outbox
// holds each key once, and the chat is given the same key on every attempt.
//
// A message that is edited is read as if it had said at first what it says now:
// what it had put into the log is withdrawn. A command that was carried out is not
// carried out once more. What can be taken back plainly (a note, a lesson, what was
// decided in one) gives way to what the new text says; anything else stands, which
// is answered in a sentence, with a button that gives the new text as a command of
// its own. What only shows something, was refused, or says what a student wants of
// today is read anew.
//
// The package owns the interfaces to all it needs from outside: a [Store], one
// or more [Chat]s, a [Drawer] of pictures, and a clock. It knows no platform
// and no database.
package studio
