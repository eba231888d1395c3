package studio

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// An Export is all that is kept of one member, to be written as JSON. Dates are
// "2026-03-04", instants RFC 3339 in UTC, tempi such as "quarter=92".
type Export struct {
	Made      time.Time                  `json:"made"`               // when
	Studio    string                     `json:"studio"`             // its name
	Member    Member                     `json:"member"`             // as the studio has her, with her accounts and her consent
	Plan      routine.Plan               `json:"plan"`               // what she works on, most important first
	Routines  []routine.Routine          `json:"routines,omitempty"` // by date and number
	Log       []ExportedReport           `json:"log,omitempty"`      // what stands of it, in its order
	Standings []ExportedLine             `json:"standings,omitempty"`
	Streak    streaks.State              `json:"streak"`
	Questions []Question                 `json:"questions,omitempty"` // open ones
	Hearings  []Hearing                  `json:"hearings,omitempty"`  // what was heard in her recordings
	Kept      map[string][]byte          `json:"kept,omitempty"`      // the recordings that she keeps, in base64, by the ids of their hearings
	Wishes    map[string]json.RawMessage `json:"wishes,omitempty"`    // what she said of a day before playing, by date
	Messages  []ExportedMessage          `json:"messages,omitempty"`  // what she wrote, in order of arrival
	Posts     []ExportedPost             `json:"posts,omitempty"`     // what was said to her or about her
	Deeds     []Deed                     `json:"deeds,omitempty"`     // what she had the bot do by commands

	Challenges []ExportedChallenge `json:"challenges,omitempty"` // of which she said something, or was drawn into a team
}

// An ExportedChallenge is what is kept of a member in a challenge. Her figures
// follow from the log.
type ExportedChallenge struct {
	Title  string       `json:"title"`
	From   routine.Date `json:"from"`
	To     routine.Date `json:"to"`
	Joined bool         `json:"joined,omitempty"`
	Out    bool         `json:"out,omitempty"`  // she would rather not be counted
	Team   int          `json:"team,omitempty"` // from 1
}

// An ExportedReport is what one reply put into the log about one date.
type ExportedReport struct {
	At      time.Time         `json:"at"`
	Day     routine.DayReport `json:"day"`
	Entries []routine.Entry   `json:"entries,omitempty"`
}

// An ExportedLine is how one line stands in one pass.
type ExportedLine struct {
	Line     string           `json:"line"` // such as slur-atlas/1/3
	Pass     int              `json:"pass"`
	Standing routine.Standing `json:"standing"`
	Acts     []streaks.Act    `json:"acts,omitempty"` // of her teachers
}

// An ExportedMessage is one happening of one message.
type ExportedMessage struct {
	Message
	Verdict Verdict `json:"verdict"` // what was made of it
}

// An ExportedPost is something the bot said or will say.
type ExportedPost struct {
	Post
	Queued time.Time `json:"queued"`
	Sent   time.Time `json:"sent,omitzero"`
}

// Export returns all that is kept of a member.
func (s *Service) Export(ctx context.Context, id MemberID) (e Export, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		e = Export{Made: s.now().UTC()}
		if e.Member, err = tx.Member(id); err != nil {
			return err
		}
		st, err := tx.Studio(e.Member.Studio)
		if err != nil {
			return err
		}
		e.Studio = st.Name
		for _, gather := range []func(Tx) error{e.gatherCore, e.gatherWords, e.gatherChallenges, e.gatherRest} {
			if err := gather(tx); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return Export{}, fmt.Errorf("gathering what is kept of member %s: %w", id, err)
	}
	return e, nil
}

// gatherCore gathers what the export of a studio has of each member too.
func (e *Export) gatherCore(tx Tx) error {
	for _, gather := range []func(Tx) error{e.gatherPlan, e.gatherLog, e.gatherStandings, e.gatherOpen} {
		if err := gather(tx); err != nil {
			return err
		}
	}
	return nil
}

// core returns what gatherCore has gathered.
func (e *Export) core() MemberExport {
	return MemberExport{e.Member, e.Plan, e.Routines, e.Log, e.Standings, e.Streak, e.Questions, e.Wishes}
}

func (e *Export) gatherPlan(tx Tx) (err error) {
	if e.Plan, err = planOf(tx, e.Member.ID); err != nil {
		return err
	}
	e.Routines, err = tx.RoutinesOf(e.Member.ID)
	return err
}

func (e *Export) gatherLog(tx Tx) error {
	reports, err := tx.Reports(e.Member.ID, math.MinInt32, math.MaxInt32)
	for _, r := range reports {
		e.Log = append(e.Log, ExportedReport{r.At, r.Day, r.Entries})
	}
	return err
}

