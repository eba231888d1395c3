package studio

import (
	"fmt"
	"slices"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// challengePost says what is announced of a challenge: what it is when it opens,
// how it goes, and what came of it.
func (s *Service) challengePost(v *voice, st *Studio, c *Challenge, n *count, what string, date routine.Date) Post {
	p := Post{Kind: AnnouncedPost, Title: c.Title}
	if what == "opening" {
		p.Text = strings.Join(s.openingWords(v, st, c, date), "\n")
	} else {
		p.Text = strings.Join(courseWords(v, c, n, what), "\n")
		p.Pictures = []Picture{s.picture(v, st.ID, Picture{Challenge: challengePicture(v, c, n, date)})}
	}
	if what != "result" {
		p.Choices = []Choice{{Label: v.Say("challenge.join", nil), Text: "/take-part"}} // whoever sits out does so where nobody sees it
	}
	return p
}

// openingWords says what a challenge is, what counts, and until when.
func (s *Service) openingWords(v *voice, st *Studio, c *Challenge, date routine.Date) []string {
	span := v.Say("challenge.until", with{"day": c.To})
	if date == c.From {
		span = v.Say("challenge.from-today", with{"day": c.To})
	}
	lines := []string{strings.TrimSpace(span + " " + c.Kind.words(v.Lang()).Opening)}
	if c.Kind.Goal > 0 {
		lines = append(lines, v.Say("challenge.goal-"+string(c.Kind.Per), with{"goal": goalWords(v, &c.Kind)}))
	}
	who := v.Say("challenge.nobody-named", nil)
	if c.Kind.Ranking && c.Kind.Per == PerMember {
		who = v.Say("challenge.named", nil)
	}
	return append(lines, v.Say("challenge.counts-"+string(c.Kind.Measure), nil)+" "+v.Say("challenge.fair", nil), who, s.closingWords(v, st, c))
}

// closingWords says until when replies count.
func (s *Service) closingWords(v *voice, st *Studio, c *Challenge) string {
	at := c.Closes.In(locationOf(st.Zone))
	return v.Say("challenge.closes", with{"day": routine.DateOf(at, at.Location()), "hour": at.Format("15:04")})
}

// goalWords says a goal: “80 of every 100 scheduled days”.
func goalWords(v *voice, k *Kind) string {
	switch {
	case k.Measure == streaks.DaysKept:
		return v.Say("challenge.share-of-days", with{"percent": v.Number(k.Goal)})
	case k.EachDay:
		return v.Say("challenge.each-day", with{"amount": amountWords(v, k.Measure, k.Goal)})
	}
	return amountWords(v, k.Measure, k.counted(0, 0).Goal)
}

// amountWords says so much of a measure: “12 keys”.
func amountWords(v *voice, m streaks.Measure, value float64) string {
	if m == streaks.TestGain {
		return v.Say("challenge.gain", with{"percent": percentOf(value)})
	}
	return v.Count("challenge.amount-"+string(m), int(value+0.5), nil)
}

// percentOf returns a share in percent, to a tenth.
func percentOf(share float64) routine.Percent {
	return routine.Percent(float64(int(share*1000+0.5)) / 10)
}

// mostKeys is how many keys are named one by one.
const mostKeys = 12

// haveWords says what players have together.
func haveWords(v *voice, m streaks.Measure, s *streaks.Score) string {
	switch {
	case m == streaks.DaysKept:
		return v.Count("challenge.kept", s.Kept+s.Missed, with{"kept": s.Kept})
	case m == streaks.TestGain && s.Of == 0:
		return v.Say("challenge.no-gain", nil)
	case m == streaks.TestGain:
		return v.Count("challenge.mean-gain", s.Of, with{"percent": percentOf(s.Value)})
	case m == streaks.KeysVisited && len(s.Seen) > 0 && len(s.Seen) <= mostKeys:
		return v.Say("labelled", with{"label": amountWords(v, m, s.Value), "text": v.Key(strings.Join(s.Seen, ", "))})
	}
	return amountWords(v, m, s.Value)
}

// courseWords says how a challenge goes, or went.
func courseWords(v *voice, c *Challenge, n *count, what string) (lines []string) {
	have := haveWords(v, c.Kind.Measure, &n.all)
	switch what {
	case "result":
		lines = []string{v.Say("challenge.result", with{"have": have})}
	case "last-day":
		lines = []string{v.Say("challenge.last-day", with{"have": have})}
	default:
		lines = []string{v.Say("challenge.so-far", with{"have": have})}
	}
	if c.Kind.Goal > 0 {
		lines = append(lines, goalLines(v, c, n, what == "result"))
	}
	if c.Kind.Ranking {
		lines = append(lines, aheadLines(v, c, n)...)
	}
	if what == "result" {
		lines = append(lines, v.Say("challenge.thanks", nil))
	}
	return lines
}

// goalLines says how far the goal is: of teams and members how many have reached
// it, and never who has not.
func goalLines(v *voice, c *Challenge, n *count, final bool) string {
	goal := v.Say("challenge.goal-"+string(c.Kind.Per), with{"goal": goalWords(v, &c.Kind)})
	if c.Kind.Per != PerStudio {
		reached := 0
		for _, g := range n.groups {
			if g.score.Reached() {
				reached++
			}
		}
		return goal + " " + v.Count("challenge.reached-by-"+string(c.Kind.Per), reached, nil)
	}
	days := c.Kind.Measure == streaks.DaysKept
	switch needed := n.all.Needed(); {
	case n.all.Reached() && final:
		return goal + " " + v.Say("challenge.reached", nil)
	case n.all.Reached():
		return goal + " " + v.Say("challenge.safe", nil)
	case final:
		return goal + " " + v.Say("challenge.not-reached", nil)
	case days && needed <= n.all.Open:
		return goal + " " + v.Count("challenge.needed", n.all.Open, with{"needed": needed})
	}
	return goal
}

// mostPlaces is how many places are told.
const mostPlaces = 3

// places returns the places that are told, of the groups that may be: of teams
// the first alone, so that none is last.
func (c *Challenge) places(n *count) (places []streaks.Place, shown []group) {
	shown = slices.DeleteFunc(slices.Clone(n.groups), func(g group) bool { return g.team == 0 && g.name == "" })
	var rewards []float64
	for _, g := range shown {
		rewards = append(rewards, g.score.Reward)
	}
	most := mostPlaces
	if c.Kind.Per == PerTeam {
		most = 1
	}
	places = streaks.Places(rewards)
	return places[:min(len(places), most)], shown
}

// aheadLines says who is ahead; those on one place together, and of the others who
// have anything only that.
func aheadLines(v *voice, c *Challenge, n *count) (lines []string) {
	places, shown := c.places(n)
	told := map[int]bool{}
	for _, p := range places {
		var names []string
		for _, i := range p.Who {
			names = append(names, groupWords(v, &shown[i]))
			told[i] = true
		}
		said := with{"place": p.Above + 1, "names": listWords(v, names), "amount": figureWords(v, c.Kind.Measure, &shown[p.Who[0]].score)}
		switch {
		case len(p.Who) > 1 && c.Kind.Per == PerTeam:
			lines = append(lines, v.Say("challenge.teams-level", with{"names": said["names"]}))
		case len(p.Who) > 1:
			lines = append(lines, v.Say("challenge.level", said))
		default:
			lines = append(lines, v.Say("challenge.ahead", said))
		}
	}
	var also []string
	for i, g := range shown {
		if c.Kind.Per == PerMember && !told[i] && g.score.Reward > 0 {
			also = append(also, g.name)
		}
	}
	if len(also) > 0 {
		lines = append(lines, v.Say("challenge.also", with{"names": listWords(v, also)}))
	}
	return lines
}

// figureWords says what a team or a member has.
func figureWords(v *voice, m streaks.Measure, s *streaks.Score) string {
	if m == streaks.DaysKept {
		return haveWords(v, m, s)
	}
	return amountWords(v, m, s.Value)
}

func groupWords(v *voice, g *group) string {
	if g.team > 0 {
		return teamWords(v, g.team)
	}
	return g.name
}

// teamWords names a team, from 1, by a part of a brass instrument.
func teamWords(v *voice, team int) string { return v.Say("challenge.team-"+fmt.Sprint(team), nil) }

// listWords joins names: “Ada, Kofi and Ilka”.
func listWords(v *voice, names []string) string {
	last := len(names) - 1
	if last < 1 {
		return strings.Join(names, "")
	}
	return v.Say("list.and", with{"first": strings.Join(names[:last], ", "), "last": names[last]})
}

// challengePicture shows how a challenge goes: the course of the whole, and the
// places that are told.
func challengePicture(v *voice, c *Challenge, n *count, date routine.Date) *ChallengePicture {
	pic := &ChallengePicture{Title: c.Title, From: c.From, To: c.To, Values: n.course, Measure: c.Kind.Measure}
	if c.Kind.Per == PerStudio {
		pic.Goal = n.all.Goal
	}
	if !c.Kind.Ranking {
		return pic
	}
	places, shown := c.places(n)
	for _, p := range places {
		for _, i := range p.Who {
			pic.Rows = append(pic.Rows, ChallengeRow{Place: p.Above + 1, Name: groupWords(v, &shown[i]), Value: shown[i].score.Value})
		}
	}
	return pic
}
