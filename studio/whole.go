package studio

import (
	"context"
	"fmt"
	"time"

	"ledgerline/routine"
)

// A StudioExport is a whole studio, to be written as JSON or as tables: its
// settings, its members with their plans, and the log with what follows from it.
// What people wrote to each other and their recordings are not in it; the export
// of one member has hers.
type StudioExport struct {
	Made       time.Time      `json:"made"`
	Studio     Studio         `json:"studio"`
	Members    []MemberExport `json:"members"` // by name
	Challenges []Challenge    `json:"challenges,omitempty"`
}

// A MemberExport is what a StudioExport has of one member.
type MemberExport struct {
	Member    Member            `json:"member"`
	Plan      routine.Plan      `json:"plan,omitzero"`
	Routines  []routine.Routine `json:"routines,omitempty"`
	Log       []ExportedReport  `json:"log,omitempty"` // what stands of it, in its order
	Standings []ExportedLine    `json:"standings,omitempty"`
}

// ExportStudio returns a whole studio; for one that there is not, the error is
// [ErrNotFound].
func (s *Service) ExportStudio(ctx context.Context, id StudioID) (x StudioExport, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		x = StudioExport{Made: s.now().UTC()}
		if x.Studio, err = tx.Studio(id); err != nil {
			return err
		}
		if x.Challenges, err = tx.Challenges(id); err != nil {
			return err
		}
		members, err := tx.Members(id)
		if err != nil {
			return err
		}
		for _, m := range members {
			e := Export{Member: m}
			for _, gather := range []func(Tx) error{e.gatherPlan, e.gatherLog, e.gatherStandings} {
				if err := gather(tx); err != nil {
					return fmt.Errorf("member %s: %w", m.ID, err)
				}
			}
			x.Members = append(x.Members, MemberExport{m, e.Plan, e.Routines, e.Log, e.Standings})
		}
		return nil
	})
	if err != nil {
		return StudioExport{}, fmt.Errorf("gathering studio %s: %w", id, err)
	}
	return x, nil
}
