package studio

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ledgerline/routine"
)

// challenge makes a challenge, or shows, lists or ends those there are.
func (t *turn) challenge(args []string) (Post, error) {
	if len(args) == 0 {
		return Post{}, usage("wrong.challenge", with{"kinds": kindIDs(&t.studio)})
	}
	switch known(t.voice, args[0]) {
	case "kinds":
		return t.showKinds()
	case "list":
		return t.listChallenges()
	case "show":
		return t.showChallenge(args[1:])
	case "end":
		return t.endChallenge(args[1:])
	}
	k, title, err := t.kindOf(args)
	if err != nil {
		return Post{}, err
	}
	open, err := t.openChallenges()
	if err != nil {
		return Post{}, err
	}
	if slices.ContainsFunc(open, func(c Challenge) bool { return strings.EqualFold(c.Title, title) }) {
		return Post{}, usage("wrong.challenge-twice", with{"title": clip(title, 40)})
	}
	from := routine.DateOf(t.now(), locationOf(t.studio.Zone)) + 1
	c := Challenge{
		ID: ChallengeID(fmt.Sprintf("%s-%d", t.studio.ID, t.msg.Inbox)), Studio: t.studio.ID,
		Title: title, From: from, To: from + routine.Date(k.Days) - 1, Kind: k,
	}
	if err := t.setClosing(t.tx, &t.studio, &c); err != nil {
		return Post{}, err
	}
	post, err := t.done(t.tx.PutChallenge(c), "challenge.done", with{"title": c.Title, "from": c.From, "to": c.To})
	post.Text = joinLines(post.Text, t.closingWords(t.voice, &t.studio, &c))
	return post, err
}

// known returns a word of the language as the command knows it.
func known(v *voice, word string) string { return strings.ToLower(v.Understand([]string{word}, 0)[0]) }

func kindIDs(st *Studio) string {
	var ids []string
	for _, k := range st.Kinds() {
		ids = append(ids, k.ID)
	}
	return strings.Join(ids, ", ")
}

// kindOf reads which challenge is to be made: a kind, days and a goal if they are
// not the kind's own, how many teams and when it is told how it goes, and a
// title. Where the days come first it is days that are kept together.
func (t *turn) kindOf(args []string) (k Kind, title string, err error) {
	id := args[0]
	if _, isNumber := goalOf(id); isNumber {
		id = "days"
	} else {
		args = args[1:]
	}
	k, known := t.studio.kindNamed(id)
	if !known {
		return k, "", usage("wrong.challenge-kind", with{"word": clip(id, 40), "kinds": kindIDs(&t.studio)})
	}
	if len(args) > 0 {
		if n, isNumber := goalOf(args[0]); isNumber {
			if k.Days, args = int(n), args[1:]; k.Days < ShortestChallenge || k.Days > LongestChallenge {
				return k, "", usage("wrong.challenge-days", with{"from": ShortestChallenge, "to": LongestChallenge})
			}
		}
	}
	if len(args) > 0 {
		if n, isNumber := goalOf(args[0]); isNumber {
			if k.Goal, args = n, args[1:]; n < 1 || n > largestGoal || k.Measure.IsShare() && n > 100 {
				return k, "", usage("wrong.challenge-goal", with{"most": largestGoal})
			}
		}
	}
	if args, err = k.options(t.voice, args); err != nil {
		return k, "", err
	}
	if title = strings.Join(args, " "); title == "" {
		title = k.words(t.studio.Lang).Title
	}
	return k, clip(title, longestTitle), nil
}

// longestTitle is the longest title of a challenge, in characters.
const longestTitle = 80

// goalOf reads a number, with a percent sign or without.
func goalOf(word string) (n float64, ok bool) {
	n, err := strconv.ParseFloat(strings.TrimSuffix(word, "%"), 64)
	return n, err == nil && !math.IsNaN(n) && !math.IsInf(n, 0)
}

// options reads “teams 3” and “tell weekly” from the front of a title.
func (k *Kind) options(v *voice, args []string) ([]string, error) {
	for len(args) >= 2 {
		switch known(v, args[0]) {
		case "teams":
			n, err := strconv.Atoi(args[1])
			if k.Per != PerTeam || err != nil || n < FewestTeams || n > MostTeams {
				return nil, usage("wrong.challenge-teams", with{"from": FewestTeams, "to": MostTeams})
			}
			k.Teams = n
		case "tell":
			k.Progress = known(v, args[1])
			if _, _, ok := k.rhythm(); !ok {
				return nil, usage("wrong.challenge-tell", nil)
			}
		default:
			return args, nil
		}
		args = args[2:]
	}
	return args, nil
}

// showKinds shows the kinds of challenge there are.
func (t *turn) showKinds() (Post, error) {
	var lines []string
	for _, k := range t.studio.Kinds() {
		w := k.words(t.voice.Lang())
		lines = append(lines, t.voice.Say("labelled", with{"label": k.ID, "text": w.Title + ". " + w.Opening}))
	}
	return Post{Title: t.voice.Say("challenge.kinds", nil), Text: strings.Join(lines, "\n")}, nil
}

