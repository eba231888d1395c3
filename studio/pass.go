package studio

import (
	"fmt"
	"slices"

	"ledgerline/routine"
)

// A passage is how far a student is through the pass in which a study is on her
// plan.
type passage struct {
	entry  routine.PlanEntry
	study  *routine.Study
	pass   *routine.Pass
	next   *routine.Pass // nil: it is the last
	passed int           // lines in work that have passed
	lines  int           // lines in work that lie in her range
}

// through reports whether the share of the lines that the pass wants has passed.
func (p *passage) through() bool {
	const rounding = 1e-9
	return p.lines > 0 && float64(p.passed)+rounding >= p.pass.Share*float64(p.lines)
}

// passageOf counts how far a student is with an entry of her plan; ok is false
// if the books do not have its study or pass.
func (s *Service) passageOf(m *Member, e routine.PlanEntry, standings map[routine.StandingKey]routine.Standing) (p passage, ok bool) {
	p = passage{entry: e, study: s.books(m.Studio).Study(e.Study)}
	if p.study == nil {
		return p, false
	}
	p.pass, p.next = p.study.Pass(e.Pass), p.study.Pass(e.Pass+1)
	low, high := m.Player.Range()
	for i := range p.study.Lines {
		l := &p.study.Lines[i]
		if len(e.Lines) > 0 && !slices.Contains(e.Lines, l.Number) || l.Low < low || l.High > high {
			continue
		}
		p.lines++
		if standings[routine.StandingKey{Line: e.Study.Line(l.Number), Pass: e.Pass}].State == routine.Passed {
			p.passed++
		}
	}
	return p, p.pass != nil
}

// passesDone returns the entries of a student's plan whose pass has its share
// passed, unless the teacher said to stay in it.
func (s *Service) passesDone(tx Tx, m *Member) ([]passage, error) {
	plan, err := planOf(tx, m.ID)
	if err != nil {
		return nil, err
	}
	standings, err := tx.Standings(m.ID)
	if err != nil {
		return nil, err
	}
	var done []passage
	for _, e := range plan.Entries {
		if p, ok := s.passageOf(m, e, standings); ok && p.through() && !e.Stay {
			done = append(done, p)
		}
	}
	return done, nil
}

// lineHasPassed tells the teachers, once for each pass, that the share it wants
// has passed.
func (s *Service) lineHasPassed(tx Tx, m *Member, key routine.StandingKey) error {
	done, err := s.passesDone(tx, m)
	if err != nil {
		return err
	}
	for _, p := range done {
		if p.entry.Study == key.Line.StudyRef() && p.entry.Pass == key.Pass {
			return s.tellTeachers(tx, m.Studio, func(v *voice) (Post, error) { return s.passPost(v, m, &p), nil })
		}
	}
	return nil
}

// passPost asks the teacher what comes after a pass.
func (s *Service) passPost(v *voice, m *Member, p *passage) Post {
	name := studyName(s.books(m.Studio), p.entry.Study)
	post := Post{
		Key:  Key(fmt.Sprintf("pass-done/%s/%s/%d", m.ID, p.entry.Study, p.entry.Pass)),
		Kind: AnswerPost, Member: m.ID,
		Title: v.Say("pass.title", with{"name": m.Name, "pass": p.entry.Pass, "study": name}),
		Text:  p.shareWords(v) + ".",
	}
	if p.next == nil {
		post.Text += " " + v.Say("pass.last", nil)
		post.Choices = []Choice{{Label: v.Say("pass.close", nil), Text: orderOf(v, "close", m.Name, p.entry.Study)}}
	} else {
		post.Text += "\n" + v.Say("pass.next", with{"pass": p.next.Number, "demands": passWords(v, p.next)})
		post.Choices = []Choice{{Label: v.Say("pass.open", with{"pass": p.next.Number}), Text: p.openWords(v, m)}}
	}
	post.Choices = append(post.Choices, Choice{Label: v.Say("pass.not-yet", nil), Text: orderOf(v, "stay", m.Name, p.entry.Study)})
	return post
}

// shareWords says how many lines have passed of how many.
func (p *passage) shareWords(v *voice) string {
	return v.Count("pass.share", p.lines, with{"passed": p.passed, "pass": p.entry.Pass})
}

// openWords is the command that opens the next pass.
func (p *passage) openWords(v *voice, m *Member) string {
	return orderOf(v, "open", m.Name, p.entry.Study, p.next.Number)
}

// signOff is the command that signs lines off in their pass.
func (l someLines) signOff(v *voice, name string) string {
	return orderOf(v, "sign-off", name, l, l.pass)
}

// stay lets a pass go on though its share has passed.
func (t *turn) stay(args []string) (Post, error) {
	p, e, err := t.entryOfPlan(args)
	if err != nil {
		return Post{}, err
	}
	e.Stay, e.Opens = true, 0
	return t.done(t.tx.PutPlan(p.member.ID, p.plan), "pass.stay", with{"name": p.member.Name, "pass": e.Pass, "study": p.ref})
}
