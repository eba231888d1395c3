package studio

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A UsageError says what is wrong with a command in a sentence for the person
// who gave it.
type UsageError string

func (e UsageError) Error() string { return string(e) }

func usage(sentence string) error { return UsageError(sentence) }

// A command is something a member may tell the bot to do.
type command struct {
	name  string
	args  string // as shown in help
	about string
	roles []Role // who may give it; the one place that says so
	run   func(t *turn, args []string) (Post, error)
}

var (
	anybody  = []Role{Teacher, Assistant, Student, Guardian}
	teaching = []Role{Teacher, Assistant}
	teacher  = []Role{Teacher}
	student  = []Role{Student}
)

// commands returns all commands, in the order that help lists them in.
func commands() []command {
	return []command{
		{"help", "", "this list", anybody, (*turn).help},
		{"today", "", "your routine of today again", student, (*turn).today},
		{"progress", "[ITEM or LINE]", "a picture of your tempo, of an item of today or a line such as slur-atlas/1/3", student, (*turn).progress},
		{"week", "[NAME]", "the last four weeks as a calendar", anybody, (*turn).weekCommand},
		{"best", "[NAME] [STUDY]", "personal bests; a student leaves out the name", []Role{Teacher, Assistant, Student}, (*turn).best},
		{"short", "MINUTES", "a routine for today that fits into so many minutes", student, (*turn).short},
		{"soft", "", "a routine for today with nothing loud", student, (*turn).soft},
		{"with", "INSTRUMENT", "a routine for today on the instrument you have at hand", student, (*turn).with},
		{"usual", "", "today's routine without any of these wishes", student, (*turn).usual},
		{"consent", "NAME", "agree that this student's practice is logged", []Role{Teacher, Guardian}, (*turn).consent},
		{"digest", "", "this week so far", teaching, (*turn).digestCommand},
		{"invite", "NAME", "a one-time code with which a person joins from another chat", teacher, (*turn).invite},
		{"student", "NAME", "one student closely", teaching, (*turn).studentCommand},
		{"plan", "NAME", "what a student is working on, and what tomorrow brings", teaching, (*turn).planCommand},
		{"books", "", "the books and their studies", teaching, (*turn).booksCommand},
		{"tell", "NAME WORDS", "pass words on to a student", teaching, (*turn).tellCommand},
		{"sign-off", "NAME LINES [PASS]", "sign lines off in the pass they are in, such as slur-atlas/1/1-3", teacher, (*turn).signOff},
		{"move-back", "NAME LINES [TEMPO]", "let lines work again, from a tempo if given", teacher, (*turn).moveBack},
		{"skip", "NAME LINES DATE", "leave lines out of the routine until a date", teacher, (*turn).skip},
		{"swap", "NAME ITEM LINE", "put a line in place of an item of today", teacher, (*turn).swap},
		{"open", "NAME STUDY PASS", "put a study on the plan, or on another pass", teacher, (*turn).openPass},
		{"stay", "NAME STUDY", "go on in a pass though its share has passed", teacher, (*turn).stay},
		{"close", "NAME STUDY", "take a study off the plan", teacher, (*turn).closeStudy},
		{"add", "NAME STUDY DEMAND", "ask for one more demand, such as p or one-breath, or none", teacher, (*turn).add},
		{"together", "NAME STUDY NUMBER", "how many neighbouring lines make one item", teacher, (*turn).together},
		{"test", "NAME STUDY DAYS", "a minute test every so many days, or none", teacher, (*turn).test},
		{"ladder", "NAME STUDY STEP", "steps of the tempo in percent, such as 5%, or marks", teacher, (*turn).ladder},
		{"copy-plan", "FROM TO", "put on a student's plan what another one has on hers", teacher, (*turn).copyPlan},
		{"template", "NAME LEVEL", "put on the plan what students of a level begin with", teacher, (*turn).template},
		{"pin", "NAME LINE", "have a line come every day", teacher, (*turn).pin},
		{"unpin", "NAME LINE", "let it rotate again", teacher, (*turn).unpin},
		{"hold", "NAME STUDY", "keep a study off the routine", teacher, (*turn).hold},
		{"release", "NAME STUDY", "let it back", teacher, (*turn).release},
		{"lock", "NAME STUDY TEMPO", "hold the tempo of a study, such as quarter=80", teacher, (*turn).lock},
		{"unlock", "NAME STUDY", "give its tempo back to the ladder", teacher, (*turn).unlock},
		{"minutes", "NAME NUMBER", "the minutes of a day, with rests", teacher, (*turn).minutes},
		{"off", "NAME DAYS", "days of the week without a routine, such as sat,sun, or none", teacher, (*turn).off},
		{"excuse", "NAME FROM [TO] [REASON]", "dates on which nothing is expected", teaching, (*turn).excuse},
		{"holiday", "FROM TO", "dates on which the whole studio is free", teacher, (*turn).holiday},
		{"pause", "NAME", "no routines until resumed", teacher, (*turn).pauseCommand},
		{"resume", "NAME", "routines again from today", teacher, (*turn).resume},
		{"leave", "NAME", "the student leaves the studio; nothing of the log is lost", teacher, (*turn).leave},
		{"zone", "NAME ZONE", "the time zone where the student is now, such as Europe/Berlin", teacher, (*turn).zoneCommand},
		{"again", "NAME", "a new routine for today from the plan as it is now", teacher, (*turn).again},
		{"challenge", "DAYS PERCENT TITLE", "keep days together from tomorrow on", teacher, (*turn).challenge},
	}
}