// listChallenges lists the challenges there were, the latest first.
func (t *turn) listChallenges() (Post, error) {
	all, err := t.tx.Challenges(t.studio.ID)
	if err != nil {
		return Post{}, err
	}
	var lines []string
	for _, c := range slices.Backward(all) {
		state := "runs"
		switch {
		case c.Off:
			state = "called-off"
		case c.over(t.now()):
			state = "over"
		case routine.DateOf(t.now(), locationOf(t.studio.Zone)) < c.From:
			state = "to-come"
		}
		lines = append(lines, t.voice.Say("challenge.listed", with{
			"title": c.Title, "kind": c.Kind.ID, "from": t.voice.Short(c.From), "to": t.voice.ShortDate(c.To), "state": t.voice.Say("challenge.state-"+state, nil),
		}))
	}
	if len(lines) == 0 {
		return t.answered("challenge.none", nil)
	}
	return Post{Text: strings.Join(lines[:min(len(lines), 20)], "\n")}, nil
}

// openChallenges returns the challenges that are not over.
func (t *turn) openChallenges() ([]Challenge, error) {
	all, err := t.tx.Challenges(t.studio.ID)
	return slices.DeleteFunc(all, func(c Challenge) bool { return c.over(t.now()) }), err
}

// challengeMeant finds the challenge, not over yet, that a command is about: by its
// title, else the one that the message answers, else the only one. Where there are
// several it is asked which, by the post that is returned instead.
func (t *turn) challengeMeant(order, title string) (c *Challenge, ask Post, err error) {
	open, err := t.openChallenges()
	if err != nil {
		return nil, Post{}, err
	}
	answered, err := t.challengeAnswered()
	if err != nil {
		return nil, Post{}, err
	}
	var titles []string
	for i := range open {
		titles = append(titles, open[i].Title)
		if title == "" && open[i].ID == answered || title != "" && strings.EqualFold(open[i].Title, title) {
			return &open[i], Post{}, nil
		}
	}
	switch {
	case len(open) == 0 || title == "" && answered != "":
		return nil, Post{}, usage("wrong.no-challenge", nil)
	case title != "":
		return nil, Post{}, usage("wrong.which-challenge", with{"title": clip(title, 40), "titles": strings.Join(titles, ", ")})
	case len(open) == 1:
		return &open[0], Post{}, nil
	}
	ask = Post{Kind: QuestionPost, Text: t.voice.Say("challenge.which", nil)}
	for _, title := range titles {
		ask.Choices = append(ask.Choices, Choice{Label: clip(title, 60), Text: "/" + order + " " + title})
	}
	return nil, ask, nil
}

// challengeAnswered returns the challenge that the message answers an announcement
// of; "" if none.
func (t *turn) challengeAnswered() (ChallengeID, error) {
	post, err := t.repliedTo()
	if err != nil || post == nil || post.Studio != t.studio.ID {
		return "", err
	}
	id, _ := challengeIn(post.Key)
	return id, nil
}

// showChallenge shows the teacher how a challenge goes.
func (t *turn) showChallenge(args []string) (Post, error) {
	c, ask, err := t.challengeMeant("challenge show", strings.Join(args, " "))
	if c == nil {
		return ask, err
	}
	n, err := t.count(t.tx, &t.studio, c)
	if err != nil {
		return Post{}, err
	}
	if err := t.tx.PutChallenge(*c); err != nil {
		return Post{}, err
	}
	today := routine.DateOf(t.now(), locationOf(t.studio.Zone))
	what := "so-far"
	if today < c.From {
		what = "opening"
	}
	p := t.challengePost(t.voice, &t.studio, c, &n, what, today)
	p.Kind, p.Choices = AnswerPost, nil
	p.Foot = t.closingWords(t.voice, &t.studio, c)
	if what == "opening" {
		p.Foot = ""
	}
	return p, nil
}

// endChallenge makes today the last day of a challenge, or calls it off if it has
// not begun.
func (t *turn) endChallenge(args []string) (Post, error) {
	c, ask, err := t.challengeMeant("challenge end", strings.Join(args, " "))
	if c == nil {
		return ask, err
	}
	today := routine.DateOf(t.now(), locationOf(t.studio.Zone))
	if today < c.From {
		c.Off = true
		return t.done(t.tx.PutChallenge(*c), "challenge.off", with{"title": c.Title})
	}
	if today < c.To {
		c.To = today
		if err := t.setClosing(t.tx, &t.studio, c); err != nil {
			return Post{}, err
		}
		if err := t.tx.PutChallenge(*c); err != nil {
			return Post{}, err
		}
		if err := t.announceChallenges(t.tx, &t.studio, today); err != nil {
			return Post{}, err
		}
	}
	post, err := t.answered("challenge.ends-today", with{"title": c.Title})
	post.Text = joinLines(post.Text, t.closingWords(t.voice, &t.studio, c))
	return post, err
}

