package studio

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// studyOf reads a study such as "slur-atlas/1" from the front of args.
func (t *turn) studyOf(args []string) (routine.StudyRef, []string, error) {
	books := t.books(t.studio.ID)
	if len(args) > 0 {
		book, number, _ := strings.Cut(args[0], "/")
		n, err := strconv.Atoi(number)
		ref := routine.StudyRef{Book: routine.BookID(strings.ToLower(book)), Study: n}
		if err == nil && books.Study(ref) != nil {
			return ref, args[1:], nil
		}
	}
	return routine.StudyRef{}, nil, usage("wrong.study", with{"study": exampleStudy(books)})
}

// lineOf reads a line such as "slur-atlas/1/3" from the front of args.
func (t *turn) lineOf(args []string) (routine.LineRef, []string, error) {
	var ref routine.LineRef
	books := t.books(t.studio.ID)
	if len(args) > 0 && ref.UnmarshalText([]byte(strings.ToLower(args[0]))) == nil {
		if books.Line(ref) != nil {
			return ref, args[1:], nil
		}
		if study := books.Study(ref.StudyRef()); study != nil {
			return ref, nil, usage("wrong.line-number", with{"study": ref.StudyRef(), "lines": len(study.Lines)})
		}
	}
	return ref, nil, usage("wrong.line", with{"study": exampleStudy(books)})
}

func exampleStudy(books *routine.Catalogue) string {
	for _, b := range books.Books {
		for _, s := range b.Studies {
			return routine.StudyRef{Book: b.ID, Study: s.Number}.String()
		}
	}
	return "slur-atlas/1"
}

// planned is a student's plan with the entry that a command is about.
type planned struct {
	member Member
	plan   routine.Plan
	study  *routine.Study
	ref    routine.StudyRef
	at     int // index of the study in the plan; -1: not on it
	rest   []string
}

// planOf reads a student and a study from args and finds both.
func (t *turn) planOf(args []string) (p planned, err error) {
	m, rest, err := t.member(args)
	if err != nil {
		return p, err
	}
	ref, rest, err := t.studyOf(rest)
	if err != nil {
		return p, err
	}
	p, err = t.planFor(m, ref)
	p.rest = rest
	return p, err
}

// planFor finds a study of the books on a student's plan.
func (t *turn) planFor(m Member, ref routine.StudyRef) (p planned, err error) {
	p = planned{member: m, ref: ref, study: t.books(t.studio.ID).Study(ref)}
	if p.plan, err = planOf(t.tx, m.ID); err != nil {
		return p, err
	}
	p.at = slices.IndexFunc(p.plan.Entries, func(e routine.PlanEntry) bool { return e.Study == ref })
	return p, nil
}

// entryOfPlan is planOf for a study that must be on the plan.
func (t *turn) entryOfPlan(args []string) (planned, *routine.PlanEntry, error) {
	p, err := t.planOf(args)
	if err != nil {
		return p, nil, err
	}
	return p.entry()
}

// entryFor is planFor for a study that must be on the plan.
func (t *turn) entryFor(m Member, ref routine.StudyRef) (planned, *routine.PlanEntry, error) {
	p, err := t.planFor(m, ref)
	if err != nil {
		return p, nil, err
	}
	return p.entry()
}

// entry returns the study's entry on the plan.
func (p planned) entry() (planned, *routine.PlanEntry, error) {
	if p.at < 0 {
		return p, nil, usage("wrong.not-on-plan", with{"study": p.ref, "name": p.member.Name})
	}
	return p, &p.plan.Entries[p.at], nil
}

// keep stores the plan, unless the entry that the command is about would not
// pass the checks that a plan in a file must pass. The answer is told the
// student's name and the study.
func (t *turn) keep(p *planned, id string, w with) (Post, error) {
	at := slices.IndexFunc(p.plan.Entries, func(e routine.PlanEntry) bool { return e.Study == p.ref })
	if at >= 0 {
		if no := t.unfit(&p.member, p.plan.Entries[at]); no != "" {
			return Post{}, usage("wrong.unfit", with{"why": no})
		}
	}
	all := with{"name": p.member.Name, "study": p.ref}
	maps.Copy(all, w)
	post, err := t.done(t.tx.PutPlan(p.member.ID, p.plan), id, all)
	post.Text += " " + t.voice.Say("from-next", nil)
	return post, err
}

