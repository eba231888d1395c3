package studio

import (
	"context"
	"fmt"
	"runtime/debug"
	"strings"
)

// ReadInbox reads all unread messages, each in a transaction of its own, and
// returns how many it read. A message that makes the reading fail is judged
// Faulty and passed on to the teacher with its text; it holds up nobody.
func (s *Service) ReadInbox(ctx context.Context) (read int, err error) {
	for {
		found, err := s.readNext(ctx)
		if err != nil {
			return read, fmt.Errorf("reading the inbox: %w", err)
		}
		if !found {
			return read, nil
		}
		read++
	}
}

func (s *Service) readNext(ctx context.Context) (found bool, err error) {
	var msg Stored
	err = s.store.Update(ctx, func(tx Tx) (err error) {
		unread, err := tx.UnreadMessages(1)
		if err != nil || len(unread) == 0 {
			return err
		}
		found, msg = true, unread[0]
		verdict, err := s.readSafely(tx, msg)
		if err != nil {
			return err
		}
		return tx.Judge(msg.Inbox, verdict)
	})
	if err == nil || !found || ctx.Err() != nil {
		return found, err
	}
	s.log.Error("message not read", "inbox", msg.Inbox, "err", err)
	err = s.store.Update(ctx, func(tx Tx) error {
		if err := s.reportFault(tx, msg); err != nil {
			return err
		}
		return tx.Judge(msg.Inbox, Faulty)
	})
	return true, err
}

// readSafely turns a panic in the reading of one message into an error, so that
// the message can be set aside.
func (s *Service) readSafely(tx Tx, msg Stored) (v Verdict, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	return s.read(tx, msg)
}

// reportFault tells the teachers of the author's studio that a message of hers
// could not be read, word for word.
func (s *Service) reportFault(tx Tx, msg Stored) error {
	members, err := tx.MembersWith(msg.Author)
	if err != nil || len(members) == 0 {
		return err
	}
	who := members[0]
	return s.tellTeachers(tx, who.Studio, Post{
		Key: Key(fmt.Sprintf("fault/%d", msg.Inbox)), Kind: AlertPost, Member: who.ID,
		Title: "A message could not be read",
		Text:  fmt.Sprintf("%s wrote: %q\nA fault of the program kept it out of the log. The text is kept.", who.Name, msg.Text),
	})
}

// A turn is one message being read: whose it is, and the transaction.
type turn struct {
	*Service
	tx     Tx
	msg    Stored
	who    Member
	studio Studio
	text   string // the message, without a leading name

	after stretch // the author's streak, once the message put something into the log
}

// read decides what a message is and does it.
func (s *Service) read(tx Tx, msg Stored) (Verdict, error) {
	t := turn{Service: s, tx: tx, msg: msg, text: strings.TrimSpace(msg.Text)}
	switch known, err := t.identify(); {
	case err != nil:
		return "", err
	case !known:
		return Refused, nil
	}
	switch msg.Happening {
	case Deleted:
		return t.takeBack()
	case Edited:
		return t.readAgain()
	}
	return t.readWritten()
}

