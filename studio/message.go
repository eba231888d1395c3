package studio

import (
	"slices"
	"strings"
	"time"
)

// A Happening is what befell a message on its platform.
type Happening string

// The happenings.
const (
	Written Happening = "written"
	Edited  Happening = "edited"
	Deleted Happening = "deleted"
)

// A Message is one thing that happened to one message of one person, as a chat
// reports it. The chat may report it any number of times: the four fields
// Platform, ID, Happening and Revision together say which happening it is.
type Message struct {
	Platform  Platform  `json:"platform"`
	ID        string    `json:"id"` // the platform's id of the message
	Happening Happening `json:"happening"`
	Revision  string    `json:"revision,omitempty"` // tells edits of one message apart

	Author  Account   `json:"author"`
	Channel string    `json:"channel"`            // channel, thread or private line it was said in
	Parent  string    `json:"parent,omitempty"`   // channel that its thread is in
	Private bool      `json:"private,omitempty"`  // said on the private line
	Text    string    `json:"text"`               // plain text; empty when deleted
	ReplyTo string    `json:"reply_to,omitempty"` // platform id of the post it answers
	ToUs    bool      `json:"to_us,omitempty"`    // names the bot
	At      time.Time `json:"at"`                 // when the platform took it

	Files []File `json:"files,omitempty"` // that came with it; they are fetched later, if at all
}

// A File is something that came with a message, such as a recording. It is left
// where it is until somebody wants it ([Fetcher]), unless it brings its Data.
type File struct {
	ID      string  `json:"id"`
	Name    string  `json:"name,omitempty"`
	Type    string  `json:"type,omitempty"`    // MIME type, as the platform has it
	Size    int64   `json:"size,omitempty"`    // bytes; 0: not said
	Seconds float64 `json:"seconds,omitempty"` // of sound; 0: not said
	Ref     string  `json:"ref,omitempty"`     // what its chat finds it by

	// Data is the file itself, from a chat that does not have it later: it is kept
	// with the message until it was listened to.
	Data []byte `json:"-"`
}

var soundEndings = []string{".ogg", ".opus", ".oga", ".wav", ".mp3", ".flac", ".m4a", ".aac"}

// SoundEndings returns how names of recordings end.
func SoundEndings() []string { return slices.Clone(soundEndings) }

// IsSound reports whether a file says that it is a recording.
func (f *File) IsSound() bool {
	if strings.HasPrefix(f.Type, "audio/") || f.Type == "application/ogg" {
		return true
	}
	name := strings.ToLower(f.Name)
	return !strings.HasPrefix(f.Type, "video/") && slices.ContainsFunc(soundEndings, func(end string) bool { return strings.HasSuffix(name, end) })
}

// A Verdict is what reading made of a stored message.
type Verdict string

// The verdicts.
const (
	Unread  Verdict = ""
	Logged  Verdict = "logged"  // something went into the log
	Obeyed  Verdict = "obeyed"  // a command, or an answer to a question
	Asked   Verdict = "asked"   // not clear; a question was sent
	PassOn  Verdict = "passed"  // passed on to the teacher
	Heard   Verdict = "heard"   // a recording is listened to
	Chatter Verdict = "chatter" // not for us
	Refused Verdict = "refused" // not allowed, or nobody we know
	Faulty  Verdict = "faulty"  // a fault of the program; passed on to the teacher
)

// A Stored is a message in the inbox.
type Stored struct {
	Message
	Inbox   int64 // order of arrival
	Verdict Verdict
}
