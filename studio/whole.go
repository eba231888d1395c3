package studio

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A StudioExport is a whole studio, to be written as JSON or as tables: its
// settings, its members with their plans, the log with what follows from it, and
// what is scheduled. What people wrote to each other, recordings and passwords are
// not in it; the export of one member has hers but the last.
type StudioExport struct {
	Made       time.Time         `json:"made"`
	Studio     Studio            `json:"studio"`
	Members    []MemberExport    `json:"members"` // by name
	Challenges []Challenge       `json:"challenges,omitempty"`
	Deeds      []Deed            `json:"deeds,omitempty"`
	Due        []Due             `json:"due,omitempty"`   // when its work falls due
	Marks      map[string]string `json:"marks,omitempty"` // which files were applied, who was erased
}

// A MemberExport is what a StudioExport has of one member.
type MemberExport struct {
	Member    Member                     `json:"member"`
	Plan      routine.Plan               `json:"plan,omitzero"`
	Routines  []routine.Routine          `json:"routines,omitempty"`
	Log       []ExportedReport           `json:"log,omitempty"` // what stands of it, in its order
	Standings []ExportedLine             `json:"standings,omitempty"`
	Streak    streaks.State              `json:"streak,omitzero"`
	Questions []Question                 `json:"questions,omitempty"` // open ones
	Wishes    map[string]json.RawMessage `json:"wishes,omitempty"`    // by date
}

// ExportStudio returns a whole studio; for one that there is not, the error is
// [ErrNotFound].
func (s *Service) ExportStudio(ctx context.Context, id StudioID) (x StudioExport, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		x, err = gatherStudio(tx, id)
		return err
	})
	x.Made = s.now().UTC()
	if err != nil {
		return StudioExport{}, fmt.Errorf("gathering studio %s: %w", id, err)
	}
	return x, nil
}

func gatherStudio(tx Tx, id StudioID) (x StudioExport, err error) {
	if x.Studio, err = tx.Studio(id); err != nil {
		return x, err
	}
	if x.Challenges, err = tx.Challenges(id); err != nil {
		return x, err
	}
	if x.Deeds, err = tx.Deeds(id, allDeeds); err != nil {
		return x, err
	}
	members, err := tx.Members(id)
	if err != nil {
		return x, err
	}
	for _, m := range members {
		e := Export{Member: m}
		if err := e.gatherCore(tx); err != nil {
			return x, fmt.Errorf("member %s: %w", m.ID, err)
		}
		x.Members = append(x.Members, e.core())
	}
	return x, errors.Join(x.gatherDue(tx), x.gatherMarks(tx))
}

func (x *StudioExport) gatherDue(tx Tx) error {
	gather := func(m MemberID, kinds ...DueKind) error {
		for _, kind := range kinds {
			d, err := tx.Due(kind, x.Studio.ID, m)
			if err == nil {
				x.Due = append(x.Due, d)
			} else if !isNotFound(err) {
				return err
			}
		}
		return nil
	}
	err := gather("", DueDigest, DueStudio)
	for _, e := range x.Members {
		err = errors.Join(err, gather(e.Member.ID, DueRoutine, DueReminder, DueLesson))
	}
	return err
}

func (x *StudioExport) gatherMarks(tx Tx) (err error) {
	if x.Marks, err = tx.Marks("erased/"); err != nil {
		return err
	}
	names := []string{"studio/" + string(x.Studio.ID), holidaysMark(x.Studio.ID)}
	for _, e := range x.Members {
		names = append(names, "member/"+string(e.Member.ID), "plan/"+string(e.Member.ID))
	}
	for _, name := range names {
		mark, err := tx.Mark(appliedMarks + name)
		if isNotFound(err) {
			continue
		}
		if err != nil {
			return err
		}
		if x.Marks == nil {
			x.Marks = map[string]string{}
		}
		x.Marks[appliedMarks+name] = mark
	}
	return nil
}
