package studiotest

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
)

// A step is one thing that happens in a conversation.
type step func(p *play)

// says has somebody write on her private line.
func says(who, text string) step {
	return func(p *play) { p.last = p.stand.Write(who, text, "") }
}

// replies has her reply to what the bot said last.
func replies(who, text string) step {
	return func(p *play) {
		line := p.stand.Line(who)
		p.last = p.stand.Write(who, text, line[len(line)-1].ID)
	}
}

// edits and deletes do so with the message written last.
func edits(who, text string) step { return func(p *play) { p.stand.Edit(who, p.last, text) } }
func deletes(who string) step     { return func(p *play) { p.stand.Delete(who, p.last) } }

// talks has somebody write in the studio channel.
func talks(who, text string) step { return func(p *play) { p.stand.Talk(who, text) } }

// answers has somebody reply to the last post in the channel that has the text.
func answers(who, post, text string) step {
	return func(p *play) {
		p.t.Helper()
		for _, s := range slices.Backward(p.stand.Hall()) {
			if strings.Contains(s.Text, post) {
				p.stand.Answer(who, s.ID, text)
				return
			}
		}
		p.t.Fatalf("no post in the channel says %q", post)
	}
}

// names has somebody write in the channel naming the bot, and branches in a
// thread from the last post there. The conversation ends where that can't be done.
func names(who, text string) step {
	return func(p *play) {
		if !p.stand.Name(who, text) {
			p.t.Skip("this chat has no way to name the bot")
		}
	}
}

func branches(who, text string) step {
	return func(p *play) {
		hall := p.stand.Hall()
		if !p.stand.Branch(who, hall[len(hall)-1].ID, text) {
			p.t.Skip("this chat has no threads")
		}
	}
}

// chooses gives a quick answer to the last post that has the text.
func chooses(who, post string, n int) step {
	return func(p *play) {
		for _, s := range slices.Backward(p.stand.Line(who)) {
			if strings.Contains(s.Text, post) {
				p.undo = p.stand.Choose(who, s.ID, n)
				return
			}
		}
		p.t.Fatalf("no post on %s's line says %q", who, post)
	}
}

// choosesThere gives a quick answer to the last post in the channel.
func choosesThere(who string, n int) step {
	return func(p *play) {
		hall := p.stand.Hall()
		p.undo = p.stand.Choose(who, hall[len(hall)-1].ID, n)
	}
}

// takesPart waits until somebody has said that she takes part in the challenge, or
// has not.
func takesPart(who string, want bool) step {
	return func(p *play) {
		p.t.Helper()
		p.await(fmt.Sprintf("%s takes part: %t", who, want), func() (joined bool) {
			err := p.store.View(p.t.Context(), func(tx studio.Tx) error {
				all, err := tx.Challenges("harbour")
				for _, c := range all {
					joined = joined || slices.Contains(c.Joined, studio.MemberID(who))
				}
				return err
			})
			return err == nil && joined == want
		})
	}
}

// takesBack takes the last quick answer back, where that can be done.
func takesBack(then ...step) step {
	return func(p *play) {
		if p.undo == nil {
			return
		}
		p.undo()
		for _, s := range then {
			s(p)
		}
	}
}

// passes moves the clock.
func passes(d time.Duration) step { return func(p *play) { p.pass(d) } }

// sees waits until what came to somebody's line, since it was looked at before,
// says all the parts in this order. Nothing there may call anybody.
func sees(who string, parts ...string) step {
	return func(p *play) {
		p.t.Helper()
		p.awaitNew(who, fmt.Sprintf("%q", parts), func(fresh []Said) bool {
			rest := joined(fresh)
			for _, part := range parts {
				_, after, found := strings.Cut(rest, part)
				if !found {
					return false
				}
				rest = after
			}
			return true
		})
	}
}

