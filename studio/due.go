package studio

import (
	"time"

	"ledgerline/routine"
)

// A DueKind is a kind of scheduled work.
type DueKind string

// The kinds of scheduled work.
const (
	DueRoutine  DueKind = "routine"  // of a member
	DueReminder DueKind = "reminder" // of a member
	DueDigest   DueKind = "digest"   // of a studio
	DueStudio   DueKind = "studio"   // once a date of the studio: challenges, questions left open
)

// A Due is the next time some scheduled work falls due. There is one for each
// kind and subject.
type Due struct {
	Kind   DueKind
	Studio StudioID
	Member MemberID // empty for work of the whole studio
	At     time.Time
	Date   routine.Date // the local date that the work is for
}
