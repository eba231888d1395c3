package studio

import (
	"fmt"
	"slices"
	"strings"

	"ledgerline/routine"
)

// aheadDays is how far a digest looks ahead.
const aheadDays = 7

// opensAfter is how many days after the week of a digest the passes open that it
// announces: time enough to say no.
const opensAfter = 3

// ahead adds what the bot does in the week after a date unless it is told
// otherwise: passes that open, minute tests that are due; and what else comes.
func (s *Service) ahead(tx Tx, st *Studio, p *points, weeks []week, to routine.Date) error {
	for i := range weeks {
		p.through(&weeks[i])
	}
	for i := range weeks {
		if err := s.testsAhead(tx, p, &weeks[i].member, to); err != nil {
			return err
		}
	}
	return s.alsoAhead(tx, st, p, to)
}

// through adds the passes of a student that have their share passed.
func (p *points) through(w *week) {
	m := &w.member
	for _, through := range w.through {
		study, opens := through.entry.Study, through.entry.Opens
		share := p.voice.Say("labelled", with{"label": studyName(p.books, study), "text": through.shareWords(p.voice)})
		stay := Choice{Label: p.voice.Say("pass.not-yet", nil), Text: orderOf(p.voice, "stay", m.Name, study)}
		switch {
		case through.next == nil:
			p.add(m, p.say("digest.through", m), share+". "+p.voice.Say("pass.last", nil),
				Choice{Label: p.voice.Say("pass.close", nil), Text: orderOf(p.voice, "close", m.Name, study)}, stay)
			continue
		case opens != 0:
			share += ". " + p.voice.Say("digest.opens", with{"pass": through.next.Number, "day": opens})
		default:
			share += ". " + p.voice.Say("digest.waits", with{"pass": through.next.Number})
		}
		p.add(m, p.say("digest.through", m), share,
			Choice{Label: p.voice.Say("pass.open", with{"pass": through.next.Number}), Text: through.openWords(p.voice, m)}, stay)
	}
}

// testsAhead adds the minute tests of a student that fall due in the days after
// a date.
func (s *Service) testsAhead(tx Tx, p *points, m *Member, to routine.Date) error {
	plan, err := planOf(tx, m.ID)
	if err != nil || !slices.ContainsFunc(plan.Entries, func(e routine.PlanEntry) bool { return e.TestEvery > 0 }) {
		return err
	}
	reports, err := tx.Reports(m.ID, to-routine.LongestTestInterval, to)
	if err != nil {
		return err
	}
	tested := testedIn(reports)
	for _, e := range plan.Entries {
		due, ok := e.NextTest(tested[e.Study])
		if !ok || e.Hold || due > to+aheadDays {
			continue
		}
		due = max(due, to+1)
		p.add(m, p.say("digest.test", m), p.voice.Say("digest.test-more", with{"study": studyName(p.books, e.Study), "day": due}),
			Choice{Label: p.voice.Say("digest.as-planned", nil)},
			Choice{Label: p.voice.Say("digest.a-week-later", nil), Text: orderOf(p.voice, "test", m.Name, e.Study, due+7)})
	}
	return nil
}

// alsoAhead adds what comes in the days after a date for the whole studio.
func (s *Service) alsoAhead(tx Tx, st *Studio, p *points, to routine.Date) error {
	challenges, err := tx.Challenges(st.ID)
	if err != nil {
		return err
	}
	soon := Span{From: to + 1, To: to + aheadDays}
	var lines []string
	for _, c := range challenges {
		if c.Off {
			continue
		}
		if soon.Contains(c.From) {
			lines = append(lines, p.voice.Say("digest.challenge-begins", with{"title": c.Title, "day": c.From}))
		}
		if soon.Contains(c.To) {
			lines = append(lines, p.voice.Say("digest.challenge-ends", with{"title": c.Title, "day": c.To}))
		}
	}
	for _, h := range st.Holidays {
		if h.From <= soon.To && h.To >= soon.From {
			lines = append(lines, p.voice.Say("digest.holiday", with{"from": h.From, "to": h.To}))
		}
	}
	if len(lines) > 0 {
		p.add(nil, p.voice.Say("digest.also", nil), strings.Join(lines, "\n"), Choice{Label: p.voice.Say("digest.as-planned", nil)})
	}
	return nil
}

