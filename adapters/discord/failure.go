package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Codes of errors in Discord's answers.
const (
	codeUnknownChannel  = 10003
	codeUnknownGuild    = 10004
	codeUnknownMessage  = 10008
	codeUnknownUser     = 10013
	codeExpired         = 10062 // interaction not answered in time
	codeSlowMode        = 20016
	codeReactionsFull   = 30010
	codeBadRecipient    = 50033
	codeNoAccess        = 50001
	codeNoDirect        = 50007
	codeNoPermission    = 50013
	codeBadForm         = 50035
	codeNoHistory       = 160002
	codeThreadLocked    = 160005
	codeThreadArchived  = 50083
	codeReactionRefused = 90001
	codeAutoMod         = 200000
)

// blocked is the message that says what a person must put right, by the code of
// the error.
var blocked = map[int]string{
	codeUnknownChannel: "discord.channel",
	codeUnknownGuild:   "discord.channel",
	codeUnknownUser:    "discord.account",
	codeBadRecipient:   "discord.account",
	codeNoAccess:       "discord.access",
	codeNoDirect:       "discord.direct",
	codeNoPermission:   "discord.permission",
	codeNoHistory:      "discord.permission",
	codeThreadLocked:   "discord.thread",
	codeThreadArchived: "discord.thread",
	codeAutoMod:        "discord.automod",
}

// sendError says what a failed request means for the next attempt. What is not
// known to be for good may be tried again.
func sendError(doing string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	var e *studio.SendError
	if errors.As(err, &e) {
		return err
	}
	e = &studio.SendError{Err: fmt.Errorf("%s: %w", doing, err)}
	var limit *discordgo.RateLimitError
	var said *discordgo.RESTError
	switch {
	case errors.As(err, &limit):
		e.After = limit.RetryAfter
	case errors.As(err, &said):
		e.Blocked = blockedBy(said)
		e.Permanent = e.Blocked.ID == "" && refused(said)
		e.Err = fmt.Errorf("%s: %s", doing, brief(said))
	}
	return e
}

// whatToDo says what a person must do.
func whatToDo(id string) words.Phrase {
	return words.Phrase{ID: id, With: words.With{"variable": TokenVariable}}
}

func blockedBy(e *discordgo.RESTError) words.Phrase {
	switch e.Response.StatusCode {
	case http.StatusUnauthorized:
		return whatToDo("discord.token")
	case http.StatusBadRequest, http.StatusForbidden, http.StatusNotFound:
		if said := blocked[code(e)]; said != "" {
			return whatToDo(said)
		}
	}
	switch e.Response.StatusCode {
	case http.StatusForbidden:
		return whatToDo("discord.permission")
	case http.StatusNotFound:
		return whatToDo("discord.channel")
	}
	return words.Phrase{}
}

// refused reports whether Discord will never take that request.
func refused(e *discordgo.RESTError) bool {
	status := e.Response.StatusCode
	return status >= 400 && status < 500 && status != http.StatusRequestTimeout &&
		status != http.StatusConflict && code(e) != codeSlowMode
}

// unsure reports whether a request may have been carried out although it
// failed.
func unsure(err error) bool {
	var limit *discordgo.RateLimitError
	var said *discordgo.RESTError
	switch {
	case err == nil, errors.As(err, &limit):
		return false
	case errors.As(err, &said):
		return said.Response.StatusCode >= 500
	}
	return true
}

// code returns the code of an error, 0 if it has none.
func code(err error) int {
	var e *discordgo.RESTError
	if errors.As(err, &e) && e.Message != nil {
		return e.Message.Code
	}
	return 0
}

// brief tells an answer for the log: its status, its code and Discord's words,
// without the body, which may repeat what was sent.
func brief(e *discordgo.RESTError) string {
	if e.Message == nil || e.Message.Code == 0 {
		return "HTTP " + e.Response.Status
	}
	return fmt.Sprintf("HTTP %s, code %d, %s", e.Response.Status, e.Message.Code, e.Message.Message)
}
