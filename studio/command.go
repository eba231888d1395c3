package studio

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio/words"
)

// A command is something a member may tell the bot to do.
type command struct {
	name  string
	args  string // as shown in help
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
		{"help", "", anybody, (*turn).help},
		{"today", "", student, (*turn).today},
		{"progress", "[NAME] [ITEM or LINE]", anybody, (*turn).progress},
		{"map", "[NAME] [STUDY]", anybody, (*turn).mapCommand},
		{"week", "[NAME] [WEEKS]", anybody, (*turn).weekCommand},
		{"best", "[NAME] [STUDY]", []Role{Teacher, Assistant, Student}, (*turn).best},
		{"forecast", "[NAME]", []Role{Teacher, Assistant, Student}, (*turn).forecastCommand},
		{"short", "MINUTES", student, (*turn).short},
		{"soft", "", student, (*turn).soft},
		{"click", "[ITEM] [MEASURE]", student, (*turn).click},
		{"keep", "[NUMBER]", student, (*turn).keepCommand},
		{"recordings", "[NAME] [NUMBER]", anybody, (*turn).recordings},
		{"discard", "NUMBER", student, (*turn).discard},
		{"with", "INSTRUMENT", student, (*turn).with},
		{"usual", "", student, (*turn).usual},
		{"setup", "", student, (*turn).setup},
		{"here", "", anybody, (*turn).here},
		{"consent", "NAME [NO]", []Role{Teacher, Guardian}, (*turn).consent},
		{"export", "[NAME]", anybody, (*turn).exportCommand},
		{"digest", "[FROM] [TO]", teaching, (*turn).digestCommand},
		{"overview", "", teaching, (*turn).overview},
		{"lesson", "NAME [DATE TIME] [RULE]", teaching, (*turn).lessonCommand},
		{"lessons", "[MINUTES]", teaching, (*turn).lessonsCommand},
		{"note", "NAME WORDS", teaching, (*turn).noteCommand},
		{"after", "NAME WORDS", teaching, (*turn).afterCommand},
		{"report", "NAME FROM TO", []Role{Teacher, Assistant, Guardian}, (*turn).reportCommand},
		{"invite", "NAME", teacher, (*turn).invite},
		{"student", "NAME", teaching, (*turn).studentCommand},
		{"plan", "NAME", teaching, (*turn).planCommand},
		{"books", "", []Role{Teacher, Assistant, Student}, (*turn).booksCommand},
		{"tell", "NAME WORDS", teaching, (*turn).tellCommand},
		{"ask", "NAME", teaching, (*turn).askHow},
		{"seen", "NAME [NUMBER]", teaching, (*turn).seen},
		{"sign-off", "NAME LINES [PASS]", teacher, (*turn).signOff},
		{"move-back", "NAME LINES [TEMPO]", teacher, (*turn).moveBack},
		{"skip", "NAME LINES DATE", teacher, (*turn).skip},
		{"swap", "NAME ITEM LINE", teacher, (*turn).swap},
		{"open", "NAME STUDY PASS", teacher, (*turn).openPass},
		{"stay", "NAME STUDY", teacher, (*turn).stay},
		{"close", "NAME STUDY", teacher, (*turn).closeStudy},
		{"add", "NAME STUDY DEMAND", teacher, (*turn).add},
		{"together", "NAME STUDY NUMBER", teacher, (*turn).together},
		{"test", "NAME STUDY [DAYS or DATE]", teacher, (*turn).test},
		{"interleave", "NAME STUDY [none]", teacher, (*turn).interleave},
		{"ladder", "NAME STUDY STEP", teacher, (*turn).ladder},
		{"copy-plan", "MODEL NAME", teacher, (*turn).copyPlan},
		{"template", "NAME LEVEL", teacher, (*turn).template},
		{"pin", "NAME LINE", teacher, (*turn).pin},
		{"unpin", "NAME LINE", teacher, (*turn).unpin},
		{"hold", "NAME STUDY", teacher, (*turn).hold},
		{"release", "NAME STUDY", teacher, (*turn).release},
		{"lock", "NAME STUDY TEMPO", teacher, (*turn).lock},
		{"unlock", "NAME STUDY", teacher, (*turn).unlock},
		{"minutes", "NAME NUMBER", teacher, (*turn).minutes},
		{"strain", "NAME PERCENT", teacher, (*turn).strain},
		{"soft-hours", "NAME HOURS", teacher, (*turn).softHours},
		{"perform", "NAME DATE [STUDY]", teacher, (*turn).perform},
		{"off", "NAME DAYS", teacher, (*turn).off},
		{"excuse", "NAME FROM [TO] [REASON]", teaching, (*turn).excuse},
		{"holiday", "[FROM] [TO]", teacher, (*turn).holiday},
		{"pause", "NAME", teacher, (*turn).pauseCommand},
		{"resume", "NAME", teacher, (*turn).resume},
		{"leave", "NAME", teacher, (*turn).leave},
		{"erase", "NAME", teacher, (*turn).eraseCommand},
		{"deeds", "[NUMBER]", teacher, (*turn).deeds},
		{"zone", "NAME ZONE", teacher, (*turn).zoneCommand},
		{"thread", "NAME", teacher, (*turn).threadCommand},
		{"again", "NAME", teacher, (*turn).again},
		{"challenge", "[KIND] [DAYS] [GOAL] [TITLE]", teacher, (*turn).challenge},
		{"take-part", "[NAME]", []Role{Student, Guardian}, (*turn).takePart},
		{"sit-out", "[NAME]", []Role{Student, Guardian}, (*turn).sitOut},
	}
}