// unfit returns what is wrong with an entry for a student's plan, or "".
func (t *turn) unfit(m *Member, e routine.PlanEntry) string {
	problems := t.books(t.studio.ID).CheckPlan(routine.Plan{Entries: []routine.PlanEntry{e}}, m.Player)
	if len(problems) == 0 {
		return ""
	}
	return unfitWords(t.voice, m, problems[0].Field)
}

// unfitWords says what is wrong with one field of a plan's entry.
func unfitWords(v *voice, m *Member, field string) string {
	switch field {
	case "together":
		return v.Say("unfit.together", nil)
	case "ladder":
		return v.Say("unfit.ladder", with{"from": routine.SmallestStep, "to": routine.LargestStep})
	case "test-every":
		return v.Say("unfit.test", with{"from": routine.ShortestTestInterval, "to": routine.LongestTestInterval})
	case "lines", "pinned":
		return v.Say("unfit.lines", with{"name": m.Name})
	case "study":
		return v.Say("unfit.study", with{"name": m.Name})
	case "lock":
		return v.Say("unfit.lock", nil)
	}
	return v.Say("unfit.demand", with{"field": field})
}

func (t *turn) openPass(args []string) (Post, error) {
	p, err := t.planOf(args)
	if err != nil {
		return Post{}, err
	}
	n := 0
	if len(p.rest) > 0 {
		n, _ = strconv.Atoi(p.rest[0])
	}
	pass := p.study.Pass(n)
	if pass == nil {
		return Post{}, usage("wrong.open", with{"study": p.ref, "passes": len(p.study.Passes), "name": p.member.Name})
	}
	if p.at >= 0 && p.plan.Entries[p.at].Pass == n {
		return t.answered("open.already", with{"name": p.member.Name, "study": p.ref, "pass": n})
	}
	standings, err := t.tx.Standings(p.member.ID)
	if err != nil {
		return Post{}, err
	}
	p.open(n, t.Service.today(&p.member))
	if now, ok := t.passageOf(&p.member, *p.opened(), standings); ok {
		p.opened().Stay = now.through() // an old pass revisited: that it is through is no news
	}
	post, err := t.keep(&p, "open.done", with{"pass": n})
	if err != nil {
		return Post{}, err
	}
	return post, t.tell(t.tx, &p.member, openedPost(t.Service.voice(&p.member), t.key("opened"), &p, pass))
}

// open puts the study on the plan in a pass, or moves it there. What was set for
// the pass before is over: the lock on its tempo and the demands added to it.
func (p *planned) open(pass int, today routine.Date) {
	if p.at < 0 {
		p.at = len(p.plan.Entries)
		p.plan.Entries = append(p.plan.Entries, routine.PlanEntry{Study: p.ref})
	}
	e := p.opened()
	e.Pass, e.Since, e.Lock, e.Add = pass, today, routine.Tempo{}, routine.Demands{}
	e.Hold, e.Stay, e.Opens = false, false, 0
}

// opened returns the entry of a study that is on the plan.
func (p *planned) opened() *routine.PlanEntry { return &p.plan.Entries[p.at] }

// passWords explains a pass to a student in two sentences.
func passWords(v *voice, p *routine.Pass) string {
	var wants []string
	for _, d := range p.Demands.List() {
		wants = append(wants, v.Value(d))
	}
	if p.Demands.Repeats > 1 {
		wants = append(wants, v.Count("pass.times", p.Demands.Repeats, nil))
	}
	if !p.Demands.To.IsZero() {
		wants = append(wants, v.Say("pass.tempo", with{"tempo": tempoPath(v, p.Demands.From, p.Demands.To)}))
	}
	said := v.Say("pass.asks", with{"demands": strings.Join(wants, ", ")}) + " "
	if days := max(p.CleanDays, 1); p.SignOff {
		said += v.Count("pass.clean-days-heard", days, nil)
	} else {
		said += v.Count("pass.clean-days", days, nil)
	}
	if p.CleanMeans != "" {
		said += " " + v.Say("pass.clean-means", with{"meaning": p.CleanMeans})
	}
	return said + "."
}

func (t *turn) closeStudy(args []string) (Post, error) {
	p, _, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	p.plan.Entries = slices.Delete(p.plan.Entries, p.at, p.at+1)
	return t.keep(&p, "close.done", nil)
}

