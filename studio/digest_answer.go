package studio

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"ledgerline/studio/words"
)

// A pointAnswer is what one part of a message says to one item of a digest.
type pointAnswer struct {
	n     int
	said  string // "ok", "hold", or empty for the student behind it
	words string // words to be passed on to the student, instead
}

var (
	pointWords = regexp.MustCompile(`^(\d{1,3}):\s*(.+)$`) // “4: third valve”
	pointWord  = regexp.MustCompile(`^(\d{1,3})\s*(.*)$`)  // “2 ok”, “2”
)

// readPointAnswers reads an answer to a digest, such as “2 ok, 4 hold”. What
// follows a colon is words up to the end of the line, commas and all. It is no
// answer if any part of it is none.
func readPointAnswers(v *voice, text string) (answers []pointAnswer, ok bool) {
	for line := range strings.Lines(text) {
		for rest := strings.TrimSpace(line); rest != ""; {
			if m := pointWords.FindStringSubmatch(rest); m != nil {
				n, _ := strconv.Atoi(m[1])
				answers = append(answers, pointAnswer{n: n, words: m[2]})
				break
			}
			part, after, _ := strings.Cut(rest, ",")
			a, isAnswer := readPointAnswer(v, part)
			if !isAnswer {
				return nil, false
			}
			answers, rest = append(answers, a), strings.TrimSpace(after)
		}
	}
	return answers, len(answers) > 0
}

func readPointAnswer(v *voice, part string) (a pointAnswer, ok bool) {
	m := pointWord.FindStringSubmatch(strings.Trim(part, " .!"))
	if m == nil {
		return a, false
	}
	a.n, _ = strconv.Atoi(m[1])
	switch said := strings.ToLower(m[2]); {
	case said == "":
		return a, true
	case means(v, "points.ok", said):
		a.said = "ok"
	case means(v, "points.hold", said):
		a.said = "hold"
	default:
		return a, false
	}
	return a, true
}

// means reports whether a word is among those of a message, in a language or in
// English.
func means(v *voice, id, word string) bool {
	for _, from := range []*voice{v, words.Program().In(words.English)} {
		for _, one := range strings.Split(from.Say(id, nil), ", ") {
			if words.Fold(one) == words.Fold(word) {
				return true
			}
		}
	}
	return false
}

// answerPoints takes the message as an answer to the digest that it replies to,
// or else to the last one, if it reads as one.
func (t *turn) answerPoints() (v Verdict, answered bool, err error) {
	answers, ok := readPointAnswers(t.voice, t.text)
	if !ok || !t.toUs() && t.msg.ReplyTo == "" {
		return "", false, nil
	}
	digest, err := t.digestMeant()
	if err != nil || digest == nil {
		return "", false, err
	}
	if len(answers) == 1 {
		v, err := t.conclude(t.answerPoint(digest, answers[0]))
		return v, true, err
	}
	lines, err := t.answerEach(digest, answers)
	if err != nil {
		return "", true, err
	}
	return Obeyed, true, t.answer(AnswerPost, strings.Join(lines, "\n"))
}

// answerEach does what several answers say and returns a line for each. One that
// can't be done keeps back no other.
func (t *turn) answerEach(digest *Queued, answers []pointAnswer) (lines []string, err error) {
	for i, a := range answers {
		t.part = i + 1
		post, err := t.answerPoint(digest, a)
		said := joinLines(post.Title, post.Text)
		var wrong *UsageError
		switch {
		case errors.As(err, &wrong):
			said = words.Sentence(t.voice.Phrase(wrong.Phrase))
		case err != nil:
			return nil, err
		}
		lines = append(lines, t.voice.Say("labelled", with{"label": a.n, "text": strings.TrimSpace(said)}))
	}
	t.part = 0
	return lines, nil
}

// digestsBack is how much of a conversation is looked through for the last
// digest.
const digestsBack = 300

// digestMeant returns the post with numbered points that the message replies to,
// or else the last one on its author's private line; nil if there is none.
func (t *turn) digestMeant() (*Queued, error) {
	post, err := t.repliedTo()
	if err != nil || post != nil && hasPoints(post) && post.Studio == t.studio.ID {
		return post, err
	}
	said, err := t.tx.Transcript(Address{Platform: t.msg.Platform, Account: t.msg.Author.ID}, digestsBack)
	if err != nil {
		return nil, err
	}
	for _, one := range slices.Backward(said) {
		if one.Post != nil && hasPoints(one.Post) && one.Post.Studio == t.studio.ID {
			return one.Post, nil
		}
	}
	return nil, nil
}

// hasPoints reports whether a post has items that may be answered one by one.
func hasPoints(p *Queued) bool {
	return slices.ContainsFunc(p.Items, func(it PostItem) bool { return len(it.Choices) > 0 })
}

// answerPoint does what an answer says to an item.
func (t *turn) answerPoint(digest *Queued, a pointAnswer) (Post, error) {
	i := slices.IndexFunc(digest.Items, func(it PostItem) bool { return it.N == a.n })
	if i < 0 {
		return Post{}, usage("wrong.point", with{"number": a.n, "n": len(digest.Items)})
	}
	it := &digest.Items[i]
	name := ""
	if it.Member != "" {
		m, err := t.tx.Member(it.Member)
		if err != nil {
			return Post{}, err
		}
		name = m.Name
	}
	switch {
	case name == "" && (a.words != "" || a.said == ""):
		return Post{}, usage("wrong.point-nobody", with{"number": a.n})
	case a.words != "":
		return t.obeyText("tell " + name + " " + a.words)
	case a.said == "":
		return t.obeyText("student " + name)
	case a.said == "hold" && len(it.Choices) > 1 && it.Choices[1].Text != "":
		return t.obeyText(it.Choices[1].Text)
	case a.said == "ok" && len(it.Choices) > 0 && it.Choices[0].Text != "":
		return t.obeyText(it.Choices[0].Text)
	}
	return t.answered("points.stays", with{"point": it.Head})
}

// obeyText does a command that stands for an answer.
func (t *turn) obeyText(text string) (Post, error) {
	cmd, args, ok := t.command(text)
	if !ok || cmd.run == nil {
		return Post{}, fmt.Errorf("“%s” stands for an answer and is no command", text)
	}
	if !slices.Contains(cmd.roles, t.who.Role) {
		return Post{}, usage("command.not-yours", with{"command": called(t.voice, cmd.name), "roles": roleWords(t.voice, cmd.roles)})
	}
	t.text = text
	return t.carryOut(cmd, args)
}