// A CommandSpec describes a command to a chat that offers commands by name.
type CommandSpec struct {
	Name  string // by which it is given
	Args  string // what follows the name: "NAME MINUTES"
	Roles []Role
	In    map[string]CommandWords // by language, English too
}

// CommandWords are the words for a command in a language.
type CommandWords struct {
	Name  string
	Args  string // in the order of CommandSpec.Args
	About string
}

// Commands returns the commands that members may give, in the order of help.
func Commands() []CommandSpec {
	var specs []CommandSpec
	for _, c := range commands() {
		spec := CommandSpec{Name: c.name, Args: c.args, Roles: slices.Clone(c.roles), In: map[string]CommandWords{}}
		for _, lang := range words.Languages() {
			v := words.Program().In(lang)
			spec.In[lang] = CommandWords{called(v, c.name), argWords(v, c.args), aboutCommand(v, c.name)}
		}
		specs = append(specs, spec)
	}
	return specs
}

// commandOf finds the command a text gives: after a slash, or as its first
// word where the member has that command. A student's reply may begin with such
// a word, so hers must be the command and nothing it does not take.
func commandOf(v *voice, text string, role Role) (cmd command, args []string, ok bool) {
	slashed := strings.HasPrefix(text, "/")
	given := strings.Fields(strings.TrimPrefix(text, "/"))
	if len(given) == 0 {
		return command{}, nil, false
	}
	all, i := commands(), -1
	name := words.Fold(given[0])
	if v.Calls(name) {
		i = slices.IndexFunc(all, func(c command) bool { return words.Fold(called(v, c.name)) == name })
	}
	if i < 0 {
		i = slices.IndexFunc(all, func(c command) bool { return c.name == name })
	}
	if i < 0 {
		if slashed {
			return command{name: given[0]}, nil, true
		}
		return command{}, nil, false
	}
	cmd, args = all[i], given[1:]
	if slashed || role != Student {
		return cmd, args, true
	}
	return cmd, args, plainly(v, cmd.name, args) && slices.Contains(cmd.roles, role)
}

// command finds the command that a text gives. The button of a post may be older
// than its reader's choice of a language.
func (t *turn) command(text string) (cmd command, args []string, ok bool) {
	cmd, args, ok = commandOf(t.voice, text, t.who.Role)
	if cmd.run != nil || t.msg.ReplyTo == "" || t.who.Role == Student {
		return cmd, args, ok
	}
	for _, lang := range words.Languages() {
		if c, a, found := commandOf(words.Program().In(lang), text, t.who.Role); found && c.run != nil {
			return c, a, true
		}
	}
	return cmd, args, ok
}

// called returns the word for a command in a language.
func called(v *voice, name string) string { return v.Say("called."+name, nil) }

// orderOf returns what to write in a language to give a command.
func orderOf(v *voice, name string, args ...any) string {
	return strings.TrimSpace(called(v, name) + " " + fmt.Sprintln(args...))
}

