package studio

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strings"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A ChallengeID names a challenge.
type ChallengeID string

// A Challenge is a kind of challenge with its dates, each in every player's own
// zone, and what its members said of it. Nothing that follows from the log is
// kept in it: that is counted anew each time.
type Challenge struct {
	ID     ChallengeID  `json:"id"`
	Studio StudioID     `json:"studio"`
	Title  string       `json:"title"`
	From   routine.Date `json:"from"`
	To     routine.Date `json:"to"`
	Kind   Kind         `json:"kind"` // as it was when the challenge was made

	// Closes is the instant until which replies and corrections count: the latest
	// cut-off that any student has for the last date.
	Closes time.Time `json:"closes,omitzero"`

	Joined []MemberID   `json:"joined,omitempty"` // who chose to appear in it
	Out    []MemberID   `json:"out,omitempty"`    // who would rather not be counted
	Teams  [][]MemberID `json:"teams,omitempty"`  // as drawn when it opened, and who came later

	Told []string `json:"told,omitempty"` // what was announced: "opening", a date of progress, "last-day", "result"
	Off  bool     `json:"off,omitempty"`  // called off before it began
}

// over reports whether the challenge no longer changes.
func (c *Challenge) over(now time.Time) bool { return c.Off || !now.Before(c.Closes) }

// setClosing sets when the challenge is closed, by its last date.
func (s *Service) setClosing(tx Tx, st *Studio, c *Challenge) error {
	midnight, _ := (c.To + 1).At(0, 0, locationOf(st.Zone))
	c.Closes = midnight.Add(time.Duration(st.CutOff) * time.Hour)
	members, err := tx.Members(st.ID)
	for _, m := range present(members) {
		if at := cutOff(st, &m, c.To); m.Role == Student && at.After(c.Closes) {
			c.Closes = at
		}
	}
	return err
}

// progressBy returns the latest date, up to the given one, on which it is told how
// the challenge goes; 0 if there is none apart from the first and the last.
func (c *Challenge) progressBy(date routine.Date) (latest routine.Date) {
	every, middle, _ := c.Kind.rhythm()
	if middle {
		every = int(c.To-c.From+1) / 2
	}
	for d := c.From + routine.Date(every); every > 0 && d <= date && d < c.To; d += routine.Date(every) {
		if latest = d; middle {
			break
		}
	}
	return latest
}

// due returns what is to be announced on a date; "" for nothing. After days on
// which the program was away only the latest is.
func (c *Challenge) due(date routine.Date, now time.Time) (what string) {
	progress := c.progressBy(date)
	switch {
	case c.Off || date < c.From:
		return ""
	case date > c.To && !now.Before(c.Closes):
		what = "result"
	case date > c.To:
		return ""
	case !slices.Contains(c.Told, "opening"):
		what = "opening"
	case date == c.To:
		what = "last-day"
	case progress != 0:
		what = progress.String()
	}
	if slices.Contains(c.Told, what) {
		return ""
	}
	return what
}

// announceChallenges announces what the date brings to the challenges of a studio.
func (s *Service) announceChallenges(tx Tx, st *Studio, date routine.Date) error {
	challenges, err := tx.Challenges(st.ID)
	if err != nil {
		return err
	}
	for _, c := range challenges {
		what := c.due(date, s.now())
		if what == "" {
			continue
		}
		if err := s.announceChallenge(tx, st, &c, what, date); err != nil {
			return fmt.Errorf("challenge %s: %w", c.ID, err)
		}
	}
	return nil
}

func (s *Service) announceChallenge(tx Tx, st *Studio, c *Challenge, what string, date routine.Date) error {
	n, err := s.count(tx, st, c)
	if err != nil {
		return err
	}
	v := s.studioVoice(st)
	post := s.challengePost(v, st, c, &n, what, date)
	post.Key = challengeKey(c.ID, what)
	c.Told = append(c.Told, what)
	if err := tx.PutChallenge(*c); err != nil {
		return err
	}
	return s.announce(tx, st, post)
}

const challengeKeys = "challenge/"

func challengeKey(id ChallengeID, what string) Key {
	return Key(challengeKeys + string(id) + "/" + what)
}

// challengeIn returns the challenge that a post of this key announces.
func challengeIn(k Key) (ChallengeID, bool) {
	rest, is := strings.CutPrefix(string(k), challengeKeys)
	id, _, _ := strings.Cut(rest, "/")
	return ChallengeID(id), is
}

// A count is what the log says of a challenge at one moment.
type count struct {
	all    streaks.Score
	course []float64 // the value at the end of each date so far

	groups []group // the teams, or each member who is counted
}

// A group is a team or a member in a challenge.
type group struct {
	team   int    // number of the team; of a member 0
	name   string // of a member who chose to appear; else empty
	score  streaks.Score
	shares []MemberID
}

// count counts a challenge from the log. A challenge that has begun gets its teams
// by that, and late comers theirs; who is new in one is told so.
func (s *Service) count(tx Tx, st *Studio, c *Challenge) (n count, err error) {
	players, err := s.playersOf(tx, st, c)
	if err != nil {
		return n, err
	}
	today := routine.DateOf(s.now(), locationOf(st.Zone))
	if c.Kind.Per == PerTeam && today >= c.From {
		if err := s.fillTeams(tx, st, c, players); err != nil {
			return n, err
		}
	}
	rule, books := c.Kind.counted(c.From, c.To), s.books(st.ID)
	parts := map[MemberID]streaks.Part{}
	var all []streaks.Part
	for _, m := range players {
		e, err := s.entrant(tx, st, c, &m)
		if err != nil {
			return n, err
		}
		parts[m.ID] = rule.Part(books, &e)
		all = append(all, parts[m.ID])
	}
	n.all = rule.Score(all)
	n.course = rule.Course(all, today)
	if last := len(n.course) - 1; last > 0 && today <= c.To && n.course[last] == n.course[last-1] {
		n.course = n.course[:last] // today is not over
	}
	n.groups = c.groups(players)
	for i := range n.groups {
		var own []streaks.Part
		for _, id := range n.groups[i].shares {
			if p, counted := parts[id]; counted {
				own = append(own, p)
			}
		}
		n.groups[i].score = rule.Score(own)
	}
	return n, nil
}

