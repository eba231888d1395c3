package routine

// Build returns what the player of in plays on in.Date. It is pure: the same
// input gives the same routine, item for item.
//
// Some rules are never broken (common practice, all of them):
//
//   - Playing and rest together stay within the minutes of the day: the
//     player's budget, what her level bears, what she has today if that is
//     less, and a share of it after a lay-off or while something hurts. Minutes
//     already played on the date count. What was missed is never added.
//   - Items come in the order of [Skills].
//   - Strenuous items are never neighbours, and the day does not begin with one
//     if anything softer can be played.
//   - Nothing is strenuous on the third day after two hard ones, on the day of
//     a performance and the one before, within two days of a report of pain,
//     early after a lay-off, when the day was cut short, and as long as
//     something hurts.
//   - Strenuous minutes grow from week to week by no more than the player's
//     [Player.Rise].
//   - Held studies stay away, and so do lines that are left out until a date or
//     lie above the player's range, studies for an instrument that is not at
//     hand, and loud items when it must be quiet.
//   - No line comes on consecutive days, unless it was shaky or missed, is
//     pinned, or its study comes round daily.
//   - An item asks for what its pass asks for, and for what the plan adds to it
//     if the study allows that by now; its tempo is never above the goal.
//
// Among all days that keep these rules Build takes one with the highest score;
// see [Explanation] for what the score is made of. The search is exact.
//
// The catalogue and the plan are expected to have passed their checks
// ([Catalogue.Validate], [Catalogue.CheckPlan]); a study that could not pass
// them is left out, and [Explain] says so.
func Build(in Input) Routine {
	b := newBuilder(&in)
	return b.routine(b.solve())
}

// A builder holds what is known of one day while its routine is made.
type builder struct {
	in      *Input
	entries []active
	facts   []facts
	day     day

	performed  []piece // today or tomorrow
	loads      []load  // by active study
	lines      []readied
	candidates []candidate
	lengths    []length // of all candidates
	buckets    []bucket
	keyLast    map[string]Date // when each key was last played

	refuse func(refusal) // told of what was kept out, if anybody asks
}

// newBuilder reads the input and finds all candidates.
func newBuilder(in *Input) *builder { return newExplainer(in, nil) }

func newExplainer(in *Input, refuse func(refusal)) *builder {
	b := &builder{in: in, refuse: refuse, keyLast: map[string]Date{}}
	b.gather()
	b.performed = b.pieces()
	b.day = dayOf(in, b.lastPlayed)
	b.begin()
	b.ready()
	b.group()
	b.weighAll()
	b.spare()
	return b
}

// routine writes the chosen candidates down as the routine of the day.
func (b *builder) routine(s solution) Routine {
	r := Routine{
		Date: b.in.Date, Number: max(1, b.in.Number),
		Light: b.day.light, Note: b.day.note, Caution: b.in.History.Hurting,
	}
	for _, p := range b.arrange(s) {
		it := b.item(p)
		it.N = len(r.Items) + 1
		r.Minutes += it.Minutes + it.Rest
		r.Items = append(r.Items, it)
	}
	turnAbout(r.Items, b.in.Plan.interleaves)
	if len(r.Items) == 0 && r.Note.IsZero() {
		r.Note.Kind = NothingDue
	}
	return r
}

func (b *builder) item(p pick) Item {
	c := &b.candidates[p.id]
	e := &b.entries[c.entry]
	first := c.lines[0]
	it := Item{
		Book: e.book.Title, Title: e.study.Title, Study: e.plan.Study,
		Skill: e.study.Skill, Pass: first.pass, Demands: *first.demands,
		From: first.from, To: first.to,
		Minutes: c.lengths[p.length].minutes, Key: c.keys(), Reason: b.reason(c),
		Review: c.kind == review, Hard: c.hard,
		Loud: loud(e.study.Skill, *first.demands, first.line, b.day.top),
	}
	if c.kind == minute {
		it.Test, it.From, it.Notes = true, it.To, first.line.NotesInMinute(it.To)
	}
	it.Rest = restAfter(it.Skill, it.Demands, it.Hard, it.Minutes)
	for i := range c.lines {
		it.Lines = append(it.Lines, e.plan.Study.Line(c.lines[i].line.Number))
	}
	return it
}
