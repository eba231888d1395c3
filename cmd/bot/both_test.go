package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/id"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/adapters/discord"
	"ledgerline/adapters/discord/discordtest"
	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

// both is the real program with one studio on two chats at once, with the same
// members on each.
type both struct {
	*chatTalk
	discord *discordSite
	matrix  *matrixSite
	date    routine.Date
}

// newBoth starts the program. Of each member's accounts the one on Discord is
// where she is written to, but for those who prefer Matrix.
func newBoth(t *testing.T, preferMatrix ...string) *both {
	t.Helper()
	b := &both{discord: newDiscordSite(t), matrix: newMatrixSite(t), date: today()}
	chooser := func(second bool) func(string) studio.Account {
		return func(who string) studio.Account {
			if slices.Contains(preferMatrix, who) != second {
				return b.matrix.account(who)
			}
			return b.discord.account(who)
		}
	}
	folder := writeFolderOn(t, b.date, b.discord.channel(), chooser(false), chooser(true))
	addChannel(t, folder, b.matrix.channel())
	p := newProgram(t, folder, filepath.Join(t.TempDir(), "studio.db"))
	p.settings, p.args = append(b.discord.settings(), b.matrix.settings()...), []string{"--log-level", "debug"}
	t.Cleanup(func() {
		p.kill()
		wantQuiet(t, p, append(b.discord.secrets(), b.matrix.secrets()...))
	})
	b.chatTalk = &chatTalk{program: p, site: b.discord, result: &result{}}
	b.start()
	b.stop()
	leaveNight(t, b.database, b.date)
	b.start()
	return b
}

// awaitPost waits until a post of a kind to an address was sent.
func (b *both) awaitPost(kind studio.PostKind, to studio.Account) (found studio.Queued) {
	b.t.Helper()
	b.await(fmt.Sprintf("a %s to %v", kind, to), func() bool {
		for _, q := range b.sent(kind) {
			if q.To.Platform == to.Platform && q.To.Account == to.ID {
				found = q
				return true
			}
		}
		return false
	})
	return found
}

// logged waits until a member's reports of today say just these, of which some
// may have been taken back.
func (b *both) logged(who string, want int) {
	b.t.Helper()
	b.await(fmt.Sprintf("%d reports of %s", want, who), func() bool {
		return b.count(fmt.Sprintf(`SELECT count(*) FROM report LEFT JOIN withdrawal ON report = seq WHERE report IS NULL AND member = '%s' AND date = %d`, who, int(b.date))) == want
	})
}

// discordShows and matrixShows wait until a member is shown words there.
func (b *both) discordShows(who, words string) {
	b.t.Helper()
	b.await(fmt.Sprintf("%s sees %q on Discord", who, words), func() bool {
		return slices.ContainsFunc(b.discord.Posts(b.discord.Line(b.discord.people[who])), func(m discordtest.Message) bool {
			return strings.Contains(discordWords(m), words)
		})
	})
}

// TestBothChats has members of one studio on Discord and on Matrix: each gets her
// routine once and where she is, the channel's news come to both, and an answer
// counts wherever it is given, and once.
func TestBothChats(t *testing.T) {
	b := newBoth(t, "ilka")
	onDiscord := b.awaitPost(studio.RoutinePost, b.discord.account("tobias"))
	onMatrix := b.awaitPost(studio.RoutinePost, b.matrix.account("ilka"))
	b.await("the routines", func() bool { return len(b.sent(studio.RoutinePost)) == len(pupils)-1 && b.idle() })
	news := b.sent(studio.AnnouncedPost)
	if len(news) != 2 || news[0].To.Platform == news[1].To.Platform {
		t.Errorf("the announcement went to %d channels, want one on each chat", len(news))
	}

	// On Discord, on Matrix, and the same on both.
	b.discord.say("tobias", "1 60 clean, 20m", onDiscord.PlatformID, false)
	b.matrix.say("ilka", "1 60 clean, 20m", onMatrix.PlatformID, false)
	b.discordShows("tobias", "1 clean")
	b.matrix.awaitShown("ilka", "1 clean")
	b.matrix.say("tobias", "1 60 clean, 20m", "", false)
	b.matrix.awaitShown("tobias", "1 clean")
	b.await("all said", b.idle)
	b.logged("tobias", 1)
	b.stop()
	once, twice := b.day("ilka"), b.day("tobias")
	if twice != once {
		t.Errorf("said on both chats it counts as %+v, said on one as %+v", twice, once)
	}

	// Something else on the other chat is a report of its own, until it is taken
	// back.
	b.start()
	more := b.matrix.say("tobias", "2 clean", "", false)
	b.logged("tobias", 2)
	b.matrix.remove("tobias", more)
	b.logged("tobias", 1)
}

// A played day is what the log makes of it.
type playedDay struct{ Minutes, Plays, CleanDays int }

