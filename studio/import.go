package studio

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// errTrial ends a transaction of which nothing is to be kept.
var errTrial = errors.New("only a trial")

// ImportStudio puts an exported studio into the store, which must have neither it
// nor a member of such an id, and reads it back to compare; all of it or nothing.
// With keep false nothing is kept: it only says whether it could be. From then on
// the studio's work goes on where it was when the export was made. Of the log,
// what was said before can be corrected by a new reply, and no longer by editing
// the old one. What teachers signed off is laid to the first of them.
func (s *Service) ImportStudio(ctx context.Context, x *StudioExport, keep bool) error {
	id := x.Studio.ID
	err := s.store.Update(ctx, func(tx Tx) error {
		if err := tx.Claim(id); err != nil {
			return err
		}
		if _, err := tx.Studio(id); err == nil || !isNotFound(err) {
			return cmp.Or(err, fmt.Errorf("there is a studio %q already; import into another database", id))
		}
		if err := x.put(tx); err != nil {
			return err
		}
		back, err := gatherStudio(tx, id)
		if err == nil {
			err = sameStudio(x, &back)
		}
		if err == nil && !keep {
			err = errTrial
		}
		return err
	})
	if errors.Is(err, errTrial) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("importing studio %q: %w", id, err)
	}
	return nil
}

func (x *StudioExport) put(tx Tx) error {
	if err := x.free(tx); err != nil {
		return err
	}
	if err := tx.PutStudio(x.Studio); err != nil {
		return err
	}
	for _, c := range x.Challenges {
		if err := tx.PutChallenge(c); err != nil {
			return err
		}
	}
	for i := range x.Members {
		if err := tx.PutMember(x.Members[i].Member); err != nil {
			return err
		}
	}
	teacher := x.teacher()
	for i := range x.Members {
		if err := x.Members[i].put(tx, teacher); err != nil {
			return fmt.Errorf("member %s: %w", x.Members[i].Member.ID, err)
		}
	}
	for _, d := range x.Deeds {
		d.ID = 0
		if err := tx.PutDeed(&d); err != nil {
			return err
		}
	}
	for _, d := range x.Due {
		if err := tx.PutDue(d); err != nil {
			return err
		}
	}
	for name, value := range x.Marks {
		if err := tx.PutMark(name, value); err != nil {
			return err
		}
	}
	return nil
}

// free says what of a studio another one in the store has already.
func (x *StudioExport) free(tx Tx) error {
	for _, at := range x.Studio.Places() {
		if other, err := tx.StudioAt(at); err == nil {
			return fmt.Errorf("channel %s of %s belongs to studio %q; give one of them another", at.Channel, at.Platform, other.ID)
		} else if !isNotFound(err) {
			return err
		}
	}
	for _, e := range x.Members {
		if other, err := tx.Member(e.Member.ID); err == nil {
			return fmt.Errorf("a member with the id %q is in studio %q; ids are for one person alone", e.Member.ID, other.Studio)
		} else if !isNotFound(err) {
			return err
		}
	}
	return nil
}

// teacher returns the first teacher of a studio, or its first member.
func (x *StudioExport) teacher() MemberID {
	var members []Member
	for _, e := range x.Members {
		members = append(members, e.Member)
	}
	return firstTeacher(members)
}

func firstTeacher(members []Member) MemberID {
	i := slices.IndexFunc(members, func(m Member) bool { return m.Role == Teacher })
	if len(members) == 0 {
		return ""
	}
	return members[max(i, 0)].ID
}

// put puts what is of a member who is in the store; teacher is who signed off.
func (e *MemberExport) put(tx Tx, teacher MemberID) error {
	m := e.Member.ID
	if len(e.Plan.Entries) > 0 {
		if err := tx.PutPlan(m, e.Plan); err != nil {
			return err
		}
	}
	for _, r := range e.Routines {
		if err := tx.PutRoutine(m, r); err != nil {
			return err
		}
	}
	if err := e.putLog(tx, teacher); err != nil {
		return err
	}
	if err := e.putStandings(tx); err != nil {
		return err
	}
	for _, q := range e.Questions {
		q.ID, q.Inbox = 0, 0
		if err := tx.PutQuestion(&q); err != nil {
			return err
		}
	}
	for date, wish := range e.Wishes {
		if err := tx.PutMark(wishMarks(m)+date, string(wish)); err != nil {
			return err
		}
	}
	return tx.PutStreak(m, e.Streak)
}