// playersOf returns the students who are counted: all who have not said that they
// would rather not be.
func (s *Service) playersOf(tx Tx, st *Studio, c *Challenge) ([]Member, error) {
	members, err := tx.Members(st.ID)
	return slices.DeleteFunc(members, func(m Member) bool { return m.Role != Student || slices.Contains(c.Out, m.ID) }), err
}

// entrant gathers what the log has of one player.
func (s *Service) entrant(tx Tx, st *Studio, c *Challenge, m *Member) (e streaks.Entrant, err error) {
	from := c.From - painReach
	if c.Kind.Measure == streaks.TestGain {
		from = min(from, m.Joined)
	}
	reports, err := tx.Reports(m.ID, from, c.To)
	e = streaks.Entrant{
		Calendar: calendarOf(st, m, c.From, c.To), Minutes: m.Player.Minutes,
		Settled: settledThrough(st, m, s.now()),
	}
	if c.over(s.now()) {
		e.Settled = max(e.Settled, c.To)
	}
	for _, r := range reports {
		r.Day.Late = r.At.After(c.Closes)
		e.Reports = append(e.Reports, r.Day)
		if !r.Day.Late {
			e.Entries = append(e.Entries, r.Entries...)
		}
	}
	return e, err
}

// painReach is how many days before a span its reports are read, so that a pain
// that lasts into it is known.
const painReach = 120

// groups returns the teams, or the members for whom a figure stands.
func (c *Challenge) groups(players []Member) (groups []group) {
	switch c.Kind.Per {
	case PerTeam:
		for i, team := range c.Teams {
			groups = append(groups, group{team: i + 1, shares: team})
		}
	case PerMember:
		for _, m := range players {
			g := group{shares: []MemberID{m.ID}}
			if c.shows(&m) {
				g.name = m.Name
			}
			groups = append(groups, g)
		}
	}
	return groups
}

// shows reports whether a member's figure may stand beside her name: she chose to
// appear, here or everywhere, and if she is a minor her studio's file says so too.
func (c *Challenge) shows(m *Member) bool {
	return m.Public || slices.Contains(c.Joined, m.ID) && !m.Minor()
}

// habitDays is how far back the days are counted by which teams are balanced.
const habitDays = 28

// fillTeams draws the teams when there are none, and puts players who are in none
// into the smallest.
func (s *Service) fillTeams(tx Tx, st *Studio, c *Challenge, players []Member) error {
	if c.Teams == nil {
		if err := s.drawTeams(tx, st, c, players); err != nil {
			return err
		}
	}
	counted := func(id MemberID) bool { return slices.ContainsFunc(players, func(m Member) bool { return m.ID == id }) }
	for _, m := range players {
		if slices.ContainsFunc(c.Teams, func(team []MemberID) bool { return slices.Contains(team, m.ID) }) {
			continue
		}
		smallest, least := 0, len(players)+1
		for i, team := range c.Teams {
			if n := len(team) - len(slices.DeleteFunc(slices.Clone(team), counted)); n < least {
				smallest, least = i, n
			}
		}
		c.Teams[smallest] = append(c.Teams[smallest], m.ID)
		if err := s.tellTeam(tx, c, &m, smallest+1); err != nil {
			return err
		}
	}
	return nil
}

// drawTeams draws the teams by a lot that the challenge itself decides, so that
// it falls the same whenever it is drawn.
func (s *Service) drawTeams(tx Tx, st *Studio, c *Challenge, players []Member) error {
	var drawn []streaks.Player
	for _, m := range players {
		reports, err := tx.Reports(m.ID, c.From-habitDays-painReach, c.From-1)
		if err != nil {
			return err
		}
		kept, due := 1.0, 2.0 // Laplace's rule, so that who is new counts as one of the middle
		from := c.From - habitDays
		for _, kind := range streaks.Kinds(calendarOf(st, &m, from, c.From), streaks.Days(dayReports(reports)), from, c.From-1, c.From) {
			switch kind {
			case streaks.Kept:
				kept, due = kept+1, due+1
			case streaks.Missed:
				due++
			}
		}
		drawn = append(drawn, streaks.Player{ID: string(m.ID), Habit: kept / due})
	}
	lot := fnv.New64a()
	lot.Write([]byte(c.ID))
	for i, ids := range streaks.Draw(drawn, c.Kind.Teams, lot.Sum64()) {
		c.Teams = append(c.Teams, []MemberID{})
		for _, id := range ids {
			c.Teams[i] = append(c.Teams[i], MemberID(id))
		}
	}
	for _, m := range players {
		team := slices.IndexFunc(c.Teams, func(team []MemberID) bool { return slices.Contains(team, m.ID) })
		if err := s.tellTeam(tx, c, &m, team+1); err != nil {
			return err
		}
	}
	return nil
}

// tellTeam tells a player, and nobody else, which team she is in.
func (s *Service) tellTeam(tx Tx, c *Challenge, m *Member, team int) error {
	if m.Left != 0 || m.Paused {
		return nil
	}
	v := s.voice(m)
	return s.tell(tx, m, Post{
		Key: challengeKey(c.ID, "team"), Kind: AnswerPost,
		Text: v.Say("challenge.your-team", with{"title": c.Title, "team": teamWords(v, team)}),
	})
}
