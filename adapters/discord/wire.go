package discord

import (
	"encoding/json"
	"strconv"
	"time"

	"ledgerline/studio/words"

	"ledgerline/studio"
)

// What Discord says, as far as it is used here.

type user struct {
	ID  string `json:"id"`
	Bot bool   `json:"bot"`
}

// A note is a message as Discord reports it.
type note struct {
	ID        string     `json:"id"`
	Type      int        `json:"type"`
	Channel   string     `json:"channel_id"`
	Guild     string     `json:"guild_id"` // only in events, and only outside private lines
	Author    user       `json:"author"`
	Webhook   string     `json:"webhook_id"`
	Content   string     `json:"content"`
	Edited    *time.Time `json:"edited_timestamp"`
	Mentions  []user     `json:"mentions"`
	Roles     []string   `json:"mention_roles"`
	Reference *reference `json:"message_reference"`
	Answered  *note      `json:"referenced_message"`

	Attached []received `json:"attachments"`

	Nonce      json.RawMessage `json:"nonce"`
	Embeds     []embed         `json:"embeds"`
	Components []row           `json:"components"`
	Reactions  []struct {
		Count int   `json:"count"`
		Me    bool  `json:"me"`
		Emoji emoji `json:"emoji"`
	} `json:"reactions"`
}

// Types of message that people write.
const (
	plainMessage = 0
	replyMessage = 19
)

type emoji struct {
	ID   *string `json:"id"` // none: it is a character
	Name string  `json:"name"`
}

type deletion struct {
	ID      string   `json:"id"`
	IDs     []string `json:"ids"` // of several at once
	Channel string   `json:"channel_id"`
	Guild   string   `json:"guild_id"`
}

type reaction struct {
	User    string `json:"user_id"`
	Channel string `json:"channel_id"`
	Message string `json:"message_id"`
	Guild   string `json:"guild_id"`
	Author  string `json:"message_author_id"` // of the message; not in every event
	Emoji   emoji  `json:"emoji"`
	Member  struct {
		User user `json:"user"`
	} `json:"member"`
}

type interaction struct {
	ID      string `json:"id"`
	Type    int    `json:"type"`
	Token   string `json:"token"`
	Channel string `json:"channel_id"`
	Guild   string `json:"guild_id"`
	Locale  string `json:"locale"` // of the person's app, such as "es-ES"
	Message *note  `json:"message"`
	User    user   `json:"user"` // on a private line
	Member  struct {
		User user `json:"user"`
	} `json:"member"` // elsewhere
	Data struct {
		CustomID string       `json:"custom_id"`
		Name     string       `json:"name"`
		Options  []slashValue `json:"options"`
	} `json:"data"`
}

// voice returns the voice that speaks to whoever acted, in the language of her app.
func (i *interaction) voice() *words.Voice { return words.Program().In(i.Locale) }

// Types of interaction.
const (
	slashed   = 2
	pressed   = 3
	completed = 4 // rather: to be completed
)

type slashValue struct {
	Name    string          `json:"name"`
	Value   json.RawMessage `json:"value"`
	Focused bool            `json:"focused"`
}

// words returns the value as it was typed.
func (v slashValue) words() string {
	var s string
	if json.Unmarshal(v.Value, &s) == nil {
		return s
	}
	return string(v.Value)
}

// Types of channel.
const (
	privateLine        = 1
	announcementThread = 10
	publicThread       = 11
	privateThread      = 12
)

type channel struct {
	ID         string      `json:"id"`
	Type       int         `json:"type"`
	Name       string      `json:"name"`
	Guild      string      `json:"guild_id"`
	Parent     string      `json:"parent_id"`
	Overwrites []overwrite `json:"permission_overwrites"`
}

func (c channel) thread() bool { return announcementThread <= c.Type && c.Type <= privateThread }

// What is sent.

type outgoing struct {
	Content     string       `json:"content,omitempty"`
	Embeds      []embed      `json:"embeds,omitempty"`
	Components  []row        `json:"components,omitempty"`
	Attachments []attachment `json:"attachments,omitempty"`
	Allowed     mentions     `json:"allowed_mentions"`
	Reference   *reference   `json:"message_reference,omitempty"`
	Flags       int          `json:"flags,omitempty"`
	Nonce       string       `json:"nonce,omitempty"`
	Enforce     bool         `json:"enforce_nonce,omitempty"`

	images [][]byte          // one for each of the first attachments
	files  []studio.Attached // one for each of the others
}

// Flags of a message.
const (
	noPreviews = 1 << 2 // links are not unfolded
	onlyForYou = 1 << 6 // seen by nobody but who caused it
)

// mentions allows no name to call anybody. Its list is never null: null would
// allow all.
type mentions struct {
	Parse       []string `json:"parse"`
	RepliedUser bool     `json:"replied_user"`
}

func nobody() mentions { return mentions{Parse: []string{}} }

type reference struct {
	Type    int    `json:"type"`
	Message string `json:"message_id"`
	Channel string `json:"channel_id,omitempty"`
	Fail    bool   `json:"fail_if_not_exists"`
}

type embed struct {
	Title       string  `json:"title,omitempty"`
	Description string  `json:"description,omitempty"`
	Color       int     `json:"color,omitempty"`
	Fields      []field `json:"fields,omitempty"`
	Footer      *footer `json:"footer,omitempty"`
	Image       *image  `json:"image,omitempty"`
}

// An image is a picture in an embed. The URL of an attachment of the same message
// is attachment:// and its name.
type image struct {
	URL string `json:"url"`
}

type field struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

type footer struct {
	Text string `json:"text"`
}

type row struct {
	Type    int      `json:"type"`
	Buttons []button `json:"components"`
}

type button struct {
	Type     int    `json:"type"`
	Style    int    `json:"style"`
	Label    string `json:"label,omitempty"`
	CustomID string `json:"custom_id,omitempty"`
}

// Types of component, and the style of a button that is not the first.
const (
	rowType        = 1
	buttonType     = 2
	primaryStyle   = 1
	secondaryStyle = 2
)

type attachment struct {
	ID          string `json:"id"`
	Filename    string `json:"filename"`
	Description string `json:"description,omitempty"`
}

// epoch is the first millisecond of Discord's ids, in Unix time.
const epoch = 1420070400000

// timeOf returns when a thing with that id was made.
func timeOf(id string) time.Time {
	n, _ := strconv.ParseUint(id, 10, 64)
	return time.UnixMilli(int64(n>>22) + epoch).UTC()
}

// idAt returns the lowest id of things made at t.
func idAt(t time.Time) string {
	return strconv.FormatUint(uint64(max(0, t.UnixMilli()-epoch))<<22, 10)
}

// later reports whether the thing with id a was made after that with id b.
func later(a, b string) bool {
	return len(a) > len(b) || len(a) == len(b) && a > b
}

// isMessage reports whether id is that of a message.
func isMessage(id string) bool {
	for _, r := range id {
		if r < '0' || r > '9' {
			return false
		}
	}
	return id != ""
}
