package studio

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// points gathers what a digest has to say, one item after another.
type points struct {
	voice *voice
	books *routine.Catalogue
	today routine.Date // where the studio is
	part  string       // heading of the items that come next
	items []PostItem
}

// add adds an item about a member, or about nobody, with what may be answered
// to it.
func (p *points) add(m *Member, head, detail string, answers ...Choice) {
	it := PostItem{Head: head, Detail: detail, Part: p.part, Choices: answers}
	if m != nil {
		it.Member = m.ID
	}
	p.items = append(p.items, it)
}

// urgent adds what the teacher should know first: who hurts, who has gone quiet,
// what is ready to be heard, what stands still, what was asked or not
// understood.
func (p *points) urgent(weeks []week) {
	for _, of := range []func(*week){p.hurting, p.quiet, p.ready, p.stuck, p.asked} {
		for i := range weeks {
			of(&weeks[i])
		}
	}
}

func (p *points) hurting(w *week) {
	if w.figures.Hurting {
		m := &w.member
		p.add(m, p.say("digest.hurting", m), p.voice.Say("digest.hurting-more", nil), p.askOf(m), p.pauseOf(m))
	}
}

func (p *points) quiet(w *week) {
	if q := w.figures.Quiet; q.Gone && !w.figures.Hurting {
		m := &w.member
		more := p.voice.Count("digest.quiet-more", q.Missed, with{"habit": percent(q.Habit)})
		p.add(m, p.say("digest.quiet", m), more, p.askOf(m), p.pauseOf(m))
	}
}

func (p *points) ready(w *week) {
	for _, some := range byStudy(w.figures.Ready) {
		m := &w.member
		p.add(m, p.say("digest.ready", m), some.words(p.voice, p.books),
			Choice{Label: p.voice.Say("digest.sign-off", with{"name": m.Name, "lines": linesWords(p.voice, some.lines)}), Text: some.signOff(p.voice, m.Name)},
			Choice{Label: p.voice.Say("digest.not-yet", nil)})
	}
}

func (p *points) stuck(w *week) {
	for _, st := range w.figures.Stuck {
		m := &w.member
		remedy := p.voice.Say("remedy."+strings.ReplaceAll(string(st.Try), " ", "-"), nil)
		more := p.voice.Say("digest.stuck-more", with{"lines": stuckWords(p.voice, &st, p.books), "remedy": remedy})
		p.add(m, p.say("digest.stuck", m), more, p.remedies(m, &st, remedy)...)
	}
}

// remedies offers what is suggested for lines that stand still, and to leave
// them for a week. What is up to the player is told to her as a suggestion of
// her teacher's.
func (p *points) remedies(m *Member, st *streaks.Stuck, remedy string) []Choice {
	lines := byStudy(st.Lines)[0]
	rest := Choice{Label: p.voice.Say("digest.leave-a-week", nil), Text: orderOf(p.voice, "skip", m.Name, lines, p.today+7)}
	offer := Choice{Label: remedy}
	switch st.Try {
	case streaks.LeaveAWeek:
		return []Choice{rest, {Label: p.voice.Say("digest.as-it-is", nil)}}
	case streaks.DropAndShorten:
		offer.Text = orderOf(p.voice, "move-back", m.Name, lines, lines.pass)
		if mark := marksBelow(st.Best, 2); !mark.IsZero() {
			offer.Text = orderOf(p.voice, "move-back", m.Name, lines, lines.pass, p.voice.Tempo(mark))
		}
	default:
		offer.Text = orderOf(p.voice, "tell", m.Name, p.voice.Say("digest.suggest", with{"lines": lines.words(p.voice, p.books), "remedy": remedy}))
	}
	return []Choice{offer, rest}
}

// marksBelow returns the tempo so many marks of the metronome below t; zero if
// there is none.
func marksBelow(t routine.Tempo, n int) routine.Tempo {
	for range n {
		bpm, ok := routine.PrevMark(t.BPM)
		if !ok || t.IsZero() {
			return routine.Tempo{}
		}
		t.BPM = bpm
	}
	return t
}

// asked adds what a student asked and nobody answered, and what was not
// understood.
func (p *points) asked(w *week) {
	m := &w.member
	for _, q := range w.open {
		said := with{"day": q.Day, "message": clip(q.Raw, 120)}
		seen := Choice{Label: p.voice.Say("digest.seen", nil), Text: orderOf(p.voice, "seen", m.Name, q.ID)}
		if q.About == toTeacher {
			p.add(m, p.say("digest.asks", m), p.voice.Say("digest.asks-more", said), seen)
			continue
		}
		said["about"] = aboutWords(p.voice, q.About)
		p.add(m, p.say("digest.unclear", m), p.voice.Say("digest.unclear-more", said), seen)
	}
}

