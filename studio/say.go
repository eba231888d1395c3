package studio

import (
	"fmt"
	"strings"
)

// say queues a post on the author's private line, as an answer to her message:
// at once, whatever the hour. Nothing about a person is said in a channel; in a
// student's own thread she is answered there, but for what concerns her health.
func (t *turn) say(p Post) error {
	_, err := t.tx.Queue(t.answerTo(p), t.now())
	return err
}

// answerTo addresses a post that answers the author's message.
func (t *turn) answerTo(p Post) Post {
	p.Studio, p.Member = t.studio.ID, t.who.ID
	if t.shared {
		p.headedBy(t.who.Name)
	}
	p.To = Address{Platform: t.msg.Platform, Account: t.msg.Author.ID}
	switch {
	case t.msg.Private:
		p.ReplyTo = t.msg.ID
	case t.thread != "" && t.thread == t.who.ID && !t.health:
		p.To, p.ReplyTo = t.at(), t.msg.ID
	}
	return p
}

// headedBy puts the name of whom a post is for before its title, where others read
// it on the same account.
func (p *Post) headedBy(name string) {
	if name != "" && !strings.Contains(p.Title, name) {
		p.Title = strings.TrimSuffix(name+": "+p.Title, ": ")
	}
}

// answer says a few words. A message has at most one answer of a kind.
func (t *turn) answer(kind PostKind, text string) error {
	return t.say(Post{Key: t.key(string(kind)), Kind: kind, Text: text})
}

// key returns the key of what the message gives rise to.
func (t *turn) key(what string) Key {
	if t.part > 0 {
		return Key(fmt.Sprintf("%s/%d.%d", what, t.msg.Inbox, t.part))
	}
	return Key(fmt.Sprintf("%s/%d", what, t.msg.Inbox))
}

// tellTeachers queues a post, said in each one's language, on the private line of
// every teacher of a studio. One that has nothing in it is not queued.
func (s *Service) tellTeachers(tx Tx, id StudioID, say func(*voice) (Post, error)) error {
	members, err := tx.Members(id)
	if err != nil {
		return err
	}
	for _, m := range members {
		if m.Role != Teacher {
			continue
		}
		p, err := say(s.voice(&m))
		if err != nil {
			return err
		}
		if p.Text == "" && len(p.Items) == 0 {
			continue
		}
		if err := s.tell(tx, &m, p); err != nil {
			return err
		}
	}
	return nil
}

// tellStudent queues a post in a student's thread if she has one, else on her
// private line.
func (s *Service) tellStudent(tx Tx, m *Member, p Post) error {
	st, err := tx.Studio(m.Studio)
	if err != nil {
		return err
	}
	if at, ok := st.ThreadOf(m.ID); ok {
		_, err := s.queueFor(tx, m, at, p)
		return err
	}
	return s.tell(tx, m, p)
}

// tell queues a post on a member's private line. A member without an account, or
// who was removed, is told nothing.
func (s *Service) tell(tx Tx, m *Member, p Post) error {
	_, err := s.tellOnce(tx, m, p)
	return err
}

// tellOnce is tell, and reports whether a post of the key was not there before.
func (s *Service) tellOnce(tx Tx, m *Member, p Post) (isNew bool, err error) {
	if len(m.Accounts) == 0 || m.Removed != 0 {
		return true, nil
	}
	return s.queueFor(tx, m, Address{Platform: m.Accounts[0].Platform, Account: m.Accounts[0].ID}, p)
}

// queueFor queues a post for a member at an address, outside her quiet hours
// unless it is an alert, and reports whether it was new. The key is made hers.
func (s *Service) queueFor(tx Tx, m *Member, to Address, p Post) (isNew bool, err error) {
	p.Studio = m.Studio
	if p.Member == "" {
		p.Member = m.ID
	}
	p.Key += Key("@" + m.ID)
	p.To = to
	if to.Account != "" {
		sharing, err := tx.MembersWith(Account{to.Platform, to.Account})
		if err != nil {
			return false, err
		}
		if len(present(sharing)) > 1 {
			p.headedBy(m.Name)
		}
	}
	now := s.now()
	if p.Kind != AlertPost {
		if until := quietUntil(m, now); until.After(now) {
			p.NotBefore = until
		}
	}
	return tx.Queue(p, now)
}

// announce queues a post in every channel of a studio.
func (s *Service) announce(tx Tx, st *Studio, p Post) error {
	p.Studio = st.ID
	key := p.Key
	for _, channel := range st.Channels {
		p.Key = key + Key("@"+string(channel.Platform))
		p.To = channel
		if _, err := tx.Queue(p, s.now()); err != nil {
			return err
		}
	}
	return nil
}
