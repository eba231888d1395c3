package studio

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio/words"
)

// readReply reads a student's own words against her routine.
func (t *turn) readReply() (Verdict, error) {
	c, err := t.context()
	if err != nil {
		return "", err
	}
	verdict := Chatter
	var said []string
	readings, err := t.readings(c)
	if err != nil {
		return "", err
	}
	for _, rd := range readings {
		receipt, v, err := t.take(&rd, c)
		if err != nil {
			return "", err
		}
		if receipt != "" {
			said = append(said, receipt)
		}
		if v != Chatter {
			verdict = v
		}
	}
	if len(said) == 0 {
		return verdict, nil
	}
	receipt := Post{Key: t.key("receipt"), Kind: ReceiptPost, Brief: verdict == Logged && needsNoWords(readings, said)}
	if verdict == Logged {
		said = append(said, weekSoFar(t.voice, &t.after)...)
	}
	receipt.Text = strings.Join(said, "\n")
	return verdict, t.say(receipt)
}

// needsNoWords reports whether all that was read is that a day was played, or
// was a day of rest, with nothing that could have been misread, and the receipt
// has no more than that to say.
func needsNoWords(readings []reply.Reading, said []string) bool {
	rd := readings[0]
	return len(readings) == 1 && rd.Kind == reply.Report && (rd.All == reply.All || rd.Excused == routine.RestDay) &&
		len(rd.Items) == 0 && len(rd.Ask) == 0 && rd.Question == "" && !rd.Pain && !rd.PainGone &&
		!strings.Contains(said[0], "\n")
}

// readings reads the message. What it says of a day before yesterday is read
// against that day's routine.
func (t *turn) readings(c reply.Context) ([]reply.Reading, error) {
	readings := t.reader.Read(t.text, c)
	for i, rd := range readings {
		if rd.Day == 0 || rd.Day == c.Today || rd.Day == c.Yesterday {
			continue
		}
		then := c
		var err error
		if then.Routine, err = t.routineFor(rd.Day); err != nil {
			return nil, err
		}
		for _, again := range t.reader.Read(t.text, then) {
			if again.Day == rd.Day {
				readings[i] = again
			}
		}
	}
	return readings, nil
}

// context returns what the message is to be read against: the routines and the
// log of the day it was written on, or of the day of the routine it answers.
func (t *turn) context() (reply.Context, error) {
	today := t.who.dateAt(t.msg.At)
	c := reply.Context{Today: today, Yesterday: t.who.yesterday(t.msg.At), Lang: t.who.Lang}
	var err error
	if t.of, err = t.routineAnswered(); err != nil {
		return c, err
	}
	if t.of.Date != 0 && t.of.Date < today {
		today, c.Today = t.of.Date, t.of.Date
	}
	if c.Routine, err = t.routineFor(today); err != nil {
		return c, err
	}
	if c.Previous, err = routineOn(t.tx, t.who.ID, c.Yesterday); err != nil {
		return c, err
	}
	reports, err := t.tx.Reports(t.who.ID, today, today)
	if err == nil && len(reports) > 0 {
		c.Last = readingOf(today, reports)
	}
	return c, err
}

// routineAnswered returns the routine that the message replies to, or replies to a
// reminder of; none if it does not.
func (t *turn) routineAnswered() (RoutineOf, error) {
	post, err := t.repliedTo()
	if err != nil || post == nil || post.Member != t.who.ID {
		return RoutineOf{}, err
	}
	return post.Of, nil
}

// routineFor returns the routine of a date that the message is about: the one it
// answers, though another has replaced it since, or else the latest; nil if there
// is none.
func (t *turn) routineFor(d routine.Date) (*routine.Routine, error) {
	latest, err := routineOn(t.tx, t.who.ID, d)
	if err != nil || latest == nil || d != t.of.Date || t.of.Number == 0 || t.of.Number == latest.Number {
		return latest, err
	}
	all, err := t.tx.RoutinesOf(t.who.ID)
	for i := range all {
		if all[i].Date == d && all[i].Number == t.of.Number {
			return &all[i], err
		}
	}
	return latest, err
}

// readingOf returns what the reports of a date say, as one reading.
func readingOf(date routine.Date, reports []Report) *reply.Reading {
	rd := &reply.Reading{Kind: reply.Report, Day: date}
	for _, r := range reports {
		if r.Day.Minutes > 0 {
			rd.Minutes = r.Day.Minutes
		}
		for _, e := range r.Entries {
			it := reply.Item{N: e.Item, Outcome: e.Outcome, Reps: e.Reps, Of: e.Of, Minutes: e.Minutes, Remark: e.Remark}
			if !e.To.IsZero() {
				it.Tempo = &reply.Tempo{From: e.From.BPM, To: e.To.BPM, Note: e.To.Note, Approx: e.Approx}
			}
			rd.Items = append(rd.Items, it)
		}
	}
	return rd
}