// meantBy returns the command of a role whose name is one slip of the finger away
// from what was written for it, in the language or in English; "" if there is none
// or the word is too short to tell.
func meantBy(v *voice, written string, role Role) string {
	word := []rune(words.Fold(written))
	if len(word) < 4 {
		return ""
	}
	for _, c := range commands() {
		for _, name := range []string{called(v, c.name), c.name} {
			if slices.Contains(c.roles, role) && oneSlip(word, []rune(words.Fold(name))) {
				return name
			}
		}
	}
	return ""
}

// oneSlip reports whether one letter more, less, other, or two letters changed
// about, make one word the other.
func oneSlip(a, b []rune) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	switch restA, restB := a[i:], b[i:]; {
	case len(b) == len(a)+1:
		return slices.Equal(restA, restB[1:])
	case len(a) != len(b) || len(restA) == 0:
		return false
	case slices.Equal(restA[1:], restB[1:]):
		return true
	default:
		return restA[0] == restB[1] && restA[1] == restB[0] && slices.Equal(restA[2:], restB[2:])
	}
}

// plainly reports whether a command with these arguments is meant as one though
// no slash says so.
func plainly(v *voice, name string, args []string) bool {
	switch name {
	case "progress":
		return len(args) <= 1
	case "map":
		return len(args) == 0 || len(args) == 1 && strings.Contains(args[0], "/")
	case "week":
		_, counted := number(args)
		return len(args) == 0 || counted
	case "click":
		if len(args) == 0 {
			return true
		}
		_, measured := parseMeasure(args[0])
		_, numbered := number(args[:1])
		return len(args) <= 2 && (numbered || measured)
	case "keep", "recordings", "discard":
		_, numbered := number(args)
		return len(args) == 0 || numbered
	case "best":
		return len(args) == 0 || len(args) == 1 && strings.Contains(args[0], "/")
	case "short":
		_, ok := dayMinutes(args)
		return ok
	case "with":
		_, ok := instrumentNamed(v, strings.Join(args, " "))
		return ok
	}
	return len(args) == 0
}

// obey carries out a command, or says why not.
func (t *turn) obey(cmd command, args []string) (Verdict, error) {
	if cmd.run == nil {
		if offered, err := t.offerCommand(); offered || err != nil {
			return Refused, err
		}
		return Refused, t.answer(AnswerPost, t.voice.Say("command.unknown", with{"command": clip(cmd.name, 40)}))
	}
	if !mayGive(t.who.Role, cmd.name) {
		return Refused, t.answer(AnswerPost, t.voice.Say("command.not-yours", with{"command": called(t.voice, cmd.name), "roles": roleWords(t.voice, cmd.roles)}))
	}
	return t.conclude(t.carryOut(cmd, args))
}

// offerCommand asks whether a command was meant whose name the message nearly
// begins with, and reports whether there is one.
func (t *turn) offerCommand() (offered bool, err error) {
	first, rest, _ := strings.Cut(strings.TrimPrefix(t.text, "/"), " ")
	near := meantBy(t.voice, first, t.who.Role)
	if near == "" {
		return false, nil
	}
	text := strings.TrimSpace(near + " " + rest)
	return true, t.say(Post{
		Key: t.key("near"), Kind: QuestionPost, Text: t.voice.Say("command.near", with{"command": clip(first, 40), "near": near}),
		Choices: []Choice{{Label: clip(text, 60), Text: text}},
	})
}

// carryOut does a command that its author may give, and keeps account of it.
func (t *turn) carryOut(cmd command, args []string) (Post, error) {
	args, t.doing = t.titled(args), cmd.args
	post, err := cmd.run(t, args)
	t.doing = ""
	if err != nil {
		return Post{}, fmt.Errorf("command %s: %w", cmd.name, err)
	}
	return post, t.note(cmd, args)
}

// conclude answers with a post, or with what was wrong with the command that
// should have made it.
func (t *turn) conclude(post Post, err error) (Verdict, error) {
	var wrong *UsageError
	switch {
	case errors.As(err, &wrong):
		return Refused, t.answer(AnswerPost, words.Sentence(t.voice.Phrase(wrong.Phrase)))
	case err != nil:
		return "", err
	}
	post.Key = t.key("answer")
	if post.Kind == "" {
		post.Kind = AnswerPost
	}
	if post.Kind == QuestionPost {
		return Asked, t.say(post)
	}
	return Obeyed, t.say(post)
}