func (e *Export) gatherStandings(tx Tx) error {
	standings, err := tx.Standings(e.Member.ID)
	if err != nil {
		return err
	}
	byLine := func(a, b routine.StandingKey) int {
		return cmp.Or(cmp.Compare(a.Line.Book, b.Line.Book), cmp.Compare(a.Line.Study, b.Line.Study),
			cmp.Compare(a.Line.Line, b.Line.Line), cmp.Compare(a.Pass, b.Pass))
	}
	for _, key := range slices.SortedFunc(maps.Keys(standings), byLine) {
		acts, err := tx.LineActs(e.Member.ID, key.Line, key.Pass)
		if err != nil {
			return err
		}
		e.Standings = append(e.Standings, ExportedLine{key.Line.String(), key.Pass, standings[key], acts})
	}
	e.Streak, err = tx.Streak(e.Member.ID)
	return err
}

// gatherWords gathers what she wrote and what was said to her or about her. On an
// account that she shares that is the whole family's.
func (e *Export) gatherWords(tx Tx) error {
	own := map[Account]bool{}
	for _, a := range e.Member.Accounts {
		own[a] = true
		err := eachMessage(tx, a, func(m *Stored) error {
			e.Messages = append(e.Messages, ExportedMessage{m.Message, m.Verdict})
			return nil
		})
		if err != nil {
			return err
		}
	}
	return eachPost(tx, e.Member.Studio, func(q *Queued) error {
		if q.Member == e.Member.ID || own[Account{q.To.Platform, q.To.Account}] {
			e.Posts = append(e.Posts, ExportedPost{q.Post, q.QueuedAt, q.SentAt})
		}
		return nil
	})
}

func (e *Export) gatherChallenges(tx Tx) error {
	all, err := tx.Challenges(e.Member.Studio)
	for _, c := range all {
		in := func(ids []MemberID) bool { return slices.Contains(ids, e.Member.ID) }
		x := ExportedChallenge{c.Title, c.From, c.To, in(c.Joined), in(c.Out), slices.IndexFunc(c.Teams, in) + 1}
		if x.Joined || x.Out || x.Team > 0 {
			e.Challenges = append(e.Challenges, x)
		}
	}
	return err
}

func (e *Export) gatherOpen(tx Tx) (err error) {
	if e.Questions, err = tx.OpenQuestions(e.Member.ID); err != nil {
		return err
	}
	prefix := wishMarks(e.Member.ID)
	wishes, err := tx.Marks(prefix)
	for name, value := range wishes {
		if e.Wishes == nil {
			e.Wishes = map[string]json.RawMessage{}
		}
		e.Wishes[strings.TrimPrefix(name, prefix)] = json.RawMessage(value)
	}
	return err
}

func (e *Export) gatherRest(tx Tx) (err error) {
	if e.Hearings, err = tx.Hearings(e.Member.ID, math.MinInt32, math.MaxInt32); err != nil {
		return err
	}
	if e.Kept, err = keptOf(tx, e.Hearings); err != nil {
		return err
	}
	deeds, err := tx.Deeds(e.Member.Studio, allDeeds)
	for _, d := range deeds {
		if d.Member == e.Member.ID {
			e.Deeds = append(e.Deeds, d)
		}
	}
	return err
}

// exportCommand passes on that somebody wants a copy of what is kept: it is too
// long for a chat, and may be read by nobody else.
func (t *turn) exportCommand(args []string) (Post, error) {
	m, err := t.exported(args)
	if err != nil {
		return Post{}, err
	}
	command := "bot export " + string(m.ID)
	if t.who.Role == Teacher {
		return t.answered("export.how", with{"name": m.Name, "command": command})
	}
	err = t.tellTeachers(t.tx, t.studio.ID, func(v *voice) (Post, error) {
		return Post{
			Key: t.key("export"), Kind: AlertPost, Member: m.ID,
			Title: v.Say("export.asked-title", with{"who": t.who.Name, "name": m.Name}),
			Text:  v.Say("export.how", with{"name": m.Name, "command": command}),
		}, nil
	})
	return t.done(err, "export.asked", with{"name": m.Name})
}

// exported finds the member of whom the author may have a copy: herself, her
// wards, or for a teacher anybody in the studio.
func (t *turn) exported(args []string) (Member, error) {
	if len(args) == 0 {
		return t.who, nil
	}
	m, err := t.anyMember(args)
	if err != nil && t.who.Role == Teacher {
		return m, err
	}
	if err != nil || !t.may(&m) {
		return Member{}, usage("wrong.export-not-yours", nil)
	}
	return m, nil
}
