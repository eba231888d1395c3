package studio

import (
	"fmt"
	"slices"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/streaks"
)

// oldestReply is how many days back a reply may speak of.
const oldestReply = 30

// entriesOf returns what a reading puts into the log about the items of a
// routine. before holds the entries that stand for its date already: what the
// whole-day words cover leaves them alone, and a correction supersedes them.
// Those about an item of an earlier routine of the date that only had the number
// of another now are not meant.
func entriesOf(rd *reply.Reading, r *routine.Routine, before []routine.Entry) []routine.Entry {
	said := map[int]bool{}
	before = slices.DeleteFunc(slices.Clone(before), func(e routine.Entry) bool { return !about(&e, r.Item(e.Item)) })
	for _, e := range before {
		said[e.Item] = true
	}
	var entries []routine.Entry
	for _, it := range rd.Items {
		if item := r.Item(it.N); item != nil {
			e := entryOf(it, item, r.Date)
			if rd.Kind == reply.Correction {
				e = corrected(e, it, before)
			}
			entries = append(entries, e)
			said[it.N] = true
		}
	}
	if rd.All == reply.All {
		for i := range r.Items {
			if item := &r.Items[i]; !said[item.N] {
				entries = append(entries, entryOf(reply.Item{N: item.N, Outcome: routine.Done}, item, r.Date))
			}
		}
	}
	return entries
}

// about reports whether an entry is about an item: it shares a line with it.
func about(e *routine.Entry, it *routine.Item) bool {
	return it != nil && e.Item == it.N &&
		slices.ContainsFunc(e.Lines, func(l routine.LineRef) bool { return slices.Contains(it.Lines, l) })
}

// entryOf returns the entry for what was said of one item. A tempo that was not
// said is the routine's own, since that is what was to be played.
func entryOf(it reply.Item, item *routine.Item, date routine.Date) routine.Entry {
	e := routine.Entry{
		Date: date, Item: item.N, Lines: item.Lines, Pass: item.Pass, Hard: item.Hard,
		Outcome: it.Outcome, Reps: it.Reps, Of: it.Of, Minutes: it.Minutes, Given: item.Minutes, Remark: it.Remark,
		Test: item.Test, Articulation: item.Demands.Articulation, Fingering: item.Demands.Fingering,
	}
	if item.Test {
		e.Outcome = testOutcome(e.Outcome, e.Remark)
	}
	switch {
	case it.Tempo != nil:
		e.From, e.To, e.Approx = it.Tempo.Began(), it.Tempo.Reached(), it.Tempo.Approx
	case it.Outcome.Played():
		e.To = item.To
	}
	return e
}

// corrected returns the entry e of a correction, which takes over what it does
// not mention from the entry it corrects.
func corrected(e routine.Entry, it reply.Item, before []routine.Entry) routine.Entry {
	for _, old := range before {
		if old.Item != e.Item {
			continue
		}
		e.Supersedes = old.Seq
		if it.Outcome == "" {
			e.Outcome = old.Outcome
		}
		if it.Tempo == nil && e.Outcome.Played() && !old.To.IsZero() {
			e.From, e.To, e.Approx = old.From, old.To, old.Approx
		}
		if it.Minutes == 0 {
			e.Minutes = old.Minutes
		}
		if it.Reps == 0 {
			e.Reps, e.Of = old.Reps, old.Of
		}
		if it.Remark == "" {
			e.Remark = old.Remark
		}
	}
	if e.Outcome == "" {
		e.Outcome = routine.Done
	}
	return e
}

// dayOf returns what a reading says of the whole day.
func dayOf(rd *reply.Reading, entries []routine.Entry) routine.DayReport {
	d := routine.DayReport{
		Date: rd.Day, Minutes: rd.Minutes, Feel: rd.Feel,
		Pain: rd.Pain, PainGone: rd.PainGone, Excuse: rd.Excused,
		Played: rd.All == reply.All || rd.All == reply.Partly || rd.Minutes > 0,
	}
	for _, e := range entries {
		d.Played = d.Played || e.Outcome.Played()
	}
	return d
}