func roleWords(v *voice, roles []Role) string {
	var names []string
	for _, r := range roles {
		names = append(names, v.Say("role."+string(r), nil))
	}
	return listWords(v, names)
}

// answered returns an answer in words.
func (t *turn) answered(id string, w with) (Post, error) {
	return Post{Text: t.voice.Phrase(words.Phrase{ID: id, With: w})}, nil
}

// done returns an answer in words, or the error instead.
func (t *turn) done(err error, id string, w with) (Post, error) {
	if err != nil {
		return Post{}, err
	}
	return t.answered(id, w)
}

func (t *turn) help([]string) (Post, error) {
	lines := []string{t.voice.Say("help.others", nil)}
	if t.who.Role == Student {
		lines[0] = t.voice.Say("help.student", nil)
	}
	for _, c := range commands() {
		if slices.Contains(c.roles, t.who.Role) {
			head := orderOf(t.voice, c.name, argWords(t.voice, argsFor(t.who.Role, c.args)))
			lines = append(lines, t.voice.Say("labelled", with{"label": head, "text": aboutCommand(t.voice, c.name)}))
		}
	}
	return Post{Title: t.voice.Say("help.title", nil), Text: strings.Join(lines, "\n")}, nil
}

// argsFor returns what follows a command's name when a role gives it: a student
// means herself, a teacher must name somebody.
func argsFor(r Role, args string) string {
	rest, optional := strings.CutPrefix(args, "[NAME]")
	switch {
	case optional && r == Student:
		return strings.TrimSpace(rest)
	case optional && r != Guardian:
		return "NAME" + rest
	}
	return args
}

// aboutCommand says what a command does.
func aboutCommand(v *voice, name string) string { return v.Say("about-command."+name, nil) }

// argWords names what a command takes, in the words of the language:
// "NAME [STUDY]".
func argWords(v *voice, args string) string {
	parts := strings.Fields(args)
	for i, arg := range parts {
		name := strings.Trim(arg, "[]")
		parts[i] = strings.Replace(arg, name, v.Say("arg."+strings.ToLower(name), nil), 1)
	}
	return strings.Join(parts, " ")
}

// now returns today's date where a member is.
func (s *Service) today(m *Member) routine.Date { return routine.DateOf(s.now(), m.Location()) }

// save keeps a member and sets her times anew.
func (t *turn) save(m *Member) error {
	if err := t.tx.PutMember(*m); err != nil {
		return err
	}
	return t.scheduleMember(t.tx, &t.studio, m)
}

func (t *turn) tellCommand(args []string) (Post, error) {
	m, rest, err := t.find(args, Student, Guardian)
	if err != nil {
		return Post{}, err
	}
	if len(rest) == 0 {
		return Post{}, usage("wrong.tell", with{"name": m.Name})
	}
	passed := t.wordsAfter(len(args) - len(rest))
	from := t.Service.voice(&m).Say("tell.from", with{"name": t.who.Name})
	err = t.tell(t.tx, &m, Post{Key: t.key("told"), Kind: AnswerPost, Title: from, Text: passed})
	if err != nil {
		return Post{}, err
	}
	err = t.closeQuestions(m.ID, func(q Question) bool { return q.About == toTeacher })
	return t.done(err, "tell.done", with{"name": m.Name})
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
	if n < shortestDay || n > longestDay {
		return Post{}, usage("wrong.minutes", with{"from": shortestDay, "to": longestDay, "name": m.Name})
	}
	m.Player.Minutes = n
	return t.done(t.save(&m), "day-minutes.done", with{"name": m.Name, "n": n})
}

func (t *turn) off(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	set, err := weekdays(t.voice, strings.Join(rest, ","))
	if err != nil {
		return Post{}, err
	}
	return t.done(t.setOff(&m, set), "off.done", with{"name": m.Name, "days": weekdayWords(t.voice, set)})
}

// setOff gives a student days of the week without a routine, from today on.
func (t *turn) setOff(m *Member, set routine.Weekday) error {
	today := t.Service.today(m)
	m.Off = slices.DeleteFunc(m.Off, func(o streaks.OffDays) bool { return o.From == today })
	m.Off = append(m.Off, streaks.OffDays{From: today, Off: set})
	return t.save(m)
}