// marked waits for a receipt that needs no words: a mark, or the words.
func marked(who string) step {
	return func(p *play) {
		p.t.Helper()
		p.awaitNew(who, "a mark", func(fresh []Said) bool {
			last := fresh[len(fresh)-1].Text
			return last == Mark || strings.Contains(last, "Logged")
		})
	}
}

// seesCommands waits until somebody's line names every command there is for a
// teacher, each with its words on one line.
func seesCommands(who string) step {
	return func(p *play) {
		p.t.Helper()
		p.awaitNew(who, "all commands", func(fresh []Said) bool {
			text := joined(fresh)
			return !slices.ContainsFunc(studio.Commands(), func(c studio.CommandSpec) bool {
				return slices.Contains(c.Roles, studio.Teacher) && !strings.Contains(text, ": "+c.In["en"].About+"\n")
			})
		})
	}
}

// awaitNew works until ok holds of what is new on somebody's line.
func (p *play) awaitNew(who, what string, ok func(fresh []Said) bool) {
	p.t.Helper()
	p.await(who+" sees "+what, func() bool {
		line := p.stand.Line(who)
		if fresh := line[p.heard[who]:]; len(fresh) == 0 || !ok(fresh) {
			return false
		}
		p.heard[who] = len(line)
		if i := slices.IndexFunc(line, func(s Said) bool { return s.Calls }); i >= 0 {
			p.t.Errorf("it calls somebody: %q", line[i].Text)
		}
		return true
	})
}

// joined returns the words of things said one after another.
func joined(all []Said) string {
	var b strings.Builder
	for _, s := range all {
		b.WriteString(s.Text + "\n")
	}
	return b.String()
}

// everybodySees waits for words in the studio channel.
func everybodySees(part string) step {
	return func(p *play) {
		p.t.Helper()
		p.await(fmt.Sprintf("the channel shows %q", part), func() bool {
			return slices.ContainsFunc(p.stand.Hall(), func(s Said) bool { return strings.Contains(s.Text, part) })
		})
	}
}

// nobodySees checks that words are not in the studio channel.
func nobodySees(part string) step {
	return func(p *play) {
		p.t.Helper()
		for _, s := range p.stand.Hall() {
			if strings.Contains(s.Text, part) {
				p.t.Errorf("the channel shows %q", s.Text)
			}
		}
	}
}

// logs waits until the log of today holds just these entries, as "1 clean".
func logs(who string, want ...string) step {
	return func(p *play) {
		p.t.Helper()
		p.await(fmt.Sprintf("the log of %s is %q", who, want), func() bool { return slices.Equal(p.entries(who), want) })
	}
}

// has waits until the reports of today say just this of the day, as "played" or
// an excuse.
func has(who string, want ...string) step {
	return func(p *play) {
		p.t.Helper()
		p.await(fmt.Sprintf("the day of %s is %q", who, want), func() bool { return slices.Equal(p.days(who), want) })
	}
}

func (p *play) entries(who string) (got []string) {
	p.t.Helper()
	for _, r := range p.reports(who) {
		for _, e := range r.Entries {
			got = append(got, fmt.Sprintf("%d %s", e.Item, e.Outcome))
		}
	}
	slices.Sort(got)
	return got
}

func (p *play) days(who string) (got []string) {
	p.t.Helper()
	for _, r := range p.reports(who) {
		switch {
		case r.Day.Excuse != "":
			got = append(got, string(r.Day.Excuse))
		case r.Day.Played:
			got = append(got, "played")
		default:
			got = append(got, "not played")
		}
	}
	return got
}

// reports returns what is in the log of today.
func (p *play) reports(who string) (reports []studio.Report) {
	p.t.Helper()
	err := p.store.View(p.t.Context(), func(tx studio.Tx) (err error) {
		today := routine.DateOf(p.now(), time.UTC)
		reports, err = tx.Reports(studio.MemberID(who), today, today)
		return err
	})
	if err != nil {
		p.t.Fatal(err)
	}
	return reports
}
