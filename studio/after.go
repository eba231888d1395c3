package studio

import (
	"errors"
	"regexp"
	"slices"
	"strings"

	"ledgerline/studio/words"
)

// afterCommand takes what a teacher decided in a lesson, in one message: each part of it
// is a command without the student's name, such as “open Slur Atlas 2 pass 2” or
// “25 min”, and whatever is none is a note. The next lesson's sheet has it all.
func (t *turn) afterCommand(args []string) (Post, error) {
	m, rest, err := t.named(args)
	if err != nil {
		return Post{}, err
	}
	if len(rest) == 0 {
		return Post{}, usage("wrong.after", with{"name": m.Name, "study": exampleStudy(t.books(t.studio.ID))})
	}
	return t.decide(&m, t.wordsAfter(len(args)-len(rest)))
}

// afterLesson takes a reply to a lesson's sheet as what was decided in the lesson,
// unless it is a command that names a student or an answer to the sheet's points.
func (t *turn) afterLesson() (v Verdict, answered bool, err error) {
	m, answered, err := t.lessonAnswered()
	if !answered || err != nil {
		return "", false, err
	}
	v, err = t.conclude(t.decide(&m, t.text))
	return v, true, err
}

// lessonAnswered returns the student of the lesson whose sheet the message replies to
// with what was decided.
func (t *turn) lessonAnswered() (m Member, answered bool, err error) {
	if !slices.Contains(teaching, t.who.Role) {
		return m, false, nil
	}
	post, err := t.repliedTo()
	if err != nil || post == nil || post.Kind != LessonPost || post.Studio != t.studio.ID {
		return m, false, err
	}
	if _, isAnswer := readPointAnswers(t.voice, t.text); isAnswer {
		return m, false, nil
	}
	if cmd, args, ok := t.command(t.text); ok {
		if _, _, err := t.member(args); err == nil || !settles(cmd.name) {
			return m, false, nil
		}
	}
	m, err = t.tx.Member(post.Member)
	return m, err == nil, err
}

// decide does each part of what was decided about a student, and says of each what
// came of it. One that can't be done keeps back no other.
func (t *turn) decide(m *Member, text string) (Post, error) {
	return t.decideEach(m, t.decisions(text), nil)
}

// decideEach does parts of what was decided about a student, after lines that say
// what was done before.
func (t *turn) decideEach(m *Member, parts []decision, lines []string) (Post, error) {
	for i, part := range parts {
		t.part = i + 1
		post, err := t.obeyText(part.command(t.voice, m.Name))
		var wrong *UsageError
		switch {
		case errors.As(err, &wrong):
			post.Text = words.Sentence(t.voice.Phrase(wrong.Phrase))
		case err != nil:
			return Post{}, err
		}
		lines = append(lines, t.resultOf(&part, oneLine(post.Text)))
	}
	t.part = 0
	return Post{Title: t.voice.Say("after.title", with{"name": m.Name}), Text: strings.Join(lines, "\n")}, nil
}

// resultOf says what came of a part of what was decided.
func (t *turn) resultOf(part *decision, what string) string {
	return t.voice.Say("quoted", with{"words": part.text}) + " " + what
}

// A decision is one part of what was decided: a command with its arguments, or
// words alone, which are a note.
type decision struct {
	text string
	cmd  string
	args string
}

// command returns the command that a decision stands for.
func (d *decision) command(v *voice, name string) string {
	if d.cmd == "" {
		return orderOf(v, "note", name, d.text)
	}
	return orderOf(v, d.cmd, name, d.args)
}

// decisions parts a text at its lines, semicolons and commas. Notes that are
// neighbours on a line stay together.
func (t *turn) decisions(text string) (all []decision) {
	for line := range strings.Lines(strings.ReplaceAll(text, ";", "\n")) {
		begin := len(all)
		for i, part := range strings.Split(strings.TrimSpace(line), ", ") {
			d := t.decision(strings.Trim(part, " ,"))
			switch last := len(all) - 1; {
			case d.text == "":
			case i > 0 && last >= begin && d.cmd == "" && all[last].cmd == "":
				all[last].text += ", " + d.text
			case i > 0 && last >= begin && strings.Trim(d.text, "0123456789-–") == "":
				all[last] = t.decision(all[last].text + ", " + d.text)
			default:
				all = append(all, d)
			}
		}
	}
	return all
}

var (
	minutesOnly = regexp.MustCompile(`(?i)^(\d+) ?min\S*$`)
	passOnly    = regexp.MustCompile(`^(\S+/\d+) (\d+)$`)
)

// decision reads one part. What is meant as a command begins as one and has a
// number, or is minutes, a study in a pass or a study at a tempo alone.
func (t *turn) decision(part string) decision {
	d := decision{text: part}
	named := strings.Join(t.titled(strings.Fields(strings.TrimRight(part, "."))), " ")
	tempoOnly := regexp.MustCompile(`(?i)^(\S+/\d+) (?:` + wordsFor(t.voice, "meant.at") + `) (\S*\d+)$`)
	cmd, args, ok := t.command(named)
	switch {
	case ok && settles(cmd.name) && (cmd.name == "off" || strings.ContainsAny(part, "0123456789")):
		d.cmd, d.args = cmd.name, strings.Join(args, " ")
	case minutesOnly.MatchString(named):
		d.cmd, d.args = "minutes", minutesOnly.FindStringSubmatch(named)[1]
	case passOnly.MatchString(named):
		d.cmd, d.args = "open", named
	case tempoOnly.MatchString(named):
		d.cmd, d.args = "lock", tempoOnly.ReplaceAllString(named, "$1 $2")
	}
	return d
}

// wordsFor returns the words of a message, in a language and in English, as the
// alternatives of a pattern.
func wordsFor(v *voice, id string) string {
	all := strings.Split(v.Say(id, nil)+", "+words.Program().In(words.English).Say(id, nil), ", ")
	for i, word := range all {
		all[i] = regexp.QuoteMeta(word)
	}
	return strings.Join(all, "|")
}

// titled puts studies and lines that are called by their titles into the form that
// commands take: “Slur Atlas 2 lines 1-3 pass 2” is slur-atlas/2/1-3 2.
func (t *turn) titled(args []string) []string {
	text := strings.Join(args, " ")
	lines := `(?:,? (?:` + wordsFor(t.voice, "meant.line") + `) ?(\d+(?:(?:[-–]|, ?)\d+)*))?`
	pass := `(?:,? (?:` + wordsFor(t.voice, "meant.pass") + `) (\d+))?`
	for _, b := range t.books(t.studio.ID).Books {
		name := regexp.QuoteMeta(strings.TrimPrefix(b.Title, "The ")) + " |" + regexp.QuoteMeta(string(b.ID)) + "/"
		study := regexp.MustCompile(`(?i)(?:\bthe )?\b(?:` + name + `)(\d+)` + lines + pass)
		text = study.ReplaceAllStringFunc(text, func(found string) string {
			m := study.FindStringSubmatch(found)
			ref := string(b.ID) + "/" + m[1]
			if m[2] != "" {
				ref += "/" + strings.NewReplacer("–", "-", " ", "").Replace(m[2])
			}
			return strings.TrimSpace(ref + " " + m[3])
		})
	}
	return strings.Fields(text)
}