// day returns what the log says of a member's day once the program has stopped.
func (b *both) day(who string) (d playedDay) {
	b.t.Helper()
	err := withStore(b.t, b.database, func(s *sqlite.Store) error {
		return s.View(b.t.Context(), func(tx studio.Tx) error {
			reports, err := tx.Reports(studio.MemberID(who), b.date, b.date)
			if err != nil {
				return err
			}
			var days []routine.DayReport
			var entries []routine.Entry
			for _, r := range reports {
				days, entries = append(days, r.Day), append(entries, r.Entries...)
			}
			d.Minutes = streaks.DayLog(days, entries, b.date).Minutes
			standings, err := tx.Standings(studio.MemberID(who))
			for _, st := range standings {
				d.Plays, d.CleanDays = max(d.Plays, st.Plays), max(d.CleanDays, st.CleanDays)
			}
			return err
		})
	})
	if err != nil {
		b.t.Fatal(err)
	}
	return d
}

// TestDiscordGone takes Discord from the program in two ways: the teacher is told
// on Matrix, and what waits goes out when it is back.
func TestDiscordGone(t *testing.T) {
	b := newBoth(t)
	b.awaitPost(studio.RoutinePost, b.discord.account("tobias"))
	b.await("the morning", b.idle)

	b.discord.CloseLine(b.discord.people["sanne"], true)
	b.matrix.say("odile", "tell Sanne slowly, please", "", false)
	b.matrix.awaitShown("odile", "I can't post on discord")
	b.waits(1)
	b.discord.CloseLine(b.discord.people["sanne"], false)

	b.discord.RevokeToken()
	b.matrix.awaitShown("odile", "Trouble with discord")
	b.matrix.say("tobias", "my lip hurts", "", false)
	b.matrix.awaitShown("tobias", "licensed health professional") // answered where she wrote
	b.matrix.say("odile", "tell Kofi third valve, please", "", false)
	b.waits(2)
	b.stop()
	b.settings = append(b.discord.settings(), b.matrix.settings()...)
	b.start()
	b.discordShows("kofi", "third valve")
	b.wakes("sanne")
	b.discordShows("sanne", "slowly, please")
}

// waits waits until so many posts at least wait to be sent.
func (b *both) waits(least int) {
	b.t.Helper()
	b.await(fmt.Sprintf("%d posts waiting", least), func() bool {
		return b.count(`SELECT count(*) FROM outbox WHERE sent_at IS NULL AND failure = '' AND attempts > 0`) >= least
	})
}

// wakes has what waits for a member be tried at once, and not in some minutes.
func (b *both) wakes(who string) {
	b.t.Helper()
	b.stop()
	err := withStore(b.t, b.database, func(s *sqlite.Store) error {
		return s.Update(b.t.Context(), func(tx studio.Tx) error {
			due, err := tx.DuePosts(discord.Platform, time.Now().Add(time.Hour), 100)
			for _, q := range due {
				if q.To.Account == b.discord.account(who).ID {
					err = errors.Join(err, tx.PostFailed(q.Outbox, time.Now(), "to be tried at once", false))
				}
			}
			return err
		})
	})
	if err != nil {
		b.t.Fatal(err)
	}
	b.start()
}

// TestMatrixGone takes Matrix from the program: the teacher, who is written to
// there, is told on Discord, and what waits goes out when it is back.
func TestMatrixGone(t *testing.T) {
	b := newBoth(t, "odile", "ilka")
	b.awaitPost(studio.RoutinePost, b.matrix.account("ilka"))
	b.await("the morning", b.idle)
	bot, err := mautrix.NewClient(b.matrix.url, id.UserID(b.matrix.bot.User), b.matrix.bot.Token)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := bot.Logout(t.Context()); err != nil {
		t.Fatal(err)
	}
	b.discordShows("odile", "Trouble with matrix")
	b.discord.say("odile", "tell Ilka lighter, please", "", false)
	b.waits(1)
	missed := b.matrix.say("ilka", "1 60 clean", "", false)
	b.stop()
	b.matrix.logIn()
	b.settings = append(b.discord.settings(), b.matrix.settings()...)
	b.start()
	b.matrix.awaitShown("ilka", "lighter, please")
	b.matrix.awaitShown("ilka", "1 clean")
	b.await("what was said meanwhile", func() bool {
		return b.count(fmt.Sprintf(`SELECT count(*) FROM inbox WHERE id = '%s'`, missed)) == 1
	})
}

// addChannel writes a second channel into a folder.
func addChannel(t *testing.T, folder string, channel studio.Address) {
	t.Helper()
	path := filepath.Join(folder, "studio.yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	with := strings.Replace(string(text), "channels: [", fmt.Sprintf("channels: [{platform: %s, channel: %q}, ", channel.Platform, channel.Channel), 1)
	if err := os.WriteFile(path, []byte(with), 0o600); err != nil {
		t.Fatal(err)
	}
}
