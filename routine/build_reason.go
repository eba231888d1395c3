package routine

// reason returns why the candidate comes today.
func (b *builder) reason(c *candidate) Reason {
	l := &c.lines[0]
	switch c.kind {
	case pinned:
		return Reason{Kind: Pinned}
	case minute:
		return Reason{Kind: MinuteTest, N: l.line.NotesInMinute(l.to)}
	}
	if l.piece != nil {
		return Reason{Kind: l.piece.why, Keys: l.line.Key}
	}
	switch c.kind {
	case again:
		return Reason{Kind: BackSoon, Outcome: l.outcome, N: int(b.in.Date - l.last)}
	case review:
		if failed(l.stand.LastOutcome) {
			return Reason{Kind: ReviewedAgain, Outcome: l.stand.LastOutcome, N: int(b.in.Date - l.stand.Last)}
		}
		return Reason{Kind: Reviewed, N: int(b.in.Date - l.stand.Last)}
	case relapse:
		return Reason{Kind: SlippedSince, N: l.pass}
	}
	return b.turnReason(c)
}

// turnReason returns what is remarkable about a line whose turn has come.
func (b *builder) turnReason(c *candidate) Reason {
	l := &c.lines[0]
	s, step := l.stand, b.entries[c.entry].plan.Ladder
	switch {
	case l.fresh && c.keys() != "":
		return Reason{Kind: NewInKey, Keys: c.keys()}
	case l.fresh:
		return Reason{Kind: NewLine}
	case s.State == Ready:
		return Reason{Kind: ReadyToHear}
	case s.State == Slipped:
		return Reason{Kind: SlippedLower}
	case l.idle > 0:
		return Reason{Kind: BackFromAway, N: l.idle}
	case s.State == AtTempo:
		return Reason{Kind: AtTheGoal, N: s.CleanDays, Of: b.entries[c.entry].pass.CleanDays}
	case s.State == Passed:
		return Reason{Kind: KeptUp}
	case l.to.Compare(s.Mark) > 0 && l.to == l.demands.To:
		return Reason{Kind: UpToGoal}
	case l.to.Compare(s.Mark) > 0 && s.LastOutcome == Clean:
		return Reason{Kind: UpAfterClean, Step: step}
	case l.to.Compare(s.Mark) > 0:
		return Reason{Kind: UpAfterTwo, Step: step}
	case l.to.Compare(s.Mark) < 0 && s.LastOutcome == Missed:
		return Reason{Kind: DownAfterTwo, Step: step}
	case failed(s.LastOutcome):
		return Reason{Kind: WasLastTime, Outcome: s.LastOutcome}
	}
	return Reason{Kind: ComesRound}
}
