package discord_test

import (
	"strings"
	"testing"

	"ledgerline/adapters/discord/discordtest"
)

func TestCheck(t *testing.T) {
	for _, tc := range []struct {
		name string
		do   func(*stage)
		want string // part of what is to be done; "": all is well
	}{
		{"all well", func(*stage) {}, ""},
		{"token", func(s *stage) { s.discord.RevokeToken() }, "Reset Token"},
		{"intent", func(s *stage) { s.discord.ForbidContent() }, "Message Content Intent"},
		{"endpoint", func(s *stage) { s.discord.SetEndpoint("https://example.org/") }, "Interactions Endpoint URL"},
		{"permission", func(s *stage) { s.discord.Forbid(s.channel, discordtest.EmbedLinks|discordtest.AddReactions) }, "allow: Embed Links, Add Reactions"},
		{"hidden", func(s *stage) { s.discord.Forbid(s.channel, discordtest.ViewChannel) }, "View Channel"},
		{"deleted", func(s *stage) { s.discord.DeleteChannel(s.channel) }, "invite the bot again"},
		{"kicked", func(s *stage) { s.discord.Kick(s.guild) }, "View Channel"},
		{"down", func(s *stage) { s.discord.Fail("GET", "/applications/@me", 1, faulty(503)) }, "reaches discord.com"},
		{"in a thread", func(s *stage) {
			thread := s.discord.AddThread(s.channel, "wim")
			s.office.studios[0].Channels[0].Channel = thread
			s.discord.Forbid(s.channel, 1<<38)
		}, "Send Messages in Threads"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := newStage(t)
			tc.do(s)
			var wrong []string
			all := s.bot.Check(t.Context())
			for _, f := range all {
				if f.OK != (f.Do.String() == "") || f.What.String() == "" {
					t.Errorf("finding %+v", f)
				}
				if !f.OK {
					wrong = append(wrong, f.Do.String())
				}
			}
			if tc.want == "" && len(wrong) > 0 || tc.want != "" && (len(wrong) != 1 || !strings.Contains(wrong[0], tc.want)) {
				t.Errorf("to do: %q, want %q", wrong, tc.want)
			}
		})
	}
}

// The first finding says where the bot is invited, with the permissions that the
// check wants: those of 2^6, 2^10, 2^11, 2^14 to 2^16 and 2^38.
func TestInvitation(t *testing.T) {
	s := newStage(t)
	all := s.bot.Check(t.Context())
	if len(all) == 0 || !strings.Contains(all[0].What.String(), "permissions=274878024768") {
		t.Errorf("found %+v", all)
	}
}