func (t *turn) hold(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	e.Hold = true
	return t.keep(&p, "hold.done", nil)
}

func (t *turn) release(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	e.Hold = false
	return t.keep(&p, "release.done", nil)
}

func (t *turn) lock(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	if len(p.rest) == 0 {
		return Post{}, usage("wrong.lock", nil)
	}
	pass := p.study.Pass(e.Pass)
	tempo, err := tempoUpTo(p.rest[0], pass)
	if err != nil {
		return Post{}, err
	}
	e.Lock = tempo
	return t.keep(&p, "lock.done", with{"tempo": tempo})
}

// tempoOf reads a tempo such as "quarter=80".
func tempoOf(word string) (routine.Tempo, error) {
	tempo, err := routine.ParseTempo(word)
	if err != nil {
		return tempo, usage("wrong.tempo", with{"word": clip(word, 40)})
	}
	return tempo, nil
}

// tempoIn reads a tempo, or a number alone as beats of the note that a pass counts
// in.
func tempoIn(word string, pass *routine.Pass) (routine.Tempo, error) {
	if n, err := strconv.Atoi(word); err == nil && pass != nil && !pass.Demands.To.IsZero() {
		word = routine.Tempo{BPM: float64(n), Note: pass.Demands.To.Note}.String()
	}
	return tempoOf(word)
}

// tempoUpTo reads a tempo that is not above the goal of a pass.
func tempoUpTo(word string, pass *routine.Pass) (routine.Tempo, error) {
	tempo, err := tempoIn(word, pass)
	if err == nil && pass != nil && !pass.Demands.To.IsZero() && tempo.Compare(pass.Demands.To) > 0 {
		err = usage("wrong.lock-above", with{"tempo": tempo, "pass": pass.Number, "goal": pass.Demands.To})
	}
	return tempo, err
}

func (t *turn) unlock(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	e.Lock = routine.Tempo{}
	return t.keep(&p, "unlock.done", nil)
}

func (t *turn) pin(args []string) (Post, error)   { return t.setPin(args, true) }
func (t *turn) unpin(args []string) (Post, error) { return t.setPin(args, false) }

func (t *turn) setPin(args []string, pinned bool) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	line, _, err := t.lineOf(rest)
	if err != nil {
		return Post{}, err
	}
	p, e, err := t.entryFor(m, line.StudyRef())
	if err != nil {
		return Post{}, err
	}
	e.Pinned = slices.DeleteFunc(e.Pinned, func(n int) bool { return n == line.Line })
	if !pinned {
		return t.keep(&p, "pin.off", with{"line": line})
	}
	e.Pinned = append(e.Pinned, line.Line)
	return t.keep(&p, "pin.on", with{"line": line})
}

// linesOf reads lines such as "slur-atlas/1/3" or "slur-atlas/1/1-4,6" from the
// front of args, all of one study.
func (t *turn) linesOf(args []string) ([]routine.LineRef, []string, error) {
	if len(args) == 0 || strings.Count(args[0], "/") != 2 {
		_, _, err := t.lineOf(nil)
		return nil, nil, err
	}
	cut := strings.LastIndexByte(args[0], '/')
	var refs []routine.LineRef
	for _, part := range strings.Split(args[0][cut+1:], ",") {
		first, last, isRange := strings.Cut(part, "-")
		from, err1 := strconv.Atoi(first)
		to, err2 := from, error(nil)
		if isRange {
			to, err2 = strconv.Atoi(last)
		}
		if err1 != nil || err2 != nil || to < from || to-from > 200 {
			return nil, nil, usage("wrong.lines", with{"word": clip(part, 40)})
		}
		for n := from; n <= to; n++ {
			ref, _, err := t.lineOf([]string{args[0][:cut+1] + strconv.Itoa(n)})
			if err != nil {
				return nil, nil, err
			}
			refs = append(refs, ref)
		}
	}
	return refs, args[1:], nil
}

// A standingLine is a line in the pass that the student's plan has it in.
type standingLine struct {
	key routine.StandingKey
	at  routine.Standing
}

