package studio

import (
	"fmt"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A ChallengeID names a challenge.
type ChallengeID string

// A Challenge is a goal of the whole studio: of all days on which students are
// scheduled from the first date to the last, each in her own zone, a share is
// kept.
type Challenge struct {
	ID     ChallengeID  `json:"id"`
	Studio StudioID     `json:"studio"`
	Title  string       `json:"title"`
	From   routine.Date `json:"from"`
	To     routine.Date `json:"to"`
	Goal   float64      `json:"goal"` // share of the scheduled days, above 0 and at most 1
}

// middle returns the date of the announcement half way, or none if the
// challenge is too short to have one apart from the first and the last day.
func (c *Challenge) middle() routine.Date {
	if mid := c.From + (c.To-c.From+1)/2; mid > c.From && mid < c.To {
		return mid
	}
	return 0
}

// announceChallenges announces what the date brings: an opening, a middle, a
// last day; and any result that can no longer change.
func (s *Service) announceChallenges(tx Tx, st *Studio, date routine.Date) error {
	challenges, err := tx.Challenges(st.ID)
	if err != nil {
		return err
	}
	for _, c := range challenges {
		if date < c.From || date > c.To+60 {
			continue
		}
		score, final, err := s.score(tx, st, &c)
		if err != nil {
			return fmt.Errorf("counting challenge %s: %w", c.ID, err)
		}
		post := Post{Kind: AnnouncedPost, Title: c.Title}
		switch {
		case date == c.From:
			post.Key, post.Text = "opening", openingWords(&c)
		case date == c.middle():
			post.Key, post.Text = "middle", middleWords(&c, score)
		case date == c.To:
			post.Key, post.Text = "last-day", lastDayWords(score)
		case final:
			post.Key, post.Text = "result", resultWords(score)
		default:
			continue
		}
		post.Key = Key("challenge/"+string(c.ID)+"/") + post.Key
		if err := s.announce(tx, st, post); err != nil {
			return err
		}
	}
	return nil
}

// score counts a challenge from the log. final says that every student's
// cut-off for its last date has passed, so that no reply can change it.
func (s *Service) score(tx Tx, st *Studio, c *Challenge) (score streaks.Score, final bool, err error) {
	members, err := tx.Members(st.ID)
	if err != nil {
		return score, false, err
	}
	final = true
	var entrants []streaks.Entrant
	for _, m := range members {
		if m.Role != Student {
			continue
		}
		reports, err := tx.Reports(m.ID, c.From-painReach, c.To)
		if err != nil {
			return score, false, err
		}
		settled := settledThrough(st, &m, s.now())
		final = final && settled >= c.To
		entrants = append(entrants, streaks.Entrant{
			Calendar: calendarOf(st, &m, c.From, c.To),
			Days:     streaks.Days(dayReports(reports)),
			Settled:  settled,
		})
	}
	return streaks.ScoreOf(streaks.Challenge{From: c.From, To: c.To, Goal: c.Goal}, entrants), final, nil
}

// painReach is how many days before a span its reports are read, so that a pain
// that lasts into it is known.
const painReach = 120

func openingWords(c *Challenge) string {
	return fmt.Sprintf("From today to %s we keep our days together: %d of every 100 scheduled days is the goal. "+
		"Rest days, illness and days off cost nothing, and nobody is ranked. Your usual reply is all it takes.",
		longDate(c.To), percent(c.Goal))
}

func middleWords(c *Challenge, s streaks.Score) string {
	words := fmt.Sprintf("Half way. Together we have kept %d of %s so far (%d of 100; the goal is %d).",
		s.Kept, count(s.Kept+s.Missed, "day"), percent(s.Share()), percent(c.Goal))
	switch {
	case s.Reached():
		return words + " The goal is already safe."
	case s.Reachable():
		return words + fmt.Sprintf(" %d of the %s still open would do it.", s.Needed(), count(s.Open, "day"))
	}
	return words + " The goal is out of reach this time; every day still counts for the player who plays it."
}

func lastDayWords(s streaks.Score) string {
	words := fmt.Sprintf("The last day. Kept so far: %d of %s.", s.Kept, count(s.Kept+s.Missed, "day"))
	if n := s.Needed(); n > 0 && s.Reachable() {
		words += fmt.Sprintf(" %s more and we are there.", count(n, "day"))
	}
	return words + " Replies for today count until the cut-off."
}

func resultWords(s streaks.Score) string {
	words := fmt.Sprintf("Kept together: %d of %s, %d of 100; the goal was %d.",
		s.Kept, count(s.Kept+s.Missed, "day"), percent(s.Share()), percent(s.Goal))
	if s.Reached() {
		return words + " Reached. Thank you, all of you."
	}
	return words + " Not reached this time. Thank you for every day of it."
}

func percent(share float64) int { return int(share*100 + 0.5) }

// newChallenge returns a challenge of a number of days that begins on from.
func newChallenge(st *Studio, title string, from routine.Date, days int, goal float64, now time.Time) (Challenge, error) {
	switch {
	case days < 2 || days > 92:
		return Challenge{}, usage("a challenge lasts 2 to 92 days, for example: challenge 14 80 Spring together")
	case goal <= 0 || goal > 1:
		return Challenge{}, usage("the goal is a share of the scheduled days from 1 to 100, for example: challenge 14 80 Spring together")
	case title == "":
		return Challenge{}, usage("give the challenge a title at the end, for example: challenge 14 80 Spring together")
	}
	id := ChallengeID(fmt.Sprintf("%s-%d", st.ID, now.UnixNano()))
	return Challenge{ID: id, Studio: st.ID, Title: title, From: from, To: from + routine.Date(days) - 1, Goal: goal}, nil
}