// mostMovers is how many students a digest names one by one as having moved.
const mostMovers = 8

// moved adds the students whose lines moved, those who moved most first, and
// returns them in that order.
func (p *points) moved(weeks []week) []week {
	movers := slices.DeleteFunc(slices.Clone(weeks), func(w week) bool { return len(w.figures.Moves) == 0 })
	slices.SortStableFunc(movers, func(a, b week) int { return cmp.Compare(mostMarks(b.figures.Moves), mostMarks(a.figures.Moves)) })
	for i := range movers {
		m := &movers[i].member
		if i == mostMovers {
			last := &p.items[len(p.items)-1]
			last.Detail += "\n" + p.voice.Count("digest.more-movers", len(movers)-i, nil)
			break
		}
		p.add(m, p.say("digest.moved", m), movesWords(p.voice, movers[i].figures.Moves, p.books), p.pageOf(m))
	}
	return movers
}

// glance adds the whole studio in a few figures.
func (p *points) glance(weeks []week) {
	var scheduled, kept, minutes, played int
	var each []string
	for i := range weeks {
		f := &weeks[i].figures
		scheduled += f.Scheduled()
		kept += f.Days[streaks.Kept]
		minutes += f.Minutes
		if f.Days[streaks.Kept]+f.Days[streaks.Extra] > 0 {
			played++
		}
		each = append(each, weekHead(p.voice, &weeks[i]))
		each = append(each, digestHeard(p.voice, weeks[i].heard)...)
	}
	head := p.voice.Count("digest.glance", scheduled, with{"kept": kept}) + " · " +
		p.voice.Count("digest.glance-played", len(weeks), with{"played": played}) + " · " + p.voice.Say("minutes", with{"minutes": minutes})
	p.add(nil, head, strings.Join(each, "\n"), Choice{Label: p.voice.Say("digest.overview", nil), Text: orderOf(p.voice, "overview")})
}

// say says a message that names a member alone.
func (p *points) say(id string, m *Member) string { return p.voice.Say(id, with{"name": m.Name}) }

func (p *points) askOf(m *Member) Choice {
	return Choice{Label: p.say("digest.ask", m), Text: orderOf(p.voice, "ask", m.Name)}
}

func (p *points) pauseOf(m *Member) Choice {
	return Choice{Label: p.say("digest.pause", m), Text: orderOf(p.voice, "pause", m.Name)}
}

func (p *points) pageOf(m *Member) Choice {
	return Choice{Label: p.say("digest.page", m), Text: orderOf(p.voice, "student", m.Name)}
}

// number numbers the items from 1. Those that still matter say what may be
// answered; the others lose their answers.
func (p *points) number(matter bool) {
	for i := range p.items {
		it := &p.items[i]
		it.N = i + 1
		if !matter {
			it.Choices = nil
			continue
		}
		switch len(it.Choices) {
		case 1:
			it.Answers = p.voice.Say("digest.answer", with{"ok": it.Choices[0].Label})
		case 2:
			it.Answers = p.voice.Say("digest.answers", with{"ok": it.Choices[0].Label, "hold": it.Choices[1].Label})
		}
	}
}

// choices returns the first answer to each point, so that the number of a button
// is that of its point.
func (p *points) choices() (choices []Choice) {
	for i := range p.items {
		it := &p.items[i]
		if len(it.Choices) == 0 {
			return choices
		}
		choices = append(choices, Choice{Label: it.Choices[0].Label, Text: cmp.Or(it.Choices[0].Text, fmt.Sprintf("%d ok", it.N))})
	}
	return choices
}

// illustrate says which picture goes with which item: the tempo pictures come
// last, in the order of the movers.
func (p *points) illustrate(pictures []Picture, movers []week) {
	first := slices.IndexFunc(pictures, func(pic Picture) bool { return pic.Tempo != nil })
	if first < 0 {
		return
	}
	moved := p.voice.Say("digest.part-moved", nil)
	at := slices.IndexFunc(p.items, func(it PostItem) bool { return it.Part == moved })
	for i := range pictures[first:] {
		p.items[at+i].Picture = first + i + 1
	}
}

func percent(share float64) int { return int(share*100 + 0.5) }
