package studio

import (
	"errors"
	"slices"
	"strings"

	"ledgerline/routine"
)

// correct takes the new text of a message that was carried out as a command before
// it was edited, so that nothing is done twice: the doc of the package has the
// rule. done is false if the text is to be read like any other.
func (t *turn) correct() (v Verdict, done bool, err error) {
	cmd, _, isCommand := t.command(t.text)
	if t.who.Role == Student && !isCommand {
		return "", false, nil // a reply, or talk
	}
	was, err := t.carriedOut()
	if was == nil || err != nil {
		return "", false, err
	}
	old, args, wasCommand := was.command(was.text)
	switch {
	case isCommand && !mayGive(t.who.Role, cmd.name):
		return "", false, nil
	case t.who.Role == Student && !wasCommand, wasCommand && was.shows(old.name, args):
		return "", false, nil
	case slices.Equal(strings.Fields(was.text), strings.Fields(t.text)):
		return Chatter, true, nil
	}
	post, err := t.instead(was)
	if errors.Is(err, errStands) {
		return Refused, true, t.say(t.stands(was, isCommand))
	}
	v, err = t.conclude(post, err)
	return v, true, err
}

// carriedOut returns the turn that the message was when it was obeyed last, before
// this edit; nil if it never was.
func (t *turn) carriedOut() (*turn, error) {
	msg, err := t.tx.ObeyedBefore(t.msg.Platform, t.msg.ID, t.msg.Inbox)
	if isNotFound(err) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	was := *t
	was.msg.At, was.text = msg.At, t.saidIn(msg)
	return &was, nil
}

// saidIn returns what another message of the author says, without the name that it begins
// with where others have her account too.
func (t *turn) saidIn(msg Stored) string {
	text := strings.TrimSpace(msg.Text)
	if rest, named := afterName(text, t.who.Name); t.shared && named {
		return rest
	}
	return text
}

// shows reports whether a command only shows something, or says anew what a student
// wants of today or of a challenge: an edit of it is carried out too.
func (t *turn) shows(cmd string, args []string) bool {
	switch cmd {
	case "help", "today", "progress", "map", "week", "best", "forecast", "click", "recordings", "export", "digest", "overview",
		"report", "student", "plan", "books", "deeds", "short", "soft", "with", "usual", "take-part", "sit-out":
		return true
	case "holiday", "lessons":
		return len(args) == 0
	case "lesson", "note":
		_, rest, err := t.named(args)
		return err == nil && len(rest) == 0
	case "erase":
		_, sure := t.toErase(args)
		return !sure
	case "challenge":
		return len(args) > 0 && slices.Contains([]string{"kinds", "list", "show"}, known(t.voice, args[0]))
	}
	return false
}

// errStands says that what a command did is not taken back by editing it.
var errStands = errors.New("what was carried out stands")

// stands says that what a message did stands, and offers to do what it says now as
// well.
func (t *turn) stands(was *turn, isCommand bool) Post {
	at := was.msg.At.In(t.who.Location())
	when := at.Format("15:04")
	if day := routine.DateOf(at, at.Location()); day != t.Service.today(&t.who) {
		when = t.voice.Say("edit.day", with{"day": day, "time": when})
	}
	p := Post{Key: t.key("stands"), Kind: AnswerPost, Text: t.voice.Say("edit.stands", with{"when": when})}
	if isCommand {
		p.Choices = []Choice{{Label: clip(t.text, 60), Text: t.text}}
	}
	return p
}

// instead takes back what the message did and does what it says now. Where that
// can't be done plainly, nothing is done and the error is errStands.
func (t *turn) instead(was *turn) (Post, error) {
	old, oldArgs, _ := was.command(was.text)
	cmd, args, _ := t.command(t.text)
	was.doing = old.args
	oldArgs = was.titled(oldArgs)
	if old.name == cmd.name {
		switch cmd.name {
		case "note":
			cmd.run = func(t *turn, args []string) (Post, error) { return t.noteInstead(was, oldArgs, args) }
			return t.carryOut(cmd, args)
		case "lesson":
			cmd.run = func(t *turn, args []string) (Post, error) { return t.lessonInstead(was, oldArgs, args) }
			return t.carryOut(cmd, args)
		}
	}
	m, before, decided, err := was.decidedThen()
	var gone *UsageError
	if errors.As(err, &gone) || err == nil && !decided {
		return Post{}, errStands
	}
	if err != nil {
		return Post{}, err
	}
	other, now, decided, err := t.decidedThen()
	if err == nil && (!decided || now == "" || other.ID != m.ID) {
		err = errStands
	}
	if err != nil {
		return Post{}, err
	}
	return t.decideInstead(was, &m, before, now)
}

// decidedThen returns the student and the words of a message that says what was
// decided in a lesson, by command or in reply to its sheet.
func (t *turn) decidedThen() (m Member, said string, ok bool, err error) {
	if m, ok, err = t.lessonAnswered(); ok || err != nil {
		return m, t.text, ok, err
	}
	cmd, args, isCommand := t.command(t.text)
	if !isCommand || cmd.name != "after" {
		return m, "", false, nil
	}
	m, rest, err := t.named(args)
	return m, t.wordsAfter(len(args) - len(rest)), err == nil, err
}