// A CommandSpec describes a command to a chat that offers commands by name.
type CommandSpec struct {
	Name  string
	Args  string // what follows the name, in words: "NAME MINUTES"
	About string
	Roles []Role
}

// Commands returns the commands that members may give, in the order of help.
func Commands() []CommandSpec {
	var specs []CommandSpec
	for _, c := range commands() {
		specs = append(specs, CommandSpec{c.name, c.args, c.about, slices.Clone(c.roles)})
	}
	return specs
}

// commandOf finds the command a text gives: after a slash, or as its first
// word where the member has that command. A student's reply may begin with such
// a word, so hers must be the command and nothing it does not take.
func commandOf(text string, role Role) (cmd command, args []string, ok bool) {
	slashed := strings.HasPrefix(text, "/")
	words := strings.Fields(strings.TrimPrefix(text, "/"))
	if len(words) == 0 {
		return command{}, nil, false
	}
	all := commands()
	i := slices.IndexFunc(all, func(c command) bool { return strings.EqualFold(c.name, words[0]) })
	if i < 0 {
		if slashed {
			return command{name: words[0]}, nil, true
		}
		return command{}, nil, false
	}
	cmd, args = all[i], words[1:]
	if slashed || role != Student {
		return cmd, args, true
	}
	return cmd, args, plainly(cmd.name, args) && slices.Contains(cmd.roles, role)
}

// plainly reports whether a command with these arguments is meant as one though
// no slash says so.
func plainly(name string, args []string) bool {
	switch name {
	case "progress":
		return len(args) <= 1
	case "best":
		return len(args) == 0 || len(args) == 1 && strings.Contains(args[0], "/")
	case "short":
		_, ok := dayMinutes(args)
		return ok
	case "with":
		_, ok := routine.InstrumentNamed(strings.Join(args, " "))
		return ok
	}
	return len(args) == 0
}

// obey carries out a command, or says why not.
func (t *turn) obey(cmd command, args []string) (Verdict, error) {
	if cmd.run == nil {
		return Refused, t.answer(AnswerPost, "There is no command “"+clip(cmd.name, 40)+"”. Write “help” for all there are.")
	}
	if !slices.Contains(cmd.roles, t.who.Role) {
		return Refused, t.answer(AnswerPost, "“"+cmd.name+"” is not yours to give: it is for "+roleWords(cmd.roles)+".")
	}
	post, err := cmd.run(t, args)
	var wrong UsageError
	switch {
	case errors.As(err, &wrong):
		return Refused, t.answer(AnswerPost, sentence(string(wrong)))
	case err != nil:
		return "", fmt.Errorf("command %s: %w", cmd.name, err)
	}
	post.Key = t.key("answer")
	if post.Kind == "" {
		post.Kind = AnswerPost
	}
	return Obeyed, t.say(post)
}

func roleWords(roles []Role) string {
	var words []string
	for _, r := range roles {
		words = append(words, string(r)+"s")
	}
	return strings.Join(words, " and ")
}

// sentence makes a clause begin with a capital and end with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	first, size := utf8.DecodeRuneInString(s)
	s = string(unicode.ToUpper(first)) + s[size:]
	if !strings.ContainsAny(s[len(s)-1:], ".?!") {
		s += "."
	}
	return s
}

func text(format string, args ...any) (Post, error) {
	return Post{Text: fmt.Sprintf(format, args...)}, nil
}

func (t *turn) help([]string) (Post, error) {
	p := Post{Title: "What you can write", Text: "To a routine, answer in your own words: “1 96 clean, 2 skip, rest done 40m”, “all but 3”, “yesterday: done 30”, “rest”, “ill”. Edit or delete a message to correct it, or write “undo”."}
	if t.who.Role != Student {
		p.Text = "Commands, with NAME a student, STUDY such as slur-atlas/1, LINE such as slur-atlas/1/3:"
	}
	var lines []string
	for _, c := range commands() {
		if slices.Contains(c.roles, t.who.Role) {
			lines = append(lines, strings.TrimSpace(c.name+" "+c.args)+": "+c.about)
		}
	}
	p.Text += "\n" + strings.Join(lines, "\n")
	return p, nil
}

