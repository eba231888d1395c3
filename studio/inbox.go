package studio

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"strings"
	"time"
)

// ReadInbox reads all unread messages, each in a transaction of its own, and
// returns how many it read. A message that makes the reading fail is judged
// Faulty and passed on to the teacher with its text; it holds up nobody.
func (s *Service) ReadInbox(ctx context.Context) (read int, err error) {
	read, err = s.spread(func() (bool, error) { return s.readNext(ctx) })
	if err != nil {
		return read, fmt.Errorf("reading the inbox: %w", err)
	}
	return read, nil
}

func (s *Service) readNext(ctx context.Context) (found bool, err error) {
	var msg Stored
	var verdict Verdict
	began := s.now()
	err = s.store.Update(ctx, func(tx Tx) (err error) {
		if msg, err = tx.ClaimMessage(); err != nil {
			return err
		}
		found = true
		if err := s.awaitPost(tx, &msg); err != nil {
			return err
		}
		if verdict, err = s.readSafely(tx, msg); err != nil {
			return err
		}
		return errors.Join(tx.Judge(msg.Inbox, verdict), s.noteClock(tx))
	})
	switch {
	case err == nil:
		s.meter.Read(verdict, s.now().Sub(began))
		return true, nil
	case !found && isNotFound(err):
		return false, nil
	case errors.Is(err, errOnItsWay):
		return true, pause(ctx, 20*time.Millisecond)
	case !found || errors.Is(err, ErrAgain) || ctx.Err() != nil:
		return found, err
	}
	s.log.Error("message not read", "inbox", msg.Inbox, "err", err)
	err = s.store.Update(ctx, func(tx Tx) error {
		t := turn{Service: s, tx: tx, msg: msg}
		return errors.Join(t.forget(), s.reportFault(tx, msg), tx.Judge(msg.Inbox, Faulty))
	})
	if err == nil {
		s.meter.Read(Faulty, s.now().Sub(began))
	}
	return true, err
}

// pause waits for d, or until ctx is done.
func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}

// errOnItsWay says that the post which a message may answer is on its way.
var errOnItsWay = errors.New("a post is on its way there")

// awaitPost fails with errOnItsWay if the message answers something that is not
// known, while a post is on its way to where it was said: a post is known by its
// id only once it is known as sent.
func (s *Service) awaitPost(tx Tx, m *Stored) error {
	if m.ReplyTo == "" {
		return nil
	}
	if _, err := tx.PostKnownAs(m.Platform, m.ReplyTo); !isNotFound(err) {
		return err
	}
	for _, to := range []Address{
		{Platform: m.Platform, Account: m.Author.ID},
		{Platform: m.Platform, Channel: m.Channel},
		{Platform: m.Platform, Channel: m.Parent},
	} {
		if held, err := tx.Held(to.name()); held || err != nil {
			return cmp.Or(err, errOnItsWay)
		}
	}
	return nil
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
	return s.tellTeachers(tx, who.Studio, func(v *voice) (Post, error) {
		return Post{
			Key: Key(fmt.Sprintf("fault/%d", msg.Inbox)), Kind: AlertPost, Member: who.ID,
			Title: v.Say("fault.title", nil),
			Text:  v.Say("fault.text", with{"name": who.Name, "message": msg.Text}),
		}, nil
	})
}

// A turn is one message being read: whose it is, and the transaction.
type turn struct {
	*Service
	tx     Tx
	msg    Stored
	who    Member
	studio Studio
	voice  *voice   // the author's
	text   string   // the message, without a leading name
	thread MemberID // whose thread it was said in, if in a student's
	health bool     // what is answered concerns her health
	doing  string   // what follows the name of the command that is being obeyed, as help shows it
	shared bool     // others have the author's account too
	part   int      // number of the part that is being obeyed, of a message with several; else 0

	of RoutineOf // the routine that the message answers

	known   *Queued // the post of ours that was looked up last, if there is one
	knownAs string  // by this id

	after stretch // the author's streak, once the message put something into the log

	keeping Keeping // of the recordings in it
	listens bool    // they are listened to
}

// read decides what a message is and does it.
func (s *Service) read(tx Tx, msg Stored) (Verdict, error) {
	t := turn{Service: s, tx: tx, msg: msg, text: strings.TrimSpace(msg.Text)}
	v, err := t.judge()
	return v, errors.Join(err, t.forget())
}