// take logs one reading, or passes it on, or asks. It returns the words of the
// receipt, if any.
func (t *turn) take(rd *reply.Reading, c reply.Context) (receipt string, v Verdict, err error) {
	if rd.Kind == reply.Chat {
		return "", Chatter, nil
	}
	if rd.Question != "" || rd.Kind == reply.Asked {
		if err := t.passOn(rd); err != nil {
			return "", "", err
		}
		if rd.Kind == reply.Asked {
			return t.voice.Say("passed-on", nil), PassOn, nil
		}
	}
	today := t.who.dateAt(t.msg.At)
	if no := t.mayNotLog(rd, today); no != "" {
		return no, Refused, nil
	}
	t.health = t.health || aboutHealth(rd)
	if rd.Undo {
		receipt, err = t.undo(today)
		return receipt, Obeyed, err
	}
	if c.Last != nil && redates(rd) && rd.Day != c.Today {
		return t.move(rd.Day, c)
	}
	for _, q := range rd.Ask {
		if err := t.ask(rd, q, c); err != nil {
			return "", "", err
		}
	}
	if rd.Day == 0 { // asked about; what hurts does not wait for the answer
		if !rd.Pain {
			return "", Asked, nil
		}
		rd = &reply.Reading{Text: rd.Text, Kind: reply.Report, Day: today, Pain: true}
	}
	receipt, logged, err := t.logReading(rd)
	switch {
	case err != nil:
		return "", "", err
	case logged:
		return receipt, Logged, nil
	case len(rd.Ask) > 0:
		return "", Asked, nil
	}
	return "", Chatter, nil
}

// aboutHealth reports whether the answer to a reading speaks of the author's
// health.
func aboutHealth(rd *reply.Reading) bool {
	asked := slices.ContainsFunc(rd.Ask, func(q reply.Question) bool { return q.About == "pain" })
	return asked || rd.Pain || rd.PainGone || rd.Excused == routine.Ill
}

// mayNotLog returns why nothing may be logged of a reading, in one sentence, or
// "" if it may.
func (t *turn) mayNotLog(rd *reply.Reading, today routine.Date) string {
	switch {
	case !t.studio.mayLog(&t.who):
		return t.voice.Say("no-log.consent", with{"name": t.who.Name})
	case rd.Day > today:
		return words.Capital(t.voice.Say("no-log.to-come", with{"day": dayName(t.voice, rd.Day, today)}))
	case rd.Day != 0 && rd.Day < today-oldestReply:
		return words.Capital(t.voice.Count("no-log.too-old", oldestReply, with{"day": dayName(t.voice, rd.Day, today)}))
	}
	return ""
}

// logReading appends what is clear in a reading and returns the words for it.
func (t *turn) logReading(rd *reply.Reading) (receipt string, logged bool, err error) {
	r := &routine.Routine{}
	if known, err := t.routineFor(rd.Day); err != nil {
		return "", false, err
	} else if known != nil {
		r = known
	}
	before, err := t.tx.Reports(t.who.ID, rd.Day, rd.Day)
	if err != nil {
		return "", false, err
	}
	var standing []routine.Entry
	for _, b := range before {
		standing = append(standing, b.Entries...)
	}
	r.Date = rd.Day
	entries := entriesOf(rd, r, standing)
	day := dayOf(rd, entries)
	day.Late = t.msg.At.After(cutOff(&t.studio, &t.who, day.Date))
	saysNothing := len(entries) == 0 && !day.Played && day.Excuse == "" && day.Feel == "" &&
		!day.Pain && !day.PainGone && rd.All != reply.None
	if saysNothing {
		return "", false, nil
	}
	again, err := t.saidElsewhere(before)
	if err != nil {
		return "", false, err
	}
	if !again {
		if err := t.keepReport(rd, day, entries); err != nil {
			return "", false, err
		}
	}
	receipt = t.receipt(rd, day, entries)
	if len(r.Items) == 0 && day.Played {
		receipt += "\n" + t.voice.Say("receipt.no-routine", nil)
	}
	return receipt, true, nil
}

