package studio

import (
	"context"
	"fmt"
	"hash/fnv"

	"ledgerline/studio/words"
)

// A Finding is one thing that was looked at in how a chat is set up.
type Finding struct {
	OK   bool
	What words.Phrase // what was looked at and how it is, in a sentence
	Do   words.Phrase // what a person should do about it, in a sentence; none if OK
}

// Fine says on the terminal that something is well.
func Fine(what string) Finding { return Finding{OK: true, What: words.Plain(what)} }

// ToDo says on the terminal that something is not well, and what to do.
func ToDo(what, do string) Finding { return Finding{What: words.Plain(what), Do: words.Plain(do)} }

// Trouble tells the teachers of all studios that are on a platform what is
// wrong with it, once a date, by another way than that platform if they have
// one.
func (s *Service) Trouble(ctx context.Context, p Platform, f Finding) error {
	defer s.wakeSenders()
	return s.store.Update(ctx, func(tx Tx) error {
		studios, err := tx.Studios()
		if err != nil {
			return err
		}
		for _, st := range studios {
			if err := s.troubleIn(tx, &st, p, f); err != nil {
				return fmt.Errorf("telling studio %s: %w", st.ID, err)
			}
		}
		return nil
	})
}

func (s *Service) troubleIn(tx Tx, st *Studio, p Platform, f Finding) error {
	members, err := tx.Members(st.ID)
	if err != nil || !isOn(st, members, p) {
		return err
	}
	what := fnv.New64a()
	what.Write([]byte(f.What.String()))
	key := fmt.Sprintf("trouble/%s/%x", p, what.Sum64())
	return s.tellOtherwise(tx, members, Address{Platform: p}, key, func(v *voice) Post {
		return Post{Title: v.Say("trouble.title", with{"platform": string(p)}), Text: joinLines(v.Phrase(f.What), v.Phrase(f.Do))}
	})
}

// isOn reports whether a studio, or anybody in it, is on a platform.
func isOn(st *Studio, members []Member, p Platform) bool {
	for _, c := range st.Channels {
		if c.Platform == p {
			return true
		}
	}
	for _, m := range members {
		for _, a := range m.Accounts {
			if a.Platform == p {
				return true
			}
		}
	}
	return false
}
