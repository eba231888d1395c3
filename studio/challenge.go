package studio

import "ledgerline/routine"

// A ChallengeID names a challenge.
type ChallengeID string

// A Challenge is a studio-wide goal: days kept by all together, from the first
// date to the last, each in its student's own zone.
type Challenge struct {
	ID     ChallengeID  `json:"id"`
	Studio StudioID     `json:"studio"`
	Title  string       `json:"title"`
	From   routine.Date `json:"from"`
	To     routine.Date `json:"to"`
	Goal   int          `json:"goal"` // days kept, all students together; above 0
}