// keepReport puts a report into the log, and tells the teachers of pain.
func (t *turn) keepReport(rd *reply.Reading, day routine.DayReport, entries []routine.Entry) error {
	if err := t.log(day, entries); err != nil || !day.Pain {
		return err
	}
	return t.raisePain(rd)
}

// saidElsewhere reports whether one of a date's reports was read from the same
// words on another platform: who says a thing on two chats means it once.
func (t *turn) saidElsewhere(reports []Report) (bool, error) {
	for _, r := range reports {
		msg, err := t.tx.MessageAt(r.Inbox)
		if isNotFound(err) {
			continue // it was read from no message
		}
		if err != nil {
			return false, err
		}
		if msg.Platform != t.msg.Platform && strings.EqualFold(oneLine(msg.Text), oneLine(t.msg.Text)) {
			return true, nil
		}
	}
	return false, nil
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// undo takes the last report about today or yesterday out of the log.
func (t *turn) undo(today routine.Date) (string, error) {
	reports, err := t.tx.Reports(t.who.ID, min(t.who.yesterday(t.msg.At), today-1), today)
	if err != nil {
		return "", err
	}
	last := lastTold(reports)
	if last == nil {
		return t.voice.Say("undo.nothing", nil), nil
	}
	msg, err := t.tx.MessageAt(last.Inbox)
	if err != nil {
		return "", err
	}
	return t.voice.Say("undo.done", with{"message": clip(msg.Text, 80)}), t.unlog(last)
}

// unlog withdraws all that was told in the message of a report.
func (t *turn) unlog(told *Report) error {
	gone, err := t.tx.WithdrawReports(told.Inbox, t.msg.Inbox)
	if err != nil {
		return err
	}
	return t.withdrawn(gone)
}

// lastTold returns the last of the reports that were told in a message, or nil. That of those
// that were imported is elsewhere.
func lastTold(reports []Report) (last *Report) {
	for i := range reports {
		if r := &reports[i]; r.Inbox != 0 && (last == nil || r.ID > last.ID) {
			last = r
		}
	}
	return last
}

// redates reports whether a reading says no more than that what was told last is of its day.
func redates(rd *reply.Reading) bool {
	return rd.Kind == reply.Correction && len(rd.Items) == 0 && len(rd.Ask) == 0 && rd.All == "" &&
		rd.Minutes == 0 && rd.Excused == "" && rd.Feel == "" && !rd.Pain && !rd.PainGone
}

// move takes what was told last of the day of a context back, and reads its message anew as if
// it had been written on another day: "that was yesterday". What can't be read there without a
// question stays where it is.
func (t *turn) move(day routine.Date, c reply.Context) (receipt string, v Verdict, err error) {
	reports, err := t.tx.Reports(t.who.ID, c.Today, c.Today)
	if err != nil {
		return "", "", err
	}
	last := lastTold(reports)
	if last == nil {
		return t.voice.Say("undo.nothing", nil), Obeyed, nil
	}
	told, err := t.tx.MessageAt(last.Inbox)
	if err != nil {
		return "", "", err
	}
	then := reply.Context{Today: day, Yesterday: day - 1, Lang: c.Lang}
	if then.Routine, err = t.routineFor(day); err != nil {
		return "", "", err
	}
	readings := t.reader.Read(t.saidIn(told), then)
	if rd := readings[0]; len(readings) > 1 || rd.Kind != reply.Report || rd.Day != day || len(rd.Ask) > 0 {
		return t.voice.Say("move.unclear", with{"message": clip(told.Text, 80), "day": day}), Refused, nil
	}
	if err := t.unlog(last); err != nil {
		return "", "", err
	}
	again := *t
	again.msg.Inbox, again.msg.At = told.Inbox, told.At
	receipt, _, err = again.logReading(&readings[0])
	t.after, t.health = again.after, t.health || aboutHealth(&readings[0])
	return receipt, Logged, err
}

// toTeacher is what a question is about that a student asked her teacher. It is
// closed when the teacher tells her something, or says it is seen.
const toTeacher = "teacher"

// passOn gives a student's question to the teachers, word for word.
func (t *turn) passOn(rd *reply.Reading) error {
	asked := Question{
		Studio: t.studio.ID, Member: t.who.ID, Inbox: t.msg.Inbox, Day: t.who.dateAt(t.msg.At),
		About: toTeacher, Raw: cmp.Or(rd.Question, t.text), AskedAt: t.msg.At,
	}
	if err := t.tx.PutQuestion(&asked); err != nil {
		return err
	}
	return t.tellTeachers(t.tx, t.studio.ID, func(v *voice) (Post, error) {
		return Post{
			Key:  t.key("passed-on"),
			Kind: AlertPost, Member: t.who.ID,
			Title: v.Say("asks.title", with{"name": t.who.Name}),
			Text:  v.Say("quoted", with{"words": cmp.Or(rd.Question, t.text)}),
			Foot:  v.Say("asks.foot", with{"name": t.who.Name}),
		}, nil
	})
}

// raisePain tells the teachers at once that a student hurts.
func (t *turn) raisePain(rd *reply.Reading) error {
	return t.tellTeachers(t.tx, t.studio.ID, func(v *voice) (Post, error) {
		return Post{
			Key:  t.key("pain"),
			Kind: AlertPost, Member: t.who.ID,
			Title: v.Say("pain.title", with{"name": t.who.Name}),
			Text: joinLines(v.Say("quoted", with{"words": rd.Text}),
				v.Say("pain.text", with{"name": t.who.Name, "caution": v.Say("caution", nil)})),
		}, nil
	})
}

// ask stores a question about a reading and queues it.
func (t *turn) ask(rd *reply.Reading, q reply.Question, c reply.Context) error {
	stored := Question{
		Studio: t.studio.ID, Member: t.who.ID, Inbox: t.msg.Inbox,
		Day: rd.Day, About: q.About, Raw: rd.Text, AskedAt: t.msg.At,
	}
	for _, choice := range q.Choices {
		stored.Choices = append(stored.Choices, Choice{Label: t.choiceLabel(q.About, choice, c), Text: choice.Text})
	}
	if err := t.tx.PutQuestion(&stored); err != nil {
		return err
	}
	post := Post{
		Key: questionKey(stored.ID), Kind: QuestionPost, Choices: stored.Choices,
		Text: questionWords(t.voice, &stored),
	}
	return t.say(post)
}

func questionKey(id int64) Key { return Key("question/" + strconv.FormatInt(id, 10)) }

// answerQuestion takes the message as the answer to an open question, if it is
// one: a choice pressed, or its number.
func (t *turn) answerQuestion() (v Verdict, answered bool, err error) {
	open, err := t.tx.OpenQuestions(t.who.ID)
	open = slices.DeleteFunc(open, func(q Question) bool { return q.About == toTeacher })
	if err != nil || len(open) == 0 {
		return "", false, err
	}
	q, direct, err := t.questionMeant(open)
	if err != nil || q == nil {
		return "", false, err
	}
	choice, isChoice := chosen(q, t.text, direct)
	neither := !isChoice && means(t.voice, "meant.neither", strings.Trim(t.text, " .!"))
	if !isChoice && !neither {
		return "", false, nil
	}
	q.Closed = true
	if err := t.tx.PutQuestion(q); err != nil {
		return "", false, err
	}
	if neither {
		return Asked, true, t.answer(AnswerPost, t.voice.Say("question.again", nil))
	}
	// The choice is read as of the day of the message that was asked about.
	t.msg.At, t.text = q.AskedAt, choice.Text
	v, err = t.readReply()
	return v, true, err
}

// questionMeant returns the open question that the message replies to, or else
// the last one; direct says which of the two it was.
func (t *turn) questionMeant(open []Question) (q *Question, direct bool, err error) {
	post, err := t.repliedTo()
	if err != nil {
		return nil, false, err
	}
	for i := range open {
		if post != nil && questionKey(open[i].ID) == post.Key {
			return &open[i], true, nil
		}
	}
	last := &open[len(open)-1]
	if t.msg.At.Sub(last.AskedAt) > numberMeansAnswer {
		return nil, false, nil
	}
	return last, false, nil
}

// numberMeansAnswer is how long a bare number is taken as the answer to the
// last question, rather than as a reply of its own.
const numberMeansAnswer = 12 * time.Hour

// chosen returns the choice that the text picks: by its words, or by its number
// alone.
func chosen(q *Question, text string, direct bool) (Choice, bool) {
	for i, c := range q.Choices {
		if text == strconv.Itoa(i+1) || direct && strings.EqualFold(text, c.Text) || strings.EqualFold(text, c.Label) {
			return c, true
		}
	}
	return Choice{}, false
}

// closeQuestions closes a member's open questions for which match holds.
func (t *turn) closeQuestions(of MemberID, match func(Question) bool) error {
	open, err := t.tx.OpenQuestions(of)
	if err != nil {
		return err
	}
	for _, q := range open {
		if !match(q) {
			continue
		}
		q.Closed = true
		if err := t.tx.PutQuestion(&q); err != nil {
			return err
		}
	}
	return nil
}