// now returns today's date where a member is.
func (s *Service) today(m *Member) routine.Date { return routine.DateOf(s.now(), m.Location()) }

// member finds a student of the studio by the name that args begin with.
func (t *turn) member(args []string) (Member, []string, error) {
	members, err := t.tx.Members(t.studio.ID)
	if err != nil {
		return Member{}, nil, err
	}
	var names []string
	for _, m := range members {
		if m.Role != Student {
			continue
		}
		n := len(strings.Fields(m.Name))
		if len(args) >= n && strings.EqualFold(strings.Join(args[:n], " "), m.Name) {
			return m, args[n:], nil
		}
		names = append(names, m.Name)
	}
	if len(args) == 0 {
		return Member{}, nil, usage("name a student: " + strings.Join(names, ", "))
	}
	return Member{}, nil, usage(fmt.Sprintf("there is no student “%s” in this studio; write one of: %s", clip(args[0], 40), strings.Join(names, ", ")))
}

// save keeps a member and sets her times anew.
func (t *turn) save(m *Member) error {
	if err := t.tx.PutMember(*m); err != nil {
		return err
	}
	return t.scheduleMember(t.tx, &t.studio, m)
}

func (t *turn) consent(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if t.who.Role == Guardian && !slices.Contains(t.who.Wards, m.ID) {
		return Post{}, usage("you can agree only for a student you are the guardian of; ask the teacher to set that down")
	}
	if m.Consent != 0 {
		return text("Consent for %s was recorded on %s.", m.Name, m.Consent)
	}
	m.Consent = t.Service.today(&m)
	if err := t.save(&m); err != nil {
		return Post{}, err
	}
	return text("Consent recorded: %s's practice is logged from today. It can be taken back at any time; ask the teacher.", m.Name)
}

func (t *turn) tellCommand(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if len(rest) == 0 {
		return Post{}, usage("write the words after the name, for example: tell " + m.Name + " third valve on the A, please")
	}
	words := t.text[strings.LastIndex(t.text, rest[0]):]
	if i := strings.Index(strings.ToLower(t.text), strings.ToLower(m.Name)); i >= 0 {
		words = strings.TrimSpace(t.text[i+len(m.Name):])
	}
	err = t.tell(t.tx, &m, Post{Key: t.key("told"), Kind: AnswerPost, Title: "From " + t.who.Name, Text: words})
	if err != nil {
		return Post{}, err
	}
	return text("Passed on to %s.", m.Name)
}

func (t *turn) minutes(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	n := 0
	if len(rest) == 1 {
		n, _ = strconv.Atoi(rest[0])
	}
	if n < 5 || n > 240 {
		return Post{}, usage("minutes of a day are a number from 5 to 240, for example: minutes " + m.Name + " 40")
	}
	m.Player.Minutes = n
	return done(t.save(&m), "%s now has %d minutes a day, rests and all.", m.Name, n)
}

// done returns an answer in words, or the error instead.
func done(err error, format string, args ...any) (Post, error) {
	if err != nil {
		return Post{}, err
	}
	return text(format, args...)
}

func (t *turn) off(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	set, err := weekdays(strings.Join(rest, ","))
	if err != nil {
		return Post{}, err
	}
	today := t.Service.today(&m)
	m.Off = slices.DeleteFunc(m.Off, func(o streaks.OffDays) bool { return o.From == today })
	m.Off = append(m.Off, streaks.OffDays{From: today, Off: set})
	return done(t.save(&m), "Days off of %s from today on: %s.", m.Name, weekdayWords(set))
}

// weekdays reads days of the week: "sat,sun" or "none".
func weekdays(s string) (set routine.Weekday, err error) {
	if s == "none" {
		return 0, nil
	}
	for _, word := range strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ',' || r == ' ' }) {
		found := false
		for d := time.Sunday; d <= time.Saturday; d++ {
			if name := strings.ToLower(d.String()); len(word) >= 3 && strings.HasPrefix(name, word) {
				set |= 1 << d
				found = true
			}
		}
		if !found {
			return 0, usage(fmt.Sprintf("“%s” is no day of the week; write, for example, sat,sun, or none", clip(word, 40)))
		}
	}
	if set == 0 {
		return 0, usage("write the days of the week that are off, for example sat,sun, or none")
	}
	if set == 1<<7-1 {
		return 0, usage("all seven days off leaves no routine; use “pause” for that")
	}
	return set, nil
}

func weekdayWords(set routine.Weekday) string {
	var names []string
	for d := time.Sunday; d <= time.Saturday; d++ {
		if set&(1<<d) != 0 {
			names = append(names, d.String())
		}
	}
	if len(names) == 0 {
		return "none"
	}
	return strings.Join(names, ", ")
}