// identify finds the member who wrote the message and her studio. Where one
// account serves several members (a shared phone), the text must begin with a
// name.
func (t *turn) identify() (known bool, err error) {
	members, err := t.tx.MembersWith(t.msg.Author)
	if err != nil {
		return false, err
	}
	if !t.msg.Private {
		st, err := t.tx.StudioAt(Address{Platform: t.msg.Platform, Channel: t.msg.Channel})
		if isNotFound(err) {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		members = ofStudio(members, st.ID)
	}
	switch len(members) {
	case 0:
		return false, t.strange()
	case 1:
		t.who = members[0]
	default:
		if !t.pickByName(members) {
			return false, t.answer(QuestionPost, "Several players share this account. Begin with a name, for example “"+members[0].Name+": done 30”.")
		}
	}
	t.studio, err = t.tx.Studio(t.who.Studio)
	return err == nil, err
}

// strange answers an account that nobody in a studio has, on its private line.
func (t *turn) strange() error {
	if !t.msg.Private || t.msg.Happening != Written {
		return nil
	}
	if tried, err := t.join(); tried || err != nil {
		return err
	}
	return t.answer(AnswerPost, "I do not know this account yet. Ask your teacher for a code and write “join” and the code to me.")
}

func ofStudio(members []Member, id StudioID) []Member {
	var own []Member
	for _, m := range members {
		if m.Studio == id {
			own = append(own, m)
		}
	}
	return own
}

// pickByName takes the member whose name leads the text, and the name off it.
func (t *turn) pickByName(members []Member) bool {
	name, rest, found := strings.Cut(t.text, ":")
	if !found {
		return false
	}
	for _, m := range members {
		if strings.EqualFold(strings.TrimSpace(name), m.Name) {
			t.who, t.text = m, strings.TrimSpace(rest)
			return true
		}
	}
	return false
}

// readWritten reads a message that is new, or new again after an edit.
func (t *turn) readWritten() (Verdict, error) {
	if cmd, args, ok := commandOf(t.text, t.who.Role); ok && t.addressed() {
		return t.obey(cmd, args)
	}
	if t.who.Role != Student {
		if t.msg.Private {
			return Chatter, t.answer(AnswerPost, "I did not understand that. Write “help” for all I can do.")
		}
		return Chatter, nil
	}
	if !t.msg.Private {
		forUs, err := t.answersPost()
		if err != nil || !forUs {
			return Chatter, err
		}
	}
	if v, answered, err := t.answerQuestion(); answered || err != nil {
		return v, err
	}
	return t.readReply()
}

// addressed reports whether what reads like a command is one. In a channel, where
// people talk, it must begin with a slash: “together we are louder” is none.
func (t *turn) addressed() bool { return t.msg.Private || strings.HasPrefix(t.text, "/") }

// answersPost reports whether the message replies to one of our posts, and not to
// one about somebody else. In a channel nothing else is read: people talk there.
func (t *turn) answersPost() (bool, error) {
	if t.msg.ReplyTo == "" {
		return false, nil
	}
	post, err := t.tx.PostKnownAs(t.msg.Platform, t.msg.ReplyTo)
	if isNotFound(err) {
		return false, nil
	}
	forHer := post.Member == "" || post.Member == t.who.ID
	return err == nil && forHer, err
}

// takeBack withdraws what a deleted message had put into the log.
func (t *turn) takeBack() (Verdict, error) {
	withdrawn, err := t.withdraw()
	if err != nil || withdrawn == 0 {
		return Chatter, err
	}
	return Logged, t.answer(ReceiptPost, "Taken back: your deleted message is out of the log.")
}

// readAgain withdraws what a message said before it was edited and reads what
// it says now, as of the day it was first written.
func (t *turn) readAgain() (Verdict, error) {
	if _, err := t.withdraw(); err != nil {
		return "", err
	}
	all, err := t.tx.Happenings(t.msg.Platform, t.msg.ID)
	if err != nil {
		return "", err
	}
	for _, h := range all {
		if h.Happening == Deleted {
			return Chatter, nil // an edit delivered late
		}
		if h.Inbox > t.msg.Inbox && h.Happening == Edited {
			return Chatter, nil // there is a later text
		}
	}
	if first := all[0]; first.Happening == Written {
		t.msg.At, t.msg.ReplyTo = first.At, first.ReplyTo
	}
	return t.readWritten()
}

// withdraw takes the reports and open questions of all earlier happenings of
// the message out of the log, and returns how many reports there were.
func (t *turn) withdraw() (n int, err error) {
	all, err := t.tx.Happenings(t.msg.Platform, t.msg.ID)
	if err != nil {
		return 0, err
	}
	for _, h := range all {
		if h.Inbox >= t.msg.Inbox {
			continue
		}
		reports, err := t.tx.WithdrawReports(h.Inbox, t.msg.Inbox)
		if err != nil {
			return n, err
		}
		n += len(reports)
		if err := t.withdrawn(reports); err != nil {
			return n, err
		}
	}
	return n, t.closeQuestions(func(q Question) bool {
		for _, h := range all {
			if h.Inbox == q.Inbox {
				return true
			}
		}
		return false
	})
}
