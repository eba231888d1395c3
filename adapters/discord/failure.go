package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
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

const (
	saidToken = "Discord no longer accepts the bot's token: open discord.com/developers/applications, choose the application, Bot, Reset Token, put the new token into " + TokenVariable + " and start the bot again."

	saidChannel = "The Discord channel is gone, or the bot was removed from its server: invite the bot again, or write another channel into the studio's settings."

	saidAccess = "The bot does not see the Discord channel: open the channel's settings, Permissions, add the bot, and allow View Channel and Read Message History."

	saidPermission = "The bot may not write in the Discord channel: open the channel's settings, Permissions, choose the bot, and allow Send Messages, Send Messages in Threads, Embed Links, Attach Files, Add Reactions and Read Message History."

	saidDirect = "Discord does not let the bot write to this person: she opens the server's menu, Privacy Settings, allows Direct Messages, and, if she blocked the bot, unblocks it."

	saidAccount = "Discord knows no account with this id that the bot could write to: check the account's number in the student's settings, and that she is on the server."

	saidThread = "The Discord thread is locked: a moderator of the server opens it again, or the studio's settings name another."

	saidAutoMod = "The server's AutoMod stopped a message of the bot: open Server Settings, AutoMod, and exempt the bot's role."
)

// blocked says what a person must put right, by the code of the error.
var blocked = map[int]string{
	codeUnknownChannel: saidChannel,
	codeUnknownGuild:   saidChannel,
	codeUnknownUser:    saidAccount,
	codeBadRecipient:   saidAccount,
	codeNoAccess:       saidAccess,
	codeNoDirect:       saidDirect,
	codeNoPermission:   saidPermission,
	codeNoHistory:      saidPermission,
	codeThreadLocked:   saidThread,
	codeThreadArchived: saidThread,
	codeAutoMod:        saidAutoMod,
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
		e.Permanent = e.Blocked == "" && refused(said)
		e.Err = fmt.Errorf("%s: %s", doing, brief(said))
	}
	return e
}

func blockedBy(e *discordgo.RESTError) string {
	switch e.Response.StatusCode {
	case http.StatusUnauthorized:
		return saidToken
	case http.StatusBadRequest, http.StatusForbidden, http.StatusNotFound:
		if said := blocked[code(e)]; said != "" {
			return said
		}
	}
	switch e.Response.StatusCode {
	case http.StatusForbidden:
		return saidPermission
	case http.StatusNotFound:
		return saidChannel
	}
	return ""
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
