package studio

import (
	"context"
	"errors"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// ErrNotFound is returned (wrapped or not) where a thing asked for by name is
// not in the store.
var ErrNotFound = errors.New("not found")

// ErrHeld is returned where a name is asked for that another program holds.
var ErrHeld = errors.New("another program holds it")

// ErrAgain is wrapped by failures of a store that are no fault of what was being
// done, and may be over soon. Nothing was kept, as far as is known.
var ErrAgain = errors.New("the store is out of order for the moment")

func isNotFound(err error) bool { return errors.Is(err, ErrNotFound) }

// planOf returns a member's plan; one that was never made is empty.
func planOf(tx Tx, m MemberID) (routine.Plan, error) {
	plan, err := tx.Plan(m)
	if isNotFound(err) {
		err = nil
	}
	return plan, err
}

// routineOn returns the latest routine of a date, or nil if there is none.
func routineOn(tx Tx, m MemberID, d routine.Date) (*routine.Routine, error) {
	r, err := tx.Routine(m, d)
	if isNotFound(err) {
		return nil, nil
	}
	return &r, err
}

// A Store keeps everything. All work is done in transactions: what fn did is
// kept whole if it returns nil, and not at all otherwise, even if the program
// is killed in the middle. Update transactions do not run at the same time as
// one another; in a store that programs can share they do, but on no studio that
// was claimed. A View sees one state of the store throughout, and can't write.
// fn may be called only once; it must not keep the Tx, and in an Update must not
// call Update. If ctx ends before fn returns, nothing is kept.
//
// What people write may have any bytes; ids, channels and revisions are at most
// 1,000 bytes of UTF-8 without a zero.
//
// Instants are kept to the microsecond and come back in UTC. What is said to be
// in the order of names or ids is in the order of their code points.
type Store interface {
	Update(ctx context.Context, fn func(Tx) error) error
	View(ctx context.Context, fn func(Tx) error) error

	// Hold takes a name for this program until it is released or the program ends,
	// however it ends. While another program has it, Hold returns [ErrHeld] at once.
	// A program may take a name several times. held is done if the names were lost
	// before that, as with the connection to the store: another program may have
	// taken them.
	Hold(ctx context.Context, name string) (held context.Context, release func(), err error)

	// Programs counts this program among those that share something, by its name,
	// from now on, and returns how many they are.
	Programs(ctx context.Context, name string) (int, error)

	// Scrub sees to it that nothing of what was removed can be found any longer
	// where the store keeps things. It may take a while, and holds up updates.
	Scrub(ctx context.Context) error
}

// A Tx is a transaction. Put methods make a thing or replace it whole. Methods
// that return one thing, and those that change a message or a post by its
// number, return ErrNotFound if it is not there; those that return many return
// none. After any other failure of the store itself the transaction is lost, and
// Update fails even if fn does not.
//
// What a thing refers to must be there before it: a member's studio, whoever a
// plan, report or question is about, the message it was read from (0 if from
// none), the entry another one supersedes. Messages and posts refer to nothing.
type Tx interface {
	// Claim waits until no other program's transaction has claimed a studio, and
	// claims it until this one ends. Whoever changes what is a studio's claims it
	// before looking at it.
	Claim(StudioID) error
	// Held reports whether a program has taken a name.
	Held(name string) (bool, error)

	PutStudio(Studio) error
	Studio(StudioID) (Studio, error)
	Studios() ([]Studio, error)
	// StudioAt returns the studio whose channel this is.
	StudioAt(Address) (Studio, error)

	PutMember(Member) error
	Member(MemberID) (Member, error)
	// Members returns a studio's members by name, then by id.
	Members(StudioID) ([]Member, error)
	// MembersWith returns the members, of any studio, that an account belongs to.
	MembersWith(Account) ([]Member, error)
	// AccountsOn returns the accounts of all members on a platform, by their ids.
	AccountsOn(Platform) ([]Account, error)

	PutPlan(MemberID, routine.Plan) error
	Plan(MemberID) (routine.Plan, error)

	// PutRoutine keeps a routine; one with the same date and number must not
	// be there yet.
	PutRoutine(MemberID, routine.Routine) error
	// Routine returns the latest routine of a date.
	Routine(MemberID, routine.Date) (routine.Routine, error)

	LogTx
	HearingTx
	InboxTx
	OutboxTx
	PrivacyTx

	PutDue(Due) error
	RemoveDue(DueKind, StudioID, MemberID) error
	Due(DueKind, StudioID, MemberID) (Due, error)
	// ClaimDue claims a studio in which something is due at t that no other program
	// has claimed, and returns that; of all such, what fell due first.
	ClaimDue(t time.Time) (Due, error)
	// DueBy returns what falls due at or before t, earliest first.
	DueBy(t time.Time, limit int) ([]Due, error)
	// NextDue returns the earliest time at which something falls due.
	NextDue() (time.Time, error)

	// PutQuestion keeps a question; with ID 0 it is new, and gets an ID. With
	// an ID that was never given it returns ErrNotFound.
	PutQuestion(*Question) error
	// OpenQuestions returns a member's open questions, oldest first.
	OpenQuestions(MemberID) ([]Question, error)

	PutChallenge(Challenge) error
	// Challenges returns a studio's challenges by first date.
	Challenges(StudioID) ([]Challenge, error)

	// PutMark and Mark keep small facts of the program itself by name, such as
	// which version of a roster file was last applied.
	PutMark(name, value string) error
	Mark(name string) (string, error)

	// Backlog returns what is still to be done at t.
	Backlog(t time.Time) (Backlog, error)

	// Counts counts what went in and out.
	Counts() (Counts, error)
}

// Counts are the messages and posts of all studios.
type Counts struct {
	Messages int              // happenings in the inbox
	Unread   int              // of them, not read yet
	Sent     map[PostKind]int // posts sent
	Waiting  int              // posts to be sent
	GivenUp  int              // posts that could not be sent
}

// A Report is what one reply put into the log about one date.
type Report struct {
	ID      int64 // 0 until it is appended
	Member  MemberID
	Inbox   int64 // the message it was read from
	At      time.Time
	Day     routine.DayReport
	Entries []routine.Entry
}

// LogTx is the part of a transaction that keeps the log and what is derived
// from it. The log is only ever appended to: a report that no longer holds is
// withdrawn, which is a fact of its own, and reads as absent; an entry that
// another entry Supersedes reads as absent for as long as that one's report is
// not withdrawn.
type LogTx interface {
	// AppendReport adds a report and sets its ID and the Seq of its parts, in
	// the order of the log.
	AppendReport(*Report) error
	// WithdrawReports withdraws the reports that were read from a message, by
	// reason of another (or the same, edited or deleted), and returns them.
	WithdrawReports(inbox, by int64) ([]Report, error)
	// WithdrawMessage withdraws the reports that were read from what happened to a
	// message before the inbox number by, by reason of that, and returns
	// them.
	WithdrawMessage(p Platform, id string, by int64) ([]Report, error)
	// Reports returns a member's reports on the dates from to to, both
	// included, in the order of the log.
	Reports(m MemberID, from, to routine.Date) ([]Report, error)
	// LineEntries returns the entries about a line in a pass, by date and then
	// in the order of the log.
	LineEntries(m MemberID, line routine.LineRef, pass int) ([]routine.Entry, error)

	// AppendAct adds a teacher's act on a line and sets its Seq.
	AppendAct(m MemberID, by MemberID, a *streaks.Act) error
	// LineActs returns the acts on a line in a pass, by date and Seq.
	LineActs(m MemberID, line routine.LineRef, pass int) ([]streaks.Act, error)

	// PutStanding keeps how one line stands; the zero Standing makes it new.
	PutStanding(MemberID, routine.StandingKey, routine.Standing) error
	// Standing returns how one line stands; the zero Standing if it is new.
	Standing(MemberID, routine.StandingKey) (routine.Standing, error)
	// Standings returns how all lines stand that are not new.
	Standings(MemberID) (map[routine.StandingKey]routine.Standing, error)

	// PutBests keeps the personal bests of one line in a pass, beside how it
	// stands: a line that becomes new loses them. Of a new line there are none to
	// keep, and PutBests returns ErrNotFound unless bests are empty.
	PutBests(m MemberID, key routine.StandingKey, bests []streaks.Best) error
	// LineBests returns the bests of one line in a pass.
	LineBests(MemberID, routine.StandingKey) ([]streaks.Best, error)
	// Bests returns a member's bests in all lines, by line and pass.
	Bests(MemberID) ([]streaks.Best, error)

	PutStreak(MemberID, streaks.State) error
	// Streak returns a member's settled streak; the zero State if there is none.
	Streak(MemberID) (streaks.State, error)
}

// HearingTx is the part of a transaction that keeps what was heard in recordings.
type HearingTx interface {
	// PutHearing keeps a hearing; with ID 0 it is new, and gets an ID. With an ID
	// that is not there it returns ErrNotFound.
	PutHearing(*Hearing) error
	Hearing(id int64) (*Hearing, error)
	// NextHearing returns the waiting hearing whose attempt is due first.
	NextHearing() (*Hearing, error)
	// Hearings returns a member's hearings of the dates from from to to, both
	// included, in the order they were put.
	Hearings(m MemberID, from, to routine.Date) ([]Hearing, error)
	// TakeBackHearings removes the hearings of what happened to a message before
	// the inbox number by, and the sound of the recordings.
	TakeBackHearings(p Platform, id string, by int64) error

	// Sound returns a recording: the file of a message that has its Data, or that
	// somebody keeps.
	Sound(inbox int64, file string) ([]byte, error)
	// PutSound keeps a recording for a member.
	PutSound(inbox int64, file string, keeper MemberID, data []byte) error
	// RemoveSound removes a recording, if it is there.
	RemoveSound(inbox int64, file string) error
	// KeptSounds returns what is kept for a member, by the number of its message.
	KeptSounds(MemberID) ([]KeptSound, error)
}

// InboxTx is the part of a transaction that keeps what arrived.
type InboxTx interface {
	// StoreMessage keeps a message, with the Data of its files, unless that
	// happening is there already, and reports whether it was new.
	StoreMessage(Message) (isNew bool, err error)
	// ClaimMessage claims the studios of somebody of whom a message is unread, unless
	// another program has claimed one of them, and returns the first that she wrote;
	// of all such, that which arrived first. Those of who is in no studio come last.
	ClaimMessage() (Stored, error)
	// UnreadMessages returns unread messages in order of arrival.
	UnreadMessages(limit int) ([]Stored, error)
	// Judge records what reading made of a message.
	Judge(inbox int64, v Verdict) error
	// Happenings returns all that happened to one message, in order of arrival.
	Happenings(p Platform, id string) ([]Stored, error)
	// FirstOf returns what happened first to a message, in order of arrival.
	FirstOf(p Platform, id string) (Stored, error)
	// ObeyedBefore returns what happened last to a message, in order of arrival, of
	// what has an inbox number below before and was judged Obeyed.
	ObeyedBefore(p Platform, id string, before int64) (Stored, error)
	// Overtaken reports whether a message was edited after the inbox number, or
	// deleted at any time.
	Overtaken(p Platform, id string, after int64) (bool, error)
	// LastNumbered returns the id of the latest message of a channel or private
	// line, by the platform's clock, among those whose ids are numbers.
	LastNumbered(p Platform, channel string) (id string, err error)
	// MessageAt returns the message with the given inbox number.
	MessageAt(inbox int64) (Stored, error)
}

// OutboxTx is the part of a transaction that keeps what is to be said.
type OutboxTx interface {
	// Queue keeps a post unless one with its key is there already, and reports
	// whether it was new.
	Queue(p Post, at time.Time) (isNew bool, err error)
	// DuePosts returns posts of a platform that may be sent at t: those that
	// answer somebody first, and among them the studios in turn. Those to one
	// address stay in the order of queueing. Behind one that failed and is to be
	// tried again, the posts to its address wait.
	DuePosts(p Platform, t time.Time, limit int) ([]Queued, error)
	// NextPost returns the earliest time at which an unsent post of a platform
	// may be sent.
	NextPost(p Platform) (time.Time, error)
	// PostSent records that a post was sent under a platform's id; if that was
	// recorded before, it stays as it was.
	PostSent(outbox int64, platformID string, at time.Time) error
	// PostFailed records a failed attempt: the next may be made at next, or
	// none if giveUp.
	PostFailed(outbox int64, next time.Time, reason string, giveUp bool) error
	// HastenPosts lets the posts that wait for a time after from be sent at to.
	HastenPosts(from, to time.Time) error
	// PostKnownAs returns the post that a platform knows by an id, the last one
	// queued if there are several; no post is known by the empty id.
	PostKnownAs(p Platform, id string) (Queued, error)

	// Transcript returns what was said at an address: posts sent, and messages
	// written there, oldest first, the last of them if there are more than
	// limit. Private messages are on their author's private line, whatever
	// their channel. A message that was edited has its last text by the
	// platform's clock and one that was deleted has none; either stays at the
	// instant of its first happening. Of one instant, messages come before posts.
	Transcript(a Address, limit int) ([]Said, error)
}

// PrivacyTx is the part of a transaction that gives out, forgets and accounts
// for what is kept about people.
type PrivacyTx interface {
	// RoutinesOf returns all routines of a member, by date and number.
	RoutinesOf(MemberID) ([]routine.Routine, error)
	// MessagesBy returns at most limit messages of an account whose inbox number
	// is above after, in order of arrival.
	MessagesBy(a Account, after int64, limit int) ([]Stored, error)
	// PostsIn returns at most limit posts of a studio whose outbox number is
	// above after, in order of queueing.
	PostsIn(id StudioID, after int64, limit int) ([]Queued, error)
	// Marks returns all marks whose names begin with a prefix.
	Marks(prefix string) (map[string]string, error)

	// RemoveMark removes a mark, if there is one.
	RemoveMark(name string) error
	// RewordMessage replaces the text of a message.
	RewordMessage(inbox int64, text string) error
	// RemoveMessage removes a message that nothing in the log was read from.
	// What tells how far a channel was read stays, without author and words.
	RemoveMessage(inbox int64) error
	// RewordPost replaces all parts of a post but its key, kind and address.
	RewordPost(outbox int64, p Post) error
	// RemovePost removes a post with its key: if it is queued again it is new.
	RemovePost(outbox int64) error
	// RemoveMember removes a member with her plan, routines, log, standings,
	// streak, due work, questions and the posts about her. Messages stay. It
	// fails if she has acted on a student's line.
	RemoveMember(MemberID) error

	// PurgeWords removes the texts of messages that were read and taken before
	// a time, the words of closed questions asked before it, and posts sent or
	// given up before it. It returns how many messages and posts there were.
	PurgeWords(before time.Time) (int, error)

	// PutDeed keeps a deed; with ID 0 it is new, and gets an ID.
	PutDeed(*Deed) error
	// Deeds returns the last deeds in a studio, at most limit, oldest first.
	Deeds(id StudioID, limit int) ([]Deed, error)
}

// A Said is one line of a conversation: a message or a post, not both.
type Said struct {
	At      time.Time
	Message *Stored
	Edited  bool
	Deleted bool
	Post    *Queued
}
