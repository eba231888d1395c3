package routine

import (
	"slices"
	"strings"
)

// An active is a plan's entry whose study may be played today.
type active struct {
	plan       *PlanEntry
	book       *Book
	study      *Study
	pass       *Pass
	demands    Demands // of the pass, with what the plan adds
	importance int     // per thousand
	skill      int     // place of the study's skill among all
	block      int     // place of the study's skill in the day

	// resting counts the lines in rotation that don't come by it today because
	// they were played a day or two ago: the soft ones and the strenuous.
	resting [2]int
}

// A facts is what is known of one line of an active study.
type facts struct {
	entry  int // index of the active study
	at     int // place of the line in the study, from 0
	line   *Line
	work   bool     // among the lines in work
	pinned bool     //
	begins bool     // there is room for it, if it is new
	cost   int      // thousandths of a minute that it takes each time round; 0: none
	now    Standing // in the pass of the plan

	// earlier is the standing in the first pass before that one in which the
	// line waits for a review or has slipped, and earlierPass is that pass;
	// nil if there is none.
	earlier     Standing
	earlierPass *Pass

	last    Date    // when the line was last played, in any of these passes
	outcome Outcome // what became of it then
}

// A refusal is why a line, or a whole study if line is 0, is no candidate.
type refusal struct {
	study StudyRef
	line  int
	pass  int
	why   Reason
}

// gather looks up everything the standings say about the plan's lines.
func (b *builder) gather() {
	b.entries = make([]active, 0, len(b.in.Plan.Entries))
	size := 0
	for i := range b.in.Plan.Entries {
		p := &b.in.Plan.Entries[i]
		if e, why := b.activate(p, i); !why.IsZero() {
			b.keepOut(refusal{study: p.Study, pass: p.Pass, why: why})
		} else {
			b.entries = append(b.entries, e)
			size += len(e.study.Lines)
		}
	}
	b.facts = make([]facts, 0, size)
	for i := range b.entries {
		for at := range b.entries[i].study.Lines {
			b.facts = append(b.facts, b.factsOf(i, at))
		}
	}
}

func (b *builder) keepOut(r refusal) {
	if b.refuse != nil {
		b.refuse(r)
	}
}

// activate returns the study of the plan's nth entry, or why it isn't played.
func (b *builder) activate(p *PlanEntry, n int) (e active, why Reason) {
	e = active{plan: p, book: b.in.Catalogue.Book(p.Study.Book), study: b.in.Catalogue.Study(p.Study)}
	if e.study == nil {
		return e, Reason{Kind: NotInCatalogue}
	}
	e.skill, e.block = slices.Index(skills[:], e.study.Skill), e.study.Skill.Place()
	if e.block < 0 || e.study.Cycle < 1 || e.study.Together < 1 {
		return e, Reason{Kind: StudyIncomplete}
	}
	if slices.ContainsFunc(b.entries, func(other active) bool { return other.plan.Study == p.Study }) {
		return e, Reason{Kind: TwiceOnPlan}
	}
	if e.pass = e.study.Pass(p.Pass); e.pass == nil {
		return e, Reason{Kind: NoSuchPass}
	}
	if p.Hold {
		return e, Reason{Kind: Held}
	}
	hand := b.in.Instrument
	if hand == "" {
		hand = b.in.Player.Instrument
	}
	if p.Instrument != "" && !strings.EqualFold(p.Instrument, hand) {
		return e, Reason{Kind: NeedsInstrument, Text: p.Instrument}
	}
	e.demands = e.study.allowed(e.pass.Demands.with(p.Add), p.Pass)
	e.importance = importanceOf(p, n, b.in.Date)
	return e, Reason{}
}

// together returns how many neighbouring lines make one item.
func (e *active) together() int {
	if e.plan.Together > 0 {
		return e.plan.Together
	}
	return e.study.Together
}

// importanceOf weighs the nth entry of a plan, per thousand: each place down
// the plan counts 80 less, to no less than half, and the last four weeks before
// a target date raise it by up to three tenths.
func importanceOf(p *PlanEntry, n int, date Date) int {
	const nearing = 28
	w := max(500, 1000-80*n)
	if left := int(p.Target - date); p.Target != 0 && left < nearing {
		w += w * 3 * (nearing - max(0, left)) / (10 * nearing)
	}
	return w
}

// with returns d with everything that more sets in place of d's own. A goal in
// more counts only if it is slower.
func (d Demands) with(more Demands) Demands {
	for _, c := range [...]struct{ to, from *Demand }{
		{&d.Dynamic, &more.Dynamic}, {&d.Breath, &more.Breath},
		{&d.Fingering, &more.Fingering}, {&d.Articulation, &more.Articulation},
	} {
		if *c.from != "" {
			*c.to = *c.from
		}
	}
	if more.Repeats > 0 {
		d.Repeats = more.Repeats
	}
	if !more.From.IsZero() {
		d.From = more.From
	}
	if !more.To.IsZero() && (d.To.IsZero() || more.To.Compare(d.To) < 0) {
		d.To = more.To
	}
	return d
}

// allowed returns d without the demands that the study first allows after the
// given pass.
func (s *Study) allowed(d Demands, pass int) Demands {
	for _, x := range [...]*Demand{&d.Dynamic, &d.Breath, &d.Fingering, &d.Articulation} {
		if s.First[*x] > pass {
			*x = ""
		}
	}
	return d
}

func (b *builder) factsOf(entry, at int) facts {
	e := &b.entries[entry]
	f := facts{entry: entry, at: at, line: &e.study.Lines[at]}
	f.work = len(e.plan.Lines) == 0 || slices.Contains(e.plan.Lines, f.line.Number)
	f.pinned = slices.Contains(e.plan.Pinned, f.line.Number)
	key := StandingKey{Line: e.plan.Study.Line(f.line.Number), Pass: e.plan.Pass}
	f.now = b.in.Standings[key]
	f.last, f.outcome = f.now.Last, f.now.LastOutcome
	for i := range e.study.Passes {
		p := &e.study.Passes[i]
		if key.Pass = p.Number; key.Pass >= e.plan.Pass {
			break
		}
		s, known := b.in.Standings[key]
		if !known {
			continue
		}
		if s.Last > f.last {
			f.last, f.outcome = s.Last, s.LastOutcome
		}
		if f.earlierPass == nil && s.returns(p, b.in.Date) {
			f.earlier, f.earlierPass = s, p
		}
	}
	if k := f.line.Key; k != "" && f.last > b.keyLast[k] {
		b.keyLast[k] = f.last
	}
	return f
}

// returns reports whether a line that stands so in a pass left behind comes
// back in it: its review is due, or it slipped, or it is on its way back to the
// goal it was clean at once. Lines that never got there stay behind.
func (s *Standing) returns(p *Pass, date Date) bool {
	if s.State == Passed {
		return s.Due != 0 && s.Due <= date
	}
	return s.State == Slipped || (s.Plays > 0 && s.Best.Compare(p.Demands.To) >= 0)
}

// lastPlayed returns the last date before the given one on which a line of the
// plan was played, as far as the standings still tell; 0 for none.
func (b *builder) lastPlayed(before Date) Date {
	var last Date
	for i := range b.facts {
		if d := b.facts[i].last; d < before {
			last = max(last, d)
		}
	}
	return last
}