// putLog appends reports and acts in the order in which they came.
func (e *MemberExport) putLog(tx Tx, teacher MemberID) error {
	var acts []streaks.Act
	for _, l := range e.Standings {
		acts = append(acts, l.Acts...)
	}
	slices.SortFunc(acts, func(a, b streaks.Act) int { return cmp.Compare(a.Seq, b.Seq) })
	putActs := func(before int64) error {
		for len(acts) > 0 && (before == 0 || acts[0].Seq < before) {
			act := acts[0]
			act.Seq = 0
			if err := tx.AppendAct(e.Member.ID, teacher, &act); err != nil {
				return err
			}
			acts = acts[1:]
		}
		return nil
	}
	for _, r := range e.Log {
		if err := putActs(r.Day.Seq); err != nil {
			return err
		}
		report := Report{Member: e.Member.ID, At: r.At, Day: r.Day, Entries: slices.Clone(r.Entries)}
		for i := range report.Entries {
			report.Entries[i].Supersedes = 0 // what it took the place of is not in the export
		}
		if err := tx.AppendReport(&report); err != nil {
			return err
		}
	}
	return putActs(0)
}

func (e *MemberExport) putStandings(tx Tx) error {
	for _, l := range e.Standings {
		key := routine.StandingKey{Pass: l.Pass}
		if err := key.Line.UnmarshalText([]byte(l.Line)); err != nil {
			return err
		}
		if err := tx.PutStanding(e.Member.ID, key, l.Standing); err != nil {
			return err
		}
		entries, err := tx.LineEntries(e.Member.ID, key.Line, key.Pass)
		if err == nil {
			err = tx.PutBests(e.Member.ID, key, streaks.Bests(entries, key.Line))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// sameStudio compares two exports of a studio but for numbers that a store gives,
// and says where they differ.
func sameStudio(a, b *StudioExport) error {
	one, other := plain(a), plain(b)
	for _, name := range slices.Sorted(maps.Keys(one)) {
		if one[name] != other[name] {
			return fmt.Errorf("%s does not read back as it was: nothing is imported", name)
		}
	}
	if len(one) != len(other) {
		return errors.New("more reads back than was imported: nothing is imported")
	}
	return nil
}

// plain returns the parts of an export as JSON, without what a store numbers.
func plain(x *StudioExport) map[string]string {
	parts := map[string]string{}
	put := func(name string, v any) {
		text, _ := json.Marshal(v)
		var tree any
		_ = json.Unmarshal(text, &tree)
		text, _ = json.Marshal(unnumbered(tree))
		parts[name] = string(text)
	}
	put("the studio", x.Studio)
	put("its challenges", x.Challenges)
	put("its deeds", x.Deeds)
	put("what is due", x.Due)
	for _, e := range x.Members {
		put("member "+string(e.Member.ID), e)
	}
	return parts
}

// unnumbered takes the numbers that a store gives out of a tree of JSON, and what
// refers to them.
func unnumbered(tree any) any {
	switch t := tree.(type) {
	case map[string]any:
		for _, name := range []string{"seq", "supersedes", "inbox"} {
			delete(t, name)
		}
		if _, isNumber := t["id"].(float64); isNumber {
			delete(t, "id")
		}
		for name := range t {
			t[name] = unnumbered(t[name])
		}
	case []any:
		for i := range t {
			t[i] = unnumbered(t[i])
		}
	}
	return tree
}

// ImportMember puts a member from an export of hers into a studio of the store,
// which must not know her id: her plan, routines, log and what follows from it.
// What she wrote is not taken. The days since the export cost her nothing. With
// keep false nothing is kept.
func (s *Service) ImportMember(ctx context.Context, into StudioID, x *Export, keep bool) error {
	err := s.store.Update(ctx, func(tx Tx) error {
		if err := tx.Claim(into); err != nil {
			return err
		}
		st, err := tx.Studio(into)
		if isNotFound(err) {
			return fmt.Errorf("there is no studio %q in the database", into)
		}
		if err != nil {
			return err
		}
		members, err := tx.Members(into)
		if err != nil {
			return err
		}
		e := x.core()
		e.Member.Studio = into
		for i := range e.Questions {
			e.Questions[i].Studio = into
		}
		alone := StudioExport{Members: []MemberExport{e}}
		if err := errors.Join(alone.free(tx), tx.PutMember(e.Member)); err != nil {
			return err
		}
		if err := e.put(tx, firstTeacher(members)); err != nil {
			return err
		}
		m := &e.Member
		if m.Role == Student {
			away := Span{From: routine.DateOf(x.Made, m.Location()), To: s.today(m) - 1}
			if err := s.excuseUnposted(tx, &st, m, away); err != nil {
				return err
			}
		}
		if err := s.scheduleMember(tx, &st, m); err != nil || keep {
			return err
		}
		return errTrial
	})
	if errors.Is(err, errTrial) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("importing member %q: %w", x.Member.ID, err)
	}
	return nil
}