// standingsOf finds the lines a command is about and how they stand: in the pass
// named at the end, or else in that of the plan.
func (t *turn) standingsOf(args []string) (m Member, lines []standingLine, rest []string, err error) {
	if m, rest, err = t.member(args); err != nil {
		return m, nil, nil, err
	}
	refs, rest, err := t.linesOf(rest)
	if err != nil {
		return m, nil, nil, err
	}
	pass, rest, err := t.passOf(&m, refs[0].StudyRef(), rest)
	if err != nil {
		return m, nil, nil, err
	}
	for _, ref := range refs {
		key := routine.StandingKey{Line: ref, Pass: pass}
		s, err := t.tx.Standing(m.ID, key)
		if err != nil {
			return m, nil, nil, err
		}
		lines = append(lines, standingLine{key, s})
	}
	return m, lines, rest, nil
}

// passOf reads the number of a pass from the front of args; without one it is
// the pass that the student's plan has the study in.
func (t *turn) passOf(m *Member, ref routine.StudyRef, args []string) (pass int, rest []string, err error) {
	if len(args) > 0 {
		if n, err := strconv.Atoi(args[0]); err == nil {
			study := t.books(t.studio.ID).Study(ref)
			if study.Pass(n) == nil {
				return 0, nil, usage("wrong.pass", with{"study": ref, "passes": len(study.Passes)})
			}
			return n, args[1:], nil
		}
	}
	_, e, err := t.entryFor(*m, ref)
	if err != nil {
		return 0, nil, err
	}
	return e.Pass, args, nil
}

// signOff signs off all of the lines or, if one of them is not ready, none.
func (t *turn) signOff(args []string) (Post, error) {
	m, lines, rest, err := t.standingsOf(args)
	if err == nil && len(rest) > 0 {
		err = spare(rest)
	}
	if err != nil {
		return Post{}, err
	}
	var keys []routine.StandingKey
	for _, l := range lines {
		switch {
		case l.at.State == routine.Passed:
		case streaks.MaySignOff(l.at):
			keys = append(keys, l.key)
		default:
			return Post{}, usage("wrong.sign-off", with{"line": l.key.Line, "state": cmp.Or(l.at.State, routine.New), "name": m.Name})
		}
	}
	if len(keys) == 0 {
		return t.answered("sign-off.already", nil)
	}
	for _, key := range keys {
		if err := t.act(&m, key, streaks.Act{Kind: streaks.SignOff}); err != nil {
			return Post{}, err
		}
	}
	signed := byStudy(keys)[0]
	v := t.Service.voice(&m)
	err = t.tell(t.tx, &m, Post{Key: t.key("signed"), Kind: AnswerPost, Text: v.Count("sign-off.told", len(keys), with{
		"teacher": t.who.Name, "lines": signed.words(v, t.books(t.studio.ID)),
	})})
	return t.done(err, "sign-off.done", with{"name": m.Name, "lines": signed.words(t.voice, t.books(t.studio.ID))})
}

func (t *turn) moveBack(args []string) (Post, error) {
	m, lines, rest, err := t.standingsOf(args)
	if err != nil {
		return Post{}, err
	}
	a := streaks.Act{Kind: streaks.MoveBack}
	if len(rest) > 0 {
		pass := t.books(t.studio.ID).Study(lines[0].key.Line.StudyRef()).Pass(lines[0].key.Pass)
		if a.Mark, err = tempoUpTo(rest[0], pass); err != nil {
			return Post{}, err
		}
	}
	var keys []routine.StandingKey
	for _, l := range lines {
		keys = append(keys, l.key)
		if err := t.act(&m, l.key, a); err != nil {
			return Post{}, err
		}
	}
	return t.answered("move-back.done", with{"name": m.Name, "lines": byStudy(keys)[0].words(t.voice, t.books(t.studio.ID))})
}

// act logs what the teacher did to a line and folds the line again.
func (t *turn) act(m *Member, key routine.StandingKey, a streaks.Act) error {
	a.Date, a.Line, a.Pass = t.Service.today(m), key.Line, key.Pass
	if err := t.tx.AppendAct(m.ID, t.who.ID, &a); err != nil {
		return err
	}
	return t.restand(t.tx, m, key)
}

func (t *turn) again(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	today := t.Service.today(&m)
	number, err := t.nextNumber(&m, today)
	if err != nil {
		return Post{}, err
	}
	made, err := t.makeRoutine(t.tx, &t.studio, &m, today, number)
	if err == nil && !made {
		return Post{}, usage("wrong.empty-plan", with{"name": m.Name})
	}
	return t.done(err, "again.done", with{"name": m.Name})
}