// promisePasses sets the dates on which the passes open that a digest up to a
// date announces: those that have their share passed and wait for a word.
func (s *Service) promisePasses(tx Tx, weeks []week, to routine.Date) error {
	for i := range weeks {
		w := &weeks[i]
		today := s.today(&w.member)
		if to < today-latestDigest || w.figures.Hurting {
			continue
		}
		plan, err := planOf(tx, w.member.ID)
		if err != nil {
			return err
		}
		for j := range w.through {
			through := &w.through[j]
			at := slices.IndexFunc(plan.Entries, func(e routine.PlanEntry) bool { return e.Study == through.entry.Study })
			if e := &plan.Entries[at]; through.next == nil || e.Opens != 0 {
				continue
			}
			plan.Entries[at].Opens = max(to, today) + opensAfter
			through.entry.Opens = plan.Entries[at].Opens
			if err := tx.PutPlan(w.member.ID, plan); err != nil {
				return err
			}
		}
	}
	return nil
}

// openPromised opens the passes whose announced date has come, as long as they
// have their share passed and the player does not hurt, and tells the student
// and the teachers.
func (s *Service) openPromised(tx Tx, st *Studio, today routine.Date) error {
	members, err := tx.Members(st.ID)
	if err != nil {
		return err
	}
	for _, m := range members {
		if m.Role != Student || m.Paused || m.Left != 0 || !st.mayLog(&m) {
			continue
		}
		done, err := s.passesDone(tx, &m)
		if err != nil {
			return err
		}
		for _, through := range done {
			e := &through.entry
			if through.next == nil || e.Opens == 0 || e.Opens > today || e.Hold {
				continue
			}
			if err := s.openOne(tx, st, &m, &through); err != nil {
				return fmt.Errorf("opening pass %d of %s for %s: %w", through.next.Number, e.Study, m.ID, err)
			}
		}
	}
	return nil
}

// openOne opens the pass after the one that a student is through.
func (s *Service) openOne(tx Tx, st *Studio, m *Member, through *passage) error {
	now, err := s.settle(tx, st, m, 0)
	if err != nil || now.hurting() {
		return err
	}
	plan, err := planOf(tx, m.ID)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(plan.Entries, func(e routine.PlanEntry) bool { return e.Study == through.entry.Study })
	opening := planned{member: *m, plan: plan, study: through.study, ref: through.entry.Study, at: at}
	opening.open(through.next.Number, s.today(m))
	if err := tx.PutPlan(m.ID, opening.plan); err != nil {
		return err
	}
	key := Key(fmt.Sprintf("opened/%s/%s/%d", m.ID, opening.ref, through.next.Number))
	if err := s.tell(tx, m, openedPost(s.voice(m), key, &opening, through.next)); err != nil {
		return err
	}
	return s.tellTeachers(tx, st.ID, func(v *voice) (Post, error) {
		return Post{Key: key, Kind: AnswerPost, Member: m.ID, Text: v.Say("open.as-announced", with{
			"name": m.Name, "study": studyName(s.books(st.ID), opening.ref), "pass": through.next.Number,
		})}, nil
	})
}

// openedPost tells a student of a pass that has opened.
func openedPost(v *voice, key Key, p *planned, pass *routine.Pass) Post {
	return Post{
		Key: key, Kind: AnswerPost,
		Title: v.Say("study-pass", with{"study": p.study.Title, "pass": pass.Number}),
		Text:  passWords(v, pass),
	}
}