func (t *turn) excuse(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	span, rest, err := spanOf(rest, "excuse "+m.Name)
	if err != nil {
		return Post{}, err
	}
	reason := routine.RestDay
	if len(rest) > 0 {
		reason = routine.Excuse(strings.ToLower(rest[0]))
	}
	known := []routine.Excuse{routine.Ill, routine.Travel, routine.RestDay, routine.Lesson, routine.Performance}
	if !slices.Contains(known, reason) {
		return Post{}, usage(fmt.Sprintf("“%s” is no reason; write ill, travel, rest, lesson or performance", clip(string(reason), 40)))
	}
	m.Pauses = append(m.Pauses, streaks.Pause{From: span.From, To: span.To, Excuse: reason})
	if err := t.save(&m); err != nil {
		return Post{}, err
	}
	_, err = t.settle(t.tx, &t.studio, &m, span.From)
	return done(err, "%s is excused from %s to %s (%s).", m.Name, span.From, span.To, reason)
}

// spanOf reads one date or two from the front of args.
func spanOf(args []string, example string) (Span, []string, error) {
	wrong := usage("write a first date and, if there is one, a last, for example: " + example + " 2026-03-04 2026-03-08")
	if len(args) == 0 {
		return Span{}, nil, wrong
	}
	from, err := routine.ParseDate(args[0])
	if err != nil {
		return Span{}, nil, usage(err.Error())
	}
	span, args := Span{From: from, To: from}, args[1:]
	if len(args) > 0 {
		if to, err := routine.ParseDate(args[0]); err == nil {
			span.To, args = to, args[1:]
		}
	}
	if span.To < span.From || span.To > span.From+366 {
		return Span{}, nil, wrong
	}
	return span, args, nil
}

func (t *turn) holiday(args []string) (Post, error) {
	span, _, err := spanOf(args, "holiday")
	if err != nil {
		return Post{}, err
	}
	t.studio.Holidays = append(t.studio.Holidays, span)
	if err := t.tx.PutStudio(t.studio); err != nil {
		return Post{}, err
	}
	members, err := t.tx.Members(t.studio.ID)
	if err != nil {
		return Post{}, err
	}
	for _, m := range members {
		if m.Role != Student {
			continue
		}
		if _, err := t.settle(t.tx, &t.studio, &m, span.From); err != nil {
			return Post{}, err
		}
	}
	return text("The studio is free from %s to %s. It costs nobody a streak.", span.From, span.To)
}

func (t *turn) pauseCommand(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if m.Paused {
		return text("%s is paused already.", m.Name)
	}
	m.Paused = true
	m.Pauses = append(m.Pauses, streaks.Pause{From: t.Service.today(&m), To: farFuture, Excuse: routine.RestDay})
	return done(t.save(&m), "%s is paused from today. Nothing is lost; “resume %s” goes on.", m.Name, m.Name)
}

// farFuture ends a pause that has no end yet.
var farFuture = routine.NewDate(9999, 12, 31)

func (t *turn) resume(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if !m.Paused {
		return text("%s is not paused.", m.Name)
	}
	m.Paused = false
	today := t.Service.today(&m)
	if m.Left != 0 && m.Left < today-1 {
		m.Pauses = append(m.Pauses, streaks.Pause{From: m.Left + 1, To: today - 1, Excuse: routine.NoRoutine})
	}
	m.Left = 0
	m.Pauses = slices.DeleteFunc(m.Pauses, func(p streaks.Pause) bool { return p.To == farFuture && p.From >= today })
	for i := range m.Pauses {
		if m.Pauses[i].To == farFuture {
			m.Pauses[i].To = today - 1
		}
	}
	if err := t.save(&m); err != nil {
		return Post{}, err
	}
	return done(t.catchUp(t.tx, &t.studio, &m), "%s goes on; the first days are lighter.", m.Name)
}

func (t *turn) challenge(args []string) (Post, error) {
	if len(args) < 3 {
		return Post{}, usage("write the days, the goal in percent and a title, for example: challenge 14 80 Spring together")
	}
	days, _ := strconv.Atoi(args[0])
	goal, _ := strconv.ParseFloat(strings.TrimSuffix(args[1], "%"), 64)
	from := routine.DateOf(t.now(), locationOf(t.studio.Zone)) + 1
	c, err := newChallenge(&t.studio, strings.Join(args[2:], " "), from, days, goal/100, t.now())
	if err != nil {
		return Post{}, err
	}
	return done(t.tx.PutChallenge(c), "“%s” runs from %s to %s. I announce it when it opens, half way, on the last day, and with its result.", c.Title, longDate(c.From), longDate(c.To))
}