func (t *turn) judge() (Verdict, error) {
	switch known, err := t.identify(); {
	case err != nil:
		return "", err
	case !known:
		return Refused, nil
	}
	switch t.msg.Happening {
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
	members = present(members)
	if !t.msg.Private {
		st, err := t.place()
		if isNotFound(err) {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		members = ofStudio(members, st.ID)
		t.thread, _ = st.StudentAt(t.at())
	}
	switch len(members) {
	case 0:
		return false, t.strange()
	case 1:
		t.who = members[0]
	default:
		t.shared = true
		switch known, err := t.pick(members); {
		case err != nil:
			return false, err
		case !known:
			t.voice = t.Service.voice(&members[0])
			return false, t.answer(QuestionPost, t.voice.Say("shared-account", with{"name": members[0].Name}))
		}
	}
	if tried, err := t.joinToo(members); tried || err != nil {
		return false, err
	}
	t.voice = t.Service.voice(&t.who)
	t.studio, err = t.tx.Studio(t.who.Studio)
	return err == nil, err
}

// at returns the channel or thread that the message was said in.
func (t *turn) at() Address { return Address{Platform: t.msg.Platform, Channel: t.msg.Channel} }

// place returns the studio that has the channel or thread of the message, or the
// channel that its thread is in.
func (t *turn) place() (Studio, error) {
	st, err := t.tx.StudioAt(t.at())
	if isNotFound(err) && t.msg.Parent != "" {
		return t.tx.StudioAt(Address{Platform: t.msg.Platform, Channel: t.msg.Parent})
	}
	return st, err
}

// strange answers an account that nobody in a studio has, on its private line.
func (t *turn) strange() error {
	if !t.msg.Private || t.msg.Happening != Written {
		return nil
	}
	var err error
	if t.voice, err = t.strangersVoice(t.tx); err != nil {
		return err
	}
	if tried, err := t.join(); tried || err != nil {
		return err
	}
	return t.answer(AnswerPost, t.voice.Say("join.unknown-account", nil))
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

// pick takes the one of several who share an account whose name leads the text, and
// the name off it; or else the one to whom the post was that is answered. The code
// of an invitation needs no name.
func (t *turn) pick(members []Member) (known bool, err error) {
	text, replyTo := t.text, t.msg.ReplyTo
	if t.msg.Happening != Written {
		first, err := t.tx.FirstOf(t.msg.Platform, t.msg.ID)
		if err != nil && !isNotFound(err) {
			return false, err
		}
		text, replyTo = cmp.Or(text, first.Text), cmp.Or(replyTo, first.ReplyTo)
	}
	for _, m := range members {
		if rest, named := afterName(text, m.Name); named {
			t.who = m
			if t.text != "" {
				t.text = rest
			}
			return true, nil
		}
	}
	post, err := t.postKnownAs(replyTo)
	if err != nil {
		return false, err
	}
	for _, m := range members {
		if post != nil && post.Member == m.ID {
			t.who = m
			return true, nil
		}
	}
	t.voice = t.Service.voice(&members[0])
	if _, isCode := t.invitationCode(); isCode {
		t.who = members[0]
		return true, nil
	}
	return false, nil
}

// afterName returns what follows a name that a text begins with.
func afterName(text, name string) (rest string, named bool) {
	if len(text) < len(name) || !strings.EqualFold(text[:len(name)], name) {
		return "", false
	}
	rest = text[len(name):]
	return strings.TrimLeft(rest, ":, "), rest != "" && strings.ContainsAny(rest[:1], ":, ")
}

// readWritten reads a message that is new, or new again after an edit.
func (t *turn) readWritten() (Verdict, error) {
	t.wantsKept()
	if v, answered, err := t.afterLesson(); answered || err != nil {
		return v, err
	}
	cmd, args, ok := t.command(t.text)
	if ok {
		about, err := t.challengeAnswered()
		if err != nil {
			return "", err
		}
		if t.addressed() || about != "" && (cmd.name == "take-part" || cmd.name == "sit-out") {
			return t.obey(cmd, args)
		}
	}
	if t.who.Role != Student {
		if v, answered, err := t.answerPoints(); answered || err != nil {
			return v, err
		}
		if t.msg.Private || t.msg.ToUs {
			if offered, err := t.offerCommand(); offered || err != nil {
				return Chatter, err
			}
			if t.who.Role == Guardian {
				return t.guardianWrites()
			}
			return Chatter, t.answer(AnswerPost, t.voice.Say("not-understood", nil))
		}
		return Chatter, nil
	}
	if !t.toUs() {
		forUs, err := t.answersPost()
		if err != nil || !forUs {
			return Chatter, err
		}
	}
	if v, answered, err := t.answerInterview(); answered || err != nil {
		return v, err
	}
	if v, answered, err := t.answerQuestion(); answered || err != nil {
		return v, err
	}
	listening, err := t.listen()
	if err != nil {
		return "", err
	}
	v, err := t.readReply()
	if err == nil && v == Chatter && t.toUs() && len(strings.Fields(t.text)) <= 2 {
		if cmd.name == "short" || cmd.name == "with" {
			return t.obey(cmd, args) // with something it does not take, which it says
		}
		_, err = t.offerCommand()
	}
	if listening && v == Chatter {
		v = Heard
	}
	return v, err
}

// toUs reports whether the message speaks to us wherever it was said: on the
// private line, in the author's own thread, or naming us. Elsewhere people talk
// to one another.
func (t *turn) toUs() bool { return t.msg.Private || t.msg.ToUs || t.thread == t.who.ID }

// addressed reports whether what reads like a command is one. Where people talk
// it must begin with a slash: “together we are louder” is none.
func (t *turn) addressed() bool { return t.toUs() || strings.HasPrefix(t.text, "/") }

// answersPost reports whether the message replies to one of our posts, and not to
// one about somebody else.
func (t *turn) answersPost() (bool, error) {
	post, err := t.repliedTo()
	return post != nil && (post.Member == "" || post.Member == t.who.ID), err
}

// repliedTo returns the post of ours that the message replies to; nil if it is to
// none.
func (t *turn) repliedTo() (*Queued, error) { return t.postKnownAs(t.msg.ReplyTo) }

// postKnownAs returns the post of ours that the message's platform knows by an id;
// nil if there is none. It is looked up once.
func (t *turn) postKnownAs(id string) (*Queued, error) {
	switch id {
	case "":
		return nil, nil
	case t.knownAs:
		return t.known, nil
	}
	post, err := t.tx.PostKnownAs(t.msg.Platform, id)
	if err != nil && !isNotFound(err) {
		return nil, err
	}
	t.knownAs, t.known = id, nil
	if err == nil {
		t.known = &post
	}
	return t.known, nil
}

// takeBack withdraws what a deleted message had put into the log.
func (t *turn) takeBack() (Verdict, error) {
	if unanswered, err := t.unanswer(); unanswered || err != nil {
		return Obeyed, err
	}
	withdrawn, err := t.withdraw()
	if err != nil || withdrawn == 0 {
		return Chatter, err
	}
	return Logged, t.answer(ReceiptPost, t.voice.Say("undo.deleted", nil))
}

// readAgain withdraws what a message said before it was edited and reads what
// it says now, as of the day it was first written. What it had done as a command
// is not done a second time.
func (t *turn) readAgain() (Verdict, error) {
	overtaken, err := t.tx.Overtaken(t.msg.Platform, t.msg.ID, t.msg.Inbox)
	if err != nil || overtaken {
		return Chatter, err // by a later text, or the edit was delivered late
	}
	if _, err := t.withdraw(); err != nil {
		return "", err
	}
	first, err := t.tx.FirstOf(t.msg.Platform, t.msg.ID)
	if err != nil {
		return "", err
	}
	if first.Happening == Written {
		t.msg.At, t.msg.ReplyTo, t.msg.ToUs = first.At, first.ReplyTo, first.ToUs || t.msg.ToUs
	}
	if v, done, err := t.correct(); done || err != nil {
		return v, err
	}
	return t.readWritten()
}

// withdraw takes the reports and open questions of all earlier happenings of
// the message out of the log, and returns how many reports there were.
func (t *turn) withdraw() (n int, err error) {
	reports, err := t.tx.WithdrawMessage(t.msg.Platform, t.msg.ID, t.msg.Inbox)
	if err != nil {
		return 0, err
	}
	if err := t.withdrawn(reports); err != nil {
		return 0, err
	}
	if err := t.tx.TakeBackHearings(t.msg.Platform, t.msg.ID, t.msg.Inbox); err != nil {
		return 0, err
	}
	return len(reports), t.closeQuestionsOf(t.msg.Platform, t.msg.ID)
}

// closeQuestionsOf closes the author's open questions about a message.
func (t *turn) closeQuestionsOf(p Platform, id string) error {
	open, err := t.tx.OpenQuestions(t.who.ID)
	if err != nil {
		return err
	}
	for _, q := range open {
		about, err := t.tx.MessageAt(q.Inbox)
		if isNotFound(err) {
			continue
		}
		if err != nil {
			return err
		}
		if about.Platform != p || about.ID != id {
			continue
		}
		q.Closed = true
		if err := t.tx.PutQuestion(&q); err != nil {
			return err
		}
	}
	return nil
}