// noteInstead puts a note in the place of one that the message made before.
func (t *turn) noteInstead(was *turn, oldArgs, args []string) (Post, error) {
	to, rest, err := t.named(args)
	if err != nil {
		return Post{}, err
	}
	from, oldRest, err := was.named(oldArgs)
	if err != nil || len(rest) == 0 {
		return Post{}, errStands
	}
	i := from.noteOf(t.who.ID, was.wordsAfter(len(oldArgs)-len(oldRest)))
	if i < 0 {
		return Post{}, errStands
	}
	n := from.Notes[i]
	n.Text = t.wordsAfter(len(args) - len(rest))
	if from.ID == to.ID {
		to.Notes[i] = n
	} else {
		from.Notes = slices.Delete(from.Notes, i, i+1)
		if err := t.tx.PutMember(from); err != nil {
			return Post{}, err
		}
		to.addNote(n)
	}
	return t.done(t.tx.PutMember(to), "edit.note", with{"name": to.Name})
}

// noteOf returns where a member's last note is that somebody made in these words;
// -1 if there is none.
func (m *Member) noteOf(by MemberID, text string) int {
	for i, n := range slices.Backward(m.Notes) {
		if n.By == by && n.Text == text {
			return i
		}
	}
	return -1
}

// lessonInstead sets a lesson in the place of one that the message set before. A
// rule has taken the place of others by then, so only another rule for the same
// student takes its own.
func (t *turn) lessonInstead(was *turn, oldArgs, args []string) (Post, error) {
	to, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	from, oldRest, err := was.member(oldArgs)
	if err != nil || t.who.Role != Teacher || len(oldRest) < 2 || len(rest) < 2 || strings.EqualFold(rest[0], "no") {
		return Post{}, errStands
	}
	old := t.lessonIn(oldRest)
	i := slices.IndexFunc(from.Lessons, func(l Lesson) bool { return l.Start == old.Start && l.Rule == old.Rule && l.Zone == old.Zone })
	if i < 0 || old.Rule != "" && (from.ID != to.ID || t.lessonIn(rest).Rule == "") {
		return Post{}, errStands
	}
	l, err := t.lessonOf(&to, rest)
	if err != nil {
		return Post{}, err
	}
	from.Lessons = slices.Delete(from.Lessons, i, i+1)
	if from.ID == to.ID {
		to.Lessons = from.Lessons
	} else if err := t.save(&from); err != nil {
		return Post{}, err
	}
	return t.setLesson(&to, &l)
}

// decideInstead does of what was decided about a student what was not said before.
// Notes that are said no longer go, or others come in their place; of commands that
// are said no longer it is said that they stand.
func (t *turn) decideInstead(was *turn, m *Member, before, now string) (Post, error) {
	gone, all := was.decisions(before), t.decisions(now)
	var fresh []decision
	for _, d := range all {
		if i := slices.Index(gone, d); i >= 0 {
			gone = slices.Delete(gone, i, i+1)
		} else {
			fresh = append(fresh, d)
		}
	}
	lines, gone, fresh, err := t.notesInstead(m, gone, fresh)
	if err != nil {
		return Post{}, err
	}
	for _, d := range gone {
		if !slices.ContainsFunc(all, d.overruledBy) {
			lines = append(lines, t.resultOf(&d, t.voice.Say("edit.part-stands", nil)))
		}
	}
	return t.decideEach(m, fresh, lines)
}

// notesInstead takes the notes among what is said no longer away, puts those among
// what is said now in their places, and returns what it did and what is left of
// both.
func (t *turn) notesInstead(m *Member, gone, fresh []decision) (lines []string, stand, left []decision, err error) {
	isNote := func(d decision) bool { return d.cmd == "" }
	for _, d := range gone {
		i := m.noteOf(t.who.ID, d.text)
		next := slices.IndexFunc(fresh, isNote)
		switch {
		case !isNote(d):
			stand = append(stand, d)
		case i >= 0 && next >= 0:
			m.Notes[i].Text = fresh[next].text
			lines = append(lines, t.resultOf(&fresh[next], t.voice.Say("edit.note", with{"name": m.Name})))
			fresh = slices.Delete(fresh, next, next+1)
		case i >= 0:
			m.Notes = slices.Delete(m.Notes, i, i+1)
			lines = append(lines, t.resultOf(&d, t.voice.Say("edit.note-gone", nil)))
		}
	}
	return lines, stand, fresh, t.tx.PutMember(*m)
}

// overruledBy reports whether another decision sets the same thing anew.
func (d *decision) overruledBy(by decision) bool {
	return d.cmd == by.cmd && d.study() == by.study()
}

// study returns the study or lines that a decision is about; "" if it is about none.
func (d *decision) study() string {
	first, _, _ := strings.Cut(d.args, " ")
	if !strings.Contains(first, "/") {
		return ""
	}
	return first
}