// log puts a report into the log and moves what is derived from it.
func (t *turn) log(day routine.DayReport, entries []routine.Entry) error {
	r := Report{Member: t.who.ID, Inbox: t.msg.Inbox, At: t.msg.At, Day: day, Entries: entries}
	if err := t.tx.AppendReport(&r); err != nil {
		return fmt.Errorf("logging a report: %w", err)
	}
	for _, e := range r.Entries {
		if err := t.foldEntry(e); err != nil {
			return err
		}
	}
	var err error
	t.after, err = t.settle(t.tx, &t.studio, &t.who, day.Date)
	return err
}

// withdrawn moves what was derived from reports that no longer hold.
func (t *turn) withdrawn(reports []Report) error {
	for _, r := range reports {
		for _, e := range r.Entries {
			for _, line := range e.Lines {
				if err := t.restand(t.tx, &t.who, routine.StandingKey{Line: line, Pass: e.Pass}); err != nil {
					return err
				}
			}
		}
		if _, err := t.settle(t.tx, &t.studio, &t.who, r.Day.Date); err != nil {
			return err
		}
	}
	return nil
}

// foldEntry moves the standings of an entry's lines. An entry of today is the
// last word and is folded on top of what is there; any other has its place
// further back, and the line is folded again from the log.
func (t *turn) foldEntry(e routine.Entry) error {
	last := e.Supersedes == 0 && e.Date == routine.DateOf(t.now(), t.who.Location())
	for _, line := range e.Lines {
		key := routine.StandingKey{Line: line, Pass: e.Pass}
		old, err := t.tx.Standing(t.who.ID, key)
		if err != nil {
			return err
		}
		rule, known := t.rule(t.who.Studio, key)
		switch {
		case !known:
		case last && old.Last <= e.Date:
			err = t.stepOn(key, old, e, rule)
		default:
			err = t.restand(t.tx, &t.who, key)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// stepOn adds today's last word on a line to how it stands and to its bests.
func (t *turn) stepOn(key routine.StandingKey, old routine.Standing, e routine.Entry, rule streaks.Rule) error {
	bests, err := t.tx.LineBests(t.who.ID, key)
	if err != nil {
		return err
	}
	return t.putStanding(t.tx, &t.who, key, old, streaks.Apply(old, e, rule), streaks.AddBest(bests, e, key.Line))
}

// restand folds one line of a member again from the whole log.
func (s *Service) restand(tx Tx, m *Member, key routine.StandingKey) error {
	rule, known := s.rule(m.Studio, key)
	if !known {
		return nil
	}
	entries, err := tx.LineEntries(m.ID, key.Line, key.Pass)
	if err != nil {
		return err
	}
	acts, err := tx.LineActs(m.ID, key.Line, key.Pass)
	if err != nil {
		return err
	}
	before, err := tx.Standing(m.ID, key)
	if err != nil {
		return err
	}
	return s.putStanding(tx, m, key, before, streaks.Stand(entries, acts, rule), streaks.Bests(entries, key.Line))
}

// putStanding keeps how a line stands, and its bests. Once it has passed, the share that its
// pass wants may have.
func (s *Service) putStanding(tx Tx, m *Member, key routine.StandingKey, before, now routine.Standing, bests []streaks.Best) error {
	if err := tx.PutStanding(m.ID, key, now); err != nil {
		return err
	}
	if err := tx.PutBests(m.ID, key, bests); err != nil {
		return err
	}
	if now.State != routine.Passed || before.State == routine.Passed {
		return nil
	}
	return s.lineHasPassed(tx, m, key)
}

// rule returns what a pass wants of a line, if the studio's books have it.
func (s *Service) rule(id StudioID, key routine.StandingKey) (streaks.Rule, bool) {
	study := s.books(id).Study(key.Line.StudyRef())
	if study == nil {
		return streaks.Rule{}, false
	}
	pass := study.Pass(key.Pass)
	if pass == nil {
		return streaks.Rule{}, false
	}
	return streaks.RuleOf(*pass), true
}
