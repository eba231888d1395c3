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
	v := s.studioVoice(st)
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
			post.Key, post.Text = "opening", openingWords(v, &c)
		case date == c.middle():
			post.Key, post.Text = "middle", middleWords(v, &c, score)
		case date == c.To:
			post.Key, post.Text = "last-day", lastDayWords(v, score)
		case final:
			post.Key, post.Text = "result", resultWords(v, score)
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

func openingWords(v *voice, c *Challenge) string {
	return v.Say("challenge.opening", with{"day": c.To, "goal": percent(c.Goal)})
}

func middleWords(v *voice, c *Challenge, s streaks.Score) string {
	said := v.Count("challenge.middle", s.Kept+s.Missed, with{"kept": s.Kept, "share": percent(s.Share()), "goal": percent(c.Goal)})
	switch {
	case s.Reached():
		return said + " " + v.Say("challenge.safe", nil)
	case s.Reachable():
		return said + " " + v.Count("challenge.needed", s.Open, with{"needed": s.Needed()})
	}
	return said + " " + v.Say("challenge.out-of-reach", nil)
}

func lastDayWords(v *voice, s streaks.Score) string {
	said := v.Count("challenge.last-day", s.Kept+s.Missed, with{"kept": s.Kept})
	if n := s.Needed(); n > 0 && s.Reachable() {
		said += " " + v.Count("challenge.missing", n, nil)
	}
	return said + " " + v.Say("challenge.cut-off", nil)
}

func resultWords(v *voice, s streaks.Score) string {
	said := v.Count("challenge.result", s.Kept+s.Missed, with{"kept": s.Kept, "share": percent(s.Share()), "goal": percent(s.Goal)})
	if s.Reached() {
		return said + " " + v.Say("challenge.reached", nil)
	}
	return said + " " + v.Say("challenge.not-reached", nil)
}

func percent(share float64) int { return int(share*100 + 0.5) }

// newChallenge returns a challenge of a number of days that begins on from.
func newChallenge(st *Studio, title string, from routine.Date, days int, goal float64, now time.Time) (Challenge, error) {
	switch {
	case days < 2 || days > 92:
		return Challenge{}, usage("wrong.challenge-days", nil)
	case goal <= 0 || goal > 1:
		return Challenge{}, usage("wrong.challenge-goal", nil)
	case title == "":
		return Challenge{}, usage("wrong.challenge-title", nil)
	}
	id := ChallengeID(fmt.Sprintf("%s-%d", st.ID, now.UnixNano()))
	return Challenge{ID: id, Studio: st.ID, Title: title, From: from, To: from + routine.Date(days) - 1, Goal: goal}, nil
}