// weekdays reads days of the week, in English or in the language spoken:
// "sat,sun", "Samstag", or "none".
func weekdays(v *voice, s string) (set routine.Weekday, err error) {
	if s == "none" || strings.EqualFold(s, v.Say("off.none", nil)) {
		return 0, nil
	}
	for _, word := range strings.FieldsFunc(words.Fold(s), func(r rune) bool { return r == ',' || r == ' ' }) {
		found := false
		for d := time.Sunday; d <= time.Saturday; d++ {
			own, english := words.Fold(v.Value(d)), strings.ToLower(d.String())
			if len(word) >= 2 && (strings.HasPrefix(own, word) || strings.HasPrefix(english, word)) {
				set |= 1 << d
				found = true
			}
		}
		if !found {
			return 0, usage("wrong.weekday", with{"word": clip(word, 40)})
		}
	}
	if set == 0 {
		return 0, usage("wrong.off", nil)
	}
	if set == 1<<7-1 {
		return 0, usage("wrong.all-off", nil)
	}
	return set, nil
}

func weekdayWords(v *voice, set routine.Weekday) string {
	var names []string
	for d := time.Sunday; d <= time.Saturday; d++ {
		if set&(1<<d) != 0 {
			names = append(names, v.Value(d))
		}
	}
	if len(names) == 0 {
		return v.Say("off.none", nil)
	}
	return strings.Join(names, ", ")
}

func (t *turn) excuse(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	span, rest, err := spanOf(rest, orderOf(t.voice, "excuse", m.Name))
	if err != nil {
		return Post{}, err
	}
	reason := routine.RestDay
	if len(rest) > 0 {
		reason = routine.Excuse(strings.ToLower(rest[0]))
	}
	known := []routine.Excuse{routine.Ill, routine.Travel, routine.RestDay, routine.Lesson, routine.Performance}
	switch {
	case len(rest) > 1:
		return Post{}, spare(rest[1:])
	case reason == "none":
		return t.excuseNot(&m, span)
	case !slices.Contains(known, reason):
		return Post{}, usage("wrong.excuse", with{"word": clip(string(reason), 40)})
	}
	m.Pauses = append(m.Pauses, streaks.Pause{From: span.From, To: span.To, Excuse: reason})
	if err := t.save(&m); err != nil {
		return Post{}, err
	}
	_, err = t.settle(t.tx, &t.studio, &m, span.From)
	return t.done(err, "excused.done", with{"name": m.Name, "when": span.when(t.voice), "excuse": reason})
}

// excuseNot takes back what excused a student on the dates of a span. A pause that
// has no end yet, and days on which there was no routine, stay.
func (t *turn) excuseNot(m *Member, span Span) (Post, error) {
	var left []streaks.Pause
	for _, p := range m.Pauses {
		if p.To == farFuture || p.Excuse == routine.NoRoutine {
			left = append(left, p)
			continue
		}
		for _, part := range (Span{p.From, p.To}).without(span) {
			left = append(left, streaks.Pause{From: part.From, To: part.To, Excuse: p.Excuse})
		}
	}
	m.Pauses = left
	if err := t.save(m); err != nil {
		return Post{}, err
	}
	if _, err := t.settle(t.tx, &t.studio, m, span.From); err != nil {
		return Post{}, err
	}
	return t.done(t.catchUp(t.tx, &t.studio, m), "excused.none", with{"name": m.Name, "when": span.when(t.voice)})
}

// dateOf reads a date.
func dateOf(word string) (routine.Date, error) {
	d, err := routine.ParseDate(word)
	if err != nil {
		return 0, usage("wrong.date", with{"word": clip(word, 40)})
	}
	return d, nil
}

// spanOf reads one date or two from the front of args.
func spanOf(args []string, example string) (Span, []string, error) {
	wrong := usage("wrong.span", with{"command": example})
	if len(args) == 0 {
		return Span{}, nil, wrong
	}
	from, err := dateOf(args[0])
	if err != nil {
		return Span{}, nil, err
	}
	span, args := Span{From: from, To: from}, args[1:]
	if len(args) > 0 {
		if to, err := routine.ParseDate(args[0]); err == nil {
			span.To, args = to, args[1:]
		}
	}
	switch {
	case span.To < span.From:
		return Span{}, nil, usage("wrong.span-order", with{"from": span.From.String(), "to": span.To.String()})
	case span.To > span.From+366:
		return Span{}, nil, usage("wrong.span-long", nil)
	}
	return span, args, nil
}