// takePart has a student counted in a challenge, and shown in it by name where
// figures of members are. Her guardian may say it for her.
func (t *turn) takePart(args []string) (Post, error) {
	c, m, ask, err := t.entry("take-part", args)
	if m == nil {
		return ask, err
	}
	if !t.studio.mayLog(m) {
		return Post{}, usage("wrong.no-consent", with{"name": m.Name})
	}
	c.forget(m.ID)
	c.Joined = append(c.Joined, m.ID)
	how := "counted"
	if c.Kind.Ranking && c.Kind.Per == PerMember {
		if how = "by-name"; !c.shows(m) {
			how = "unnamed"
		}
	}
	if err := t.tx.PutChallenge(*c); err != nil {
		return Post{}, err
	}
	if t.who.Role == Guardian {
		return Post{Text: t.voice.Say("challenge.ward-"+how, with{"title": c.Title, "name": m.Name}) + " " + t.voice.Say("challenge.ward-out-how", with{"name": m.Name})}, nil
	}
	return Post{Text: t.voice.Say("challenge.joined-"+how, with{"title": c.Title}) + " " + t.voice.Say("challenge.sit-out-how", nil)}, nil
}

// sitOut has a student not counted in a challenge.
func (t *turn) sitOut(args []string) (Post, error) {
	c, m, ask, err := t.entry("sit-out", args)
	if m == nil {
		return ask, err
	}
	c.forget(m.ID)
	c.Out = append(c.Out, m.ID)
	err = t.tx.PutChallenge(*c)
	if t.who.Role == Guardian {
		return t.done(err, "challenge.ward-left", with{"title": c.Title, "name": m.Name})
	}
	return t.done(err, "challenge.left", with{"title": c.Title})
}

// entry finds the challenge that an order is about, and the student: its author, or
// the ward of a guardian's. Where there are several of one it is asked which, by the
// post that is returned instead.
func (t *turn) entry(order string, args []string) (c *Challenge, m *Member, ask Post, err error) {
	wards, args, err := t.spokenFor(args)
	if err != nil {
		return nil, nil, Post{}, err
	}
	if t.who.Role == Guardian && len(wards) == 1 {
		order += " " + wards[0].Name
	}
	c, ask, err = t.challengeMeant(order, strings.Join(args, " "))
	switch {
	case c == nil:
		return nil, nil, ask, err
	case len(wards) == 1:
		return c, &wards[0], Post{}, nil
	}
	ask = Post{Kind: QuestionPost, Text: t.voice.Say("challenge.for-whom", with{"title": c.Title})}
	for _, m := range wards {
		ask.Choices = append(ask.Choices, Choice{Label: clip(m.Name, 60), Text: "/" + order + " " + m.Name + " " + c.Title})
	}
	return nil, nil, ask, nil
}

// spokenFor returns the students for whom the author may speak of a challenge, and
// what follows in args: a student herself, the ward who is named, or all wards.
func (t *turn) spokenFor(args []string) ([]Member, []string, error) {
	if t.who.Role == Student {
		return []Member{t.who}, args, nil
	}
	members, err := t.tx.Members(t.studio.ID)
	if err != nil {
		return nil, nil, err
	}
	members = slices.DeleteFunc(members, func(m Member) bool { return m.Role != Student })
	wards := slices.DeleteFunc(slices.Clone(members), func(m Member) bool { return !t.may(&m) })
	if found, took := byName(wards, args); len(found) == 1 {
		return found, args[took:], nil
	}
	if others, _ := byName(members, args); len(others) > 0 || len(wards) == 0 {
		return nil, nil, usage("wrong.not-yours-to-enter", nil)
	}
	return wards, args, nil
}

// forget takes back what a member said of a challenge.
func (c *Challenge) forget(m MemberID) {
	other := func(id MemberID) bool { return id == m }
	c.Joined, c.Out = slices.DeleteFunc(c.Joined, other), slices.DeleteFunc(c.Out, other)
}

// unanswer takes back what a message that was deleted had said of a challenge,
// such as a reaction that was taken off again.
func (t *turn) unanswer() (done bool, err error) {
	first, err := t.tx.FirstOf(t.msg.Platform, t.msg.ID)
	if err != nil {
		return false, err
	}
	cmd, args, ok := commandOf(t.voice, first.Text, t.who.Role)
	if !ok || first.Happening != Written || cmd.name != "take-part" && cmd.name != "sit-out" {
		return false, nil
	}
	t.msg.ReplyTo = first.ReplyTo
	c, m, _, err := t.entry(cmd.name, args)
	var wrong *UsageError
	if errors.As(err, &wrong) || m == nil && err == nil {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	c.forget(m.ID)
	return true, t.tx.PutChallenge(*c)
}
