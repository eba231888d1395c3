package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgerline/adapters/discord"
	"ledgerline/adapters/discord/discordtest"
	"ledgerline/studio"
)

// A discordSite is a Discord with the studio's members on it.
type discordSite struct {
	*discordtest.Server
	people map[string]discordtest.User
	guild  string
	hall   string
}

func newDiscordSite(t testing.TB) *discordSite {
	s := &discordSite{Server: discordtest.New(), people: map[string]discordtest.User{}}
	t.Cleanup(s.Close)
	for _, who := range everybody() {
		s.people[who] = s.AddUser(who)
	}
	s.guild = s.AddGuild("Harbour Row Brass", s.people["odile"])
	s.hall = s.AddChannel(s.guild, "practice")
	return s
}

func (s *discordSite) settings() []string {
	return []string{discord.TokenVariable + "=" + s.Token(), "LEDGERLINE_DISCORD_API=" + s.API()}
}

func (s *discordSite) secrets() []string {
	all := []string{s.Token()}
	for _, u := range s.people {
		all = append(all, u.ID)
	}
	return all
}

func (s *discordSite) account(who string) studio.Account {
	return studio.Account{Platform: discord.Platform, ID: s.people[who].ID}
}

func (s *discordSite) channel() studio.Address {
	return studio.Address{Platform: discord.Platform, Channel: s.hall}
}

// at returns the channel that a message is in.
func (s *discordSite) at(who, id string) string {
	if line := s.Line(s.people[who]); slices.ContainsFunc(s.Messages(line), func(m discordtest.Message) bool { return m.ID == id }) {
		return line
	}
	return s.hall
}

func (s *discordSite) say(who, text, replyTo string, open bool) string {
	at := s.Line(s.people[who])
	if open {
		at = s.hall
	}
	return s.Reply(at, s.people[who], replyTo, text)
}

func (s *discordSite) edit(who, id, text string) { s.Edit(s.at(who, id), id, text) }
func (s *discordSite) remove(who, id string)     { s.Delete(s.at(who, id), id) }

func (s *discordSite) tap(who, post string, n int) (string, func()) {
	line, emoji := s.Line(s.people[who]), string(rune('1'+n))+"\ufe0f\u20e3"
	s.React(line, post, s.people[who], emoji)
	return "", func() { s.Unreact(line, post, s.people[who], emoji) }
}

func (s *discordSite) shown() (all []string) {
	for name, at := range s.places() {
		for _, m := range s.Messages(at) {
			if m.Author.Bot {
				all = append(all, fmt.Sprintf("%s: in answer to %q: %s", name, m.ReplyTo, discordWords(m)))
			}
			for _, r := range m.Reactions {
				if slices.Contains(r.Users, s.Bot().ID) {
					all = append(all, fmt.Sprintf("%s: a mark at %s", name, m.ID))
				}
			}
		}
	}
	return all
}

// places returns the channel and the private lines by name.
func (s *discordSite) places() map[string]string {
	all := map[string]string{"the channel": s.hall}
	for who, u := range s.people {
		all["the line of "+who] = s.Line(u)
	}
	return all
}

func discordWords(m discordtest.Message) string { return strings.Join(m.Words(), "\n") }

func (s *discordSite) labels() map[string]string {
	all := map[string]string{}
	for name, id := range s.places() {
		all[id] = name
	}
	for who, u := range s.people {
		all[u.ID] = who
	}
	return all
}