// when says a span in words: on a day, or from one to another.
func (s Span) when(v *voice) string {
	if s.From == s.To {
		return v.Say("chart.on", with{"date": s.From})
	}
	return v.Say("chart.span", with{"from": s.From, "to": s.To})
}

// without returns what is left of a span when the dates of another are taken out.
func (s Span) without(gone Span) (left []Span) {
	for _, part := range []Span{{s.From, min(s.To, gone.From-1)}, {max(s.From, gone.To+1), s.To}} {
		if part.From <= part.To {
			left = append(left, part)
		}
	}
	return left
}

// holiday lists the studio's holidays to come, adds one, or with “none” after a
// date takes away the one that it is in.
func (t *turn) holiday(args []string) (Post, error) {
	today := routine.DateOf(t.now(), locationOf(t.studio.Zone))
	args = t.voice.Understand(args, today)
	if len(args) == 0 {
		return t.holidays(today)
	}
	span, rest, err := spanOf(args, orderOf(t.voice, "holiday"))
	if err != nil {
		return Post{}, err
	}
	at := slices.IndexFunc(t.studio.Holidays, func(h Span) bool { return h.Contains(span.From) && h.Contains(span.To) })
	gone := len(rest) == 1 && strings.EqualFold(rest[0], "none")
	switch {
	case len(rest) > 0 && !gone:
		return Post{}, spare(rest)
	case gone && at < 0:
		return Post{}, usage("wrong.no-holiday", with{"day": span.From})
	case gone:
		span = t.studio.Holidays[at]
		t.studio.Holidays = slices.Delete(t.studio.Holidays, at, at+1)
	case at >= 0:
		return t.answered("holiday.already", with{"from": t.studio.Holidays[at].From, "to": t.studio.Holidays[at].To})
	default:
		t.studio.Holidays = append(t.studio.Holidays, span)
	}
	if err := t.tx.PutStudio(t.studio); err != nil {
		return Post{}, err
	}
	err = t.holidaysChanged(t.tx, &t.studio, span.From)
	if gone {
		return t.done(err, "holiday.gone", with{"from": span.From, "to": span.To})
	}
	return t.done(err, "holiday.done", with{"when": span.when(t.voice)})
}

// holidaysChanged counts the streaks of a studio's students anew from a date on, and
// posts the routines of today that are no longer free.
func (s *Service) holidaysChanged(tx Tx, st *Studio, from routine.Date) error {
	members, err := tx.Members(st.ID)
	if err != nil {
		return err
	}
	for _, m := range members {
		if m.Role != Student {
			continue
		}
		if _, err := s.settle(tx, st, &m, from); err != nil {
			return err
		}
		if err := s.catchUp(tx, st, &m); err != nil {
			return err
		}
	}
	return nil
}

// holidays lists the holidays that are not over.
func (t *turn) holidays(today routine.Date) (Post, error) {
	p := Post{Title: t.voice.Say("holiday.title", nil)}
	all := slices.DeleteFunc(slices.Clone(t.studio.Holidays), func(h Span) bool { return h.To < today })
	slices.SortFunc(all, func(a, b Span) int { return int(a.From - b.From) })
	for i, h := range slices.Compact(all) {
		p.Items = append(p.Items, PostItem{N: i + 1, Head: t.voice.Say("digest.title-span", with{"from": t.voice.Date(h.From), "to": t.voice.Date(h.To)})})
	}
	if len(p.Items) == 0 {
		return t.answered("holiday.none", nil)
	}
	return p, nil
}

func (t *turn) pauseCommand(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if m.Paused {
		return t.answered("pause.already", with{"name": m.Name})
	}
	m.Paused = true
	m.Pauses = append(m.Pauses, streaks.Pause{From: t.Service.today(&m), To: farFuture, Excuse: routine.RestDay})
	return t.done(t.save(&m), "pause.done", with{"name": m.Name})
}

// farFuture ends a pause that has no end yet.
var farFuture = routine.NewDate(9999, 12, 31)

func (t *turn) resume(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if !m.Paused {
		return t.answered("resume.not-paused", with{"name": m.Name})
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
	return t.done(t.catchUp(t.tx, &t.studio, &m), "resume.done", with{"name": m.Name})
}
