package harbour

import (
	"context"
	"strconv"

	"ledgerline/routine"
	"ledgerline/studio"
)

// A Summary is where one student stands.
type Summary struct {
	Name        string                       `json:"name"`
	Streak      int                          `json:"streak"`
	Longest     int                          `json:"longest"`
	WeeksKept   int                          `json:"weeks_kept"` // in all
	WeeksInARow int                          `json:"weeks_in_a_row"`
	Entries     int                          `json:"entries"`
	Standings   map[string]map[string]string `json:"standings"` // pass by pass: line to state and tempo
	Questions   int                          `json:"questions_open"`
}

// Summaries returns where every student of the story stands, by member.
func (s *Story) Summaries(ctx context.Context) (map[string]Summary, error) {
	all := map[string]Summary{}
	for _, p := range players() {
		sum, err := s.summary(ctx, p.id)
		if err != nil {
			return nil, err
		}
		all[string(p.id)] = sum
	}
	return all, nil
}

func (s *Story) summary(ctx context.Context, id studio.MemberID) (sum Summary, err error) {
	at, err := s.service.Place(ctx, id)
	if err != nil {
		return sum, err
	}
	sum = Summary{
		Name: at.Member.Name, Streak: at.Tally.Streak, Longest: at.Tally.Longest,
		WeeksKept: at.Tally.TotalWeeks, WeeksInARow: at.Tally.Weeks,
		Standings: map[string]map[string]string{},
	}
	err = s.store.View(ctx, func(tx studio.Tx) error {
		questions, err := tx.OpenQuestions(id)
		if err != nil {
			return err
		}
		sum.Questions = len(questions)
		reports, err := tx.Reports(id, s.begin, routine.DateOf(s.clock.Now(), at.Member.Location()))
		for _, r := range reports {
			sum.Entries += len(r.Entries)
		}
		return err
	})
	for key, st := range at.Standings {
		pass := "pass " + strconv.Itoa(key.Pass)
		if sum.Standings[pass] == nil {
			sum.Standings[pass] = map[string]string{}
		}
		sum.Standings[pass][key.Line.String()] = string(st.State) + " " + st.Mark.String()
	}
	return sum, err
}
